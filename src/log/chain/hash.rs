//! The chain: what an entry's hash is taken over, and how hashes and logs are named.
//!
//! hash = SHA-256(domain ‖ log id ‖ previous hash ‖ entry bytes). The domain is a fixed text, the id
//! 16 bytes, the previous hash 32, and the entry's bytes come last: every part but the last has a
//! fixed length, so no two different entries share a preimage and no length prefix is needed.
//! The log's id is part of it so that an entry cannot be carried from one log into another.

use sha2::{Digest, Sha256};
use std::fmt;
use std::str::FromStr;

/// Keeps a hash of this chain apart from every other use of SHA-256; the number is the chain's form.
const DOMAIN: &[u8] = b"tellframe log entry 1\n";

/// A SHA-256 value; printed as 64 lower-case hex digits.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Hash([u8; 32]);

impl Hash {
    /// What the first entry of every log has as its previous hash.
    pub const NONE: Hash = Hash([0; 32]);

    /// The hash of plain bytes.
    pub fn of(bytes: &[u8]) -> Hash {
        Hash(Sha256::digest(bytes).into())
    }

    /// The hash of several parts in a row. The caller sees to it that the parts cannot be confused.
    pub(crate) fn of_parts(parts: &[&[u8]]) -> Hash {
        let mut digest = Sha256::new();
        parts.iter().for_each(|part| digest.update(part));
        Hash(digest.finalize().into())
    }

    /// The 32 bytes.
    pub fn as_bytes(&self) -> &[u8; 32] {
        &self.0
    }
}

impl From<[u8; 32]> for Hash {
    fn from(bytes: [u8; 32]) -> Hash {
        Hash(bytes)
    }
}

impl fmt::Display for Hash {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write_hex(&self.0, f)
    }
}

impl fmt::Debug for Hash {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write_hex(&self.0, f)
    }
}

impl FromStr for Hash {
    type Err = NotHex;
    fn from_str(text: &str) -> Result<Hash, NotHex> {
        from_hex(text).map(Hash)
    }
}

/// The name of one log, drawn at random when it is made; printed as 32 hex digits.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct LogId([u8; 16]);

impl LogId {
    /// The 16 bytes.
    pub fn as_bytes(&self) -> &[u8; 16] {
        &self.0
    }
}

impl From<[u8; 16]> for LogId {
    fn from(bytes: [u8; 16]) -> LogId {
        LogId(bytes)
    }
}

impl fmt::Display for LogId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write_hex(&self.0, f)
    }
}

impl FromStr for LogId {
    type Err = NotHex;
    fn from_str(text: &str) -> Result<LogId, NotHex> {
        from_hex(text).map(LogId)
    }
}

/// A text that should be hex digits of one length and is not.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("`{text}` is not {digits} lower-case hex digits")]
pub struct NotHex {
    text: String,
    digits: usize,
}

/// The hash of an entry that follows `previous` in `log`.
pub fn entry_hash(log: &LogId, previous: &Hash, bytes: &[u8]) -> Hash {
    Hash::of_parts(&[DOMAIN, log.as_bytes(), previous.as_bytes(), bytes])
}

pub(crate) fn write_hex(bytes: &[u8], f: &mut fmt::Formatter<'_>) -> fmt::Result {
    bytes.iter().try_for_each(|byte| write!(f, "{byte:02x}"))
}

/// Reads exactly `N` bytes; upper case is refused so that a hash has one spelling.
pub(crate) fn from_hex<const N: usize>(text: &str) -> Result<[u8; N], NotHex> {
    let wrong = || NotHex { text: text.to_owned(), digits: 2 * N };
    let digit = |byte: u8| match byte {
        b'0'..=b'9' => Ok(byte - b'0'),
        b'a'..=b'f' => Ok(byte - b'a' + 10),
        _ => Err(wrong()),
    };
    if text.len() != 2 * N {
        return Err(wrong());
    }
    let mut bytes = [0; N];
    for (byte, pair) in bytes.iter_mut().zip(text.as_bytes().chunks_exact(2)) {
        let &[high, low] = pair else { return Err(wrong()) };
        *byte = 16 * digit(high)? + digit(low)?;
    }
    Ok(bytes)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// FIPS 180-4 example: SHA-256 of `abc`.
    #[test]
    fn abc_has_the_published_hash() {
        let printed = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
        assert_eq!(Hash::of(b"abc").to_string(), printed);
        assert_eq!(Hash::of_parts(&[b"a", b"", b"bc"]).to_string(), printed);
    }

    #[test]
    fn a_hash_is_read_back_from_its_own_spelling_only() {
        let hash = Hash::of(b"abc");
        assert_eq!(hash.to_string().parse(), Ok(hash));
        for wrong in ["", "ba78", &hash.to_string().to_uppercase(), &format!("{hash}0"), &"é".repeat(32)] {
            assert!(wrong.parse::<Hash>().is_err(), "{wrong}");
        }
        let fault = "x".parse::<LogId>().expect_err("not hex");
        assert_eq!(fault.to_string(), "`x` is not 32 lower-case hex digits");
    }

    /// The preimage written out by hand; the expected value is from `sha256sum` of these very bytes.
    #[test]
    fn the_entry_hash_covers_domain_log_previous_and_bytes() {
        let (log, bytes) = (LogId([0x11; 16]), br#"{"form":1}"#);
        let mut preimage = b"tellframe log entry 1\n".to_vec();
        preimage.extend([0x11; 16]);
        preimage.extend([0; 32]);
        preimage.extend(bytes);
        assert_eq!(entry_hash(&log, &Hash::NONE, bytes), Hash::of(&preimage));
        assert_eq!(
            entry_hash(&log, &Hash::NONE, bytes).to_string(),
            "aa1e9ef2b276eb738139944126df0cc800a80a281b62637aae531175db2952a4"
        );
        let others = [
            entry_hash(&LogId([0x12; 16]), &Hash::NONE, bytes),
            entry_hash(&log, &Hash([1; 32]), bytes),
            entry_hash(&log, &Hash::NONE, br#"{"form":2}"#),
        ];
        assert!(others.iter().all(|other| *other != Hash::of(&preimage)));
    }
}
