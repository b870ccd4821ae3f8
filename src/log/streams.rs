//! What the log stores: streams of events, each under an id of its own.
//!
//! Reviews, games, the referee's own rulings, precedents, grades, second looks and grades of plays are each commands
//! that become events, events that fold into a state, and entries that keep the events. What is the same for all of
//! them is here: how an entry is read back with its texts ([`read`]), what the log holds under an id
//! ([`held`]), and how it is added to ([`session`]). What a stream is, and the stored form of each, lies in `forms`.
//!
//! A new stream is a folder in `review` that decides and folds, a file in `forms`, and a line in `forms::ALL`.

pub mod days;
pub mod discretions;
pub mod grades;
pub mod held;
pub mod play_grades;
pub mod precedents;
pub mod read;
pub mod reviews;
pub mod second_looks;
pub mod session;
