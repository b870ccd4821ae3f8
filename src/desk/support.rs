//! What tests of several screens share: every key there is, and a display to compare.

pub(crate) mod chords;
#[cfg(not(feature = "gpu"))]
pub(crate) mod display;
