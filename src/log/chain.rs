//! How an entry is spelt, hashed, linked and signed.

pub mod blob;
pub mod broken;
pub mod canonical;
pub mod edition;
pub mod entry;
pub mod hash;
pub mod label;
pub mod link;
pub mod own;
pub mod sign;
pub mod tip;
