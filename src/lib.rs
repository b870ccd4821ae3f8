//! tellframe: from a challenge to a signed ruling.
//!
//! The layers, in reading order; an arrow points only to a layer above it in this list.
//! `DEVELOPERS.md` is the map.

pub mod book;

pub mod game;

pub mod proof;

pub mod review;

pub mod wire;

pub mod scene;

pub mod footage;

pub mod log;

pub mod audit;
