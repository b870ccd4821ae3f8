//! An event of a game's day in one line, and a situation, as a person reads them.

use super::fold::{Outage, Phase};
use super::{By, Early, Ending, Event, GameCard, when};
use crate::announcement::clock_text;
use rules::book::Book;
use rules::book::effect::Part;
use rules::game::advance::fouls::{self, Decision, Fouled};
use rules::game::advance::{Advance, Did, Tried};
use rules::game::situation::{Next, Situation, Team};

/// The phase of a game in words.
pub fn phase(phase: Phase) -> &'static str {
    match phase {
        Phase::New => "not opened",
        Phase::Open => "open",
        Phase::Closed => "closed",
    }
}

/// The ending of a review in words.
pub fn ending(how: Ending) -> &'static str {
    match how {
        Ending::Ruled => "ruled",
        Ending::Refused => "refused",
        Ending::Withdrawn => "withdrawn",
        Ending::CutShort => "cut short",
    }
}

/// An event in one line.
pub fn event(event: &Event) -> String {
    match event {
        Event::Opened(opened) => {
            let card = &opened.card;
            let cameras: Vec<&str> = card.cameras.iter().map(|camera| camera.name.as_str()).collect();
            let week = card.week.map_or_else(String::new, |week| format!(", week {week}"));
            format!(
                "opened under {} {}{week}, at {}; cameras: {}",
                opened.book,
                opened.edition.get(..12).unwrap_or(&opened.edition),
                card.venue,
                cameras.join(", ")
            )
        }
        Event::Checked { item, done: true } => format!("checked: {item}"),
        Event::Checked { item, done: false } => format!("unchecked: {item}"),
        Event::Moved { to, by } => format!("{}: {}", self::by(by), situation(to)),
        Event::Undone { act } => format!("took back act {act}"),
        Event::Looked { play } => format!("looked at play {play}, no stop"),
        Event::ReviewBegan { review, play } => format!("review {review} of play {play} begins"),
        Event::ReviewEnded { review, how, to } => {
            let to = to.map_or_else(String::new, |to| format!(": {}", situation(&to)));
            format!("review {review} is over, {}{to}", ending(*how))
        }
        Event::OutOfService { reason, words } => {
            format!("replay is out of service, because: {reason}; both coaches were told: {words}")
        }
        Event::BackInService { words } => {
            format!("replay is back in service; both coaches were told: {words}")
        }
        Event::Closed => "closed".to_owned(),
        Event::EndedEarly { how, score, reason, words } => {
            format!("{}, {} : {}, because: {reason}; announced: {words}", early(*how), score.home, score.away)
        }
        Event::Reopened { reason } => format!("reopened, because: {reason}"),
        Event::CardCorrected { from, to, reason } => {
            let because = reason.as_ref().map_or(String::new(), |reason| format!(", because: {reason}"));
            format!("the card was corrected{because}: {}", changes(from, to).join("; "))
        }
        Event::HandedOver { from: Some(from), to } => format!("{from} handed the desk over to {to}"),
        Event::HandedOver { from: None, to } => format!("{to} sits at the desk"),
        Event::CameraLost { camera, reason } => format!("camera {camera} is out, because: {reason}"),
        Event::CameraBack { camera } => format!("camera {camera} is back"),
    }
}

/// How a game ended early, in words.
pub fn early(how: Early) -> String {
    match how {
        Early::Forfeit(team) => format!("forfeited by {}", name(team)),
        Early::Suspended => "suspended".to_owned(),
        Early::Called => "ended early".to_owned(),
    }
}

/// What differs between two cards, each as `what: old, now new`.
pub fn changes(from: &GameCard, to: &GameCard) -> Vec<String> {
    let lines = |card: &GameCard| {
        let listed = |all: Vec<String>| all.join(", ");
        let camera = |camera: &super::Camera| match camera.sees == camera.name {
            true => camera.name.clone(),
            false => format!("{} ({})", camera.name, camera.sees),
        };
        let names = &card.names;
        [
            ("week", card.week.map_or_else(|| "none".to_owned(), |week| week.to_string())),
            ("home", format!("{}, {}", names.teams.home, names.short.home)),
            ("visitors", format!("{}, {}", names.teams.away, names.short.away)),
            ("venue", card.venue.clone()),
            ("cameras", listed(card.cameras.iter().map(camera).collect())),
            (
                "duties",
                listed(card.duties.iter().map(|duty| format!("{}: {}", duty.duty, duty.who)).collect()),
            ),
        ]
    };
    let both = lines(from).into_iter().zip(lines(to));
    both.filter(|(old, new)| old != new)
        .map(|((what, old), (_, new))| format!("{what}: {old}, now {new}"))
        .collect()
}

/// `camera low wall out from Q2 4:41 to Q2 2:10: no signal`.
pub fn outage(book: Option<&Book>, outage: &Outage) -> String {
    let at = |at: &Option<Situation>| match (at, book) {
        (None, _) => "before the game".to_owned(),
        (Some(at), None) => format!("period {} {}", at.period, clock_text(at.clock_ms)),
        (Some(at), Some(book)) => when(book, at),
    };
    let Outage { camera, reason, from, back, to } = outage;
    let until = if *back { format!("to {}", at(to)) } else { "on".to_owned() };
    format!("camera {camera} out from {} {until}: {reason}", at(from))
}

fn by(by: &By) -> String {
    match by {
        By::Set => "set".to_owned(),
        By::Play(play) => played(*play),
        By::Fouls(fouled) => {
            let fouls: Vec<String> = fouled
                .fouls
                .iter()
                .map(|foul| {
                    let spot = foul.spot.map_or_else(String::new, |spot| format!(", spot {spot}"));
                    format!("{} on the {}{spot}", fouls::text::called(foul), fouls::text::side(foul.by))
                })
                .collect();
            let decided: Vec<String> = fouled.decided.iter().map(|one| decision(fouled, *one)).collect();
            let decided = match decided.as_slice() {
                [] => String::new(),
                all => format!("; {}", all.join("; ")),
            };
            format!("{}; {}{decided}", played(fouled.play), fouls.join("; "))
        }
        By::Correction { reason: Some(reason) } => format!("corrected, because: {reason}"),
        By::Correction { reason: None } => "corrected".to_owned(),
        By::Timeout(team) => format!("timeout, {}", name(*team)),
        By::Period => "the period begins".to_owned(),
    }
}

fn played(Advance { did, clock_ms }: Advance) -> String {
    format!("{} at {}", play_text(did), clock_text(clock_ms))
}

/// A decision with the penalties' names, without a book.
fn decision(fouled: &Fouled, decision: Decision) -> String {
    fouls::text::decision(decision, |number| fouled.name(number))
}

/// The result of a play in words.
pub fn play_text(did: Did) -> String {
    match did {
        Did::Down { at } => format!("down at {at}"),
        Did::OutOfBounds { at } => format!("out of bounds at {at}"),
        Did::Incomplete => "incomplete".to_owned(),
        Did::Touchdown { by: Part::Offense } => "touchdown".to_owned(),
        Did::Touchdown { by: Part::Defense } => "touchdown by the other team".to_owned(),
        Did::FieldGoal { good: true } => "field goal good".to_owned(),
        Did::FieldGoal { good: false } => "field goal missed".to_owned(),
        Did::Safety => "safety".to_owned(),
        Did::Kicked { to } => format!("kicked, the play over at {to}"),
        Did::Touchback => "touchback".to_owned(),
        Did::Turnover { at } => format!("turnover, the play over at {at}"),
        Did::Regained { at } => format!("lost and won back, the play over at {at}"),
        Did::KickKept { at } => format!("the kickers kept their kick at {at}"),
        Did::Tried(Tried::Kick) => "try kicked".to_owned(),
        Did::Tried(Tried::Run) => "try run or passed".to_owned(),
        Did::Tried(Tried::Failed) => "try failed".to_owned(),
        Did::Tried(Tried::Returned) => "try returned".to_owned(),
        Did::Again => "to be played again".to_owned(),
        Did::Nothing => "no play".to_owned(),
    }
}

fn name(team: Team) -> &'static str {
    match team {
        Team::Home => "home",
        Team::Away => "visitors",
    }
}

/// `period 2, 4:41, home ball, down 4 and 1.5 at 38.5; 20 : 14`.
pub fn situation(at: &Situation) -> String {
    let next = match at.next {
        Next::Scrimmage { down, to_go } => format!("down {down} and {to_go} at {}", at.spot),
        Next::Try => format!("try at {}", at.spot),
        Next::FreeKick => format!("free kick at {}", at.spot),
    };
    format!(
        "period {}, {}, {} ball, {next}; {} : {}, timeouts {} : {}",
        at.period,
        clock_text(at.clock_ms),
        name(at.offense),
        at.score.home,
        at.score.away,
        at.timeouts.home,
        at.timeouts.away
    )
}
