//! What the tests of several crates need: small logs, challenges, random plays, noisy clicks.

pub mod booth;
pub mod challenge;
pub mod clicker;
pub mod clips;
pub mod damage;
pub mod day;
pub mod dice;
pub mod events;
pub mod forged;
pub mod hall;
pub mod logs;
pub mod plays;
pub mod precedents;
pub mod random_tree;
pub mod rulings;
pub mod scene_evidence;

use proptest::test_runner::{Config, RngSeed};
use rules::game::ledger::{Cause, Ledger, NUMBERS};
use rules::game::situation::{ByTeam, ClockStart, Situation};

/// The hall around the field of the invented league.
pub fn leagues_hall() -> scene::hall::Hall {
    use rules::book::{load, shipped};
    let sources = shipped::sources("saltmarsh").expect("the book is shipped");
    let book = load::load("saltmarsh", &sources).expect("the book is sound");
    scene::hall::Hall::new(&book.field, ["KITES", "HARBOUR"])
}

/// This many cases from a fixed seed: a test gives the same result every time.
pub fn repeatable(cases: u32) -> Config {
    Config { cases, failure_persistence: None, rng_seed: RngSeed::Fixed(20_260_401), ..Config::default() }
}

/// Asserts that the entries of every number end with its value: each goes on from the one before and changes something,
/// or the only one says that the number was kept.
pub fn accounted(ledger: &Ledger, after: &Situation, starts: Option<ClockStart>, what: &dyn Fn() -> String) {
    for number in NUMBERS {
        let entries = ledger.entries(number);
        let (first, last) = (entries.first().expect("an entry"), entries.last().expect("an entry"));
        assert_eq!(first.from, number.of(&ledger.at_snap, None), "{number:?} {}", what());
        assert_eq!(last.to, number.of(after, starts), "{number:?} {entries:?} {}", what());
        for pair in entries.windows(2) {
            assert_eq!(pair[0].to, pair[1].from, "{number:?} {}", what());
        }
        let kept = entries.len() == 1 && first.cause == Cause::Kept && first.from == first.to;
        let changes = entries.iter().all(|entry| entry.cause != Cause::Kept && entry.from != entry.to);
        assert!(kept || changes, "{number:?} {entries:?} {}", what());
    }
}

/// The situation with the teams swapped everywhere, at the other end of the building.
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

/// The peak of this process's resident memory as Linux gives it, with its unit.
pub fn peak_memory() -> String {
    let status = std::fs::read_to_string("/proc/self/status");
    let peak = status.ok().and_then(|status| {
        status.lines().find_map(|line| line.strip_prefix("VmHWM:")).map(|peak| peak.trim().to_owned())
    });
    peak.unwrap_or_else(|| "not known".to_owned())
}
