//! A coded picture of a track, and how many of them a file may state.

/// One coded picture. Times are in units of the track.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Sample {
    /// Of its first byte in the file.
    pub(crate) offset: u64,
    /// In bytes.
    pub(crate) size: u32,
    pub(crate) dts: i64,
    pub(crate) pts: i64,
    /// Until the next one.
    pub(crate) duration: u32,
    /// The file says that decoding may begin here.
    pub(crate) is_key: bool,
}

/// Why an index is too large to be read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum TooMuch {
    /// More samples than are read, or than the file can hold.
    #[error("its index states {0} pictures")]
    Samples(u64),
    #[error("its index takes {0} bytes")]
    Index(u64),
}

impl TooMuch {
    /// Two million pictures are nine hours at 59.94.
    pub(crate) const SAMPLES: u64 = 2_000_000;
    /// 64 bytes a picture.
    pub(crate) const INDEX: u64 = 64 * Self::SAMPLES;
}
