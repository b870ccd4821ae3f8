//! The records that an audit is about, each once.

mod duplicates;
pub mod editions;
pub mod interner;
pub mod logs;
pub mod read;
pub mod row;
pub mod rows;

use crate::sample::duplicates::duplicates;
use crate::sample::interner::{Interner, Name};
use crate::sample::row::Row;
use crate::sample::rows::Rows;
use foldhash::HashMap;
use log::exchange::blocks::in_order;
use rayon::prelude::*;
use std::hash::{Hash, Hasher};
use std::sync::OnceLock;
use std::sync::atomic::{AtomicUsize, Ordering};

/// Rows as one core read them: their interner, and blocks of them with the blocks' numbers.
type Part = (Interner, Vec<(usize, Vec<Row>)>);

/// Records of one or more logs. Rows are added by its own functions alone, so that what holds of all rows (shared reviews,
/// second looks) is found once and kept.
#[derive(Debug, Default)]
pub struct Sample {
    pub(crate) interner: Interner,
    /// As they came; each id once.
    pub rows: Rows,
    /// Records that were left out because their id had come before.
    pub repeated: u64,
    shared: OnceLock<Vec<Option<usize>>>,
    again: OnceLock<Vec<(usize, usize)>>,
    plays: OnceLock<Vec<Vec<usize>>>,
}

impl Sample {
    /// Adds rows that were read with interners of their own, in the order of the blocks' numbers.
    pub(crate) fn add(&mut self, parts: Vec<Part>) {
        let moved = self.interner.merge(&parts.iter().map(|(interner, _)| interner).collect::<Vec<_>>());
        let parts = parts.into_par_iter().zip(moved);
        let blocks = parts.flat_map(|((_, blocks), moved)| {
            let translated = move |(number, mut rows): (usize, Vec<Row>)| {
                rows.iter_mut().for_each(|row| row.translate(&moved));
                (number, rows)
            };
            blocks.into_par_iter().map(translated)
        });
        let blocks: Vec<(usize, Vec<Row>)> = blocks.collect();
        in_order(blocks.into_iter()).for_each(|rows| self.rows.push(rows));
        self.forget();
    }

    /// The text of a name.
    pub fn text(&self, name: Name) -> &str {
        self.interner.names.text(name)
    }

    /// The name of a text, if a record has it.
    pub fn name(&self, text: &str) -> Option<Name> {
        self.interner.names.get(text)
    }

    fn forget(&mut self) {
        (self.shared, self.again, self.plays) = (OnceLock::new(), OnceLock::new(), OnceLock::new());
    }

    /// Leaves out all records but the first of each id.
    pub fn once(&mut self) {
        let ids = self.rows.iter().zip(0..).map(|(row, place)| (row.id_hash(), place));
        let mut again: Vec<usize> = duplicates(ids, |place| self.rows[place].id())
            .into_iter()
            .flat_map(|same| same.into_iter().skip(1))
            .collect();
        if again.is_empty() {
            return;
        }
        again.sort_unstable();
        self.repeated += again.len() as u64;
        let (mut again, mut place) = (again.into_iter().peekable(), 0..);
        self.rows.retain(|_| again.next_if_eq(&place.next().unwrap_or(usize::MAX)).is_none());
        self.forget();
    }

    /// The records of one week alone.
    #[must_use]
    pub fn of_week(&self, week: u32) -> Sample {
        let rows = self.rows.iter().filter(|row| row.week == Some(week)).cloned().collect();
        Sample { interner: self.interner.clone(), rows, ..Sample::default() }
    }

    /// The rulings of games: decided, and no second looks.
    pub fn rulings(&self) -> impl Iterator<Item = &Row> {
        self.rows.iter().filter(|row| row.is_ruling())
    }

    /// For each row the review that it shares with other rows, named by the place of that review's first; none where a
    /// row is a review by itself, or a second look.
    pub fn shared_reviews(&self) -> &[Option<usize>] {
        self.shared.get_or_init(|| self.find_shared())
    }

    fn find_shared(&self) -> Vec<Option<usize>> {
        let of_games = self.rows.iter().zip(0..).filter(|(row, _)| row.again_of().is_none());
        let reviews = of_games.filter_map(|(row, place)| Some((row.review_hash()?, place)));
        let mut shared = vec![None; self.rows.len()];
        for same in duplicates(reviews, |place| self.rows[place].review().unwrap_or("")) {
            same.iter().for_each(|place| shared[*place] = same.first().copied());
        }
        shared
    }

    /// The first row of each review of a game, so that a review counts once.
    pub fn reviews(&self) -> Vec<&Row> {
        let rows = self.rows.iter().zip(self.shared_reviews()).enumerate();
        rows.filter(|(at, (row, shared))| row.again_of().is_none() && shared.is_none_or(|of| of == *at))
            .map(|(_, (row, _))| row)
            .collect()
    }

    /// Each blind re-review after its original, as places in `rows`; one whose original is not here is left out.
    pub fn again(&self) -> &[(usize, usize)] {
        self.again.get_or_init(|| self.find_again())
    }

    /// The plays that were looked at again, as places in `rows`: the first look, and the blind ones in order.
    pub fn plays(&self) -> &[Vec<usize>] {
        self.plays.get_or_init(|| {
            let mut pairs = self.again().to_vec();
            pairs.sort_unstable();
            let plays = pairs.chunk_by(|(one, _), (other, _)| one == other);
            let looks = |pairs: &[(usize, usize)]| {
                let first = pairs.iter().take(1).map(|(original, _)| *original);
                first.chain(pairs.iter().map(|(_, again)| *again)).collect()
            };
            plays.map(looks).collect()
        })
    }

    fn find_again(&self) -> Vec<(usize, usize)> {
        let looks: Vec<(Hashed<'_>, usize)> = self
            .rows
            .iter()
            .zip(0..)
            .filter_map(|(row, place)| {
                Some((Hashed { hash: row.again_of_hash()?, text: row.again_of()? }, place))
            })
            .collect();
        // The place of each original plus one; zero where it is not in the sample.
        let originals: HashMap<Hashed<'_>, AtomicUsize> =
            looks.iter().map(|(of, _)| (*of, AtomicUsize::new(0))).collect();
        self.rows.par_iter().for_each(|(place, row)| {
            let id = Hashed { hash: row.id_hash(), text: row.id() };
            originals.get(&id).map(|original| original.fetch_max(place + 1, Ordering::Relaxed));
        });
        let original = |of| originals.get(of)?.load(Ordering::Relaxed).checked_sub(1);
        let pairs = looks.iter().filter_map(|(of, look)| Some((original(of)?, *look)));
        pairs.filter(|(original, look)| original != look).collect()
    }
}

/// A text that was hashed when it was read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Hashed<'a> {
    hash: u64,
    text: &'a str,
}

impl Hash for Hashed<'_> {
    fn hash<H: Hasher>(&self, state: &mut H) {
        state.write_u64(self.hash);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sample::read::json_lines;

    fn take(sample: &mut Sample, line: &str) {
        let line = line.replace('{', r#"{"edition":"e","tree":"t","call":"c","answers":[],"outcome":"stands","called_at":"2026-05-09T19:42:11Z","duration_s":1,"#);
        json_lines(sample, "x", line.replace("[]", "{}").as_bytes(), |_| {}).expect("a record");
    }

    fn sample(lines: &[&str]) -> Sample {
        let mut sample = Sample::default();
        lines.iter().for_each(|line| take(&mut sample, line));
        sample.once();
        sample
    }

    #[test]
    fn a_record_counts_once_and_a_second_look_is_no_ruling() {
        let sample = sample(&[
            r#"{"id":"a","review":"r"}"#,
            r#"{"id":"b","review":"r"}"#,
            r#"{"id":"a","review":"s"}"#,
            r#"{"id":"c","again_of":"a"}"#,
            r#"{"id":"d","again_of":"elsewhere"}"#,
        ]);
        assert_eq!((sample.rows.len(), sample.repeated), (4, 1));
        assert_eq!((sample.rulings().count(), sample.reviews().len()), (2, 1));
        assert_eq!((sample.again(), sample.plays()), (&[(0, 2)][..], &[vec![0, 2]][..]));
        let mut more = sample;
        take(&mut more, r#"{"id":"e","again_of":"b"}"#);
        assert_eq!(more.again(), [(0, 2), (1, 4)], "what was found before is found anew");
        assert_eq!(more.plays(), [[0, 2], [1, 4]]);
    }
}
