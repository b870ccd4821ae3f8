//! The JSON that outsiders rely on, as types and nothing else: no logic, no files.

pub mod record;
