//! The behaviour of `pages`, a file a behaviour, in one binary.

mod log_stills; // stills beside the chain: kept, shown, named, erased
mod place_placed; // a placed point in a review: measured, refused, stored, shown
mod review_ties; // ties of cameras to one clock: kept, refused, taken back, stored
mod story; // how a question was walked, step by step, and the page that shows it
