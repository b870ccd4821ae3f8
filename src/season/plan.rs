//! The season as data: `demo/season/season.ron`, and the edition that its first half is played under.

use log::chain::edition::RuleText;
use rules::book::shipped;
use rules::book::text::{Source, Sources};
use serde::Deserialize;
use std::collections::BTreeMap;

const PLAN: &str = include_str!("../../demo/season/season.ron");
/// The file that the rule change edits, as it was before.
const EARLIER: &str = include_str!("../../demo/season/earlier/linebacker-moving.ron");

/// Who plays, who reviews, and how often each question comes up.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Plan {
    pub book: String,
    pub change: RuleChange,
    pub weeks: u32,
    pub reviews_a_game: usize,
    pub re_reviews_a_week: usize,
    /// Of week 1, in milliseconds since 1970-01-01 UTC.
    pub first_kick_off_ms: i64,
    pub teams: Vec<TeamPlan>,
    pub officials: Vec<String>,
    /// The positions of the crew, each with the questions in which that position may have made the call.
    pub crew: BTreeMap<String, Vec<String>>,
    /// The last one is poor.
    pub cameras: Vec<String>,
    /// Weights, by question.
    pub questions: BTreeMap<String, u32>,
    /// Facts that are the same in every play of a question, by question and step.
    pub usual: BTreeMap<String, BTreeMap<String, Known>>,
    pub splitting: StepName,
    pub slow_factor: f64,
    pub miscomputed_week: u32,
    pub plants: Vec<Plant>,
}

/// A play with facts that are fixed in advance.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Plant {
    pub week: u32,
    pub role: Role,
    pub tree: String,
    pub call: String,
    /// Down, distance and spot.
    pub snap: (u8, String, String),
    pub facts: BTreeMap<String, Known>,
    #[serde(default)]
    pub insists: Option<Insists>,
}

/// What a plant is there for.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
pub(super) enum Role {
    /// One of two with this name: the same facts, another outcome.
    Pair(String),
    /// Reviewed again, with another outcome.
    Again,
    /// An answer against a measurement.
    Override,
    /// The rule change decides it.
    Edge,
}

/// The truth about a step.
#[derive(Debug, Clone, Deserialize)]
pub(super) enum Known {
    Is(String),
    /// By how much the first option holds, and the error of one measurement.
    Measured(f64, f64),
}

/// An answer that an official gives whatever the play shows.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Insists {
    pub step: String,
    pub answer: String,
    /// A person answers against the measurement, which the record keeps as well.
    pub attested: bool,
    /// Where the answer contradicts a computed verdict.
    #[serde(default)]
    pub reason: Option<String>,
}

#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct RuleChange {
    pub from_week: u32,
    pub file: String,
    pub tree: String,
    pub step: String,
}

#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct TeamPlan {
    pub code: String,
    pub name: String,
    pub short: String,
}

#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct StepName {
    pub tree: String,
    pub step: String,
}

impl Plan {
    pub(super) fn read() -> Plan {
        ron::from_str(PLAN).expect("the season's plan is built in, and a test reads it")
    }

    /// The rules before the change and after it.
    pub(super) fn rules(&self) -> [RuleText; 2] {
        let since = shipped::sources(&self.book).expect("the plan's book is built in");
        let text = |file: &Source| match file.path == self.change.file {
            true => EARLIER.to_owned(),
            false => file.text.clone(),
        };
        let before =
            since.files().iter().map(|file| Source { path: file.path.clone(), text: text(file) }).collect();
        [Sources::new(before), since].map(|sources| RuleText::of(&self.book, &sources))
    }

    /// The pairings of a week, home first, by the circle method; home and away alternate every round.
    pub(super) fn pairings(&self, week: u32) -> Vec<[usize; 2]> {
        let teams = self.teams.len();
        let round = week as usize - 1;
        let seat = |place: usize| match place {
            0 => 0,
            place => 1 + (place - 1 + round) % (teams - 1),
        };
        let pair = |place: usize| [seat(place), seat(teams - 1 - place)];
        let turned = |[one, other]: [usize; 2]| match (round / (teams - 1) + round).is_multiple_of(2) {
            true => [one, other],
            false => [other, one],
        };
        (0..teams / 2).map(pair).map(turned).collect()
    }
}
