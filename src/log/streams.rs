//! What the log holds of reviews, days, rulings, precedents, grades and second looks, and how each is held.

pub mod day;
pub mod days;
pub mod discretion;
pub mod discretions;
pub mod grades;
pub mod precedents;
pub mod reviews;
pub mod second_looks;
pub mod session;
