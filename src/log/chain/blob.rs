//! Free text and stills beside the chain: an entry names them by salted hash, so they can be erased
//! without breaking it.
//!
//! The salt keeps an erased text from being guessed: without it, anyone could hash a likely sentence
//! and find it in the chain. The salt is erased together with the bytes.

use crate::chain::hash::Hash;
use crate::chain::sign::KeyError;

const DOMAIN: &[u8] = b"tellframe blob 1\n";

/// Bytes that an entry names by their salted hash.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Blob {
    salt: [u8; 32],
    bytes: Vec<u8>,
    hash: Hash,
}

impl Blob {
    /// Salted with randomness from the operating system.
    pub fn new(bytes: Vec<u8>) -> Result<Blob, KeyError> {
        let mut salt = [0; 32];
        getrandom::fill(&mut salt).map_err(|e| KeyError::NoRandomness(e.to_string()))?;
        Ok(Blob::salted(salt, bytes))
    }

    /// With a salt that is known already: one read back, or one of a test.
    pub fn salted(salt: [u8; 32], bytes: Vec<u8>) -> Blob {
        // Domain and salt have fixed lengths: nothing else has this preimage.
        let hash = Hash::of_parts(&[DOMAIN, &salt, &bytes]);
        Blob { salt, bytes, hash }
    }

    /// The name that an entry gives it.
    pub fn hash(&self) -> Hash {
        self.hash
    }

    /// What it holds.
    pub fn bytes(&self) -> &[u8] {
        &self.bytes
    }

    /// The random bytes that are hashed before the text, so that its digest alone does not give an erased text away.
    pub fn salt(&self) -> &[u8; 32] {
        &self.salt
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_same_text_has_another_name_under_another_salt() {
        let text = b"left foot on the wall".to_vec();
        let blob = Blob::salted([1; 32], text.clone());
        assert_eq!(blob, Blob::salted([1; 32], text.clone()));
        assert_ne!(blob.hash(), Blob::salted([2; 32], text.clone()).hash());
        assert_ne!(blob.hash(), Hash::of(&text));
        assert_eq!(blob.bytes(), text);
    }
}
