//! What several behaviours need and is not in the library.

pub mod booth;
pub mod challenge;
pub mod cli;
pub mod clips;
pub mod day;
pub mod dice;
pub mod events;
pub mod logs;
pub mod plays;
pub mod random_tree;
pub mod rulings;

use proptest::test_runner::{Config, RngSeed};
use tellframe::game::situation::{ByTeam, Situation};

/// So many cases from a fixed seed: a test says the same today and tomorrow.
pub fn repeatable(cases: u32) -> Config {
    Config { cases, failure_persistence: None, rng_seed: RngSeed::Fixed(20_260_401), ..Config::default() }
}

/// The other team everywhere, at the other end of the building.
pub fn swapped(situation: Situation) -> Situation {
    fn swap<T>(by_team: ByTeam<T>) -> ByTeam<T> {
        ByTeam { home: by_team.away, away: by_team.home }
    }
    Situation {
        offense: situation.offense.other(),
        attacks: situation.attacks.other(),
        score: swap(situation.score),
        timeouts: swap(situation.timeouts),
        challenges: swap(situation.challenges),
        ..situation
    }
}
