//! What it costs to read a rule book: the whole of Saltmarsh parsed, resolved and checked from memory, and
//! every line of it computed. A book is loaded once when a desk opens; the bound is 50 ms.

use criterion::Criterion;
use formats::read::{Form, read};
use formats::situation::Situation as Written;
use rules::book::{load, shipped};
use rules::game::situation::Situation;
use std::hint::black_box;

fn main() {
    let mut criterion = Criterion::default().configure_from_args();
    let sources = shipped::sources("saltmarsh").expect("it is in the program");
    criterion.bench_function("load and check saltmarsh", |bench| {
        bench.iter(|| load::load("saltmarsh", black_box(&sources)).expect("it is sound"));
    });
    let book = load::load("saltmarsh", &sources).expect("it is sound");
    let situation: Situation = read::<Written>(include_str!("../docs/examples/situation.json"), Form::Json)
        .expect("it is a situation")
        .read()
        .expect("it is complete");
    criterion.bench_function("every line of saltmarsh", |bench| {
        let snap = situation.snap(&book.field);
        bench.iter(|| {
            let figures = book.lines.iter().filter_map(|line| line.figure(black_box(snap), &book.field));
            figures.fold(0, |count, figure| {
                black_box(figure);
                count + 1
            })
        });
    });
    criterion.final_summary();
}
