//! What is read once for the supervisor: records, figures, grades, precedents.

use super::error::Error;
use super::offered::{self, Offered};
use super::{Named, Weekly};
use audit::figures::facts::AllFacts;
use audit::figures::rates::numbered;
use audit::figures::{figures, with_numbers};
use audit::sample::Sample;
use audit::sample::editions::Editions;
use audit::sample::logs;
use audit::sample::logs::Taken;
use audit::sample::row::Row;
use formats::audit::Audit;
use log::exchange::records;
use log::store::reader::Reader;
use log::streams::{grades, precedents};
use review::grade::fold::Graded;
use review::precedent::fold::Precedent;
use std::collections::{BTreeMap, BTreeSet, HashMap};
use std::path::PathBuf;

#[derive(Debug)]
pub(crate) struct Held {
    /// All records.
    pub sample: Sample,
    /// The rules that the records were made under.
    pub editions: Editions,
    /// The facts that their answers amount to.
    pub facts: AllFacts,
    /// The figures of all records.
    pub found: Audit,
    /// How officials are shown, if not by their names.
    pub shown: BTreeMap<String, String>,
    pub weeks: Vec<u32>,
    /// The editions that the records can be judged under.
    pub offered: Vec<Offered>,
    /// Grades and precedents at the time of reading.
    pub acts: Acts,
    /// Index of a record in `sample`, by its id.
    row: HashMap<String, usize>,
    /// Index of its log in `logs`, by its id.
    home: HashMap<String, usize>,
    logs: Vec<Named>,
    /// Imported grades of records that were graded here since. For these the sample holds the newer grades.
    brought: BTreeMap<String, Brought>,
}

/// The grades that came with an imported record.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub(crate) struct Brought {
    pub call: Option<String>,
    /// Whose call it was in the crew.
    pub position: Option<String>,
    pub review: Option<String>,
    /// Whether a first look at full speed would have shown it.
    pub plain: Option<bool>,
}

/// What people did with records and precedents.
#[derive(Debug, Clone, Default)]
pub(crate) struct Acts {
    /// By record.
    pub graded: BTreeMap<String, Graded>,
    /// Each with the log that holds it.
    pub precedents: Vec<(Named, Precedent)>,
}

impl Held {
    pub(super) fn read(weekly: &Weekly) -> Result<Held, Error> {
        let paths: Vec<PathBuf> = weekly.logs.iter().map(|named| named.path.clone()).collect();
        let Taken { sample, logs, home } = logs::read(&paths, |_| {})?;
        let editions = Editions::of(&sample, &logs)?;
        let shown = if weekly.numbers { numbered(&sample) } else { BTreeMap::new() };
        let found = with_numbers(figures(&sample, &editions), &shown);
        let facts = AllFacts::of(&sample, &editions);
        let row = sample.rows.iter().enumerate().map(|(at, row)| (row.id().to_owned(), at)).collect();
        let weeks: BTreeSet<u32> = sample.rows.iter().filter_map(|row| row.week).collect();
        let named = |log: &Reader| weekly.logs.iter().find(|named| named.path == log.path()).cloned();
        let named: Vec<Named> = logs.iter().filter_map(named).collect();
        let acts = Acts::read(&logs, &named)?;
        let brought = Brought::read(&logs, &acts)?;
        Ok(Held {
            offered: offered::all(&sample, &editions),
            sample,
            editions,
            facts,
            found,
            shown,
            weeks: weeks.into_iter().collect(),
            acts,
            row,
            home,
            logs: named,
            brought,
        })
    }

    pub(super) fn figures_of(&self, week: u32) -> Audit {
        with_numbers(figures(&self.sample.of_week(week), &self.editions), &self.shown)
    }

    /// Index of a record in the sample.
    pub(super) fn row(&self, record: &str) -> Option<usize> {
        self.row.get(record).copied()
    }

    pub(super) fn record(&self, id: &str) -> Option<&Row> {
        self.row(id).map(|at| &self.sample.rows[at])
    }

    /// The log that holds a record; `None` if it came from a file of records.
    pub(super) fn home(&self, record: &str) -> Option<&Named> {
        self.logs.get(*self.home.get(record)?)
    }

    pub(super) fn brought(&self, row: &Row) -> Brought {
        let word = |name| self.sample.text(name).to_owned();
        self.brought.get(row.id()).cloned().unwrap_or_else(|| Brought {
            call: row.grades.call.map(word),
            position: row.grades.position.map(word),
            review: row.grades.review.map(word),
            plain: row.grades.plain,
        })
    }

    /// The title of a question.
    pub(super) fn title<'a>(&'a self, tree: &'a str) -> &'a str {
        self.editions.tree(tree).map_or(tree, |tree| tree.title.as_str())
    }

    /// The text of a step in the record's own edition, or in any other that has it.
    pub(super) fn asked<'a>(&'a self, row: &Row, step: &'a str) -> &'a str {
        let tree = self.sample.text(row.tree);
        let own = self.editions.book(row.edition).and_then(|book| book.tree(tree));
        let known = own.and_then(|tree| tree.steps.iter().find(|one| one.name == step));
        known.map_or_else(|| self.asks(tree, step), |known| known.ask.as_str())
    }

    /// The text of a step, or its name if no text is known.
    pub(super) fn asks<'a>(&'a self, tree: &str, step: &'a str) -> &'a str {
        let known = self.editions.tree(tree).and_then(|tree| tree.steps.iter().find(|one| one.name == step));
        known.map_or(step, |known| known.ask.as_str())
    }
}

impl Brought {
    /// For the records that were graded in their own logs.
    fn read(logs: &[Reader], acts: &Acts) -> Result<BTreeMap<String, Brought>, Error> {
        let mut brought = BTreeMap::new();
        // If nothing was graded, the sample still holds the imported grades.
        for log in logs.iter().filter(|_| !acts.graded.is_empty()) {
            let imported = records::imported(log)?;
            for record in imported.into_iter().filter(|record| acts.graded.contains_key(&record.id)) {
                let word = |value: &serde_json::Value| value.as_str().map(str::to_owned);
                let grades = Brought {
                    call: word(&record.grade),
                    position: record.crew_position.clone(),
                    review: word(&record.review_grade),
                    plain: record.plain.as_bool(),
                };
                brought.insert(record.id, grades);
            }
            // A review of this log came with no grades.
            for id in acts.graded.keys() {
                brought.entry(id.clone()).or_default();
            }
        }
        Ok(brought)
    }
}

impl Acts {
    fn read(logs: &[Reader], named: &[Named]) -> Result<Acts, Error> {
        let mut acts = Acts::default();
        for (log, named) in logs.iter().zip(named) {
            acts.graded.extend(grades::all(log)?);
            let all = precedents::all(log)?;
            acts.precedents.extend(all.into_iter().map(|one| (named.clone(), one)));
        }
        Ok(acts)
    }
}
