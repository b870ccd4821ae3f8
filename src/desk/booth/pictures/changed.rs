//! Panes whose file is overwritten, moved or replaced while it is open. Nothing of the old recording is shown or marked
//! any more, and the file is opened again when nobody writes to it.

use super::Pictures;
use super::offered::name;
use super::opened::LOOK;
use footage::error::Change;
use std::path::PathBuf;
use std::time::{Duration, SystemTime};

/// A file to be opened again once it has not changed between two looks.
#[derive(Debug)]
pub(super) struct Again {
    path: PathBuf,
    /// Its size in bytes and the time it was written, at the last look.
    seen: Option<(u64, Option<SystemTime>)>,
    /// Time since the last look.
    rested: Duration,
}

impl Pictures {
    /// Call this when the file of a clip is not the one that was opened.
    pub(super) fn changed(&mut self, clip: usize, path: PathBuf, why: Change) {
        self.deck.close(clip);
        let Some(pane) = self.pane(clip) else { return };
        pane.why = Some(format!("{}: {why}; it is opened again when nobody writes to it", name(&path)));
        (pane.facts, pane.track, pane.shown, pane.due, pane.indexing) = (None, None, None, None, None);
        pane.again = Some(Again { path, seen: None, rested: Duration::ZERO });
        let camera = pane.camera;
        // Another recording shows other moments and places.
        self.tying = self.tying.filter(|begun| begun.camera != camera);
        self.place.forget(camera);
        self.draw_over();
    }

    /// Checks that every file is still the one that was opened.
    pub(crate) fn check_files(&mut self) {
        let changed = self.panes.iter().filter_map(|pane| {
            let facts = pane.facts.as_ref()?;
            Some((pane.clip, facts.path.clone(), facts.check().err()?))
        });
        for (clip, path, why) in changed.collect::<Vec<_>>() {
            self.changed(clip, path, why);
        }
    }

    /// How often changed files are looked at, if there are any.
    pub(super) fn looks_again(&self) -> Option<Duration> {
        self.panes.iter().any(|pane| pane.again.is_some()).then_some(LOOK)
    }

    /// Opens files again that have not changed since the last look. Panes stay where they were.
    pub(super) fn open_again(&mut self, elapsed: Duration) {
        let Pictures { panes, deck, .. } = self;
        for pane in panes {
            let Some(again) = &mut pane.again else { continue };
            again.rested += elapsed;
            if again.rested < LOOK {
                continue;
            }
            again.rested = Duration::ZERO;
            let now = std::fs::metadata(&again.path).ok().map(|facts| (facts.len(), facts.modified().ok()));
            let is_at_rest = now.is_some() && now == again.seen;
            again.seen = now;
            if is_at_rest && let Some(Again { path, .. }) = pane.again.take() {
                pane.why = None;
                deck.open(vec![path]).into_iter().for_each(|clip| pane.clip = clip);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::tests::waited::write_over;
    use super::super::{Act, Quality};
    use super::*;
    use crate::booth::context::lettered;
    use std::path::Path;

    const CAMERA: &str = "near side";

    /// Pictures that show an exact frame of a copied clip, after the whole clip was looked through.
    fn shown(folder: &Path) -> (Pictures, PathBuf) {
        let path = folder.join("near-side.mp4");
        let stored = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tests/clips/baseline.mp4");
        std::fs::copy(stored, &path).expect("it can be copied");
        let mut pictures = Pictures::new(folder);
        pictures.open(std::slice::from_ref(&path), &[CAMERA.to_owned()]);
        pictures.wait_for_clips();
        pictures.act(Act::Step(1), &[]);
        let rests = |pictures: &Pictures| {
            let pane = &pictures.panes[0];
            let exact = pane.shown.as_ref().is_some_and(|shown| shown.quality == Quality::Exact);
            exact && pane.due.is_none() && pane.indexing.is_none()
        };
        while !rests(&pictures) {
            pictures.wait();
        }
        (pictures, path)
    }

    #[test]
    fn a_mark_takes_nothing_of_a_file_that_was_written_over() {
        let folder = tempfile::tempdir().expect("a folder");
        let (pictures, path) = shown(folder.path());
        let target = pictures.target().expect("a frame is shown");
        assert!(target.taken().expect("it is proven").shot.exact);
        write_over(&path);
        assert!(target.taken().is_err() && target.shot().is_err());
    }

    #[test]
    fn a_pane_shows_nothing_of_a_file_that_was_written_over_and_opens_it_again() {
        let folder = tempfile::tempdir().expect("a folder");
        let (mut pictures, path) = shown(folder.path());
        write_over(&path);
        pictures.act(Act::Step(1), &[]);
        pictures.wait();
        assert!(pictures.panes[0].shown.is_none(), "the old recording is shown");
        assert!(pictures.target().is_none() && pictures.listens().is_some());
        let why = pictures.panes[0].why.clone().expect("it says why");
        assert!(why.starts_with("near-side.mp4: the file was written to after it was opened"), "{why}");
        // Two looks without a change between them, as in a watched folder.
        for _ in 0..2 {
            pictures.tick(Duration::from_secs(1));
        }
        pictures.wait_for_clips();
        let facts = pictures.panes[0].facts.clone().expect("it is open");
        assert_eq!((facts.frames.len(), facts.size), (20, (64, 48)), "the new recording");
        assert_eq!((pictures.frame(), pictures.panes[0].camera), (Some(2), 0), "where it was");
        assert_eq!(pictures.panes[0].label, lettered(&[CAMERA.to_owned()], 0));
        assert!(pictures.target().expect("it can be marked").taken().expect("it is proven").shot.exact);
    }

    #[test]
    fn a_pane_whose_file_is_gone_says_so_and_goes_on_when_it_is_back() {
        let folder = tempfile::tempdir().expect("a folder");
        let (mut pictures, path) = shown(folder.path());
        let away = path.with_extension("away");
        std::fs::rename(&path, &away).expect("it can be moved");
        pictures.act(Act::Step(1), &[]);
        pictures.wait();
        for _ in 0..3 {
            pictures.tick(Duration::from_secs(1));
        }
        let pane = &pictures.panes[0];
        assert!(
            pane.facts.is_none() && pane.why.as_ref().is_some_and(|why| why.contains("the file is gone"))
        );
        std::fs::rename(&away, &path).expect("it can be moved");
        for _ in 0..2 {
            pictures.tick(Duration::from_secs(1));
        }
        pictures.wait_for_clips();
        assert_eq!(pictures.panes[0].facts.as_ref().map(|facts| facts.frames.len()), Some(36));
    }
}
