//! What a decoder needs for one picture of an MP4 file, and no more: the coded pictures from where decoding may begin,
//! without those that nothing is predicted from, as a small file of their own.
//!
//! Only where the index vouches for it: its pictures are, time by time and key by key, those that the clip has. Never
//! here: a decoder.

use super::clip::Frame;
use super::mp4::{Sample, Video, piece};
use std::fs::File;
use std::io::{Read, Seek, SeekFrom};
use std::path::{Path, PathBuf};

/// In the piece, the wanted picture is shown at this time: 212 days at 60,000 units a second, a quarter of an hour
/// where a unit is a nanosecond. What comes before it in its group has room.
pub(super) const SHOWN_AT: i64 = 1 << 40;

/// More coded pictures than this, or bytes, are not put into memory for one picture.
const MOST_SAMPLES: usize = 1024;
const MOST_BYTES: u64 = 64 << 20;
const MOST_DESCRIPTION: usize = 1 << 16;

/// The coded pictures of a clip.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Groups {
    path: PathBuf,
    /// The `stsd` box of the track.
    description: Vec<u8>,
    scale: u32,
    /// In the order of decoding.
    samples: Vec<Sample>,
    /// Decoding may begin at the sample.
    begins: Vec<bool>,
    /// Others may be predicted from the sample; all where the headers say nothing.
    serves: Vec<bool>,
    /// The sample of each frame, in the order of showing.
    frames: Vec<usize>,
}

impl Groups {
    /// Of a track in which decoding may begin at some samples (`begins`) and others are predicted from some
    /// (`serves`); `None` where its index does not say the same of the frames as the clip.
    pub(super) fn of(
        path: &Path,
        video: &Video,
        (begins, serves): (Vec<bool>, Vec<bool>),
        frames: &[Frame],
    ) -> Option<Groups> {
        let is_plain = !video.is_cut
            && !video.has_several_codings
            && matches!(&video.coding, b"avc1" | b"avc3" | b"hvc1" | b"hev1")
            && video.description.len() <= MOST_DESCRIPTION;
        let mut order = video.shown.clone();
        order.sort_by_key(|index| video.samples.get(*index).map(|sample| sample.shown));
        order.truncate(frames.len());
        let is_same = |(frame, index): (&Frame, &usize)| {
            let sample = video.samples.get(*index);
            sample.is_some_and(|sample| (sample.shown, sample.is_key) == (frame.pts, frame.is_key))
        };
        let are_same = order.len() == frames.len() && frames.iter().zip(&order).all(is_same);
        (is_plain && are_same).then(|| Groups {
            path: path.to_owned(),
            description: video.description.clone(),
            scale: video.scale,
            samples: video.samples.clone(),
            begins,
            serves,
            frames: order,
        })
    }

    /// The piece for one frame, which is shown at [`SHOWN_AT`] in it; `None` where it cannot be made.
    pub(super) fn piece(&self, frame: usize) -> Option<Vec<u8>> {
        let wanted = self.needed(frame)?;
        let shown = wanted.last()?.shown;
        let bytes: u64 = wanted.iter().map(|sample| u64::from(sample.size)).sum();
        if wanted.len() > MOST_SAMPLES || bytes > MOST_BYTES {
            return None;
        }
        let mut piece = piece::head(&self.description, self.scale, &wanted, (shown, SHOWN_AT))?;
        let mut file = File::open(&self.path).ok()?;
        for sample in &wanted {
            file.seek(SeekFrom::Start(sample.offset)).ok()?;
            let size = u64::from(sample.size);
            let count = file.by_ref().take(size).read_to_end(&mut piece).ok()?;
            // A file that was cut since it was opened.
            (count as u64 == size).then_some(())?;
        }
        Some(piece)
    }

    /// From the last key that is decoded and shown no later than the frame to the frame itself, in the order of
    /// decoding. A key is needed even where an edit list leaves it out.
    fn needed(&self, frame: usize) -> Option<Vec<Sample>> {
        let own = *self.frames.get(frame)?;
        let shown = self.samples.get(own)?.shown;
        let begins = |index: &usize| {
            let is_before = self.samples.get(*index).is_some_and(|sample| sample.shown <= shown);
            is_before && self.begins.get(*index) == Some(&true)
        };
        let key = (0..=own).rev().find(begins)?;
        let is_needed = |index: &usize| [key, own].contains(index) || self.serves.get(*index) != Some(&false);
        (key..=own).filter(is_needed).map(|index| self.samples.get(index).copied()).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Two open groups, in the order of decoding: key, P, b, key, b (shown before its key), P, b.
    fn groups() -> Groups {
        let shown = [10, 30, 20, 50, 40, 70, 60];
        let samples: Vec<Sample> = (0..7)
            .zip(shown)
            .map(|(index, shown)| Sample {
                offset: 0,
                size: 1,
                decode: 10 * index,
                shown,
                duration: 10,
                is_key: matches!(index, 0 | 3),
            })
            .collect();
        let begins = samples.iter().map(|sample| sample.is_key).collect();
        let serves = vec![true, true, false, true, false, true, false];
        let frames = vec![0, 2, 1, 4, 3, 6, 5];
        Groups {
            path: PathBuf::from("/nowhere/at/all"),
            description: Vec::new(),
            scale: 600,
            samples,
            begins,
            serves,
            frames,
        }
    }

    #[test]
    fn a_picture_needs_what_stands_between_its_key_and_itself_and_is_predicted_from() {
        let groups = groups();
        let needed = |frame: usize| -> Option<Vec<i64>> {
            groups.needed(frame).map(|needed| needed.iter().map(|sample| sample.shown).collect())
        };
        for (frame, expected) in [
            (0, vec![10]),
            (1, vec![10, 30, 20]),
            (2, vec![10, 30]),
            // Shown before the second key, so of the first group, and decoded after that key.
            (3, vec![10, 30, 50, 40]),
            (4, vec![50]),
            (5, vec![50, 70, 60]),
            (6, vec![50, 70]),
        ] {
            assert_eq!(needed(frame), Some(expected), "{frame}");
        }
        assert_eq!(needed(7), None);
        assert_eq!(groups.piece(0), None, "a file that is gone gives nothing");
        // The first key is cut off.
        let cut = Groups { frames: vec![1, 4], ..groups.clone() };
        assert_eq!(cut.needed(0).map(|needed| needed.len()), Some(2));
        let without = Groups { begins: vec![false; 7], ..groups };
        assert_eq!(without.needed(3), None);
    }
}
