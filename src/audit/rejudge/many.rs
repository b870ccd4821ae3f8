//! Many records at once, on all cores, in the order in which they came.

use super::{Facts, Judged, add, judge};
use crate::audit::changes::changes;
use crate::book::Book;
use crate::wire::rejudge::{Changed, Rejudged};
use rayon::prelude::*;
use std::collections::BTreeMap;

/// Where the text of an edition is looked up, by its hash.
pub type Library<'a> = dyn FnMut(&str) -> Option<Book> + 'a;

/// A log being judged again.
pub struct Many<'a> {
    new: &'a Book,
    library: &'a mut Library<'a>,
    /// The editions met so far.
    editions: BTreeMap<String, Met>,
    rejudged: Rejudged,
}

/// An edition that records were made under.
struct Met {
    /// Its place in the order in which the records came.
    place: usize,
    /// Its text, where that is known.
    book: Option<Book>,
    /// The number of its records.
    records: u64,
}

/// A line that is no record.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BadLine {
    /// Its place in the block, from 0.
    pub index: usize,
    /// What is wrong with it.
    pub message: String,
}

impl<'a> Many<'a> {
    /// Nothing judged yet.
    pub fn new(new: &'a Book, library: &'a mut Library<'a>) -> Many<'a> {
        Many { new, library, editions: BTreeMap::new(), rejudged: Rejudged::default() }
    }

    /// Judges a block of lines; empty ones are passed over.
    ///
    /// # Errors
    /// Every line of the block that is no record; then none of it is counted.
    pub fn block(&mut self, block: &[u8]) -> Result<(), Vec<BadLine>> {
        let lines: Vec<(usize, &[u8])> = block
            .split(|byte| *byte == b'\n')
            .enumerate()
            .filter(|(_, line)| !line.trim_ascii().is_empty())
            .collect();
        let read: Vec<Result<Facts, BadLine>> = lines
            .par_iter()
            .map(|(index, line)| {
                let bad = |error: serde_json::Error| BadLine { index: *index, message: error.to_string() };
                serde_json::from_slice(line).map_err(bad)
            })
            .collect();
        let (mut all, mut bad) = (Vec::with_capacity(read.len()), Vec::new());
        for one in read {
            match one {
                Ok(facts) => all.push(facts),
                Err(line) => bad.push(line),
            }
        }
        if !bad.is_empty() {
            return Err(bad);
        }
        self.facts(&all);
        Ok(())
    }

    /// Judges records.
    pub fn facts(&mut self, all: &[Facts]) {
        let own = self.new.edition.to_string();
        for facts in all {
            if !self.editions.contains_key(&facts.edition) {
                let known = match facts.edition == own {
                    true => Some(self.new.clone()),
                    false => (self.library)(&facts.edition),
                };
                let met = Met { place: self.editions.len(), book: known, records: 0 };
                self.editions.insert(facts.edition.clone(), met);
            }
            if let Some(met) = self.editions.get_mut(&facts.edition) {
                met.records += 1;
            }
        }
        let old = |facts: &Facts| self.editions.get(&facts.edition).and_then(|met| met.book.as_ref());
        let judged: Vec<Judged> = all.par_iter().map(|facts| judge(self.new, old(facts), facts)).collect();
        judged.into_iter().for_each(|judged| add(&mut self.rejudged, judged));
    }

    /// How many records so far.
    pub fn records(&self) -> u64 {
        self.rejudged.records
    }

    /// The result, with what changed in the book since each edition, in the order in which they were met.
    pub fn end(self) -> Rejudged {
        let mut met: Vec<(String, Met)> = self.editions.into_iter().collect();
        met.sort_by_key(|(_, met)| met.place);
        let changed = |(since, met): (String, Met)| Changed {
            changes: met.book.map(|old| changes(&old, self.new)),
            since,
            records: met.records,
        };
        Rejudged { changes: met.into_iter().map(changed).collect(), ..self.rejudged }
    }
}
