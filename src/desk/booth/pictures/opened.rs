//! Which clips are open: files that were dropped, folders that are watched, and whose clip a file is.

use super::offered::{By, named};
use super::sight::Sight;
use super::{Pane, Pictures};
use crate::booth::context::lettered;
use footage::watch;
use footage::watch::Watch;
use std::path::PathBuf;
use std::time::Duration;

/// A folder whose clips are opened as they are finished.
pub(super) struct Watched {
    folder: PathBuf,
    watch: Watch,
    /// Time since the last look at it.
    rested: Duration,
}

/// How often a watched folder is looked at. A file that has not grown in between is finished.
pub(super) const LOOK: Duration = Duration::from_secs(1);

impl Pictures {
    /// Opens files, and watches a folder: its clips are opened as they are finished. A file that names a camera is that
    /// camera's, in the place of an older play's clip, as far as the review in hand lets it; others get the next camera that
    /// is free.
    pub(crate) fn open(&mut self, paths: &[PathBuf], cameras: &[String]) {
        self.cameras = cameras.to_vec();
        let mut files: Vec<PathBuf> = Vec::new();
        for path in paths {
            match path.is_dir() {
                true => {
                    let folder = path.clone();
                    self.watched = Some(Watched { folder, watch: Watch::default(), rested: LOOK });
                }
                false => files.push(path.clone()),
            }
        }
        self.take_in(files, By::Hand);
    }

    fn take_in(&mut self, mut files: Vec<PathBuf>, by: By) {
        // A file that names its camera keeps it from one that does not.
        files.sort_by_key(|file| named(file, &self.cameras).is_none());
        let lead = self.panes.get(self.lead).map(|pane| pane.camera);
        for file in files {
            self.arrives(file, by);
        }
        self.in_order(lead);
    }

    /// Puts the panes in the order of their cameras. The large camera stays the same one, wherever the new clips stand; where
    /// there was none, it is the one in hand, or the first.
    pub(super) fn in_order(&mut self, lead: Option<usize>) {
        self.panes.sort_by_key(|pane| pane.camera);
        let place = |camera: usize| self.panes.iter().position(|pane| pane.camera == camera);
        self.lead = lead.and_then(place).or_else(|| place(self.hand)).unwrap_or(0);
        if lead.is_none()
            && let Some(first) = self.panes.get(self.lead)
        {
            self.hand = first.camera;
        }
    }

    /// A clip more, for a camera that has none; with the hash of its file, where that is known.
    pub(super) fn open_one(&mut self, camera: usize, (file, sha256): (PathBuf, Option<String>)) {
        for clip in self.deck.open(vec![file]) {
            self.panes.push(Pane {
                camera,
                label: lettered(&self.cameras, camera),
                name: self.cameras.get(camera).cloned().unwrap_or_else(String::new),
                clip,
                sha256: sha256.clone(),
                facts: None,
                track: None,
                clock: 0,
                shown: None,
                sight: Sight::default(),
                room: None,
                due: None,
                why: None,
                indexing: None,
                again: None,
            });
        }
    }

    /// Closes the clip of a camera, if it has one.
    pub(super) fn close(&mut self, camera: usize) {
        let Some(at) = self.panes.iter().position(|pane| pane.camera == camera) else { return };
        let older = self.panes.remove(at);
        self.deck.close(older.clip);
        self.place.forget(camera);
        if at == self.lead {
            // It ran on the clock of the clip that is gone; the new one begins at its first frame.
            self.playhead = None;
        }
        if at < self.lead {
            self.lead -= 1;
        }
    }

    /// Takes in what has been finished in the watched folder since the last look.
    pub(super) fn look_at_folder(&mut self, elapsed: Duration) {
        let Some(watched) = &mut self.watched else { return };
        watched.rested += elapsed;
        if watched.rested < LOOK {
            return;
        }
        watched.rested = Duration::ZERO;
        match watch::list(&watched.folder) {
            Ok(found) => {
                let done = watched.watch.look(found);
                if !done.is_empty() {
                    self.take_in(done, By::Folder);
                }
            }
            Err(error) => self.told = Some(format!("{} cannot be listed: {error}", watched.folder.display())),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::offered::Rests;
    use super::*;
    use std::path::Path;

    /// Pictures with so many panes whose facts are there.
    fn listened(pictures: &mut Pictures) {
        while pictures.panes.iter().any(|pane| pane.facts.is_none()) {
            pictures.wait();
        }
    }

    #[test]
    fn the_next_plays_clip_takes_its_cameras_place_but_not_while_a_frame_of_the_older_is_marked() {
        let folder = tempfile::tempdir().expect("a folder");
        let cameras = ["near side", "high end"].map(str::to_owned);
        let file = |name: &str, clip: &str| {
            let from = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tests/clips").join(clip);
            let file = folder.path().join(name);
            std::fs::copy(from, &file).expect("it can be copied");
            file
        };
        let mut pictures = Pictures::new(folder.path());
        pictures.open(
            &[file("near-side-1.mp4", "timecode.mp4"), file("high-end-1.mp4", "all-intra.mp4")],
            &cameras,
        );
        listened(&mut pictures);
        let shown = |pictures: &Pictures| {
            let frames =
                |pane: &Pane| (pane.camera, pane.facts.as_ref().map_or(0, |facts| facts.frames.len()));
            pictures.panes.iter().map(frames).collect::<Vec<_>>()
        };
        let first = shown(&pictures);
        assert_eq!(first.iter().map(|(camera, _)| *camera).collect::<Vec<_>>(), [0, 1]);

        // The next play of the near side comes: in the place of the older one, and never as another camera's.
        pictures.open(&[file("near-side-2.mp4", "all-intra.mp4")], &cameras);
        listened(&mut pictures);
        assert_eq!(shown(&pictures), [(0, first[1].1), first[1]]);

        // A frame of the high end is marked: its next clip waits until the review is over.
        let marked = [(1, None)].into();
        pictures.rests_on(Rests { on: true, marked, ..Rests::default() }, &cameras);
        pictures.open(&[file("high-end-2.mp4", "timecode.mp4")], &cameras);
        listened(&mut pictures);
        assert_eq!(shown(&pictures)[1], first[1]);
        assert!(
            pictures.told.as_deref().is_some_and(|told| told.contains("after the review")),
            "{:?}",
            pictures.told
        );
        pictures.rests_on(Rests::default(), &cameras);
        listened(&mut pictures);
        assert_eq!(shown(&pictures)[1], (1, first[0].1));
    }
}
