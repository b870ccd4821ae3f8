//! An event of a referee's own ruling in one line, as a person reads it.

use super::fold::Phase;
use super::{Chosen, Event, Fact, Opened, Started};
use crate::day::text::situation;

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
        Event::Leaned { rule } => format!("based on rule {rule}"),
        Event::Worded { words } => format!("words: {words}"),
        Event::ReadBack => "read back to the crew".to_owned(),
        Event::Signed(signed) => {
            format!("signed: {}, rule {}, then {}", signed.remedy, signed.rule, situation(&signed.after))
        }
        Event::Abandoned { reason } => format!("ended without a ruling, because: {reason}"),
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
