//! A pool of FFmpeg processes for single pictures, started before anybody asks: starting one takes longer than
//! decoding most GOPs.
//!
//! Once a desk asks for it ([`ProcessPool::open`]), one process that has read nothing is on standby. The coded data
//! of a cold picture ([`super::gop`]) are written to it, and it gives that one picture. Where the coding allows it,
//! the process is kept for the next picture of that coding; otherwise it ends, and another one is started. A picture
//! that does not come cleanly is decoded without the pool. The processes end when the last owner of the pool goes, or
//! when this program ends and their pipes close.

use super::ffmpeg::commands::{MOST_IN_ALL, Programs};
use super::ffmpeg::pictures::Pictures;
use crate::decode::gop::Piece;
use crate::decode::process::{Running, STALLED};
use crate::picture::Picture;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::thread;
use std::time::Duration;

/// Wanted pictures get PTS that are multiples of this, in milliseconds: a quarter of an hour. The pictures of a piece
/// lie closer together, and FFmpeg takes a day or more between two pictures for an error.
const EACH: i64 = 1 << 20;

/// Processes that are kept, at most: one for each way of recording among a desk's cameras.
const MOST_KEPT: usize = 4;

/// A process that is kept gives its picture while its input stays open. One that gives nothing for this long,
/// whatever its version, is waiting for the end of its input.
const PATIENCE: Duration = Duration::from_secs(3);

/// The pool; copies share its processes.
#[derive(Debug, Clone)]
pub(crate) struct ProcessPool {
    programs: Arc<Programs>,
    state: Arc<Mutex<State>>,
}

#[derive(Debug)]
enum State {
    /// Nobody opened the pool, or no process can be started.
    Closed,
    Open(Processes),
}

#[derive(Debug, Default)]
struct Processes {
    /// One that has read nothing; `None` from when it is taken until the next is started.
    standby: Option<Running>,
    /// Those that gave a picture, the most recent last.
    kept: Vec<Process>,
    /// A process waited for the end of its input, so none is kept any more.
    all_end: bool,
}

/// A process that has been given pieces with one init segment.
#[derive(Debug)]
struct Process {
    pictures: Pictures,
    init: Vec<u8>,
    /// Number of pieces.
    given: i64,
}

impl Process {
    fn new(running: Running) -> Process {
        Process { pictures: Pictures::of(running), init: Vec::new(), given: 0 }
    }

    /// Writes a piece to it, and reads the picture; `None` if that does not come cleanly.
    fn picture(&mut self, piece: &Piece, pts: i64) -> Option<Picture> {
        self.given += 1;
        let time = EACH.checked_mul(self.given)?;
        let mut bytes = Vec::new();
        if self.init.is_empty() {
            self.init.clone_from(&piece.init);
            bytes.extend_from_slice(&piece.init);
        }
        bytes.extend(piece.at(time)?);
        let running = &mut self.pictures.running;
        running.feed(bytes, if piece.keeps_process { PATIENCE } else { STALLED });
        if !piece.keeps_process {
            running.close();
        }
        let picture = self.pictures.next().ok().flatten()?.picture;
        self.pictures.running.unwatch();
        let is_clean = self.pictures.is_clean_after(0) && picture.pts == time;
        is_clean.then_some(Picture { pts, exact: true, ..picture })
    }
}

impl ProcessPool {
    /// A pool without processes.
    pub(crate) fn closed(programs: Arc<Programs>) -> ProcessPool {
        ProcessPool { programs, state: Arc::new(Mutex::new(State::Closed)) }
    }

    /// Keeps a process on standby from now on.
    pub(crate) fn open(&self) {
        let mut state = self.state();
        if matches!(*state, State::Closed) {
            *state = self.start().map_or(State::Closed, |running| {
                State::Open(Processes { standby: Some(running), ..Processes::default() })
            });
        }
    }

    /// Whether a process is on standby, or will be soon.
    pub(crate) fn is_open(&self) -> bool {
        !matches!(*self.state(), State::Closed)
    }

    /// The picture that a piece is made for, with `pts` as its time; `None` if it does not come cleanly, or the pool
    /// is closed.
    pub(crate) fn picture_of(&self, mut piece: Piece, pts: i64) -> Option<Picture> {
        let mut process = self.take(&mut piece)?;
        let found = process.picture(&piece, pts);
        let was_stalled = process.pictures.running.was_stalled();
        if let State::Open(processes) = &mut *self.state() {
            processes.all_end |= was_stalled && piece.keeps_process;
            if found.is_some() && piece.keeps_process {
                processes.kept.push(process);
                let too_many = processes.kept.len().saturating_sub(MOST_KEPT);
                processes.kept.drain(..too_many);
            }
        }
        self.renew();
        found
    }

    /// A poisoned lock is used all the same: every change is one step, so the state is whole after a panic.
    fn state(&self) -> MutexGuard<'_, State> {
        self.state.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn start(&self) -> Option<Running> {
        let running = Running::without_watch(self.programs.standby(EACH)).ok()?;
        running.limit_memory(MOST_IN_ALL);
        Some(running)
    }

    /// The process that reads such pieces, or the one on standby, which is started now if need be.
    fn take(&self, piece: &mut Piece) -> Option<Process> {
        let mut state = self.state();
        let State::Open(processes) = &mut *state else { return None };
        piece.keeps_process &= !processes.all_end;
        let reads = |process: &Process| process.init == piece.init;
        if piece.keeps_process
            && let Some(index) = processes.kept.iter().position(reads)
        {
            return Some(processes.kept.remove(index));
        }
        let taken = processes.standby.take().or_else(|| self.start());
        if taken.is_none() {
            *state = State::Closed;
        }
        taken.map(Process::new)
    }

    /// Starts the next standby process in the background.
    fn renew(&self) {
        let is_wanted = |state: &State| matches!(state, State::Open(Processes { standby: None, .. }));
        if !is_wanted(&self.state()) {
            return;
        }
        let pool = self.clone();
        thread::spawn(move || {
            let mut state = pool.state();
            let State::Open(Processes { standby: standby @ None, .. }) = &mut *state else { return };
            *standby = pool.start();
            if standby.is_none() {
                *state = State::Closed;
            }
        });
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::clip::Clip;
    use crate::decode::ffmpeg::Tools;
    use std::ops::ControlFlow;
    use std::path::Path;

    fn opened(name: &str, tools: &Tools) -> Clip {
        let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tests/clips").join(name);
        Clip::open(&path, Some(tools)).unwrap_or_else(|error| panic!("{name}: {error}"))
    }

    /// The pictures of a run are those of the reference (`tests/footage_exact.rs`).
    // PROPERTY: a picture from an FFmpeg that waits is the reference decoder's
    #[test]
    fn one_that_waits_gives_the_pictures_that_a_run_gives() {
        let Some(tools) = Tools::find(None) else { return };
        tools.stand_by();
        for name in [
            "edit-list-b.mp4",
            "four-four-four.mp4",
            "fragmented-b.mp4",
            "hevc.mp4",
            "high.mp4",
            "high-b.mp4",
            "interlaced.mp4",
            "long-group-b.mp4",
            "open-group.mp4",
            "ten-bit.mp4",
        ] {
            let clip = opened(name, &tools);
            let mut run = Vec::new();
            clip.pictures(0..clip.frames.len(), &mut |_, picture| {
                run.push(picture);
                ControlFlow::Continue(())
            })
            .unwrap_or_else(|error| panic!("{name}: {error}"));
            // Backwards, too: a child that was kept has seen later pictures.
            for frame in [0, run.len() / 3, run.len() - 1, run.len() / 2, 1, run.len() - 2] {
                let found = clip.picture_from_pool(frame);
                // Behind the key of an open group the decoder misses what the pictures before that key refer to.
                let may_fail = name == "open-group.mp4" && frame >= 12;
                assert!(found.is_some() || may_fail, "{name} {frame}: nothing came");
                assert!(found.is_none() || found.as_ref() == run.get(frame), "{name} {frame}: {found:?}");
            }
        }
    }

    #[test]
    fn without_a_call_to_stand_by_nobody_waits_and_a_child_that_died_costs_nothing_but_time() {
        let Some(tools) = Tools::find(None) else { return };
        let clip = opened("high-b.mp4", &tools);
        assert_eq!(clip.picture_from_pool(7), None);
        tools.stand_by();
        if let State::Open(Processes { standby: Some(running), .. }) = &*tools.pool.state() {
            running.end();
        }
        assert_eq!(clip.picture_from_pool(7), None);
        assert!(clip.picture(7).expect("it comes all the same").exact);
    }

    /// Of each child that is kept, how many pieces it was given.
    fn kept(tools: &Tools) -> Vec<i64> {
        match &*tools.pool.state() {
            State::Open(processes) => processes.kept.iter().map(|process| process.given).collect(),
            State::Closed => Vec::new(),
        }
    }

    #[test]
    fn one_child_gives_the_pictures_of_one_coding_until_it_fails() {
        let Some(tools) = Tools::find(None) else { return };
        tools.stand_by();
        let (plain, with_b) = (opened("high.mp4", &tools), opened("high-b.mp4", &tools));
        for frame in [3, 9, 5] {
            assert!(plain.picture_from_pool(frame).is_some(), "{frame}");
        }
        assert_eq!(kept(&tools), [3]);
        assert!(with_b.picture_from_pool(4).is_some());
        assert!(plain.picture_from_pool(0).is_some());
        assert_eq!(kept(&tools), [1, 4]);
        // Another coding, whose keys do not make a decoder forget: its child ends with the picture.
        assert!(opened("hevc.mp4", &tools).picture_from_pool(2).is_some());
        assert_eq!(kept(&tools), [1, 4]);
        if let State::Open(processes) = &*tools.pool.state() {
            processes.kept.iter().for_each(|process| process.pictures.running.end());
        }
        let picture = plain.picture(7).expect("it comes all the same");
        assert!(picture.exact && kept(&tools) == [1], "{:?}", kept(&tools));
        assert_eq!(plain.picture_from_pool(7).as_ref(), Some(&picture));
    }

    /// An FFmpeg that gives nothing while its input is open stands for another version.
    #[test]
    fn a_child_that_waits_for_the_end_of_its_input_is_not_kept() {
        let Some(tools) = Tools::find(None) else { return };
        tools.stand_by();
        if let State::Open(processes) = &mut *tools.pool.state() {
            processes.all_end = true;
        }
        let clip = opened("high-b.mp4", &tools);
        assert!(clip.picture_from_pool(11).is_some());
        assert!(clip.picture_from_pool(2).is_some());
        assert!(kept(&tools).is_empty());
    }

    #[test]
    fn a_clip_whose_index_does_not_vouch_for_it_is_decoded_as_ever() {
        let Some(tools) = Tools::find(None) else { return };
        tools.stand_by();
        for name in ["b-in.ts", "high-b.mkv", "mjpeg.mov", "no-first-key.ts"] {
            let clip = opened(name, &tools);
            assert_eq!((&clip.gop_index, clip.picture_from_pool(3)), (&None, None), "{name}");
        }
    }
}
