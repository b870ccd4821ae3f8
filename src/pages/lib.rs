//! What is read on paper or in a browser: the page of a review, the report of an audit.
//!
//! Values come in, HTML and SVG go out. Never here: a figure that was not computed before.

pub mod embedded;
pub mod placed;
pub mod record;
pub mod report;
pub mod review;
pub mod text;
