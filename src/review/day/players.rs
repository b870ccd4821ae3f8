//! Fouls of one player across a game: the book may disqualify a player for the second of one name.

use super::fold::Day;
use crate::announcement::{Names, disqualified};
use rules::book::Book;
use rules::game::advance::fouls::{Called, Player};
use rules::game::situation::{Situation, Team};

/// A player who is disqualified by the number of the fouls of one name.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ByCount {
    pub team: Team,
    pub player: Player,
    /// The penalty's name in the book.
    pub penalty: String,
    /// How many there are in the game with this one.
    pub count: usize,
}

impl Day {
    /// The players whom these fouls of a play (from 0) disqualify by their number, fouls of earlier plays counted. Only a
    /// player with a number can be told from others of one position.
    pub fn by_count(&self, book: &Book, play: usize, fouls: &[Called]) -> Vec<ByCount> {
        let Some(at) = self.plays.get(play).map(|play| play.at) else { return Vec::new() };
        let earlier = self.plays.iter().take(play);
        let earlier = earlier.flat_map(|play| play.fouls.iter().filter_map(|called| by(called, &play.at)));
        let mut before: Vec<_> = earlier.collect();
        let mut reached = Vec::new();
        for called in fouls {
            let Some(one) = by(called, &at) else { continue };
            before.push(one);
            let limit = book.penalties.get(&called.penalty).and_then(|penalty| penalty.disqualifies_at);
            let count = before.iter().filter(|other| **other == one).count();
            if limit.is_some_and(|limit| count >= usize::from(limit)) {
                let (team, player, penalty) = (one.0, one.1.clone(), one.2.to_owned());
                reached.push(ByCount { team, player, penalty, count });
            }
        }
        reached
    }

    /// The same for the fouls with which a play was entered.
    pub fn entered_by_count(&self, book: &Book, play: usize) -> Vec<ByCount> {
        self.plays.get(play).map_or_else(Vec::new, |entered| self.by_count(book, play, &entered.fouls))
    }
}

/// The team, the player and the penalty, where the player has a number.
fn by<'c>(called: &'c Called, at: &Situation) -> Option<(Team, &'c Player, &'c str)> {
    let player = called.player().filter(|player| player.number.is_some())?;
    Some((at.team(called.by), player, &called.penalty))
}

impl ByCount {
    /// `linebacker 54, Kites: 2 fouls for unsportsmanlike conduct in this game, and disqualified (rule 10.7)`.
    pub fn text(&self, book: &Book, names: &Names) -> String {
        let penalty = book.penalties.get(&self.penalty);
        let says = penalty.map_or(self.penalty.as_str(), |penalty| &penalty.says);
        let rule = penalty.map_or_else(String::new, |penalty| format!(" (rule {})", penalty.cite));
        let (team, count) = (names.short.of(self.team), self.count);
        format!("{}, {team}: {count} fouls for {says} in this game, and disqualified{rule}", self.player)
    }

    /// The sentence of the announcement, in the book's words.
    pub fn announced(&self, book: &Book, names: &Names) -> String {
        disqualified(book, names, self.team, &self.player.to_string())
    }
}
