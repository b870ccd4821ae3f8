//! Evidence: marks, and how sure they make a step.
//!
//! Never here: rules, outcome words, a number that leaves without its uncertainty.

pub mod camera;
pub mod lens;
pub mod mark;
pub mod place;
pub mod rate;
pub mod timecode;
pub mod verdict;
