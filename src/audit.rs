//! What a supervisor computes from logs: every figure with its n and its interval.

pub mod page;
