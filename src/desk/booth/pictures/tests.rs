//! Pictures, overlays and clicks on the pixels that they belong to.

mod registered;
mod upright;
pub(crate) mod waited;
