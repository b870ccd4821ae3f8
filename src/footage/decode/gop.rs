//! The part of a GOP that one picture of an MP4 file needs, as a small file of its own: the coded pictures from the
//! entry point on, without those that are no reference pictures.
//!
//! Used only where the file's index names the same PTS and keys as the clip has.

use crate::container::mp4::Video;
use crate::container::mp4::piece;
use crate::container::mp4::piece::FragmentSample;
use crate::container::mp4::sample::Sample;
use crate::decode::track_headers::TrackHeaders;
use crate::frame::Frame;
use crate::h264::parameters::MAX_REORDER_FRAMES;
use std::fs::File;
use std::io::{Read, Seek, SeekFrom};
use std::path::{Path, PathBuf};

/// Limits on what is read into memory for one picture.
const MOST_SAMPLES: usize = 1024;
const MOST_BYTES: u64 = 64 << 20;
const MOST_DESCRIPTION: usize = 1 << 16;

/// The coded pictures of a clip.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct GopIndex {
    path: PathBuf,
    /// Init segment: what a decoder reads once.
    init: Vec<u8>,
    /// In the order of decoding.
    samples: Vec<Sample>,
    /// Decoding may begin at the sample.
    entry_points: Vec<bool>,
    /// Whether the sample is a reference picture; empty where that is not known and all may be.
    references: Vec<bool>,
    /// The sample of each frame, in the order of showing.
    frames: Vec<usize>,
    reuse: Option<Reuse>,
}

/// What lets one decoder give pictures of one piece after the other: plain frames of H.264 whose parameters never
/// change. Decoders of other streams end with their piece.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Reuse {
    /// Samples that make a decoder forget what came before.
    idr: Vec<bool>,
    /// At most this many pictures precede another in decoding order and follow it in display order.
    reorder_frames: usize,
}

/// Pictures beyond those that must follow: a decoder may keep one in each of its stages. Those that come out after
/// the wanted picture delay nobody.
const SPARE: usize = 4;

impl Reuse {
    fn of(headers: &TrackHeaders) -> Option<Reuse> {
        let sps = headers.sps()?;
        let is_plain = headers.unsupported.is_none_or(|unsupported| unsupported.can_be_shown());
        let reorder_frames = sps.max_reorder_frames.and_then(|frames| usize::try_from(frames).ok());
        is_plain.then(|| Reuse {
            idr: headers.idr.clone(),
            reorder_frames: reorder_frames.unwrap_or(MAX_REORDER_FRAMES).min(MAX_REORDER_FRAMES),
        })
    }
}

/// The coded pictures for one frame.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Piece {
    /// What a decoder reads before its first piece; pieces with another init segment need another decoder.
    pub(crate) init: Vec<u8>,
    pictures: Vec<FragmentSample>,
    /// Of the wanted picture.
    display_index: u32,
    data: Vec<u8>,
    /// The picture comes while the input stays open, and the decoder may be given another piece afterwards.
    pub(crate) keeps_process: bool,
}

impl Piece {
    /// The bytes for a decoder, with the wanted picture shown at `time`; `None` if they cannot be written.
    pub(crate) fn at(&self, time: i64) -> Option<Vec<u8>> {
        let mut bytes = piece::fragment(&self.pictures, (self.display_index, time))?;
        bytes.extend_from_slice(&self.data);
        Some(bytes)
    }
}

impl GopIndex {
    /// Of a track in which decoding may begin at the samples marked in `entry_points`; `None` if its index does not
    /// agree with the frames of the clip.
    pub(crate) fn of(
        path: &Path,
        video: &Video,
        (entry_points, headers): (Vec<bool>, Option<&TrackHeaders>),
        frames: &[Frame],
    ) -> Option<GopIndex> {
        let is_plain = !video.is_cut
            && !video.has_several_codings
            && matches!(&video.coding, b"avc1" | b"avc3" | b"hvc1" | b"hev1")
            && video.description.len() <= MOST_DESCRIPTION;
        let mut order = video.presented.clone();
        order.sort_by_key(|index| video.samples.get(*index).map(|sample| sample.pts));
        order.truncate(frames.len());
        let is_same = |(frame, index): (&Frame, &usize)| {
            let sample = video.samples.get(*index);
            sample.is_some_and(|sample| (sample.pts, sample.is_key) == (frame.pts, frame.is_key))
        };
        let are_same = order.len() == frames.len() && frames.iter().zip(&order).all(is_same);
        if !is_plain || !are_same {
            return None;
        }
        Some(GopIndex {
            path: path.to_owned(),
            init: piece::init_segment(&video.description)?,
            samples: video.samples.clone(),
            entry_points,
            references: headers.map_or_else(Vec::new, |headers| headers.references.clone()),
            frames: order,
            reuse: headers.and_then(Reuse::of),
        })
    }

    /// The piece for one frame; `None` if it cannot be made. `behind` is the number of pictures in the threads of the
    /// decoder before it gives the first.
    ///
    /// A decoder that is kept must be pushed: as many pictures as may be reordered can be decoded after the wanted
    /// one and shown before it, and as many can wait behind it.
    pub(crate) fn piece(&self, frame: usize, behind: usize) -> Option<Piece> {
        let needed = self.needed(frame)?;
        let (key, own) = (*needed.first()?, *needed.last()?);
        let reuse = self.reuse.as_ref().filter(|reuse| reuse.idr.get(key) == Some(&true));
        let pushes = reuse.map_or(0, |reuse| 2 * reuse.reorder_frames + behind + SPARE);
        let mut wanted: Vec<Sample> =
            needed.iter().filter_map(|index| self.samples.get(*index).copied()).collect();
        let count = wanted.len();
        wanted.extend(self.samples.iter().skip(own + 1).take(pushes).copied());
        let bytes: u64 = wanted.iter().map(|sample| u64::from(sample.size)).sum();
        if wanted.len() > MOST_SAMPLES || bytes > MOST_BYTES {
            return None;
        }
        let mut data = Vec::new();
        let mut file = File::open(&self.path).ok()?;
        for sample in &wanted {
            file.seek(SeekFrom::Start(sample.offset)).ok()?;
            let size = u64::from(sample.size);
            let read = file.by_ref().take(size).read_to_end(&mut data).ok()?;
            // The file was cut since it was opened.
            (read as u64 == size).then_some(())?;
        }
        let mut pictures = in_order(&wanted)?;
        let display_index = pictures.get(count - 1)?.display_index;
        // At the end of the clip its last key is repeated, to push the wanted picture out of the decoder.
        let first = *wanted.first()?;
        for _ in pictures.len()..count + pushes {
            let display_index = u32::try_from(pictures.len()).ok()?;
            pictures.push(FragmentSample { size: first.size, is_key: true, display_index });
            data.extend_from_within(..first.size as usize);
        }
        Some(Piece { init: self.init.clone(), pictures, display_index, data, keeps_process: reuse.is_some() })
    }

    /// From the last key that is decoded and shown no later than the frame to the frame itself, in the order of
    /// decoding. A key is needed even where an edit list leaves it out.
    fn needed(&self, frame: usize) -> Option<Vec<usize>> {
        let own = *self.frames.get(frame)?;
        let shown = self.samples.get(own)?.pts;
        let entry_points = |index: &usize| {
            let is_before = self.samples.get(*index).is_some_and(|sample| sample.pts <= shown);
            is_before && self.entry_points.get(*index) == Some(&true)
        };
        let key = (0..=own).rev().find(entry_points)?;
        let is_needed =
            |index: &usize| [key, own].contains(index) || self.references.get(*index) != Some(&false);
        Some((key..=own).filter(is_needed).collect())
    }
}

/// Samples in the order of decoding, each with its place in display order.
fn in_order(samples: &[Sample]) -> Option<Vec<FragmentSample>> {
    let mut order: Vec<usize> = (0..samples.len()).collect();
    order.sort_by_key(|index| samples.get(*index).map(|sample| sample.pts));
    let mut display_indices = vec![0; samples.len()];
    for (display_index, index) in (0_u32..).zip(order) {
        *display_indices.get_mut(index)? = display_index;
    }
    let coded = samples.iter().zip(display_indices);
    Some(
        coded
            .map(|(sample, display_index)| FragmentSample {
                size: sample.size,
                is_key: sample.is_key,
                display_index,
            })
            .collect(),
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Two open GOPs, in the order of decoding: key, P, b, key, b (shown before its key), P, b.
    fn index() -> GopIndex {
        let shown = [10, 30, 20, 50, 40, 70, 60];
        let samples: Vec<Sample> = (0..7)
            .zip(shown)
            .map(|(index, shown)| Sample {
                offset: 0,
                size: 1,
                dts: 10 * index,
                pts: shown,
                duration: 10,
                is_key: matches!(index, 0 | 3),
            })
            .collect();
        let entry_points = samples.iter().map(|sample| sample.is_key).collect();
        let references = vec![true, true, false, true, false, true, false];
        let frames = vec![0, 2, 1, 4, 3, 6, 5];
        GopIndex {
            path: PathBuf::from("/nowhere/at/all"),
            init: Vec::new(),
            samples,
            entry_points,
            references,
            frames,
            reuse: None,
        }
    }

    #[test]
    fn a_picture_needs_what_stands_between_its_key_and_itself_and_is_predicted_from() {
        let index = index();
        let needed = |frame: usize| -> Option<Vec<i64>> {
            let pts = |sample: &usize| index.samples.get(*sample).map(|sample| sample.pts);
            index.needed(frame).map(|needed| needed.iter().filter_map(pts).collect())
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
        assert_eq!(index.piece(0, 1), None, "a file that is gone gives nothing");
        // The first key is cut off.
        let cut = GopIndex { frames: vec![1, 4], ..index.clone() };
        assert_eq!(cut.needed(0).map(|needed| needed.len()), Some(2));
        let without = GopIndex { entry_points: vec![false; 7], ..index };
        assert_eq!(without.needed(3), None);
    }
}
