//! What a supervisor computes from logs: every figure with its n and its interval.

pub mod certificate;
pub mod changes;
pub mod page;
pub mod rejudge;
pub mod season;
