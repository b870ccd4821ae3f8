//! Ratings of units by raters, gathered by pattern so that those of a million units stay small.

use crate::Error;
use std::collections::{BTreeMap, BTreeSet};
use std::io::Read;

/// Ratings of many units. A category is an index into `categories`, which rise: as numbers where all are numbers,
/// else as text.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Ratings {
    pub(crate) categories: Vec<String>,
    /// How many raters there are columns for.
    pub(crate) raters: usize,
    /// Each pattern of one unit, one place a rater, with how many units have it.
    pub(crate) patterns: BTreeMap<Vec<Option<u32>>, u64>,
}

/// Most columns of raters: more are no panel, but a table the wrong way round.
const MOST_RATERS: usize = 1_000;

impl Ratings {
    /// Ratings by name: one list a unit, one place a rater.
    pub(crate) fn of<'a>(units: impl IntoIterator<Item = Vec<Option<&'a str>>>) -> Ratings {
        Ratings::weighted(units.into_iter().map(|unit| (unit, 1)))
    }

    /// As [`Ratings::of`], each list with its number of units.
    pub(crate) fn weighted<'a>(units: impl IntoIterator<Item = (Vec<Option<&'a str>>, u64)>) -> Ratings {
        let mut counted: BTreeMap<Vec<Option<&'a str>>, u64> = BTreeMap::new();
        for (unit, weight) in units {
            *counted.entry(unit).or_insert(0) += weight;
        }
        let names: BTreeSet<&str> = counted.keys().flatten().flatten().copied().collect();
        let (categories, places) = ranked(&names);
        let raters = counted.keys().map(Vec::len).max().unwrap_or(0);
        let mut patterns = BTreeMap::new();
        for (unit, weight) in counted {
            let mut pattern: Vec<Option<u32>> =
                unit.iter().map(|rating| rating.and_then(|name| places.get(name).copied())).collect();
            pattern.resize(raters, None);
            *patterns.entry(pattern).or_insert(0) += weight;
        }
        Ratings { categories, raters, patterns }
    }

    /// Reads a table: a header; the first column is the item, then one column a rater; an empty cell is not rated.
    ///
    /// # Errors
    /// [`Error::Table`], or [`Error::Line`] where the header does not fit.
    pub fn read(from: impl Read) -> Result<Ratings, Error> {
        let mut table = csv::ReaderBuilder::new().trim(csv::Trim::All).from_reader(from);
        let raters = table.headers()?.len().saturating_sub(1);
        if raters == 0 {
            let message = "a header is wanted: the item, then one column a rater".to_owned();
            return Err(Error::Line { line: 1, message });
        }
        if raters > MOST_RATERS {
            let message =
                format!("{raters} raters: at most {MOST_RATERS} columns; is the table the wrong way round?");
            return Err(Error::Line { line: 1, message });
        }
        let mut rows = Vec::new();
        for row in table.records() {
            rows.push(row?);
        }
        Ok(Ratings::of(
            rows.iter()
                .map(|row| row.iter().skip(1).map(|cell| (!cell.is_empty()).then_some(cell)).collect()),
        ))
    }

    /// The pairable units, which two raters or more rated, by pattern: the ratings, and how many units.
    pub(crate) fn pairable(&self) -> Vec<(Vec<u32>, u64)> {
        let mut pairable: BTreeMap<Vec<u32>, u64> = BTreeMap::new();
        for (pattern, weight) in &self.patterns {
            let mut given: Vec<u32> = pattern.iter().flatten().copied().collect();
            if given.len() > 1 {
                given.sort_unstable();
                *pairable.entry(given).or_insert(0) += weight;
            }
        }
        pairable.into_iter().collect()
    }

    /// The contingency table of two raters: row by the first, column by the second. None unless there are two.
    pub(crate) fn contingency(&self) -> Option<Vec<Vec<u64>>> {
        if self.raters != 2 {
            return None;
        }
        let size = self.categories.len();
        let mut table = vec![vec![0; size]; size];
        for (pattern, weight) in &self.patterns {
            if let [Some(first), Some(second)] = pattern.as_slice() {
                table[*first as usize][*second as usize] += weight;
            }
        }
        Some(table)
    }

    /// The categories as numbers, if all of them are.
    pub(crate) fn values(&self) -> Option<Vec<f64>> {
        self.categories.iter().map(|name| number(name)).collect()
    }
}

fn number(name: &str) -> Option<f64> {
    name.parse::<f64>().ok().filter(|value| value.is_finite())
}

/// The categories in order, and the place of each name: two spellings of one number are one category.
fn ranked<'a>(names: &BTreeSet<&'a str>) -> (Vec<String>, BTreeMap<&'a str, u32>) {
    let mut order: Vec<(Option<f64>, &str)> = names.iter().map(|name| (number(name), *name)).collect();
    let numbers = order.iter().all(|(value, _)| value.is_some());
    if numbers {
        order.sort_by(|(a, _), (b, _)| a.partial_cmp(b).unwrap_or(std::cmp::Ordering::Equal));
    }
    let (mut categories, mut places): (Vec<String>, BTreeMap<&str, u32>) = (Vec::new(), BTreeMap::new());
    let mut before = None;
    for (value, name) in order {
        if !(numbers && before == Some(value)) {
            categories.push(name.to_owned());
        }
        before = Some(value);
        places.insert(name, categories.len() as u32 - 1);
    }
    (categories, places)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_table_is_read_with_its_gaps_and_numbers_are_one_category_however_spelt() {
        let text = "item,a,b,c\n1,2,2.0,\n2,10,,10\n3,2,10,2\n";
        let read = Ratings::read(text.as_bytes()).expect("a table");
        assert_eq!((read.categories.clone(), read.raters), (vec!["2".to_owned(), "10".to_owned()], 3));
        assert_eq!(read.pairable(), [(vec![0, 0], 1), (vec![0, 0, 1], 1), (vec![1, 1], 1)]);
        assert_eq!(read.values(), Some(vec![2.0, 10.0]));
        assert_eq!(read.contingency(), None);
    }

    #[test]
    fn words_have_no_values_and_two_raters_a_table() {
        let read = Ratings::read("item,a,b\n1,yes,no\n2,yes,yes\n3,no,\n".as_bytes()).expect("a table");
        assert_eq!((read.values(), read.contingency()), (None, Some(vec![vec![0, 0], vec![1, 1]])));
    }

    #[test]
    fn a_header_alone_is_no_rating_and_a_ragged_row_is_refused_with_its_line() {
        assert_eq!(Ratings::read("item,a,b\n".as_bytes()).expect("a table").pairable(), []);
        let wide = format!("item{}\n", ",r".repeat(1_001));
        for (text, part) in [
            ("", "line 1: a header is wanted"),
            ("item\n1\n", "line 1: a header is wanted"),
            ("item,a,b\n1,x\n", "line: 2"),
            (&wide, "1001 raters: at most 1000"),
        ] {
            let fault = Ratings::read(text.as_bytes()).expect_err(text).to_string();
            assert!(fault.contains(part), "{fault}");
        }
    }
}
