//! Timeouts and challenges: what a coach pays and what is left.

use super::situation::{Situation, Team};
use crate::book::replay::{Coach, Price};

/// The situation after a team has paid a price.
#[must_use]
pub fn pay(mut situation: Situation, team: Team, price: Price) -> Situation {
    if price.timeout {
        let left = situation.timeouts.of_mut(team);
        *left = left.saturating_sub(1);
    }
    if price.challenge {
        let challenges = situation.challenges.of_mut(team);
        challenges.used = challenges.used.saturating_add(1);
    }
    situation
}

/// The situation after a team's challenge was won.
#[must_use]
pub fn win(situation: Situation, team: Team, price: Price) -> Situation {
    let mut after = pay(situation, team, price);
    let challenges = after.challenges.of_mut(team);
    challenges.won = challenges.won.saturating_add(1).min(challenges.used);
    after
}

/// How many challenges a team has left.
pub fn challenges_left(situation: &Situation, team: Team, coach: &Coach) -> u8 {
    let so_far = situation.challenges.of(team);
    let extra = coach.extra_after_won.is_some_and(|needed| so_far.won >= needed);
    coach.challenges.saturating_add(u8::from(extra)).saturating_sub(so_far.used)
}
