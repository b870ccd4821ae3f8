//! Tests of `scene`: one file for each behaviour, in one binary.

mod coverage; // what is stated of the shipped plays is true as often as claimed
mod place_clicked; // bands hold on compressed pictures, clicked by the automatic clicker
mod scenes; // plays as scenes: what is drawn is what the truth says
