//! The JSON that outsiders rely on, as types, with the conversions. No logic.
//!
//! What a person writes refuses unknown fields and names the nearest known one; what programs exchange keeps
//! them. RON takes the same names.

pub mod audit;
pub mod by_team;
pub mod calibration;
pub mod case;
pub mod clock_start;
mod closed_set;
pub mod enforce;
pub mod error;
pub mod figure;
pub mod grade;
pub mod ledger;
pub mod line;
pub mod measure;
pub mod missing;
pub mod order;
pub mod precedent;
pub mod probe;
pub mod read;
pub mod record;
pub mod rejudge;
pub mod schema;
pub mod script;
pub mod second_look;
pub mod settle;
pub mod situation;
mod snap;
