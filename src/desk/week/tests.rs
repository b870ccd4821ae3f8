//! The supervisor's week, by keys and without a display.

pub(super) mod by_keys;
mod every_key;
#[cfg(not(feature = "gpu"))]
mod repainted;
