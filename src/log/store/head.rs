//! A signed head: how many entries a log had and the hash of the newest, kept outside the log.
//!
//! The chain shows every change but one: a log whose newest entries are gone is a whole, shorter log.
//! A head that somebody else holds shows that too.

use crate::chain::hash::LogId;
use crate::chain::sign::{Key, PublicKey, Signature};
use crate::chain::tip::Tip;
use serde::{Deserialize, Serialize};

const DOMAIN: &[u8] = b"tellframe log head 1\n";

/// Where a log ended, signed by a desk.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Head {
    log: LogId,
    tip: Tip,
    key: PublicKey,
    signature: Signature,
}

/// The file's JSON. `public` is there so that the signature can be checked without the log.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Written {
    log: String,
    entries: u64,
    head: String,
    signature: String,
    key: String,
    public: String,
}

/// What is wrong with a head.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum HeadError {
    #[error("not the head of a log: {0}")]
    Read(String),
    #[error("the head was changed: its signature is not that of the key {0}")]
    BadSignature(String),
    #[error("the head is of the log {head}, not of this one, {log}")]
    OtherLog { head: LogId, log: LogId },
    /// Signed by a key that the log does not know.
    #[error("the head is signed by the key {0}, which is not one of the log's")]
    OtherKey(String),
}

impl Head {
    pub(crate) fn signed(log: LogId, tip: Tip, key: &Key) -> Head {
        Head { log, tip, key: key.public(), signature: key.sign(&message(&log, &tip)) }
    }

    /// Id of the log that ended here.
    pub fn log(&self) -> LogId {
        self.log
    }

    /// Where the log ended.
    pub fn tip(&self) -> Tip {
        self.tip
    }

    /// Who signed it.
    pub fn key(&self) -> PublicKey {
        self.key
    }

    /// The head file's text.
    pub fn to_json(&self) -> String {
        let written = Written {
            log: self.log.to_string(),
            entries: self.tip.entries,
            head: self.tip.head.to_string(),
            signature: self.signature.to_string(),
            key: self.key.id().to_string(),
            public: self.key.to_string(),
        };
        serde_json::to_string_pretty(&written).expect("texts and a number are JSON")
    }

    /// Reads a head file and checks its signature.
    pub fn parse(text: &str) -> Result<Head, HeadError> {
        let written: Written = serde_json::from_str(text).map_err(|e| HeadError::Read(e.to_string()))?;
        let key: PublicKey = field("public", &written.public)?;
        let tip = Tip { entries: written.entries, head: field("head", &written.head)? };
        let signature = field("signature", &written.signature)?;
        let head = Head { log: field("log", &written.log)?, tip, key, signature };
        let sound = key.id().as_str() == written.key && key.signed(&message(&head.log, &tip), &signature);
        match sound {
            true => Ok(head),
            false => Err(HeadError::BadSignature(written.key)),
        }
    }
}

/// Every part has a fixed length; longer than the 32 bytes that are signed of an entry.
fn message(log: &LogId, tip: &Tip) -> Vec<u8> {
    [DOMAIN, log.as_bytes(), &tip.entries.to_be_bytes(), tip.head.as_bytes()].concat()
}

fn field<T: std::str::FromStr<Err: std::fmt::Display>>(name: &str, text: &str) -> Result<T, HeadError> {
    text.parse().map_err(|e: T::Err| HeadError::Read(format!("field `{name}`: {e}")))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::chain::hash::Hash;

    fn head() -> Head {
        let tip = Tip { entries: 12, head: Hash::of(b"x") };
        Head::signed(LogId::from([3; 16]), tip, &Key::from_seed(&[7; 32]))
    }

    #[test]
    fn a_head_is_read_back() {
        assert_eq!(Head::parse(&head().to_json()), Ok(head()));
    }

    #[test]
    fn a_changed_head_is_refused() {
        let changed = head().to_json().replace("\"entries\": 12", "\"entries\": 11");
        let fault = Head::parse(&changed).expect_err("signed otherwise").to_string();
        assert_eq!(
            fault,
            format!("the head was changed: its signature is not that of the key {}", head().key().id())
        );
        let short = head().to_json().replace(&head().tip().head.to_string(), "ab");
        let fault = Head::parse(&short).expect_err("not a hash").to_string();
        assert_eq!(fault, "not the head of a log: field `head`: `ab` is not 64 lower-case hex digits");
    }
}
