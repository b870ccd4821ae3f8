//! What a file says of its pictures: boxes, sample tables, edit lists, timestamps.

pub mod mp4;
pub mod timing;
