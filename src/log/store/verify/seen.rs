//! What a reader goes by: what was verified so far, and whether what it finds is that.

use crate::chain::blob::Blob;
use crate::chain::broken::{Beside, Broken, What};
use crate::chain::hash::Hash;
use crate::chain::sign::{KeyId, PublicKey};
use crate::chain::tip::Tip;
use crate::store::seals::{Place, Seals};
use crate::store::verify::pass::Walk;
use rusqlite::Connection;

/// Something is not as it should be.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Doubt;

impl Walk {
    /// Verifies what was appended since.
    ///
    /// # Errors
    /// Nothing more than that it does not verify: what is wrong is told by a pass over the whole log.
    pub(crate) fn read_on(&mut self, connection: &Connection) -> Result<(), Doubt> {
        let read = self.rest(connection);
        // A text that is named and not there was erased by an entry that follows at once, or is missing.
        match read.is_ok() && self.missing.is_empty() {
            true => Ok(()),
            false => Err(Doubt),
        }
    }

    pub(crate) fn tip(&self) -> Tip {
        self.tip
    }

    /// The keys that may sign, in the order they were added.
    pub(crate) fn keys(&self) -> Vec<PublicKey> {
        self.added.iter().map(|(key, _)| *key).collect()
    }

    pub(crate) fn key_of(&self, id: &KeyId) -> Option<&PublicKey> {
        self.keys.get(id)
    }

    /// Whether this is a text or still that the log should have, or what is wrong with it.
    pub(crate) fn is_blob(&self, hash: &Hash, found: Option<&Blob>) -> Result<(), Broken> {
        let (fault, seq) = match (found, self.blobs.get(hash)) {
            (None, None) => return Ok(()),
            (Some(blob), Some(_)) if blob.hash() == *hash => return Ok(()),
            // A newer tellframe may have written it for an entry that is not read here.
            (Some(blob), None) if blob.hash() == *hash && self.newer > 0 => return Ok(()),
            (Some(_), Some(seq)) => (Beside::BlobChanged(*hash), *seq),
            (None, Some(seq)) => (Beside::BlobMissing(*hash), *seq),
            (Some(_), None) => (Beside::Table("blobs"), self.tip.entries),
        };
        Err(Broken { seq, what: What::Beside(fault) })
    }

    /// Whether this is the text of an edition that the log should have, or what is wrong with it.
    pub(crate) fn is_edition(&self, edition: &Hash, found: Option<&str>) -> Result<(), Broken> {
        let (fault, seq) = match (found, self.editions.get(edition)) {
            (None, None) => return Ok(()),
            (Some(text), Some((hash, _))) if Hash::of(text.as_bytes()) == *hash => return Ok(()),
            (Some(_), None) if self.newer > 0 => return Ok(()),
            (Some(_), Some((_, seq))) => (Beside::EditionChanged(*edition), *seq),
            (None, Some((_, seq))) => (Beside::EditionMissing(*edition), *seq),
            (Some(_), None) => (Beside::Table("editions"), self.tip.entries),
        };
        Err(Broken { seq, what: What::Beside(fault) })
    }

    /// Where the log ended, and all seals up to there.
    pub(crate) fn place(&self) -> Place {
        Place { tip: self.tip, seals: self.seals.hash() }
    }

    pub(crate) fn seals(&self) -> Seals {
        self.seals.clone()
    }
}
