//! What a case play comes to.

use super::expect::GateJson;
use crate::clock_start::Starts;
use crate::enforce::result::DoneJson;
use crate::situation::{Side, Situation};
use review::case::{Asked, Case, Played};
use review::gate::Gate;
use review::ruling::label;
use rules::book::Book;
use rules::book::tree::{Set, Tree};
use rules::game::enforce::Enforced;
use rules::game::open::Open;
use rules::game::situation;
use schemars::JsonSchema;
use serde::Serialize;
use serde_json::{Map, Value};

/// What a case play comes to.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Result {
    /// The gate's answer.
    pub gate: GateJson,
    /// The rule that a refusal cites.
    pub rule: Option<String>,
    /// Why it is refused.
    pub because: Option<String>,
    /// The outcome of each question, by the book's label.
    pub outcomes: Vec<String>,
    /// The finding that is stated for each question.
    pub findings: Vec<Option<String>>,
    /// The findings still possible for each question.
    pub possible: Vec<Vec<String>>,
    /// Whether each question is moot.
    pub moot: Vec<bool>,
    /// The situation that it leads to; what is not known yet is left out.
    pub after: Value,
    /// How the game clock starts.
    pub clock_starts: Option<Starts>,
    /// Whether a coach won.
    pub won: bool,
    /// The fouls of the play and what became of each.
    pub fouls: Vec<FoulJson>,
    /// Seconds that ran off because a ruling was changed late in a half.
    pub run_off_s: Option<u32>,
    /// What the restart still needs.
    pub open: Vec<String>,
    /// The rules leave it to the referee.
    pub discretion: bool,
}

/// A foul and what became of it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
#[schemars(rename = "Foul")]
pub struct FoulJson {
    /// The penalty's name.
    pub name: String,
    /// Who fouled.
    pub by: Side,
    /// What became of it.
    pub done: &'static str,
}

impl From<&Enforced> for FoulJson {
    fn from(foul: &Enforced) -> FoulJson {
        let done = DoneJson::from(foul.done).word();
        FoulJson { name: foul.name.clone(), by: foul.by.into(), done }
    }
}

impl Result {
    /// What a case play came to, in JSON.
    pub fn of(book: &Book, case: &Case<'_>, played: &Played<'_>) -> Result {
        let (gate, rule, because) = match &played.gate {
            Gate::Allowed { .. } => (GateJson::Allowed, None, None),
            Gate::Refused(refusal) => {
                (GateJson::Refused, Some(refusal.rule.clone()), Some(refusal.because.clone()))
            }
        };
        let trees = case.asked.iter().filter_map(|asked| match asked {
            Asked::Question(question) => Some(question.tree),
            Asked::Closed(_) => None,
        });
        let ruling = played.ruling.as_ref();
        let decided = || ruling.into_iter().flat_map(|ruling| &ruling.questions);
        let name = |tree: &Tree, index: usize| tree.findings[index].name.clone();
        let restart = ruling.map(|ruling| &ruling.restart);
        Result {
            gate,
            rule,
            because,
            outcomes: decided().map(|decided| label(book, decided.outcome).to_owned()).collect(),
            findings: trees
                .clone()
                .zip(decided())
                .map(|(tree, decided)| decided.finding.map(|index| name(tree, index)))
                .collect(),
            possible: trees.zip(decided()).map(|(tree, decided)| names(tree, decided.possible)).collect(),
            moot: decided().map(|decided| decided.moot).collect(),
            after: after(&played.after, restart.map_or(&[], |restart| &restart.open)),
            clock_starts: restart.and_then(|restart| restart.clock_starts).map(Starts::from),
            won: ruling.and_then(|ruling| ruling.won).unwrap_or(false),
            fouls: restart.map_or(&[][..], |restart| &restart.fouls).iter().map(FoulJson::from).collect(),
            run_off_s: restart.and_then(|restart| restart.run_off_s),
            open: restart.map_or(&[][..], |restart| &restart.open).iter().map(Open::to_string).collect(),
            discretion: restart.is_some_and(|restart| restart.discretion),
        }
    }
}

/// The names of a set of findings, in alphabetical order.
pub fn names(tree: &Tree, set: Set) -> Vec<String> {
    let mut names: Vec<String> = set.iter().map(|index| tree.findings[index].name.clone()).collect();
    names.sort();
    names
}

/// A situation without the fields that are still open.
pub fn after(situation: &situation::Situation, open: &[Open]) -> Value {
    let mut fields = match serde_json::to_value(Situation::from(situation)) {
        Ok(Value::Object(fields)) => fields,
        // INVARIANT: a situation is a struct of plain values.
        Ok(_) | Err(_) => Map::new(),
    };
    for open in open {
        let unknown: &[&str] = match open {
            Open::Spot(_) | Open::OffField(_) => &["spot", "down", "to_go", "offense", "attacks"],
            Open::Flag(_) | Open::FoulSpot(_) => &["spot", "down", "to_go"],
            Open::Clock(_) | Open::OffClock(_) => &["clock_s"],
        };
        unknown.iter().for_each(|field| {
            fields.remove(*field);
        });
    }
    Value::Object(fields)
}
