//! What is known of a play: its moments, its end as it ran, its flags.

use super::situation::Team;
use crate::book::effect::{DeadBy, Part, Points};
use field::exact::Yards;
use std::collections::BTreeMap;

/// What the game needs to know of a marked moment.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Moment {
    /// Where, in the offense frame of the snap.
    pub x: Option<Yards>,
    pub clock_ms: Option<i64>,
}

/// The moments of a play, by name.
pub type Moments = BTreeMap<String, Moment>;

/// How the play ended as it ran, fouls left aside.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PlayEnd {
    /// Where the ball was dead, in the offense frame of the snap.
    pub spot: Yards,
    pub clock_ms: Option<i64>,
    pub dead_by: DeadBy,
    pub points: Option<(Points, Part)>,
    /// The other team had the ball at the end.
    pub turnover: bool,
    /// The other team had gained the ball, and lost it to the team that snapped.
    pub regained: bool,
}

/// A flag of the crew.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Flag {
    /// The penalty's name in the book.
    pub name: String,
    pub by: Part,
    /// The spot of the foul, in the offense frame of the snap.
    pub spot: Option<Yards>,
    /// It was thrown for something after the ball was dead.
    pub dead: bool,
    /// What the game clock showed at the foul, where that is known: a review may find the ball dead before it.
    pub clock_ms: Option<i64>,
}

impl Flag {
    /// Whether the other flag is for the same foul: one given again with its spot, say.
    pub fn is_same(&self, other: &Flag) -> bool {
        (&self.name, self.by, self.dead) == (&other.name, other.by, other.dead)
    }

    /// The foul's name in a choice: the penalty's, and where `others` has another foul of that name, on whom and when, as in
    /// `face mask on the offense, dead`.
    pub fn chosen_as(&self, others: &[Flag]) -> String {
        if !others.iter().any(|other| other.name == self.name && !self.is_same(other)) {
            return self.name.clone();
        }
        let [side, ball] = match (self.by, self.dead) {
            (Part::Offense, false) => ["offense", "live"],
            (Part::Offense, true) => ["offense", "dead"],
            (Part::Defense, false) => ["defense", "live"],
            (Part::Defense, true) => ["defense", "dead"],
        };
        format!("{}{ON}{side}, {ball}", self.name)
    }
}

/// Between the penalty and the team in the name of a foul that is one of two.
const ON: &str = " on the ";

/// The penalty of a foul as it is named in a choice.
pub fn penalty_of(chosen_as: &str) -> &str {
    chosen_as.rsplit_once(ON).map_or(chosen_as, |(penalty, _)| penalty)
}

/// What the offended team does with a penalty.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Choice {
    Accept,
    Decline,
}

impl Play {
    /// How the play ended as it was ruled: its end, if the ball was put there. A play that ran on past the whistle ended
    /// elsewhere.
    pub fn ruled_end(&self) -> Option<PlayEnd> {
        let put = self.moments.get("as ruled").and_then(|moment| moment.x);
        self.end.filter(|end| put.is_none_or(|put| put == end.spot))
    }
}

/// All that is known of a play besides the situation at its snap.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Play {
    pub moments: Moments,
    /// Its end as it ran, where it was given as such.
    pub end: Option<PlayEnd>,
    pub flags: Vec<Flag>,
    /// Choices made so far, by [`Flag::chosen_as`].
    pub choices: BTreeMap<String, Choice>,
    /// A team takes a timeout as soon as the ruling is announced.
    pub timeout: Option<Team>,
}
