//! Judges the records on another thread, with the same code as the command `rejudge`. Failures are given as text.

use super::FAULTS;
use crate::text::with_help;
use crate::week::line::Under;
use audit::rejudge::logs;
use formats::rejudge::Rejudged;
use host::books;
use host::books::Error;
use iced::Task;
use iced::futures::StreamExt as _;
use iced::futures::channel::mpsc::{UnboundedSender, unbounded};
use iced::futures::future::ready;
use iced::futures::stream::once;
use rules::book::Book;
use rules::book::defect::Defect;
use rules::book::text::Sources;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::Arc;

#[derive(Debug, Clone)]
pub(super) enum Rules {
    Read(Arc<Book>),
    /// Read when the judging begins.
    Folder(String),
}

#[derive(Debug, Clone)]
pub(super) struct Work {
    pub under: Under,
    pub rules: Rules,
    /// Logs and files of records.
    pub paths: Vec<PathBuf>,
}

/// News of a judging.
#[derive(Debug, Clone)]
pub(crate) enum Came {
    /// Number of records read so far.
    Read(usize),
    Judged(Arc<Judged>),
    Undone(Undone),
}

/// The result of a judging under another edition.
#[derive(Debug)]
pub(crate) struct Judged {
    pub under: Under,
    pub name: String,
    /// The edition's hash.
    pub edition: String,
    pub found: Rejudged,
    /// Reasons why records cannot be judged, each with the ids of its records; the most frequent reason comes first.
    pub untold: Vec<(String, Vec<String>)>,
}

/// Why the records could not be judged, as text.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Undone {
    pub says: String,
    pub faults: Vec<Told>,
}

/// A fault of a book, as text.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Told {
    /// File, line and column.
    pub place: String,
    pub says: String,
    /// What to do about it, if the check of the book knows.
    pub help: Option<String>,
}

/// Begins a judging on another thread.
pub(super) fn begin(work: Work) -> Task<Came> {
    let (tell, told) = unbounded();
    std::thread::spawn(move || {
        let came = judge(work, |count| send(&tell, Came::Read(count)));
        send(&tell, came);
    });
    // Ignored if a result came before it.
    let early = Undone { says: "the judging ended early".to_owned(), faults: Vec::new() };
    let told = told.chain(once(ready(Came::Undone(early))));
    Task::stream(told)
}

/// The receiver is gone if the window was closed meanwhile.
fn send(tell: &UnboundedSender<Came>, came: Came) {
    let _ = tell.unbounded_send(came);
}

/// Judges all records of the logs. `progress` gets the number of records read so far.
pub(super) fn judge(work: Work, progress: impl Fn(usize) + Sync) -> Came {
    let Work { under, rules, paths } = work;
    let book = match rules {
        Rules::Read(book) => book,
        Rules::Folder(folder) => match books::checked(&folder) {
            Ok(book) => Arc::new(book),
            Err(unfit) => return Came::Undone(Undone::of(&folder, unfit)),
        },
    };
    match logs::rejudge(&paths, &book, &[], progress) {
        Ok(found) => Came::Judged(Arc::new(Judged::new(under, &book, found))),
        Err(unread) => Came::Undone(Undone { says: with_help(&unread, unread.help()), faults: Vec::new() }),
    }
}

impl Judged {
    fn new(under: Under, book: &Book, found: Rejudged) -> Judged {
        let mut by_reason: BTreeMap<String, Vec<String>> = BTreeMap::new();
        for untold in &found.cannot_tell {
            by_reason.entry(untold.because.join("; ")).or_default().push(untold.id.clone());
        }
        let mut untold: Vec<(String, Vec<String>)> = by_reason.into_iter().collect();
        // The sort is stable: reasons with as many records stay in alphabetical order.
        untold.sort_by_key(|(_, records)| std::cmp::Reverse(records.len()));
        Judged { under, name: book.name.clone(), edition: book.edition.to_string(), found, untold }
    }
}

impl Undone {
    fn of(folder: &str, error: Error) -> Undone {
        match error {
            Error::Unknown(_) | Error::Unreadable { .. } => {
                Undone { says: with_help(&error, error.help()), faults: Vec::new() }
            }
            Error::Defective { sources, defects } => {
                let shown = defects.iter().take(FAULTS);
                let count = defects.len();
                let more = match count.saturating_sub(FAULTS) {
                    0 => String::new(),
                    _ => format!(
                        ", of which the first {FAULTS} stand here; `tellframe check {folder}` shows all"
                    ),
                };
                let plural = if count == 1 { "" } else { "s" };
                Undone {
                    says: format!(
                        "The book has {count} fault{plural}{more}. Mend it, and press Enter again."
                    ),
                    faults: shown.map(|fault| in_words(fault, &sources, folder)).collect(),
                }
            }
        }
    }
}

fn in_words(fault: &Defect, sources: &Sources, folder: &str) -> Told {
    let place = match sources.files().get(fault.at.file) {
        Some(file) => {
            format!("{}:{}", Path::new(folder).join(&file.path).display(), sources.position(fault.at))
        }
        None => folder.to_owned(),
    };
    Told { place, says: fault.message.clone(), help: fault.help.clone() }
}
