//! A clip as the built-in decoder (OpenH264) reads it: H.264 in MP4, if it decodes exactly or FFmpeg is not
//! installed.
//!
//! It decodes baseline, main and high profile without B slices bit for bit. With B slices some samples are wrong and
//! it reports no error; such pictures are marked as not exact. It begins at IDR pictures only.

use crate::container::mp4::Video;
use crate::container::mp4::sample::Sample;
use crate::decode::engine::Engine;
use crate::decode::openh264::{Given, Plain, Trouble, Wish};
use crate::decode::process::Pace;
use crate::decode::track_headers::{TrackHeaders, read_sample};
use crate::decode::worker::WorkerCommand;
use crate::error::Error;
use crate::h264;
use crate::picture::{Picture, PixelFormat, Taker};
use std::fs::File;
use std::ops::{ControlFlow, Range};
use std::path::{Path, PathBuf};

/// What the built-in decoder needs of a clip.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct BuiltIn {
    path: PathBuf,
    parameters: Vec<u8>,
    length_bytes: u8,
    /// In the order of decoding.
    samples: Vec<Sample>,
    /// Whether decoding may begin at the sample.
    idr: Vec<bool>,
    /// The sample of each frame, in the order of showing.
    frames: Vec<usize>,
    size: (u32, u32),
    format: PixelFormat,
    is_exact: bool,
}

/// What went wrong at the picture with this PTS.
fn failed(pts: i64, trouble: Trouble) -> Error {
    match trouble {
        Trouble::NoDecoder => Error::NoDecoder,
        Trouble::Damaged => Error::Damaged(pts),
        Trouble::Crashed(message) => Error::Crashed { pts, message },
        Trouble::Stalled(waited_ms) => Error::Stalled { pts, waited_ms },
    }
}

impl BuiltIn {
    /// Of a track with these headers; `None` if the built-in decoder cannot show it.
    pub(crate) fn of(path: &Path, video: &Video, headers: &TrackHeaders) -> Option<BuiltIn> {
        let sets = headers.decodable()?;
        let whole = video.samples.len() - headers.missing;
        let mut frames: Vec<usize> = video.presented.iter().copied().filter(|index| *index < whole).collect();
        frames.sort_by_key(|index| video.samples.get(*index).map(|sample| sample.pts));
        Some(BuiltIn {
            path: path.to_owned(),
            parameters: sets.stream.clone(),
            length_bytes: sets.length_bytes,
            samples: video.samples.iter().take(whole).copied().collect(),
            idr: headers.idr.clone(),
            frames,
            size: sets.sps.size,
            format: PixelFormat::plain(sets.sps.colours.is_full_range == Some(true)),
            is_exact: headers.unsupported.is_none(),
        })
    }

    /// Whether its pictures are bit for bit what the clip holds.
    pub(crate) fn is_exact(&self) -> bool {
        self.is_exact
    }

    /// The samples of the frames, in the order of showing.
    pub(crate) fn frames(&self) -> impl Iterator<Item = Sample> {
        self.frames.iter().filter_map(|index| self.samples.get(*index).copied())
    }

    /// Decodes frames in the order of showing, and gives them one by one until `give` breaks off. `worker` starts a
    /// process for the decoder.
    pub(crate) fn pictures(
        &self,
        wanted: Range<usize>,
        (worker, pace): (Option<&WorkerCommand>, Pace),
        give: Taker<'_>,
    ) -> Result<(), Error> {
        let pts = self.frames.get(wanted.start).map_or(0, |index| self.pts(*index));
        let engine = Engine::start(worker, pace).map_err(|trouble| failed(pts, trouble))?;
        let mut source = Source { file: File::open(&self.path).map_err(Error::Read)?, engine };
        let mut at = wanted.start;
        while at < wanted.end.min(self.frames.len()) {
            let (gop, begin) = self.gop(at);
            let next = self.frames.get(at..wanted.end).unwrap_or(&[]);
            let until = next.iter().take_while(|index| gop.contains(index)).count().max(1) + at;
            let flow = if self.is_exact {
                self.exact(&mut source, begin, at..until, give)?
            } else {
                self.inexact(&mut source, gop, at..until, give)?
            };
            if flow.is_break() {
                return Ok(());
            }
            at = until;
        }
        Ok(())
    }

    fn pts(&self, index: usize) -> i64 {
        self.samples.get(index).map_or(0, |sample| sample.pts)
    }

    /// The samples of the GOP that a frame lies in, and where decoding begins.
    fn gop(&self, frame: usize) -> (Range<usize>, usize) {
        let sample = self.frames.get(frame).copied().unwrap_or(0);
        let begin = (0..=sample).rev().find(|index| self.idr.get(*index) == Some(&true)).unwrap_or(0);
        let after = self.idr.iter().skip(begin + 1).position(|begins| *begins);
        (begin..after.map_or(self.samples.len(), |after| begin + 1 + after), begin)
    }

    fn stream(&self, file: &mut File, index: usize) -> Result<Vec<u8>, Error> {
        let sample = self.samples.get(index).ok_or(Error::Damaged(0))?;
        let mut bytes = Vec::new();
        let is_read = read_sample(file, sample, &mut bytes).map_err(Error::Read)?;
        let units = h264::nal_units(&bytes, self.length_bytes).filter(|_| is_read);
        let units = units.ok_or(Error::Damaged(sample.pts))?;
        Ok(units.into_iter().flat_map(|unit| [&h264::START_CODE, unit].concat()).collect())
    }

    /// One picture in, one picture out.
    fn exact(
        &self,
        source: &mut Source,
        begin: usize,
        frames: Range<usize>,
        give: Taker<'_>,
    ) -> Result<ControlFlow<()>, Error> {
        let failed = |index, trouble| self::failed(self.pts(index), trouble);
        source.engine.begin(&self.parameters).map_err(|trouble| failed(begin, trouble))?;
        let mut frame = frames.start;
        for index in begin.. {
            if frame == frames.end {
                break;
            }
            let stream = self.stream(&mut source.file, index)?;
            let is_wanted = self.frames.get(frame) == Some(&index);
            let wish = if is_wanted { Wish::Shown } else { Wish::Needed };
            match source.engine.decode(&stream, wish).map_err(|trouble| failed(index, trouble))? {
                Given::Picture(plain) => {
                    if give(frame, self.picture(plain, self.pts(index), true)?).is_break() {
                        return Ok(ControlFlow::Break(()));
                    }
                    frame += 1;
                }
                Given::Unseen => {}
                Given::Nothing => return Err(Error::Damaged(self.pts(index))),
            }
        }
        Ok(ControlFlow::Continue(()))
    }

    /// A whole GOP in, its pictures out in the order of showing; none of them is exact.
    fn inexact(
        &self,
        source: &mut Source,
        gop: Range<usize>,
        frames: Range<usize>,
        give: Taker<'_>,
    ) -> Result<ControlFlow<()>, Error> {
        let failed = |index, trouble| self::failed(self.pts(index), trouble);
        let (begin, end) = (gop.start, gop.end.saturating_sub(1));
        source.engine.begin(&self.parameters).map_err(|trouble| failed(begin, trouble))?;
        let mut order: Vec<usize> = gop.clone().collect();
        order.sort_by_key(|index| self.samples.get(*index).map(|sample| sample.pts));
        let mut shown = order.iter().copied();
        let mut frame = frames.start;
        let mut take = |plain: Plain| -> Result<ControlFlow<()>, Error> {
            let Some(index) = shown.next() else { return Ok(ControlFlow::Break(())) };
            if self.frames.get(frame) != Some(&index) || frame >= frames.end {
                return Ok(ControlFlow::Continue(()));
            }
            frame += 1;
            Ok(give(frame - 1, self.picture(plain, self.pts(index), false)?))
        };
        for index in gop {
            let stream = self.stream(&mut source.file, index)?;
            let given = source.engine.decode(&stream, Wish::Queued);
            if let Given::Picture(plain) = given.map_err(|trouble| failed(index, trouble))?
                && take(plain)?.is_break()
            {
                return Ok(ControlFlow::Break(()));
            }
        }
        for plain in source.engine.rest().map_err(|trouble| failed(end, trouble))? {
            if take(plain)?.is_break() {
                return Ok(ControlFlow::Break(()));
            }
        }
        let is_whole = frame == frames.end;
        is_whole.then_some(ControlFlow::Continue(())).ok_or(Error::Damaged(self.pts(end)))
    }

    /// A picture of the clip, unless the decoder gave one of another size.
    fn picture(&self, plain: Plain, pts: i64, exact: bool) -> Result<Picture, Error> {
        if plain.size != self.size {
            return Err(Error::Damaged(pts));
        }
        let (width, height) = self.size;
        Ok(Picture { pts, width, height, format: self.format, samples: plain.samples, exact })
    }
}

/// Where coded pictures come from, and what decodes them.
struct Source {
    file: File,
    engine: Engine,
}
