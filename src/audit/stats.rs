//! Statistics, each in a file that opens with its source. They know no records.

pub(crate) mod cohen;
pub(crate) mod control_chart;
pub(crate) mod fisher;
pub(crate) mod fleiss;
mod jackknife;
pub(crate) mod krippendorff;
pub(crate) mod median;
pub(crate) mod multiple_testing;
pub(crate) mod rank_sum;
pub mod ratings;
pub mod survival;
pub(crate) mod wilson;
