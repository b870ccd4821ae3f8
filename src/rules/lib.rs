//! The rules: a league's book as checked data, and what a play comes to under it.
//!
//! [`book`] turns text into a checked book; [`game`] turns a situation and a play into the next situation.
//! Never here: wall time, files, cameras.

pub mod book;
pub mod game;
pub mod shown;
