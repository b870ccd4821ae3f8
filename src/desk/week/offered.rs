//! The editions to choose from: those that the records were ruled under, and the books inside the program.

use crate::week::line::{Line, Of, OfEdition, Under};
use audit::figures::widened;
use audit::sample::Sample;
use audit::sample::editions::{Editions, short};
use audit::sample::interner::Name;
use pages::text;
use rules::book::edition::Edition;
use rules::book::{Book, load, shipped};
use std::collections::BTreeMap;
use std::sync::Arc;

#[derive(Debug)]
pub(crate) struct Offered {
    pub name: String,
    /// The hash of the edition.
    pub edition: String,
    /// Number of records ruled under it.
    records: usize,
    /// The first and the last week of these records.
    weeks: Option<[u32; 2]>,
    /// `None` if neither a log nor the program has its text.
    pub book: Option<Arc<Book>>,
    /// The program's own name for it.
    built_in: Option<&'static str>,
}

/// First the editions of the records, by their first weeks, then the program's other books.
pub(crate) fn all(sample: &Sample, editions: &Editions) -> Vec<Offered> {
    let mut met: BTreeMap<Name, (usize, Option<[u32; 2]>)> = BTreeMap::new();
    for row in sample.rows.iter().filter(|row| row.again_of().is_none()) {
        let (records, weeks) = met.entry(row.edition).or_insert((0, None));
        *records += 1;
        if let Some(week) = row.week {
            *weeks = Some(widened(*weeks, week));
        }
    }
    let mut all: Vec<Offered> = met
        .into_iter()
        .map(|(edition, (records, weeks))| {
            let book = editions.book(edition);
            Offered {
                name: book.map_or("Edition without a known text".to_owned(), |book| book.name.clone()),
                edition: sample.text(edition).to_owned(),
                records,
                weeks,
                book: book.cloned().map(Arc::new),
                built_in: None,
            }
        })
        .collect();
    all.sort_by(|a, b| (a.weeks, &a.edition).cmp(&(b.weeks, &b.edition)));
    for id in shipped::names() {
        let Some(sources) = shipped::sources(id) else { continue };
        let edition = Edition::of(&sources).to_string();
        if let Some(offered) = all.iter_mut().find(|offered| offered.edition == edition) {
            offered.built_in = Some(id);
        } else if let Ok(book) = load::load(id, &sources) {
            all.push(Offered {
                name: book.name.clone(),
                edition,
                records: 0,
                weeks: None,
                book: Some(Arc::new(book)),
                built_in: Some(id),
            });
        }
    }
    all
}

impl Offered {
    pub(super) fn line(&self, at: usize) -> Line {
        let what = match (self.records, self.weeks) {
            (0, _) => "built in".to_owned(),
            (_, Some(weeks)) => text::weeks(weeks),
            (records, None) => format!("{records} records"),
        };
        Line {
            head: self.name.clone(),
            under: format!("edition {} · {what}", short(&self.edition)),
            look: false,
            of: Of::Another(OfEdition::Under(Under::Offered(at))),
        }
    }

    fn ruled(&self) -> String {
        let weeks = self.weeks.map_or(String::new(), |weeks| format!("{}: ", text::weeks(weeks)));
        format!("{weeks}{} records were ruled under it", self.records)
    }

    pub(super) fn known(&self) -> Vec<String> {
        let ruled = match self.records {
            0 => "nothing in these logs was ruled under it".to_owned(),
            _ => self.ruled(),
        };
        let built_in = self.built_in.map(|id| format!("built into the program as `{id}`"));
        [Some(format!("edition {}", short(&self.edition))), Some(ruled), built_in]
            .into_iter()
            .flatten()
            .collect()
    }
}
