//! Where: cameras, the ground in a picture, points and lines with their errors.

pub mod camera;
pub mod clicked;
pub mod drawn;
pub mod homography;
pub mod landmark;
mod least_squares;
pub mod lens;
pub mod measure;
pub mod point;
pub mod pose;
pub mod triangulate;
pub mod view;
