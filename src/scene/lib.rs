//! Plays as scenes with truth, and the renderer that makes footage of them.
//!
//! A play is written down (`play`), becomes bodies and a ball that can be asked where they are at any time
//! (`action`), and is filmed by the cameras of the league (`rig`, `canvas`, `film`). What really happened stands
//! in its `truth`. Everything follows from the play, the cameras and a seed.
//!
//! Never here: rules, a clock, chance without a seed. Nothing else of the library needs this layer.

pub mod action;
pub mod backdrop;
pub mod ball;
pub mod body;
pub mod canvas;
pub mod dice;
pub mod evidence;
pub mod figure;
pub mod film;
pub mod gait;
mod glyph;
pub mod hall;
pub mod heading;
pub mod mover;
pub mod paint;
pub mod path;
pub mod picture;
pub mod play;
pub mod rig;
pub mod shipped;
pub mod space;
pub mod stamp;
pub mod timecode_track;
pub mod truth;
