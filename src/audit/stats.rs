//! Statistics, each in a file that opens with its source. They know no records.

pub mod cohen;
pub mod control_chart;
pub mod fisher;
pub mod fleiss;
pub mod jackknife;
pub mod krippendorff;
pub mod multiple_testing;
pub mod rank_sum;
pub mod ratings;
pub mod survival;
pub mod wilson;
