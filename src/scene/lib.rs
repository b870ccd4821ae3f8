//! Plays as scenes with truth, and the renderer that makes footage of them.
//!
//! A play is written down (`play`), becomes bodies and a ball with a place at any time (`action`), and is filmed by the
//! cameras of the league (`rig`, `canvas`, `film`). Its `truth` holds what really happened. Everything follows from the
//! play, the cameras and a seed.
//!
//! Never here: rules, a clock, chance without a seed. Nothing else of the library needs this layer.

pub mod action;
mod backdrop;
mod ball;
mod body;
pub mod canvas;
pub mod dice;
pub mod error;
pub mod evidence;
mod figure;
pub mod film;
mod gait;
mod glyph;
pub mod hall;
mod heading;
mod mover;
mod paint;
mod path;
pub mod picture;
pub mod play;
pub mod rig;
pub mod shipped;
mod space;
pub mod stamp;
pub mod timecode_track;
pub mod truth;
