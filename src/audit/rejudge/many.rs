//! Many records at once, on all cores, in the order in which they came.

use super::{Facts, add, judge};
use crate::audit::changes::changes;
use crate::book::Book;
use crate::log::blocks;
use crate::log::jsonl::Error;
use crate::wire::rejudge::{Changed, Rejudged};
use std::collections::BTreeMap;
use std::io::Read;
use std::sync::{Arc, Mutex, PoisonError};

/// Where the text of an edition is looked up, by its hash.
pub type Library<'a> = dyn FnMut(&str) -> Option<Book> + Send + 'a;

/// A log being judged again.
pub struct Many<'a> {
    new: &'a Book,
    own: String,
    known: Mutex<Known<'a>>,
    judged: Part,
}

/// The editions whose text was looked up so far.
struct Known<'a> {
    library: &'a mut Library<'a>,
    books: BTreeMap<String, Option<Arc<Book>>>,
}

/// What some records come to.
#[derive(Default)]
struct Part {
    editions: BTreeMap<String, Met>,
    rejudged: Rejudged,
}

/// An edition that records were made under.
struct Met {
    /// Its place in the order in which the records came.
    place: usize,
    /// Its text, where that is known.
    book: Option<Arc<Book>>,
    /// The number of its records.
    records: u64,
}

impl<'a> Many<'a> {
    /// Nothing judged yet.
    pub fn new(new: &'a Book, library: &'a mut Library<'a>) -> Many<'a> {
        let known = Mutex::new(Known { library, books: BTreeMap::new() });
        Many { new, own: new.edition.to_string(), known, judged: Part::default() }
    }

    /// Judges the records of a file of JSON Lines, second looks left out; `progress` is told now and then how many there
    /// are so far.
    ///
    /// # Errors
    /// [`Error`] if the file cannot be read, or with the lines that are no records; then none of it is counted.
    pub fn read(
        &mut self,
        file: &str,
        from: impl Read + Send,
        progress: impl Fn(usize) + Sync,
    ) -> Result<(), Error> {
        let this = &*self;
        let take = |part: &mut Part, line: &[u8]| {
            let facts: Facts = serde_json::from_slice(line)?;
            this.judge(part, &facts);
            Ok(())
        };
        let parts = blocks::read(file, from, take, progress)?;
        parts.into_iter().for_each(|part| self.judged.add(part));
        Ok(())
    }

    fn judge(&self, part: &mut Part, facts: &Facts) {
        if facts.is_second_look() {
            return;
        }
        if !part.editions.contains_key(&facts.edition) {
            let book = self.book(&facts.edition);
            let met = Met { place: part.editions.len(), book, records: 0 };
            part.editions.insert(facts.edition.clone(), met);
        }
        let Some(met) = part.editions.get_mut(&facts.edition) else { return };
        met.records += 1;
        add(&mut part.rejudged, judge(self.new, met.book.as_deref(), facts));
    }

    /// The text of an edition, looked up once.
    fn book(&self, edition: &str) -> Option<Arc<Book>> {
        // INVARIANT: what was looked up is whole even where a lookup panicked.
        let mut known = self.known.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(book) = known.books.get(edition) {
            return book.clone();
        }
        let found = if edition == self.own { Some(self.new.clone()) } else { (known.library)(edition) };
        let book = found.map(Arc::new);
        known.books.insert(edition.to_owned(), book.clone());
        book
    }

    /// The result, with what changed in the book since each edition, in the order in which they were met.
    pub fn end(self) -> Rejudged {
        let changed = |(since, met): (String, Met)| Changed {
            changes: met.book.map(|old| changes(&old, self.new)),
            since,
            records: met.records,
        };
        let Part { editions, rejudged } = self.judged;
        Rejudged { changes: in_order(editions).into_iter().map(changed).collect(), ..rejudged }
    }
}

impl Part {
    /// Adds what came later.
    fn add(&mut self, later: Part) {
        for (edition, met) in in_order(later.editions) {
            let place = self.editions.len();
            let known = self.editions.entry(edition).or_insert(Met { place, records: 0, ..met });
            known.records += met.records;
        }
        let Rejudged { records, same, flips, cannot_tell, restarts, changes } = later.rejudged;
        self.rejudged.records += records;
        self.rejudged.same += same;
        self.rejudged.flips.extend(flips);
        self.rejudged.cannot_tell.extend(cannot_tell);
        self.rejudged.restarts.extend(restarts);
        self.rejudged.changes.extend(changes);
    }
}

fn in_order(editions: BTreeMap<String, Met>) -> Vec<(String, Met)> {
    let mut met: Vec<(String, Met)> = editions.into_iter().collect();
    met.sort_by_key(|(_, met)| met.place);
    met
}
