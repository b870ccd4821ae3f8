//! The end of a log.

use crate::chain::hash::Hash;

/// Where a log ends.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Tip {
    /// How many entries it has.
    pub entries: u64,
    pub head: Hash,
}
