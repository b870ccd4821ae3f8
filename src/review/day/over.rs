//! Whether a game, or a period of overtime, is over by the rules, and how one ends that is not.

use super::fold::Day;
use super::{Early, Event, when};
use crate::announcement::{Names, capital};
use crate::refusal::{Refusal, no};
use rules::book::Book;
use rules::book::words::Say;
use rules::game::overtime;
use rules::game::overtime::Overtime;
use rules::game::situation::{ByTeam, Next, Situation, Team};

/// Why a game is not over by the rules.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum NotOver {
    #[error("the game has not begun")]
    NotBegun,
    /// `Q3 4:41`.
    #[error("the game is at {0}, and there is time left")]
    TimeLeft(String),
    /// The periods of regulation.
    #[error("period {period} of {periods} is over, and the next one is to be played")]
    PeriodLeft { period: u8, periods: u8 },
    #[error("the try is still to be played, and can change who wins")]
    TryLeft,
    #[error("the score is level, and the book has the game go on in overtime")]
    Level,
    #[error("overtime goes on: {0}")]
    Series(String),
}

impl Day {
    /// How far overtime has come; `None` in regulation.
    pub fn overtime(&self, book: &Book) -> Option<Overtime> {
        let snaps: Vec<Situation> = self.plays.iter().map(|play| play.at).collect();
        overtime::overtime(book, &snaps)
    }

    /// Checks that the game is over by the rules.
    ///
    /// # Errors
    /// [`NotOver`]: why it goes on.
    pub fn over(&self, book: &Book) -> Result<(), NotOver> {
        let game = &book.game;
        let now = self.situation().ok_or(NotOver::NotBegun)?;
        let level = overtime::leader(&now.score).is_none();
        let stands = || if level && !game.may_end_level { Err(NotOver::Level) } else { Ok(()) };
        match self.overtime(book) {
            Some(Overtime::GameOver) => Ok(()),
            Some(Overtime::PeriodOver | Overtime::Unsaid) => stands(),
            Some(Overtime::Series { team, next_score }) => {
                Err(NotOver::Series(series_words(&self.names(), team, next_score)))
            }
            None if now.clock_ms > 0 => Err(NotOver::TimeLeft(when(book, &now))),
            None if now.next == Next::Try
                && (now.period < game.periods || overtime::try_matters(book, &now)) =>
            {
                Err(NotOver::TryLeft)
            }
            None if now.period < game.periods => {
                Err(NotOver::PeriodLeft { period: now.period, periods: game.periods })
            }
            None => stands(),
        }
    }

    /// How the game ends early with this score: the score that counts, and what is announced.
    pub fn early(&self, book: &Book, how: Early) -> (ByTeam<u16>, String) {
        let now = self.situation().map_or(ByTeam { home: 0, away: 0 }, |now| now.score);
        let names = self.names();
        let (score, say, team) = match how {
            Early::Forfeit(by) => (forfeited(book, now, by), Say::Forfeited, by),
            Early::Suspended => (now, Say::Suspended, Team::Home),
            Early::Called => (now, Say::CalledEarly, Team::Home),
        };
        let told = format!("{} {}, {} {}", names.teams.home, score.home, names.teams.away, score.away);
        let places =
            [("team", names.teams.of(team)), ("other", names.teams.of(team.other())), ("score", &told)];
        let places = places.map(|(place, value)| (place, value.as_str()));
        (score, capital(&book.first_words().say(say, &places)))
    }

    fn names(&self) -> Names {
        self.opened.as_ref().map_or_else(Names::default, |opened| opened.card.names.clone())
    }
}

/// Whose series of overtime it is, in words.
pub fn series_words(names: &Names, team: Team, next_score: bool) -> String {
    let next = if next_score { ", and the next score wins" } else { "" };
    format!("it is the series of {}{next}", names.short.of(team))
}

/// The score of a game that this team forfeits.
fn forfeited(book: &Book, now: ByTeam<u16>, by: Team) -> ByTeam<u16> {
    let wins = by.other();
    match book.game.forfeit_score {
        Some(points) if now.of(wins) <= now.of(by) => {
            let mut score = ByTeam { home: 0, away: 0 };
            *score.of_mut(wins) = points;
            score
        }
        Some(_) | None => now,
    }
}

/// Refuses a play of overtime once its period, or the game, is over.
pub(super) fn goes_on(book: &Book, day: &Day) -> Result<(), Refusal> {
    match day.overtime(book) {
        Some(Overtime::GameOver) => no("the game is over: a team has won in overtime", END),
        Some(Overtime::PeriodOver) => {
            no("each team has had its series, and the score is level", "begin the next period of overtime")
        }
        Some(Overtime::Series { .. } | Overtime::Unsaid) | None => Ok(()),
    }
}

const END: &str = "end it, or take back or correct what is wrong";

/// Refuses another period while this one of overtime goes on, or the game is over.
pub(super) fn period_over(book: &Book, day: &Day) -> Result<(), Refusal> {
    match day.overtime(book) {
        Some(Overtime::GameOver) => no("the game is over: a team has won in overtime", END),
        Some(Overtime::Series { team, next_score }) => no(
            format!("overtime goes on: {}", series_words(&day.names(), team, next_score)),
            "say what its plays did",
        ),
        Some(Overtime::PeriodOver | Overtime::Unsaid) | None => Ok(()),
    }
}

/// The end of a game that is over by the rules.
pub(super) fn close(book: &Book, day: &Day) -> Result<Event, Refusal> {
    match day.over(book) {
        Ok(()) => Ok(Event::Closed),
        Err(goes_on) => no(goes_on.to_string(), "play on, or end it early with a reason"),
    }
}

/// The end of a game that is not over by the rules.
pub(super) fn end_early(book: &Book, day: &Day, how: Early, reason: String) -> Result<Event, Refusal> {
    if reason.trim().is_empty() {
        return no("ending a game early needs a reason", "say why it ends here");
    }
    let (score, words) = day.early(book, how);
    Ok(Event::EndedEarly { how, score, reason, words })
}
