//! Why there is no clip, picture, hash or still.

use crate::container::mp4::sample::TooMuch;
use crate::picture::PixelFormat;
use std::io;
use zune_jpeg::errors::DecodeErrors;

/// Any failure of the crate. Each variant but the first eight is about one picture.
#[derive(Debug, thiserror::Error)]
pub enum Error {
    /// The file cannot be opened.
    #[error("cannot open it: {0}")]
    Open(#[source] io::Error),
    /// The file cannot be read any more.
    #[error("the file cannot be read: {0}")]
    Read(#[source] io::Error),
    /// The file is not the one that was opened.
    #[error("{0}")]
    Changed(#[from] Change),
    /// The index of an MP4 file cannot be used.
    #[error("{0}")]
    Index(#[from] IndexError),
    /// FFmpeg's prober does not describe it.
    #[error("{0}")]
    Probe(#[from] ProbeError),
    /// A PTS is further from zero than any clip is long.
    #[error("the times of its pictures cannot be right")]
    ImpossibleTimes,
    /// No picture can be decoded; with the decoder's first message.
    #[error("no picture of it can be decoded{}", after_colon(.0))]
    NoPictures(Option<String>),
    /// Only FFmpeg could decode it, and FFmpeg is not installed; with what the built-in decoder lacks.
    #[error("it cannot be shown without FFmpeg: {0}")]
    NeedsFfmpeg(String),
    /// The clip has fewer frames.
    #[error("there is no frame {frame}: the clip has frames 0 to {last}")]
    NoSuchFrame {
        /// The frame that was asked for.
        frame: usize,
        /// The last frame.
        last: usize,
    },
    /// FFmpeg ended without the picture; with its first message.
    #[error("the decoder gives no picture for frame {frame}{}", after_colon(message))]
    Missing {
        /// The frame that was asked for.
        frame: usize,
        /// What the decoder printed first.
        message: Option<String>,
    },
    /// FFmpeg cannot be started, or its pipe breaks.
    #[error("FFmpeg cannot be run: {0}")]
    Ffmpeg(#[source] io::Error),
    /// FFmpeg gives a pixel format that is not in the table.
    #[error("pictures are laid out as {0}, which is not read here")]
    UnknownFormat(String),
    /// Size or pixel format change at this PTS.
    #[error("the picture changes its size or layout at {0}")]
    FormatChanges(i64),
    /// Width and height of a picture that is larger than is decoded.
    #[error("a picture of {0}x{1} pixels is larger than is decoded here")]
    TooLarge(u32, u32),
    /// The coded data of the picture with this PTS are damaged.
    #[error("the picture at {0} is damaged")]
    Damaged(i64),
    /// The built-in decoder, or its worker process, cannot be started.
    #[error("the built-in decoder cannot be started")]
    NoDecoder,
    /// The worker process of the built-in decoder ended by itself.
    #[error("the built-in decoder crashed at the picture at {pts}{}", after_colon(message))]
    Crashed {
        /// PTS of the picture.
        pts: i64,
        /// The last line that it printed.
        message: Option<String>,
    },
    /// The worker process of the built-in decoder made no progress, and was ended.
    #[error("the built-in decoder gave nothing for {} s at the picture at {pts}, and was ended", *waited_ms as f64 / 1000.0)]
    Stalled {
        /// PTS of the picture.
        pts: i64,
        /// The patience that it used up.
        waited_ms: u64,
    },
    /// The pixel format can be hashed and not shown.
    #[error("pictures laid out as {0} are not shown here")]
    Format(PixelFormat),
    /// Width and height of a part that does not lie in the picture.
    #[error("a part of {0}x{1} pixels does not lie in the picture")]
    Part(u32, u32),
    /// Width and height that are zero, or larger than any screen.
    #[error("a picture of {0}x{1} pixels is not shown")]
    Size(u32, u32),
    /// The JPEG encoder refuses the still.
    #[error("the still cannot be written: {0}")]
    WriteStill(#[from] jpeg_encoder::EncodingError),
    /// The still takes more than this many bytes, even at the lowest quality.
    #[error("the still takes more than {0} bytes at any quality")]
    StillTooLarge(usize),
    /// The bytes are not a still.
    #[error("the still cannot be read: {0}")]
    ReadStill(#[from] DecodeErrors),
}

/// How a file differs from the one that was opened.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum Change {
    /// It cannot be found or read.
    #[error("the file is gone, or cannot be read any more")]
    Gone,
    /// It has other bytes, or may have.
    #[error("the file was written to after it was opened")]
    Written,
    /// Another file has its name.
    #[error("another file was put in its place after it was opened")]
    Replaced,
}

/// Why the index of a file cannot be used.
#[derive(Debug, thiserror::Error)]
pub enum IndexError {
    /// It is another kind of file.
    #[error("it is no MP4 or QuickTime file")]
    Other,
    /// The index (`moov`) is missing: the recording was cut off before it was written.
    #[error("its index is missing: the recording was cut off before it was closed")]
    Missing,
    /// A table cannot be read.
    #[error("its index is damaged ({0})")]
    Damaged(&'static str),
    /// There is no video track.
    #[error("it has no video")]
    NoVideo,
    /// It states too much.
    #[error(transparent)]
    TooMuch(#[from] TooMuch),
    /// It cannot be read.
    #[error("it cannot be read: {0}")]
    Unreadable(#[from] std::io::Error),
}

/// Why the prober describes no video.
#[derive(Debug, thiserror::Error)]
pub enum ProbeError {
    /// The prober cannot be run.
    #[error("FFmpeg's prober cannot be run: {0}")]
    Io(#[from] std::io::Error),
    /// Its last message.
    #[error("{0}")]
    Refused(String),
    /// The file states more than is read.
    #[error("its index takes more than {0} bytes")]
    TooMuch(u64),
    /// There is no video stream.
    #[error("it has no video")]
    NoVideo,
}

fn after_colon(message: &Option<String>) -> String {
    message.as_ref().map_or_else(String::new, |message| format!(": {message}"))
}
