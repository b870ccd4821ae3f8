//! What a supervisor computes from logs.
//!
//! `sample` reads records; `figures` answers the supervisor's questions about them, with the statistics of `stats`;
//! `rejudge` holds records against another edition of the rules; `certificate` makes the signed proof of one ruling;
//! `second_look` draws rulings to be reviewed again, blind.
//!
//! Never here: a clock, a window, SQL, a random number without a seed, a figure without its n and interval. A figure that
//! is not defined is `None`, never zero.

pub mod certificate;
mod error;
pub mod figures;
pub mod rejudge;
pub mod sample;
pub mod second_look;
pub mod stats;

pub use self::error::Error;
