//! A ball that changed hands twice: the team that snapped or kicked off has it again, and begins a series.
//!
//! Source: NCAA 5-1-1-e, a new series after a change of possession; the extensions, section 12 ("whoever has the ball after
//! it changed hands begins a series, also the team that snapped") and 11 (impetus).

use field::exact::Yards;
use rules::book::effect::{DeadBy, Part};
use rules::book::{Book, load, shipped};
use rules::game::advance::ended::play_end;
use rules::game::advance::fouls::{Called, Fouled, When};
use rules::game::advance::{Advance, Did, Start, advance, opening};
use rules::game::situation::{End, Next, Situation, Team};

fn book(id: &str) -> Book {
    load::load(id, &shipped::sources(id).expect("it is in the program")).expect("it is sound")
}

fn snap(book: &Book, down: u8) -> Situation {
    let begun = opening(book, Start { team: Team::Home, attacks: End::East });
    let next = Next::Scrimmage { down, to_go: Yards::whole(6) };
    Situation { clock_ms: 600_000, clock_running: true, next, spot: Yards::whole(20), ..begun }
}

fn after(book: &Book, at: &Situation, spot: Yards) -> Situation {
    let play = Advance { did: Did::Regained { at: spot }, clock_ms: 594_000 };
    advance(book, at, play).expect("it fits").after
}

// PROPERTY: a ball that changed hands twice gives the team that snapped a new series, on any down and wherever it is
#[test]
fn the_team_that_snapped_begins_a_series_where_it_has_the_ball_again() {
    for id in ["saltmarsh", "college"] {
        let book = book(id);
        let last = book.field.length - Yards::whole(1);
        for down in 1..=book.game.downs {
            let at = snap(&book, down);
            for spot in (1..).map(Yards::whole).take_while(|spot| *spot <= last) {
                let next = after(&book, &at, spot);
                assert_eq!(
                    (next.offense, next.spot, next.score),
                    (Team::Home, spot, at.score),
                    "{id} {down}"
                );
                let to_go = book.game.to_gain.min(book.field.length - spot);
                assert_eq!(next.next, Next::Scrimmage { down: 1, to_go }, "{id} {down} at {spot}");
            }
        }
    }
}

/// Behind the goal line that it attacks it has scored; behind its own, the other team's fumble put the ball there.
#[test]
fn behind_a_goal_line_it_is_a_touchdown_or_a_touchback() {
    for id in ["saltmarsh", "college"] {
        let book = book(id);
        let at = snap(&book, 4);
        for deep in [0, 2, 5].map(Yards::whole) {
            let scored = after(&book, &at, book.field.length + deep);
            assert_eq!((scored.offense, scored.next), (Team::Home, Next::Try), "{id} {deep}");
            assert_eq!((scored.score.home, scored.score.away), (6, 0), "{id}");
            let kept = after(&book, &at, Yards::ZERO - deep);
            assert_eq!((kept.offense, kept.spot), (Team::Home, book.game.touchback), "{id} {deep}");
            assert_eq!((kept.score.home, kept.score.away), (0, 0), "{id}");
            assert!(matches!(kept.next, Next::Scrimmage { down: 1, .. }), "{id}: {:?}", kept.next);
        }
    }
}

/// A free kick that the receivers fumbled to the kickers; on a try it cannot be.
#[test]
fn the_kickers_have_a_free_kick_that_the_receivers_lost() {
    for id in ["saltmarsh", "college"] {
        let book = book(id);
        let kick = Situation { next: Next::FreeKick, spot: book.game.free_kick, ..snap(&book, 1) };
        let next = after(&book, &kick, Yards::whole(40));
        assert_eq!((next.offense, next.spot), (Team::Home, Yards::whole(40)), "{id}");
        assert!(matches!(next.next, Next::Scrimmage { down: 1, .. }), "{id}");
        let a_try = Situation { next: Next::Try, spot: book.field.length - book.game.try_spot, ..kick };
        let play = Advance { did: Did::Regained { at: Yards::whole(40) }, clock_ms: 600_000 };
        assert!(advance(&book, &a_try, play).is_err(), "{id}");
    }
}

/// In college overtime a series ends once the other team has had the ball (3-1-3).
#[test]
fn in_a_series_of_overtime_it_ends_the_series() {
    let book = book("college");
    let begun = Situation { period: 5, spot: Yards::whole(75), ..snap(&book, 1) };
    let play = Advance { did: Did::Regained { at: Yards::whole(80) }, clock_ms: begun.clock_ms };
    let next = advance(&book, &begun, play).expect("it fits").after;
    assert_eq!((next.offense, next.spot), (Team::Away, Yards::whole(75)));
}

#[test]
fn its_end_as_it_ran_says_that_the_ball_was_won_back() {
    let book = book("saltmarsh");
    let at = snap(&book, 4);
    let play = |did| Advance { did, clock_ms: 594_000 };
    let end = |did| play_end(&book, &at, play(did)).expect("a down");
    let spot = Yards::whole(22);
    let regained = end(Did::Regained { at: spot });
    assert_eq!((regained.spot, regained.dead_by), (spot, DeadBy::Down));
    assert!(regained.regained && !regained.turnover);
    assert!(!end(Did::Turnover { at: spot }).regained && !end(Did::Down { at: spot }).regained);
}

/// A foul by the team that had gained the ball belongs to its return, not to the recovery after it.
#[test]
fn a_foul_on_the_return_belongs_to_the_team_that_ran() {
    let book = book("saltmarsh");
    let at = snap(&book, 2);
    let called = Called {
        penalty: "face mask".to_owned(),
        by: Part::Offense,
        spot: Some(Yards::whole(30)),
        when: When::Return,
        sent_off: None,
        player: None,
    };
    let play = Advance { did: Did::Regained { at: Yards::whole(30) }, clock_ms: 594_000 };
    let fouled = Fouled { play, fouls: vec![called], decided: Vec::new() };
    let led = fouled.led(&book, &at).expect("it fits");
    // 4.11: from the end of the run, with the ball of the team that ran; it takes its fifteen yards, and the ball.
    assert_eq!(led.after.offense, Team::Away);
    assert_eq!(led.after.spot, book.field.length - Yards::whole(30) + Yards::fraction(15, 1));
}
