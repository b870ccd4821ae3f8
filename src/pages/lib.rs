//! What is read on paper or in a browser: the page of a review and the report of an audit.
//!
//! Values come in, HTML and SVG go out. Never here: a figure that was not computed before.

mod placed;
pub mod report;
pub mod review;
mod still;
pub mod text;
