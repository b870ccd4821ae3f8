//! The audit measured by seasons whose truth is known: what it finds, and whom it accuses wrongly.
//!
//! `TELLFRAME_SEASONS=200 cargo test --release audit_seasons -- --nocapture` counts false alarms over 200 seasons.

use audit::figures::figures;
use audit::sample::Sample;
use audit::sample::editions::Editions;
use audit::sample::read;
use formats::audit::{Audit, Inconsistent};
use season::{Plants, Season, season};
use std::collections::BTreeSet;

fn audited(season: &Season) -> Audit {
    let mut sample = Sample::default();
    read::records(&mut sample, &season.records).expect("its own records");
    sample.once();
    let editions = Editions::among(&sample, season.rules.clone());
    figures(&sample, &editions)
}

fn names(found: &Inconsistent, why: &str, records: &[String]) -> bool {
    found.why == why && records.iter().all(|record| found.records.contains(record))
}

/// Findings with neither a plant, nor an honest mistake, nor a second measurement too near the border behind them.
fn unfounded(season: &Season, found: &Audit) -> Vec<Inconsistent> {
    let planted = &season.planted;
    let mut known: BTreeSet<&String> = planted.pairs.iter().flatten().chain(&season.slips).collect();
    known.extend(planted.overrides.iter().chain(&planted.miscomputed));
    known.extend(planted.change.iter().flat_map(|change| &change.records));
    let split = planted.splitting.as_ref().map(|split| split.tree.as_str());
    let founded = |one: &&Inconsistent| {
        one.records.iter().any(|record| known.contains(record))
            || split == Some(one.tree.as_str())
            || one.outcomes.iter().any(|outcome| outcome == "stands")
    };
    found.inconsistent.iter().filter(|one| !founded(one)).cloned().collect()
}

// PROPERTY: every plant of a season is found, and nobody else is accused
#[test]
fn everything_that_was_planted_is_found_and_nobody_else_is_accused() {
    for seed in 1..=3 {
        let season = season(seed, Plants::All);
        let found = audited(&season);
        let planted = &season.planted;
        for pair in &planted.pairs {
            let of = |id: &String| season.records.iter().find(|record| record.id == *id).cloned();
            assert!(
                found.inconsistent.iter().any(|one| names(one, "facts", pair)),
                "{seed}: {:?}",
                pair.each_ref().map(of)
            );
        }
        for (why, records) in [("override", &planted.overrides), ("edition", &planted.miscomputed)] {
            for record in records {
                let one = std::slice::from_ref(record);
                assert!(found.inconsistent.iter().any(|found| names(found, why, one)), "{seed}: {record}");
            }
        }
        let change = planted.change.as_ref().expect("a change was planted");
        assert!(found.inconsistent.iter().any(|one| names(one, "edition", &change.records)), "{seed}");
        assert!(found.rule_changes.iter().all(|found| found.tree == change.tree), "{seed}");
        let slow: Vec<_> =
            found.officials.pace.iter().filter(|pace| pace.slow).map(|pace| pace.official.clone()).collect();
        assert_eq!(Some(slow), planted.slow.clone().map(|slow| vec![slow]), "{seed}");
        let split = planted.splitting.as_ref().expect("a step was planted");
        let splitting: Vec<_> =
            found.wording.steps.iter().filter(|split| split.splits).map(|split| split.step.clone()).collect();
        assert_eq!(splitting, [Some(split.step.clone())], "{seed}: {:?}", &found.wording.steps[..3]);
        assert_eq!(unfounded(&season, &found), [], "{seed}");
        assert_eq!(found.cannot_tell, 0, "{seed}");
    }
}

/// Where nobody differs, each kind of question may name somebody in one season of twenty; a count further above
/// that than three standard errors is a fault of the test, not of chance.
// PROPERTY: where nobody differs hardly anybody is named
#[test]
fn in_seasons_without_plants_hardly_anybody_is_named() {
    let seasons: u64 =
        std::env::var("TELLFRAME_SEASONS").ok().and_then(|text| text.parse().ok()).unwrap_or(6);
    let (mut slow, mut answers, mut wording, mut inconsistent) = (0, 0, 0, 0);
    for seed in 0..seasons {
        let season = season(1_000 + seed, Plants::None);
        let found = audited(&season);
        slow += u64::from(found.officials.pace.iter().any(|pace| pace.slow));
        answers += u64::from(!found.officials.answers.is_empty());
        wording += u64::from(found.wording.steps.iter().any(|split| split.splits));
        let unfounded = unfounded(&season, &found);
        inconsistent += u64::from(!unfounded.is_empty());
        if !unfounded.is_empty() {
            println!("{seed}: {unfounded:?}");
        }
        assert!(found.rule_changes.is_empty(), "{seed}");
    }
    println!(
        "{seasons} seasons without plants: somebody named slow in {slow}, an answer in {answers}, a step in {wording}, \
         an inconsistency that is none in {inconsistent}"
    );
    let n = seasons as f64;
    let most = 0.05 * n + 3.0 * (0.05 * 0.95 * n).sqrt();
    for (what, count) in [("slow", slow), ("answers", answers), ("wording", wording)] {
        assert!(count as f64 <= most, "{what}: {count} of {seasons}");
    }
    assert_eq!(inconsistent, 0);
}
