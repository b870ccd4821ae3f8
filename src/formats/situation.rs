//! A situation in JSON.

use super::by_team::ByTeam;
use super::error::Error;
use super::figure::{Figure, milliseconds, seconds};
use crate::closed_set::words;
use rules::book::Book;
use rules::game::situation;
use rules::game::situation::{End, Next, Team};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

words! {
    /// A team.
    Side = Team {
        /// The home team.
        Home = "home",
        /// The visitors.
        Away = "away",
    }
}

words! {
    /// An end of the field.
    #[derive(Default)]
    Attacks = End {
        /// The east end.
        #[default]
        East = "east",
        /// The west end.
        West = "west",
    }
}

words! {
    /// What comes next.
    #[derive(Default)]
    NextPlay {
        /// A snap.
        #[default]
        Scrimmage = "scrimmage",
        /// A try.
        Try = "try",
        /// A free kick by the offense.
        FreeKick = "free kick",
    }
}

/// Challenges so far.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Challenges {
    /// Used.
    pub used: u8,
    /// Of these, won.
    pub won: u8,
}

/// The situation before a play.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Situation {
    /// The period, from 1; 5 and on are overtime in a game of four periods.
    pub period: u8,
    /// Seconds on the game clock.
    pub clock_s: f64,
    /// Whether the game clock runs.
    pub clock_running: bool,
    /// Seconds on the play clock.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub play_clock_s: Option<u16>,
    /// What comes next.
    #[serde(default)]
    pub next: NextPlay,
    /// Who has the ball, or kicks.
    pub offense: Side,
    /// Where the offense is heading.
    #[serde(default)]
    pub attacks: Attacks,
    /// The down; left out before a try or a free kick.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub down: Option<u8>,
    /// Yards to the line to gain; left out before a try or a free kick.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub to_go: Option<Figure>,
    /// Yards from the offense's own goal line.
    pub spot: Figure,
    /// The score.
    pub score: ByTeam<u16>,
    /// Timeouts left.
    pub timeouts: ByTeam<u8>,
    /// Challenges so far.
    pub challenges: ByTeam<Challenges>,
}

fn missing(field: &str) -> Error {
    Error::new(format!("the field `{field}` is missing")).help(format!(
        "add `{field}`: a situation before a snap has a down and a distance; before another play, write `next`"
    ))
}

impl Situation {
    /// The situation as the game knows it, and one that this book's game can come to.
    ///
    /// # Errors
    /// [`Error`] for the first thing that is missing or cannot be.
    pub fn under(&self, book: &Book) -> Result<situation::Situation, Error> {
        let read = || {
            let situation = self.read()?;
            let possible = situation.possible(&book.field, &book.game);
            possible.map(|()| situation).map_err(|impossible| {
                Error::new(&impossible).help(impossible.help()).within(impossible.field())
            })
        };
        read().map_err(|error| error.within("situation"))
    }

    /// What of it means nothing, or is odd and taken as it is written.
    pub fn notes(&self, book: &Book) -> Vec<String> {
        let mut notes = Vec::new();
        let given = [("down", self.down.is_some()), ("to_go", self.to_go.is_some())];
        if self.next != NextPlay::Scrimmage {
            let next = self.next.word();
            notes.extend(
                given
                    .iter()
                    .filter(|(_, given)| *given)
                    .map(|(field, _)| format!("`{field}` means nothing before a {next}: it changes nothing")),
            );
        } else if let Some(to_go) = self.to_go {
            let left = book.field.length - self.spot.0;
            if to_go.0 > left {
                notes.push(format!(
                    "`to_go` is {}, and the goal line is {left} yards away: it is goal to go",
                    to_go.0
                ));
            }
        }
        notes
    }

    /// The situation as the game knows it.
    ///
    /// # Errors
    /// [`Error`] where a snap has no down or distance, or the clock is no figure.
    pub fn read(&self) -> Result<situation::Situation, Error> {
        let next = match self.next {
            NextPlay::Scrimmage => Next::Scrimmage {
                down: self.down.ok_or_else(|| missing("down"))?,
                to_go: self.to_go.ok_or_else(|| missing("to_go"))?.0,
            },
            NextPlay::Try => Next::Try,
            NextPlay::FreeKick => Next::FreeKick,
        };
        if !self.clock_s.is_finite() || self.clock_s.abs() > 1e6 {
            return Err(Error::new(format!("{} is not a time that a game clock shows", self.clock_s))
                .within("clock_s"));
        }
        let challenges = |of: Challenges| situation::Challenges { used: of.used, won: of.won };
        Ok(situation::Situation {
            period: self.period,
            clock_ms: milliseconds(self.clock_s),
            clock_running: self.clock_running,
            play_clock_s: self.play_clock_s,
            next,
            offense: self.offense.into(),
            attacks: self.attacks.into(),
            spot: self.spot.0,
            score: situation::ByTeam { home: self.score.home, away: self.score.away },
            timeouts: situation::ByTeam { home: self.timeouts.home, away: self.timeouts.away },
            challenges: situation::ByTeam {
                home: challenges(self.challenges.home),
                away: challenges(self.challenges.away),
            },
        })
    }
}

impl From<&situation::Situation> for Situation {
    fn from(from: &situation::Situation) -> Situation {
        let (next, down, to_go) = match from.next {
            Next::Scrimmage { down, to_go } => (NextPlay::Scrimmage, Some(down), Some(Figure(to_go))),
            Next::Try => (NextPlay::Try, None, None),
            Next::FreeKick => (NextPlay::FreeKick, None, None),
        };
        let challenges = |of: situation::Challenges| Challenges { used: of.used, won: of.won };
        Situation {
            period: from.period,
            clock_s: seconds(from.clock_ms),
            clock_running: from.clock_running,
            play_clock_s: from.play_clock_s,
            next,
            offense: from.offense.into(),
            attacks: from.attacks.into(),
            down,
            to_go,
            spot: Figure(from.spot),
            score: ByTeam { home: from.score.home, away: from.score.away },
            timeouts: ByTeam { home: from.timeouts.home, away: from.timeouts.away },
            challenges: ByTeam {
                home: challenges(from.challenges.home),
                away: challenges(from.challenges.away),
            },
        }
    }
}
