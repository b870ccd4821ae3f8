//! The stills of a review's marks: what lies beside the chain for them.
//!
//! A still is erased like a text; the mark goes on to name it, and its chain holds.

use crate::Error;
use crate::chain::entry::{Act, NewEntry};
use crate::chain::hash::Hash;
use crate::store::reader::Reader;
use review::event::Marked;
use review::fold::Review;

/// A mark that names a still.
#[derive(Debug, Clone, PartialEq)]
pub struct Still {
    pub marked: Marked,
    /// The still's name: its salted hash, as 64 hex digits.
    pub name: String,
    /// The bytes of the picture; none once it is erased, or in a log that never had it.
    pub bytes: Option<Vec<u8>>,
}

/// The stills of the marks that stand, in the order in which they were set.
///
/// # Errors
/// [`Error`] if the log cannot be read.
pub fn of_review(log: &Reader, review: &Review) -> Result<Vec<Still>, Error> {
    let mut stills = Vec::new();
    for marked in review.marks() {
        let Some(name) = marked.shot.as_ref().and_then(|shot| shot.still.clone()) else { continue };
        stills.push(Still { marked: marked.clone(), bytes: named(log, &name)?, name });
    }
    Ok(stills)
}

/// The still of this name; none where it was erased, is another log's, or where that is no name.
///
/// # Errors
/// [`Error`] if the log cannot be read.
pub fn named(log: &Reader, name: &str) -> Result<Option<Vec<u8>>, Error> {
    let Ok(hash) = name.parse::<Hash>() else { return Ok(None) };
    Ok(log.blob(&hash)?.map(|blob| blob.bytes().to_vec()))
}

/// The entry that erases a still.
///
/// # Errors
/// [`Error`] where the log has no such still.
pub fn erasure(log: &Reader, act: &Act, name: &str) -> Result<Option<NewEntry>, Error> {
    let Ok(hash) = name.parse::<Hash>() else { return Ok(None) };
    match log.blob(&hash)? {
        Some(_) => Ok(Some(NewEntry::erased(act.clone(), hash)?)),
        None => Ok(None),
    }
}
