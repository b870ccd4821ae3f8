//! From the files of a book to a checked [`Book`], or to everything that is wrong with it.

use super::edition::{CASES, Edition, is_rule};
use super::fault::{Fault, Kind, sorted};
use super::lower::{Lowering, Shared, report_doubles, tree::tree};
use super::raw::RawBook;
use super::spanned::{InFile, Spanned};
use super::text::{Sources, Span};
use super::tree::Tree;
use super::{Book, check, rules};
use std::collections::{BTreeMap, BTreeSet};

/// The file of a book that names all others.
pub const BOOK_FILE: &str = "book.ron";

/// The form of the language that this program reads.
pub const LANGUAGE: u32 = 1;

/// Loads and checks a book whose short name is `id`.
///
/// # Errors
/// All faults of the book, sorted by file and place.
pub fn load(id: &str, sources: &Sources) -> Result<Book, Vec<Fault>> {
    let mut faults = Vec::new();
    let book = read(id, sources, &mut faults);
    match book {
        Some(book) if faults.is_empty() => Ok(book),
        _ => Err(sorted(faults)),
    }
}

fn read(id: &str, sources: &Sources, faults: &mut Vec<Fault>) -> Option<Book> {
    let Some(number) = sources.find(BOOK_FILE) else {
        let at = Span { file: 0, start: 0, end: 0 };
        faults.push(
            Fault::new(Kind::Files, at, format!("there is no `{BOOK_FILE}`"))
                .help("name the folder of a book: it holds `book.ron` and one file a question"),
        );
        return None;
    };
    let file = in_file(sources, number);
    let raw: RawBook<'_> = file.parse(&file.source.text, faults)?;
    if raw.language.value != LANGUAGE {
        let message = format!("language {} is not known to this program", raw.language.value);
        let help = format!("this program reads language {LANGUAGE}; a newer program may be needed");
        faults.push(Fault::new(Kind::Language, file.span(raw.language.text), message).help(help));
        return None;
    }
    for (entries, what) in [
        (&raw.lines, "line"),
        (&raw.penalties, "penalty"),
        (&raw.not_reviewable, "subject"),
        (&raw.moments, "moment"),
    ] {
        report_doubles(entries, what, file, faults);
    }
    let names = |entries: &super::spanned::Entries<'_>| -> BTreeSet<String> {
        entries.0.iter().map(|entry| entry.key.value.clone()).collect()
    };
    let shared =
        Shared { moments: names(&raw.moments), lines: names(&raw.lines), penalties: names(&raw.penalties) };
    let questions = questions(&raw.questions, sources, number, faults);
    let mut trees = Vec::new();
    for (name, question) in &questions {
        let file = in_file(sources, *question);
        let mut lowering = Lowering { file, shared: &shared, faults };
        trees.extend(tree(&mut lowering, name));
    }
    let complete = trees.len() == questions.len();
    let rules = rules::rules(&raw, file, faults);
    let limits = rules.as_ref().map(|rules| rules.replay.limits.clone());
    for tree in &trees {
        check::tree(tree, limits.as_ref(), faults);
    }
    let rules = rules?;
    check::lines::lines(&rules.lines, &rules.field, &rules.game, faults);
    complete.then(|| book(id, raw.name.clone(), Edition::of(sources), rules, trees))
}

fn book(id: &str, name: String, edition: Edition, rules: rules::Rules, trees: Vec<Tree>) -> Book {
    Book {
        id: id.to_owned(),
        name,
        edition,
        field: rules.field,
        game: rules.game,
        lines: rules.lines,
        replay: rules.replay,
        closed: rules.closed,
        penalties: rules.penalties,
        moments: rules.moments,
        wording: rules.wording,
        trees,
    }
}

fn in_file(sources: &Sources, number: usize) -> InFile<'_> {
    // INVARIANT: numbers come from `Sources::find` or from enumerating its files.
    InFile { file: number, source: &sources.files()[number] }
}

/// The files of the questions, in the order of the book; what is missing or not named is reported.
fn questions(
    names: &[Spanned<'_, String>],
    sources: &Sources,
    book: usize,
    faults: &mut Vec<Fault>,
) -> Vec<(String, usize)> {
    let here = in_file(sources, book);
    let mut found: BTreeMap<&str, &str> = BTreeMap::new();
    let mut files = Vec::new();
    for name in names {
        let at = here.span(name.text);
        if let Some(earlier) = found.insert(&name.value, name.text) {
            faults.push(
                Fault::new(Kind::DuplicateName, at, format!("the question `{}` stands twice", name.value))
                    .beside(here.span(earlier), "the first one")
                    .help("delete one of the two"),
            );
            continue;
        }
        match sources.find(&format!("{}.ron", name.value)) {
            Some(file) => files.push((name.value.clone(), file)),
            None => faults.push(
                Fault::new(Kind::Files, at, format!("there is no file `{}.ron`", name.value))
                    .help("write that file beside `book.ron`, or take the name off this list"),
            ),
        }
    }
    for (number, file) in sources.files().iter().enumerate() {
        let stem = file.path.strip_suffix(".ron").unwrap_or(&file.path);
        if is_rule(file) && file.path != BOOK_FILE && !found.contains_key(stem) {
            let at = Span { file: number, start: 0, end: file.text.len().min(1) };
            faults.push(
                Fault::new(
                    Kind::Files,
                    at,
                    format!("`{}` is not among the questions of the book", file.path),
                )
                .help(format!("add \"{stem}\" to `questions` in book.ron, or move the file to `{CASES}`")),
            );
        }
    }
    files
}
