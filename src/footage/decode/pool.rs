//! FFmpegs that were started before anybody asked, and wait: their libraries are loaded and their pipe is empty.
//!
//! Starting takes longer than decoding most groups. So where a desk asks for it ([`Tools::stand_by`]), one child that
//! has read nothing waits; a cold picture's coded data ([`super::group`]) are handed to it, and it gives the one picture.
//! Where the coding allows it, the same child is kept for the next picture of that coding: its memory is warm, and
//! nothing is started. Else it ends, and another one is started. Whatever does not come cleanly comes the way it came
//! before. Children end when the last owner of the tools goes, or when this program does: their pipes are then closed.

use super::ffmpeg::{Pictures, Tools};
use crate::decode::gop::Piece;
use crate::decode::process::{Running, STALLED};
use crate::picture::Picture;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::thread;
use std::time::Duration;

/// Wanted pictures are shown at multiples of this, in thousandths of a second: a quarter of an hour. The pictures of a
/// piece lie closer together, and FFmpeg takes a day and more between two pictures for an error.
pub(crate) const EACH: i64 = 1 << 20;

/// Children that are kept: one for each camera of a desk that records in its own way.
const MOST_KEPT: usize = 4;

/// A child that is kept gives its picture while its input stays open. One that has given nothing for so long, of
/// whatever make, waits for the end of it.
const PATIENCE: Duration = Duration::from_secs(3);

/// Where children wait.
#[derive(Debug, Clone)]
pub(crate) struct Waiting(Arc<Mutex<Place>>);

#[derive(Debug)]
enum Place {
    /// Nobody asked that one waits, or none can be started.
    Closed,
    /// Children wait.
    Open(Children),
}

#[derive(Debug, Default)]
struct Children {
    /// One that has read nothing; `None` where it was taken, and the next is not started yet.
    fresh: Option<Running>,
    /// Those that gave a picture, the one that gave the last at the end.
    kept: Vec<Child>,
    /// A child waited for the end of its input: none is kept any more.
    all_end: bool,
}

/// A child that has been given pieces with one head.
#[derive(Debug)]
struct Child {
    pictures: Pictures,
    head: Vec<u8>,
    /// How many pieces it was given.
    given: i64,
}

impl Child {
    fn fresh(running: Running) -> Child {
        Child { pictures: Pictures::of(running), head: Vec::new(), given: 0 }
    }

    /// Hands it a piece, and takes the picture; `None` where that does not come cleanly.
    fn picture(&mut self, piece: &Piece, pts: i64) -> Option<Picture> {
        self.given += 1;
        let time = EACH.checked_mul(self.given)?;
        let mut bytes = Vec::new();
        if self.head.is_empty() {
            self.head.clone_from(&piece.head);
            bytes.extend_from_slice(&piece.head);
        }
        bytes.extend(piece.at(time)?);
        let running = &mut self.pictures.running;
        running.feed(bytes, if piece.goes_on { PATIENCE } else { STALLED });
        if !piece.goes_on {
            running.close();
        }
        let picture = self.pictures.next().ok().flatten()?.picture;
        self.pictures.running.rests();
        let is_clean = self.pictures.is_clean_after(0) && picture.pts == time;
        is_clean.then_some(Picture { pts, exact: true, ..picture })
    }
}

impl Waiting {
    /// A place where nobody waits.
    pub(crate) fn none() -> Waiting {
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
        if matches!(*place, Place::Closed)
            && let Ok(running) = self.start_waiting()
        {
            *place = Place::Open(Children { fresh: Some(running), ..Children::default() });
        }
    }

    /// Whether a child waits, or will soon.
    pub(crate) fn stands_by(&self) -> bool {
        !matches!(*self.waiting.place(), Place::Closed)
    }

    /// The picture that a piece is made for, with `pts` as its time; `None` where it does not come cleanly, or nobody
    /// waits.
    pub(crate) fn picture_of(&self, mut piece: Piece, pts: i64) -> Option<Picture> {
        let mut child = self.take(&mut piece)?;
        let found = child.picture(&piece, pts);
        let was_stalled = child.pictures.running.was_stalled();
        if let Place::Open(children) = &mut *self.waiting.place() {
            children.all_end |= was_stalled && piece.goes_on;
            if found.is_some() && piece.goes_on {
                children.kept.push(child);
                let too_many = children.kept.len().saturating_sub(MOST_KEPT);
                children.kept.drain(..too_many);
            }
        }
        self.renew();
        found
    }

    /// The child that reads such pieces, or the one that has read nothing; where the next one is not started yet, it is
    /// started now.
    fn take(&self, piece: &mut Piece) -> Option<Child> {
        let mut place = self.waiting.place();
        let Place::Open(children) = &mut *place else { return None };
        piece.goes_on &= !children.all_end;
        let reads = |child: &Child| child.head == piece.head;
        if piece.goes_on
            && let Some(index) = children.kept.iter().position(reads)
        {
            return Some(children.kept.remove(index));
        }
        let taken = children.fresh.take().or_else(|| self.start_waiting().ok());
        if taken.is_none() {
            *place = Place::Closed;
        }
        taken.map(Child::fresh)
    }

    /// Starts the next one beside whoever has his picture already.
    fn renew(&self) {
        let is_wanted = |place: &Place| matches!(place, Place::Open(Children { fresh: None, .. }));
        if !is_wanted(&self.waiting.place()) {
            return;
        }
        let tools = self.clone();
        thread::spawn(move || {
            let mut place = tools.waiting.place();
            let Place::Open(Children { fresh: fresh @ None, .. }) = &mut *place else { return };
            match tools.start_waiting() {
                Ok(running) => *fresh = Some(running),
                Err(_) => *place = Place::Closed,
            }
        });
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::clip::Clip;
    use std::ops::ControlFlow;
    use std::path::Path;

    fn opened(name: &str, tools: &Tools) -> Clip {
        let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tests/clips").join(name);
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
            // Backwards, too: a child that was kept has seen later pictures.
            for frame in [0, run.len() / 3, run.len() - 1, run.len() / 2, 1, run.len() - 2] {
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
        if let Place::Open(Children { fresh: Some(running), .. }) = &*tools.waiting.place() {
            running.end();
        }
        assert_eq!(clip.picture_by_waiting(7), None);
        assert!(clip.picture(7).expect("it comes all the same").exact);
    }

    /// Of each child that is kept, how many pieces it was given.
    fn kept(tools: &Tools) -> Vec<i64> {
        match &*tools.waiting.place() {
            Place::Open(children) => children.kept.iter().map(|child| child.given).collect(),
            Place::Closed => Vec::new(),
        }
    }

    #[test]
    fn one_child_gives_the_pictures_of_one_coding_until_it_fails() {
        let Some(tools) = Tools::find(None) else { return };
        tools.stand_by();
        let (plain, with_b) = (opened("high.mp4", &tools), opened("high-b.mp4", &tools));
        for frame in [3, 9, 5] {
            assert!(plain.picture_by_waiting(frame).is_some(), "{frame}");
        }
        assert_eq!(kept(&tools), [3]);
        assert!(with_b.picture_by_waiting(4).is_some());
        assert!(plain.picture_by_waiting(0).is_some());
        assert_eq!(kept(&tools), [1, 4]);
        // Another coding, whose keys do not make a decoder forget: its child ends with the picture.
        assert!(opened("hevc.mp4", &tools).picture_by_waiting(2).is_some());
        assert_eq!(kept(&tools), [1, 4]);
        if let Place::Open(children) = &*tools.waiting.place() {
            children.kept.iter().for_each(|child| child.pictures.running.end());
        }
        let picture = plain.picture(7).expect("it comes all the same");
        assert!(picture.exact && kept(&tools) == [1], "{:?}", kept(&tools));
        assert_eq!(plain.picture_by_waiting(7).as_ref(), Some(&picture));
    }

    /// An FFmpeg that gives nothing while its input is open stands for one of another make.
    #[test]
    fn a_child_that_waits_for_the_end_of_its_input_is_not_kept() {
        let Some(tools) = Tools::find(None) else { return };
        tools.stand_by();
        if let Place::Open(children) = &mut *tools.waiting.place() {
            children.all_end = true;
        }
        let clip = opened("high-b.mp4", &tools);
        assert!(clip.picture_by_waiting(11).is_some());
        assert!(clip.picture_by_waiting(2).is_some());
        assert!(kept(&tools).is_empty());
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
