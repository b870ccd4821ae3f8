//! How far overtime has come: whose series it is, and whether a period of it, or the game, is over.
//!
//! It is read off the situations before the plays: a series is a run of snaps of one team, a try alone included. A team
//! wins when the other one, which is behind, has had its series of the period and cannot draw level with a try. Level
//! after a series each, the next score wins or another period begins, as the book says.

use super::situation::{ByTeam, Next, Situation, Team};
use crate::book::Book;

/// How far overtime has come.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Overtime {
    Series {
        /// Whose series it is.
        team: Team,
        /// The next score wins.
        next_score: bool,
    },
    /// Each team has had its series, and the score is level: the next period begins.
    PeriodOver,
    GameOver,
    /// The book does not say where a series begins, so a lead may or may not decide the game.
    Unsaid,
}

/// How far overtime has come before the last of these snaps; `None` in regulation, or without a snap.
pub fn overtime(book: &Book, snaps: &[Situation]) -> Option<Overtime> {
    let game = &book.game;
    let now = snaps.last().filter(|now| game.is_overtime(now.period))?;
    if game.overtime_spot.is_none() {
        return Some(Overtime::Unsaid);
    }
    let snaps = snaps.iter().filter(|snap| snap.period == now.period && snap.next != Next::FreeKick);
    let mut series: Vec<Team> = snaps.map(|snap| snap.offense).collect();
    series.dedup();
    if leader(&now.score).is_some_and(|(ahead, by)| !can_level(book, now, &series, ahead.other(), by)) {
        return Some(Overtime::GameOver);
    }
    let next_score = game.overtime_next_score && series.len() > 2;
    let team = *series.last().unwrap_or(&now.offense);
    Some(match series.len() > 2 && !game.overtime_next_score {
        true => Overtime::PeriodOver,
        false => Overtime::Series { team, next_score },
    })
}

/// Whether the team that is this far behind has a series to come, is in its own, or can draw level with a try.
fn can_level(book: &Book, now: &Situation, series: &[Team], behind: Team, by: u16) -> bool {
    match (series.iter().position(|team| *team == behind), now.next) {
        (None, _) => true,
        (Some(_), Next::Try) if !book.game.tries_alone(now.period) => by <= most_on_try(book, now, behind),
        (Some(first), Next::Try | Next::Scrimmage { .. } | Next::FreeKick) => first + 1 == series.len(),
    }
}

/// Who is ahead, and by how much; `None` if the score is level.
pub fn leader(score: &ByTeam<u16>) -> Option<(Team, u16)> {
    match score.home.cmp(&score.away) {
        std::cmp::Ordering::Greater => Some((Team::Home, score.home - score.away)),
        std::cmp::Ordering::Less => Some((Team::Away, score.away - score.home)),
        std::cmp::Ordering::Equal => None,
    }
}

/// Whether the try to come can still change who wins.
pub fn try_matters(book: &Book, now: &Situation) -> bool {
    match leader(&now.score) {
        None => true,
        Some((ahead, by)) => by <= most_on_try(book, now, ahead.other()),
    }
}

/// The most points that a team can make on the coming try.
fn most_on_try(book: &Book, now: &Situation, team: Team) -> u16 {
    let points = &book.game.points;
    let own = if team == now.offense { points.try_kick.max(points.try_run) } else { points.try_return };
    own.max(points.try_safety)
}
