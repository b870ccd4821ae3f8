//! Going on with a log that contradicts the head beside it: an older backup was restored, or its newest entries were lost.
//!
//! The log is not opened otherwise, so that nobody goes on without knowing. Whoever does says why; that, and where the
//! lost log ended, is an entry of the log.

use crate::Error;
use crate::chain::blob::Blob;
use crate::chain::entry::{Act, NewEntry};
use crate::chain::label::CommandId;
use crate::chain::sign::Key;
use crate::chain::tip::Tip;
use crate::store::log::Log;
use std::path::Path;

/// What a log goes on without.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Accepted {
    /// Where the log ended by its head.
    pub lost: Tip,
    pub entry: u64,
}

/// Takes the log at `path` as it is, against the head beside it, for a reason that is kept in the log.
///
/// # Errors
/// [`Error::NoLoss`] where nothing contradicts the log, [`Error::HeadUnwritten`] where the new head could not be put in
/// the place of the old one, or another if the log does not verify or cannot be written.
pub fn accept(path: &Path, key: Key, act: Act, reason: &str) -> Result<Accepted, Error> {
    let (mut log, kept) = Log::despite_head(path, key)?;
    let tip = log.reader().tip()?;
    let entry = NewEntry::loss_accepted(act, kept.tip(), Blob::new(reason.as_bytes().to_vec())?)?;
    let command = CommandId::new(format!("accept loss after {}", tip.head))?;
    log.append(tip.head, &command, &[entry])?;
    match log.head_fault() {
        None => Ok(Accepted { lost: kept.tip(), entry: tip.entries + 1 }),
        Some(fault) => Err(Error::HeadUnwritten { path: path.to_owned(), detail: fault.to_owned() }),
    }
}
