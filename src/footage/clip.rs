//! A clip: what it is, when each of its pictures is shown, and its exact pictures.
//!
//! Presentation time is the truth; a frame number is an index into the sorted PTS of the pictures that a player shows.

mod open;

use crate::container::timing::TimeBase;
use crate::decode::Decoder;
use crate::decode::ffmpeg::run::Stored;
use crate::decode::gop::GopIndex;
use crate::decode::process::Pace;
use crate::decode::worker::WorkerCommand;
use crate::error::{Change, Error};
use crate::fault::Fault;
use crate::file_identity::Identity;
use crate::frame::Frame;
use crate::picture::{Picture, Taker};
use crate::show::colour::Coding;
use crate::show::pixel_aspect::PixelAspect;
use crate::show::rotation::Rotation;
use evidence::time::rate::Rate;
use evidence::time::timecode::Timecode;
use std::ops::{ControlFlow, Range};
use std::path::PathBuf;
use std::sync::Arc;

/// A clip that was opened.
#[derive(Debug, Clone)]
pub struct Clip {
    pub path: PathBuf,
    /// Name of the coding, such as "h264".
    pub codec: String,
    /// Width and height in pixels, as stored.
    pub size: (u32, u32),
    pub base: TimeBase,
    /// Sorted by PTS.
    pub frames: Vec<Frame>,
    /// From the first picture to the end of the last, in units of the time base.
    pub length: i64,
    /// The one rate that all pictures keep to, if there is one.
    pub rate: Option<Rate>,
    /// Of the first frame, where the file has one.
    pub timecode: Option<Timecode>,
    /// How a player rotates and mirrors it; as stored where the angle is not a multiple of 90 degrees.
    pub rotation: Rotation,
    /// Of the stored pixels.
    pub pixel_aspect: PixelAspect,
    /// How its samples stand for colours.
    pub coding: Coding,
    /// Whether each picture has two fields.
    pub is_interlaced: bool,
    pub faults: Vec<Fault>,
    decoder: Decoder,
    identity: Identity,
    /// Finds the coded pictures that one picture needs, where the file has an index of them.
    pub(crate) gop_index: Option<Arc<GopIndex>>,
}

impl Clip {
    /// The same clip with its built-in decoder in a worker process; without a command, in this process.
    #[must_use]
    pub fn with_worker(mut self, command: Option<&WorkerCommand>) -> Clip {
        if let Decoder::BuiltIn { worker, .. } = &mut self.decoder {
            *worker = command.cloned();
        }
        self
    }

    /// The decoder's name for people.
    pub fn decoder(&self) -> String {
        self.decoder.name()
    }

    /// Whether its pictures are bit for bit what the clip holds, as far as nothing is damaged.
    pub fn is_exact(&self) -> bool {
        self.decoder.is_exact()
    }

    /// Width and height of the upright picture in stored pixels. Places in the picture are stated in these, wherever
    /// they are clicked or kept.
    pub fn shown_size(&self) -> (u32, u32) {
        self.rotation.size(self.size)
    }

    /// Pixel aspect ratio of its upright picture.
    pub fn shown_pixel_aspect(&self) -> PixelAspect {
        self.rotation.pixel_aspect(self.pixel_aspect)
    }

    /// Its length in seconds, for showing.
    pub fn duration_s(&self) -> f64 {
        self.base.seconds(self.length)
    }

    /// The frames at which decoding may begin, according to the file.
    pub fn key_frames(&self) -> impl Iterator<Item = usize> {
        self.frames.iter().enumerate().filter(|(_, frame)| frame.is_key).map(|(index, _)| index)
    }

    /// The timecode of a frame; `None` where the clip has none or keeps to no rate.
    pub fn timecode_of(&self, frame: usize) -> Option<Timecode> {
        let nominal = self.rate?.as_f64().round();
        let nominal = (1.0..100.0).contains(&nominal).then_some(nominal as u8)?;
        self.timecode?.later(u64::try_from(frame).ok()?, nominal).ok()
    }

    /// Checks that the file is still the one that was opened. Pictures and hashes of another one are refused.
    ///
    /// # Errors
    /// [`Change`], which says how the file differs.
    pub fn check(&self) -> Result<(), Change> {
        self.identity.check(&self.path)
    }

    /// SHA-256 of the file, in hexadecimal.
    ///
    /// # Errors
    /// [`Error`] if it is not the file that was opened, or cannot be read.
    pub fn file_sha256(&self) -> Result<String, Error> {
        self.identity.sha256(&self.path)
    }

    /// Decodes one frame.
    ///
    /// # Errors
    /// [`Error`] with the reason if there is no picture.
    pub fn picture(&self, frame: usize) -> Result<Picture, Error> {
        if let Some(picture) = self.picture_from_pool(frame) {
            return Ok(picture);
        }
        let mut found = None;
        self.pictures(frame..frame + 1, &mut |_, picture| {
            found = Some(picture);
            ControlFlow::Break(())
        })?;
        found.ok_or(Error::Missing { frame, message: None })
    }

    /// A picture from the pool of FFmpeg processes; `None` where it cannot come from there.
    pub(crate) fn picture_from_pool(&self, frame: usize) -> Option<Picture> {
        let pts = self.frames.get(frame)?.pts;
        let picture = self.decoder.picture_from_pool(self.gop_index.as_deref()?, frame, pts)?;
        // Nobody knows whether the picture was read before the file changed or after.
        self.check().is_ok().then_some(picture)
    }

    /// Decodes a run of frames in the order of showing; each comes once, with its number.
    ///
    /// # Errors
    /// [`Error`] at the first frame without a picture; those before it were given.
    pub fn pictures(&self, frames: Range<usize>, give: Taker<'_>) -> Result<(), Error> {
        self.run(frames, Pace::AtOnce, give)
    }

    /// As [`Clip::pictures`], for a run that nobody waits for: its decoder gives way to others.
    pub(crate) fn pictures_ahead(&self, frames: Range<usize>, give: Taker<'_>) -> Result<(), Error> {
        self.run(frames, Pace::Ahead, give)
    }

    /// Each picture is given only while the file is the one that was opened, so its data were read before any change.
    fn run(&self, frames: Range<usize>, pace: Pace, give: Taker<'_>) -> Result<(), Error> {
        self.check()?;
        let mut changed = None;
        let clip = Stored { path: &self.path, frames: &self.frames, base: self.base, lost: self.lost() };
        let ended = self.decoder.pictures(clip, frames, pace, &mut |frame, picture| match self.check() {
            Ok(()) => give(frame, picture),
            Err(reason) => {
                changed = Some(reason);
                ControlFlow::Break(())
            }
        });
        match (changed, ended) {
            (Some(reason), _) => Err(reason.into()),
            (None, Ok(())) => Ok(()),
            // A decoder also fails if the file is cut or written over while it reads.
            (None, Err(reason)) => self.check().map_or_else(|changed| Err(changed.into()), |()| Err(reason)),
        }
    }

    /// Coded pictures before the first key, which cannot be decoded.
    fn lost(&self) -> usize {
        let lost = |fault: &Fault| match fault {
            Fault::MissingKey { lost } => Some(*lost),
            _ => None,
        };
        self.faults.iter().find_map(lost).unwrap_or(0)
    }
}
