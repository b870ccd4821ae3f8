//! Clips: what they are, their exact frames, and the cameras' common clock.
//!
//! Never here: rules, time as a float (but to show it), a cache without a bound, a picture that is not exact and does
//! not say so. What a file states is held against what it holds before room is made for it; decoders of strange files
//! run as a child that can crash or hang without harm, the built-in one too where the program says how (`apart`).

pub mod apart;
mod avc;
pub mod cache;
mod child;
pub mod clip;
pub mod colour;
pub mod deck;
pub mod decode;
mod embedded;
mod engine;
pub mod fault;
pub mod ffmpeg;
mod group;
pub mod identity;
mod known;
mod mp4;
pub mod picture;
pub mod playhead;
mod prober;
pub mod proxies;
pub mod proxy;
pub mod reel;
pub mod shape;
mod shown;
pub mod still;
pub mod survey;
pub mod timing;
pub mod turn;
pub mod view;
mod waiting;
pub mod watch;
