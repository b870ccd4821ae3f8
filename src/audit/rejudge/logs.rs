//! Logs and files of records, judged under another edition: the texts of their own editions are looked up in the
//! logs, then among the books inside the program.

use crate::Error;
use crate::rejudge::batch::Batch;
use crate::sample::logs::{is_log, open};
use formats::rejudge::Rejudged;
use log::chain::edition::RuleText;
use log::chain::hash::Hash;
use log::exchange::records;
use log::store::reader::Reader;
use rules::book::edition::Edition;
use rules::book::{Book, load, shipped};
use std::cell::{Cell, RefCell};
use std::path::{Path, PathBuf};
use std::sync::OnceLock;

/// Bytes of a log's records that are judged at once.
const AT_ONCE: usize = 8 << 20;

/// Judges all of them under `new`, each record once. `named` are further editions, beside those in the logs and the
/// program; `progress` is called now and then with the number of records read.
///
/// # Errors
/// [`Error`] with the first file that cannot be read.
pub fn rejudge(
    paths: &[PathBuf],
    new: &Book,
    named: &[Book],
    progress: impl Fn(usize) + Sync,
) -> Result<Rejudged, Error> {
    let mut logs = Vec::new();
    for path in paths {
        logs.push(if is_log(path)? { Some(Reader::open(path)?) } else { None });
    }
    // The texts have readers of their own: whichever core meets an edition first looks it up.
    let texts: Vec<Reader> =
        logs.iter().flatten().map(|log| Reader::open(log.path())).collect::<Result<_, _>>()?;
    let unread = OnceLock::new();
    let failed = &unread;
    let mut find = move |edition: &str| {
        let given = named.iter().find(|book| book.edition.to_string() == edition);
        let stored = || {
            stored(&texts, edition).unwrap_or_else(|error| {
                failed.get_or_init(|| error);
                None
            })
        };
        given.cloned().or_else(stored).or_else(|| built_in(edition))
    };
    let mut batch = Batch::new(new, &mut find);
    let mut before = 0;
    for (path, log) in paths.iter().zip(&logs) {
        let progress = |count: usize| progress(before + count);
        before += match log {
            Some(log) => of_log(log, path, &mut batch, progress)?,
            None => batch.read(&path.display().to_string(), open(path)?, progress)?,
        };
    }
    let rejudged = batch.end();
    // A stored text that cannot be read is an error, not an unknown edition.
    match unread.into_inner() {
        Some(error) => Err(error.into()),
        None => Ok(rejudged),
    }
}

fn stored(texts: &[Reader], edition: &str) -> Result<Option<Book>, log::Error> {
    let Ok(hash) = edition.parse::<Hash>() else { return Ok(None) };
    for log in texts {
        let text = log.edition(&hash)?.and_then(|text| RuleText::read(&text).ok());
        if let Some(book) = text.and_then(|text| text.load().ok()) {
            return Ok(Some(book));
        }
    }
    Ok(None)
}

fn built_in(edition: &str) -> Option<Book> {
    let is_it = |name: &&str| {
        shipped::sources(name).is_some_and(|sources| Edition::of(&sources).to_string() == edition)
    };
    let name = shipped::names().into_iter().find(is_it)?;
    load::load(name, &shipped::sources(name)?).ok()
}

/// Judges one record after another, a block at a time, as from a file; returns how many there were.
fn of_log(
    log: &Reader,
    path: &Path,
    batch: &mut Batch<'_>,
    progress: impl Fn(usize) + Sync,
) -> Result<usize, Error> {
    let (batch, block, count) = (RefCell::new(batch), RefCell::new(Vec::new()), Cell::new(0));
    let read = |block: Vec<u8>| {
        progress(count.get());
        batch.borrow_mut().read("the log", &*block, |_| {}).map(|_| ()).map_err(Error::from)
    };
    let push = |line: serde_json::Result<Vec<u8>>| {
        let spelt = |error: serde_json::Error| Error::Record {
            path: path.display().to_string(),
            message: error.to_string(),
        };
        let mut block = block.borrow_mut();
        block.extend(line.map_err(spelt)?);
        block.push(b'\n');
        count.set(count.get() + 1);
        if block.len() > AT_ONCE { read(std::mem::take(&mut *block)) } else { Ok(()) }
    };
    for record in records::own(log)? {
        push(serde_json::to_vec(&record))?;
    }
    records::each_imported(log, |_, record| push(serde_json::to_vec(&record)))?;
    read(block.take())?;
    Ok(count.get())
}
