//! What runs at every key press: settling, the next step, the flips, and a whole ruling, on the question of
//! Saltmarsh with most steps, half of them answered; settling and the next step also with none answered, when
//! there is most to search. Settling has to stay below 20 µs.

use criterion::Criterion;
use formats::read::{Form, read};
use formats::situation::Situation as Written;
use review::flips::flips;
use review::gate::{Entry, Initiator};
use review::next::soonest;
use review::ruling::{Question, rule};
use review::settle::{Answers, settle};
use rules::book::tree::{Set, Tree};
use rules::book::{load, shipped};
use rules::game::play::Play;
use std::hint::black_box;

/// Every second step answered, in turn clearly and as doubtful as can be.
fn half_given(tree: &Tree) -> Answers {
    let mut answers = Answers::none(tree);
    for (index, step) in tree.steps.iter().enumerate().step_by(2) {
        answers.set(index, if index % 4 == 0 { Set::one(0) } else { step.every() });
    }
    answers
}

fn main() {
    let mut criterion = Criterion::default().configure_from_args();
    let sources = shipped::sources("saltmarsh").expect("it is in the program");
    let book = load::load("saltmarsh", &sources).expect("it is sound");
    let tree = book.trees.iter().max_by_key(|tree| tree.steps.len()).expect("it has questions");
    let question = Question {
        tree,
        call: 0,
        whistle: None,
        ruled: Vec::new(),
        entry: Entry::Challenged,
        flag_on: None,
        answers: half_given(tree),
    };
    println!("{}: {} steps, {} findings", tree.id, tree.steps.len(), tree.findings.len());
    let stance = question.stance(&book);
    criterion.bench_function("settle", |bench| {
        bench.iter(|| settle(&stance, black_box(&question.answers)));
    });
    let none = Answers::none(tree);
    criterion.bench_function("settle, none answered", |bench| {
        bench.iter(|| settle(&stance, black_box(&none)));
    });
    criterion.bench_function("next step, none answered", |bench| {
        bench.iter(|| soonest(&stance, black_box(&none)));
    });
    criterion.bench_function("stance and settle", |bench| {
        bench.iter(|| black_box(settle(&question.stance(&book), black_box(&question.answers))).outcome);
    });
    criterion.bench_function("next step", |bench| {
        bench.iter(|| soonest(&stance, black_box(&question.answers)));
    });
    criterion.bench_function("flips", |bench| {
        bench.iter(|| flips(&stance, black_box(&question.answers)));
    });
    let situation = read::<Written>(include_str!("../docs/examples/situation.json"), Form::Json)
        .expect("it is a situation")
        .read()
        .expect("it is complete");
    let initiator = Initiator::Coach(situation.offense);
    let (questions, play) = ([question], Play::default());
    criterion.bench_function("ruling", |bench| {
        bench.iter(|| rule(&book, situation, initiator, black_box(&questions), &play));
    });
    criterion.final_summary();
}
