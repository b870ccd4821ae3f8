//! An event of a referee's own ruling in one line, as a person reads it.

use super::fold::Phase;
use super::{Cause, Chosen, Disqualified, Event, Fact, Opened, Signed, Started};
use crate::day::text::situation;
use rules::game::situation::Team;

/// The phase of a referee's own ruling in words.
pub fn phase(phase: Phase) -> &'static str {
    match phase {
        Phase::New => "not opened",
        Phase::Safety => "safety first",
        Phase::AtRisk => "someone is at risk",
        Phase::Weighing => "weighed",
        Phase::ReadBack => "read back",
        Phase::Signed => "signed",
        Phase::Abandoned => "ended without a ruling",
    }
}

/// The side that started it, in words.
pub fn started(started: Started) -> &'static str {
    match started {
        Started::Offense => "the offense",
        Started::Defense => "the defense",
        Started::Neither => "neither side",
    }
}

/// A fact with the frame that shows it.
pub fn fact(fact: &Fact) -> String {
    let mark = fact.mark.as_ref();
    let mark = mark.map_or_else(String::new, |mark| format!("  [{} {}]", mark.camera, mark.timecode));
    format!("{}: {}{mark}", fact.name, fact.says)
}

/// An event in one line.
pub fn event(event: &Event) -> String {
    match event {
        Event::Opened(opened) => self::opened(opened),
        Event::Risk { someone: Some(who) } => format!("safety: at risk: {who}"),
        Event::Risk { someone: None } => "safety: nobody is at risk".to_owned(),
        Event::Stated(stated) => format!("fact: {}", fact(stated)),
        Event::Unreached { because } => format!("the book does not cover it: {because}"),
        Event::Profit(profit) => {
            let rewards = if profit.rewards { "would" } else { "would not" };
            format!("begun by {}; a foul {rewards} reward the side that began it", started(profit.started))
        }
        Event::Read { precedent } => format!("precedent {precedent} read"),
        Event::Chosen(chosen) => self::chosen(chosen),
        Event::Disqualified { players } if players.is_empty() => "nobody is disqualified".to_owned(),
        Event::Disqualified { players } => format!("disqualified: {}", disqualified(players)),
        Event::Leaned { rule } => format!("based on rule {rule}"),
        Event::Worded { words } => format!("words: {words}"),
        Event::ReadBack => "read back to the crew".to_owned(),
        Event::Signed(signed) => {
            format!("signed: {}, rule {}, then {}", remedy(signed), signed.rule, situation(&signed.after))
        }
        Event::Abandoned { reason } => format!("ended without a ruling, because: {reason}"),
    }
}

/// A team without its name.
pub fn team(team: Team) -> &'static str {
    match team {
        Team::Home => "the home team",
        Team::Away => "the visitors",
    }
}

/// A disqualified player by position and number: "linebacker 54", "linebacker" where the number is not known.
pub fn player(one: &Disqualified) -> String {
    match one.number {
        Some(number) => format!("{} {number}", one.position),
        None => one.position.clone(),
    }
}

/// Disqualified players with what it is for: "linebacker 54 of the visitors, for `blow`".
pub fn disqualified(players: &[Disqualified]) -> String {
    let one = |one: &Disqualified| format!("{} of {}, {}", player(one), team(one.team), cause(&one.cause));
    players.iter().map(one).collect::<Vec<_>>().join("; ")
}

fn cause(cause: &Cause) -> String {
    match cause {
        Cause::Foul(foul) => format!("for `{foul}`"),
        Cause::Risk => "for putting someone at risk".to_owned(),
    }
}

/// What a signed ruling does: its remedy, and who is disqualified.
pub fn remedy(signed: &Signed) -> String {
    match signed.disqualified.as_slice() {
        [] => signed.remedy.clone(),
        players => format!("{}; disqualified: {}", signed.remedy, disqualified(players)),
    }
}

/// The same as a precedent has it, for players of any game: by position and side.
pub fn remedy_of_precedent(opened: &Opened, signed: &Signed) -> String {
    let offense = opened.ground.situation.offense;
    let side = |one: &Disqualified| if one.team == offense { "the offense" } else { "the defense" };
    let one = |one: &Disqualified| format!("{} of {}, {}", one.position, side(one), cause(&one.cause));
    let players: Vec<String> = signed.disqualified.iter().map(one).collect();
    match players.as_slice() {
        [] => signed.remedy.clone(),
        players => format!("{}; disqualified: {}", signed.remedy, players.join("; ")),
    }
}

fn opened(opened: &Opened) -> String {
    let from = match &opened.review {
        Some(review) => format!(", from review {review}"),
        None => String::new(),
    };
    let matter = opened.matter.as_ref().map_or_else(String::new, |matter| {
        format!(", `{}` ruled {}, found {}", matter.question, matter.call, matter.findings.join(" or "))
    });
    format!("opened: {} {}{from}{matter}", opened.game, opened.play)
}

fn chosen(chosen: &Chosen) -> String {
    let because = chosen.reason.as_ref().map_or_else(String::new, |reason| format!(", because: {reason}"));
    format!("chosen: {}{because}; then {}", chosen.remedy, situation(&chosen.after))
}
