//! Evidence: marks, and how sure they make a step.
//!
//! Never here: rules, outcome words, a number that leaves without its uncertainty.

pub mod angle;
pub mod camera;
pub mod clicked;
pub mod clock;
pub mod drawn;
pub mod homography;
pub mod landmark;
mod least_squares;
pub mod lens;
pub mod mark;
pub mod measure;
pub mod normal;
pub mod order;
pub mod place;
pub mod pose;
pub mod quadrature;
pub mod rate;
pub mod say;
pub mod scoreboard;
pub mod spread;
pub mod sync;
pub mod ties;
pub mod timecode;
pub mod triangulate;
pub mod verdict;
pub mod view;
