//! `tellframe rejudge LOG --book BOOK`: which rulings of a log flip under another edition, and why.

use super::counting::Counting;
use super::{Answer, Unable, books, log};
use crate::data;
use std::cell::RefCell;
use std::fmt::Write as _;
use std::fs::File;
use std::io::Read;
use std::path::{Path, PathBuf};
use tellframe::audit::rejudge::many::Many;
use tellframe::book::edition::Edition;
use tellframe::book::{Book, load, shipped};
use tellframe::log::chain::Hash;
use tellframe::log::edition::RuleText;
use tellframe::log::reader::Reader;
use tellframe::log::{jsonl, records};
use tellframe::wire::rejudge::Rejudged;

/// Arguments of `rejudge`.
#[derive(Debug, clap::Args)]
pub(super) struct Rejudge {
    /// A log, records as JSON Lines, or `season` for the demo's season
    #[arg(value_name = "LOG")]
    log: PathBuf,
    /// The edition to judge under: a folder of a rule book, or the name of a built-in one
    #[arg(long, value_name = "BOOK")]
    book: String,
    /// An edition that the log was ruled under, where neither the log nor this program holds it
    #[arg(long, value_name = "BOOK")]
    was: Vec<String>,
    /// Print the result as JSON
    #[arg(long)]
    json: bool,
}

/// How a log begins that is not JSON Lines.
const DATABASE: &[u8] = b"SQLite format 3\0";
/// So much of a log is judged at once.
const AT_ONCE: usize = 8 << 20;
/// So many reasons are printed before the reader is sent to `--json`.
const MOST_SHOWN: usize = 40;

impl Rejudge {
    pub(super) fn run(&self, folder: &data::Folder) -> Result<Answer, Unable> {
        let new = books::load(&self.book)?;
        let named: Vec<Book> = self.was.iter().map(|was| books::load(was)).collect::<Result<_, _>>()?;
        let path = log::path(&self.log, folder)?;
        let reader = match is_database(&path)? {
            true => Some(Reader::open(&path)?),
            false => None,
        };
        // The texts have a reader of their own: whichever core meets an edition first looks it up.
        let texts = reader.as_ref().map(|log| Reader::open(log.path())).transpose()?;
        let mut find = move |edition: &str| {
            let given = named.iter().find(|book| book.edition.to_string() == edition);
            given.cloned().or_else(|| stored(texts.as_ref(), edition)).or_else(|| built_in(edition))
        };
        let many = Many::new(&new, &mut find);
        let rejudged = match &reader {
            Some(reader) => of_log(reader, many)?,
            None => of_lines(&path, many)?,
        };
        if self.json {
            return super::print_json(&rejudged);
        }
        super::print(told(&rejudged, &new).trim_end())
    }
}

fn is_database(path: &Path) -> Result<bool, Unable> {
    let mut first = Vec::new();
    let file = File::open(path).map_err(|error| unreadable(path, &error))?;
    file.take(DATABASE.len() as u64).read_to_end(&mut first).map_err(|error| unreadable(path, &error))?;
    Ok(first == DATABASE)
}

fn unreadable(path: &Path, error: &std::io::Error) -> Unable {
    Unable::new(format!("cannot read {}: {error}", path.display()))
}

/// The edition as the log holds it.
fn stored(reader: Option<&Reader>, edition: &str) -> Option<Book> {
    let text = reader?.edition(&edition.parse::<Hash>().ok()?).ok()??;
    RuleText::read(&text).ok()?.load().ok()
}

/// The edition among the books inside the program.
fn built_in(edition: &str) -> Option<Book> {
    let is_it = |name: &&str| {
        shipped::sources(name).is_some_and(|sources| Edition::of(&sources).to_string() == edition)
    };
    let name = shipped::names().into_iter().find(is_it)?;
    load::load(name, &shipped::sources(name)?).ok()
}

fn of_log(reader: &Reader, many: Many<'_>) -> Result<Rejudged, Unable> {
    // One after another, a block at a time, as a file would come.
    let many = RefCell::new(many);
    let block = RefCell::new(Vec::new());
    let read = |block: Vec<u8>| many.borrow_mut().read("the log", &*block, |_| {}).map_err(refused);
    let push = |line: Vec<u8>| {
        let mut block = block.borrow_mut();
        block.extend(line);
        block.push(b'\n');
        if block.len() > AT_ONCE { read(std::mem::take(&mut *block)) } else { Ok(()) }
    };
    let spelt = |error: serde_json::Error| Unable::new(error.to_string());
    for record in records::own(reader)? {
        push(serde_json::to_vec(&record).map_err(spelt)?)?;
    }
    records::each_imported(reader, |_, record| push(serde_json::to_vec(&record).map_err(spelt)?))?;
    read(block.take())?;
    Ok(many.into_inner().end())
}

fn of_lines(path: &Path, mut many: Many<'_>) -> Result<Rejudged, Unable> {
    let file = File::open(path).map_err(|error| unreadable(path, &error))?;
    let counting = Counting::begin();
    let read = many.read(&path.display().to_string(), file, |count| counting.tell(count));
    drop(counting);
    read.map_err(refused)?;
    Ok(many.end())
}

fn refused(error: jsonl::Error) -> Unable {
    match error {
        jsonl::Error::Read { ref source, .. } => Unable::new(format!("{error}: {source}")),
        jsonl::Error::Lines(_) => {
            Unable::new(error.to_string()).help("`tellframe schema record` says what a record is")
        }
    }
}

fn told(rejudged: &Rejudged, new: &Book) -> String {
    let mut text = format!("under the edition {} of the {}:\n", new.edition, new.name);
    for changed in &rejudged.changes {
        text += &match &changed.changes {
            None => format!("since {} ({} records): its text is not known\n", changed.since, changed.records),
            Some(lines) if lines.is_empty() => {
                format!("since {} ({} records): the same edition\n", changed.since, changed.records)
            }
            Some(_) => format!("since {} ({} records) changed:\n", changed.since, changed.records),
        };
        for line in changed.changes.iter().flatten() {
            let _ = writeln!(text, "  {line}");
        }
    }
    let Rejudged { records, repeated, same, flips, cannot_tell, restarts, .. } = rejudged;
    let _ = writeln!(
        text,
        "{records} records: {same} the same, {} flip, {} cannot be told",
        flips.len(),
        cannot_tell.len()
    );
    if *repeated > 0 {
        let _ = writeln!(text, "{repeated} records came again and were left out");
    }
    for flip in flips.iter().take(MOST_SHOWN) {
        let _ = writeln!(text, "flips        {}: {}, was {}", flip.id, flip.now, flip.was);
        flip.because.iter().for_each(|because| text += &format!("             {because}\n"));
    }
    for moved in restarts.iter().take(MOST_SHOWN) {
        let _ = writeln!(text, "restart      {}: {}", moved.id, moved.differs.join("; "));
    }
    for untold in cannot_tell.iter().take(MOST_SHOWN) {
        let _ = writeln!(text, "cannot tell  {}: {}", untold.id, untold.because.join("; "));
    }
    if flips.len().max(restarts.len()).max(cannot_tell.len()) > MOST_SHOWN {
        let _ = writeln!(text, "… the first {MOST_SHOWN} of each; --json has all");
    }
    text + "The league's published rules prevail; a ruling of its day stands as it was made.\n"
}
