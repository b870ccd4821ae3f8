//! Entries read back as events, with the texts that lie beside the chain.

use crate::Error;
use crate::chain::edition::RuleText;
use crate::chain::entry::Entry;
use crate::chain::hash::Hash;
use crate::chain::label::Kind;
use crate::forms::stored::Stored;
use crate::forms::{ERASED, Fault, named, stored};
use crate::store::reader::Reader;

/// The rules of an edition, as stored; none where the log does not have them.
pub(crate) fn rules(log: &Reader, edition: &str) -> Result<Option<RuleText>, Error> {
    let Ok(edition) = edition.parse::<Hash>() else { return Ok(None) };
    // A text that is none is `verify`'s finding.
    Ok(log.edition(&edition)?.and_then(|text| RuleText::read(&text).ok()))
}

/// The id and the event of an entry; none where it is no event of the stream. Its texts come from `log`.
///
/// # Errors
/// [`Error`] for an entry of a newer form, or one that is not what its kind says.
pub fn event_of<E: Stored>(log: &Reader, entry: &Entry) -> Result<Option<(String, E::Stamped)>, Error> {
    let read = read_of::<E>(log, entry)?;
    Ok(read.map(|(id, event)| (id, event.stamped(&entry.act))))
}

/// The same without who did it and when.
pub(crate) fn read_of<E: Stored>(log: &Reader, entry: &Entry) -> Result<Option<(String, E)>, Error> {
    let Some((id, mut event)) = stored::<E>(entry)? else { return Ok(None) };
    bring_back(log, &entry.kind, event.free_texts())?;
    Ok(Some((id, event)))
}

/// Puts the texts back where their hashes stand.
fn bring_back(log: &Reader, kind: &Kind, texts: Vec<&mut String>) -> Result<(), Error> {
    for text in texts {
        let hash = named(kind, text)?;
        *text = match log.blob(&hash)? {
            Some(blob) => String::from_utf8(blob.bytes().to_vec())
                .map_err(|_| Fault::unreadable(kind, format!("the text {hash} is not UTF-8")))?,
            None => ERASED.to_owned(),
        };
    }
    Ok(())
}
