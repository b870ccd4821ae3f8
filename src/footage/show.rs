//! From a decoded picture to what a screen shows: rotation, pixel aspect ratio, colour, size, caches.

pub(crate) mod cache;
pub mod colour;
pub mod pixel_aspect;
pub mod proxy;
pub mod proxy_folder;
pub mod rotation;
pub mod still;
pub mod view;
