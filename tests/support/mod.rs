//! What several behaviours need.

pub mod logs;
