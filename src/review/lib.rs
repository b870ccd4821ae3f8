//! A review: what may be asked, what the answers amount to, and what is ruled.
//!
//! Everything here is a pure function of a book and of events. Never here: SQL, files, reading a clock; state
//! that is not a fold of events. "Not reviewable" and "not proven" are values, not errors.

pub mod announcement;
pub mod answer;
pub mod as_announced;
pub mod case;
pub mod day;
pub mod decide;
pub mod discretion;
pub mod event;
pub mod find;
pub mod flips;
pub mod fold;
pub mod gate;
pub mod grade;
pub mod known;
pub mod ledger;
pub mod marking;
pub mod next;
pub mod path;
pub mod placing;
pub mod play_grade;
pub mod precedent;
pub mod refusal;
pub mod ruling;
pub mod second_look;
pub mod settle;
pub mod stamp;
pub mod stance;
pub mod text;
pub mod tying;
