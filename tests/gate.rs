//! Who may have what reviewed, when and at what price: the invented league's section 3, rule by rule.

use crate::support::challenge::saltmarsh;
use crate::support::events::situation;
use std::sync::LazyLock;
use tellframe::book::Book;
use tellframe::book::load::load;
use tellframe::game::situation::{Challenges, Situation, Team};
use tellframe::review::gate::{Entry, Gate, Initiator, Refusal, Ruled, Stop, Subject, Unknown, gate};

const HOME: Initiator = Initiator::Coach(Team::Home);

static BOOK: LazyLock<Book> = LazyLock::new(|| load("saltmarsh", &saltmarsh()).expect("it is sound"));

/// Second period, 4:41.3; the home coach has two timeouts and has won his one challenge.
fn ask(situation: Situation, who: Initiator, tree: &str, call: &str, ruled: &[Ruled]) -> Gate {
    let subject = Subject { name: tree, call, ruled, entry: Entry::Challenged };
    gate(&BOOK, &situation, who, Stop::BeforeNextSnap, &subject).expect("the book knows it")
}

fn refused(gate: Gate) -> Refusal {
    match gate {
        Gate::Refused(refusal) => refusal,
        Gate::Allowed { .. } => panic!("it is allowed"),
    }
}

fn rule(gate: Gate) -> Option<String> {
    match gate {
        Gate::Refused(refusal) => Some(refusal.rule),
        Gate::Allowed { .. } => None,
    }
}

fn at(period: u8, clock_ms: i64) -> Situation {
    Situation { period, clock_ms, ..situation() }
}

#[test]
fn the_last_minute_of_a_half_and_overtime_are_the_booths() {
    // 3.1: the last 1:00 of a half; a half ends after the second and the fourth period.
    for (period, clock_ms, booth) in [
        (2, 60_001, false),
        (2, 60_000, true),
        (2, 0, true),
        (4, 60_000, true),
        (4, 60_001, false),
        (1, 30_000, false),
        (3, 30_000, false),
        (5, 300_000, true),
        (6, 300_000, true),
    ] {
        let coach = rule(ask(at(period, clock_ms), HOME, "down-or-fumble", "down", &[]));
        let own = rule(ask(at(period, clock_ms), Initiator::Booth, "down-or-fumble", "down", &[]));
        let cite = Some("3.1".to_owned());
        let wanted = if booth { (cite, None) } else { (None, cite) };
        assert_eq!((coach, own), wanted, "period {period}, {clock_ms} ms");
    }
}

#[test]
fn a_ruled_score_or_turnover_is_the_booths_and_a_denied_score_the_coachs() {
    // 3.1: every ruled score and turnover, not on downs.
    for (call, ruled, booth) in [
        ("touchdown", &[][..], true),
        ("short", &[], false),
        ("reached", &[Ruled::Score], true),
        ("reached", &[Ruled::Turnover], true),
    ] {
        let coach = rule(ask(situation(), HOME, "line-reached", call, ruled));
        assert_eq!(coach.is_some(), booth, "{call} {ruled:?}");
        let own = rule(ask(situation(), Initiator::Booth, "line-reached", call, ruled));
        assert_eq!(own.is_none(), booth, "{call} {ruled:?}");
    }
}

#[test]
fn the_booth_may_always_ask_about_player_safety() {
    for (tree, call, may) in [
        ("face-mask", "none", true),
        ("hands-to-face", "none", true),
        ("roughing-passer", "none", true),
        ("catch-along-wall", "incomplete", false),
        ("clock", "as called", true),
    ] {
        assert_eq!(rule(ask(situation(), Initiator::Booth, tree, call, &[])).is_none(), may, "{tree}");
    }
    // 4.26: the booth only.
    assert_eq!(rule(ask(situation(), HOME, "clock", "as called", &[])), Some("4.26".to_owned()));
}

#[test]
fn a_stop_after_the_next_snap_is_too_late_for_everyone() {
    for who in [HOME, Initiator::Booth, Initiator::Referee] {
        let subject = Subject { name: "face-mask", call: "none", ruled: &[], entry: Entry::Challenged };
        let late = gate(&BOOK, &situation(), who, Stop::AfterNextSnap, &subject).expect("known");
        let refusal = refused(late);
        assert_eq!((refusal.rule.as_str(), refusal.price.timeout), ("3.2", false));
        assert!(!refusal.possible.is_empty());
    }
}

#[test]
fn a_coach_needs_a_timeout_and_a_challenge_that_is_left() {
    // 3.3: a timeout in hand; two challenges a game, a third after two won.
    for (timeouts, used, won, may) in [
        (1, 0, 0, true),
        (0, 0, 0, false),
        (3, 1, 0, true),
        (3, 2, 0, false),
        (3, 2, 1, false),
        (3, 2, 2, true),
        (3, 3, 2, false),
        (3, 3, 3, false),
        (0, 2, 2, false),
    ] {
        let mut situation = situation();
        situation.timeouts.home = timeouts;
        situation.challenges.home = Challenges { used, won };
        let gate = ask(situation, HOME, "catch-along-wall", "incomplete", &[]);
        match gate {
            Gate::Allowed { at_risk } => {
                assert!(may, "{timeouts} {used} {won}");
                assert!(at_risk.timeout && at_risk.challenge, "a lost challenge costs both");
            }
            Gate::Refused(refusal) => {
                assert!(!may, "{timeouts} {used} {won}");
                assert_eq!(refusal.rule, "3.3");
                assert!(!refusal.price.timeout && !refusal.price.challenge, "nothing was challenged");
            }
        }
    }
}

#[test]
fn what_is_never_reviewed_costs_a_coach_the_timeout_and_keeps_his_challenge() {
    // 3.9 and 3.8, with the price of 3.3.
    for (subject, call, cite) in [
        ("holding", "", "3.9"),
        ("block in the back", "", "3.9"),
        ("force", "", "3.9"),
        ("spot", "", "3.9"),
        ("after the play", "", "3.9"),
        ("inside-line", "none", "3.8"),
        ("pass-interference", "none", "3.8"),
        ("illegal-contact", "none", "3.8"),
    ] {
        let refusal = refused(ask(situation(), HOME, subject, call, &[]));
        assert_eq!(refusal.rule, cite, "{subject}");
        assert!(refusal.price.timeout && !refusal.price.challenge, "{subject}");
        assert!(!refusal.because.is_empty() && !refusal.possible.is_empty(), "{subject}");
    }
}

#[test]
fn a_foul_is_created_where_the_rules_say_so_and_a_flag_may_be_taken_away_anywhere() {
    // Section 4: the questions marked "create".
    let creates =
        ["false-start", "beyond-scrimmage", "roughing-passer", "face-mask", "hands-to-face", "too-many"];
    for tree in creates {
        assert_eq!(rule(ask(situation(), HOME, tree, "none", &[])), None, "{tree}");
        assert_eq!(rule(ask(situation(), HOME, tree, "foul", &[])), None, "{tree}");
    }
    let marked: Vec<&str> =
        BOOK.trees.iter().filter(|tree| tree.creates_foul).map(|tree| tree.id.as_str()).collect();
    assert_eq!(marked, creates);
    for tree in ["inside-line", "three-down", "motion-lead-block", "forward-bat"] {
        assert_eq!(rule(ask(situation(), HOME, tree, "foul", &[])), None, "{tree}");
        assert_eq!(rule(ask(situation(), HOME, tree, "none", &[])), Some("3.8".to_owned()), "{tree}");
    }
}

#[test]
fn what_is_found_on_the_way_needs_no_right_and_no_price_but_may_create_no_more() {
    // 3.4 speaks of a find that nobody challenged.
    let mut poor = situation();
    poor.timeouts.home = 0;
    let found = |tree, call| Subject { name: tree, call, ruled: &[], entry: Entry::FoundOnTheWay };
    let stop = Stop::BeforeNextSnap;
    let may = gate(&BOOK, &poor, HOME, stop, &found("catch-along-wall", "incomplete")).expect("known");
    assert_eq!(rule(may), None);
    let refusal = refused(gate(&BOOK, &poor, HOME, stop, &found("inside-line", "none")).expect("known"));
    assert_eq!(refusal.rule, "3.8");
    assert!(!refusal.price.timeout);
}

#[test]
fn a_name_that_the_book_does_not_have_is_said_to_be_none() {
    let subject = |name, call| Subject { name, call, ruled: &[], entry: Entry::Challenged };
    let answer = |name, call| gate(&BOOK, &situation(), HOME, Stop::BeforeNextSnap, &subject(name, call));
    assert_eq!(answer("facemask", "none"), Err(Unknown::Question("facemask".to_owned())));
    assert!(matches!(answer("face-mask", "flag"), Err(Unknown::Call { .. })));
}
