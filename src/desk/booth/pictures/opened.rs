//! Which clips are open: dropped files, watched folders, and the camera that a file belongs to.

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
    /// Time since the last look at the folder.
    rested: Duration,
}

/// Interval between looks at a watched folder. A file that has not grown in between is finished.
pub(super) const LOOK: Duration = Duration::from_secs(1);

impl Pictures {
    /// Opens files, and watches folders. A file that names a camera replaces that camera's clip of an older play, if
    /// the review in hand allows it. Other files go to the next free camera.
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
        // Files that name their camera come first, so that others do not take it.
        files.sort_by_key(|file| named(file, &self.cameras).is_none());
        let lead = self.panes.get(self.lead).map(|pane| pane.camera);
        for file in files {
            self.arrives(file, by);
        }
        self.in_order(lead);
    }

    /// Sorts the panes by camera. The large camera stays the same. If there was none, it becomes the one in hand, or
    /// the first.
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

    /// Adds a clip for a camera that has none, with the hash of its file if it is known.
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
            // The playhead ran on the clock of that clip. The new one begins at its first frame.
            self.playhead = None;
        }
        if at < self.lead {
            self.lead -= 1;
        }
    }

    /// Closes the clips of a play whose review is over: the next review does not begin with its pictures.
    pub(crate) fn close_all(&mut self) {
        let cameras: Vec<usize> = self.panes.iter().map(|pane| pane.camera).collect();
        cameras.into_iter().for_each(|camera| self.close(camera));
        (self.playhead, self.lead) = (None, 0);
        self.draw_over();
    }

    /// Takes in the files in the watched folder that were finished since the last look.
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
        pictures.wait_for_clips();
        let shown = |pictures: &Pictures| {
            let frames =
                |pane: &Pane| (pane.camera, pane.facts.as_ref().map_or(0, |facts| facts.frames.len()));
            pictures.panes.iter().map(frames).collect::<Vec<_>>()
        };
        let first = shown(&pictures);
        assert_eq!(first.iter().map(|(camera, _)| *camera).collect::<Vec<_>>(), [0, 1]);

        // The next play of the near side replaces the older one, and never another camera's clip.
        pictures.open(&[file("near-side-2.mp4", "all-intra.mp4")], &cameras);
        pictures.wait_for_clips();
        assert_eq!(shown(&pictures), [(0, first[1].1), first[1]]);

        // A frame of the high end is marked: its next clip waits until the review is over.
        let marked = [(1, None)].into();
        pictures.rests_on(Rests { on: true, marked, ..Rests::default() }, &cameras);
        pictures.open(&[file("high-end-2.mp4", "timecode.mp4")], &cameras);
        pictures.wait_for_clips();
        assert_eq!(shown(&pictures)[1], first[1]);
        assert!(
            pictures.told.as_deref().is_some_and(|told| told.contains("after the review")),
            "{:?}",
            pictures.told
        );
        pictures.rests_on(Rests::default(), &cameras);
        pictures.wait_for_clips();
        assert_eq!(shown(&pictures)[1], (1, first[0].1));
    }
}
