//! Marks: one frame of one camera tied to a named moment.

use super::timecode::Timecode;

/// A mark, as far as a person can state it without the clip itself.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Mark {
    /// The moment: "control".
    pub moment: String,
    /// The camera, as the crew calls it.
    pub camera: String,
    /// What stands in the picture.
    pub timecode: Timecode,
}

/// What an answer rests on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Basis {
    /// A person says so, with marks.
    Attested,
    /// A measurement says so.
    Computed(super::verdict::Verdict),
}
