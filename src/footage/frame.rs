//! A frame of a clip.

/// A picture of the clip, before it is decoded.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Frame {
    /// In units of the clip's time base.
    pub pts: i64,
    /// The file states that decoding may begin here.
    pub is_key: bool,
}
