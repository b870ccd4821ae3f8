//! The rule books that records were made under, where the logs or the program have their text.

use crate::audit::names::Name;
use crate::audit::sample::Sample;
use crate::book::{Book, shipped};
use crate::log::chain::Hash;
use crate::log::edition::RuleText;
use crate::log::reader::Reader;
use crate::log::Error;
use std::collections::{BTreeMap, BTreeSet};

/// Books by edition.
#[derive(Debug, Default)]
pub struct Editions {
    books: BTreeMap<Name, Book>,
}

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
            let book = text.filter(|text| text.hash() == hash).and_then(|text| text.load().ok());
            books.extend(book.map(|book| (edition, book)));
        }
        Ok(Editions { books })
    }

    /// The book of an edition.
    pub fn book(&self, edition: Name) -> Option<&Book> {
        self.books.get(&edition)
    }

    /// Any book that has this tree, the newest name last: for its words.
    pub fn words(&self, tree: &str) -> Option<&crate::book::tree::Tree> {
        self.books.values().rev().find_map(|book| book.tree(tree))
    }
}
