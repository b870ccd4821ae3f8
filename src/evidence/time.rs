//! When: exact rates and instants, the order of two events, clocks and their ties.

pub mod angle;
pub mod clock;
pub mod order;
mod quadrature;
pub mod rate;
pub mod scoreboard;
mod spread;
pub mod sync;
pub mod ties;
pub mod timecode;
