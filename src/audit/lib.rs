//! What a supervisor computes from logs: every figure with its n and its interval.
//!
//! `read` takes records in, as [`sample::Sample`]; `figures` puts the answers together; `report` lays them out.
//! Each statistic stands in a file of its own that opens with its source.
//!
//! Never here: a clock, a window, SQL, a random number without a seed, a figure without its n and interval. A
//! figure that is not defined is nothing, never zero.

pub mod again;
pub mod agreement;
mod alike;
pub mod angles;
pub mod certificate;
pub mod challenges;
pub mod changes;
pub mod cohen;
pub mod consistency;
pub mod control;
pub mod durations;
pub mod editions;
pub mod facts;
pub mod figures;
pub mod fisher;
pub mod fleiss;
pub mod jackknife;
pub mod krippendorff;
pub mod lists;
pub mod logs;
pub mod many;
pub mod names;
pub mod officials;
pub mod proportion;
pub mod ranks;
pub mod rates;
pub mod ratings;
pub mod read;
pub mod rejudge;
pub mod row;
pub mod rows;
pub mod sample;
pub mod survival;
pub mod tempo;
pub mod terms;
pub mod weeks;
