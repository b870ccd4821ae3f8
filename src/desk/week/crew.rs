//! The positions of the crew, which can be picked by number. Their names come from the records: each league has its
//! own.

use super::held::{Acts, Held};
use review::grade::fold::Graded;
use std::collections::BTreeSet;

/// The positions in the records, and the line that asks for one.
#[derive(Debug, Clone, Default)]
pub(super) struct Crew {
    positions: Vec<String>,
    /// The label of that line, with the numbers.
    pub asks: String,
}

impl Crew {
    /// The positions in all records and grades, sorted by name.
    pub(super) fn of(held: &Held, acts: &Acts) -> Crew {
        let read = held.sample.rows.iter().filter_map(|row| row.grades.position);
        let read: BTreeSet<&str> = read.map(|name| held.sample.text(name)).collect();
        let given = acts.graded.values().filter_map(Graded::position);
        let all: BTreeSet<&str> = read.into_iter().chain(given).collect();
        let picks: Vec<String> =
            (1..).zip(&all).map(|(number, position)| format!("{number} {position}")).collect();
        let picks = if picks.is_empty() { String::new() } else { format!("{}, or ", picks.join(" · ")) };
        Crew {
            positions: all.into_iter().map(str::to_owned).collect(),
            asks: format!(
                "Whose call it was: {picks}the position in words; to change it, add a colon and the reason"
            ),
        }
    }

    /// The position that was typed: by its number, from 1, or in words.
    pub(super) fn picked<'a>(&'a self, typed: &'a str) -> &'a str {
        let place = typed.parse::<usize>().ok().and_then(|number| number.checked_sub(1));
        place.and_then(|place| self.positions.get(place)).map_or(typed, String::as_str)
    }
}
