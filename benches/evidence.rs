//! Evidence held against the truth of the scenes' plays: the tables of `docs/place-as-evidence.md`.
//!
//! `cargo bench --bench evidence` states times and places of `TELLFRAME_PLAYS` plays (2,000), projected with noise, and
//! then clicks toes on filmed, compressed, decoded pictures of `TELLFRAME_FILMS` plays (4), every sixth frame. The films
//! are kept in Cargo's folder for such things, `target/tmp`; making them takes a minute or two a play.

use testing::clicker;
#[path = "evidence/clicks.rs"]
mod clicks;
use testing::scene_evidence;

use rules::book::{load, shipped};
use scene::hall::Hall;
use scene_evidence::Tally;
use std::collections::BTreeMap;
use std::path::Path;

fn number(name: &str, otherwise: u64) -> u64 {
    std::env::var(name).ok().and_then(|text| text.parse().ok()).unwrap_or(otherwise)
}

fn main() {
    let sources = shipped::sources("saltmarsh").expect("the book is shipped");
    let book = load::load("saltmarsh", &sources).expect("the book is sound");
    let hall = Hall::new(&book.field, ["KITES", "HARBOUR"]);
    coverage(&hall, number("TELLFRAME_PLAYS", 2_000));
    let films = Path::new(env!("CARGO_TARGET_TMPDIR")).join("films");
    clicks::print(&hall, number("TELLFRAME_FILMS", 4) as usize, &films);
}

fn coverage(hall: &Hall, plays: u64) {
    let mut tallies: BTreeMap<String, Tally> = BTreeMap::new();
    for stated in scene_evidence::of_plays(hall, plays) {
        let kind = match stated.about.as_str() {
            about if about.starts_with("times") => "all times",
            about if about.contains(" and ") => "all places in the air",
            _ => "all places on the ground",
        };
        for about in [kind, &stated.about] {
            tallies.entry(about.to_owned()).or_default().add(&stated);
        }
    }
    println!("{plays} plays\n");
    println!(
        "| statement about | n | interval held | ellipse held | verdicts at 0.99 | wrong | error, 95 % below |"
    );
    println!("| --- | --- | --- | --- | --- | --- | --- |");
    for (about, mut tally) in tallies {
        let share = |count: usize, of: usize| 100.0 * count as f64 / of as f64;
        let place = match tally.places {
            0 => "–".to_owned(),
            places => format!("{:.1} %", share(tally.held_places, places)),
        };
        let off = match about.contains("times") {
            true => format!("{:.1} ms", 1e3 * tally.p95()),
            false => format!("{:.1} in", 36.0 * tally.p95()),
        };
        println!(
            "| {about} | {} | {:.1} % | {place} | {} | {:.2} % | {off} |",
            tally.plays,
            100.0 * tally.share(),
            tally.told,
            share(tally.wrong, tally.told.max(1)),
        );
    }
}
