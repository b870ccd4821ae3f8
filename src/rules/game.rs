//! The game: situation, effects, enforcement, accounting.
//!
//! Situation in, situation out. Never here: wall time; cameras and frames; a rule of one league.

pub mod account;
pub mod advance;
pub mod apply;
pub mod clock;
pub mod course;
mod dead;
pub mod enforce;
pub mod known;
pub mod ledger;
pub mod open;
pub mod outcome;
pub mod overtime;
pub mod play;
pub mod run_off;
pub mod situation;
pub mod text;
