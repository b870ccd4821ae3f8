//! Is the log what was written? One pass over all entries, in one snapshot.
//!
//! For each entry, in this order: its place (`link.rs` tells changed, removed, moved and inserted apart);
//! its signature; its spelling; what it states about keys, editions, texts and stills, against what lies
//! beside the chain. The first fault ends the pass. At the end: an exported head, and the tables that
//! follow from the entries.
//!
//! A signature that fails is told apart thus: if the next entry is whole and skips this one, this one was
//! inserted; if another trusted key signed, only the key's name was changed; if the key is not trusted,
//! the entry is signed by another key; if the next entry follows another hash, bytes and hash were changed
//! together; otherwise the signature itself is bad.
//!
//! What this cannot see: a log written anew from its first entry with another key. Against that, name the
//! keys that you trust, or keep an exported head.

mod standing;

use self::standing::Standing;
use crate::log::blob::Blob;
use crate::log::broken::{Beside, Broken, Part, What};
use crate::log::chain::{Hash, LogId};
use crate::log::edition::RuleText;
use crate::log::entry::{Entry, Reading};
use crate::log::head::{self, Head};
use crate::log::link::{Link, Places, number};
use crate::log::own::Statement;
use crate::log::reader::{Reader, Tip};
use crate::log::sign::{KeyId, PublicKey};
use crate::log::{Error, canonical, schema};
use rusqlite::{Connection, OptionalExtension as _};
use std::collections::BTreeMap;

/// Whose signatures count.
#[derive(Debug, Clone)]
pub enum Trust {
    /// The key of the first entry, and every key that a trusted entry adds.
    OwnKeys,
    /// These and no others, whatever the log says.
    Only(Vec<PublicKey>),
}

/// What the pass found.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Verdict {
    /// All is as written.
    Whole(Verified),
    /// It is not, and this is the first bad entry.
    Broken(Broken),
}

/// A log that is whole.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Verified {
    /// The log.
    pub log: LogId,
    /// How many entries, and the hash of the newest.
    pub tip: Tip,
    /// The keys whose signatures counted.
    pub keys: Vec<PublicKey>,
    /// How many editions of rule books are stored.
    pub editions: u64,
    /// How many texts and stills are there.
    pub blobs: u64,
    /// How many were erased.
    pub erased: u64,
    /// How many records came from other logs.
    pub imported: u64,
    /// How many rulings of the referee's own were signed.
    pub discretions: u64,
    /// How many of them were proposed as precedents.
    pub precedents: u64,
    /// How many entries are of a newer form: hashed and signed, but not read.
    pub newer: u64,
}

/// Walks all of `log`.
pub fn verify(log: &Reader, trust: &Trust, head: Option<&Head>) -> Result<Verdict, Error> {
    if let Some(head) = head.filter(|head| head.log() != log.id()) {
        return Err(Error::Head(head::Fault::OtherLog { head: head.log(), log: log.id() }));
    }
    let snapshot = log.connection.unchecked_transaction().map_err(|e| log.refused(e))?;
    schema::sound(&snapshot, log.path())?;
    let mut walk = Walk::new(&snapshot, log.id(), trust, head);
    match walk.entries().and_then(|()| walk.end()) {
        Ok(()) => {}
        Err(Stop::Broken(broken)) => return Ok(Verdict::Broken(broken)),
        Err(Stop::Database(e)) => return Err(after(walk.tip.entries, log.refused(e))),
    }
    let sound: String =
        snapshot.query_row("PRAGMA integrity_check(1)", (), |row| row.get(0)).map_err(|e| log.refused(e))?;
    if sound != "ok" {
        return Err(Error::Damaged { path: log.path().to_owned(), detail: sound });
    }
    let verified = walk.verified();
    match head {
        Some(head) if !verified.keys.contains(&head.key()) => {
            Err(Error::Head(head::Fault::OtherKey(head.key().id().to_string())))
        }
        Some(_) | None => Ok(Verdict::Whole(verified)),
    }
}

/// Damage is found on the way: say how far the log could be read.
fn after(entries: u64, mut error: Error) -> Error {
    if let Error::Damaged { detail, .. } = &mut error {
        *detail = format!("after entry {entries}: {detail}");
    }
    error
}

/// Why the pass ended early.
enum Stop {
    Broken(Broken),
    Database(rusqlite::Error),
}

impl From<rusqlite::Error> for Stop {
    fn from(e: rusqlite::Error) -> Stop {
        Stop::Database(e)
    }
}

/// The pass: what is known after the entries so far.
struct Walk<'a> {
    places: Places<'a>,
    tip: Tip,
    keys: BTreeMap<KeyId, PublicKey>,
    added: Vec<(PublicKey, u64)>,
    fixed_keys: bool,
    head: Option<&'a Head>,
    at_head: Option<Hash>,
    /// Named by an entry and not there: an erasure must follow. By hash, with the first entry's number.
    missing: BTreeMap<Hash, u64>,
    blobs: BTreeMap<Hash, u64>,
    editions: u64,
    erased: u64,
    imported: u64,
    newer: u64,
    standing: Standing,
}

impl<'a> Walk<'a> {
    fn new(connection: &'a Connection, log: LogId, trust: &Trust, head: Option<&'a Head>) -> Walk<'a> {
        let keys = match trust {
            Trust::OwnKeys => BTreeMap::new(),
            Trust::Only(keys) => keys.iter().map(|key| (key.id(), *key)).collect(),
        };
        Walk {
            places: Places { connection, log },
            tip: Tip { entries: 0, head: Hash::NONE },
            keys,
            added: Vec::new(),
            fixed_keys: matches!(trust, Trust::Only(_)),
            head,
            at_head: None,
            missing: BTreeMap::new(),
            blobs: BTreeMap::new(),
            editions: 0,
            erased: 0,
            imported: 0,
            newer: 0,
            standing: Standing::default(),
        }
    }

    fn entries(&mut self) -> Result<(), Stop> {
        let connection = self.places.connection;
        let text = format!("SELECT {} FROM entries ORDER BY seq", Link::COLUMNS);
        let mut query = connection.prepare(&text)?;
        let mut rows = query.query(())?;
        let mut next = rows.next()?.map(Link::read).transpose()?;
        while let Some(link) = next {
            let link = link.map_err(Stop::Broken)?;
            next = rows.next()?.map(Link::read).transpose()?;
            let following = next.as_ref().and_then(|next| next.as_ref().ok());
            self.entry(&link, following)?;
        }
        Ok(())
    }

    fn entry(&mut self, link: &Link, next: Option<&Link>) -> Result<(), Stop> {
        let seq = self.tip.entries + 1;
        if let Some(broken) = self.places.fault(&self.tip, link, next)? {
            return Err(Stop::Broken(self.unless_another_log(link, broken)));
        }
        let at = |what| Stop::Broken(Broken { seq, what });
        if seq == 1 {
            self.first(link).map_err(at)?;
        }
        self.signature(link, next).map_err(at)?;
        if !canonical::is_canonical(&link.bytes).map_err(|e| at(What::NotAnEntry(e.to_string())))? {
            return Err(at(What::NotCanonical));
        }
        match Entry::read(&link.bytes).map_err(|e| at(What::NotAnEntry(e.to_string())))? {
            Reading::Newer { form: _ } => self.newer += 1,
            Reading::Known(entry) => {
                if entry.command.as_str() != link.command {
                    return Err(at(What::Changed(Part::Command)));
                }
                self.beside(seq, &entry)?;
                self.standing.take(&entry).map_err(|fault| at(What::NotAnEntry(fault)))?;
            }
        }
        self.tip = Tip { entries: seq, head: link.hash };
        if self.head.is_some_and(|head| head.tip().entries == seq) {
            self.at_head = Some(link.hash);
        }
        Ok(())
    }

    /// The first entry fits its own log's id, but not the one in the table: that row was changed, or the
    /// entries were carried into another log.
    fn unless_another_log(&self, link: &Link, broken: Broken) -> Broken {
        let claimed = self.places.log;
        match opened(&link.bytes) {
            Ok((log, _)) if self.tip.entries == 0 && log != claimed && link.is_whole(&log) => {
                Broken { seq: 1, what: What::OtherLog { claimed } }
            }
            Ok(_) | Err(_) => broken,
        }
    }

    fn first(&mut self, link: &Link) -> Result<(), What> {
        let (log, key) = opened(&link.bytes)?;
        if log != self.places.log {
            return Err(What::OtherLog { claimed: self.places.log });
        }
        if !self.fixed_keys {
            self.keys.insert(key.id(), key);
        }
        Ok(())
    }

    fn signature(&self, link: &Link, next: Option<&Link>) -> Result<(), What> {
        let named = self.keys.get(&link.key);
        let signed = |key: &PublicKey| key.signed(link.hash.as_bytes(), &link.signature);
        if named.is_some_and(signed) {
            return Ok(());
        }
        let skipped = |next: &Link| next.previous == link.previous && next.is_whole(&self.places.log);
        if next.is_some_and(skipped) {
            return Err(What::Inserted);
        }
        if self.keys.values().any(signed) {
            return Err(What::Changed(Part::Key));
        }
        let key = link.key.clone();
        match named {
            None => Err(What::OtherKey { key }),
            Some(_) if next.is_some_and(|next| next.previous != link.hash) => {
                Err(What::Changed(Part::BytesAndHash))
            }
            Some(_) => Err(What::BadSignature { key }),
        }
    }

    /// What the entry says of things beside the chain, against those things.
    fn beside(&mut self, seq: u64, entry: &Entry) -> Result<(), Stop> {
        let at = |what| Stop::Broken(Broken { seq, what });
        for hash in &entry.blobs {
            self.blobs.entry(*hash).or_insert(seq);
            match self.blob(hash)? {
                Some(blob) if blob.hash() == *hash => {}
                Some(_) => return Err(at(What::Beside(Beside::BlobChanged(*hash)))),
                None => {
                    self.missing.entry(*hash).or_insert(seq);
                }
            }
        }
        match Statement::of(entry).map_err(|e| at(What::NotAnEntry(e.to_string())))? {
            None => Ok(()),
            Some(Statement::Opened { log: _, key }) => self.key(seq, key),
            Some(Statement::KeyAdded { key }) => {
                if !self.fixed_keys {
                    self.keys.insert(key.id(), key);
                }
                self.key(seq, key)
            }
            Some(Statement::EditionStored { edition, text }) => self.edition(seq, edition, text),
            Some(Statement::Erased { blob }) => {
                self.missing.remove(&blob);
                self.blobs.remove(&blob);
                self.erased += 1;
                match self.blob(&blob)? {
                    Some(_) => Err(at(What::Beside(Beside::NotErased(blob)))),
                    None => Ok(()),
                }
            }
            Some(Statement::Imported { record }) => {
                self.imported += 1;
                let Some(id) = record.get("id").and_then(|id| id.as_str()) else {
                    return Err(at(What::NotAnEntry("its record has no id".to_owned())));
                };
                let text = "SELECT 1 FROM imported WHERE record = ?1 AND entry = ?2";
                let known = self.places.connection.prepare_cached(text)?.exists((id, seq))?;
                if known { Ok(()) } else { Err(at(What::Beside(Beside::Table("imported")))) }
            }
        }
    }

    fn key(&mut self, seq: u64, key: PublicKey) -> Result<(), Stop> {
        self.added.push((key, seq));
        let text = "SELECT 1 FROM keys WHERE id = ?1 AND public = ?2 AND entry = ?3";
        let id = key.id();
        let known =
            self.places.connection.prepare_cached(text)?.exists((id.as_str(), key.as_bytes(), seq))?;
        match known {
            true => Ok(()),
            false => Err(Stop::Broken(Broken { seq, what: What::Beside(Beside::Table("keys")) })),
        }
    }

    fn edition(&mut self, seq: u64, edition: Hash, hash: Hash) -> Result<(), Stop> {
        self.editions += 1;
        let query = "SELECT CAST(text AS BLOB) FROM editions WHERE edition = ?1";
        let text: Option<Vec<u8>> = self
            .places
            .connection
            .prepare_cached(query)?
            .query_row([edition.as_bytes()], |row| row.get(0))
            .optional()?;
        let fault = match text {
            Some(text) if Hash::of(&text) == hash => match names(&text, edition) {
                true => return Ok(()),
                false => Beside::EditionOther(edition),
            },
            Some(_) => Beside::EditionChanged(edition),
            None => Beside::EditionMissing(edition),
        };
        Err(Stop::Broken(Broken { seq, what: What::Beside(fault) }))
    }

    fn blob(&self, hash: &Hash) -> Result<Option<Blob>, Stop> {
        let text = "SELECT salt, bytes FROM blobs WHERE hash = ?1";
        let mut query = self.places.connection.prepare_cached(text)?;
        let blob = query.query_row([hash.as_bytes()], |row| Ok(Blob::salted(row.get(0)?, row.get(1)?)));
        Ok(blob.optional()?)
    }

    /// After the last entry: the head, what is missing for good, and rows that no entry accounts for.
    fn end(&mut self) -> Result<(), Stop> {
        let at = |seq, what| Err(Stop::Broken(Broken { seq, what }));
        if let Some(tip) = self.head.map(Head::tip) {
            match self.at_head {
                Some(hash) if hash == tip.head => {}
                Some(_) => return at(tip.entries, What::Rewritten),
                None => return at(self.tip.entries + 1, What::CutOff { entries: tip.entries }),
            }
        }
        if self.tip.entries == 0 {
            return at(1, What::Removed);
        }
        if let Some((blob, seq)) = self.missing.iter().min_by_key(|(_, seq)| **seq) {
            return at(*seq, What::Beside(Beside::BlobMissing(*blob)));
        }
        // A newer tellframe may have written rows for entries that are not read here.
        if self.newer > 0 {
            return Ok(());
        }
        let expected = [
            ("keys", self.added.len() as u64),
            ("editions", self.editions),
            ("blobs", self.blobs.len() as u64),
            ("imported", self.imported),
        ];
        for (table, due) in expected {
            let text = format!("SELECT count(*), max(entry) FROM {table}");
            let (rows, newest) = self
                .places
                .connection
                .query_row(&text, (), |row| Ok((row.get::<_, u64>(0)?, row.get::<_, Option<i64>>(1)?)))?;
            if rows != due {
                return at(number(newest.unwrap_or(0)), What::Beside(Beside::Table(table)));
            }
        }
        Ok(())
    }

    fn verified(self) -> Verified {
        let (discretions, precedents) = self.standing.counts();
        Verified {
            log: self.places.log,
            tip: self.tip,
            keys: self.keys.into_values().collect(),
            editions: self.editions,
            blobs: self.blobs.len() as u64,
            erased: self.erased,
            imported: self.imported,
            discretions,
            precedents,
            newer: self.newer,
        }
    }
}

/// Whether these are the rules of that edition.
fn names(text: &[u8], edition: Hash) -> bool {
    let rules = std::str::from_utf8(text).ok().and_then(|text| RuleText::read(text).ok());
    rules.is_some_and(|rules| rules.hash() == edition)
}

/// What the first entry says: which log, which key.
fn opened(bytes: &[u8]) -> Result<(LogId, PublicKey), What> {
    let unreadable = |fault: String| What::NotAnEntry(fault);
    let reading = Entry::read(bytes).map_err(|e| unreadable(e.to_string()))?;
    let statement = match &reading {
        Reading::Known(entry) => Statement::of(entry).map_err(|e| unreadable(e.to_string()))?,
        Reading::Newer { form: _ } => None,
    };
    match statement {
        Some(Statement::Opened { log, key }) => Ok((log, key)),
        Some(
            Statement::KeyAdded { .. }
            | Statement::EditionStored { .. }
            | Statement::Erased { .. }
            | Statement::Imported { .. },
        )
        | None => Err(unreadable("it does not open a log".to_owned())),
    }
}
