//! The rule books that records were made under, where the logs or the program have their text.

use crate::audit::names::Name;
use crate::audit::sample::Sample;
use crate::book::{Book, shipped};
use crate::log::Error;
use crate::log::chain::Hash;
use crate::log::edition::RuleText;
use crate::log::reader::Reader;
use std::collections::{BTreeMap, BTreeSet};

/// Books by edition.
#[derive(Debug, Default)]
pub struct Editions {
    books: BTreeMap<Name, (RuleText, Book)>,
}

/// The file that holds what all questions share.
const SHARED: &str = "book.ron";

impl Editions {
    /// The books of all editions that the sample speaks of and that a log or the program itself has. An edition that
    /// this program cannot read, or whose text is another edition's, is not known.
    ///
    /// # Errors
    /// [`Error`] if a log cannot be read.
    pub fn of(sample: &Sample, logs: &[Reader]) -> Result<Editions, Error> {
        let wanted: BTreeSet<Name> = sample.rows.iter().map(|row| row.edition).collect();
        let built_in: Vec<RuleText> = shipped::names()
            .into_iter()
            .filter_map(|name| Some(RuleText::of(name, &shipped::sources(name)?)))
            .collect();
        let mut books = BTreeMap::new();
        for edition in wanted {
            let Ok(hash) = sample.names.text(edition).parse::<Hash>() else { continue };
            let mut text = built_in.iter().find(|text| text.hash() == hash).cloned();
            for log in logs {
                if text.is_none() {
                    text = log.edition(&hash)?.and_then(|text| RuleText::read(&text).ok());
                }
            }
            let known = text.filter(|text| text.hash() == hash).and_then(|text| {
                let book = text.load().ok()?;
                Some((text, book))
            });
            books.extend(known.map(|known| (edition, known)));
        }
        Ok(Editions { books })
    }

    /// The book of an edition.
    pub fn book(&self, edition: Name) -> Option<&Book> {
        self.books.get(&edition).map(|(_, book)| book)
    }

    /// The first edition that has the same rules for a question: a change elsewhere in the book changes nothing for
    /// it. An edition that is not known is like no other.
    pub fn alike(&self, edition: Name, tree: &str) -> Name {
        let Some((own, _)) = self.books.get(&edition) else { return edition };
        let first = self.books.iter().find(|(_, (other, _))| {
            other.book() == own.book()
                && [SHARED.to_owned(), format!("{tree}.ron")]
                    .iter()
                    .all(|file| own.file(file) == other.file(file))
        });
        first.map_or(edition, |(first, _)| *first)
    }

    /// Any book that has this tree, the newest name last: for its words.
    pub fn words(&self, tree: &str) -> Option<&crate::book::tree::Tree> {
        self.books.values().rev().find_map(|(_, book)| book.tree(tree))
    }
}
