//! A run of frames from FFmpeg: from the key before the first of them where that is exact, else from the start.

use super::Tools;
use super::commands::{DecodeRequest, Selection, Stream};
use crate::container::timing::TimeBase;
use crate::decode::frame_hashes::FrameHashes;
use crate::decode::process::Pace;
use crate::error::Error;
use crate::frame::Frame;
use crate::picture::Taker;
use std::ops::Range;
use std::path::Path;

/// A clip as a decoder reads it.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Stored<'a> {
    pub(crate) path: &'a Path,
    /// Sorted by PTS.
    pub(crate) frames: &'a [Frame],
    pub(crate) base: TimeBase,
    /// Coded pictures before the first key, which cannot be decoded.
    pub(crate) lost: usize,
}

/// A clip's video track as FFmpeg decodes it.
#[derive(Debug, Clone)]
pub(crate) struct Track {
    pub(crate) stream: Stream,
    pub(crate) from_key: FromKey,
    /// PTS of the picture that the end of the file cuts.
    pub(crate) incomplete: Option<i64>,
    /// PTS do not contradict the order of the pictures.
    pub(crate) is_ordered: bool,
    pub(crate) frame_source: FrameSource,
}

/// How the frames are known, and so how a picture is found.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum FrameSource {
    /// From the packets: a picture is found by its PTS.
    Packets,
    /// All were decoded: a picture is found by its number, counted from the start.
    Decoding,
}

/// Whether decoding from a key that the file names gives exact pictures from that key on.
#[derive(Debug, Clone)]
pub(crate) enum FromKey {
    Exact,
    /// Unknown: a picture is compared with its hash, if there is one.
    Compared(FrameHashes),
    /// It may not, or the frames are not known from packets: all come from the start.
    Never,
}

/// Which pictures of a child are taken.
#[derive(Clone, Copy)]
enum Taken<'a> {
    /// All: it decodes from the start. The hashes of the exact ones are kept.
    FromStart(Option<&'a FrameHashes>),
    /// Those before the first complaint.
    Clean,
    /// Those whose hash is known and matches.
    Matching(&'a FrameHashes),
}

/// How far a run came.
struct Came {
    next: usize,
    is_stopped: bool,
    message: Option<String>,
}

/// A run of pictures from FFmpeg.
pub(crate) struct Run<'a> {
    pub(crate) tools: &'a Tools,
    pub(crate) track: &'a Track,
    pub(crate) clip: Stored<'a>,
    pub(crate) pace: Pace,
}

impl Run<'_> {
    /// Decodes from the key first. Whatever does not come from there, and is exact, comes from the start of the file.
    pub(crate) fn pictures(&self, frames: Range<usize>, give: Taker<'_>) -> Result<(), Error> {
        let mut next = frames.start;
        let (seek, taken, known) = match &self.track.from_key {
            FromKey::Exact => (self.seek_to(next), Taken::Clean, None),
            FromKey::Compared(known) => {
                let seek = if known.contains(next) { self.seek_to(next) } else { None };
                (seek, Taken::Matching(known), Some(known))
            }
            FromKey::Never => (None, Taken::Clean, None),
        };
        if seek.is_some() {
            let came = self.attempt(next..frames.end, seek, taken, give)?;
            if came.is_stopped || came.next == frames.end {
                return Ok(());
            }
            next = came.next;
        }
        let came = self.attempt(next..frames.end, None, Taken::FromStart(known), give)?;
        if came.is_stopped || came.next == frames.end {
            return Ok(());
        }
        Err(Error::Missing { frame: came.next, message: came.message })
    }

    /// Runs one child; ends before the first picture that is not taken.
    fn attempt(
        &self,
        frames: Range<usize>,
        seek: Option<String>,
        taken: Taken<'_>,
        give: Taker<'_>,
    ) -> Result<Came, Error> {
        let mut came = Came { next: frames.start, is_stopped: false, message: None };
        let run = self.clip.frames.get(frames.clone()).unwrap_or(&[]);
        let (Some(first), Some(last)) = (run.first(), run.last()) else { return Ok(came) };
        let is_all = frames.len() == self.clip.frames.len();
        let &Track { stream, incomplete, is_ordered, frame_source, .. } = self.track;
        let mut before = match frames.start.checked_sub(1).and_then(|frame| self.clip.frames.get(frame)) {
            Some(frame) => frame.pts,
            None => first.pts,
        };
        let number = |frame: usize| i64::try_from(frame).unwrap_or(i64::MAX);
        let selection = match frame_source {
            _ if is_all => Selection::All,
            FrameSource::Packets => Selection::Pts(first.pts, last.pts),
            FrameSource::Decoding => Selection::Numbered(number(frames.start), number(frames.end - 1)),
        };
        let wanted = DecodeRequest { stream, seek, selection, count: Some(frames.len()), pace: self.pace };
        let mut pictures = self.tools.decode(self.clip.path, &wanted)?;
        for frame in run {
            let Some(mut decoded) = pictures.next()? else { break };
            let is_clean = pictures.is_clean_after(self.clip.lost);
            let is_taken = match taken {
                Taken::FromStart(_) => true,
                Taken::Clean => is_clean,
                Taken::Matching(known) => known.matches(came.next, &decoded.picture),
            };
            let pts = match frame_source {
                FrameSource::Packets => decoded.picture.pts,
                // Times that go back were raised to the one before.
                FrameSource::Decoding => decoded.picture.pts.max(before),
            };
            if pts != frame.pts || !is_taken {
                break;
            }
            (decoded.picture.pts, before) = (pts, pts);
            decoded.picture.exact = match taken {
                Taken::FromStart(_) | Taken::Clean => is_clean && is_ordered && incomplete != Some(frame.pts),
                // The hash matches, though a decoder that begins within a GOP complains until the next key.
                Taken::Matching(_) => true,
            };
            if let Taken::FromStart(Some(known)) = taken
                && decoded.picture.exact
            {
                known.insert(came.next, &decoded.picture);
            }
            came.next += 1;
            if give(came.next - 1, decoded.picture).is_break() {
                came.is_stopped = true;
                return Ok(came);
            }
        }
        came.message = pictures.errors().first().cloned();
        Ok(came)
    }

    /// Where to begin for a frame, in seconds: the last key at or before it, unless that is the first frame.
    fn seek_to(&self, frame: usize) -> Option<String> {
        let until = self.clip.frames.get(..=frame)?;
        let key = until.iter().rposition(|frame| frame.is_key).filter(|key| *key > 0)?;
        let pts = i128::from(self.clip.frames.get(key)?.pts);
        let (over, under) = self.clip.base.parts();
        // Rounded up to the microsecond, so that rounding does not land one GOP before.
        let (parts, under) = (pts * i128::from(over) * 1_000_000, i128::from(under));
        let micros = parts.div_euclid(under) + i128::from(parts.rem_euclid(under) != 0);
        let sign = if micros < 0 { "-" } else { "" };
        let micros = micros.unsigned_abs();
        Some(format!("{sign}{}.{:06}", micros / 1_000_000, micros % 1_000_000))
    }
}
