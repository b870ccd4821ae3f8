//! One foul as it is being named.

use crate::booth::player::{numbered, position};
use field::exact::Yards;
use rules::book::Book;
use rules::book::effect::Part;
use rules::book::penalty::Penalty;
use rules::game::advance::fouls::{Called, Player, When};

/// What is known of a foul so far.
#[derive(Debug, Clone)]
pub(super) struct Draft {
    /// The penalty's name in the book; empty before it is chosen.
    pub name: String,
    pub by: Part,
    pub when: When,
    pub spot: Option<Yards>,
}

impl Default for Draft {
    fn default() -> Draft {
        Draft { name: String::new(), by: Part::Offense, when: When::Live, spot: None }
    }
}

impl From<Called> for Draft {
    fn from(foul: Called) -> Draft {
        Draft { name: foul.penalty, by: foul.by, when: foul.when, spot: foul.spot }
    }
}

impl Draft {
    pub(super) fn of(penalty: &Penalty) -> Draft {
        Draft { name: penalty.name.clone(), by: penalty.by.unwrap_or(Part::Offense), ..Draft::default() }
    }

    pub(super) fn penalty<'b>(&self, book: &'b Book) -> Option<&'b Penalty> {
        book.penalties.get(&self.name)
    }

    pub(super) fn called(&self) -> Called {
        Called {
            penalty: self.name.clone(),
            by: self.by,
            spot: self.spot,
            when: self.when,
            sent_off: None,
            player: None,
        }
    }
}

/// Who committed a foul, and whether he is disqualified for it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Named {
    SentOff(Player),
    Stays(Player),
}

/// A player as typed: `linebacker 54`, who is disqualified for this foul; `linebacker 54 stays`, who is named so that the
/// book can count his fouls. An empty line takes that back.
///
/// # Errors
/// Words for a foul that disqualifies nobody, and for a position that the book does not have.
pub(super) fn player(text: &str, foul: Option<&Called>, book: &Book) -> Result<Option<Named>, String> {
    let mut words: Vec<&str> = text.split_whitespace().collect();
    let stays = words.last().is_some_and(|last| last.eq_ignore_ascii_case(STAYS));
    words.truncate(words.len() - usize::from(stays));
    let Some(foul) = foul.filter(|_| !words.is_empty()) else { return Ok(None) };
    let limits = book.discretion.as_ref().and_then(|discretion| discretion.disqualification.as_ref());
    let by_count = book.penalties.get(&foul.penalty).is_some_and(|penalty| penalty.disqualifies_at.is_some());
    if !stays && !by_count && !limits.is_some_and(|limits| limits.fouls.contains(&foul.penalty)) {
        return Err(format!("nobody is disqualified for {} by this book", foul.penalty));
    }
    let (position, number) = match limits {
        Some(limits) => position(&words, &limits.positions).map_err(|_| {
            let positions = limits.positions.join(", ");
            format!("type position and number, as in `{} 54`: {positions}", limits.positions[0])
        })?,
        None => match numbered(&words) {
            (position, _) if position.is_empty() => {
                return Err("type position and number, as in `linebacker 54`".to_owned());
            }
            named => named,
        },
    };
    let player = Player { position, number };
    Ok(Some(if stays { Named::Stays(player) } else { Named::SentOff(player) }))
}

/// Behind a player who is not disqualified.
const STAYS: &str = "stays";
