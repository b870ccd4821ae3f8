//! Marks on the film of the demo's play: the frame that the truth names for a moment, decoded, hashed, and a still.
//!
//! Without the film the marks of the script are typed, and the review is the same.

use evidence::mark::Shot;
use footage::clip::Clip;
use footage::decode::ffmpeg::Tools;
use footage::show::still;
use host::decoder;
use host::frame::proven;
use review::event::{Marked, SeenFrom};
use scene::truth::Truth;
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;

/// The film: its clips by camera, and what really happened.
pub(super) struct Film {
    truth: Truth,
    clips: BTreeMap<String, Clip>,
}

/// What a mark takes of its frame.
pub(super) struct Taken {
    pub shot: Shot,
    pub still: Vec<u8>,
}

impl Film {
    /// The film in a folder, of these cameras.
    ///
    /// # Errors
    /// What is missing or cannot be read.
    pub(super) fn open(folder: &Path, cameras: &BTreeSet<&str>) -> Result<Film, String> {
        let path = folder.join("truth.json");
        let text = fs::read_to_string(&path).map_err(|_| "the play is not filmed".to_owned())?;
        let truth: Truth =
            serde_json::from_str(&text).map_err(|error| format!("{}: {error}", path.display()))?;
        let (tools, worker) = (Tools::find(None), decoder::worker());
        let mut clips = BTreeMap::new();
        for camera in cameras {
            let path = folder.join(format!("{}.mp4", camera.replace(' ', "-")));
            if !path.exists() {
                return Err(format!("the play is not filmed by {camera}"));
            }
            let clip = Clip::open(&path, tools.as_ref())
                .map_err(|error| format!("{}: {error}", path.display()))?
                .with_worker(worker.as_ref());
            clips.insert((*camera).to_owned(), clip);
        }
        Ok(Film { truth, clips })
    }

    /// The first frame of the mark's camera that shows its moment.
    ///
    /// # Errors
    /// If the film has no such frame, or it cannot be decoded.
    pub(super) fn taken(&self, marked: &Marked) -> Result<Taken, String> {
        let mark = &marked.mark;
        let camera = self.truth.cameras.iter().find(|camera| camera.name == mark.camera);
        let frame = camera.and_then(|camera| camera.first_frames.get(&mark.moment));
        let (Some(frame), Some(clip)) = (frame, self.clips.get(&mark.camera)) else {
            return Err(format!("{} is not in the film of {}", mark.moment, mark.camera));
        };
        let number = usize::try_from(*frame).map_err(|error| error.to_string())?;
        let (shot, picture) = proven(clip, number).map_err(|why| why.to_string())?;
        let still = still::still(&picture, (clip.rotation, clip.pixel_aspect), clip.coding)
            .map_err(|error| error.to_string())?;
        Ok(Taken { shot, still })
    }

    /// The proof of the picture in which something was clicked: the frame that carries its timecode.
    ///
    /// # Errors
    /// If the film has no such frame, or it cannot be decoded.
    pub(super) fn shot(&self, seen: &SeenFrom) -> Result<Shot, String> {
        let SeenFrom { camera, timecode, .. } = seen;
        let clip = self.clips.get(camera);
        let frame = clip.and_then(|clip| {
            let numbers = 0..clip.frames.len();
            numbers.into_iter().find(|number| clip.timecode_of(*number).as_ref() == Some(timecode))
        });
        let (Some(frame), Some(clip)) = (frame, clip) else {
            return Err(format!("{timecode} is not in the film of {camera}"));
        };
        proven(clip, frame).map(|(shot, _)| shot).map_err(|why| why.to_string())
    }
}
