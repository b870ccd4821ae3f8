//! Records in and out: JSON Lines, Parquet, import.

pub mod blocks;
pub mod import;
pub mod jsonl;
pub mod parquet;
pub mod records;
