//! Enforcements a second on one core: reading the course of a play, its choices, the walk and the clock. A second
//! has to hold 100,000 of them, so one has to stay below 10 µs.

use testing::plays;

use criterion::Criterion;
use rules::book::{load, shipped};
use rules::game::course::{Course, Foul};
use rules::game::enforce::reading::Ran;
use rules::game::enforce::{Around, Picks, enforce};
use rules::game::situation::Situation;
use std::hint::black_box;

fn main() {
    let mut criterion = Criterion::default().configure_from_args();
    let sources = shipped::sources("college").expect("it is in the program");
    let book = load::load("college", &sources).expect("it is sound");
    let picks = Picks::better();
    let plays: Vec<(Situation, Course, Vec<Foul<'_>>)> = (0..1000)
        .map(|seed| {
            let mut numbers = plays::Numbers(seed);
            let at_snap = plays::situation(&book, &mut numbers);
            let course = plays::course(&book, &at_snap, &mut numbers);
            let fouls = plays::fouls(&book, course.stages.len(), &mut numbers);
            (at_snap, course, fouls)
        })
        .collect();
    criterion.bench_function("1000 random plays enforced", |bench| {
        bench.iter(|| {
            for (at_snap, course, fouls) in &plays {
                let ran = Ran::read(&book, *at_snap, course, at_snap.clock_ms);
                let around = Around { fouls, stoppages: &[], picks: &picks };
                black_box(enforce(&book, &ran, around));
            }
        });
    });
    criterion.final_summary();
}
