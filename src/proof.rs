//! Evidence: marks, and how sure they make a step.
//!
//! Never here: rules, outcome words, a number that leaves without its uncertainty.

pub mod camera;
pub mod homography;
mod least_squares;
pub mod lens;
pub mod mark;
pub mod measure;
pub mod place;
pub mod timecode;
pub mod verdict;
