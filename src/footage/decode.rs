//! Who decodes a clip, and its exact pictures: one, a run of them, or all.

pub(crate) mod built_in;
mod engine;
pub mod ffmpeg;
pub(crate) mod frame_hashes;
pub(crate) mod gop;
mod openh264;
pub(crate) mod pool;
pub(crate) mod presentation_times;
pub(crate) mod prober;
pub(crate) mod process;
pub(crate) mod track_headers;
pub mod worker;

use crate::error::Error;
use crate::picture::{Picture, Taker};
use built_in::BuiltIn;
use ffmpeg::Tools;
use ffmpeg::commands::Stream;
use ffmpeg::run::{FrameSource, FromKey, Run, Stored, Track};
use gop::GopIndex;
use process::Pace;
use std::ops::Range;
use worker::WorkerCommand;

/// The decoder of a clip.
#[derive(Debug, Clone)]
pub(crate) enum Decoder {
    /// The built-in decoder; where it fails, FFmpeg, if it is installed.
    BuiltIn {
        clip: Box<BuiltIn>,
        fallback: Option<Tools>,
        worker: Option<WorkerCommand>,
    },
    Ffmpeg {
        tools: Tools,
        track: Track,
    },
}

/// How FFmpeg decodes a clip where the built-in decoder fails: all from the start.
const FALLBACK: Track = Track {
    stream: Stream::FirstVideo,
    from_key: FromKey::Never,
    incomplete: None,
    is_ordered: true,
    frame_source: FrameSource::Packets,
};

impl Decoder {
    /// Its name, as shown to people.
    pub(crate) fn name(&self) -> String {
        let inexact = if self.is_exact() { "" } else { ", not exact" };
        match self {
            Decoder::BuiltIn { .. } => format!("built in (OpenH264){inexact}"),
            Decoder::Ffmpeg { tools, .. } => format!("FFmpeg {}{inexact}", tools.programs.version()),
        }
    }

    /// Whether its pictures are bit for bit what the clip holds, as far as nothing is damaged.
    pub(crate) fn is_exact(&self) -> bool {
        match self {
            Decoder::BuiltIn { clip, .. } => clip.is_exact(),
            Decoder::Ffmpeg { track, .. } => track.is_ordered,
        }
    }

    /// A single picture from the pool, if the pool is open and the clip's index tells what the picture needs.
    pub(crate) fn picture_from_pool(&self, gops: &GopIndex, frame: usize, pts: i64) -> Option<Picture> {
        let (tools, incomplete) = match self {
            Decoder::BuiltIn { fallback, .. } => (fallback.as_ref()?, None),
            Decoder::Ffmpeg { tools, track } => (tools, track.incomplete),
        };
        if !tools.pool.is_open() || incomplete == Some(pts) {
            return None;
        }
        tools.pool.picture_of(gops.piece(frame, tools.programs.held_back())?, pts)
    }

    /// Decodes a run of frames in the order of PTS; each comes once, with its number.
    pub(crate) fn pictures(
        &self,
        clip: Stored<'_>,
        frames: Range<usize>,
        pace: Pace,
        give: Taker<'_>,
    ) -> Result<(), Error> {
        if frames.is_empty() {
            return Ok(());
        }
        if frames.end > clip.frames.len() {
            let last = clip.frames.len().saturating_sub(1);
            return Err(Error::NoSuchFrame { frame: frames.end - 1, last });
        }
        match self {
            Decoder::BuiltIn { clip: built_in, fallback, worker } => {
                let mut next = frames.start;
                let ended =
                    built_in.pictures(frames.clone(), (worker.as_ref(), pace), &mut |frame, picture| {
                        next = frame + 1;
                        give(frame, picture)
                    });
                match (ended, fallback) {
                    (Err(_), Some(tools)) => {
                        Run { tools, track: &FALLBACK, clip, pace }.pictures(next..frames.end, give)
                    }
                    (ended, _) => ended,
                }
            }
            Decoder::Ffmpeg { tools, track } => Run { tools, track, clip, pace }.pictures(frames, give),
        }
    }
}
