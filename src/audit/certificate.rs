//! The certificate of a ruling: one signed file that a club can be handed in an inquiry, and that anybody can
//! check without this program.
//!
//! It holds the rules, every entry of the review as it lies in the log with its hash and signature, numbered, the
//! erasures of its texts, the texts and the names of stills beside them, the records, and the fewest answers that
//! would flip the ruling. `docs/certificate.md` says what each field means, how it is checked, and by which signature.

use crate::Error;
use formats::record::held::{About, records};
use log::chain::blob::Blob;
use log::chain::canonical;
use log::chain::entry::{Entry, Reading};
use log::chain::hash::Hash;
use log::chain::label::ReviewId;
use log::chain::own::Statement;
use log::chain::sign::{Key, KeyId};
use log::forms;
use log::store::reader::{Reader, Stored};
use log::streams::reviews;
use log::streams::reviews::Held;
use review::decide::questions;
use review::flips::flips;
use review::fold::Review;
use serde_json::{Map, Value, json};
use std::collections::{BTreeMap, BTreeSet};

/// Keeps a signature over a certificate apart from those over entries and heads; the number is its form.
const DOMAIN: &[u8] = b"tellframe certificate 2\n";

/// The form of a certificate. Those of form 1 did not number the entries.
const FORM: u64 = 2;

/// The certificate of a review, signed by `key`: one line of canonical JSON.
///
/// # Errors
/// [`Error`] for a review that has no ruling or cannot be read to its end, and for a key that the log does not know.
pub fn certificate(log: &Reader, key: &Key, id: &ReviewId) -> Result<String, Error> {
    if !log.keys()?.contains(&key.public()) {
        let (path, key) = (log.path().to_owned(), key.id().clone());
        return Err(log::Error::KeyUnknown { path, key }.into());
    }
    let held = reviews::Held::one(log, id)?.ok_or_else(|| Error::NoReview(id.clone()))?;
    let review = held.review();
    if review.ruling.is_none() {
        return Err(Error::NotRuled(id.clone()));
    }
    let certified = certified(log, key, &held, &review)?.ok_or_else(|| Error::Unread(id.clone()))?;
    let certified = canonical::bytes(&certified)?;
    let signature = key.sign(&[DOMAIN, &certified].concat());
    let certified = String::from_utf8(certified).expect("canonical JSON is UTF-8");
    // "certificate" sorts before "key" and "signature": the whole is canonical, too.
    Ok(format!(r#"{{"certificate":{certified},"key":"{}","signature":"{signature}"}}"#, key.public()))
}

/// What is signed; `None` where the rules or an entry cannot be read.
fn certified(log: &Reader, key: &Key, held: &Held, review: &Review) -> Result<Option<Value>, Error> {
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
    let Some(shown) = shown(log, held)? else { return Ok(None) };
    let text: Value = serde_json::from_str(&rules.text()).map_err(|e| log::Error::Damaged {
        path: log.path().to_owned(),
        detail: format!("the rules are no JSON: {e}"),
    })?;
    Ok(Some(json!({
        "form": FORM,
        "log": log.id().to_string(),
        "review": held.id.as_str(),
        "book": begun.book,
        "edition": begun.edition,
        "rules": text["files"],
        "keys": keys(log, key, &shown.keys)?,
        "events": held.events.len(),
        "entries": shown.entries,
        "texts": shown.texts,
        "stills": shown.stills,
        "records": records,
        "flips": flips,
    })))
}

/// The public halves of the keys that signed an entry or the certificate, by their short names.
fn keys(log: &Reader, signer: &Key, used: &BTreeSet<KeyId>) -> Result<Map<String, Value>, log::Error> {
    let keys = log.keys()?;
    let used = keys.iter().filter(|key| used.contains(&key.id()) || **key == signer.public());
    Ok(used.map(|key| (key.id().to_string(), json!(key.to_string()))).collect())
}

/// The entries of a review, and what lies beside the chain for them.
#[derive(Default)]
struct Shown {
    /// `review.begun`, then the events with their numbers, then the erasures of texts in the order of the texts.
    entries: Vec<Value>,
    keys: BTreeSet<KeyId>,
    /// With their salts: who has them can prove the hash that the entry names. Erased ones are left out.
    texts: Map<String, Value>,
    /// Blobs that are no texts, by name only.
    stills: Vec<String>,
    erased: Vec<Hash>,
}

/// `None` where a text is missing that no entry erased.
fn shown(log: &Reader, held: &Held) -> Result<Option<Shown>, log::Error> {
    let (mut shown, mut erasures) = (Shown::default(), BTreeMap::new());
    let mut numbers = 0..;
    // The entry before the first event says under which edition the review began.
    let first = held.events.first().map_or(1, |(seq, _)| seq.saturating_sub(1));
    log.each_from::<log::Error>(first, |stored| {
        let Reading::Known(entry) = stored.read()? else { return Ok(()) };
        if let Some(Statement::Erased { blob }) = Statement::of(&entry)? {
            erasures.insert(blob, stored);
        } else if entry.act.review.as_ref().is_some_and(|review| review.as_str() == held.id)
            && forms::is_of_a_review(&entry.kind)
        {
            let number = forms::begun(&entry)?.is_none().then(|| numbers.next()).flatten();
            shown.add(log, &stored, number)?;
            shown.add_beside(log, &entry)?;
        }
        Ok(())
    })?;
    for text in std::mem::take(&mut shown.erased) {
        let Some(stored) = erasures.get(&text) else { return Ok(None) };
        shown.add(log, stored, None)?;
    }
    Ok(Some(shown))
}

impl Shown {
    fn add(&mut self, log: &Reader, stored: &Stored, number: Option<u64>) -> Result<(), log::Error> {
        let (previous, signature) = log.proof_of(stored)?;
        self.keys.insert(stored.key.clone());
        self.entries.push(json!({
            "number": number,
            "previous": previous.to_string(),
            "hash": stored.hash.to_string(),
            "text": String::from_utf8_lossy(&stored.bytes),
            "key": stored.key.as_str(),
            "signature": signature.to_string(),
        }));
        Ok(())
    }

    /// The texts of an entry; every blob that is not handed on as a text is named.
    fn add_beside(&mut self, log: &Reader, entry: &Entry) -> Result<(), log::Error> {
        for hash in &entry.blobs {
            match log.blob(hash)?.as_ref().and_then(with_salt) {
                Some(text) => {
                    self.texts.insert(hash.to_string(), text);
                }
                None => self.stills.push(hash.to_string()),
            }
        }
        let texts = forms::text_names(entry)?;
        self.erased.extend(texts.into_iter().filter(|hash| !self.texts.contains_key(&hash.to_string())));
        Ok(())
    }
}

fn with_salt(blob: &Blob) -> Option<Value> {
    let text = std::str::from_utf8(blob.bytes()).ok()?;
    let salt: String = blob.salt().iter().map(|byte| format!("{byte:02x}")).collect();
    Some(json!({"salt": salt, "text": text}))
}
