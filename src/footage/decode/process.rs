//! A program run beside this one: its output is read as it comes, its time and its output are limited.
//!
//! Decoders of strange files crash, hang and fill memory. A child can do so without taking the review down.

use std::io::{BufRead, BufReader, Read, Write};
use std::process::{Child, ChildStdin, ChildStdout, Command, Stdio};
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender, channel, sync_channel};
use std::sync::{Arc, Mutex, PoisonError};
use std::thread;
use std::time::Duration;

/// A child that makes no progress for this long is ended.
pub(crate) const STALLED: Duration = Duration::from_secs(20);

/// Message lines are cut at this many bytes.
const LINE: u64 = 1024;

/// Messages that may wait to be read; a child that floods more loses them.
const WAITING: usize = 16_384;

/// Whether somebody waits for what a child does.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Pace {
    AtOnce,
    /// Done ahead; gives way to what somebody waits for.
    Ahead,
}

/// A running child.
#[derive(Debug)]
pub(crate) struct Running {
    pub(crate) output: Counted,
    /// Line by line, until the child ends.
    pub(crate) messages: Receiver<String>,
    input: Input,
    child: Arc<Mutex<Child>>,
    stalled: Arc<AtomicBool>,
    // Dropping it ends the watch.
    watched: Option<Sender<()>>,
}

/// The input of a child.
#[derive(Debug)]
enum Input {
    /// The child reads nothing, or no more.
    Closed,
    /// Written by the caller.
    Direct(ChildStdin),
    /// Written by a thread, so that the reader of the child's output waits for nothing else.
    Beside(Sender<Vec<u8>>),
}

/// The output of a child, which counts reads as progress.
#[derive(Debug)]
pub(crate) struct Counted {
    stdout: ChildStdout,
    progress: Arc<AtomicU64>,
}

impl Read for Counted {
    fn read(&mut self, buffer: &mut [u8]) -> std::io::Result<usize> {
        let count = self.stdout.read(buffer)?;
        self.progress.fetch_add(1, Ordering::Relaxed);
        Ok(count)
    }
}

impl Running {
    /// Starts a child without input.
    pub(crate) fn start(command: Command) -> std::io::Result<Running> {
        Running::with_input(command, Stdio::null(), STALLED)
    }

    /// Starts a child that is ended when it makes no progress for `patience`.
    pub(crate) fn with_input(command: Command, input: Stdio, patience: Duration) -> std::io::Result<Running> {
        let mut running = Running::spawn(command, input)?;
        running.watch(patience);
        Ok(running)
    }

    /// Starts a child that may wait for its input for as long as that takes.
    pub(crate) fn without_watch(command: Command) -> std::io::Result<Running> {
        Running::spawn(command, Stdio::piped())
    }

    fn spawn(mut command: Command, input: Stdio) -> std::io::Result<Running> {
        #[cfg(unix)]
        std::os::unix::process::CommandExt::process_group(&mut command, 0);
        let mut child = command.stdin(input).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn()?;
        let input = child.stdin.take().map_or(Input::Closed, Input::Direct);
        let stdout = child.stdout.take().ok_or(std::io::ErrorKind::BrokenPipe)?;
        let stderr = child.stderr.take().ok_or(std::io::ErrorKind::BrokenPipe)?;
        widen(&stdout);
        let progress = Arc::new(AtomicU64::new(0));
        let (child, stalled) = (Arc::new(Mutex::new(child)), Arc::new(AtomicBool::new(false)));
        let messages = lines_of(stderr, Arc::clone(&progress));
        let output = Counted { stdout, progress };
        Ok(Running { output, messages, input, child, stalled, watched: None })
    }

    /// Ends the child from now on if it makes no progress for `patience`.
    fn watch(&mut self, patience: Duration) {
        let (watched, ended) = channel();
        let child = (Arc::clone(&self.child), Arc::clone(&self.stalled));
        watch(child, Arc::clone(&self.output.progress), ended, patience);
        self.watched = Some(watched);
    }

    /// Gives a waiting child input, from a thread of its own. Until [`Self::unwatch`] the child is ended if it makes
    /// no progress for `patience`.
    pub(crate) fn feed(&mut self, bytes: Vec<u8>, patience: Duration) {
        self.watch(patience);
        self.input = match std::mem::replace(&mut self.input, Input::Closed) {
            Input::Direct(input) => Input::Beside(writer(input)),
            other => other,
        };
        if let Input::Beside(writer) = &self.input {
            // The output of a child that is gone shows it.
            let _ = writer.send(bytes);
        }
    }

    /// Stops the watch: the child has given what was asked for, and may wait again.
    pub(crate) fn unwatch(&mut self) {
        self.watched = None;
    }

    /// Ends the input: the child reads what it was given, and no more.
    pub(crate) fn close(&mut self) {
        self.input = Input::Closed;
    }

    pub(crate) fn send(&mut self, parts: &[&[u8]]) -> std::io::Result<()> {
        let Input::Direct(input) = &mut self.input else { return Err(std::io::ErrorKind::BrokenPipe.into()) };
        parts.iter().try_for_each(|part| input.write_all(part))?;
        self.output.progress.fetch_add(1, Ordering::Relaxed);
        Ok(())
    }

    /// Limits the address space of the child, where the system can.
    pub(crate) fn limit_memory(&self, bytes: u64) {
        #[cfg(target_os = "linux")]
        {
            use rustix::process::{Pid, Resource, Rlimit, prlimit};
            let child = self.child.lock().unwrap_or_else(PoisonError::into_inner);
            let limit = || Rlimit { current: Some(bytes), maximum: Some(bytes) };
            // A child that is gone needs no limit.
            let _ = prlimit(Some(Pid::from_child(&child)), Resource::As, limit());
        }
        #[cfg(not(target_os = "linux"))]
        let _ = bytes;
    }

    /// Lowers the priority of a child that works ahead, where the system can. It must have started no thread yet.
    pub(crate) fn set_pace(&self, pace: Pace) {
        #[cfg(unix)]
        if pace == Pace::Ahead {
            use rustix::process::{Pid, setpriority_process};
            // Of 19 steps: a tenth of the time of a process at normal priority.
            const STEPS_BACK: i32 = 10;
            let child = self.child.lock().unwrap_or_else(PoisonError::into_inner);
            // A child that is gone delays nobody.
            let _ = setpriority_process(Some(Pid::from_child(&child)), STEPS_BACK);
        }
        #[cfg(not(unix))]
        let _ = pace;
    }

    /// Ends the child, if it is still running.
    pub(crate) fn end(&self) {
        end(&self.child);
    }

    /// Whether it was ended because it made no progress.
    pub(crate) fn was_stalled(&self) -> bool {
        self.stalled.load(Ordering::Relaxed)
    }

    /// The last message of an ended child, without hints to programmers.
    pub(crate) fn last_message(&self) -> Option<String> {
        self.messages.iter().filter(|line| !line.is_empty() && !line.starts_with("note: ")).last()
    }

    /// Waits for the end of a child whose output was read to its end; returns whether it succeeded.
    pub(crate) fn ended_well(&self) -> bool {
        let mut child = self.child.lock().unwrap_or_else(PoisonError::into_inner);
        child.wait().is_ok_and(|status| status.success())
    }
}

impl Drop for Running {
    fn drop(&mut self) {
        end(&self.child);
    }
}

/// Enlarges the buffer of a pipe (64 KiB by default), so that a picture passes in a few switches between the processes.
fn widen(pipe: &ChildStdout) {
    #[cfg(target_os = "linux")]
    {
        const MOST_WITHOUT_LEAVE: usize = 1 << 20;
        // A system that allows less leaves it as it is.
        let _ = rustix::pipe::fcntl_setpipe_size(pipe, MOST_WITHOUT_LEAVE);
    }
    #[cfg(not(target_os = "linux"))]
    let _ = pipe;
}

/// Writes to the child in a thread, until the sender is dropped or the child reads no further.
fn writer(mut input: ChildStdin) -> Sender<Vec<u8>> {
    let (sender, given) = channel::<Vec<u8>>();
    thread::spawn(move || given.iter().try_for_each(|bytes| input.write_all(&bytes)));
    sender
}

/// Ends a child and collects its status. One that has ended already is left alone.
fn end(child: &Mutex<Child>) {
    let mut child = child.lock().unwrap_or_else(PoisonError::into_inner);
    if !matches!(child.try_wait(), Ok(Some(_))) {
        // These fail only if the child is gone. Children of its own would keep its pipes open, so its whole group is
        // ended.
        #[cfg(unix)]
        let _ = rustix::process::kill_process_group(
            rustix::process::Pid::from_child(&child),
            rustix::process::Signal::KILL,
        );
        let _ = child.kill();
        let _ = child.wait();
    }
}

fn lines_of(stderr: impl Read + Send + 'static, progress: Arc<AtomicU64>) -> Receiver<String> {
    let (sender, receiver) = sync_channel(WAITING);
    thread::spawn(move || {
        let mut reader = BufReader::new(stderr);
        loop {
            let mut line = Vec::new();
            match reader.by_ref().take(LINE).read_until(b'\n', &mut line) {
                Ok(0) | Err(_) => return,
                Ok(_) => {}
            }
            progress.fetch_add(1, Ordering::Relaxed);
            // Nobody listens, or the queue is full: the rest is still read, so that the child is not blocked.
            let _ = sender.try_send(String::from_utf8_lossy(&line).trim_end().to_owned());
        }
    });
    receiver
}

/// Ends the child when it makes no progress. A slow reader stops progress too, and gets the same patience.
fn watch(
    (child, stalled): (Arc<Mutex<Child>>, Arc<AtomicBool>),
    progress: Arc<AtomicU64>,
    ended: Receiver<()>,
    patience: Duration,
) {
    thread::spawn(move || {
        let mut seen = progress.load(Ordering::Relaxed);
        while ended.recv_timeout(patience) == Err(RecvTimeoutError::Timeout) {
            let now = progress.load(Ordering::Relaxed);
            if now == seen {
                stalled.store(true, Ordering::Relaxed);
                end(&child);
                return;
            }
            seen = now;
        }
    });
}

/// The whole output of a child, and its messages.
#[derive(Debug)]
pub(crate) struct Finished {
    pub(crate) output: Vec<u8>,
    /// The first ones.
    pub(crate) messages: Vec<String>,
    /// It wrote more than was read.
    pub(crate) is_cut: bool,
    pub(crate) succeeded: bool,
}

/// Messages that are kept, at most.
const MESSAGES: usize = 200;

/// Runs a child to its end and gives what it wrote, up to `most` bytes; its address space is bounded to `memory` bytes.
pub(crate) fn run(command: Command, (most, memory): (u64, u64)) -> std::io::Result<Finished> {
    let mut running = Running::start(command)?;
    running.limit_memory(memory);
    let mut output = Vec::new();
    running.output.by_ref().take(most + 1).read_to_end(&mut output)?;
    let is_cut = output.len() as u64 > most;
    if is_cut {
        end(&running.child);
    }
    let mut messages = Vec::new();
    while let Ok(line) = running.messages.recv() {
        if messages.len() < MESSAGES {
            messages.push(line);
        }
    }
    Ok(Finished { output, messages, is_cut, succeeded: running.ended_well() })
}
