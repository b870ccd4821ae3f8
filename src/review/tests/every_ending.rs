//! Every question of both books with every call and finding, on plays that ended in every way: each can be held to its
//! signed ruling by the commands that a desk sends, without an override, and the ruling is the engine's.
//!
//! Thinned by one rule, to stay quick: every ending on the same third down; elsewhere (behind either goal line, on a free
//! kick, on a try, on fourth and 1) only the endings that can differ there. A free kick is held for the questions about a
//! runner or a kick. Marks are all at one place, so that what is missing is the only thing that can stop a ruling; where
//! the book refuses that place, because the finding says that the ball was in the field, it is marked there.

use crate::coverage;
use crate::coverage::{Cell, Cells};
use crate::held::{Held, begun};
use field::exact::Yards;
use review::decide::{Command, now, questions};
use review::event::{Asked, ReadBack};
use review::gate::Entry;
use rules::book::effect::{DeadBy, Effect, Part, Points};
use rules::book::tree::{OnCall, Tree};
use rules::book::{Book, load, shipped};
use rules::game::advance::{Start, opening};
use rules::game::play::PlayEnd;
use rules::game::situation::{End, Next, Situation, Team};
use testing::rulings::{Found, every_finding};

/// A snap and where everything is marked, with the ways in which its play ends.
struct Place {
    name: &'static str,
    situation: Situation,
    marks: Yards,
    endings: Vec<(&'static str, Option<PlayEnd>)>,
}

/// The ways in which a play ends at this spot, and one that was never run.
fn endings(spot: Yards) -> Vec<(&'static str, Option<PlayEnd>)> {
    let end = |dead_by, points, turnover| {
        Some(PlayEnd { spot, clock_ms: Some(594_000), dead_by, points, turnover, regained: false })
    };
    let touchdown = |by| Some((Points::Touchdown, by));
    vec![
        ("not given", None),
        ("down", end(DeadBy::Down, None, false)),
        ("out of bounds", end(DeadBy::OutOfBounds, None, false)),
        ("incomplete", end(DeadBy::Incomplete, None, false)),
        ("touchdown", end(DeadBy::Score, touchdown(Part::Offense), false)),
        ("field goal", end(DeadBy::Score, Some((Points::FieldGoal, Part::Offense)), false)),
        ("safety", end(DeadBy::Score, Some((Points::Safety, Part::Defense)), false)),
        ("turnover", end(DeadBy::Down, None, true)),
        ("returned for a touchdown", end(DeadBy::Score, touchdown(Part::Defense), true)),
    ]
}

/// The snaps that are held, the first with every ending.
fn places(book: &Book) -> Vec<Place> {
    let length = book.field.length;
    let begun = opening(book, Start { team: Team::Home, attacks: End::East });
    let at = |down, to_go, spot| {
        let next = Next::Scrimmage { down, to_go: Yards::whole(to_go) };
        Situation { clock_ms: 600_000, clock_running: true, next, spot, ..begun }
    };
    let only = |spot, names: &[&str]| {
        endings(spot).into_iter().filter(|(name, _)| names.contains(name)).collect::<Vec<_>>()
    };
    let whole = Yards::whole;
    let a_try = Situation { next: Next::Try, spot: length - book.game.try_spot, ..at(1, 10, whole(20)) };
    let place = |name, situation, marks, endings| Place { name, situation, marks, endings };
    vec![
        place("3rd and 6", at(3, 6, whole(20)), whole(22), endings(whole(24))),
        place("4th and 1", at(4, 1, whole(20)), whole(22), endings(whole(24))),
        place("own end zone", at(2, 8, whole(4)), whole(-2), only(whole(3), &["down", "turnover"])),
        place(
            "far end zone",
            at(2, 4, length - whole(4)),
            length + whole(2),
            only(length - whole(3), &["down", "turnover"]),
        ),
        place("a free kick", begun, whole(22), only(whole(24), &["not given", "down", "turnover"])),
        place("a free kick, end zone", begun, length + whole(2), only(length - whole(5), &["turnover"])),
        place(
            "a try",
            a_try,
            length - whole(1),
            only(length - whole(2), &["not given", "down", "touchdown"]),
        ),
    ]
}

/// Whether a question can be about a free kick: a runner, or who recovered what.
fn fits_a_kick(tree: &Tree) -> bool {
    let on = tree.findings.iter().flat_map(|finding| finding.on.values());
    let on = on.flat_map(|on| match on {
        OnCall::Agrees { correction: effects } | OnCall::AgreesIfOn { effects, .. } => effects.clone(),
        OnCall::Changes { effects, .. } => effects.clone(),
        OnCall::Barred(_) => Vec::new(),
    });
    on.chain(tree.calls.iter().flat_map(|call| call.result.clone())).any(|effect| {
        matches!(effect, Effect::HadAsRuled | Effect::Recovered { .. } | Effect::RunBack)
            || tree.id.starts_with("free-kick")
    })
}

/// The most that a review may ask for besides its steps and their marks, such as how the play ended when the call is read
/// back, and one mark for the restart.
const MOST_BESIDE: usize = 2;

/// The findings that ask for one thing more, both of the published book: a foul that only the review finds brings the spot
/// where the passer was, and a kick that the receivers never touched is spotted where the kickers first did; both besides
/// the clock of the dead ball and how the play ended.
const ONE_MORE: [(&str, &str); 2] = [("pass-or-fumble", "grounding"), ("kick-touched", "untouched")];

/// Holds one review to its ruling: how much it asked for besides its steps and their marks, or what is wrong with it.
/// `None` where what the situation tells excludes the finding.
fn held(mut held: Held<'_>, found: &Found<'_>, end: Option<PlayEnd>) -> Option<Result<usize, String>> {
    let spot = end.map(|end| end.spot);
    let clock_ms = end.and_then(|end| end.clock_ms).or(Some(594_000)).map(|ms| ms.min(29_000));
    let end = end.map(|end| PlayEnd { clock_ms, ..end });
    if let Err(no) = held.act(Command::ReadBack(ReadBack { spot, clock_ms, end })) {
        return Some(Err(no));
    }
    if end.is_some() {
        held.beside.insert("how the play ended".to_owned());
    }
    Some(held.walk(found)?.and_then(|()| signed(held, found)))
}

fn signed(mut held: Held<'_>, found: &Found<'_>) -> Result<usize, String> {
    let tree = found.question.tree;
    held.complete()?;
    let more = ONE_MORE.contains(&(tree.id.as_str(), tree.findings[found.finding].name.as_str()));
    if held.beside.len() > MOST_BESIDE + usize::from(more) {
        return Err(format!("asked for besides the steps and their marks: {:?}", held.beside));
    }
    let asked = questions(held.book, &held.review);
    let by_engine = now(held.book, &held.review, &asked).map_err(|no| no.because)?;
    let is_left = asked[0].stance(held.book).established(by_engine.questions[0].possible);
    held.act(Command::Rule)?;
    let signed = held.review.ruling.as_ref().ok_or("nothing was signed")?;
    if !signed.overrides.is_empty() {
        return Err(format!("signed with {:?}", signed.overrides));
    }
    if signed.after != by_engine.restart.after || signed.fouls != by_engine.restart.fouls {
        return Err(format!(
            "{:?} is signed, and the engine says {:?}",
            signed.after, by_engine.restart.after
        ));
    }
    let possible = &signed.questions[0].possible;
    let name = &tree.findings[found.finding].name;
    match possible.contains(name) && (is_left || possible.len() > 1) {
        true => Ok(held.beside.len()),
        false => Err(format!("`{name}` was answered, and {possible:?} is left")),
    }
}

/// The moments at which a whistle may have come before: those of the question's steps, and none.
fn whistles(tree: &Tree) -> Vec<Option<String>> {
    let moments = tree.steps.iter().flat_map(|step| step.proof.moments()).filter(|moment| *moment != "snap");
    [None].into_iter().chain(moments.take(1).map(|moment| Some(moment.to_owned()))).collect()
}

// PROPERTY: every question, call and finding on a play that ended in any way can be signed without an override
// PROPERTY: no review asks for more than two things besides its steps and their marks
#[test]
fn every_finding_on_a_play_that_ended_in_any_way_is_signed_without_an_override() {
    let mut page = coverage::HEAD.to_owned();
    for id in ["saltmarsh", "college"] {
        let book = load::load(id, &shipped::sources(id).expect("it is in the program")).expect("it is sound");
        let (mut cells, mut wrong) = (Cells::new(), Vec::new());
        for (found, place) in every_finding(&book)
            .iter()
            .filter(|found| found.question.whistle.is_none())
            .flat_map(|found| places(&book).into_iter().map(move |place| (found, place)))
        {
            let tree = found.question.tree;
            if place.situation.next == Next::FreeKick && !fits_a_kick(tree) {
                continue;
            }
            let (call, finding) = (&tree.calls[found.question.call].name, &tree.findings[found.finding].name);
            for whistle in whistles(tree) {
                let (tree_id, ruled, entry) = (tree.id.clone(), Vec::new(), Entry::Challenged);
                let asked = Asked { tree: tree_id, call: call.clone(), whistle, ruled, entry };
                for (ending, end) in &place.endings {
                    let cell = (tree.id.clone(), call.clone(), finding.clone(), *ending);
                    let cell: &mut Cell = cells.entry(cell).or_default();
                    // Where the gate lets nobody ask, there is nothing to hold.
                    let at = (place.situation, place.marks);
                    let Some(begun) = begun(&book, at, &asked) else {
                        cell.closed += 1;
                        continue;
                    };
                    match held(begun, found, *end) {
                        Some(Ok(beside)) => {
                            cell.signed += 1;
                            cell.beside = cell.beside.max(beside);
                        }
                        Some(Err(why)) => wrong.push(format!(
                            "{id} {} `{call}` {:?} `{finding}` {}, {ending}: {why}",
                            tree.id, asked.whistle, place.name
                        )),
                        None => cell.excluded += 1,
                    }
                }
            }
        }
        let signed: usize = cells.values().map(|cell| cell.signed).sum();
        let some: Vec<&String> = wrong.iter().take(60).collect();
        assert!(wrong.is_empty(), "{} of {}:\n{some:#?}", wrong.len(), wrong.len() + signed);
        let endings: Vec<&str> = endings(Yards::whole(24)).into_iter().map(|(name, _)| name).collect();
        page.push_str(&coverage::rows(&book, &endings, &cells));
    }
    coverage::check(&page);
}
