//! Clicks on decoded pictures, found in the pictures: an automatic clicker as a measuring instrument.
//!
//! It knows what a person knows who looks: about where a thing stands (two pixels off in each direction, by chance), how
//! large it is there, how it looks. Its thresholds and its least error were chosen on the play `CHOSEN_ON`, which is not
//! measured.

pub mod films;
mod fit;
mod look;
pub mod measured;
mod shoe;
pub mod tally;
mod tick;

/// The play on which the clicker was set up.
pub const CHOSEN_ON: &str = "inside-line";
