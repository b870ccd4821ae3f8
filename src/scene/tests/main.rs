//! The behaviour of `scene`, a file a behaviour, in one binary.

mod coverage; // what is stated of the scenes' plays is true as often as it says
mod place_clicked; // bands hold on compressed pictures, clicked by the automatic clicker
mod scenes; // plays as scenes: what is drawn is what the truth says
