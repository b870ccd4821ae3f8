//! A program run beside this one: its output read as it comes, its time and its output limited.
//!
//! Decoders of strange files crash, hang and fill memory. A child can do so without taking the review down.

use std::io::{BufRead, BufReader, Read};
use std::process::{Child, ChildStdout, Command, Stdio};
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender, channel, sync_channel};
use std::sync::{Arc, Mutex, PoisonError};
use std::thread;
use std::time::Duration;

/// A child that gives nothing for so long is ended.
const STALLED: Duration = Duration::from_secs(20);

/// Longer lines of messages are cut here.
const LINE: u64 = 1024;

/// So many messages wait to be read; a child that floods more loses them.
const WAITING: usize = 16_384;

/// A running child.
pub(super) struct Running {
    /// What it writes.
    pub(super) output: Counted,
    /// Its messages, line by line, until it ends.
    pub(super) messages: Receiver<String>,
    child: Arc<Mutex<Child>>,
    // Dropped with this: the watch then ends.
    _watched: Sender<()>,
}

/// The output of a child, counted so that a stall is seen.
pub(super) struct Counted {
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
    ///
    /// # Errors
    /// What the system says when it cannot be started.
    pub(super) fn start(mut command: Command) -> std::io::Result<Running> {
        let mut child = command.stdin(Stdio::null()).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn()?;
        let stdout = child.stdout.take().ok_or(std::io::ErrorKind::BrokenPipe)?;
        let stderr = child.stderr.take().ok_or(std::io::ErrorKind::BrokenPipe)?;
        let progress = Arc::new(AtomicU64::new(0));
        let child = Arc::new(Mutex::new(child));
        let messages = lines_of(stderr, Arc::clone(&progress));
        let (watched, ended) = channel();
        watch(Arc::clone(&child), Arc::clone(&progress), ended);
        Ok(Running { output: Counted { stdout, progress }, messages, child, _watched: watched })
    }

    /// Waits for the end of a child whose output was read to its end; whether it succeeded.
    pub(super) fn ended_well(&self) -> bool {
        let mut child = self.child.lock().unwrap_or_else(PoisonError::into_inner);
        child.wait().is_ok_and(|status| status.success())
    }
}

impl Drop for Running {
    fn drop(&mut self) {
        end(&self.child);
    }
}

/// Ends a child and takes its status, so that nothing of it is left. One that has ended already is left alone.
fn end(child: &Mutex<Child>) {
    let mut child = child.lock().unwrap_or_else(PoisonError::into_inner);
    if !matches!(child.try_wait(), Ok(Some(_))) {
        // Both fail only where the child is gone.
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
            // Nobody listens, or too much is said: the rest is read all the same, so that the child does not wait.
            let _ = sender.try_send(String::from_utf8_lossy(&line).trim_end().to_owned());
        }
    });
    receiver
}

/// Ends the child when it makes no progress. A reader that is slow makes none either, so it is given as long.
fn watch(child: Arc<Mutex<Child>>, progress: Arc<AtomicU64>, ended: Receiver<()>) {
    thread::spawn(move || {
        let mut seen = progress.load(Ordering::Relaxed);
        while ended.recv_timeout(STALLED) == Err(RecvTimeoutError::Timeout) {
            let now = progress.load(Ordering::Relaxed);
            if now == seen {
                end(&child);
                return;
            }
            seen = now;
        }
    });
}

/// The whole output of a child, and its messages.
#[derive(Debug)]
pub(super) struct Said {
    /// What it wrote.
    pub(super) output: Vec<u8>,
    /// Its first messages.
    pub(super) messages: Vec<String>,
    /// It wrote more than was read.
    pub(super) is_cut: bool,
    /// It ended with success.
    pub(super) is_well: bool,
}

/// So many messages are kept.
const MESSAGES: usize = 200;

/// Runs a child to its end and gives what it wrote, up to so many bytes.
///
/// # Errors
/// What the system says when it cannot be started or read.
pub(super) fn run(command: Command, most: u64) -> std::io::Result<Said> {
    let mut running = Running::start(command)?;
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
    Ok(Said { output, messages, is_cut, is_well: running.ended_well() })
}
