//! The behaviour of `formats`, a file a behaviour, in one binary.

mod books; // the books inside the program are sound, and their case plays agree
mod enforce_examples; // the examples of the page on enforcing, and what is refused
mod place_in_the_hall; // landmarks of the field, drawn lines, saved calibrations, ranked cameras
mod published_enforcement; // published rulings on penalties, downs, scores and the clock, run
mod published_replay; // published plays and lists on replay against the college book
mod schemas; // the JSON that outsiders rely on keeps to its schemas
mod strange_inputs; // a table of inputs that cannot be meant, with the words that say so
mod writing_a_book; // the page on writing rule books is true
