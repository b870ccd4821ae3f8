//! The text form of a rule book, as serde reads it: names are still text, and values know their place.
//!
//! A figure is read from its own text, so `38.5` is exact and `inf` is refused.

use super::enforcement::Enforcement;
use super::game_rules::{ClockStops, WholeSeconds};
use super::rules::discretion::RawDiscretion;
use super::spanned::{Entries, Later, Spanned};
use field::exact::Yards;
use penalty::RawPenalty;
use replay::{RawClosed, RawReplay};
use serde::{Deserialize, Deserializer};
use std::borrow::Cow;
use std::collections::BTreeMap;

pub(super) mod penalty;
pub(super) mod replay;
pub(super) mod tree;

/// An exact figure, as written.
#[derive(Debug, Clone, Copy)]
pub(super) struct Figure(pub Yards);

impl schemars::JsonSchema for Figure {
    fn schema_name() -> Cow<'static, str> {
        "Yards".into()
    }

    fn json_schema(_: &mut schemars::SchemaGenerator) -> schemars::Schema {
        schemars::json_schema!({
            "description": "An exact length: a decimal as written, or a fraction as a text, such as \"85/3\".",
            "anyOf": [{"type": "number"}, {"type": "string"}],
        })
    }
}

impl<'de> Deserialize<'de> for Figure {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        let text = <&'de ron::value::RawValue>::deserialize(from)?.trim().get_ron();
        let plain = text.strip_prefix('"').and_then(|rest| rest.strip_suffix('"')).unwrap_or(text);
        plain.parse().map(Figure).map_err(serde::de::Error::custom)
    }
}

/// A rule book: the file `book.ron`. One file beside it for each question; names between them are checked.
#[derive(Debug, Deserialize, schemars::JsonSchema)]
#[serde(rename = "Book", deny_unknown_fields)]
pub(super) struct RawBook<'a> {
    /// The form of this language: 1.
    #[serde(borrow)]
    #[schemars(with = "u32")]
    pub language: Later<'a>,
    /// The league and the edition, as printed.
    #[schemars(with = "String")]
    pub name: Later<'a>,
    /// The questions, by the names of their files without `.ron`, in the order in which they are offered.
    #[schemars(with = "Vec<String>")]
    pub questions: Later<'a>,
    /// The size of the field.
    #[schemars(with = "RawField<'static>")]
    pub field: Later<'a>,
    /// Downs, periods, points, spots and the clock.
    #[schemars(with = "RawGame<'static>")]
    pub game: Later<'a>,
    /// The principles by which fouls are enforced; left out: none of them.
    #[serde(default)]
    #[schemars(with = "Option<Enforcement>")]
    pub enforcement: Option<Later<'a>>,
    /// Every line that the rules speak of, by its name; the first case that applies says where it is.
    #[schemars(with = "BTreeMap<String, RawLine<'static>>")]
    pub lines: Entries<'a>,
    /// Who may ask for a review, when, at what price, and how sure it must be.
    #[schemars(with = "RawReplay<'static>")]
    pub replay: Later<'a>,
    /// What is never reviewed, by a plain name.
    #[serde(default)]
    #[schemars(with = "BTreeMap<String, RawClosed>")]
    pub not_reviewable: Entries<'a>,
    /// What each foul costs, by its name.
    #[schemars(with = "BTreeMap<String, RawPenalty>")]
    pub penalties: Entries<'a>,
    /// Moments that every question may speak of, each with its meaning.
    #[schemars(with = "BTreeMap<String, String>")]
    pub moments: Entries<'a>,
    /// The referee's own ruling on what no question covers; left out: the league has none.
    #[serde(default)]
    #[schemars(with = "Option<RawDiscretion<'static>>")]
    pub discretion: Option<Later<'a>>,
    /// What the booth makes sure of before a game, each in a word or two.
    #[serde(default)]
    #[schemars(with = "Option<Vec<String>>")]
    pub checklist: Option<Later<'a>>,
    /// The languages of its announcements, in the order in which they are made: `words/en.ron` is `en`. Left out: all that
    /// there are.
    #[serde(default)]
    #[schemars(with = "Option<Vec<String>>")]
    pub languages: Option<Later<'a>>,
    /// Where an earlier form of the language had its sentences: read past in an edition that a log keeps.
    #[serde(default)]
    #[schemars(skip)]
    pub wording: Option<Later<'a>>,
}

/// The size of the field.
#[derive(Debug, Deserialize, schemars::JsonSchema)]
#[serde(rename = "Field", deny_unknown_fields)]
pub(super) struct RawField<'a> {
    /// From goal line to goal line, in yards.
    #[serde(borrow)]
    pub length: Spanned<'a, Figure>,
    /// From side to side, in yards.
    #[serde(borrow)]
    pub width: Spanned<'a, Figure>,
    /// How deep an end zone is, in yards.
    #[serde(borrow)]
    pub end_zone: Spanned<'a, Figure>,
    /// How high the wall around an indoor field is, in feet; left out: there is none.
    #[serde(default)]
    pub wall_ft: Option<Figure>,
    /// Between the posts of the goal, in feet.
    pub posts_ft: Figure,
    /// How high the crossbar of the goal is, in feet.
    pub crossbar_ft: Figure,
}

/// Downs, periods, points, spots and the clock.
#[derive(Debug, Deserialize, schemars::JsonSchema)]
#[serde(rename = "Game", deny_unknown_fields)]
pub(super) struct RawGame<'a> {
    /// Players of one side.
    #[serde(borrow)]
    pub players: Spanned<'a, u8>,
    /// Periods of regulation; later ones are overtime.
    #[serde(borrow)]
    pub periods: Spanned<'a, u8>,
    /// The length of a period, in seconds.
    #[serde(borrow)]
    pub period_s: Spanned<'a, u32>,
    /// The periods after which a half ends.
    #[serde(borrow)]
    pub halves_end: Spanned<'a, Vec<u8>>,
    /// Downs of a series.
    #[serde(borrow)]
    pub downs: Spanned<'a, u8>,
    /// Yards to gain in a series.
    #[serde(borrow)]
    pub to_gain: Spanned<'a, Figure>,
    /// Timeouts of a team in a half.
    pub timeouts: u8,
    /// What each score is worth.
    pub points: RawPoints,
    /// Where a try is snapped, in yards from the goal line that is attacked.
    #[serde(borrow)]
    pub try_spot: Spanned<'a, Figure>,
    /// Where a touchback puts the ball, in yards from the own goal line.
    #[serde(borrow)]
    pub touchback: Spanned<'a, Figure>,
    /// Where a touchback of a free kick puts it; left out: the same.
    #[serde(borrow, default)]
    pub touchback_free_kick: Option<Spanned<'a, Figure>>,
    /// Where a free kick is kicked, in yards from the own goal line.
    #[serde(borrow)]
    pub free_kick: Spanned<'a, Figure>,
    /// Where a free kick after a safety is kicked; left out: the same.
    #[serde(borrow, default)]
    pub free_kick_after_safety: Option<Spanned<'a, Figure>>,
    /// Where the receivers have the ball, from their goal line, after a free kick that nobody touched went out at
    /// the side; left out: where it went out.
    #[serde(borrow, default)]
    pub free_kick_out: Option<Spanned<'a, Figure>>,
    /// No penalty takes a free kick farther back than this, from the own goal line.
    #[serde(borrow, default)]
    pub free_kick_at_least: Option<Spanned<'a, Figure>>,
    /// Where a series of overtime begins, in yards from the goal line that is attacked; left out: overtime has no
    /// such series.
    #[serde(borrow, default)]
    pub overtime_spot: Option<Spanned<'a, Figure>>,
    /// Timeouts of a team in each period of overtime; left out: it keeps those that it has.
    #[serde(default)]
    pub overtime_timeouts: Option<u8>,
    /// After a series each the next score wins; else every period of overtime gives each team one series.
    #[serde(borrow, default)]
    pub overtime_next_score: Option<Spanned<'a, bool>>,
    /// From this extra period on, counted from 1, a try is run or passed.
    #[serde(default)]
    pub overtime_no_kicked_try_from: Option<u8>,
    /// From this extra period on, counted from 1, a series is a try alone.
    #[serde(borrow, default)]
    pub overtime_tries_from: Option<Spanned<'a, u8>>,
    /// A game that is level after its last period ends so; else overtime is played.
    #[serde(default)]
    pub may_end_level: bool,
    /// What a team that wins by forfeit has, against none, unless it is ahead; left out: the score stands.
    #[serde(borrow, default)]
    pub forfeit_score: Option<Spanned<'a, u16>>,
    /// The play clock after the officials stopped the game, in seconds; left out: the same.
    #[serde(default)]
    pub play_clock_after_stop_s: Option<u16>,
    /// The play clock, in seconds.
    pub play_clock_s: u16,
    /// How tenths of a second on the game clock are rounded where the time is announced; left out: up.
    #[serde(default)]
    pub whole_seconds: WholeSeconds,
    /// What stops the game clock until the snap.
    pub clock_stops: ClockStops,
}

/// What each score is worth.
#[derive(Debug, Deserialize, schemars::JsonSchema)]
#[serde(rename = "Points", deny_unknown_fields)]
pub(super) struct RawPoints {
    /// The ball reached the other goal line.
    pub touchdown: u16,
    /// A kick at goal is good, but for a try.
    pub field_goal: u16,
    /// The ball is dead behind the goal line of the team that put it there.
    pub safety: u16,
    /// A try by kick.
    pub try_kick: u16,
    /// A try by run or pass.
    pub try_run: u16,
    /// A try that the defense returns to the other goal line; 0: the try is over then.
    #[serde(default)]
    pub try_return: u16,
    /// A safety on a try; left out: as any safety.
    #[serde(default)]
    pub try_safety: Option<u16>,
}

/// A line: its cases are tried from the top.
#[derive(Debug, Deserialize, schemars::JsonSchema)]
#[serde(rename = "Line", deny_unknown_fields)]
pub(super) struct RawLine<'a> {
    /// The rule.
    pub cite: String,
    /// Where it is, and when.
    #[serde(borrow)]
    pub cases: Vec<Spanned<'a, RawCase>>,
}

/// One case of a line.
#[derive(Debug, Clone, Deserialize, schemars::JsonSchema)]
#[serde(rename = "Case", deny_unknown_fields)]
pub(super) enum RawCase {
    /// Where all of these hold.
    When {
        /// What must hold.
        all: Vec<RawGuard>,
        /// Where the line is then.
        at: RawPlace,
        /// It counts although another case holds, too.
        #[serde(default)]
        goes_first: bool,
    },
    /// Where no other case holds.
    Otherwise {
        /// Where the line is then.
        at: RawPlace,
    },
}

/// Something that holds of a snap.
#[derive(Debug, Clone, Deserialize, schemars::JsonSchema)]
#[serde(rename = "Guard", deny_unknown_fields)]
pub(super) enum RawGuard {
    /// The number of the down, from 1.
    Down(u8),
    /// The distance to gain lies within these bounds, in yards.
    ToGo {
        /// No more than these yards.
        #[serde(default)]
        at_most: Option<Figure>,
        /// It is more than this.
        #[serde(default)]
        over: Option<Figure>,
    },
    /// The snap is nearer to the goal line that is attacked than this.
    SnapInside {
        /// How far.
        yards: Figure,
    },
    /// It is at least this far away from it.
    SnapOutside {
        /// How far.
        yards: Figure,
    },
}

/// Where a line is.
#[derive(Debug, Clone, Deserialize, schemars::JsonSchema)]
#[serde(rename = "Place", deny_unknown_fields)]
pub(super) enum RawPlace {
    /// At the snap.
    Scrimmage,
    /// At the line to gain.
    LineToGain,
    /// At the goal line that is attacked.
    GoalLine,
    /// So far beyond the snap.
    BeyondScrimmage {
        /// How far.
        yards: Figure,
        /// But never beyond the goal line.
        #[serde(default)]
        never_past_goal: bool,
    },
    /// Along both sides of the field.
    Sides,
    /// Between moments that are marked in the picture.
    Marked {
        /// Their names.
        between: Vec<String>,
    },
}
