//! A season of the invented league, from a seed: the engine holds every review, on a play whose truth is known.
//!
//! It serves as the demo's season and as the instrument that measures the audit: everything planted is listed, and so
//! is every honest mistake. A season without plants has no slow official, no step that splits people and no rule
//! change, so anything that the audit reports there is a false alarm.

mod plan;
mod plants;
mod play;
mod reading;
mod review;
mod week;

use self::plan::Plan;
use formats::record::Record;
use log::chain::edition::RuleText;
use rules::book::Book;
use scene::dice::Dice;

/// Whether anything is planted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Plants {
    /// People only make honest mistakes.
    None,
    /// Everything that [`Planted`] lists.
    All,
}

/// The records of a season, with the truth about them.
#[derive(Debug, Clone)]
pub struct Season {
    /// In the order in which the reviews were called; blind re-reviews follow their week.
    pub records: Vec<Record>,
    /// One edition, or the earlier and the later one.
    pub rules: Vec<RuleText>,
    pub planted: Planted,
    /// Records with an honest mistake: an answer that is not what the play shows. They are not planted; a difference
    /// from another record that comes from one is real.
    pub slips: Vec<String>,
}

/// What was planted in a season, by the ids of records.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Planted {
    /// Records of the same facts with different outcomes.
    pub pairs: Vec<[String; 2]>,
    /// Records that hold an answer against a measurement.
    pub overrides: Vec<String>,
    /// Records whose outcome is not what their own edition computes.
    pub miscomputed: Vec<String>,
    /// The official who takes longer than everyone else.
    pub slow: Option<String>,
    /// The step whose wording splits people.
    pub splitting: Option<SplittingStep>,
    pub change: Option<Change>,
}

/// A step that each official reads in their own way.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SplittingStep {
    pub tree: String,
    pub step: String,
}

/// A rule change within the season.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Change {
    /// The first week under `since`.
    pub from_week: u32,
    /// The earlier edition.
    pub before: String,
    /// The later edition.
    pub since: String,
    /// The question that changes.
    pub tree: String,
    pub step: String,
    /// The records whose outcome depends on it.
    pub records: Vec<String>,
}

/// Plays the season of this seed.
pub fn season(seed: u64, plants: Plants) -> Season {
    let plan = Plan::read();
    let [before, since] = plan.rules();
    let rules = match plants {
        Plants::None => vec![since],
        Plants::All => vec![before, since],
    };
    let book = |rules: &RuleText| rules.load().expect("both editions are built in, and a test checks them");
    let books: Vec<Book> = rules.iter().map(book).collect();
    let mut draw = Dice::new(seed);
    let mut season = Season { records: Vec::new(), rules, planted: Planted::default(), slips: Vec::new() };
    let slow = match plants {
        Plants::None => None,
        Plants::All => Some(draw.below(plan.officials.len())),
    };
    let rota = week::rota(&plan, &mut draw);
    let mut plays = plants::Placed::default();
    for number in 1..=plan.weeks {
        // INVARIANT: there is at least one edition.
        let book = if number < plan.change.from_week { books.first() } else { books.last() };
        let Some(book) = book else { break };
        let week = week::Week { plan: &plan, book, number, plants, slow, rota: &rota };
        week.play(&mut draw.split(), &mut season, &mut plays);
    }
    if plants == Plants::All {
        plants::list(&plan, slow, plays, &books, &mut season);
    }
    season
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::{BTreeMap, BTreeSet};

    #[test]
    fn a_season_has_360_reviews_of_36_games_and_is_the_same_each_time() {
        let first = season(1, Plants::All);
        assert_eq!(first.records.len(), 360);
        let games: BTreeSet<_> = first.records.iter().map(|record| record.game.clone()).collect();
        assert_eq!(games.len(), 36);
        let ids: BTreeSet<_> = first.records.iter().map(|record| &record.id).collect();
        assert_eq!(ids.len(), 360, "every record has a name of its own");
        assert_eq!(first.records, season(1, Plants::All).records);
        assert_ne!(first.records, season(2, Plants::All).records);
    }

    // PROPERTY: a season holds what was planted, and nothing else against the rules of proof
    #[test]
    fn what_is_planted_is_in_the_records() {
        let season = season(1, Plants::All);
        let by_id: BTreeMap<&str, &Record> =
            season.records.iter().map(|record| (record.id.as_str(), record)).collect();
        let Planted { pairs, overrides, miscomputed, slow, splitting, change } = &season.planted;
        assert_eq!(pairs.len(), 4);
        for [one, other] in pairs {
            let (one, other) = (by_id[one.as_str()], by_id[other.as_str()]);
            assert_eq!((&one.tree, &one.call), (&other.tree, &other.call));
            assert_ne!(one.outcome, other.outcome, "{} and {}", one.id, other.id);
        }
        assert_eq!((overrides.len(), miscomputed.len()), (1, 1));
        let overridden: Vec<&str> = season
            .records
            .iter()
            .filter(|record| !record.overrides.is_empty())
            .map(|record| record.id.as_str())
            .collect();
        assert_eq!(overridden, *overrides, "no other record has one");
        assert!(slow.is_some() && splitting.is_some());
        let change = change.as_ref().expect("a change");
        assert_eq!(change.records.len(), 5);
        let outcomes: Vec<&str> =
            change.records.iter().map(|id| by_id[id.as_str()].outcome.as_str()).collect();
        // 0.45 s is enough for the earlier edition (0.4 s) and too little for the later one (0.5 s).
        assert_eq!(outcomes, ["reversed", "reversed", "reversed", "confirmed", "confirmed"]);
        let editions: BTreeSet<_> = season.records.iter().map(|record| &record.edition).collect();
        assert_eq!(editions.len(), 2);
    }

    #[test]
    fn every_graded_call_says_whose_it_was_and_nothing_else_does() {
        let season = season(1, Plants::All);
        let mut positions: BTreeSet<&str> = BTreeSet::new();
        for record in &season.records {
            assert_eq!(record.grade.is_string(), record.crew_position.is_some(), "{}", record.id);
            positions.extend(record.crew_position.as_deref());
        }
        assert_eq!(
            positions.into_iter().collect::<Vec<_>>(),
            ["back judge", "line judge", "referee", "umpire"]
        );
    }

    #[test]
    fn a_season_without_plants_has_one_edition_and_no_override() {
        let season = season(3, Plants::None);
        assert_eq!(season.records.len(), 360);
        assert_eq!(season.planted, Planted::default());
        assert!(season.records.iter().all(|record| record.overrides.is_empty()));
        let editions: BTreeSet<_> = season.records.iter().map(|record| &record.edition).collect();
        assert_eq!(editions.len(), 1);
        assert!(season.slips.len() < 36, "{}", season.slips.len());
    }
}
