//! Who is disqualified by the referee's own ruling, and for what: within the book's limits, naming no person.
//!
//! A disqualification goes along with any remedy and changes no number of the situation: the remedy alone decides how
//! the game goes on.

use super::fold::Discretion;
use super::options::remedies;
use super::text::{player, team};
use super::{Cause, Disqualified, Event, Opened};
use crate::announcement::{Names, disqualified};
use crate::refusal::{Refusal, no, unknown};
use rules::book::Book;
use rules::book::discretion::Disqualification;
use rules::book::effect::{Effect, Fouler, Part};
use rules::game::situation::Team;

/// What a player of this team may be disqualified for, in the order of the book.
pub fn causes(book: &Book, ruling: &Discretion, team: Team) -> Vec<Cause> {
    let (Some(limits), Some(opened)) = (limits(book), &ruling.opened) else { return Vec::new() };
    let remedies = remedies(book, opened);
    let effects: Vec<&Effect> = remedies.iter().flat_map(|(_, effects)| effects).collect();
    let fouls = limits.fouls.iter().filter(|foul| in_question(book, (opened, &effects), foul, team));
    let risk = limits.at_risk && !ruling.at_risk.is_empty();
    fouls.cloned().map(Cause::Foul).chain(risk.then_some(Cause::Risk)).collect()
}

/// One sentence for each of them, in the book's words.
pub fn announced(book: &Book, names: &Names, players: &[Disqualified]) -> Vec<String> {
    players.iter().map(|one| disqualified(book, names, one.team, &player(one))).collect()
}

/// The first disqualified player whom an announcement does not name.
pub(super) fn unnamed<'d>(players: &'d [Disqualified], words: &str) -> Option<&'d Disqualified> {
    let words = words.to_lowercase();
    players.iter().find(|one| !words.contains(&player(one).to_lowercase()))
}

/// The event of these players, who replace those named before.
pub(super) fn decide(book: &Book, ruling: &Discretion, players: Vec<Disqualified>) -> Result<Event, Refusal> {
    let Some(limits) = limits(book) else {
        return no(
            format!("the book `{}` lets the referee disqualify nobody", book.id),
            "choose one of the remedies",
        );
    };
    if players.is_empty() && ruling.disqualified.is_empty() {
        return no("no player is named", "say the team, the position and what for");
    }
    for (number, one) in players.iter().enumerate() {
        if !limits.positions.contains(&one.position) {
            return unknown("position", &one.position, limits.positions.iter().map(String::as_str));
        }
        let same = |other: &Disqualified| {
            (other.team, &other.position, other.number) == (one.team, &one.position, one.number)
        };
        if players.iter().take(number).any(same) {
            return no(
                format!("the {} of {} is named twice", player(one), team(one.team)),
                "name each player once; two of one position by their numbers",
            );
        }
        permitted(book, ruling, limits, one)?;
    }
    Ok(Event::Disqualified { players })
}

/// Refuses a cause that the book does not have, or that this play does not give.
fn permitted(
    book: &Book,
    ruling: &Discretion,
    limits: &Disqualification,
    one: &Disqualified,
) -> Result<(), Refusal> {
    if causes(book, ruling, one.team).contains(&one.cause) {
        return Ok(());
    }
    let cite = &limits.cite;
    match &one.cause {
        Cause::Foul(foul) if !limits.fouls.contains(foul) => no(
            format!("nobody is disqualified for `{foul}` (rule {cite})"),
            format!("the rule is for: {}", limits.fouls.join(", ")),
        ),
        Cause::Foul(foul) => no(
            format!("no `{foul}` by {} is called or in question", team(one.team)),
            "open the ruling on the question about it, or name the foul that it is about",
        ),
        Cause::Risk if !limits.at_risk => no(
            format!("putting someone at risk alone disqualifies nobody (rule {cite})"),
            "name the foul that it is for",
        ),
        Cause::Risk => no("nobody was said to be at risk", "say who is or was at risk, or name a foul"),
    }
}

fn limits(book: &Book) -> Option<&Disqualification> {
    book.discretion.as_ref()?.disqualification.as_ref()
}

/// Whether the crew called this foul on the team, or one of the remedies has it.
fn in_question(book: &Book, (opened, effects): (&Opened, &[&Effect]), foul: &str, team: Team) -> bool {
    let offense = opened.ground.situation.offense;
    let part = if team == offense { Part::Offense } else { Part::Defense };
    let can = book.penalties.get(foul).is_some_and(|penalty| penalty.by.is_none_or(|by| by == part));
    let on = |by: Fouler| match by {
        Fouler::Offense => part == Part::Offense,
        Fouler::Defense => part == Part::Defense,
        Fouler::Called => true,
    };
    let has = |effect: &Effect| effect.foul().is_some_and(|(name, by, _)| name == foul && on(by));
    let called = opened.ground.flags.iter().any(|flag| flag.name == foul && flag.by == part);
    can && (called || effects.iter().any(|effect| has(effect)))
}
