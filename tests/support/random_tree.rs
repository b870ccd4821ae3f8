//! Random trees with shared steps, for properties of settling. They need not make sense as football.

use proptest::prelude::*;
use review::settle::Answers;
use rules::book::effect::Effect;
use rules::book::text::Span;
use rules::book::tree::{Bar, Call, Choice, Finding, Looks, MOST, OnCall, Proof, Set, Step, Target, Tree};
use std::collections::BTreeMap;

/// A tree with one call, and answers to some of its steps.
#[derive(Debug, Clone)]
pub struct Sample {
    pub tree: Tree,
    pub answers: Answers,
}

const HERE: Span = Span { file: 0, start: 0, end: 0 };

/// Up to `most` steps of two to four options; an option leads to a later step or to one of up to five findings.
pub fn samples(most: usize) -> impl Strategy<Value = Sample> {
    let step = (prop::collection::vec(0..1000_usize, 2..=4), 1..30_u32, 0..16_u64);
    let finding = (0..3_u8, 0..3_u8, 0..6_usize);
    (prop::collection::vec(step, 1..=most), prop::collection::vec(finding, 2..=5)).prop_map(
        |(steps, findings)| {
            let tree = tree(&steps, &findings);
            let mut answers = Answers::none(&tree);
            for (index, (options, _, answer)) in steps.iter().enumerate() {
                // Half of the steps stay unanswered.
                let set = Set(if answer % 2 == 0 { 0 } else { answer >> 1 & ((1 << options.len()) - 1) });
                answers.set(index, set);
            }
            Sample { tree, answers }
        },
    )
}

fn tree(steps: &[(Vec<usize>, u32, u64)], findings: &[(u8, u8, usize)]) -> Tree {
    assert!(steps.len() <= MOST);
    Tree {
        id: "random".to_owned(),
        title: "Random".to_owned(),
        cite: "0".to_owned(),
        words: Vec::new(),
        refused: None,
        creates_foul: false,
        safety: false,
        booth_only: None,
        booth_creates: None,
        closed_when: Vec::new(),
        calls: vec![Call {
            name: "call".to_owned(),
            says: "a call".to_owned(),
            no_call: false,
            score: false,
            turnover: false,
            must_be_proven: None,
            result: Vec::new(),
            at: HERE,
        }],
        start: 0,
        steps: steps.iter().enumerate().map(|(at, raw)| step(at, raw, steps.len(), findings.len())).collect(),
        findings: findings.iter().enumerate().map(|(at, raw)| finding(at, *raw, findings)).collect(),
        at: HERE,
    }
}

fn step(at: usize, (options, seconds, _): &(Vec<usize>, u32, u64), steps: usize, findings: usize) -> Step {
    let later = steps - at - 1;
    let choice = |(index, raw): (usize, &usize)| {
        let place = raw % (later + findings);
        let to = if place < later { Target::Step(at + 1 + place) } else { Target::Find(place - later) };
        Choice { name: format!("option {index}"), to }
    };
    Step {
        name: format!("step {at}"),
        ask: format!("Step {at}?"),
        note: None,
        looks: Looks::FrameByFrame,
        seconds: *seconds,
        proof: Proof::Judgement,
        unmarked: Set::EMPTY,
        known: Vec::new(),
        options: options.iter().enumerate().map(choice).collect(),
        at: HERE,
    }
}

fn finding(at: usize, (kind, restart, wider): (u8, u8, usize), all: &[(u8, u8, usize)]) -> Finding {
    let effects = match restart {
        0 => Vec::new(),
        1 => vec![Effect::NextDown],
        _ => vec![Effect::RepeatDown],
    };
    let on = match kind {
        0 => OnCall::Agrees { correction: effects },
        1 => OnCall::Changes { effects, whistled: None },
        _ => OnCall::Barred(Bar { cite: "0".to_owned(), because: "barred".to_owned() }),
    };
    // One deep: the wider finding is an earlier one that includes none, which the first two never do.
    let includes = (at >= 2 && wider < 2 && wider < all.len()).then_some(wider);
    Finding {
        name: format!("finding {at}"),
        says: "something".to_owned(),
        includes,
        dead_at: None,
        on: BTreeMap::from([(0, on)]),
        at: HERE,
    }
}
