//! Toes clicked on filmed, compressed, decoded pictures, by camera and line.

use crate::clicker::CHOSEN_ON;
use crate::clicker::films::filmed;
use crate::clicker::measured::{Filmed, finds, measured};
use crate::clicker::tally::Tally;
use rayon::prelude::*;
use scene::action::Action;
use scene::dice::Dice;
use scene::hall::Hall;
use scene::play::Play;
use scene::rig;
use scene::rig::Station;
use scene::shipped::{CAMERAS, PLAYS};
use scene::truth::Truth;
use std::collections::BTreeMap;
use std::path::Path;

/// Toes are clicked in one frame of this many.
const EVERY: usize = 6;

/// What one camera gives.
#[derive(Default)]
struct Seen {
    lines: BTreeMap<&'static str, Tally>,
    /// How far off the finder alone was, in pixels, and by how many of its standard errors, squared.
    ticks: Vec<(f64, f64)>,
    toes: Vec<(f64, f64)>,
}

/// Prints the tables of the first `plays` plays; films lie in `folder`.
pub fn print(hall: &Hall, plays: usize, folder: &Path) {
    let mut rig = rig::read(CAMERAS).expect("they are shipped");
    rig.retain(|station| station.mounted.name != "scoreboard");
    let mut seen: Vec<Seen> = rig.iter().map(|_| Seen::default()).collect();
    let measured = PLAYS.iter().filter(|(name, _)| *name != CHOSEN_ON).take(plays);
    for (number, (_, text)) in measured.enumerate() {
        let action = Action::new(Play::read(text).expect("a play"), hall.walls);
        let truth = Truth::of(&action, hall, &rig);
        for (station, seen) in rig.iter().zip(&mut seen) {
            let filmed = Filmed { action: &action, truth: &truth, station };
            look(hall, filmed, (number, folder), seen);
        }
    }
    println!("\nclicked on decoded pictures of {plays} plays, the hand's noise 1 px\n");
    println!(
        "| camera | line | toes | stands | error: median | 95 % below | as stated | held (95 % interval) |"
    );
    println!("| --- | --- | --- | --- | --- | --- | --- | --- |");
    for (station, seen) in rig.iter().zip(&seen) {
        seen.lines.iter().for_each(|(line, tally)| row(station, line, tally));
    }
    println!(
        "\n| camera | ticks | finder alone, rms | in its own errors | toes | finder alone, rms | in its own errors |"
    );
    println!("| --- | --- | --- | --- | --- | --- | --- |");
    for (station, seen) in rig.iter().zip(&seen) {
        let [ticks, toes] = [&seen.ticks, &seen.toes].map(|all| {
            let mean = |of: fn(&(f64, f64)) -> f64| all.iter().map(of).sum::<f64>() / all.len() as f64;
            // Two directions share a distance.
            let (off, own) = (mean(|one| one.0 * one.0 / 2.0).sqrt(), mean(|one| one.1 / 2.0).sqrt());
            format!("{} | {off:.2} px | {own:.2}", all.len())
        });
        println!("| {} | {ticks} | {toes} |", station.mounted.name);
    }
}

fn row(station: &Station, line: &str, tally: &Tally) {
    let held = tally.held();
    let [low, high] = held.interval.map(|share| 100.0 * share);
    println!(
        "| {} | {line} | {} | {} | {:.1} in | {:.1} in | {:.1} in | {:.1} % ({low:.1}–{high:.1}) |",
        station.mounted.name,
        tally.count(),
        tally.stands(),
        tally.off_in(50),
        tally.off_in(95),
        tally.stated_p95_in(),
        100.0 * held.share,
    );
}

fn look(hall: &Hall, film: Filmed<'_>, (number, folder): (usize, &Path), seen: &mut Seen) {
    let clip = filmed(hall, film.action, film.station, u64::MAX, folder);
    let frames: Vec<usize> = (3..clip.frames.len()).step_by(EVERY).collect();
    let found: Vec<_> = frames
        .par_iter()
        .map(|frame| {
            let mut dice = Dice::new((number * 100_000 + frame) as u64 ^ film.action.play.seed);
            let picture = clip.picture(*frame).expect("a picture");
            let finds = finds(film, &picture, *frame, &mut dice);
            let toes: Vec<_> = finds
                .toes
                .iter()
                .map(|toe| (toe.stand, measured(film.station, &finds.ticks, &toe.thing, &mut dice)))
                .collect();
            (finds, toes)
        })
        .collect();
    for (finds, toes) in found {
        seen.ticks.extend(finds.ticks.iter().map(|tick| (tick.off.norm(), tick.square())));
        seen.toes.extend(finds.toes.iter().map(|toe| (toe.thing.off.norm(), toe.thing.square())));
        for ((who, side, since), lines) in toes {
            for one in lines {
                seen.lines.entry(one.line).or_default().add((number, who, side, since), one);
            }
        }
    }
}
