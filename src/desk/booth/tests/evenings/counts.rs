//! What the evenings were made of.

use std::collections::BTreeMap;
use std::fmt;

#[derive(Debug, Default)]
pub(super) struct Counts(BTreeMap<String, usize>);

impl Counts {
    pub(super) fn one(&mut self, what: &str) {
        *self.0.entry(what.to_owned()).or_insert(0) += 1;
    }

    pub(super) fn of(&self, what: &str) -> usize {
        self.0.get(what).copied().unwrap_or(0)
    }

    pub(super) fn add(&mut self, other: &Counts) {
        for (what, count) in &other.0 {
            *self.0.entry(what.clone()).or_insert(0) += count;
        }
    }
}

impl fmt::Display for Counts {
    fn fmt(&self, to: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.iter().try_for_each(|(what, count)| writeln!(to, "{count:>7}  {what}"))
    }
}
