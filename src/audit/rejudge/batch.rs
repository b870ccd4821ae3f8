//! Many records at once, on all cores, in the order in which they came.

use super::{Facts, Judged, judge};
use crate::rejudge::changes::changes;
use foldhash::HashSet;
use formats::rejudge::{Changed, Rejudged};
use log::exchange::blocks;
use log::exchange::jsonl::Error;
use rules::book::Book;
use std::collections::BTreeMap;
use std::io::Read;
use std::sync::{Arc, Mutex, PoisonError};

/// Where the text of an edition is looked up, by its hash.
pub(crate) type Library<'a> = dyn FnMut(&str) -> Option<Book> + Send + 'a;

/// Records being judged again.
pub struct Batch<'a> {
    new: &'a Book,
    own: String,
    known: Mutex<Known<'a>>,
    editions: BTreeMap<Arc<str>, Met>,
    rejudged: Rejudged,
    /// Ids of the records that were counted: one that comes again is left out, as in an audit.
    seen: HashSet<Box<str>>,
}

/// The editions whose text was looked up so far.
struct Known<'a> {
    library: &'a mut Library<'a>,
    books: BTreeMap<String, Option<Arc<Book>>>,
}

/// What some records come to, in their order.
struct Part {
    editions: BTreeMap<Arc<str>, Option<Arc<Book>>>,
    records: Vec<One>,
}

struct One {
    id: Box<str>,
    /// None for a second look.
    ruled: Option<Ruled>,
}

struct Ruled {
    edition: Arc<str>,
    /// None for one that stays the same in every respect, as most do.
    judged: Option<Box<Judged>>,
}

/// An edition that records were made under.
struct Met {
    /// Its place in the order in which the records came.
    place: usize,
    /// `None` where its text is not known.
    book: Option<Arc<Book>>,
    records: u64,
}

impl Part {
    fn of(count: usize) -> Part {
        Part { editions: BTreeMap::new(), records: Vec::with_capacity(count) }
    }
}

/// A record that comes to the same in everything.
const SAME: Judged = Judged::Same { moved: None, contrary: None };

fn add(rejudged: &mut Rejudged, judged: Judged) {
    rejudged.records += 1;
    match judged {
        Judged::Same { moved, contrary } => {
            rejudged.same += 1;
            rejudged.restarts.extend(moved);
            rejudged.contrary.extend(contrary);
        }
        Judged::Flips(flip) => rejudged.flips.push(flip),
        Judged::CannotTell(untold) => rejudged.cannot_tell.push(untold),
    }
}

impl<'a> Batch<'a> {
    /// An empty batch: `library` looks an edition's text up.
    pub fn new(new: &'a Book, library: &'a mut Library<'a>) -> Batch<'a> {
        Batch {
            new,
            own: new.edition.to_string(),
            known: Mutex::new(Known { library, books: BTreeMap::new() }),
            editions: BTreeMap::new(),
            rejudged: Rejudged::default(),
            seen: HashSet::default(),
        }
    }

    /// Judges the records of a file of JSON Lines, second looks and what comes again left out; `progress` is called
    /// now and then with the number of records so far. Returns how many there were.
    ///
    /// # Errors
    /// [`Error`] if the file cannot be read, or with the lines that are no records; then none of it is counted.
    pub fn read(
        &mut self,
        file: &str,
        from: impl Read + Send,
        progress: impl Fn(usize) + Sync,
    ) -> Result<usize, Error> {
        let this = &*self;
        let take = |(): &mut (), part: &mut Part, line: &str| {
            let facts: Facts = serde_json::from_str(line)?;
            this.judge(part, facts);
            Ok(())
        };
        let shares = blocks::read(file, from, Part::of, take, progress)?;
        let mut count = 0;
        for part in blocks::in_order(shares.into_iter().flat_map(|share| share.came)) {
            count += part.records.len();
            self.add(part);
        }
        Ok(count)
    }

    fn judge(&self, part: &mut Part, facts: Facts) {
        let ruled = (!facts.is_second_look()).then(|| {
            let known = part.editions.get_key_value(facts.edition.as_str());
            let (edition, book) =
                known.map(|(edition, book)| (edition.clone(), book.clone())).unwrap_or_else(|| {
                    let (edition, book): (Arc<str>, _) =
                        (facts.edition.as_str().into(), self.book(&facts.edition));
                    part.editions.insert(edition.clone(), book.clone());
                    (edition, book)
                });
            let judged = judge(self.new, book.as_deref(), &facts);
            Ruled { edition, judged: (judged != SAME).then(|| Box::new(judged)) }
        });
        part.records.push(One { id: facts.id.into_boxed_str(), ruled });
    }

    /// Counts each record once: the first of an id, as an audit does.
    fn add(&mut self, part: Part) {
        for One { id, ruled } in part.records {
            if !self.seen.insert(id) {
                self.rejudged.repeated += 1;
                continue;
            }
            let Some(Ruled { edition, judged }) = ruled else { continue };
            let place = self.editions.len();
            let book = || part.editions.get(&edition).cloned().flatten();
            let met = self.editions.entry(edition.clone()).or_insert_with(|| Met {
                place,
                book: book(),
                records: 0,
            });
            met.records += 1;
            add(&mut self.rejudged, judged.map_or(SAME, |judged| *judged));
        }
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
        let mut met: Vec<(Arc<str>, Met)> = self.editions.into_iter().collect();
        met.sort_by_key(|(_, met)| met.place);
        let changed = |(since, met): (Arc<str>, Met)| Changed {
            changes: met.book.map(|old| changes(&old, self.new)),
            since: since.to_string(),
            records: met.records,
        };
        Rejudged { changes: met.into_iter().map(changed).collect(), ..self.rejudged }
    }
}
