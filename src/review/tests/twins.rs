//! Two flags of one name in a review, and a play on which the ball changed hands twice: each counts for itself.

use crate::held::{Held, begun};
use field::exact::Yards;
use review::decide::{Command, now, questions};
use review::event::{Asked, ReadBack};
use review::gate::Entry;
use rules::book::effect::{DeadBy, Part};
use rules::book::tree::Set;
use rules::book::{Book, load, shipped};
use rules::game::advance::{Start, opening};
use rules::game::apply::Restart;
use rules::game::play::{Choice, Flag, PlayEnd};
use rules::game::situation::{End, Next, Situation, Team};

fn book() -> Book {
    load::load("saltmarsh", &shipped::sources("saltmarsh").expect("it is in it")).expect("it is sound")
}

/// A review of third and 6 from the 20, down at the 24, with this call; nothing is answered.
fn held<'b>(book: &'b Book, tree: &str, call: &str, end: PlayEnd, flags: &[Flag]) -> Held<'b> {
    let begin = opening(book, Start { team: Team::Home, attacks: End::East });
    let next = Next::Scrimmage { down: 3, to_go: Yards::whole(6) };
    let at_snap = Situation { clock_ms: 600_000, clock_running: true, next, spot: Yards::whole(20), ..begin };
    let (tree, call) = (tree.to_owned(), call.to_owned());
    let asked = Asked { tree, call, whistle: None, ruled: Vec::new(), entry: Entry::Challenged };
    let mut held = begun(book, (at_snap, Yards::whole(22)), &asked).expect("somebody may ask");
    let clock_ms = Some(held.review.situation().expect("called").clock_ms - 6_000);
    let end = PlayEnd { clock_ms, ..end };
    held.act(Command::Flag(flags.to_vec())).expect("they are penalties");
    held.act(Command::ReadBack(ReadBack { spot: Some(end.spot), clock_ms, end: Some(end) })).expect("it may");
    held
}

fn down() -> PlayEnd {
    let (spot, dead_by) = (Yards::whole(24), DeadBy::Down);
    PlayEnd { spot, clock_ms: None, dead_by, points: None, turnover: false, regained: false }
}

fn restart(held: &Held<'_>) -> Restart {
    now(held.book, &held.review, &questions(held.book, &held.review)).expect("it is asked").restart
}

fn mask(by: Part, dead: bool) -> Flag {
    Flag { name: "face mask".to_owned(), by, spot: Some(Yards::whole(23)), dead, clock_ms: None }
}

// PROPERTY: of two flags of one name in a review each is accepted or declined by itself
#[test]
fn each_of_two_flags_of_one_name_is_declined_by_itself() {
    let book = book();
    let all = [(Part::Offense, false), (Part::Offense, true), (Part::Defense, false), (Part::Defense, true)];
    for one in all {
        for other in all.into_iter().filter(|other| *other != one && (one.0 == other.0 || one.1 || other.1)) {
            let flags = [mask(one.0, one.1), mask(other.0, other.1)];
            let both = || held(&book, "line-reached", "short", down(), &flags);
            let names = restart(&both()).chosen_as;
            for (number, flag) in flags.iter().enumerate() {
                let mut declined = both();
                let penalty = flag.chosen_as(&flags);
                assert!(names.contains(&penalty), "{names:?}");
                declined.act(Command::Choose { penalty, choice: Choice::Decline }).expect("it stands");
                let alone = held(&book, "line-reached", "short", down(), &[flags[1 - number].clone()]);
                assert_eq!(restart(&declined).after, restart(&alone).after, "{flags:?}, {number} declined");
            }
        }
    }
    let flags = [mask(Part::Defense, false), mask(Part::Offense, true)];
    let names = restart(&held(&book, "line-reached", "short", down(), &flags)).chosen_as;
    assert_eq!(names, ["face mask on the defense, live", "face mask on the offense, dead"]);
    let mut wrong = held(&book, "line-reached", "short", down(), &flags);
    let penalty = "face masks on the offense, dead".to_owned();
    assert!(wrong.act(Command::Choose { penalty, choice: Choice::Decline }).is_err());
}

/// The question is about the first; the other one, after the play, stays whatever is found.
#[test]
fn a_question_about_one_of_two_leaves_the_other() {
    let book = book();
    let flags = [mask(Part::Defense, false), mask(Part::Defense, true)];
    let mut asked = held(&book, "face-mask", "foul", down(), &flags);
    let tree = book.tree("face-mask").expect("it is there");
    asked.step(tree, 0, Set::one(1)).expect("no grasp");
    let only = held(&book, "line-reached", "short", down(), &flags[1..]);
    let (found, alone) = (restart(&asked), restart(&only));
    assert_eq!(found.chosen_as, ["face mask on the defense, dead"]);
    assert_eq!((found.after.spot, found.after.next), (alone.after.spot, alone.after.next));
}

/// NCAA 5-1-1-e; the extensions, section 12: whoever has the ball after it changed hands begins a series.
#[test]
fn a_play_on_which_the_ball_was_won_back_leaves_a_first_down() {
    let book = book();
    let regained = PlayEnd { regained: true, ..down() };
    for (end, expected) in [(down(), (4, 2)), (regained, (1, 10))] {
        let after = restart(&held(&book, "face-mask", "none", end, &[])).after;
        let Next::Scrimmage { down, to_go } = after.next else { panic!("{after:?}") };
        assert_eq!(((down, to_go), after.offense), ((expected.0, Yards::whole(expected.1)), Team::Home));
    }
}
