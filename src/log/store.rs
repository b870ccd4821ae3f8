//! Where a log is kept: the database, its schema, its lock, and reading and writing it.

pub mod head;
pub mod head_file;
pub mod identity;
pub(crate) mod index;
pub mod location;
pub mod lock;
pub mod log;
pub mod loss;
pub(crate) mod precedent_index;
pub mod reader;
pub mod rows;
pub mod schema;
pub(crate) mod seals;
pub mod stills;
pub mod tables;
pub mod unverified;
pub mod verify;
pub mod wal;
