//! The quick pass up to a place that a key of the log vouches for.
//!
//! A signature takes some 40 µs to check, a hash 1 µs. Where a key of the log has signed that it verified the log up to
//! an entry (a head that is kept beside it), the hashes alone prove all entries up to there; their signatures and the
//! names of their keys, which no hash of the chain covers, are proven by the hash over them that the head holds.
//!
//! INVARIANT: a head proves nothing but by a key whose own way into the log was checked by signatures: the entry that
//! opens the log, and those that add keys. Who has none of these keys can make no head that counts.
//!
//! Spelling, and whether rulings and precedents hang together, were looked at before the head was signed. The tables
//! beside the chain are compared, as anybody could have changed them since. This pass only says whether all is well; what
//! is wrong is told by the pass of `verify`.

use crate::chain::blob::Blob;
use crate::chain::entry::{Entry, FORM, Reading};
use crate::chain::hash;
use crate::chain::hash::Hash;
use crate::chain::link::Link;
use crate::chain::own::Own;
use crate::store::head_file::Kept;
use crate::store::seals::Place;
use crate::store::verify::pass::{Known, Stop, Walk, signed};
use crate::store::verify::standing;
use crate::store::verify::text_at::text_at;
use rusqlite::Connection;
use serde::Deserialize;
use std::borrow::Cow;

/// Most bytes of texts and stills that are compared with their hashes when a log is opened: some 100 ms. Where there are
/// more, each is compared when it is read.
const AT_OPENING: u64 = 64 << 20;

/// What the quick pass reads of an entry.
#[derive(Deserialize)]
struct Light<'a> {
    form: u64,
    #[serde(borrow, default)]
    kind: Cow<'a, str>,
    #[serde(borrow, default)]
    command: Cow<'a, str>,
    review: Option<String>,
    #[serde(default)]
    blobs: Vec<Cow<'a, str>>,
}

/// All that `kept` vouches for, and the entries after it. None where anything is not as it should be.
pub(super) fn vouched(connection: &Connection, mut walk: Walk, kept: &Kept) -> Option<Walk> {
    let sound = walk.up_to(connection, &kept.place()).ok()?
        && walk.has_key(kept.key())
        && walk.rest(connection).is_ok()
        && walk.end(connection, &Known::default()).is_ok()
        && walk.contents(connection).ok()?;
    sound.then_some(walk)
}

impl Walk {
    /// Takes in the entries up to a place that is vouched for, by their hashes. Whether they lead there.
    pub(crate) fn up_to(&mut self, connection: &Connection, place: &Place) -> rusqlite::Result<bool> {
        let text = format!("SELECT {} FROM entries WHERE seq > ?1 AND seq <= ?2 ORDER BY seq", Link::COLUMNS);
        let mut query = connection.prepare_cached(&text)?;
        let known = if self.tip.entries == 0 { i64::MIN } else { signed(self.tip.entries) };
        let mut rows = query.query([known, signed(place.tip.entries)])?;
        while let Some(row) = rows.next()? {
            let sound = match Link::read(row)? {
                Ok(link) => self.follows(&link) && self.light(connection, &link)?,
                Err(_) => false,
            };
            if !sound {
                return Ok(false);
            }
        }
        Ok(self.tip == place.tip && self.seals.hash() == place.seals)
    }

    fn follows(&self, link: &Link) -> bool {
        link.seq == signed(self.tip.entries + 1)
            && link.previous == self.tip.head
            && link.hash == hash::entry_hash(&self.log, &link.previous, &link.bytes)
    }

    /// Takes in an entry that stands where it should.
    fn light(&mut self, connection: &Connection, link: &Link) -> rusqlite::Result<bool> {
        let seq = self.tip.entries + 1;
        if seq == 1 && self.first(link).is_err() {
            return Ok(false);
        }
        let Ok(light) = serde_json::from_slice::<Light<'_>>(&link.bytes) else { return Ok(false) };
        let sound = if light.form > FORM {
            self.newer += 1;
            self.index.add_newer(seq, light.form, &link.bytes);
            seq > 1 || self.is_signed(link)
        } else {
            light.command == link.command.as_str() && self.named(seq, &light) && {
                match self.agrees(connection, link, &light) {
                    Ok(sound) => sound,
                    Err(Stop::Broken(_)) => false,
                    Err(Stop::Database(e)) => return Err(e),
                }
            }
        };
        self.take(link);
        Ok(sound)
    }

    fn named(&mut self, seq: u64, light: &Light<'_>) -> bool {
        light.blobs.iter().all(|name| match name.parse::<Hash>() {
            Ok(hash) => {
                self.blobs.entry(hash).or_insert(seq);
                true
            }
            Err(_) => false,
        })
    }

    /// What an entry says of the log, or of something that later entries must fit to.
    fn agrees(&mut self, connection: &Connection, link: &Link, light: &Light<'_>) -> Result<bool, Stop> {
        let seq = self.tip.entries + 1;
        let own = Own::spelt(&light.kind);
        if let Some(field) = self.index.by_header(seq, &light.kind, light.review.as_deref()) {
            let Ok(id) = text_at(&link.bytes, &["body", field]) else { return Ok(false) };
            self.index.by_body(seq, &light.kind, id.as_deref());
        }
        match own {
            Some(Own::Imported) => match text_at(&link.bytes, &["body", "record", "id"]) {
                Ok(Some(id)) => self.record(connection, seq, &id).map(|()| true),
                Ok(None) | Err(_) => Ok(false),
            },
            None if !standing::minds(&light.kind) => Ok(true),
            Some(_) | None => {
                let Ok(Reading::Known(entry)) = Entry::read(&link.bytes) else { return Ok(false) };
                // The key must have been known before the entry that adds another.
                let brings_a_key = matches!(own, Some(Own::Opened | Own::KeyAdded));
                if brings_a_key && !self.is_signed(link) {
                    return Ok(false);
                }
                self.statement(connection, seq, &entry)?;
                Ok(self.standing.take(&entry).is_ok())
            }
        }
    }

    /// Whether the texts and stills beside the chain are those that entries name and nobody erased, and, where there
    /// are not too many, hold what their names say.
    fn contents(&self, connection: &Connection) -> rusqlite::Result<bool> {
        // A newer tellframe may have written some for entries that are not read here.
        if self.newer == 0 {
            let mut query = connection.prepare("SELECT hash FROM blobs")?;
            let mut rows = query.query(())?;
            while let Some(row) = rows.next()? {
                if !self.blobs.contains_key(&Hash::from(row.get::<_, [u8; 32]>(0)?)) {
                    return Ok(false);
                }
            }
        }
        let bytes: u64 =
            connection
                .query_row("SELECT coalesce(sum(length(bytes)), 0) FROM blobs", (), |row| row.get(0))?;
        if bytes > AT_OPENING {
            return Ok(true);
        }
        let mut query = connection.prepare("SELECT hash, salt, bytes FROM blobs")?;
        let mut rows = query.query(())?;
        while let Some(row) = rows.next()? {
            let blob = Blob::salted(row.get(1)?, row.get(2)?);
            if blob.hash() != Hash::from(row.get::<_, [u8; 32]>(0)?) {
                return Ok(false);
            }
        }
        Ok(true)
    }
}
