//! What the chain's hashes do not cover, hashed: the signatures of the entries and the names of their keys.

use crate::chain::hash::Hash;
use crate::chain::sign::{KeyId, Signature};
use crate::chain::tip::Tip;
use sha2::{Digest as _, Sha256};

const DOMAIN: &[u8] = b"tellframe log seals 1\n";

/// The signature of each entry and the name of its key, in order: the hashes of the chain do not cover them.
#[derive(Debug, Clone)]
pub(crate) struct Seals(Sha256);

impl Seals {
    pub(crate) fn none() -> Seals {
        Seals(Sha256::new_with_prefix(DOMAIN))
    }

    /// Takes in those of one more entry.
    pub(crate) fn add(&mut self, signature: &Signature, key: &KeyId) {
        // The name comes with its length: nothing else has this preimage.
        let name = key.as_str().as_bytes();
        self.0.update(signature.as_bytes());
        self.0.update((name.len() as u64).to_be_bytes());
        self.0.update(name);
    }

    pub(crate) fn hash(&self) -> Hash {
        Hash::from(<[u8; 32]>::from(self.0.clone().finalize()))
    }
}

/// A place in a log, and the seals up to there.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Place {
    pub(crate) tip: Tip,
    pub(crate) seals: Hash,
}
