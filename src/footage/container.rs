//! Containers: boxes, sample tables, edit lists, timestamps.

pub(crate) mod mp4;
pub(crate) mod timing;
