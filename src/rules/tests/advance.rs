//! From one play, given in a few words, to the next situation, as the published rules and the league's page have it.

use field::exact::Yards;
use rules::book::effect::Effect;
use rules::book::effect::Part::{Defense, Offense};
use rules::book::{Book, load, shipped};
use rules::game::advance::ended::play_end;
use rules::game::advance::{
    Advance, Did, Error, Start, Tried, advance, next_period, opening, timeout, with_ball_at,
};
use rules::game::apply::Draft;
use rules::game::clock::Period;
use rules::game::play::Play;
use rules::game::situation::{ByTeam, ClockStart, End, Next, Situation, Team};

fn book(id: &str) -> Book {
    load::load(id, &shipped::sources(id).expect("it is in the program")).expect("it is sound")
}

fn yd(yards: i64) -> Yards {
    Yards::whole(yards)
}

/// Home has the ball, going east, 10:00 left in the first period, 20 : 14.
fn snap(book: &Book, down: u8, to_go: i64, spot: i64) -> Situation {
    let begun = opening(book, Start { team: Team::Home, attacks: End::East });
    Situation {
        clock_ms: 600_000,
        clock_running: true,
        next: Next::Scrimmage { down, to_go: yd(to_go) },
        spot: yd(spot),
        score: ByTeam { home: 20, away: 14 },
        ..begun
    }
}

fn other(book: &Book, next: Next, spot: i64) -> Situation {
    Situation { next, spot: yd(spot), ..snap(book, 1, 10, 20) }
}

/// A situation in short: who, what, where, the score, how the clock starts.
fn short(after: &Situation, starts: Option<ClockStart>) -> String {
    let next = match after.next {
        Next::Scrimmage { down, to_go } => format!("{down}&{to_go}"),
        Next::Try => "try".to_owned(),
        Next::FreeKick => "free kick".to_owned(),
    };
    let starts = match starts {
        Some(ClockStart::Snap) => "snap",
        Some(ClockStart::Ready) => "ready",
        None => "-",
    };
    let who = match (after.offense, after.attacks) {
        (Team::Home, End::East) => "home",
        (Team::Away, End::West) => "away",
        (Team::Home, End::West) => "home going west",
        (Team::Away, End::East) => "away going east",
    };
    format!("{who} {next} at {} {}:{} {starts}", after.spot, after.score.home, after.score.away)
}

fn led_to(book: &Book, at: &Situation, did: Did) -> String {
    let advanced = advance(book, at, Advance { did, clock_ms: at.clock_ms }).expect("it fits");
    short(&advanced.after, advanced.clock_starts)
}

/// League page, section 1: downs, points, tries, kicks, where a missed goal puts the ball; the clock runs except in the last
/// minute of a half.
// PROPERTY: a play leads where the league's page and the published rules say
#[test]
fn in_saltmarsh_a_play_leads_where_section_1_says() {
    let book = book("saltmarsh");
    let late = |at: Situation| Situation { period: 2, clock_ms: 45_000, ..at };
    let first = snap(&book, 1, 10, 20);
    for (at, did, expected) in [
        (first, Did::Down { at: yd(26) }, "home 2&4 at 26 20:14 ready"),
        (snap(&book, 2, 4, 26), Did::Down { at: yd(30) }, "home 1&10 at 30 20:14 ready"),
        (snap(&book, 3, 4, 26), Did::Down { at: yd(19) }, "home 4&11 at 19 20:14 ready"),
        (snap(&book, 4, 2, 30), Did::Down { at: yd(31) }, "away 1&10 at 19 20:14 ready"),
        (snap(&book, 4, 2, 30), Did::Down { at: yd(32) }, "home 1&10 at 32 20:14 ready"),
        (snap(&book, 1, 10, 38), Did::Down { at: yd(48) }, "home 1&2 at 48 20:14 ready"),
        (first, Did::Incomplete, "home 2&10 at 20 20:14 ready"),
        (late(first), Did::Incomplete, "home 2&10 at 20 20:14 snap"),
        (late(first), Did::OutOfBounds { at: yd(33) }, "home 1&10 at 33 20:14 snap"),
        (late(first), Did::Down { at: yd(33) }, "home 1&10 at 33 20:14 ready"),
        (late(first), Did::Turnover { at: yd(35) }, "away 1&10 at 15 20:14 snap"),
        (first, Did::Turnover { at: yd(35) }, "away 1&10 at 15 20:14 ready"),
        (first, Did::Touchdown { by: Offense }, "home try at 48 26:14 -"),
        (first, Did::Down { at: yd(50) }, "home try at 48 26:14 -"),
        (first, Did::Touchdown { by: Defense }, "away try at 48 20:20 -"),
        (first, Did::Safety, "home free kick at 0 20:16 -"),
        (first, Did::FieldGoal { good: true }, "home free kick at 0 23:14 -"),
        (snap(&book, 4, 5, 30), Did::FieldGoal { good: false }, "away 1&10 at 20 20:14 ready"),
        (snap(&book, 4, 2, 48), Did::FieldGoal { good: false }, "away 1&10 at 5 20:14 ready"),
        (other(&book, Next::Try, 48), Did::Tried(Tried::Kick), "home free kick at 0 21:14 -"),
        (other(&book, Next::Try, 48), Did::Tried(Tried::Run), "home free kick at 0 22:14 -"),
        (other(&book, Next::Try, 48), Did::Tried(Tried::Failed), "home free kick at 0 20:14 -"),
        (other(&book, Next::Try, 48), Did::Tried(Tried::Returned), "home free kick at 0 20:14 -"),
        (other(&book, Next::FreeKick, 0), Did::Kicked { to: yd(30) }, "away 1&10 at 20 20:14 ready"),
        (other(&book, Next::FreeKick, 0), Did::Touchback, "away 1&10 at 5 20:14 ready"),
        (other(&book, Next::FreeKick, 0), Did::KickKept { at: yd(12) }, "home 1&10 at 12 20:14 ready"),
        (other(&book, Next::FreeKick, 0), Did::Touchdown { by: Defense }, "away try at 48 20:20 -"),
        (other(&book, Next::FreeKick, 0), Did::Touchdown { by: Offense }, "home try at 48 26:14 -"),
        (first, Did::Again, "home 1&10 at 20 20:14 ready"),
    ] {
        assert_eq!(led_to(&book, &at, did), expected, "{at:?} {did:?}");
    }
}

/// The outdoor rules: 3-3-2 (the clock), 6-1-1 and 8-6 (where touchbacks and kicks after a safety are), 8-4-2-b (a missed
/// goal), 8-3-2 (a try returned).
#[test]
fn in_the_college_book_a_play_leads_where_the_published_rules_say() {
    let book = book("college");
    let first = snap(&book, 1, 10, 30);
    let late = |at: Situation| Situation { period: 4, clock_ms: 100_000, ..at };
    for (at, did, expected) in [
        (first, Did::Down { at: yd(37) }, "home 2&3 at 37 20:14 ready"),
        (first, Did::Incomplete, "home 2&10 at 30 20:14 snap"),
        (first, Did::OutOfBounds { at: yd(33) }, "home 2&7 at 33 20:14 ready"),
        (late(first), Did::OutOfBounds { at: yd(33) }, "home 2&7 at 33 20:14 snap"),
        (late(first), Did::Down { at: yd(45) }, "home 1&10 at 45 20:14 ready"),
        (snap(&book, 4, 8, 30), Did::Kicked { to: yd(75) }, "away 1&10 at 25 20:14 snap"),
        (snap(&book, 4, 8, 60), Did::Touchback, "away 1&10 at 20 20:14 snap"),
        (other(&book, Next::FreeKick, 35), Did::Touchback, "away 1&10 at 25 20:14 snap"),
        (snap(&book, 4, 8, 60), Did::FieldGoal { good: false }, "away 1&10 at 40 20:14 snap"),
        (snap(&book, 4, 8, 90), Did::FieldGoal { good: false }, "away 1&10 at 20 20:14 snap"),
        (first, Did::Safety, "home free kick at 20 20:16 -"),
        (other(&book, Next::Try, 97), Did::Tried(Tried::Returned), "home free kick at 35 20:16 -"),
    ] {
        assert_eq!(led_to(&book, &at, did), expected, "{at:?} {did:?}");
    }
}

/// 3-1-3: each team has the ball once in an extra period, at the same end, first and ten at the 25.
#[test]
fn in_overtime_the_other_team_has_the_ball_when_a_series_ends() {
    let book = book("college");
    let level = ByTeam { home: 14, away: 14 };
    let over = Situation { period: 4, clock_ms: 0, score: level, ..snap(&book, 2, 7, 44) };
    let start = Start { team: Team::Home, attacks: End::East };
    let begun = next_period(&book, &over, Some(start)).expect("overtime");
    assert_eq!(short(&begun, None), "home 1&10 at 75 14:14 -");
    assert_eq!((begun.period, begun.timeouts), (5, ByTeam { home: 1, away: 1 }));
    let tried = Situation { next: Next::Try, spot: yd(97), ..begun };
    assert_eq!(led_to(&book, &tried, Did::Tried(Tried::Kick)), "away going east 1&10 at 75 15:14 -");
    assert_eq!(led_to(&book, &begun, Did::Turnover { at: yd(99) }), "away going east 1&10 at 75 14:14 -");
    let again = Situation { offense: Team::Away, ..begun };
    let second =
        next_period(&book, &again, Some(Start { team: Team::Away, attacks: End::East })).expect("level");
    assert_eq!((second.period, second.offense), (6, Team::Away));
    let saltmarsh = self::book("saltmarsh");
    let over = Situation { period: 4, clock_ms: 0, score: level, ..snap(&saltmarsh, 2, 7, 30) };
    let begun = next_period(&saltmarsh, &over, Some(start)).expect("overtime");
    // Section 1: one possession each from midfield; one timeout.
    assert_eq!(short(&begun, None), "home 1&10 at 25 14:14 -");
    assert_eq!(begun.timeouts, ByTeam { home: 1, away: 1 });
}

#[test]
fn a_period_changes_ends_and_a_half_kicks_off_with_new_timeouts() {
    let book = book("saltmarsh");
    let spent = ByTeam { home: 1, away: 0 };
    let over = |period| Situation { period, clock_ms: 0, timeouts: spent, ..snap(&book, 3, 4, 26) };
    let second = next_period(&book, &over(1), None).expect("the second period");
    assert_eq!(short(&second, None), "home going west 3&4 at 26 20:14 -");
    assert_eq!((second.period, second.clock_ms, second.timeouts), (2, 900_000, spent));
    assert!(!second.clock_running);
    assert_eq!(next_period(&book, &over(2), None), Err(Error::NobodyBegins));
    let start = Start { team: Team::Away, attacks: End::East };
    let third = next_period(&book, &over(2), Some(start)).expect("the second half");
    assert_eq!(short(&third, None), "away going east free kick at 0 20:14 -");
    assert_eq!((third.period, third.timeouts), (3, ByTeam { home: 3, away: 3 }));
    for (at, unfit) in [
        (Situation { clock_ms: 3_000, ..over(1) }, Error::TimeLeft(3_000)),
        (Situation { next: Next::Try, ..over(1) }, Error::TryLeft),
        (over(4), Error::GameOver),
    ] {
        assert_eq!(next_period(&book, &at, Some(start)), Err(unfit));
    }
}

#[test]
fn the_end_of_a_period_is_said_and_a_play_that_cannot_be_is_refused() {
    let book = book("saltmarsh");
    let at = snap(&book, 1, 10, 20);
    let period = |period, did| {
        let at = Situation { period, clock_ms: 4_000, ..at };
        advance(&book, &at, Advance { did, clock_ms: 0 }).expect("it fits").period
    };
    assert_eq!(period(1, Did::Incomplete), Period::Over);
    assert_eq!(period(2, Did::Incomplete), Period::HalfOver);
    assert_eq!(period(2, Did::Touchdown { by: Offense }), Period::Extended);
    assert_eq!(period(4, Did::Incomplete), Period::GameOver);
    let refused = |at: &Situation, did, clock_ms| {
        advance(&book, at, Advance { did, clock_ms }).expect_err("it does not fit").to_string()
    };
    assert_eq!(
        refused(&at, Did::Incomplete, 600_001),
        "the clock cannot go from 600 s to 600.001 s in a play"
    );
    assert_eq!(refused(&at, Did::Incomplete, -1), "the clock cannot go from 600 s to -0.001 s in a play");
    let a_try = other(&book, Next::Try, 48);
    assert_eq!(refused(&a_try, Did::Incomplete, 600_000), "a try is next, and this play cannot end it");
    // A try is untimed.
    let late = refused(&a_try, Did::Tried(Tried::Kick), 599_000);
    assert_eq!(late, "the clock cannot go from 600 s to 599 s in a play");
    let far = refused(&at, Did::Down { at: yd(58) }, 600_000);
    assert_eq!(far, "spot 58 is not on the field: end zones end at -7 and 57");
}

#[test]
fn the_ball_put_at_a_spot_shows_the_likely_next_down_and_a_timeout_stops_the_clock() {
    let book = book("saltmarsh");
    let at = snap(&book, 2, 4, 26);
    let likely = |x| with_ball_at(&book, &at, yd(x)).map(|after| short(&after, None));
    assert_eq!(likely(29), Ok("home 3&1 at 29 20:14 -".to_owned()));
    assert_eq!(likely(30), Ok("home 1&10 at 30 20:14 -".to_owned()));
    assert!(with_ball_at(&book, &other(&book, Next::Try, 48), yd(49)).is_err());
    let after = timeout(&at, Team::Away).expect("three are left");
    assert_eq!((after.timeouts, after.clock_running), (ByTeam { home: 3, away: 2 }, false));
    let none = Situation { timeouts: ByTeam { home: 0, away: 1 }, ..at };
    assert_eq!(timeout(&none, Team::Home), Err(Error::NoTimeout));
}

/// Every play in a few words.
fn plays(spots: &[Yards]) -> Vec<Did> {
    let at = |of: fn(Yards) -> Did| spots.iter().map(move |spot| of(*spot));
    let mut all = vec![Did::Incomplete, Did::Safety, Did::Touchback];
    all.extend([Offense, Defense].map(|by| Did::Touchdown { by }));
    all.extend([true, false].map(|good| Did::FieldGoal { good }));
    all.extend([Tried::Kick, Tried::Run, Tried::Failed, Tried::Returned].map(Did::Tried));
    all.extend(at(|at| Did::Down { at }));
    all.extend(at(|at| Did::OutOfBounds { at }));
    all.extend(at(|at| Did::Turnover { at }));
    all.extend(at(|at| Did::KickKept { at }));
    all.extend(at(|to| Did::Kicked { to }));
    all
}

/// A review of a play takes its end from the words in which the play was entered: what it counts as if nothing is
/// changed must be what the play led to.
// PROPERTY: a play counts in a review as it did when it was entered
#[test]
fn a_play_that_counts_in_a_review_leads_where_it_led_when_it_was_entered() {
    for id in ["saltmarsh", "college"] {
        let book = book(id);
        let length = book.field.length;
        let spots =
            [-3, 0, 1, 12, 26, 33].map(yd).into_iter().chain([length - yd(1), length, length + yd(2)]);
        let spots: Vec<Yards> = spots.collect();
        let mut snaps: Vec<Situation> = (1..=book.game.downs).map(|down| snap(&book, down, 6, 24)).collect();
        snaps.extend([
            other(&book, Next::FreeKick, 0),
            Situation { spot: length - book.game.try_spot, ..other(&book, Next::Try, 0) },
        ]);
        snaps.push(Situation { spot: length - yd(2), ..snap(&book, 4, 2, 0) });
        let overtime = book.game.periods + 1;
        snaps.extend(snaps.clone().into_iter().map(|at| Situation { period: overtime, ..at }));
        for at in snaps {
            for did in plays(&spots) {
                let play = Advance { did, clock_ms: at.clock_ms };
                let Ok(led) = advance(&book, &at, play) else { continue };
                let Some(end) = play_end(&book, &at, play) else { panic!("{id} {at:?} {did:?}: no end") };
                let known = Play { end: Some(end), ..Play::default() };
                let mut draft = Draft::new(&book, at, &known);
                draft.fold(0, &[Effect::PlayCounts]);
                let restart = draft.restart();
                assert_eq!(restart.open, [], "{id} {at:?} {did:?} {end:?}");
                let of = |after: Situation| Situation { clock_running: false, ..after };
                assert_eq!(of(restart.after), of(led.after), "{id} {at:?} {did:?} {end:?}");
            }
        }
    }
}
