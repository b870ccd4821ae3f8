//! Games reckoned by hand, from the league's rules.

use super::{Day, From, Next, Penalty, SALTMARSH, Team, Tried, YARD};

/// First and 10 at the own 20, 10:00 left.
fn drive() -> Day {
    let mut day = Day::opening(&SALTMARSH, 1, false);
    day.turnover(30 * YARD, 600_000);
    day
}

fn at(day: &Day) -> (Team, i64, Next) {
    (day.ball, day.spot / YARD, day.next)
}

fn down(down: u8, yards: i64) -> Next {
    Next::Down { down, to_go: yards * YARD }
}

#[test]
fn a_drive_is_counted_down_by_down() {
    let mut day = drive();
    assert_eq!((at(&day), day.east, day.running), ((0, 20, down(1, 10)), true, true));
    day.dead_at(24 * YARD, 580_000, false);
    assert_eq!(at(&day), (0, 24, down(2, 6)));
    day.incomplete(575_000);
    assert_eq!(at(&day), (0, 24, down(3, 6)));
    day.dead_at(41 * YARD, 560_000, false);
    assert_eq!(at(&day), (0, 41, down(1, 9)), "goal to go");
    for _ in 0..4 {
        day.incomplete(550_000);
    }
    assert_eq!((at(&day), day.east), ((1, 9, down(1, 10)), false), "on downs");
}

#[test]
fn scores_are_followed_by_a_try_or_a_kick() {
    let mut day = drive();
    day.dead_at(50 * YARD, 500_000, false);
    assert_eq!((at(&day), day.score), ((0, 48, Next::Try), [6, 0]));
    day.tried(Tried::Run);
    assert_eq!((at(&day), day.score), ((0, 0, Next::FreeKick), [8, 0]));
    day.touchback(490_000);
    assert_eq!(at(&day), (1, 5, down(1, 10)));
    day.field_goal(false, 480_000);
    assert_eq!(at(&day), (0, 45, down(1, 5)), "missed from their 5");
    day.safety(470_000);
    assert_eq!((at(&day), day.score), ((0, 0, Next::FreeKick), [8, 2]));
    day.touchdown(false, 460_000);
    assert_eq!((at(&day), day.score), ((1, 48, Next::Try), [8, 8]));
}

#[test]
fn the_clock_stops_more_often_at_the_end_of_a_half() {
    let mut day = drive();
    day.dead_at(22 * YARD, 61_000, true);
    assert!(day.running, "in the first period");
    day.next_quarter();
    assert_eq!((day.period, day.east, day.clock_ms), (2, false, 900_000));
    day.dead_at(23 * YARD, 50_000, true);
    assert!(!day.running);
    day.dead_at(24 * YARD, 47_000, false);
    day.dead_at(24 * YARD, 45_000, false);
    assert!(day.late() && !day.running, "on downs the ball changed hands");
    day.dead_at(30 * YARD, 40_000, false);
    assert!(day.running);
    day.timeout(1);
    day.challenged(0, true);
    day.challenged(0, true);
    day.challenged(0, false);
    assert_eq!((day.running, day.timeouts, day.challenges), (false, [2, 2], [3, 0]));
    assert!(!day.may_challenge(0) && day.may_challenge(1));
    day.second_half(0, false);
    assert_eq!((at(&day), day.timeouts), ((0, 0, Next::FreeKick), [3, 3]));
}

/// League page, section 1: a possession each, then the next score.
#[test]
fn overtime_begins_at_midfield_for_each() {
    let mut day = drive();
    day.overtime(1, true);
    assert_eq!((at(&day), day.timeouts), ((1, 25, down(1, 10)), [1, 1]));
    let score = |day: &Day, own| {
        let mut day = day.clone();
        day.touchdown(own, 900_000);
        day
    };
    assert!(score(&day, false).over(), "the defense took it to the other goal line");
    assert!(!score(&day, true).over(), "the other team has not had the ball");
    day.field_goal(true, 900_000);
    assert_eq!((at(&day), day.east, day.score), ((0, 25, down(1, 10)), true, [0, 3]));
    assert!(!day.over() && score(&day, true).over(), "six points are more than three");
    day.field_goal(true, 900_000);
    assert!((at(&day).0, day.over()) == (1, false), "level: the next score wins");
    day.safety(900_000);
    assert!(day.over());
}

/// Third and 6 at this yard line of one's own.
fn third_and_6(yards: i64) -> Day {
    let mut day = Day::opening(&SALTMARSH, 1, false);
    day.turnover((50 - yards) * YARD, 600_000);
    day.next = Next::Down { down: 3, to_go: 6 * YARD };
    day
}

fn after(yards: i64, penalty: Penalty) -> (i64, Next) {
    let mut day = third_and_6(yards);
    day.penalized(penalty, 590_000);
    (day.spot, day.next)
}

const FIVE: Penalty =
    Penalty { yards: 5, by_offense: false, from: From::Previous, first_down: false, loss_of_down: false };

#[test]
fn a_penalty_is_walked_off_and_the_down_is_played_again() {
    let third = |to_go| Next::Down { down: 3, to_go };
    assert_eq!(after(20, FIVE), (25 * YARD, third(YARD)));
    assert_eq!(after(20, Penalty { by_offense: true, ..FIVE }), (15 * YARD, third(11 * YARD)));
    assert_eq!(
        after(4, Penalty { by_offense: true, ..FIVE }),
        (2 * YARD, third(8 * YARD)),
        "half the distance"
    );
    let roughing = Penalty { yards: 15, from: From::At(23 * YARD), first_down: true, ..FIVE };
    assert_eq!(after(20, roughing), (36 * YARD + YARD / 2, Next::Down { down: 1, to_go: 10 * YARD }));
    let pass = Penalty { by_offense: true, from: From::At(22 * YARD), loss_of_down: true, ..FIVE };
    assert_eq!(after(20, pass), (17 * YARD, Next::Down { down: 4, to_go: 9 * YARD }));
}

#[test]
fn interference_and_a_false_start_have_places_of_their_own() {
    let mut day = third_and_6(20);
    day.interfered(44 * YARD, 590_000);
    assert_eq!((day.spot, day.next), (35 * YARD, Next::Down { down: 1, to_go: 10 * YARD }));
    let mut day = third_and_6(20);
    day.interfered(51 * YARD, 590_000);
    assert_eq!((day.spot, day.next), (48 * YARD, Next::Down { down: 1, to_go: 2 * YARD }));
    let mut day = third_and_6(20);
    day.succeeding(Penalty { by_offense: true, ..FIVE }, false);
    assert_eq!((day.spot, day.next), (15 * YARD, Next::Down { down: 3, to_go: 11 * YARD }));
}
