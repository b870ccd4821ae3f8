//! The machine that the program runs on: its clock, its data folder, its books, the decoder's own process.

pub mod books;
pub mod clock;
pub mod data;
pub mod decoder;
pub mod frame;
pub mod output;
