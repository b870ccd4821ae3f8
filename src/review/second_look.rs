//! Second looks: a sample of ruled questions is drawn, and another official answers them without knowing the ruling.
//!
//! Whether two looks agree shows where the *wording* of a step splits people. Nothing here changes a ruling, and no
//! official is measured by it: they do not know whom they agree with.

pub mod decide;
pub mod fold;

use super::event::Found;
use sha2::{Digest, Sha256};
use std::collections::{BTreeMap, BTreeSet};

/// A ruled question that can be looked at again.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Candidate {
    pub record: String,
    pub tree: String,
    /// The pseudonym of the official who ruled.
    pub official: String,
}

/// The questions to draw from, and the second looks so far.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Looks {
    /// Every ruled question that can be looked at again.
    pub candidates: Vec<Candidate>,
    /// Record and pseudonym of every second look, here or in an imported log.
    pub again: BTreeSet<(String, String)>,
}

/// The request for a sample.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Wanted {
    pub count: usize,
    pub seed: u64,
    pub question: Option<String>,
    /// Who will look; leaves out what they ruled or have looked at again.
    pub official: Option<String>,
}

/// A question of a sheet with its new answers.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Given {
    /// On the sheet, from 1.
    pub number: u32,
    /// The options still possible, by step; `unclear` for all of them.
    pub answers: BTreeMap<String, Vec<String>>,
    /// The result of the answers under the edition of the ruling.
    pub found: Found,
    /// The step that would settle soonest, if one is left.
    pub next: Option<String>,
}

/// One thing that happened to a sheet. `Drawn` holds the ids of its records, in the order of their numbers on the
/// sheet. Where a question or an official was named, it was drawn only from that question, or without what that
/// official had ruled or looked at again.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Event {
    Drawn { seed: u64, question: Option<String>, official: Option<String>, records: Vec<String> },
    Entered(Box<Entered>),
}

/// A second look that was entered.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Entered {
    /// On the sheet, from 1.
    pub number: u32,
    pub record: String,
    /// The options still possible, by step; `unclear` for all of them.
    pub answers: BTreeMap<String, Vec<String>>,
    /// The engine that computed `found`.
    pub engine: u32,
    /// The result of the answers under the edition of the ruling.
    pub found: Found,
}

/// An event with its stamp and who did it.
pub type Stamped = crate::stamp::Signed<Event>;

impl Wanted {
    /// The event that these records were drawn.
    pub fn drawn(self, records: Vec<String>) -> Event {
        let Wanted { seed, question, official, .. } = self;
        Event::Drawn { seed, question, official, records }
    }
}

impl Looks {
    /// A pseudonym in the spelling of the records, if they have that person.
    pub fn spelt(&self, name: &str) -> String {
        let again = self.again.iter().map(|(_, by)| by);
        let mut known = self.candidates.iter().map(|one| &one.official).chain(again);
        known.find(|known| same_person(known, name)).map_or_else(|| name.to_owned(), Clone::clone)
    }
}

/// Draws at most `count` records, one of each question in turn, so that rare questions come as often as common ones.
///
/// Chance is the hash of the seed and the record's name, so the draw does not depend on the order of the log.
pub fn draw(from: &[&Candidate], count: usize, seed: u64) -> Vec<String> {
    let mut by_tree: BTreeMap<&str, Vec<(Lot, &str)>> = BTreeMap::new();
    for one in from {
        by_tree.entry(&one.tree).or_default().push((lot(seed, "drawn", &one.record), &one.record));
    }
    let mut turns: Vec<(usize, Lot, Lot, &str)> = Vec::with_capacity(from.len());
    for (tree, mut lots) in by_tree {
        lots.sort_unstable();
        lots.dedup();
        let of_tree = lot(seed, "question", tree);
        turns.extend(lots.into_iter().enumerate().map(|(turn, (lot, record))| (turn, of_tree, lot, record)));
    }
    turns.sort_unstable();
    turns.truncate(count);
    // The number on the sheet must not reveal how rare a question is.
    let mut drawn: Vec<(Lot, &str)> =
        turns.into_iter().map(|(.., record)| (lot(seed, "number", record), record)).collect();
    drawn.sort_unstable();
    drawn.into_iter().map(|(_, record)| record.to_owned()).collect()
}

type Lot = [u8; 32];

fn lot(seed: u64, of: &str, name: &str) -> Lot {
    let mut hash = Sha256::new();
    hash.update(seed.to_be_bytes());
    hash.update((of.len() as u64).to_be_bytes());
    hash.update(of);
    hash.update(name);
    hash.finalize().into()
}

/// Whether two pseudonyms are one person's: spaces, signs, capitals and leading zeros do not count, so that `booth 7`
/// cannot look at what `booth-07` ruled.
pub(crate) fn same_person(one: &str, other: &str) -> bool {
    parts(one) == parts(other)
}

fn parts(name: &str) -> Vec<String> {
    let letters: Vec<char> = name.chars().flat_map(char::to_lowercase).collect();
    let alike =
        |a: &char, b: &char| a.is_numeric() == b.is_numeric() && a.is_alphanumeric() == b.is_alphanumeric();
    let words = letters.chunk_by(alike).filter(|word| word.iter().any(|letter| letter.is_alphanumeric()));
    words.map(|word| word.iter().collect::<String>().trim_start_matches('0').to_owned()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn candidate(record: String, tree: &str) -> Candidate {
        Candidate { record, tree: tree.to_owned(), official: "booth-01".to_owned() }
    }

    fn pool() -> Vec<Candidate> {
        let common = (0..50).map(|at| candidate(format!("common {at}"), "common"));
        let seldom = (0..3).map(|at| candidate(format!("seldom {at}"), "seldom"));
        common.chain(seldom).chain([candidate("rare".to_owned(), "rare")]).collect()
    }

    #[test]
    fn a_rare_question_comes_as_often_as_a_common_one_until_it_is_used_up() {
        let pool = pool();
        let from: Vec<&Candidate> = pool.iter().collect();
        for seed in 0..20 {
            let drawn = draw(&from, 9, seed);
            let of = |tree: &str| drawn.iter().filter(|record| record.starts_with(tree)).count();
            assert_eq!((of("rare"), of("seldom"), of("common")), (1, 3, 5), "{drawn:?}");
            let three = draw(&from, 3, seed);
            assert!(
                ["rare", "seldom", "common"].iter().all(|tree| three.iter().any(|r| r.starts_with(tree)))
            );
        }
        assert_eq!(draw(&from, 100, 1).len(), 54);
    }

    #[test]
    fn a_draw_hangs_on_its_seed_and_on_no_order() {
        let pool = pool();
        let from: Vec<&Candidate> = pool.iter().collect();
        let backwards: Vec<&Candidate> = pool.iter().rev().collect();
        assert_eq!(draw(&from, 9, 7), draw(&backwards, 9, 7));
        assert_ne!(draw(&from, 9, 7), draw(&from, 9, 8));
    }

    /// Each of 50 comes with probability 5 in 50; four standard errors of 200 draws are 17 around 20.
    #[test]
    fn every_record_of_a_question_comes_alike() {
        let pool = pool();
        let from: Vec<&Candidate> = pool.iter().collect();
        let mut times: BTreeMap<String, u32> = BTreeMap::new();
        for record in (0..200).flat_map(|seed| draw(&from, 9, seed)).filter(|r| r.starts_with("common")) {
            *times.entry(record).or_insert(0) += 1;
        }
        assert!(times.len() == 50 && times.values().all(|times| (3..=37).contains(times)), "{times:?}");
    }

    #[test]
    fn a_pseudonym_is_one_persons_however_it_is_spelt() {
        for (one, other, same) in [
            ("booth-07", "Booth 7", true),
            ("booth07", "booth_007", true),
            ("booth-07", "booth-70", false),
            ("booth-1 1", "booth-11", false),
            ("booth", "booths", false),
        ] {
            assert_eq!(same_person(one, other), same, "{one} {other}");
        }
    }
}
