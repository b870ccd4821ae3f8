//! One week: three games with their reviews, then the blind re-reviews.

use super::plan::{Plan, Role};
use super::plants::{self, Placed};
use super::play::{self, Play};
use super::{Plants, Season};
use crate::review::{Came, Chair, hold};
use field::exact::Yards;
use review::announcement::Names;
use review::gate::Initiator;
use rules::book::Book;
use rules::game::situation::{ByTeam, Challenges, End, Next, Situation, Team};
use scene::dice::Dice;
use serde_json::{Value, json};

/// A week under its edition.
#[derive(Debug, Clone, Copy)]
pub(super) struct Week<'a> {
    pub plan: &'a Plan,
    pub book: &'a Book,
    pub number: u32,
    pub plants: Plants,
    pub slow: Option<usize>,
    pub rota: &'a [Vec<usize>],
}

/// A review that may be held again.
struct Kept {
    id: String,
    play: Play,
    game: Game,
    official: usize,
    plant: Option<usize>,
}

#[derive(Debug, Clone)]
struct Game {
    id: String,
    names: Names,
    kick_off_ms: i64,
}

/// How much officials differ in pace (log-normal).
const PACE_VARIES: f64 = 0.08;
const DAY_MS: i64 = 86_400_000;
/// The most draws for one review: far more than the gate ever refuses in a row.
const MOST_DRAWS: usize = 400;

/// Which officials work in which week: each works in every other week.
pub(super) fn rota(plan: &Plan, draw: &mut Dice) -> Vec<Vec<usize>> {
    let half = plan.officials.len() / 2;
    let mut rota = Vec::new();
    while rota.len() < plan.weeks as usize {
        let mut all: Vec<usize> = (0..plan.officials.len()).collect();
        draw.shuffle(&mut all);
        let second = all.split_off(half);
        rota.extend([all, second]);
    }
    rota
}

impl Week<'_> {
    pub(super) fn play(&self, draw: &mut Dice, season: &mut Season, placed: &mut Placed) {
        let mut kept = Vec::new();
        for (number, [home, away]) in self.plan.pairings(self.number).into_iter().enumerate() {
            let game = self.game(number, home, away);
            let official = self.rota[self.number as usize - 1][number];
            self.game_reviews(&game, (number, official), &mut draw.split(), (season, &mut kept, placed));
        }
        self.again(&kept, draw, season, placed);
    }

    fn game(&self, number: usize, home: usize, away: usize) -> Game {
        let (home, away) = (&self.plan.teams[home], &self.plan.teams[away]);
        let week = i64::from(self.number - 1);
        Game {
            id: format!("W{:02}-{}-{}", self.number, away.code, home.code),
            names: Names {
                teams: ByTeam { home: home.name.clone(), away: away.name.clone() },
                short: ByTeam { home: home.short.clone(), away: away.short.clone() },
            },
            kick_off_ms: self.plan.first_kick_off_ms + week * 7 * DAY_MS + number as i64 * 3_600_000,
        }
    }

    fn game_reviews(
        &self,
        game: &Game,
        (number, official): (usize, usize),
        draw: &mut Dice,
        (season, kept, placed): (&mut Season, &mut Vec<Kept>, &mut Placed),
    ) {
        let mut state = opening(self.book);
        let planted: Vec<usize> = match self.plants {
            Plants::None => Vec::new(),
            Plants::All => plants::of_game(self.plan, self.number, number),
        };
        for (slot, moment) in moments(self.plan.reviews_a_game, self.book, draw).into_iter().enumerate() {
            state = at(state, moment, self.book, draw);
            let id = format!("{}-{:02}", game.id, slot + 1);
            let called_ms = game.kick_off_ms + elapsed_ms(&state, self.book);
            let chair = |plant: Option<usize>| self.chair(game, &id, (official, called_ms), plant);
            let plant = planted.get(slot).copied();
            for _ in 0..MOST_DRAWS {
                let mut own = draw.split();
                let play = match plant {
                    Some(plant) => {
                        plants::play((self.plan, &self.plan.plants[plant]), self.book, state, &mut own)
                    }
                    None => Some(self.draw_play(state, &mut own)),
                };
                let first = plant.filter(|plant| self.plan.plants[*plant].role != Role::Again);
                let Some(play) = play else { break };
                let Some(came) = hold(chair(first), &play, &mut own) else { continue };
                if let Some(ruling) = &came.review.ruling {
                    state.challenges = ruling.after.challenges;
                    state.timeouts = ruling.after.timeouts;
                }
                let record_id = came.record.id.clone();
                if !came.record.cut_short {
                    kept.push(Kept {
                        id: record_id.clone(),
                        play: play.clone(),
                        game: game.clone(),
                        official,
                        plant,
                    });
                }
                placed.place(plant, &record_id);
                self.graded(came, &play, season, &mut own);
                break;
            }
        }
    }

    /// Draws a play and who asks for its review; the gate may refuse it.
    fn draw_play(&self, state: Situation, draw: &mut Dice) -> Play {
        let weights = &self.plan.questions;
        let tree =
            self.book.tree(play::question(weights, draw)).expect("the plan names questions of the book");
        let situation = play::snap(state, self.book, tree, draw);
        let mut facts = play::facts(self.book, tree, &situation, draw);
        plants::fix(tree, self.plan.usual.get(&tree.id), &mut facts)
            .expect("the plan names steps and options of the book");
        let call = play::call(tree, play::finding(tree, &facts), draw);
        let team = if draw.chance(0.5) { Team::Home } else { Team::Away };
        let initiator = if draw.chance(0.6) { Initiator::Coach(team) } else { Initiator::Booth };
        let spot = play::hundredths((situation.spot.as_f64() + draw.between(0.0, 6.0)).min(49.0));
        Play {
            tree: tree.id.clone(),
            call: tree.calls[call].name.clone(),
            situation,
            initiator,
            flags: play::flags(self.book, tree, call, spot, draw),
            facts,
            spot,
            clock_ms: (situation.clock_ms - 6000).max(0),
            marks: draw.split(),
        }
    }

    fn chair<'a>(
        &'a self,
        game: &'a Game,
        id: &'a str,
        (official, called_ms): (usize, i64),
        plant: Option<usize>,
    ) -> Chair<'a> {
        // Officials keep their pace all season: it depends on their number, not on the game.
        let own = (PACE_VARIES * Dice::new(official as u64 + 1).normal()).exp();
        let slow = if self.slow == Some(official) { self.plan.slow_factor } else { 1.0 };
        let splits = match self.plants {
            Plants::None => None,
            Plants::All => Some(&self.plan.splitting),
        };
        Chair {
            plan: self.plan,
            book: self.book,
            names: &game.names,
            official: &self.plan.officials[official],
            pace: own * slow,
            id,
            game: &game.id,
            week: self.number,
            called_ms,
            insists: plant.and_then(|plant| self.plan.plants[plant].insists.as_ref()),
            splits,
        }
    }

    /// Has another official review some plays of the week again, without knowing the ruling.
    fn again(&self, kept: &[Kept], draw: &mut Dice, season: &mut Season, placed: &mut Placed) {
        let mut order: Vec<&Kept> = kept.iter().collect();
        draw.shuffle(&mut order);
        // Plants for a re-review come first, then the question whose wording is in doubt.
        let wanted = |kept: &Kept| match kept.plant {
            Some(plant) if self.plan.plants[plant].role == Role::Again => 0,
            Some(_) => 3,
            None if kept.play.tree == self.plan.splitting.tree => 1,
            None => 2,
        };
        order.sort_by_key(|kept| wanted(kept));
        let mut held = 0;
        for first in order {
            if held == self.plan.re_reviews_a_week {
                break;
            }
            let mut own = draw.split();
            let others = self.plan.officials.len();
            let official = (first.official + 1 + own.below(others - 1)) % others;
            let id = format!("W{:02}-again-{}", self.number, held + 1);
            let called_ms = first.game.kick_off_ms + 3 * DAY_MS + held as i64 * 600_000;
            let plant = first.plant.filter(|plant| self.plan.plants[*plant].role == Role::Again);
            let chair = self.chair(&first.game, &id, (official, called_ms), plant);
            let Some(mut came) = hold(chair, &first.play, &mut own).filter(|came| !came.record.cut_short)
            else {
                continue;
            };
            held += 1;
            came.record.again_of = Some(first.id.clone());
            placed.again(plant, &came.record.id);
            self.graded(came, &first.play, season, &mut own);
        }
    }

    /// Who of the crew had the call: drawn from a copy of the dice, so that it changes no other draw.
    fn position(&self, play: &Play) -> Option<String> {
        let may = self.plan.crew.iter().filter(|(_, questions)| questions.contains(&play.tree));
        let may: Vec<&String> = may.map(|(position, _)| position).collect();
        let drawn = play.marks.clone().split().below(may.len());
        may.get(drawn).copied().cloned()
    }

    /// Adds the supervisor's grades (league rules, section 6), and puts the record into the season.
    fn graded(&self, mut came: Came, play: &Play, season: &mut Season, draw: &mut Dice) {
        let record = &mut came.record;
        if let Some(tree) = self.book.tree(&play.tree).filter(|_| record.again_of.is_none()) {
            let call = tree.call(&play.call);
            let on = call.and_then(|call| tree.findings[play::finding(tree, &play.facts)].on.get(&call));
            use rules::book::tree::OnCall;
            let right = matches!(on, Some(OnCall::Agrees { .. } | OnCall::AgreesIfOn { .. }));
            let no_call = call.is_some_and(|call| tree.calls[call].no_call);
            record.grade = json!(match (right, no_call) {
                (true, false) => "correct call",
                (true, true) => "correct no-call",
                (false, false) => "incorrect call",
                (false, true) => "missed call",
            });
            record.crew_position = self.position(play);
            let limit = self.book.replay.limits.to_announcement_s.map_or(f64::INFINITY, f64::from);
            let long = record.duration_s.is_some_and(|duration| duration > limit);
            record.review_grade = match (record.cut_short, came.slip, long) {
                (true, _, _) => Value::Null,
                (false, true, _) => json!("wrong"),
                (false, false, true) => json!("too long"),
                (false, false, false) => json!("right"),
            };
            if matches!(play.initiator, Initiator::Coach(_)) {
                record.plain = json!(draw.chance(if right { 0.15 } else { 0.4 }));
            }
        }
        if came.slip {
            season.slips.push(came.record.id.clone());
        }
        season.records.push(came.record);
    }
}

fn opening(book: &Book) -> Situation {
    let none = Challenges { used: 0, won: 0 };
    Situation {
        period: 1,
        clock_ms: i64::from(book.game.period_s) * 1000,
        clock_running: true,
        play_clock_s: None,
        next: Next::FreeKick,
        offense: Team::Home,
        attacks: End::East,
        spot: Yards::whole(1),
        score: ByTeam { home: 0, away: 0 },
        timeouts: ByTeam { home: book.game.timeouts, away: book.game.timeouts },
        challenges: ByTeam { home: none, away: none },
    }
}

/// Period and clock of `count` reviews of a game, in order; some are in the last minute of a half.
fn moments(count: usize, book: &Book, draw: &mut Dice) -> Vec<(u8, i64)> {
    let (periods, period_s) = (usize::from(book.game.periods), f64::from(book.game.period_s));
    let mut all: Vec<(u8, i64)> = (0..count)
        .map(|slot| {
            let period = 1 + (slot * periods / count.max(1)) as u8;
            let late = book.game.halves_end.contains(&period) && draw.chance(0.3);
            let clock = if late { draw.between(5.0, 59.0) } else { draw.between(65.0, period_s - 60.0) };
            (period, clock.round() as i64 * 1000)
        })
        .collect();
    all.sort_by_key(|(period, clock_ms)| (*period, -clock_ms));
    all
}

/// The game at a later moment: possession and score are drawn, and a new half renews the timeouts.
fn at(before: Situation, (period, clock_ms): (u8, i64), book: &Book, draw: &mut Dice) -> Situation {
    let mut now = Situation { period, clock_ms, ..before };
    if book.game.halves_end.iter().any(|end| before.period <= *end && *end < period) {
        now.timeouts = ByTeam { home: book.game.timeouts, away: book.game.timeouts };
    }
    now.offense = if draw.chance(0.5) { Team::Home } else { Team::Away };
    now.attacks = if draw.chance(0.5) { End::East } else { End::West };
    if draw.chance(0.5) {
        let scores = if draw.chance(0.5) { &mut now.score.home } else { &mut now.score.away };
        *scores += if draw.chance(0.7) { book.game.points.touchdown } else { book.game.points.field_goal };
    }
    now
}

/// Time since the kick-off: a minute of the game takes three.
fn elapsed_ms(state: &Situation, book: &Book) -> i64 {
    let period = i64::from(book.game.period_s) * 1000;
    3 * (period * i64::from(state.period) - state.clock_ms)
}
