//! Every question that can put a foul of the offense where it happened: the mark of that spot is asked for like any other,
//! and behind the offense's own goal line the restart is a safety.
//!
//! Sources: NCAA 8-5-1-b, 10-2-2 (a penalty enforced behind the own goal line is a safety; the team with the ball that fouls
//! behind the basic spot has it enforced from the spot); league 4.11, 4.12, 4.19 (three-and-one) and the extensions,
//! section 11.

use crate::held::{Held, begun};
use field::exact::Yards;
use review::decide::{Command, now, questions};
use review::event::{Asked, ReadBack};
use review::gate::Entry;
use rules::book::effect::{DeadBy, Effect, Fouler, Part};
use rules::book::tree::{OnCall, Tree};
use rules::book::{Book, load, shipped};
use rules::game::advance::{Start, opening};
use rules::game::enforce::Done;
use rules::game::open::Open;
use rules::game::play::{Flag, PlayEnd};
use rules::game::situation::{End, Next, Situation, Team};
use std::collections::BTreeSet;
use testing::rulings::{Found, every_finding};

fn book(id: &str) -> Book {
    load::load(id, &shipped::sources(id).expect("it is in the program")).expect("it is sound")
}

/// What a question makes of the call that is under review: by the finding, or else the call's own result.
fn effects<'t>(found: &Found<'t>) -> &'t [Effect] {
    let call = &found.question.tree.calls[found.question.call];
    match found.question.tree.findings[found.finding].on.get(&found.question.call) {
        Some(OnCall::Changes { effects, .. } | OnCall::AgreesIfOn { effects, .. }) => effects,
        Some(OnCall::Agrees { correction }) if !correction.is_empty() => correction,
        Some(OnCall::Agrees { .. } | OnCall::Barred(_)) | None => &call.result,
    }
}

/// The live foul of the offense among these effects, if its penalty is measured from where it happened.
fn from_its_spot<'t>(book: &Book, effects: &'t [Effect]) -> Option<&'t str> {
    effects.iter().filter_map(Effect::foul).find_map(|(name, by, dead)| {
        let penalty = &book.penalties[name];
        let offense = by != Fouler::Defense && penalty.by != Some(Part::Defense);
        (offense && !dead && penalty.needs_spot(Part::Offense, false)).then_some(name)
    })
}

/// Second and 8 at the own 4.
fn at_snap(book: &Book) -> Situation {
    let begun = opening(book, Start { team: Team::Home, attacks: End::East });
    let next = Next::Scrimmage { down: 2, to_go: Yards::whole(8) };
    Situation { clock_ms: 600_000, clock_running: true, next, spot: Yards::whole(4), ..begun }
}

/// A review that has been walked to the finding, with no mark but those of its steps.
fn walked<'b>(book: &'b Book, found: &Found<'b>, name: &str, marks: Yards) -> Option<Held<'b>> {
    let tree: &Tree = found.question.tree;
    let call = &tree.calls[found.question.call];
    let asked = Asked {
        tree: tree.id.clone(),
        call: call.name.clone(),
        whistle: None,
        ruled: Vec::new(),
        entry: Entry::Challenged,
    };
    let mut held = begun(book, (at_snap(book), marks), &asked)?;
    let (spot, clock_ms) = (Yards::whole(3), Some(29_000));
    let end =
        PlayEnd { spot, clock_ms, dead_by: DeadBy::Down, points: None, turnover: false, regained: false };
    held.act(Command::ReadBack(ReadBack { spot: Some(spot), clock_ms, end: Some(end) }))
        .expect("it can be read back");
    if !call.no_call {
        let (name, by) = (name.to_owned(), Part::Offense);
        held.act(Command::Flag(vec![Flag { name, by, spot: None, dead: false, clock_ms: None }]))
            .expect("it may");
    }
    held.walk(found)?.expect("it is proven");
    Some(held)
}

/// Every finding about every call that leaves such a foul, with a review that has come to it.
fn each(book: &Book, marks: Yards, mut check: impl FnMut(&str, Held<'_>)) -> BTreeSet<String> {
    let mut seen = BTreeSet::new();
    for found in every_finding(book).iter().filter(|found| found.question.whistle.is_none()) {
        let Some(name) = from_its_spot(book, effects(found)) else { continue };
        let tree = found.question.tree;
        let (call, finding) = (&tree.calls[found.question.call].name, &tree.findings[found.finding].name);
        let Some(held) = walked(book, found, name, marks) else { continue };
        let asked = questions(book, &held.review);
        let ruling = now(book, &held.review, &asked).expect("it is asked");
        // The finding may be about a foul of the other team, or say that there was none.
        if !ruling.restart.fouls.iter().any(|foul| foul.name == name && foul.by == Team::Home) {
            continue;
        }
        seen.insert(tree.id.clone());
        check(&format!("{} `{call}` `{finding}`", tree.id), held);
    }
    seen
}

const FROM_THE_SPOT: [(&str, &[&str]); 2] = [
    ("saltmarsh", &["face-mask", "forward-bat", "hands-to-face", "pass-direction"]),
    ("college", &["forward-handing", "grounding-goal-line", "pass-beyond", "pass-or-fumble", "targeting"]),
];

// PROPERTY: a foul that a review leaves and that is measured from its spot is asked for by its mark, never by the flag
#[test]
fn a_foul_of_the_offense_that_goes_from_its_spot_asks_for_its_mark() {
    for (id, expected) in FROM_THE_SPOT {
        let book = book(id);
        let seen = each(&book, Yards::whole(2), |what, mut held| {
            for _ in 0..4 {
                let asked = questions(&book, &held.review);
                let open = now(&book, &held.review, &asked).expect("it is asked").restart.open;
                let Some(first) = open.first() else { break };
                let moment = first.moment().unwrap_or_else(|| panic!("{id} {what}: {first}")).to_owned();
                assert!(matches!(first, Open::Spot(_) | Open::Clock(_)), "{id} {what}: {first}");
                held.mark(&moment).expect("it may be marked");
            }
            held.act(Command::Rule).unwrap_or_else(|no| panic!("{id} {what}: {no}"));
        });
        assert_eq!(seen.iter().map(String::as_str).collect::<Vec<_>>(), expected, "{id}");
    }
}

// PROPERTY: a review that leaves a foul of the offense behind its own goal line, enforced there, gives a safety
#[test]
fn behind_the_own_goal_line_such_a_foul_is_a_safety() {
    for (id, expected) in FROM_THE_SPOT {
        let book = book(id);
        let seen = each(&book, Yards::whole(-2), |what, mut held| {
            held.complete().unwrap_or_else(|no| panic!("{id} {what}: {no}"));
            held.act(Command::Rule).unwrap_or_else(|no| panic!("{id} {what}: {no}"));
            let signed = held.review.ruling.as_ref().expect("it is ruled");
            assert!(signed.fouls.iter().any(|foul| foul.done == Done::Accepted), "{id} {what}");
            let after = signed.after;
            assert_eq!((after.score.home, after.score.away), (0, 2), "{id} {what}");
            assert_eq!((after.next, after.offense), (Next::FreeKick, Team::Home), "{id} {what}");
            let free_kick = if id == "college" { 20 } else { 0 };
            assert_eq!(after.spot, Yards::whole(free_kick), "{id} {what}");
        });
        assert_eq!(seen.iter().map(String::as_str).collect::<Vec<_>>(), expected, "{id}");
    }
}

#[test]
fn the_other_team_may_decline_the_safety() {
    let book = book("saltmarsh");
    let mut held_one = 0;
    each(&book, Yards::whole(-2), |what, mut held| {
        let asked = questions(&book, &held.review);
        let foul = now(&book, &held.review, &asked).expect("it is asked").restart.fouls[0].name.clone();
        let choice = rules::game::play::Choice::Decline;
        held.act(Command::Choose { penalty: foul, choice }).expect("it may");
        held.complete().unwrap_or_else(|no| panic!("{what}: {no}"));
        held.act(Command::Rule).unwrap_or_else(|no| panic!("{what}: {no}"));
        let after = held.review.ruling.as_ref().expect("it is ruled").after;
        assert_eq!((after.score.home, after.score.away), (0, 0), "{what}");
        held_one += 1;
    });
    assert!(held_one > 0);
}
