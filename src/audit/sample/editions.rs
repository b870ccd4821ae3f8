//! The rule books that records were made under, where the logs or the program have their text.

use crate::sample::Sample;
use crate::sample::interner::Name;
use foldhash::HashSet;
use log::Error;
use log::chain::edition::RuleText;
use log::chain::hash::Hash;
use log::store::reader::Reader;
use rules::book::{Book, shipped};
use std::collections::BTreeMap;

/// The books of the editions that a sample names, as far as they can be read.
#[derive(Debug, Default)]
pub struct Editions {
    /// In the order in which the records name them first.
    books: Vec<(Name, RuleText, Book)>,
}

/// The file that holds what all questions share.
const SHARED: &str = "book.ron";

impl Editions {
    /// The books of all editions that the sample names and that a log or the program itself holds.
    ///
    /// # Errors
    /// [`Error`] if a log cannot be read.
    pub fn of(sample: &Sample, logs: &[Reader]) -> Result<Editions, Error> {
        let mut texts = Vec::new();
        for edition in wanted(sample) {
            let Ok(hash) = sample.text(edition).parse::<Hash>() else { continue };
            for log in logs {
                texts.extend(log.edition(&hash)?.and_then(|text| RuleText::read(&text).ok()));
            }
        }
        Ok(Editions::among(sample, texts))
    }

    /// The books of all editions that the sample names and that are among these texts or in the program. An edition that
    /// this program cannot read is not known.
    pub fn among(sample: &Sample, texts: Vec<RuleText>) -> Editions {
        let built_in = shipped::names().into_iter();
        let built_in = built_in.filter_map(|name| Some(RuleText::of(name, &shipped::sources(name)?)));
        let by_hash: BTreeMap<String, RuleText> =
            texts.into_iter().chain(built_in).map(|text| (text.hash().to_string(), text)).collect();
        let known = wanted(sample).into_iter().filter_map(|edition| {
            let text = by_hash.get(sample.text(edition))?;
            Some((edition, text.clone(), text.load().ok()?))
        });
        Editions { books: known.collect() }
    }

    /// The books by edition, in the order in which the records name them first.
    pub fn all(&self) -> impl Iterator<Item = (Name, &Book)> {
        self.books.iter().map(|(edition, _, book)| (*edition, book))
    }

    /// `None` where the edition is not known or cannot be read.
    pub fn book(&self, edition: Name) -> Option<&Book> {
        self.known(edition).map(|(_, _, book)| book)
    }

    fn known(&self, edition: Name) -> Option<&(Name, RuleText, Book)> {
        self.books.iter().find(|(known, ..)| *known == edition)
    }

    /// The first edition that has the same rules for a question: changes elsewhere in the book do not matter. An edition
    /// that is not known equals no other.
    pub fn alike(&self, edition: Name, tree: &str) -> Name {
        let Some((_, own, _)) = self.known(edition) else { return edition };
        let first = self.books.iter().find(|(_, other, _)| {
            other.book() == own.book()
                && [SHARED.to_owned(), format!("{tree}.ron")]
                    .iter()
                    .all(|file| own.file(file) == other.file(file))
        });
        first.map_or(edition, |(first, ..)| *first)
    }

    /// The tree in the latest edition that has it, for its title and its questions.
    pub fn tree(&self, tree: &str) -> Option<&rules::book::tree::Tree> {
        self.books.iter().rev().find_map(|(.., book)| book.tree(tree))
    }
}

/// The beginning of an edition's hash, by which people tell editions apart.
pub fn short(edition: &str) -> String {
    edition.chars().take(8).collect()
}

/// The editions that the records name, in the order in which they do.
fn wanted(sample: &Sample) -> Vec<Name> {
    let mut met = HashSet::default();
    // Most records have the same edition as the one before.
    let mut before = None;
    let editions = sample.rows.iter().map(|row| row.edition);
    editions.filter(|edition| before.replace(*edition) != Some(*edition) && met.insert(*edition)).collect()
}
