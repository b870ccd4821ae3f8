//! The certificate of a ruling: one signed file that a club can be handed in an inquiry, and that anybody can
//! check without this program.
//!
//! It holds the rules, every entry of the review as it lies in the log with its hash and signature, the texts
//! and the names of stills beside them, the records, and the fewest answers that would flip the ruling.
//! `docs/certificate.md` says what each field means and how it is checked.

use crate::log::Error;
use crate::log::blob::Blob;
use crate::log::canonical;
use crate::log::chain::Hash;
use crate::log::entry::Entry;
use crate::log::label::ReviewId;
use crate::log::reader::{Reader, Stored};
use crate::log::reviews::{self, Held};
use crate::log::sign::Key;
use crate::review::decide::questions;
use crate::review::flips::flips;
use crate::review::fold::Review;
use crate::wire::record::held::{About, records};
use serde_json::{Map, Value, json};

/// Keeps a signature over a certificate apart from those over entries and heads; the number is its form.
const DOMAIN: &[u8] = b"tellframe certificate 1\n";

/// Why there is no certificate.
#[derive(Debug, thiserror::Error)]
pub enum Refused {
    /// Nothing to certify.
    #[error("there is no review `{0}` in the log")]
    NoReview(ReviewId),
    /// Nothing was decided, or not yet.
    #[error("the review `{0}` has no ruling")]
    NotRuled(ReviewId),
    /// It cannot be replayed here.
    #[error("the review `{0}` cannot be certified: its rules or a part of it cannot be read")]
    Unread(ReviewId),
    /// What the log says.
    #[error(transparent)]
    Log(#[from] Error),
    /// It cannot be spelt.
    #[error("the certificate cannot be written: {0}")]
    Spelling(#[from] canonical::Fault),
}

/// The certificate of a review, signed by `key`: one line of canonical JSON.
///
/// # Errors
/// [`Refused`] for a review that has no ruling or cannot be read to its end.
pub fn certificate(log: &Reader, key: &Key, id: &ReviewId) -> Result<String, Refused> {
    let held = reviews::one(log, id)?.ok_or_else(|| Refused::NoReview(id.clone()))?;
    let review = held.review();
    if review.ruling.is_none() {
        return Err(Refused::NotRuled(id.clone()));
    }
    let certified = certified(log, &held, &review)?.ok_or_else(|| Refused::Unread(id.clone()))?;
    let certified = canonical::bytes(&certified)?;
    let signature = key.sign(&[DOMAIN, &certified].concat());
    let certified = String::from_utf8(certified).expect("canonical JSON is UTF-8");
    // "certificate" sorts before "key" and "signature": the whole is canonical, too.
    Ok(format!(r#"{{"certificate":{certified},"key":"{}","signature":"{signature}"}}"#, key.public()))
}

/// What is signed; nothing where the rules or an entry cannot be read.
fn certified(log: &Reader, held: &Held, review: &Review) -> Result<Option<Value>, Refused> {
    let Some(begun) = held.begun.as_ref().filter(|_| held.unread.is_none()) else { return Ok(None) };
    let Some(rules) = reviews::rules(log, begun)? else { return Ok(None) };
    let Ok(book) = rules.load() else { return Ok(None) };
    let about = About {
        review: held.id.as_str(),
        official: held.official.as_str(),
        book: &begun.book,
        edition: &begun.edition,
        rules: Some(&book),
    };
    let flips: Vec<Vec<Vec<String>>> = questions(&book, review)
        .iter()
        .map(|question| {
            let names = |steps: &Vec<usize>| {
                steps.iter().map(|step| question.tree.steps[*step].name.clone()).collect::<Vec<_>>()
            };
            flips(&question.stance(&book), &question.answers).iter().map(names).collect()
        })
        .collect();
    // A review that was ruled and not announced has no records yet.
    let records = records(about, review).unwrap_or_else(|_| Vec::new());
    let beside = beside(log, held)?;
    let text: Value = serde_json::from_str(&rules.text()).map_err(|e| Error::Damaged {
        path: log.path().to_owned(),
        detail: format!("the rules are no JSON: {e}"),
    })?;
    Ok(Some(json!({
        "form": 1,
        "log": log.id().to_string(),
        "review": held.id.as_str(),
        "book": begun.book,
        "edition": begun.edition,
        "rules": text["files"],
        "keys": keys(log)?,
        "entries": beside.entries,
        "texts": beside.texts,
        "stills": beside.stills,
        "records": records,
        "flips": flips,
    })))
}

/// The public halves of the log's keys, by their short names.
fn keys(log: &Reader) -> Result<Map<String, Value>, Error> {
    let keys = log.keys()?;
    Ok(keys.iter().map(|key| (key.id().to_string(), json!(key.to_string()))).collect())
}

/// The entries of a review, and what lies beside the chain for them.
#[derive(Default)]
struct Beside {
    entries: Vec<Value>,
    /// With their salts: who has them can prove the hash that the entry names. Erased ones are left out.
    texts: Map<String, Value>,
    /// What is no text is named only.
    stills: Vec<String>,
}

fn beside(log: &Reader, held: &Held) -> Result<Beside, Error> {
    let mut beside = Beside::default();
    // The entry before the first event says under which edition the review began.
    let first = held.events.first().map_or(1, |(seq, _)| seq.saturating_sub(1));
    for stored in log.entries(first)? {
        let Ok(crate::log::entry::Reading::Known(entry)) = stored.read() else { continue };
        if entry.act.review.as_ref() != Some(&held.id) {
            continue;
        }
        beside.entries.push(proven(log, &stored)?);
        for hash in &entry.blobs {
            if let Some(blob) = log.blob(hash)? {
                beside.add(hash, &blob);
            }
        }
        beside.named(&entry);
    }
    Ok(beside)
}

fn proven(log: &Reader, stored: &Stored) -> Result<Value, Error> {
    let (previous, signature) = log.proof_of(stored)?;
    Ok(json!({
        "seq": stored.seq,
        "previous": previous.to_string(),
        "hash": stored.hash.to_string(),
        "text": String::from_utf8_lossy(&stored.bytes),
        "key": stored.key.as_str(),
        "signature": signature.to_string(),
    }))
}

impl Beside {
    fn add(&mut self, hash: &Hash, blob: &Blob) {
        if let Ok(text) = std::str::from_utf8(blob.bytes()) {
            let salt: String = blob.salt().iter().map(|byte| format!("{byte:02x}")).collect();
            self.texts.insert(hash.to_string(), json!({"salt": salt, "text": text}));
        }
    }

    /// Every blob that is not handed on as a text is named.
    fn named(&mut self, entry: &Entry) {
        let left = entry.blobs.iter().map(Hash::to_string).filter(|hash| !self.texts.contains_key(hash));
        self.stills.extend(left);
    }
}
