//! From the raw text form to the checked form: every name resolved, every defect reported in its place.

mod effects;
mod finding;
mod known;
mod step;
pub(super) mod tree;

use super::defect::{Defect, Kind, nearest};
use super::spanned::{Entries, InFile, Later, Spanned};
use super::text::Span;
use super::tree::{MOST, Set};
use std::collections::{BTreeMap, BTreeSet};

/// The names that the files of one book share. `None` where `book.ron` could not be read: then no name is
/// reported as unknown.
pub(super) struct Shared {
    pub moments: Option<BTreeSet<String>>,
    pub lines: Option<BTreeSet<String>>,
    pub penalties: Option<BTreeSet<String>>,
}

/// One file being lowered, with the defects found so far.
pub(super) struct Lowering<'a, 'f> {
    pub file: InFile<'a>,
    pub shared: &'f Shared,
    pub defects: &'f mut Vec<Defect>,
}

impl<'a> Lowering<'a, '_> {
    pub(super) fn parse<T: serde::Deserialize<'a>>(&mut self, slice: &'a str) -> Option<T> {
        self.file.parse(slice, self.defects)
    }

    pub(super) fn span(&self, slice: &str) -> Span {
        self.file.span(slice)
    }

    pub(super) fn defect(&mut self, defect: Defect) {
        self.defects.push(defect);
    }

    /// Reads one slice by itself, so that its defect is its own.
    pub fn later<T: serde::de::DeserializeOwned>(&mut self, slice: Later<'a>) -> Option<Spanned<'a, T>> {
        self.parse(slice.0).map(|value| Spanned { value, text: slice.0 })
    }

    /// Reports a name that is not among the known ones; does nothing if those could not be read.
    pub fn named(&mut self, at: Span, what: &str, name: &str, known: Option<&BTreeSet<String>>) {
        if let Some(known) = known.filter(|known| !known.contains(name)) {
            self.unknown(at, what, name, known.iter().map(String::as_str));
        }
    }

    /// Reports that a name is not known, with the nearest one that is.
    pub fn unknown<'n>(&mut self, at: Span, what: &str, name: &str, known: impl Iterator<Item = &'n str>) {
        let help = nearest(name, known);
        self.defect(Defect::new(Kind::UnknownName, at, format!("there is no {what} `{name}`")).help(help));
    }
}

/// Reports names that stand twice in a map. Returns the later ones among the first [`MOST`] entries.
pub(super) fn report_doubles(
    entries: &Entries<'_>,
    what: &str,
    file: InFile<'_>,
    defects: &mut Vec<Defect>,
) -> Set {
    let mut first: BTreeMap<&str, &str> = BTreeMap::new();
    let mut doubles = Set::EMPTY;
    for (index, entry) in entries.0.iter().enumerate() {
        let name = entry.key.value.as_str();
        if let Some(earlier) = first.get(name) {
            defects.push(
                Defect::new(
                    Kind::DuplicateName,
                    file.span(entry.key.text),
                    format!("the {what} `{name}` stands twice"),
                )
                .beside(file.span(earlier), "the first one")
                .help("give one of them another name, or delete it"),
            );
            doubles = doubles.with(if index < MOST { Set::one(index) } else { Set::EMPTY });
        } else {
            first.insert(name, entry.key.text);
        }
    }
    doubles
}
