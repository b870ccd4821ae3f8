//! The hash of each picture that was decoded cleanly from the start of the file.
//!
//! In MPEG-TS and Matroska nothing says whether decoding from a key that the file names gives exact pictures. So such
//! a clip is decoded once from its start; a desk does that when it scans the clip. From then on a picture may come by
//! a shorter way, if it is bit for bit the one that came from the start. Frames without a hash come from the start.

use crate::picture::Picture;
use sha2::{Digest, Sha256};
use std::sync::{Arc, OnceLock};

type Hash = [u8; 32];

/// The hashes, by frame. Copies of a clip share them: 40 bytes a frame.
#[derive(Debug, Clone)]
pub(crate) struct FrameHashes(Arc<[OnceLock<Hash>]>);

fn hash(picture: &Picture) -> Hash {
    Sha256::digest(&picture.samples).into()
}

impl FrameHashes {
    /// For a clip whose frames are not hashed yet.
    pub(crate) fn empty(frames: usize) -> FrameHashes {
        FrameHashes(std::iter::repeat_with(OnceLock::new).take(frames).collect())
    }

    /// Whether a frame has a hash.
    pub(crate) fn contains(&self, frame: usize) -> bool {
        self.0.get(frame).is_some_and(|known| known.get().is_some())
    }

    /// Keeps the hash of a picture that came from the start of the file.
    pub(crate) fn insert(&self, frame: usize, picture: &Picture) {
        if let Some(known) = self.0.get(frame) {
            known.get_or_init(|| hash(picture));
        }
    }

    /// Whether a picture is the one that came from the start.
    pub(crate) fn matches(&self, frame: usize, picture: &Picture) -> bool {
        self.0.get(frame).and_then(OnceLock::get).is_some_and(|known| *known == hash(picture))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::picture::PixelFormat;

    #[test]
    fn a_picture_is_known_by_every_sample_and_by_its_frame() {
        let picture = |value: u8| {
            let format = PixelFormat::plain(false);
            let mut samples = vec![16; format.size(4, 4)];
            samples[3] = value;
            Picture { pts: 0, width: 4, height: 4, format, samples, exact: true }
        };
        let known = FrameHashes::empty(2);
        assert!(!known.matches(1, &picture(16)) && !known.contains(1));
        known.insert(1, &picture(16));
        known.insert(7, &picture(16));
        let copy = known.clone();
        assert!(copy.contains(1) && copy.matches(1, &picture(16)));
        assert!(
            !copy.matches(1, &picture(17))
                && !copy.matches(0, &picture(16))
                && !copy.matches(7, &picture(16))
        );
    }
}
