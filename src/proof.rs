//! Evidence: marks, and how sure they make a step.
//!
//! Never here: rules, outcome words, a number that leaves without its uncertainty.

pub mod angle;
pub mod clock;
pub mod mark;
pub mod normal;
pub mod order;
pub mod quadrature;
pub mod rate;
pub mod say;
pub mod spread;
pub mod sync;
pub mod timecode;
pub mod verdict;
