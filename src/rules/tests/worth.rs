//! What a down, a distance and a spot are worth: against a naive reckoning, in order, and the choices that follow.

use field::exact::Yards;
use rules::book::{Book, load, shipped};
use rules::game::advance::{Start, opening};
use rules::game::enforce::options::compare;
use rules::game::enforce::worth::{Figures, GAINS, POINT, PUNT, ROUNDS, Table, good_in_a_thousand};
use rules::game::situation::{End, Next, Situation, Team};
use std::cmp::Ordering;
use std::collections::HashMap;

fn book(id: &str) -> Book {
    load::load(id, &shipped::sources(id).expect("it is in the program")).expect("it is sound")
}

/// A short field, so that the naive reckoning ends.
const SMALL: Figures = Figures {
    length: 17,
    downs: 3,
    to_gain: 4,
    touchdown: 7,
    field_goal: 3,
    safety: 2,
    after_kick: 5,
    touchback: 4,
    punts: true,
};

/// The same reckoning from the goal backwards, each worth asked for as it is needed and written down in words of football
/// rather than tables.
struct Naive {
    figures: Figures,
    known: HashMap<(usize, usize, usize, usize), i64>,
}

impl Naive {
    /// A new series in this round of the reckoning.
    fn first(&mut self, round: usize, spot: usize) -> i64 {
        let line = (spot + self.figures.to_gain).min(self.figures.length);
        self.down(round, 1, line, spot)
    }

    /// The ball of a possession to come: nothing at first, then halfway to the last round's new series.
    fn remaining(&mut self, round: usize, spot: usize) -> i64 {
        match round.checked_sub(1) {
            None => 0,
            Some(last) => (self.remaining(last, spot) + self.first(last, spot)).div_euclid(2),
        }
    }

    fn theirs(&mut self, round: usize, from_their_goal: usize) -> i64 {
        -self.remaining(round, from_their_goal.min(self.figures.length - 1))
    }

    fn down(&mut self, round: usize, down: usize, line: usize, spot: usize) -> i64 {
        if let Some(known) = self.known.get(&(round, down, line, spot)) {
            return *known;
        }
        let Figures { length, touchdown, field_goal, safety, after_kick, touchback, downs, .. } =
            self.figures;
        let kicked_off = self.theirs(round, after_kick);
        let mut played = 0;
        for (gain, often) in GAINS {
            let to = spot as i64 + gain;
            played += often
                * if to >= length as i64 {
                    touchdown * POINT + kicked_off
                } else if to < 0 || to == 0 && gain < 0 {
                    (kicked_off - safety * POINT).min(self.theirs(round, length))
                } else if to >= line as i64 {
                    self.first(round, to as usize)
                } else if down < downs {
                    self.down(round, down + 1, line, to as usize)
                } else {
                    self.theirs(round, length - to as usize)
                };
        }
        let mut ways = vec![played.div_euclid(1000), self.theirs(round, length - spot)];
        ways.push(self.theirs(round, (length - spot).saturating_sub(PUNT).max(touchback)));
        let good = good_in_a_thousand(length - spot);
        if good > 0 {
            let missed = self.theirs(round, (length - spot).max(touchback));
            ways.push((good * (field_goal * POINT + kicked_off) + (1000 - good) * missed).div_euclid(1000));
        }
        if line < length {
            ways.push(self.down(round, down, line + 1, spot));
        }
        let worth = ways.into_iter().max().expect("a way");
        self.known.insert((round, down, line, spot), worth);
        worth
    }
}

// PROPERTY: what a down is worth is what a naive reckoning of the same game says
#[test]
fn the_table_is_what_a_naive_reckoning_says() {
    let table = Table::reckon(SMALL);
    let mut naive = Naive { figures: SMALL, known: HashMap::new() };
    for down in 1..=SMALL.downs {
        for spot in 0..SMALL.length {
            for line in spot + 1..=SMALL.length {
                let (found, expected) =
                    (table.down(down, line - spot, spot), naive.down(ROUNDS - 1, down, line, spot));
                assert_eq!(found, expected, "down {down}, from {spot} to {line}");
            }
        }
    }
}

// PROPERTY: farther forward, a shorter distance and an earlier down are never worth less, in both books
#[test]
fn it_never_falls_with_the_spot_the_distance_or_the_down() {
    assert_eq!(GAINS.iter().map(|(_, often)| often).sum::<i64>(), 1000);
    for figures in [SMALL, Figures::of(&book("saltmarsh")), Figures::of(&book("college"))] {
        let table = Table::reckon(figures);
        for down in 1..=figures.downs {
            for spot in 0..figures.length {
                for to_go in 1..=figures.length - spot {
                    let worth = table.down(down, to_go, spot);
                    assert!(
                        down == figures.downs || worth >= table.down(down + 1, to_go, spot),
                        "{down} {to_go} {spot}"
                    );
                    assert!(worth >= table.down(down, to_go + 1, spot), "{down} {to_go} {spot}");
                    assert!(spot == 0 || worth >= table.down(down, to_go, spot - 1), "{down} {to_go} {spot}");
                }
            }
        }
    }
}

/// Home has the ball in the second period, 0 : 0.
fn at(book: &Book, down: u8, to_go: i64, spot: i64) -> Situation {
    let begun = opening(book, Start { team: Team::Home, attacks: End::East });
    let next = Next::Scrimmage { down, to_go: Yards::whole(to_go) };
    Situation { period: 2, clock_ms: 600_000, next, spot: Yards::whole(spot), ..begun }
}

/// Choices that a coach would make, `common practice, no source`: the first is the better one for the offense.
#[test]
fn it_prefers_what_a_coach_would() {
    let college = book("college");
    for (what, better, worse) in [
        ("a hold of ten yards is accepted though the run gained eight", (2, 2, 48), (1, 20, 30)),
        ("four yards more to go are nothing beside a down", (1, 14, 36), (2, 10, 40)),
        ("a first down twenty yards on", (1, 10, 60), (1, 5, 45)),
        ("a new series beside fourth and inches", (1, 10, 45), (4, 1, 49)),
        ("third and one beside second and twenty", (3, 1, 49), (2, 20, 30)),
    ] {
        let (one, other) =
            (at(&college, better.0, better.1, better.2), at(&college, worse.0, worse.1, worse.2));
        assert_eq!(compare(&college, Team::Home, &one, &other), Ordering::Greater, "{what}");
        assert_eq!(compare(&college, Team::Away, &one, &other), Ordering::Less, "{what}");
    }
}
