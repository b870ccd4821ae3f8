//! Whole games driven by keys, every screen drawn, and every key on every screen.

mod clips;
mod clock;
mod desk;
mod discretion;
mod drawn;
mod drawn_sizes;
mod evening;
mod evenings;
mod every_key;
mod game_day;
mod looks;
mod penalties; // fouls entered between plays, and chosen from a ruling
#[cfg(not(feature = "gpu"))]
mod repainted;
mod ties;
