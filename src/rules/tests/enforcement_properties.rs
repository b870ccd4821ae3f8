//! What holds of every ruling on a play with fouls, over random plays, in both books.
//!
//! `TELLFRAME_PLAYS=1000000` runs a million of them for each book; by default fewer.

use rules::book::Book;
use rules::book::effect::Part;
use rules::book::load::load;
use rules::book::penalty::Distance;
use rules::book::shipped;
use rules::game::course::Foul;
use rules::game::enforce::basic_spot::Why;
use rules::game::enforce::options::{Kind, better};
use rules::game::enforce::reading::Ran;
use rules::game::enforce::{Around, Picks, Ruling, enforce};
use rules::game::situation::{Next, Situation, Team};
use std::cmp::Ordering;
use testing::plays::{Numbers, course, fouls, situation};
use testing::{accounted, swapped};

/// Plays for each book, unless the environment sets another number.
const PLAYS: u64 = 4_000;

fn books() -> Vec<Book> {
    let book = |name: &str| {
        let sources = shipped::sources(name).expect("the book is inside the program");
        load(name, &sources).expect("the book is sound")
    };
    vec![book("college"), book("saltmarsh")]
}

struct Case<'b> {
    ran: Ran,
    fouls: Vec<Foul<'b>>,
    ruling: Ruling,
}

fn case<'b>(book: &'b Book, seed: u64, mirrored: bool) -> Case<'b> {
    let mut numbers = Numbers(seed);
    let mut at_snap = situation(book, &mut numbers);
    if mirrored {
        at_snap = swapped(at_snap);
    }
    let ran = if numbers.below(10) == 0 {
        Ran::nothing(at_snap, at_snap.clock_ms)
    } else {
        let course = course(book, &at_snap, &mut numbers);
        let clock_ms = at_snap.clock_ms.saturating_sub(1000 * numbers.below(12) as i64).max(0);
        Ran::read(book, at_snap, &course, clock_ms)
    };
    let fouls = fouls(book, ran.stages.len(), &mut numbers);
    let picks = Picks::better();
    let ruling = enforce(book, &ran, Around { fouls: &fouls, stoppages: &[], picks: &picks });
    Case { ran, fouls, ruling }
}

fn every_play(check: impl Fn(&Book, u64, &Case<'_>)) {
    let asked = std::env::var("TELLFRAME_PLAYS").ok();
    let plays = asked.map_or(PLAYS, |text| text.parse().expect("TELLFRAME_PLAYS is a number"));
    for book in books() {
        for seed in 0..plays {
            check(&book, seed, &case(&book, seed, false));
        }
    }
}

// PROPERTY: the ball lies between the goal lines, the down is one of the game
#[test]
fn the_ball_lies_between_the_goal_lines_and_the_down_is_one_of_the_game() {
    every_play(|book, seed, case| {
        let results = case.ruling.options.iter().map(|option| option.after).chain([case.ruling.after]);
        for after in results {
            let possible = after.possible(&book.field, &book.game);
            assert!(possible.is_ok(), "{} {seed}: {possible:?} {:?} {:?}", book.id, case.ran, case.fouls);
            if let Next::Scrimmage { to_go, .. } = after.next {
                assert!(to_go <= book.field.length - after.spot, "{} {seed}: {after:?}", book.id);
            }
        }
    });
}

// PROPERTY: points come only from a score
#[test]
fn points_come_only_from_a_score_and_are_one_teams() {
    every_play(|book, seed, case| {
        for option in &case.ruling.options {
            let gain = |team| option.after.score.of(team) - case.ran.at_snap.score.of(team);
            let (home, away) = (gain(Team::Home), gain(Team::Away));
            let table = book.game.points;
            let worth = [
                table.touchdown,
                table.field_goal,
                table.safety,
                table.try_kick,
                table.try_run,
                table.try_return,
                table.try_safety,
            ];
            assert!(home == 0 || away == 0, "{} {seed}: {option:?}", book.id);
            let points = home.max(away);
            assert!(points == 0 || worth.contains(&points), "{} {seed}: {points}", book.id);
            let scored = case.ran.ending.points.is_some();
            let foul = option.walked.iter().any(|walked| {
                let by = case.fouls[walked.foul].by;
                walked.to == walked.from
                    && match by {
                        Part::Offense => walked.from == field::exact::Yards::ZERO,
                        Part::Defense => walked.from == book.field.length,
                    }
            });
            assert!(points == 0 || scored || foul, "{} {seed}: {option:?}", book.id);
            // A series of overtime that ended with points is followed by the other team's.
            if points > 0 && !case.ran.at_snap.in_short_series(&book.game) {
                assert!(!matches!(option.after.next, Next::Scrimmage { .. }), "{} {seed}", book.id);
            }
        }
    });
}

// PROPERTY: no penalty beyond half the distance
#[test]
fn no_penalty_goes_beyond_half_the_distance() {
    every_play(|book, seed, case| {
        for walked in case.ruling.options.iter().flat_map(|option| &option.walked) {
            let foul = &case.fouls[walked.foul];
            let to_spot = matches!(foul.penalty.distance_by(foul.by), Distance::ToSpot { .. });
            if walked.why == Why::Beyond || to_spot {
                continue;
            }
            let left = match foul.by {
                Part::Offense => walked.from,
                Part::Defense => book.field.length - walked.from,
            };
            assert!(walked.distance <= left.half(), "{} {seed}: {walked:?} {foul:?}", book.id);
        }
    });
}

// PROPERTY: declining everything is the result of the play
#[test]
fn who_declines_everything_has_the_result_of_the_play() {
    every_play(|book, seed, case| {
        let dead = case
            .ruling
            .options
            .iter()
            .any(|option| option.walked.iter().any(|walked| walked.why == Why::Succeeding));
        for option in
            case.ruling.options.iter().filter(|option| matches!(option.kind, Kind::Decline | Kind::Play))
        {
            let after = Situation { clock_running: case.ran.result.clock_running, ..option.after };
            let none = option.walked.is_empty();
            assert!(!none || after == case.ran.result || dead, "{} {seed}: {option:?}", book.id);
        }
    });
}

// PROPERTY: swapped teams and ends swap the ruling
#[test]
fn swapping_the_teams_and_the_ends_swaps_the_ruling() {
    every_play(|book, seed, one| {
        let other = self::case(book, seed, true);
        assert_eq!(swapped(other.ruling.after), one.ruling.after, "{} {seed}", book.id);
        assert_eq!(other.ruling.chooser, one.ruling.chooser.other(), "{} {seed}", book.id);
        assert_eq!(other.ruling.clock_starts, one.ruling.clock_starts, "{} {seed}", book.id);
        let kinds =
            |ruling: &Ruling| -> Vec<Kind> { ruling.options.iter().map(|option| option.kind).collect() };
        assert_eq!(kinds(&other.ruling), kinds(&one.ruling), "{} {seed}", book.id);
    });
}

// PROPERTY: every number says how it came about, and its last entry is the number
#[test]
fn every_number_of_the_result_has_its_account() {
    every_play(|book, seed, case| {
        let ledger = case.ruling.ledger(&case.ran, &case.fouls);
        let what = || format!("{} {seed}: {:?} {:?}", book.id, case.ran, case.fouls);
        accounted(&ledger, &case.ruling.after, case.ruling.clock_starts, &what);
    });
}

// PROPERTY: accounts add up, the choice is the better one
#[test]
fn the_accounts_add_up_and_the_choice_is_the_better_one() {
    every_play(|book, seed, case| {
        let (before, after) = (&case.ran.at_snap, &case.ruling.after);
        assert_eq!(before.timeouts, after.timeouts, "{} {seed}", book.id);
        assert_eq!(before.period, after.period, "{} {seed}", book.id);
        let spent = before.clock_ms - after.clock_ms;
        assert!(spent >= 0 && after.clock_ms >= 0, "{} {seed}: {spent}", book.id);
        assert_eq!(
            after.clock_running,
            case.ruling
                .clock_starts
                .is_some_and(|start| { start == rules::game::situation::ClockStart::Ready })
        );
        let chosen = case.ruling.option();
        for option in &case.ruling.options {
            let than = (&chosen.after, chosen.period);
            let order = better(book, case.ruling.chooser, (&option.after, option.period), than);
            assert_ne!(order, Ordering::Greater, "{} {seed}: {option:?}", book.id);
            // Every foul has one fate.
            let mut fates: Vec<usize> = option.done.iter().map(|(number, _)| *number).collect();
            fates.sort_unstable();
            assert!(fates.iter().copied().eq(0..case.fouls.len()), "{} {seed}: {option:?}", book.id);
        }
    });
}
