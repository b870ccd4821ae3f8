//! Clips: what they are, their exact frames, and the cameras' common clock.
//!
//! Never here: rules, time as a float (except for display), a cache without a bound, an inexact picture that is not
//! marked as such. What a file states is checked against what it holds before memory is allocated. Decoders of
//! untrusted files run as a child that can crash or hang without harm, the built-in one too where the program says
//! how ([`decode::worker`]).

pub mod clip;
mod container;
pub mod deck;
pub mod decode;
pub mod duplicate_frames;
pub mod error;
pub mod fault;
mod file_identity;
pub mod frame;
mod h264;
pub mod picture;
pub mod playhead;
pub mod show;
pub mod sync_timeline;
pub mod watch;
