//! A disqualified player as typed: team, position, number, a comma, what for. The words of the line are the book's.

use crate::booth::player::{one_of, position};
use crate::booth::typed;
use review::announcement::Names;
use review::discretion::fold::Discretion;
use review::discretion::{Cause, Disqualified, disqualify};
use rules::book::Book;
use rules::game::situation::Team;

/// What the book lets the referee disqualify for in this ruling, and who is disqualified so far.
#[derive(Debug, Clone)]
pub(crate) struct Limits {
    names: Names,
    positions: Vec<String>,
    causes: Vec<(Team, Cause)>,
    players: Vec<Disqualified>,
}

/// Why a line names no player.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub(crate) enum Unread {
    #[error("type team, position, number, a comma and what for, as in `{0} linebacker 54, {1}`")]
    Incomplete(String, String),
    #[error("`{0}` is not one of the positions: {1}")]
    Position(String, String),
    #[error("`{0}` disqualifies nobody here: {1}")]
    Cause(String, String),
    #[error("nothing in this ruling disqualifies a player")]
    NoCause,
}

impl Limits {
    /// `None` where the book lets nobody be disqualified.
    pub(crate) fn of(book: &Book, names: &Names, ruling: &Discretion) -> Option<Limits> {
        let limits = book.discretion.as_ref()?.disqualification.as_ref()?;
        let causes = [Team::Home, Team::Away].into_iter().flat_map(|team| {
            disqualify::causes(book, ruling, team).into_iter().map(move |cause| (team, cause))
        });
        Some(Limits {
            names: names.clone(),
            positions: limits.positions.clone(),
            causes: causes.collect(),
            players: ruling.disqualified.clone(),
        })
    }

    /// The players with the one that is typed; an empty line takes all of them back.
    ///
    /// # Errors
    /// [`Unread`] for a line that names no team, position or cause of this ruling.
    pub(crate) fn with(&self, text: &str) -> Result<Vec<Disqualified>, Unread> {
        if text.trim().is_empty() {
            return Ok(Vec::new());
        }
        let first = self.causes.first().ok_or(Unread::NoCause)?;
        let example =
            || Unread::Incomplete(self.names.short.of(first.0).to_lowercase(), word(&first.1).to_owned());
        let (who, what) = text.split_once(',').ok_or_else(example)?;
        let mut words: Vec<&str> = who.split_whitespace().collect();
        if words.len() < 2 {
            return Err(example());
        }
        let team = typed::team_named(words.remove(0), &self.names).ok_or_else(example)?;
        let (position, number) = position(&words, &self.positions)
            .map_err(|sought| Unread::Position(sought, self.positions.join(", ")))?;
        let causes: Vec<&Cause> =
            self.causes.iter().filter(|(of, _)| *of == team).map(|(_, cause)| cause).collect();
        let sought = what.trim().to_lowercase();
        let cause = one_of(&causes, &sought, |cause| word(cause)).ok_or_else(|| {
            let known: Vec<&str> = causes.iter().map(|cause| word(cause)).collect();
            Unread::Cause(
                sought.clone(),
                if known.is_empty() { "nothing does".to_owned() } else { known.join(", ") },
            )
        })?;
        let player = Disqualified { team, position, number, cause: (*cause).clone() };
        let same = |other: &Disqualified| {
            (other.team, &other.position, other.number) == (player.team, &player.position, player.number)
        };
        let mut players: Vec<Disqualified> =
            self.players.iter().filter(|other| !same(other)).cloned().collect();
        players.push(player);
        Ok(players)
    }

    pub(crate) fn players(&self) -> &[Disqualified] {
        &self.players
    }
}

/// The word for what it is for.
fn word(cause: &Cause) -> &str {
    match cause {
        Cause::Foul(foul) => foul,
        Cause::Risk => "risk",
    }
}
