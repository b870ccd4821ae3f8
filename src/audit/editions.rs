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
    /// The books of all editions that the sample speaks of and that a log or the program itself has.
    ///
    /// # Errors
    /// [`Error`] if a log cannot be read.
    pub fn of(sample: &Sample, logs: &[Reader]) -> Result<Editions, Error> {
        let mut texts = Vec::new();
        for edition in wanted(sample) {
            let Ok(hash) = sample.names.text(edition).parse::<Hash>() else { continue };
            for log in logs {
                texts.extend(log.edition(&hash)?.and_then(|text| RuleText::read(&text).ok()));
            }
        }
        Ok(Editions::among(sample, texts))
    }

    /// The books of all editions that the sample speaks of and that are among these texts or in the program. An
    /// edition that this program cannot read is not known.
    pub fn among(sample: &Sample, texts: Vec<RuleText>) -> Editions {
        let built_in = shipped::names().into_iter();
        let built_in = built_in.filter_map(|name| Some(RuleText::of(name, &shipped::sources(name)?)));
        let by_hash: BTreeMap<String, RuleText> =
            texts.into_iter().chain(built_in).map(|text| (text.hash().to_string(), text)).collect();
        let known = wanted(sample).into_iter().filter_map(|edition| {
            let text = by_hash.get(sample.names.text(edition))?;
            Some((edition, (text.clone(), text.load().ok()?)))
        });
        Editions { books: known.collect() }
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

/// So much of an edition's hash tells it from the others for people.
pub fn short(edition: &str) -> String {
    edition.chars().take(8).collect()
}

fn wanted(sample: &Sample) -> BTreeSet<Name> {
    sample.rows.iter().map(|row| row.edition).collect()
}
