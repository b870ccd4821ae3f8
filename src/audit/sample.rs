//! The records that an audit is about, each once.

use crate::audit::names::{Moved, Names};
use crate::audit::row::Row;
use crate::audit::rows::Rows;
use foldhash::{HashMap, HashMapExt, HashSet, HashSetExt};
use rayon::prelude::*;
use std::hash::BuildHasher;
use std::sync::OnceLock;

/// Records of one or more logs. Rows come in by its own functions alone: what it knows of them all is found once.
#[derive(Debug, Default)]
pub struct Sample {
    /// Their names.
    pub names: Names,
    /// The records, as they came; an id once.
    pub rows: Rows,
    /// How many came again and were left out.
    pub repeated: u64,
    shared: OnceLock<Vec<Option<usize>>>,
    again: OnceLock<Vec<(usize, usize)>>,
}

impl Sample {
    /// Takes over blocks of rows that have names of their own, in their order.
    pub fn take(&mut self, mut parts: Vec<(Names, Vec<Row>)>) {
        // Names are numbered in the order of the records, whichever core was first.
        let moved: Vec<Moved> = parts.iter().map(|(names, _)| self.names.take(names)).collect();
        parts.par_iter_mut().zip(&moved).for_each(|((_, rows), moved)| {
            rows.iter_mut().for_each(|row| row.rename(moved));
        });
        parts.into_iter().for_each(|(_, rows)| self.rows.push(rows));
        self.forget();
    }

    fn forget(&mut self) {
        (self.shared, self.again) = (OnceLock::new(), OnceLock::new());
    }

    /// Leaves out all records but the first of each id.
    pub fn once(&mut self) {
        let halves = foldhash::fast::RandomState::default();
        let (mut again, of_odd) =
            rayon::join(|| self.again_among(&halves, 0), || self.again_among(&halves, 1));
        again.extend(of_odd);
        again.sort_unstable();
        if again.is_empty() {
            return;
        }
        self.repeated += again.len() as u64;
        let (mut again, mut place) = (again.into_iter().peekable(), 0..);
        self.rows.retain(|_| again.next_if_eq(&place.next().unwrap_or(usize::MAX)).is_none());
        self.forget();
    }

    /// The places of rows whose id has come before; of all ids, the half whose hash has this last bit.
    fn again_among(&self, hasher: &impl BuildHasher, half: u64) -> Vec<usize> {
        let mut seen: HashSet<&str> = HashSet::with_capacity(self.rows.len() / 2);
        let rows = self.rows.iter().enumerate();
        let of_half = rows.filter(|(_, row)| hasher.hash_one(&*row.id) & 1 == half);
        of_half.filter(|(_, row)| !seen.insert(&row.id)).map(|(place, _)| place).collect()
    }

    /// The records of one week alone.
    #[must_use]
    pub fn of_week(&self, week: u32) -> Sample {
        let rows = self.rows.iter().filter(|row| row.week == Some(week)).cloned().collect();
        Sample { names: self.names.clone(), rows, ..Sample::default() }
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
        let mut first: HashMap<&str, usize> = HashMap::with_capacity(self.rows.len());
        let mut shared = vec![None; self.rows.len()];
        for (at, row) in self.rows.iter().enumerate().filter(|(_, row)| row.again_of.is_none()) {
            let Some(review) = row.review.as_deref() else { continue };
            let of = *first.entry(review).or_insert(at);
            if of != at {
                (shared[of], shared[at]) = (Some(of), Some(of));
            }
        }
        shared
    }

    /// One row for each review of a game, its first: what is said of a review is said once.
    pub fn reviews(&self) -> Vec<&Row> {
        let rows = self.rows.iter().zip(self.shared_reviews()).enumerate();
        rows.filter(|(at, (row, shared))| row.again_of.is_none() && shared.is_none_or(|of| of == *at))
            .map(|(_, (row, _))| row)
            .collect()
    }

    /// Each blind re-review beside what it looks at again, as places in `rows`; one whose original is not here is
    /// left out.
    pub fn again(&self) -> &[(usize, usize)] {
        self.again.get_or_init(|| self.find_again())
    }

    fn find_again(&self) -> Vec<(usize, usize)> {
        let wanted: HashSet<&str> = self.rows.iter().filter_map(|row| row.again_of.as_deref()).collect();
        let rows = self.rows.iter().enumerate();
        let places: HashMap<&str, usize> =
            rows.map(|(at, row)| (&*row.id, at)).filter(|(id, _)| wanted.contains(id)).collect();
        let pair = |(at, row): (usize, &Row)| Some((*places.get(row.again_of.as_deref()?)?, at));
        let pairs = self.rows.iter().enumerate().filter_map(pair);
        pairs.filter(|(original, again)| original != again).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sample(lines: &[&str]) -> Sample {
        let mut sample = Sample::default();
        for line in lines {
            let mut names = Names::default();
            let line = line.replace('{', r#"{"edition":"e","tree":"t","call":"c","answers":[],"outcome":"stands","called_at":"2026-05-09T19:42:11Z","duration_s":1,"#);
            let line = line.replace("[]", "{}");
            let row = Row::read(&line, &mut names).expect("a record");
            sample.take(vec![(names, vec![row])]);
        }
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
        assert_eq!(sample.again(), [(0, 2)]);
        let mut more = sample;
        let mut names = Names::default();
        let row = Row { again_of: Some("b".into()), id: "e".into(), ..more.rows[0].clone() };
        names.take(&more.names);
        more.take(vec![(names, vec![row])]);
        assert_eq!(more.again(), [(0, 2), (1, 4)], "what was found before is found anew");
    }
}
