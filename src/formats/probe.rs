//! What a clip is, in JSON.

use schemars::JsonSchema;
use serde::Serialize;

/// A clip. Frames are those that a player shows (edit lists applied), in the order of showing.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Clip {
    /// How it is coded: "h264".
    pub codec: String,
    /// Pixels across, as stored.
    pub width: u32,
    /// Pixels down, as stored.
    pub height: u32,
    /// The shape of a stored pixel, `W:H`: how wide it is shown for its height.
    pub pixel_aspect: String,
    /// How many there are.
    pub frames: usize,
    /// Frames a second, `N` or `N/D`; null where they keep to no rate.
    pub rate: Option<String>,
    /// Seconds of one unit of time, `N/D`.
    pub time_base: String,
    /// From the first frame to the end of the last.
    pub duration_s: f64,
    /// The frames at which decoding may begin.
    pub key_frames: Vec<usize>,
    /// Who decodes it.
    pub decoder: String,
    /// Of its first frame, where the file has one.
    pub timecode: Option<String>,
    /// What is wrong or unusual with it, each in words that begin with its kind and a colon.
    pub faults: Vec<String>,
}

/// One frame of a clip.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Frame {
    /// Its number, from 0.
    pub frame: usize,
    /// When it is shown, in units of the time base.
    pub pts: i64,
    /// Whether the decoded picture is, to the bit, the one that the clip holds.
    pub exact: bool,
    /// Layout of the decoded picture: "yuv420p".
    pub pixel_format: String,
    /// Over the tightly packed planes of the decoded picture, in hexadecimal; null where it was not asked for.
    pub sha256: Option<String>,
}
