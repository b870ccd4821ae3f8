//! Events of a review in one line each, for lists of acts.

use super::event::{Answered, Asked, Called, Event, Look, Marked, Placed, ReadBack, Refused, Tied};
use super::fold::Phase;
use super::gate::{Entry, Initiator, Stop};
use super::placing::reading;
use crate::announcement::clock_text;
use evidence::mark::{Basis, Mark, Measurement, Quantity};
use evidence::place::clicked::Clicked;
use evidence::text;
use field::exact::Yards;
use rules::game::play::Choice;
use rules::game::situation::Team;

/// An event in one line.
pub fn event(event: &Event) -> String {
    match event {
        Event::Called(called) => {
            let week = called.week.map_or_else(String::new, |week| format!(", week {week}"));
            let who = initiator(called);
            format!("{who}: {} in {}{week}", called.play, called.game)
        }
        Event::Asked(asked) => format!("asked: {}", question(asked)),
        Event::Refused(Refused { asked, rule, because, price }) => {
            let timeout = if price.timeout { "; it costs a timeout" } else { "" };
            format!("refused by rule {rule}: {}: {because}{timeout}", question(asked))
        }
        Event::ReadBack(ReadBack { spot, clock_ms, end }) => {
            let turnover = end.is_some_and(|end| end.turnover);
            let regained = end.is_some_and(|end| end.regained);
            let turnover = match (turnover, regained) {
                (true, _) => "; the other team had the ball at the end",
                (false, true) => "; the other team had gained the ball, and lost it again",
                (false, false) => "",
            };
            format!("the call is read back{}{turnover}", place(*spot, *clock_ms))
        }
        Event::Flagged(flags) if flags.is_empty() => "no flags".to_owned(),
        Event::Flagged(flags) => {
            let names: Vec<&str> = flags.iter().map(|flag| flag.name.as_str()).collect();
            format!("flags: {}", names.join(", "))
        }
        Event::Chosen { penalty, choice: Choice::Accept } => format!("{penalty}: accepted"),
        Event::Chosen { penalty, choice: Choice::Decline } => format!("{penalty}: declined"),
        Event::Looked(Look { step, camera, kind, reason, .. }) => {
            format!("looked at `{step}` {} on {camera}{}", kind.text(), because(reason.as_ref()))
        }
        Event::Marked(marked) => {
            let Mark { moment, camera, timecode } = &marked.mark;
            format!("marked `{moment}` on {camera} at {timecode}{}", stood(marked))
        }
        Event::Placed(placed) => self::placed(placed),
        Event::Tied(tied) => self::tied(tied),
        Event::Answered(Answered { step, options, basis, reason, .. }) => {
            let options = options.join(" or ");
            format!("answered `{step}`: {options}{}{}", self::basis(basis), because(reason.as_ref()))
        }
        Event::Undone { act } => format!("took back act {act}"),
        Event::Settled => "settled: nothing left to answer can change outcome or restart".to_owned(),
        Event::Withdrawn => "withdrawn".to_owned(),
        Event::Ruled(ruling) => {
            let questions = ruling.questions.iter().map(|found| match &found.finding {
                Some(finding) => format!("`{}` {}: {finding}", found.tree, found.label),
                None => format!("`{}` {}", found.tree, found.label),
            });
            format!("ruled: {}", questions.collect::<Vec<_>>().join("; "))
        }
        Event::RestartReadBack => "the restart is read back".to_owned(),
        Event::Announced => "announced".to_owned(),
        Event::Amended { reason, .. } => format!("restart corrected, because: {reason}"),
        Event::CutShort { reason } => format!("cut short: {reason}"),
    }
}

/// A placed point: "placed `toes` on near side at 00:41:17;22: 2.1 in short of …".
fn placed(placed: &Placed) -> String {
    let from = placed.seen.iter().map(|seen| format!("{} at {}", seen.camera, seen.timecode));
    let from = from.collect::<Vec<_>>().join(" and ");
    format!("placed `{}` for `{}` on {from}: {}", placed.point, placed.step, placed_against(placed))
}

/// A tie: "tied near side at 00:41:17;22 to high end at 00:12:03:04: one moment, seen by both".
fn tied(tied: &Tied) -> String {
    let [one, other] = [&tied.one, &tied.other].map(|seen| format!("{} at {}", seen.camera, seen.timecode));
    format!("tied {one} to {other}: one moment, seen by both")
}

/// The reading of its clicks: "2.1 in short of the alignment line, ± 2.8 in (95 %), past it with 7 %".
pub fn placed_against(placed: &Placed) -> String {
    let clicked: Vec<Clicked> = placed.seen.iter().map(|seen| seen.clicked.clone()).collect();
    match reading(&clicked, &[placed.edge]) {
        Ok((_, reading)) => reading.text(&placed.line),
        Err(because) => because,
    }
}

/// The phase of a review, in a word or two.
pub fn phase(phase: Phase) -> &'static str {
    match phase {
        Phase::New => "not begun",
        Phase::Called => "called",
        Phase::Refused => "refused",
        Phase::Admitted => "admitted",
        Phase::Open => "open",
        Phase::Ruled => "ruled",
        Phase::ReadyToAnnounce => "read back",
        Phase::Announced => "announced",
        Phase::Withdrawn => "withdrawn",
        Phase::CutShort => "cut short",
    }
}

/// Who asked for the review, and whether they asked too late.
pub fn initiator(called: &Called) -> String {
    let who = match called.initiator {
        Initiator::Coach(Team::Home) => "the home coach challenges",
        Initiator::Coach(Team::Away) => "the visiting coach challenges",
        Initiator::Booth => "the booth asks for a review",
        Initiator::Referee => "the referee asks for a review",
    };
    match called.stop {
        Stop::BeforeNextSnap => who.to_owned(),
        Stop::AfterNextSnap => format!("{who}, after the next snap"),
    }
}

/// A question with its call and whistle.
pub fn question(asked: &Asked) -> String {
    let call = if asked.call.is_empty() { String::new() } else { format!(", ruled {}", asked.call) };
    let whistle =
        asked.whistle.as_ref().map_or_else(String::new, |moment| format!(", whistle at `{moment}`"));
    let entry = match asked.entry {
        Entry::Challenged => "",
        Entry::FoundOnTheWay => ", found during the review",
    };
    format!("`{}`{call}{whistle}{entry}", asked.tree)
}

/// `, 38.5 yd from the offense's goal line, clock 4:41`; empty where neither is known.
pub fn place(spot: Option<Yards>, clock_ms: Option<i64>) -> String {
    let spot = spot.map_or_else(String::new, |spot| format!(", {spot} yd from the offense's goal line"));
    let clock = clock_ms.map_or_else(String::new, |clock_ms| format!(", clock {}", clock_text(clock_ms)));
    spot + &clock
}

/// Place and clock of a mark, with the scoreboard readings of the clock.
pub fn stood(marked: &Marked) -> String {
    let read = marked.scoreboard.as_ref().map_or_else(String::new, |read| format!(": {}", read.text()));
    place(marked.x, marked.clock_ms) + &read
}

/// The measurement that an answer rests on; empty where it has none.
pub fn basis(basis: &Basis) -> String {
    let Basis::Computed(Measurement { verdict, of }) = basis else { return String::new() };
    let of = match of {
        None => String::new(),
        Some(
            Quantity::Order { first, then, gap_s, sigma_s }
            | Quantity::Gap { first, then, gap_s, sigma_s, .. },
        ) => {
            format!(" {} ± {},", text::gap(first, then, *gap_s), text::in_time(*sigma_s))
        }
        Some(Quantity::Position { line, x, sigma }) => {
            format!(" at {x:.2} ± {sigma:.2} yd against the {line},")
        }
    };
    match verdict.probability() {
        Some(probability) => format!(" (measured:{of} {}, {probability:.4})", verdict.word()),
        None => format!(" (measured:{of} the marks contradict each other)"),
    }
}

fn because(reason: Option<&String>) -> String {
    reason.map_or_else(String::new, |reason| format!(", because: {reason}"))
}
