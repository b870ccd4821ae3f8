//! Evidence: marks, and how sure they make a step.
//!
//! Never here: rules, outcome words, a number that leaves without its uncertainty.

pub mod error;
pub mod mark;
pub mod normal;
pub mod place;
pub mod text;
pub mod time;
pub mod verdict;
