//! How far a session has read the log, where several write to one log in turn.
//!
//! INVARIANT: a session's state is the fold of its entries up to here. Before it decides it reads on, so that what
//! another session of the same desk wrote in between is known, and the head that it appends after is the log's.

use crate::Error;
use crate::chain::entry::Entry;
use crate::chain::hash::Hash;
use crate::chain::label::CommandId;
use crate::store::reader::{Reader, Stored};
use review::stamp::Stamp;

/// One attempt to do something: done twice, it is one.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Attempt {
    /// The name of this very attempt.
    pub command: CommandId,
    /// When.
    pub at: Stamp,
}

/// Where the log ended when it was last read.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Tail {
    pub(crate) head: Hash,
    entries: u64,
}

impl Tail {
    /// The log's end as it is; to be taken before the state is read.
    pub(crate) fn of(log: &Reader) -> Result<Tail, Error> {
        let tip = log.tip()?;
        Ok(Tail { head: tip.head, entries: tip.entries })
    }

    /// Hands every entry since to `each`.
    pub(crate) fn catch_up(
        &mut self,
        log: &Reader,
        mut each: impl FnMut(&Stored) -> Result<(), Error>,
    ) -> Result<(), Error> {
        let tip = log.tip()?;
        if tip.head == self.head {
            return Ok(());
        }
        let (mut entries, mut head) = (self.entries, self.head);
        log.each_from::<Error>(self.entries + 1, |stored| {
            each(&stored)?;
            (entries, head) = (stored.seq, stored.hash);
            Ok(())
        })?;
        (self.entries, self.head) = (entries, head);
        Ok(())
    }

    /// The log goes on after these entries.
    pub(crate) fn seen(&mut self, entries: &[(u64, Hash)]) {
        if let Some((seq, hash)) = entries.last().filter(|(seq, _)| *seq > self.entries) {
            (self.entries, self.head) = (*seq, *hash);
        }
    }

    /// The entries that an attempt wrote, in order.
    pub(crate) fn written(log: &Reader, written: &[(u64, Hash)]) -> Result<Vec<Entry>, Error> {
        written.iter().map(|(seq, _)| log.entry(*seq)).collect()
    }
}
