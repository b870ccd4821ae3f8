//! An FFmpeg that was started before anybody asked, and waits: its libraries are loaded and its pipe is empty.
//!
//! Starting takes longer than decoding most groups. So where a desk asks for it ([`Tools::stand_by`]), one child
//! waits; a cold picture's coded data ([`super::group`]) are handed to it, it gives the one picture and ends, and the
//! next one is started. Whatever it does not give cleanly comes the way it came before. A child that waits ends when
//! the last owner of the tools goes, or when this program does: its pipe is then closed.

use super::child::Running;
use super::ffmpeg::{Pictures, Tools};
use super::group::SHOWN_AT;
use super::picture::Picture;
use std::mem;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::thread;

/// The place of the one child.
#[derive(Debug, Clone)]
pub(super) struct Waiting(Arc<Mutex<Place>>);

#[derive(Debug)]
enum Place {
    /// Nobody asked that one waits, or none can be started.
    Closed,
    /// One was taken, and the next is not started yet.
    Empty,
    /// One waits.
    Waits(Running),
}

impl Waiting {
    /// A place where nobody waits.
    pub(super) fn none() -> Waiting {
        Waiting(Arc::new(Mutex::new(Place::Closed)))
    }

    /// Every change of the place is one step, so it is whole even where a thread panicked.
    fn place(&self) -> MutexGuard<'_, Place> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl Tools {
    /// From now on one child waits.
    pub fn stand_by(&self) {
        let mut place = self.waiting.place();
        if matches!(*place, Place::Closed) {
            *place = self.started();
        }
    }

    fn started(&self) -> Place {
        self.start_waiting().map_or(Place::Closed, Place::Waits)
    }

    /// Whether a child waits, or will soon.
    pub(super) fn stands_by(&self) -> bool {
        !matches!(*self.waiting.place(), Place::Closed)
    }

    /// Hands the one that waits a piece, and takes the picture that is shown at [`SHOWN_AT`] in it, with `pts` as its
    /// time; `None` where it does not come cleanly, or nobody waits.
    pub(super) fn picture_of(&self, piece: Vec<u8>, pts: i64) -> Option<Picture> {
        let mut running = self.take()?;
        running.feed(piece);
        let mut pictures = Pictures::of(running);
        let found = pictures.next().ok().flatten();
        let is_clean = pictures.is_clean_after(0);
        drop(pictures);
        self.renew();
        let picture = found?.picture;
        (is_clean && picture.pts == SHOWN_AT).then_some(Picture { pts, exact: true, ..picture })
    }

    /// The one that waits; where the next one is not started yet, it is started now.
    fn take(&self) -> Option<Running> {
        let mut place = self.waiting.place();
        let taken = match mem::replace(&mut *place, Place::Empty) {
            Place::Waits(running) => Some(running),
            Place::Empty => self.start_waiting().ok(),
            Place::Closed => None,
        };
        if taken.is_none() {
            *place = Place::Closed;
        }
        taken
    }

    /// Starts the next one beside whoever has his picture already.
    fn renew(&self) {
        let tools = self.clone();
        thread::spawn(move || {
            let mut place = tools.waiting.place();
            if matches!(*place, Place::Empty) {
                *place = tools.started();
            }
        });
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::footage::clip::Clip;
    use std::ops::ControlFlow;
    use std::path::Path;

    fn opened(name: &str, tools: &Tools) -> Clip {
        let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/clips").join(name);
        Clip::open(&path, Some(tools)).unwrap_or_else(|error| panic!("{name}: {error}"))
    }

    /// The pictures of a run are those of the reference (`tests/footage_exact.rs`).
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
            for frame in [0, run.len() / 3, run.len() / 2, run.len() - 2] {
                let found = clip.picture_by_waiting(frame);
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
        assert_eq!(clip.picture_by_waiting(7), None);
        tools.stand_by();
        if let Place::Waits(running) = &*tools.waiting.place() {
            running.end();
        }
        assert_eq!(clip.picture_by_waiting(7), None);
        assert!(clip.picture(7).expect("it comes all the same").exact);
    }

    #[test]
    fn a_clip_whose_index_does_not_vouch_for_it_is_decoded_as_ever() {
        let Some(tools) = Tools::find(None) else { return };
        tools.stand_by();
        for name in ["b-in.ts", "high-b.mkv", "mjpeg.mov", "no-first-key.ts"] {
            let clip = opened(name, &tools);
            assert_eq!((&clip.groups, clip.picture_by_waiting(3)), (&None, None), "{name}");
        }
    }
}
