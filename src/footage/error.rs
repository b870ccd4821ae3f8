//! Why there is no clip, picture, hash or still.

use crate::container::mp4::sample::TooMuch;
use crate::picture::PixelFormat;
use std::io;
use zune_jpeg::errors::DecodeErrors;

/// Why a clip cannot be opened, or a picture of it decoded, shown or kept.
#[derive(Debug, thiserror::Error)]
pub enum Error {
    #[error("cannot open it: {0}")]
    Open(#[source] io::Error),
    #[error("the file cannot be read: {0}")]
    Read(#[source] io::Error),
    #[error("{0}")]
    Changed(#[from] Change),
    #[error("{0}")]
    Index(#[from] IndexError),
    #[error("{0}")]
    Probe(#[from] ProbeError),
    /// A PTS is further from zero than any clip is long.
    #[error("the times of its pictures cannot be right")]
    ImpossibleTimes,
    /// With the decoder's first message.
    #[error("no picture of it can be decoded{}", after_colon(.0))]
    NoPictures(Option<String>),
    /// With what the built-in decoder lacks.
    #[error("it cannot be shown without FFmpeg: {0}")]
    NeedsFfmpeg(String),
    #[error("there is no frame {frame}: the clip has frames 0 to {last}")]
    NoSuchFrame { frame: usize, last: usize },
    /// FFmpeg ended without the picture; with its first message.
    #[error("the decoder gives no picture for frame {frame}{}", after_colon(message))]
    Missing { frame: usize, message: Option<String> },
    #[error("FFmpeg cannot be run: {0}")]
    Ffmpeg(#[source] io::Error),
    /// A pixel format of FFmpeg that is not in the table.
    #[error("pixel format {0} is not supported")]
    UnknownFormat(String),
    /// At this PTS.
    #[error("the picture changes its size or layout at {0}")]
    FormatChanges(i64),
    /// Width and height.
    #[error("a picture of {0}x{1} pixels is too large to decode")]
    TooLarge(u32, u32),
    /// PTS of the picture.
    #[error("the picture at {0} is damaged")]
    Damaged(i64),
    #[error("the built-in decoder cannot be started")]
    NoDecoder,
    #[error("the built-in decoder crashed at the picture at {pts}{}", after_colon(message))]
    Crashed { pts: i64, message: Option<String> },
    #[error("the built-in decoder made no progress for {} s at the picture at {pts} and was stopped", *waited_ms as f64 / 1000.0)]
    Stalled { pts: i64, waited_ms: u64 },
    /// It can be hashed and not shown.
    #[error("pixel format {0} cannot be shown")]
    Format(PixelFormat),
    /// Width and height.
    #[error("a part of {0}x{1} pixels does not lie in the picture")]
    Part(u32, u32),
    /// Width and height: zero, or larger than any screen.
    #[error("a picture of {0}x{1} pixels is not shown")]
    Size(u32, u32),
    #[error("the still cannot be written: {0}")]
    WriteStill(#[from] jpeg_encoder::EncodingError),
    /// Even at the lowest quality.
    #[error("the still takes more than {0} bytes at any quality")]
    StillTooLarge(usize),
    #[error("the still cannot be read: {0}")]
    ReadStill(#[from] DecodeErrors),
}

/// How a file differs from the one that was opened.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum Change {
    #[error("the file is gone, or cannot be read any more")]
    Gone,
    /// It has other bytes, or may have.
    #[error("the file was written to after it was opened")]
    Written,
    #[error("another file was put in its place after it was opened")]
    Replaced,
}

/// Why the index of a file cannot be used.
#[derive(Debug, thiserror::Error)]
pub enum IndexError {
    #[error("not an MP4 or QuickTime file")]
    Other,
    #[error("its index is missing: the recording was cut off before it was closed")]
    Missing,
    #[error("its index is damaged ({0})")]
    Damaged(&'static str),
    #[error("it has no video")]
    NoVideo,
    #[error(transparent)]
    TooMuch(#[from] TooMuch),
    #[error("it cannot be read: {0}")]
    Unreadable(#[from] std::io::Error),
}

/// Why the prober describes no video.
#[derive(Debug, thiserror::Error)]
pub enum ProbeError {
    #[error("FFmpeg's prober cannot be run: {0}")]
    Io(#[from] std::io::Error),
    /// Its last message.
    #[error("{0}")]
    Refused(String),
    #[error("its index takes more than {0} bytes")]
    TooMuch(u64),
    #[error("it has no video")]
    NoVideo,
}

fn after_colon(message: &Option<String>) -> String {
    message.as_ref().map_or_else(String::new, |message| format!(": {message}"))
}
