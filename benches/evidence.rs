//! Evidence held against the truth of the scenes' plays: the tables of `docs/place-as-evidence.md`.
//!
//! `cargo bench --bench evidence` states times and places of `TELLFRAME_PLAYS` plays (2,000), projected with noise, and
//! then clicks toes on filmed, compressed, decoded pictures of `TELLFRAME_FILMS` plays (2), every sixth frame.

#[path = "evidence/clicker.rs"]
mod clicker;
#[path = "../tests/support/scene_evidence.rs"]
mod scene_evidence;

use scene_evidence::Tally;
use std::collections::BTreeMap;
use tellframe::book::{load, shipped};
use tellframe::scene::action::Action;
use tellframe::scene::dice::Dice;
use tellframe::scene::hall::Hall;
use tellframe::scene::play::Play;
use tellframe::scene::rig;
use tellframe::scene::shipped::{CAMERAS, PLAYS};
use tellframe::scene::truth::Truth;

fn number(name: &str, otherwise: u64) -> u64 {
    std::env::var(name).ok().and_then(|text| text.parse().ok()).unwrap_or(otherwise)
}

fn main() {
    let sources = shipped::sources("saltmarsh").expect("the book is shipped");
    let book = load::load("saltmarsh", &sources).expect("the book is sound");
    let hall = Hall::new(&book.field, ["KITES", "HARBOUR"]);
    coverage(&hall, number("TELLFRAME_PLAYS", 2_000));
    clicks(&hall, number("TELLFRAME_FILMS", 2) as usize);
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

fn clicks(hall: &Hall, films: usize) {
    let folder = tempfile::tempdir().expect("a folder");
    let mut rig = rig::read(CAMERAS).expect("they are shipped");
    rig.retain(|station| station.mounted.name != "scoreboard");
    let mut found: BTreeMap<(usize, &str), Vec<clicker::Measured>> = BTreeMap::new();
    // The play about a toe at a line first.
    let plays = ["inside-line", "catch-beyond-wall", "pass-interference", "three-down", "down-or-fumble"];
    for name in plays.iter().take(films) {
        let (_, text) = PLAYS.iter().find(|(known, _)| known == name).expect("it is shipped");
        let action = Action::new(Play::read(text).expect("a play"), hall.walls);
        let truth = Truth::of(&action, hall, &rig);
        for (index, station) in rig.iter().enumerate() {
            let clip = clicker::filmed(hall, &action, station, folder.path());
            let mut dice = Dice::new(index as u64 + 1);
            for frame in (3..clip.frames.len()).step_by(6) {
                for one in clicker::measured((&action, &truth, station), &clip, frame, &mut dice) {
                    found.entry((index, one.line)).or_default().push(one);
                }
            }
        }
    }
    println!("\nclicked on decoded pictures of {films} plays, the hand's noise 1 px\n");
    println!("| camera | line | toes | error: median | 95 % below | interval held | finder alone, median |");
    println!("| --- | --- | --- | --- | --- | --- | --- |");
    for ((index, line), mut all) in found {
        let held = 100.0 * all.iter().filter(|one| one.held).count() as f64 / all.len() as f64;
        let mut finder: Vec<f64> = all.iter().map(|one| one.finder_px).collect();
        finder.sort_by(f64::total_cmp);
        all.sort_by(|a, b| a.off_in.total_cmp(&b.off_in));
        let at = |share: usize| all[(all.len() - 1) * share / 100].off_in;
        println!(
            "| {} | {line} | {} | {:.1} in | {:.1} in | {held:.1} % | {:.2} px |",
            rig[index].mounted.name,
            all.len(),
            at(50),
            at(95),
            finder[finder.len() / 2]
        );
    }
}
