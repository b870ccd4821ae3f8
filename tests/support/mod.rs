//! What several behaviours need and is not in the library.

pub mod booth;
pub mod challenge;
pub mod cli;
pub mod events;
pub mod logs;
pub mod plays;
pub mod random_tree;
pub mod rulings;

use proptest::test_runner::{Config, RngSeed};

/// So many cases from a fixed seed: a test says the same today and tomorrow.
pub fn repeatable(cases: u32) -> Config {
    Config { cases, failure_persistence: None, rng_seed: RngSeed::Fixed(20_260_401), ..Config::default() }
}
