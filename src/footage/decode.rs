//! Exact pictures of a clip: one, a run of them, or all.

pub mod engine;
pub mod ffmpeg;
pub mod frame_hashes;
pub mod gop;
pub mod openh264;
pub mod pool;
pub(crate) mod presentation_times;
pub mod prober;
pub mod process;
pub mod worker;

use super::clip::{Clip, FromKey, Reader};
use super::fault::Fault;
use super::picture::Picture;
use crate::decode::ffmpeg::{Broken, Stream, Tools, Wanted, Which};
use crate::decode::frame_hashes::Known;
use crate::decode::openh264::Failed;
use crate::decode::presentation_times::KnownFrom;
use crate::decode::process::Pace;
use crate::file_identity::Changed;
use std::ops::{ControlFlow, Range};

/// Why a picture does not come.
#[derive(Debug, thiserror::Error)]
pub enum NoPicture {
    /// The clip has fewer frames.
    #[error("there is no frame {frame}: the clip has frames 0 to {last}")]
    NoSuchFrame {
        /// Which was asked for.
        frame: usize,
        /// The last one.
        last: usize,
    },
    /// The file is not the one that was opened.
    #[error("{0}")]
    Changed(#[from] Changed),
    /// The built-in decoder failed.
    #[error("{0}")]
    Embedded(#[from] Failed),
    /// FFmpeg failed.
    #[error("{0}")]
    Ffmpeg(#[from] Broken),
    /// FFmpeg ended without the picture.
    #[error("the decoder gives no picture for frame {frame}{}", said.as_ref().map_or_else(String::new, |said| format!(": {said}")))]
    Missing {
        /// Which frame.
        frame: usize,
        /// What the decoder said.
        said: Option<String>,
    },
}

/// Takes pictures as they come, with their frame numbers, until it breaks off.
pub type Taker<'a> = &'a mut dyn FnMut(usize, Picture) -> ControlFlow<()>;

impl Clip {
    /// Decodes one frame.
    ///
    /// # Errors
    /// [`NoPicture`], which says why it does not come.
    pub fn picture(&self, frame: usize) -> Result<Picture, NoPicture> {
        if let Some(picture) = self.picture_by_waiting(frame) {
            return Ok(picture);
        }
        let mut found = None;
        self.pictures(frame..frame + 1, &mut |_, picture| {
            found = Some(picture);
            ControlFlow::Break(())
        })?;
        found.ok_or(NoPicture::Missing { frame, said: None })
    }

    /// The picture from an FFmpeg that waits, where there is one and the clip's index says what the picture needs.
    pub(super) fn picture_by_waiting(&self, frame: usize) -> Option<Picture> {
        let (tools, incomplete) = match &self.reader {
            Reader::Embedded { otherwise, .. } => (otherwise.as_ref()?, None),
            Reader::Ffmpeg { tools, incomplete, .. } => (tools, *incomplete),
        };
        let groups = self.groups.as_ref().filter(|_| tools.stands_by())?;
        let pts = self.frames.get(frame)?.pts;
        if incomplete == Some(pts) {
            return None;
        }
        let picture = tools.picture_of(groups.piece(frame, tools.held_back())?, pts)?;
        // What was read before the file changed is of the clip; nobody can say when that was.
        self.check().is_ok().then_some(picture)
    }

    /// Decodes a run of frames in the order of showing; each comes once, with its number.
    ///
    /// # Errors
    /// [`NoPicture`] at the first frame that does not come; those before it were given.
    pub fn pictures(&self, frames: Range<usize>, give: Taker<'_>) -> Result<(), NoPicture> {
        self.run(frames, Pace::AtOnce, give)
    }

    /// As [`Clip::pictures`], for a run that nobody waits for: its decoder gives way to others.
    ///
    /// # Errors
    /// As there.
    pub(super) fn pictures_ahead(&self, frames: Range<usize>, give: Taker<'_>) -> Result<(), NoPicture> {
        self.run(frames, Pace::Ahead, give)
    }

    /// Each picture is given only while the file is the one that was opened: all that was read for it was read before.
    fn run(&self, frames: Range<usize>, pace: Pace, give: Taker<'_>) -> Result<(), NoPicture> {
        self.check()?;
        let mut changed = None;
        let ended = self.decoded(frames, pace, &mut |frame, picture| match self.check() {
            Ok(()) => give(frame, picture),
            Err(reason) => {
                changed = Some(reason);
                ControlFlow::Break(())
            }
        });
        match (changed, ended) {
            (Some(reason), _) => Err(reason.into()),
            (None, Ok(())) => Ok(()),
            // A decoder fails where the file is cut or written over under it.
            (None, Err(reason)) => self.check().map_or_else(|changed| Err(changed.into()), |()| Err(reason)),
        }
    }

    fn decoded(&self, frames: Range<usize>, pace: Pace, give: Taker<'_>) -> Result<(), NoPicture> {
        let last = self.frames.len().saturating_sub(1);
        if frames.is_empty() {
            return Ok(());
        }
        if frames.end > self.frames.len() {
            return Err(NoPicture::NoSuchFrame { frame: frames.end - 1, last });
        }
        match &self.reader {
            Reader::Embedded { clip, otherwise, apart, .. } => {
                let mut next = frames.start;
                let ended = clip.pictures(frames.clone(), (apart.as_ref(), pace), &mut |frame, picture| {
                    next = frame + 1;
                    give(frame, picture)
                });
                match (ended, otherwise) {
                    (Ok(()), _) => Ok(()),
                    (Err(failed), None) => Err(failed.into()),
                    (Err(_), Some(tools)) => {
                        let stream = Stream::FirstVideo;
                        let run = Run {
                            clip: self,
                            tools,
                            stream,
                            incomplete: None,
                            found: (true, KnownFrom::Packets),
                            pace,
                        };
                        run.pictures(next..frames.end, &FromKey::Never, give)
                    }
                }
            }
            Reader::Ffmpeg { tools, stream, from_key, incomplete, is_ordered, known_from } => {
                let found = (*is_ordered, *known_from);
                let run = Run { clip: self, tools, stream: *stream, incomplete: *incomplete, found, pace };
                run.pictures(frames, from_key, give)
            }
        }
    }

    /// Where to begin for a frame, in seconds: the last key at or before it, unless that is the first frame.
    fn seek_to(&self, frame: usize) -> Option<String> {
        let until = self.frames.get(..=frame)?;
        let key = until.iter().rposition(|frame| frame.is_key).filter(|key| *key > 0)?;
        let pts = i128::from(self.frames.get(key)?.pts);
        let (over, under) = self.base.parts();
        // Rounded up to the microsecond, so that rounding does not land one group before.
        let (parts, under) = (pts * i128::from(over) * 1_000_000, i128::from(under));
        let micros = parts.div_euclid(under) + i128::from(parts.rem_euclid(under) != 0);
        let sign = if micros < 0 { "-" } else { "" };
        let micros = micros.unsigned_abs();
        Some(format!("{sign}{}.{:06}", micros / 1_000_000, micros % 1_000_000))
    }
}

/// A run of pictures from FFmpeg.
struct Run<'a> {
    clip: &'a Clip,
    tools: &'a Tools,
    stream: Stream,
    incomplete: Option<i64>,
    /// Whether times and order of its pictures agree, and how a picture is found.
    found: (bool, KnownFrom),
    pace: Pace,
}

/// Which pictures of a child are taken.
#[derive(Clone, Copy)]
enum Taken<'a> {
    /// All: it decodes from the start. Those that are exact are known from then on.
    FromStart(Option<&'a Known>),
    /// Those before the first complaint.
    Clean,
    /// Those that are known, and are what they were.
    Known(&'a Known),
}

/// How far a run came.
struct Came {
    /// The next frame.
    next: usize,
    is_stopped: bool,
    said: Option<String>,
}

impl Run<'_> {
    /// From the key first; whatever does not come from there, and is exact, comes from the start of the file.
    fn pictures(&self, frames: Range<usize>, from_key: &FromKey, give: Taker<'_>) -> Result<(), NoPicture> {
        let mut next = frames.start;
        let (seek, taken, known) = match from_key {
            FromKey::Exact => (self.clip.seek_to(next), Taken::Clean, None),
            FromKey::Compared(known) => {
                let seek = if known.holds(next) { self.clip.seek_to(next) } else { None };
                (seek, Taken::Known(known), Some(known))
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
        Err(NoPicture::Missing { frame: came.next, said: came.said })
    }

    /// One child; it ends before the first picture that is not taken.
    fn attempt(
        &self,
        frames: Range<usize>,
        seek: Option<String>,
        taken: Taken<'_>,
        give: Taker<'_>,
    ) -> Result<Came, NoPicture> {
        let mut came = Came { next: frames.start, is_stopped: false, said: None };
        let run = self.clip.frames.get(frames.clone()).unwrap_or(&[]);
        let (Some(first), Some(last)) = (run.first(), run.last()) else { return Ok(came) };
        let is_all = frames.len() == self.clip.frames.len();
        let (is_ordered, known_from) = self.found;
        let mut before = match frames.start.checked_sub(1).and_then(|frame| self.clip.frames.get(frame)) {
            Some(frame) => frame.pts,
            None => first.pts,
        };
        let number = |frame: usize| i64::try_from(frame).unwrap_or(i64::MAX);
        let which = match known_from {
            _ if is_all => Which::All,
            KnownFrom::Packets => Which::Shown(first.pts, last.pts),
            KnownFrom::Decoding => Which::Numbered(number(frames.start), number(frames.end - 1)),
        };
        let wanted = Wanted { stream: self.stream, seek, which, count: Some(frames.len()), pace: self.pace };
        let mut pictures = self.tools.decode(&self.clip.path, &wanted)?;
        let lost = self.clip.faults.iter().find_map(|fault| match fault {
            Fault::MissingKey { lost } => Some(*lost),
            _ => None,
        });
        let lost = lost.unwrap_or(0);
        for frame in run {
            let Some(mut decoded) = pictures.next()? else { break };
            let is_clean = pictures.is_clean_after(lost);
            let is_taken = match taken {
                Taken::FromStart(_) => true,
                Taken::Clean => is_clean,
                Taken::Known(known) => known.is(came.next, &decoded.picture),
            };
            let pts = match known_from {
                KnownFrom::Packets => decoded.picture.pts,
                // Times that go back were not taken over.
                KnownFrom::Decoding => decoded.picture.pts.max(before),
            };
            if pts != frame.pts || !is_taken {
                break;
            }
            (decoded.picture.pts, before) = (pts, pts);
            decoded.picture.exact = match taken {
                Taken::FromStart(_) | Taken::Clean => {
                    is_clean && is_ordered && self.incomplete != Some(frame.pts)
                }
                // Where decoding begins within a group, the decoder complains until the next key.
                Taken::Known(_) => true,
            };
            if let Taken::FromStart(Some(known)) = taken
                && decoded.picture.exact
            {
                known.take(came.next, &decoded.picture);
            }
            came.next += 1;
            if give(came.next - 1, decoded.picture).is_break() {
                came.is_stopped = true;
                return Ok(came);
            }
        }
        came.said = pictures.errors().first().cloned();
        Ok(came)
    }
}
