//! Whether pictures, overlays and clicks are on the right pixels.

mod registered;
mod upright;
pub(crate) mod waited;
