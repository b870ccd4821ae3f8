//! From the files of a book to a checked [`Book`], or to everything that is wrong with it.

use super::defect::{Defect, Kind, sorted};
use super::edition::{CASES, Edition, is_rule};
use super::lower::{Lowering, Shared, report_doubles, tree::tree};
use super::raw::RawBook;
use super::spanned::{Entries, InFile, Spanned};
use super::text::{BOOK_FILE, Source, Sources, Span};
use super::tree::Tree;
use super::words::{self, Named, WORDS, Words};
use super::{Book, check, punctuation, rules};
use std::collections::{BTreeMap, BTreeSet};

/// The form of the language that this program reads.
pub(crate) const LANGUAGE: u32 = 1;

/// Loads and checks a book whose short name is `id`.
///
/// # Errors
/// All defects of the book, sorted by file and place.
pub fn load(id: &str, sources: &Sources) -> Result<Book, Vec<Defect>> {
    without(id, sources, |_| true)
}

/// Loads an edition that games were ruled under, such as one that a log keeps. It stays as it was: what only a later
/// check finds fault with, that something a restart needs cannot be had, or where its sentences stand, is no defect of
/// it.
///
/// # Errors
/// The other defects of the book, sorted by file and place.
pub fn kept(id: &str, sources: &Sources) -> Result<Book, Vec<Defect>> {
    without(id, sources, |kind| !matches!(kind, Kind::Unobtainable | Kind::Moved))
}

/// The book, if it is without defects of the kinds that count.
fn without(id: &str, sources: &Sources, counts: impl Fn(Kind) -> bool) -> Result<Book, Vec<Defect>> {
    let mut defects = Vec::new();
    let book = read(id, sources, &mut defects);
    defects.retain(|defect| counts(defect.kind));
    match book {
        Some(book) if defects.is_empty() => Ok(book),
        _ => Err(sorted(defects, sources)),
    }
}

fn read(id: &str, sources: &Sources, defects: &mut Vec<Defect>) -> Option<Book> {
    if sources.find(BOOK_FILE).is_none() {
        // A place in no file.
        let at = Span { file: sources.files().len(), start: 0, end: 0 };
        defects.push(
            Defect::new(Kind::Files, at, format!("there is no `{BOOK_FILE}`"))
                .help("name the folder of a book: it holds `book.ron` and one file a question"),
        );
        return None;
    }
    let texts = Texts::read(sources, defects);
    let file = texts.find(sources, BOOK_FILE);
    let raw = file.and_then(|file| Some((file, file.parse::<RawBook<'_>>(file.text, defects)?)));
    if let Some((file, raw)) = &raw
        && language(raw, *file, defects).is_none_or(|language| language != LANGUAGE)
    {
        // Nothing else in a book of another language can be checked.
        return None;
    }
    let head = raw.as_ref().map(|(file, raw)| head(raw, *file, sources, defects));
    let (shared, listed) = match head {
        Some((shared, listed)) => (shared, listed),
        None => (Shared { moments: None, lines: None, penalties: None }, None),
    };
    let listed = listed.unwrap_or_else(|| every(sources));
    let mut drafts = Vec::new();
    for (name, number) in &listed {
        if let Some(file) = texts.file(*number) {
            drafts.extend(tree(&mut Lowering { file, shared: &shared, defects }, name));
        }
    }
    let rules = raw.as_ref().map(|(file, raw)| rules::rules(raw, *file, defects));
    let limits = rules.as_ref().and_then(|rules| rules.replay.as_ref()).map(|replay| &replay.limits);
    for draft in &drafts {
        check::tree(draft, limits, defects);
    }
    let rules = rules?;
    for draft in &drafts {
        check::obtain::obtain(&draft.tree, &rules.penalties, defects);
    }
    if let (Some(field), Some(game)) = (&rules.field, &rules.game) {
        check::lines::lines(&rules.lines, field, game, defects);
    }
    let (file, raw) = raw?;
    let name = file.parse::<String>(raw.name.0, defects);
    let complete = drafts.len() == listed.len();
    let trees: Vec<Tree> = drafts.into_iter().map(|draft| draft.tree).collect();
    // A name that could not be read is not missed by what is said of it.
    let named = defects.is_empty().then_some(Named { trees: &trees, penalties: &rules.penalties });
    let said = languages(&raw, file, (sources, &texts), named, defects);
    (complete && !said.is_empty())
        .then(|| book(id, name?, Edition::of(sources), rules, (trees, said)))
        .flatten()
}

/// The words of a book in each of its languages: in the order that it lists, or in that of their files.
fn languages<'a>(
    raw: &RawBook<'a>,
    file: InFile<'a>,
    (sources, texts): (&Sources, &'a Texts),
    named: Option<Named<'_>>,
    defects: &mut Vec<Defect>,
) -> Vec<Words> {
    if let Some(wording) = raw.wording {
        let message = "announcements do not stand in `book.ron`";
        let help =
            format!("write them into a file for each language, such as `{WORDS}en.ron` (docs/rule-books.md)");
        defects.push(Defect::new(Kind::Moved, file.span(wording.0), message).help(help));
    }
    let stem = |path: &str| path.strip_prefix(WORDS)?.strip_suffix(".ron").map(str::to_owned);
    let there: Vec<(usize, String)> = (sources.files().iter().enumerate())
        .filter_map(|(number, source)| Some((number, stem(&source.path)?)))
        .collect();
    let listed = raw.languages.and_then(|list| file.parse::<Vec<Spanned<'a, String>>>(list.0, defects));
    let mut order: Vec<usize> = Vec::new();
    for language in listed.iter().flatten() {
        match there.iter().find(|(_, name)| *name == language.value) {
            Some((number, _)) => order.push(*number),
            None => {
                let message = format!("there is no file `{WORDS}{}.ron`", language.value);
                let help = "write that file, or take the language off this list";
                defects.push(Defect::new(Kind::Files, file.span(language.text), message).help(help));
            }
        }
    }
    for (number, name) in &there {
        match listed {
            None => order.push(*number),
            Some(_) if order.contains(number) => {}
            Some(_) => {
                let at = Span { file: *number, start: 0, end: 1 };
                let message = format!("`{name}` is not among the languages of the book");
                let help = format!("add \"{name}\" to `languages` in {BOOK_FILE}, or delete the file");
                defects.push(Defect::new(Kind::Files, at, message).help(help));
            }
        }
    }
    let read = |number: usize| {
        let path = sources.files().get(number).map_or("", |source| source.path.as_str());
        words::words(path, texts.file(number)?, named, defects)
    };
    let mut said: Vec<Words> = order.into_iter().filter_map(read).collect();
    if there.is_empty() {
        said.extend(words::plain());
    }
    said
}

/// The mended texts of a book's rules; `None` for a file whose structure is lost.
struct Texts(Vec<Option<String>>);

impl Texts {
    fn read(sources: &Sources, defects: &mut Vec<Defect>) -> Texts {
        let mut text = |(number, source): (usize, &Source)| {
            is_rule(source).then(|| punctuation::mend(number, &source.text, defects)).flatten()
        };
        Texts(sources.files().iter().enumerate().map(&mut text).collect())
    }

    fn file(&self, number: usize) -> Option<InFile<'_>> {
        let text = self.0.get(number)?.as_deref()?;
        Some(InFile { file: number, text })
    }

    fn find(&self, sources: &Sources, path: &str) -> Option<InFile<'_>> {
        self.file(sources.find(path)?)
    }
}

fn language(raw: &RawBook<'_>, file: InFile<'_>, defects: &mut Vec<Defect>) -> Option<u32> {
    let language: u32 = file.parse(raw.language.0, defects)?;
    if language != LANGUAGE {
        let message = format!("language {language} is not known to this program");
        let help = format!("this program reads language {LANGUAGE}; a newer program may be needed");
        defects.push(Defect::new(Kind::Language, file.span(raw.language.0), message).help(help));
    }
    Some(language)
}

/// The questions of a book by name, with the numbers of their files.
type Listed = Vec<(String, usize)>;

/// The names in `book.ron` that the other files use, and the questions that it lists.
fn head<'a>(
    raw: &RawBook<'a>,
    file: InFile<'a>,
    sources: &Sources,
    defects: &mut Vec<Defect>,
) -> (Shared, Option<Listed>) {
    for (entries, what) in [
        (&raw.lines, "line"),
        (&raw.penalties, "penalty"),
        (&raw.not_reviewable, "subject"),
        (&raw.moments, "moment"),
    ] {
        report_doubles(entries, what, file, defects);
    }
    let names = |entries: &Entries<'_>| -> Option<BTreeSet<String>> {
        Some(entries.0.iter().map(|entry| entry.key.value.clone()).collect())
    };
    let shared =
        Shared { moments: names(&raw.moments), lines: names(&raw.lines), penalties: names(&raw.penalties) };
    let listed: Option<Vec<Spanned<'a, String>>> = file.parse(raw.questions.0, defects);
    (shared, listed.map(|names| questions(&names, sources, file, defects)))
}

/// Every file of rules as a question, for a book whose list of questions could not be read.
fn every(sources: &Sources) -> Listed {
    let question = |(number, file): (usize, &Source)| {
        let stem = file.path.strip_suffix(".ron").filter(|_| is_question(file))?;
        Some((stem.to_owned(), number))
    };
    sources.files().iter().enumerate().filter_map(question).collect()
}

/// Whether a file holds a question.
fn is_question(file: &Source) -> bool {
    is_rule(file) && file.path != BOOK_FILE && !file.path.starts_with(WORDS)
}

fn book(
    id: &str,
    name: String,
    edition: Edition,
    rules: rules::Rules,
    (trees, words): (Vec<Tree>, Vec<Words>),
) -> Option<Book> {
    Some(Book {
        id: id.to_owned(),
        name,
        edition,
        field: rules.field?,
        game: rules.game?,
        enforcement: rules.enforcement?,
        lines: rules.lines,
        replay: rules.replay?,
        closed: rules.closed,
        penalties: rules.penalties,
        moments: rules.moments,
        discretion: rules.discretion?,
        checklist: rules.checklist?,
        words,
        trees,
    })
}

/// The files of the questions, in the order of the book; reports files that are missing or not listed.
fn questions(
    names: &[Spanned<'_, String>],
    sources: &Sources,
    here: InFile<'_>,
    defects: &mut Vec<Defect>,
) -> Listed {
    let mut found: BTreeMap<&str, &str> = BTreeMap::new();
    let mut files = Vec::new();
    for name in names {
        let at = here.span(name.text);
        if let Some(earlier) = found.insert(&name.value, name.text) {
            defects.push(
                Defect::new(Kind::DuplicateName, at, format!("the question `{}` stands twice", name.value))
                    .beside(here.span(earlier), "the first one")
                    .help("delete one of the two"),
            );
            continue;
        }
        match sources.find(&format!("{}.ron", name.value)) {
            Some(file) => files.push((name.value.clone(), file)),
            None => defects.push(
                Defect::new(Kind::Files, at, format!("there is no file `{}.ron`", name.value))
                    .help("write that file beside `book.ron`, or take the name off this list"),
            ),
        }
    }
    for (number, file) in sources.files().iter().enumerate() {
        let stem = file.path.strip_suffix(".ron").unwrap_or(&file.path);
        if is_question(file) && !found.contains_key(stem) {
            let at = Span { file: number, start: 0, end: file.text.len().min(1) };
            defects.push(
                Defect::new(
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
