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
//! Where a desk kept a signed head beside the log, opening it takes a shorter way (`verify/vouched.rs`); `verify` itself
//! never does.
//!
//! A reader comes into being by this pass alone (`Unverified::verified`), and goes on with it over what is appended later.
//!
//! What this cannot see: a log written anew from its first entry with another key. Against that, name the
//! keys that you trust, or keep an exported head.

mod pass;
mod seen;
mod standing;
mod text_at;
mod verdict;
mod vouched;

pub(crate) use self::pass::Walk;
pub use self::verdict::{HeadBeside, Trust, Verdict, Verified};

use crate::Error;
use crate::chain::broken::Broken;
use crate::chain::hash::LogId;
use crate::chain::tip::Tip;
use crate::store::head;
use crate::store::head::Head;
use crate::store::head_file::{Found, Kept};
use crate::store::schema;
use crate::store::unverified::Unverified;
use crate::store::verify::pass::{Known, Stop};
use rusqlite::Connection;
use std::path::Path;

/// Walks all of `log`.
///
/// # Errors
/// [`Error`] if the log cannot be read to its end, or the head is not of this log and one of its keys.
pub fn verify(log: &Unverified, trust: &Trust, head: Option<&Head>) -> Result<Verdict, Error> {
    if let Some(head) = head.filter(|head| head.log() != log.id()) {
        return Err(Error::Head(head::HeadError::OtherLog { head: head.log(), log: log.id() }));
    }
    let refused = |e| Error::of_database(log.path(), e);
    // Before the snapshot: a desk writes the head after its entries, so that the log is at least as new.
    let found = Found::beside(log.path()).of(log.id());
    let snapshot = log.connection.unchecked_transaction().map_err(refused)?;
    schema::sound(&snapshot, log.path())?;
    let known = Known { exported: head, kept: found.head(), read: None };
    let walk = match walked(&snapshot, log.path(), Walk::new(log.id(), trust), &known)? {
        Ok(walk) => walk,
        Err(broken) => return Ok(Verdict::Broken(broken)),
    };
    let sound: String =
        snapshot.query_row("PRAGMA integrity_check(1)", (), |row| row.get(0)).map_err(refused)?;
    if sound != "ok" {
        return Err(Error::Damaged { path: log.path().to_owned(), detail: sound });
    }
    match head {
        Some(head) if !walk.has_key(head.key()) => {
            Err(Error::Head(head::HeadError::OtherKey(head.key().id().to_string())))
        }
        Some(_) | None => {
            let beside = beside(&walk, &found);
            Ok(Verdict::Whole(walk.verified(beside)))
        }
    }
}

/// What a whole log's head is worth.
fn beside(walk: &Walk, found: &Found) -> HeadBeside {
    match found {
        Found::Nothing => HeadBeside::Nothing,
        Found::Void(because) => HeadBeside::Void(because.clone()),
        Found::Head(kept) if walk.has_key(kept.key()) => HeadBeside::Agrees { entries: kept.tip().entries },
        Found::Head(kept) => {
            let key = kept.key().id();
            HeadBeside::Void(format!("it is signed by the key {key}, which is not one of the log's"))
        }
    }
}

/// Verifies a log that is opened, in one snapshot: the entries that a head beside it vouches for by their hashes.
///
/// # Errors
/// [`Error::Broken`] with the first bad entry, or another if the log cannot be read to its end.
pub(crate) fn opening(log: &Unverified) -> Result<Walk, Error> {
    // Before the snapshot: a desk writes the head after its entries, so that the log is at least as new.
    let found = Found::beside(log.path()).of(log.id());
    if let Found::Void(because) = &found {
        tracing::warn!("the head beside the log {} counts for nothing: {because}", log.path().display());
    }
    let refused = |e| Error::of_database(log.path(), e);
    let snapshot = log.connection.unchecked_transaction().map_err(refused)?;
    if let Some(kept) = found.head()
        && let Some(walk) = vouched::vouched(&snapshot, Walk::new(log.id(), &Trust::OwnKeys), kept)
    {
        return Ok(walk);
    }
    let known = Known { kept: found.head(), ..Known::default() };
    full(&snapshot, (log.path(), log.id()), &known)
}

/// Verifies a log whose head is known to contradict it, and gives that head.
///
/// # Errors
/// [`Error::Broken`] if it is broken otherwise, [`Error::NoLoss`] where nothing contradicts it.
pub(crate) fn despite_head(log: &Unverified) -> Result<(Walk, Kept), Error> {
    let found = Found::beside(log.path()).of(log.id());
    let refused = |e| Error::of_database(log.path(), e);
    let snapshot = log.connection.unchecked_transaction().map_err(refused)?;
    let walk = full(&snapshot, (log.path(), log.id()), &Known::default())?;
    match found {
        Found::Head(kept)
            if walk.has_key(kept.key()) && walk.hash(kept.tip().entries) != Some(kept.tip().head) =>
        {
            Ok((walk, *kept))
        }
        Found::Head(_) | Found::Nothing | Found::Void(_) => Err(Error::NoLoss(log.path().to_owned())),
    }
}

/// Walks the log from its beginning, once more. `before` is where it ended when it was last verified.
///
/// # Errors
/// [`Error::Broken`] with the first bad entry, or another if the log cannot be read to its end.
pub(crate) fn again(connection: &Connection, path: &Path, log: LogId, before: Tip) -> Result<Walk, Error> {
    // Within a transaction there is a snapshot already.
    let snapshot = match connection.is_autocommit() {
        true => Some(connection.unchecked_transaction().map_err(|e| Error::of_database(path, e))?),
        false => None,
    };
    let walk = full(connection, (path, log), &Known { read: Some(before), ..Known::default() });
    drop(snapshot);
    walk
}

fn full(connection: &Connection, (path, log): (&Path, LogId), known: &Known<'_>) -> Result<Walk, Error> {
    let walk = walked(connection, path, Walk::new(log, &Trust::OwnKeys), known)?;
    walk.map_err(|broken| Error::Broken { path: path.to_owned(), broken })
}

fn walked(
    connection: &Connection,
    path: &Path,
    mut walk: Walk,
    known: &Known<'_>,
) -> Result<Result<Walk, Broken>, Error> {
    match walk.rest(connection).and_then(|()| walk.end(connection, known)) {
        Ok(()) => Ok(Ok(walk)),
        Err(Stop::Broken(broken)) => Ok(Err(broken)),
        Err(Stop::Database(e)) => Err(after(walk.tip().entries, Error::of_database(path, e))),
    }
}

/// Damage is found on the way: say how far the log could be read.
fn after(entries: u64, mut error: Error) -> Error {
    if let Error::Damaged { detail, .. } = &mut error {
        *detail = format!("after entry {entries}: {detail}");
    }
    error
}
