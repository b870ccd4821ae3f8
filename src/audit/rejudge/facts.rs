//! What re-judging needs of a record, and no more: a million of them go through here.

use formats::by_team::ByTeam;
use formats::case::{PartJson, Who};
use formats::figure::{Figure, milliseconds};
use formats::missing;
use formats::record::cut_short;
use formats::settle::Answer;
use formats::situation::{Attacks, Challenges, NextPlay, Side, Situation};
use rules::game::play::Flag;
use rules::game::situation::{self as game, Team};
use serde::Deserialize;
use serde::de::IgnoredAny;
use serde_json::Value;
use std::collections::BTreeMap;

/// The facts of a record: what was seen and measured, and what was ruled on it.
#[derive(Debug, Clone, Deserialize)]
pub struct Facts {
    pub id: String,
    /// The edition that it was ruled under.
    pub edition: String,
    pub(super) tree: String,
    pub(super) call: String,
    #[serde(default)]
    pub(super) whistle: Option<String>,
    #[serde(default, deserialize_with = "missing::or_default")]
    fouls: Vec<Flagged>,
    #[serde(deserialize_with = "missing::present")]
    pub(super) answers: BTreeMap<String, Answer>,
    #[serde(default, deserialize_with = "missing::present_or_none")]
    pub(super) proofs: BTreeMap<String, Measured>,
    #[serde(default)]
    pub(super) situation: Option<AtSnap>,
    #[serde(default)]
    pub(super) initiator: Option<Who>,
    #[serde(default, deserialize_with = "missing::or_default")]
    pub(super) marks: Vec<Marked>,
    #[serde(default, deserialize_with = "missing::or_default")]
    pub(super) possible: Vec<String>,
    pub(super) outcome: String,
    #[serde(default)]
    pub(super) after: Option<AtSnap>,
    #[serde(default, deserialize_with = "missing::or_default")]
    cut_short: bool,
    #[serde(default, deserialize_with = "missing::or_default")]
    pub(super) overrides: Vec<Value>,
    #[serde(default)]
    again_of: Option<String>,
    /// Every record must have them, though they are not used here.
    #[serde(rename = "called_at")]
    _called_at: IgnoredAny,
    #[serde(rename = "duration_s")]
    _duration_s: IgnoredAny,
}

/// What an answer rests on. The measured fields take any JSON value; one that is not a number counts as missing.
#[derive(Debug, Clone, Default, Deserialize)]
pub(super) struct Measured {
    #[serde(default)]
    pub kind: Option<String>,
    #[serde(default)]
    pub attested: Option<bool>,
    /// A place along the field, in yards of the offense frame.
    #[serde(default)]
    x: Value,
    /// Seconds from the earlier moment to the later one.
    #[serde(default)]
    gap_s: Value,
    /// The error of either, as a standard deviation.
    #[serde(default)]
    sigma: Value,
    #[serde(default)]
    sigma_s: Value,
    #[serde(default)]
    pub probability: Option<f64>,
    /// By how much a time was to be exceeded, in seconds.
    #[serde(default)]
    at_least_s: Value,
    /// The line that a place was measured against.
    #[serde(default)]
    line: Value,
    /// The moments that a time was measured between.
    #[serde(default)]
    first: Option<String>,
    #[serde(default)]
    then: Option<String>,
}

#[derive(Debug, Clone, Deserialize)]
struct Flagged {
    name: String,
    by: PartJson,
    #[serde(default)]
    spot: Option<Figure>,
    #[serde(default, deserialize_with = "missing::or_default")]
    dead: bool,
    #[serde(default)]
    clock_s: Option<f64>,
}

#[derive(Debug, Clone, Deserialize)]
pub(super) struct Marked {
    #[serde(default)]
    pub moment: Option<String>,
    #[serde(default)]
    pub x: Option<Figure>,
    #[serde(default)]
    pub clock_s: Option<f64>,
}

/// A situation, as much of it as the record holds.
#[derive(Debug, Clone, Deserialize)]
pub(super) struct AtSnap {
    period: Option<u8>,
    clock_s: Option<f64>,
    clock_running: Option<bool>,
    #[serde(default)]
    play_clock_s: Option<u16>,
    #[serde(default, deserialize_with = "missing::or_default")]
    next: NextPlay,
    offense: Option<Side>,
    #[serde(default, deserialize_with = "missing::or_default")]
    attacks: Attacks,
    pub down: Option<u8>,
    pub to_go: Option<Figure>,
    pub spot: Option<Figure>,
    score: Option<ByTeam<u16>>,
    timeouts: Option<ByTeam<u8>>,
    challenges: Option<ByTeam<Challenges>>,
}

impl Measured {
    /// The place along the field, with its error.
    pub(super) fn place(&self) -> Option<(f64, Option<f64>)> {
        number(&self.x).map(|x| (x, self.sigma()))
    }

    /// The time between the moments, with its error.
    pub(super) fn gap(&self) -> Option<(f64, Option<f64>)> {
        match &self.gap_s {
            Value::Object(both) => {
                let of = |name: &str| both.get(name).and_then(number);
                of("mean").map(|mean| (mean, of("sigma").or(self.sigma())))
            }
            one => number(one).map(|gap| (gap, self.sigma())),
        }
    }

    /// Between which moments a time was measured, where the record says so.
    pub(super) fn moments(&self) -> Option<(&str, &str)> {
        self.first.as_deref().zip(self.then.as_deref())
    }

    /// The probability that was computed for the measurement, if it lies in 0..=1.
    pub(super) fn chance(&self) -> Option<f64> {
        self.probability.filter(|chance| (0.0..=1.0).contains(chance))
    }

    pub(super) fn at_least_s(&self) -> Option<f64> {
        number(&self.at_least_s)
    }

    pub(super) fn line(&self) -> Option<&str> {
        self.line.as_str()
    }

    fn sigma(&self) -> Option<f64> {
        number(&self.sigma).or_else(|| number(&self.sigma_s)).filter(|sigma| *sigma >= 0.0)
    }

    /// Whether a measurement stands behind the answer, and not a person's word.
    pub(super) fn is_measured(&self) -> bool {
        let measured = self.place().is_some() || self.gap().is_some() || self.probability.is_some();
        self.attested != Some(true) && measured
    }
}

/// A number, or the exact fraction that a spot may be written as.
fn number(value: &Value) -> Option<f64> {
    let number = match value {
        Value::Number(number) => number.as_f64(),
        Value::String(text) => text.parse::<field::exact::Yards>().ok().map(|yards| yards.as_f64()),
        Value::Null | Value::Bool(_) | Value::Array(_) | Value::Object(_) => None,
    };
    number.filter(|number| number.is_finite())
}

impl AtSnap {
    /// The whole situation, if all of it is there.
    pub(super) fn whole(&self) -> Option<Situation> {
        Some(Situation {
            period: self.period?,
            clock_s: self.clock_s?,
            clock_running: self.clock_running?,
            play_clock_s: self.play_clock_s,
            next: self.next,
            offense: self.offense?,
            attacks: self.attacks,
            down: self.down,
            to_go: self.to_go,
            spot: self.spot?,
            score: self.score?,
            timeouts: self.timeouts?,
            challenges: self.challenges?,
        })
    }
}

impl Facts {
    pub(super) fn was_cut_short(&self) -> bool {
        cut_short(self.cut_short, &self.outcome)
    }

    /// Whether it is a blind second look at another record: such a record ruled no game.
    pub(super) fn is_second_look(&self) -> bool {
        self.again_of.is_some()
    }

    /// The situation at the snap, if the record holds all of it and it can be one of a game.
    pub(super) fn at_snap(&self) -> Option<game::Situation> {
        self.situation.as_ref()?.whole()?.read().ok()
    }

    /// The crew's flags; one on the home team or the visitors needs the offense to be known.
    pub(super) fn flags(&self) -> Vec<Flag> {
        let offense = self.situation.as_ref().and_then(|at_snap| at_snap.offense);
        let flag = |flagged: &Flagged| {
            let by = match flagged.by {
                PartJson::Offense | PartJson::Defense => flagged.by.part(Team::Home),
                PartJson::Home | PartJson::Away => flagged.by.part(offense?.into()),
            };
            Some(Flag {
                name: flagged.name.clone(),
                by,
                spot: flagged.spot.map(|spot| spot.0),
                dead: flagged.dead,
                clock_ms: flagged.clock_s.map(milliseconds),
            })
        };
        self.fouls.iter().filter_map(flag).collect()
    }

    /// Whether the official gave this answer against a measurement, with a reason.
    pub(super) fn overridden(&self, step: &str) -> bool {
        let about = format!("the answer to `{step}`");
        self.overrides
            .iter()
            .any(|done| done.get("what").and_then(Value::as_str).is_some_and(|what| what.starts_with(&about)))
    }
}
