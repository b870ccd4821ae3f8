//! The pass of `verify`, entry by entry: what is known after the entries so far.
//!
//! The pass can go on later from where it ended, which is how a reader verifies what was appended since.

use super::standing::Standing;
use super::verdict::{HeadBeside, Trust, Verified};
use crate::chain::blob::Blob;
use crate::chain::broken::{Beside, Broken, Part, What, Witness};
use crate::chain::canonical;
use crate::chain::edition::RuleText;
use crate::chain::entry::{Entry, Reading};
use crate::chain::hash::{Hash, LogId};
use crate::chain::link::{Link, Places, number};
use crate::chain::own::Statement;
use crate::chain::sign::{KeyId, PublicKey};
use crate::chain::tip::Tip;
use crate::store::head::Head;
use crate::store::head_file::Kept;
use crate::store::index::Index;
use crate::store::seals::Seals;
use rusqlite::{Connection, OptionalExtension as _};
use std::collections::BTreeMap;

/// Why the pass ended early.
pub(super) enum Stop {
    Broken(Broken),
    Database(rusqlite::Error),
}

impl From<rusqlite::Error> for Stop {
    fn from(e: rusqlite::Error) -> Stop {
        Stop::Database(e)
    }
}

/// Where the log ended once, as far as that is known.
#[derive(Debug, Default)]
pub(super) struct Known<'a> {
    /// By a head that was exported.
    pub(super) exported: Option<&'a Head>,
    /// By the head beside the log.
    pub(super) kept: Option<&'a Kept>,
    /// By this program, which verified it up to there.
    pub(super) read: Option<Tip>,
}

/// What is known after the entries so far.
#[derive(Debug)]
pub(crate) struct Walk {
    pub(super) log: LogId,
    pub(super) tip: Tip,
    pub(super) keys: BTreeMap<KeyId, PublicKey>,
    pub(super) added: Vec<(PublicKey, u64)>,
    fixed_keys: bool,
    /// The hash of every entry: what is read later is compared with it.
    pub(super) chain: Vec<Hash>,
    /// The signatures and the keys' names of all entries.
    pub(super) seals: Seals,
    /// Named by an entry and not there: an erasure must follow. By hash, with the first entry's number.
    pub(super) missing: BTreeMap<Hash, u64>,
    /// Texts and stills that were not erased, with the first entry's number.
    pub(super) blobs: BTreeMap<Hash, u64>,
    /// The hash of an edition's text and its entry's number, by the edition.
    pub(super) editions: BTreeMap<Hash, (Hash, u64)>,
    pub(super) erased: u64,
    pub(super) imported: u64,
    /// The entries by which the log went on after entries were lost.
    pub(super) losses: Vec<u64>,
    pub(super) newer: u64,
    pub(super) standing: Standing,
    pub(crate) index: Index,
}

impl Walk {
    pub(super) fn new(log: LogId, trust: &Trust) -> Walk {
        let keys = match trust {
            Trust::OwnKeys => BTreeMap::new(),
            Trust::Only(keys) => keys.iter().map(|key| (key.id(), *key)).collect(),
        };
        Walk {
            log,
            tip: Tip { entries: 0, head: Hash::NONE },
            keys,
            added: Vec::new(),
            fixed_keys: matches!(trust, Trust::Only(_)),
            chain: Vec::new(),
            seals: Seals::none(),
            missing: BTreeMap::new(),
            blobs: BTreeMap::new(),
            editions: BTreeMap::new(),
            erased: 0,
            imported: 0,
            losses: Vec::new(),
            newer: 0,
            standing: Standing::default(),
            index: Index::default(),
        }
    }

    /// Takes in every entry after those that are known.
    pub(super) fn rest(&mut self, connection: &Connection) -> Result<(), Stop> {
        let text = format!("SELECT {} FROM entries WHERE seq > ?1 ORDER BY seq", Link::COLUMNS);
        let mut query = connection.prepare_cached(&text)?;
        // From the beginning, so that one before the first is seen.
        let known = if self.tip.entries == 0 { i64::MIN } else { signed(self.tip.entries) };
        let mut rows = query.query([known])?;
        let mut next = rows.next()?.map(Link::read).transpose()?;
        while let Some(link) = next {
            let link = link.map_err(Stop::Broken)?;
            next = rows.next()?.map(Link::read).transpose()?;
            let following = next.as_ref().and_then(|next| next.as_ref().ok());
            self.entry(connection, &link, following)?;
        }
        Ok(())
    }

    fn entry(&mut self, connection: &Connection, link: &Link, next: Option<&Link>) -> Result<(), Stop> {
        let seq = self.tip.entries + 1;
        let places = Places { connection, log: self.log };
        if let Some(broken) = places.fault(&self.tip, link, next)? {
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
            Reading::Newer { form } => {
                self.newer += 1;
                self.index.add_newer(seq, form, &link.bytes);
            }
            Reading::Known(entry) => {
                if entry.command.as_str() != link.command {
                    return Err(at(What::Changed(Part::Command)));
                }
                self.blobs(connection, seq, &entry)?;
                self.statement(connection, seq, &entry)?;
                self.standing.take(&entry).map_err(|fault| at(What::NotAnEntry(fault)))?;
                self.index.add(seq, &entry);
            }
        }
        self.take(link);
        Ok(())
    }

    /// The entry is good, and the newest that is known.
    pub(super) fn take(&mut self, link: &Link) {
        self.tip = Tip { entries: self.tip.entries + 1, head: link.hash };
        self.chain.push(link.hash);
        self.seals.add(&link.signature, &link.key);
    }

    /// The first entry fits its own log's id, but not the one in the table: that row was changed, or the
    /// entries were carried into another log.
    fn unless_another_log(&self, link: &Link, broken: Broken) -> Broken {
        let claimed = self.log;
        match opened(&link.bytes) {
            Ok((log, _)) if self.tip.entries == 0 && log != claimed && link.is_whole(&log) => {
                Broken { seq: 1, what: What::OtherLog { claimed } }
            }
            Ok(_) | Err(_) => broken,
        }
    }

    /// The first entry says which log it is, and brings its first key.
    pub(super) fn first(&mut self, link: &Link) -> Result<(), What> {
        let (log, key) = opened(&link.bytes)?;
        if log != self.log {
            return Err(What::OtherLog { claimed: self.log });
        }
        if !self.fixed_keys {
            self.keys.insert(key.id(), key);
        }
        Ok(())
    }

    /// Whether the key that an entry names is known and signed it.
    pub(super) fn is_signed(&self, link: &Link) -> bool {
        self.keys.get(&link.key).is_some_and(|key| key.signed(link.hash.as_bytes(), &link.signature))
    }

    fn signature(&self, link: &Link, next: Option<&Link>) -> Result<(), What> {
        if self.is_signed(link) {
            return Ok(());
        }
        let skipped = |next: &Link| next.previous == link.previous && next.is_whole(&self.log);
        if next.is_some_and(skipped) {
            return Err(What::Inserted);
        }
        if self.keys.values().any(|key| key.signed(link.hash.as_bytes(), &link.signature)) {
            return Err(What::Changed(Part::Key));
        }
        let key = link.key.clone();
        match self.keys.get(&link.key) {
            None => Err(What::OtherKey { key }),
            Some(_) if next.is_some_and(|next| next.previous != link.hash) => {
                Err(What::Changed(Part::BytesAndHash))
            }
            Some(_) => Err(What::BadSignature { key }),
        }
    }

    /// The texts and stills that an entry names, against those that are there.
    fn blobs(&mut self, connection: &Connection, seq: u64, entry: &Entry) -> Result<(), Stop> {
        for hash in &entry.blobs {
            self.blobs.entry(*hash).or_insert(seq);
            match blob(connection, hash)? {
                Some(blob) if blob.hash() == *hash => {}
                Some(_) => {
                    let what = What::Beside(Beside::BlobChanged(*hash));
                    return Err(Stop::Broken(Broken { seq, what }));
                }
                None => {
                    self.missing.entry(*hash).or_insert(seq);
                }
            }
        }
        Ok(())
    }

    /// What the entry says of the log itself, against what lies beside the chain.
    pub(super) fn statement(&mut self, connection: &Connection, seq: u64, entry: &Entry) -> Result<(), Stop> {
        let at = |what| Stop::Broken(Broken { seq, what });
        match Statement::of(entry).map_err(|e| at(What::NotAnEntry(e.to_string())))? {
            None => Ok(()),
            Some(Statement::Opened { log: _, key }) => self.key(connection, seq, key),
            Some(Statement::KeyAdded { key }) => {
                if !self.fixed_keys {
                    self.keys.insert(key.id(), key);
                }
                self.key(connection, seq, key)
            }
            Some(Statement::EditionStored { edition, text }) => self.edition(connection, seq, edition, text),
            Some(Statement::Erased { blob: hash }) => {
                self.missing.remove(&hash);
                self.blobs.remove(&hash);
                self.erased += 1;
                match blob(connection, &hash)? {
                    Some(_) => Err(at(What::Beside(Beside::NotErased(hash)))),
                    None => Ok(()),
                }
            }
            Some(Statement::LossAccepted { entries: _, head: _, reason: _ }) => {
                self.losses.push(seq);
                Ok(())
            }
            Some(Statement::Imported { record }) => match record.get("id").and_then(|id| id.as_str()) {
                Some(id) => self.record(connection, seq, id),
                None => Err(at(What::NotAnEntry("its record has no id".to_owned()))),
            },
        }
    }

    /// A record of this id was imported by the entry `seq`.
    pub(super) fn record(&mut self, connection: &Connection, seq: u64, id: &str) -> Result<(), Stop> {
        self.imported += 1;
        self.index.imported.push(seq);
        let text = "SELECT 1 FROM imported WHERE record = ?1 AND entry = ?2";
        match connection.prepare_cached(text)?.exists((id, seq))? {
            true => Ok(()),
            false => Err(Stop::Broken(Broken { seq, what: What::Beside(Beside::Table("imported")) })),
        }
    }

    fn key(&mut self, connection: &Connection, seq: u64, key: PublicKey) -> Result<(), Stop> {
        self.added.push((key, seq));
        let text = "SELECT 1 FROM keys WHERE id = ?1 AND public = ?2 AND entry = ?3";
        let id = key.id();
        match connection.prepare_cached(text)?.exists((id.as_str(), key.as_bytes(), seq))? {
            true => Ok(()),
            false => Err(Stop::Broken(Broken { seq, what: What::Beside(Beside::Table("keys")) })),
        }
    }

    fn edition(&mut self, connection: &Connection, seq: u64, edition: Hash, hash: Hash) -> Result<(), Stop> {
        self.editions.insert(edition, (hash, seq));
        let query = "SELECT CAST(text AS BLOB) FROM editions WHERE edition = ?1";
        let text: Option<Vec<u8>> =
            connection.prepare_cached(query)?.query_row([edition.as_bytes()], |row| row.get(0)).optional()?;
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

    /// After the last entry: what was known of the log before, what is missing for good, and rows that no entry
    /// accounts for.
    pub(super) fn end(&self, connection: &Connection, known: &Known<'_>) -> Result<(), Stop> {
        let at = |seq, what| Err(Stop::Broken(Broken { seq, what }));
        if self.tip.entries == 0 {
            return at(1, What::Removed);
        }
        // A head that is kept beside the log counts by a key of the log only: anybody could put another there.
        let kept = known.kept.filter(|kept| self.has_key(kept.key()));
        for (by, tip) in [
            (Witness::Exported, known.exported.map(Head::tip)),
            (Witness::Kept, kept.map(Kept::tip)),
            (Witness::Read, known.read),
        ] {
            let Some(tip) = tip else { continue };
            match self.hash(tip.entries) {
                Some(hash) if hash == tip.head => {}
                Some(_) => return at(tip.entries, What::Rewritten { by }),
                None => return at(self.tip.entries + 1, What::CutOff { entries: tip.entries, by }),
            }
        }
        if let Some((blob, seq)) = self.missing.iter().min_by_key(|(_, seq)| **seq) {
            return at(*seq, What::Beside(Beside::BlobMissing(*blob)));
        }
        // A newer tellframe may have written rows for entries that are not read here.
        if self.newer > 0 {
            return Ok(());
        }
        for (table, due) in [
            ("keys", self.added.len()),
            ("editions", self.editions.len()),
            ("blobs", self.blobs.len()),
            ("imported", usize::try_from(self.imported).unwrap_or(usize::MAX)),
        ] {
            let count = format!("SELECT count(*) FROM {table}");
            let rows: u64 = connection.prepare_cached(&count)?.query_row((), |row| row.get(0))?;
            if usize::try_from(rows) != Ok(due) {
                let newest = format!("SELECT max(entry) FROM {table}");
                let newest: Option<i64> = connection.query_row(&newest, (), |row| row.get(0))?;
                return at(number(newest.unwrap_or(0)), What::Beside(Beside::Table(table)));
            }
        }
        Ok(())
    }

    pub(super) fn has_key(&self, key: PublicKey) -> bool {
        self.keys.values().any(|known| *known == key)
    }

    pub(super) fn verified(self, kept: HeadBeside) -> Verified {
        let (discretions, precedents) = self.standing.counts();
        Verified {
            log: self.log,
            tip: self.tip,
            keys: self.keys.into_values().collect(),
            editions: self.editions.len() as u64,
            blobs: self.blobs.len() as u64,
            erased: self.erased,
            imported: self.imported,
            discretions,
            precedents,
            losses: self.losses,
            newer: self.newer,
            kept,
        }
    }

    /// The hash of an entry that is known, by its number; that before the first has number 0.
    pub(crate) fn hash(&self, seq: u64) -> Option<Hash> {
        match seq.checked_sub(1) {
            None => Some(Hash::NONE),
            Some(at) => self.chain.get(usize::try_from(at).ok()?).copied(),
        }
    }
}

pub(super) fn signed(seq: u64) -> i64 {
    i64::try_from(seq).unwrap_or(i64::MAX)
}

fn blob(connection: &Connection, hash: &Hash) -> Result<Option<Blob>, Stop> {
    let text = "SELECT salt, bytes FROM blobs WHERE hash = ?1";
    let mut query = connection.prepare_cached(text)?;
    let blob = query.query_row([hash.as_bytes()], |row| Ok(Blob::salted(row.get(0)?, row.get(1)?)));
    Ok(blob.optional()?)
}

fn names(text: &[u8], edition: Hash) -> bool {
    let rules = std::str::from_utf8(text).ok().and_then(|text| RuleText::read(text).ok());
    rules.is_some_and(|rules| rules.hash() == edition)
}

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
            | Statement::LossAccepted { .. }
            | Statement::Imported { .. },
        )
        | None => Err(unreadable("it does not open a log".to_owned())),
    }
}
