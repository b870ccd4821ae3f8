//! The frame that a mark is set on, with its proof and its still.

use evidence::mark::Shot;
use evidence::time::timecode::Timecode;
use footage::clip::Clip;
use footage::show::still;
use host::frame::{Unproven, proven};
use std::sync::Arc;

#[derive(Debug, Clone)]
pub(crate) struct Target {
    /// Index of the camera on the card of the game.
    pub camera: usize,
    facts: Arc<Clip>,
    frame: usize,
    /// Without a timecode in the clip, the time from its beginning.
    pub timecode: Timecode,
}

impl Target {
    /// `None` if the frame can have no timecode.
    pub(super) fn of(camera: usize, facts: Arc<Clip>, frame: usize) -> Option<Target> {
        let timecode = facts.timecode_of(frame).or_else(|| from_time(&facts, frame))?;
        Some(Target { camera, facts, frame, timecode })
    }

    pub(crate) fn frame(&self) -> usize {
        self.frame
    }

    /// Proves the frame, which takes as long as decoding it.
    ///
    /// # Errors
    /// [`Unproven`], if the picture is not decoded, or the file cannot be read or is not the one that was opened.
    pub(crate) fn shot(&self) -> Result<Shot, Unproven> {
        proven(&self.facts, self.frame).map(|(shot, _)| shot)
    }

    /// Proves the frame, and makes a still of its picture.
    ///
    /// # Errors
    /// As for [`Target::shot`].
    pub(crate) fn taken(&self) -> Result<Taken, Unproven> {
        let (shot, picture) = proven(&self.facts, self.frame)?;
        Ok(Taken {
            shot,
            still: still::still(&picture, (self.facts.rotation, self.facts.pixel_aspect), self.facts.coding)
                .map_err(Arc::new),
        })
    }
}

/// What a mark keeps of its picture.
#[derive(Debug, Clone)]
pub(crate) struct Taken {
    pub shot: Shot,
    /// The still's bytes, or why there is none.
    pub still: Result<Vec<u8>, Arc<footage::error::Error>>,
}

/// Hours, minutes, seconds and frames from the clip's beginning.
fn from_time(facts: &Clip, frame: usize) -> Option<Timecode> {
    let nominal = facts.rate.map_or(25.0, |rate| rate.as_f64().round());
    let nominal = (1.0..100.0).contains(&nominal).then_some(nominal as u8)?;
    Timecode::of_frame(u64::try_from(frame).ok()?, nominal, false).ok()
}
