//! What a supervisor computes from logs: every figure with its n and its interval.
//!
//! `read` takes records in, as [`sample::Sample`]; `figures` puts the answers together; `report` lays them out.
//! Each statistic stands in a file of its own that opens with its source.
//!
//! Never here: a clock, a window, SQL, a random number without a seed, a figure without its n and interval. A
//! figure that is not defined is nothing, never zero.

pub mod certificate;
pub mod figures;
pub mod rejudge;
pub mod sample;
pub mod second_look;
pub mod stats;
