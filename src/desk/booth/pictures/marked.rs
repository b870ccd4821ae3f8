//! The camera in hand and the marks of its clip: their frames, moving the playhead to them, and the target of a new
//! mark.

use super::{Pictures, Target};
use evidence::mark::Shot;
use footage::playhead;
use review::event::Marked;
use review::fold::Review;
use review::marking::in_force;

impl Pictures {
    /// Takes a camera in hand, by its place on the card of the game. Its clip becomes the large one; if none is open,
    /// its place says so.
    pub(crate) fn take_in_hand(&mut self, camera: usize) {
        let number = self.panes.iter().position(|pane| pane.camera == camera);
        let runs = number.filter(|number| self.panes.get(*number).is_some_and(|pane| pane.track.is_some()));
        if let Some(number) = runs {
            self.lead_by(number);
            self.tell_offers();
            return;
        }
        if self.places() {
            self.told = Some("no clip is open for this camera: there is nothing to click".to_owned());
            return;
        }
        self.hold();
        self.hand = camera;
    }

    /// The marks of the large camera that count, with their frames.
    pub(crate) fn marks(&self, review: &Review, cameras: &[String]) -> Vec<(String, usize)> {
        match self.is_shown() {
            true => self.marks_of(self.hand, review, cameras),
            false => Vec::new(),
        }
    }

    /// The marks of a camera that count, with their frames in the open clip.
    pub(crate) fn marks_of(
        &self,
        camera: usize,
        review: &Review,
        cameras: &[String],
    ) -> Vec<(String, usize)> {
        let Some(name) = cameras.get(camera) else { return Vec::new() };
        let marked = in_force(review).into_iter().filter(|marked| marked.mark.camera == *name);
        marked
            .filter_map(|marked| Some((marked.mark.moment.clone(), self.frame_of(camera, marked)?)))
            .collect()
    }

    /// The frame of a mark in the camera's open clip: if it was set in that clip, or by its timecode.
    pub(crate) fn frame_of(&self, camera: usize, marked: &Marked) -> Option<usize> {
        let facts = self.facts(camera)?;
        match &marked.shot {
            Some(shot) => usize::try_from(shot.frame).ok().filter(|_| self.holds(camera, shot)),
            None => {
                let is_its = |frame: &usize| facts.timecode_of(*frame) == Some(marked.mark.timecode);
                (0..facts.frames.len()).find(is_its)
            }
        }
    }

    /// Whether the camera's open clip has exactly this frame, as far as that is known.
    fn holds(&self, camera: usize, shot: &Shot) -> bool {
        let pane = self.panes.iter().find(|pane| pane.camera == camera);
        let is_file =
            pane.is_some_and(|pane| pane.sha256.as_ref().is_none_or(|own| *own == shot.clip_sha256));
        let frame = usize::try_from(shot.frame).ok();
        let is_frame = self.facts(camera).zip(frame).is_some_and(|(facts, frame)| {
            facts.base.parts() == shot.time_base
                && facts.frames.get(frame).is_some_and(|frame| frame.pts == shot.pts)
        });
        is_file && is_frame
    }

    /// Moves to the next of these marks, or to the one before.
    pub(super) fn go_to_mark(&mut self, marks: &[(String, usize)], on: bool) {
        let Some(now) = self.frame() else { return };
        let frames = marks.iter().map(|(_, frame)| *frame);
        let to = match on {
            true => frames.filter(|frame| *frame > now).min(),
            false => frames.filter(|frame| *frame < now).max(),
        };
        if let (Some(to), Some(playhead)) = (to, &mut self.playhead) {
            playhead.act(playhead::Act::Jump(to));
        }
    }

    /// The two marks around the playhead, to loop between.
    pub(super) fn around(&self, marks: &[(String, usize)]) -> Option<(usize, usize)> {
        let now = self.frame()?;
        let frames = marks.iter().map(|(_, frame)| *frame);
        let from = frames.clone().filter(|frame| *frame <= now).max().or_else(|| frames.clone().min())?;
        let to = frames.filter(|frame| *frame > from).min()?;
        Some((from, to))
    }

    /// The camera, clip and frame that a mark set now would have.
    pub(crate) fn target(&self) -> Option<Target> {
        let pane = self.panes.get(self.lead).filter(|_| self.is_shown())?;
        Target::of(pane.camera, pane.facts.clone()?, self.frame()?)
    }
}
