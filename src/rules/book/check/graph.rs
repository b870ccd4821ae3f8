//! The shape of a tree: cycles, what nothing leads to, what decides nothing, how long it takes.

use super::super::defect::{Defect, Kind};
use super::super::tree::{Set, Target, Tree};

/// Reports every cycle; returns whether there was one.
pub(in crate::book) fn cycles(tree: &Tree, defects: &mut Vec<Defect>) -> bool {
    let mut done = vec![false; tree.steps.len()];
    let mut cycles = Vec::new();
    for first in 0..tree.steps.len() {
        cycles_from(tree, first, &mut Vec::new(), &mut done, &mut cycles);
    }
    for cycle in &cycles {
        let names: Vec<&str> = cycle.iter().map(|step| tree.steps[*step].name.as_str()).collect();
        let (start, end) = (names[0], names[names.len() - 1]);
        let message = format!("`{start}` leads back to itself: {} → {start}", names.join(" → "));
        let help = format!("let `{end}` lead to a finding or to a step that was not asked before");
        defects.push(Defect::new(Kind::Cycle, tree.steps[cycle[0]].at, message).help(help));
    }
    !cycles.is_empty()
}

fn cycles_from(
    tree: &Tree,
    step: usize,
    path: &mut Vec<usize>,
    done: &mut [bool],
    cycles: &mut Vec<Vec<usize>>,
) {
    if let Some(start) = path.iter().position(|earlier| *earlier == step) {
        let cycle = path[start..].to_vec();
        if !cycles.contains(&cycle) {
            cycles.push(cycle);
        }
        return;
    }
    if done[step] {
        return;
    }
    path.push(step);
    for next in next_steps(tree, step) {
        cycles_from(tree, next, path, done, cycles);
    }
    path.pop();
    done[step] = true;
}

fn next_steps(tree: &Tree, step: usize) -> impl Iterator<Item = usize> {
    tree.steps[step].options.iter().filter_map(|choice| match choice.to {
        Target::Step(next) => Some(next),
        Target::Find(_) => None,
    })
}

/// Adds the steps and findings that can be reached from a step.
fn walk(tree: &Tree, from: usize, steps: &mut Set, findings: &mut Set) {
    let mut open = vec![from];
    while let Some(step) = open.pop() {
        if steps.has(step) {
            continue;
        }
        *steps = steps.with(Set::one(step));
        for choice in &tree.steps[step].options {
            match choice.to {
                Target::Step(next) => open.push(next),
                Target::Find(finding) => *findings = findings.with(Set::one(finding)),
            }
        }
    }
}

/// Reports steps and findings that no answers lead to. What only such a step leads to is not reported again.
pub(in crate::book) fn reach(tree: &Tree, defects: &mut Vec<Defect>) {
    let (mut steps, mut findings) = (Set::EMPTY, Set::EMPTY);
    walk(tree, tree.start, &mut steps, &mut findings);
    loop {
        let left = Set::first(tree.steps.len()).without(steps);
        let led_to = |step: usize| left.iter().any(|from| next_steps(tree, from).any(|next| next == step));
        // A cycle of unreachable steps has no first one: the earliest in the book is reported.
        let Some(lost) = left.iter().find(|step| !led_to(*step)).or_else(|| left.iter().next()) else {
            break;
        };
        let step = &tree.steps[lost];
        let message = format!("no answers lead to the step `{}`", step.name);
        let help = format!("let an answer lead to it with `Step(\"{}\")`, or delete it", step.name);
        defects.push(Defect::new(Kind::UnreachableStep, step.at, message).help(help));
        walk(tree, lost, &mut steps, &mut findings);
    }
    let shared = |index: usize| tree.findings.iter().any(|finding| finding.includes == Some(index));
    for (index, finding) in tree.findings.iter().enumerate() {
        // A finding that others include may exist only as what they share.
        if !findings.has(index) && !shared(index) {
            let message = format!("no answers lead to the finding `{}`", finding.name);
            let help = format!("let an answer lead to it with `Find(\"{}\")`, or delete it", finding.name);
            defects.push(Defect::new(Kind::IdleFinding, finding.at, message).help(help));
        }
    }
}

/// Reports steps whose answers all lead to the same place.
pub(in crate::book) fn idle(tree: &Tree, whole: Set, defects: &mut Vec<Defect>) {
    for step in whole.iter().filter_map(|step| tree.steps.get(step)) {
        let mut places = step.options.iter().map(|choice| choice.to);
        let first = places.next();
        if places.all(|place| Some(place) == first) {
            let message = format!("every answer to `{}` leads to the same place", step.name);
            let help = "let the answers lead to different places, or delete the step";
            defects.push(Defect::new(Kind::IdleStep, step.at, message).help(help));
        }
    }
}

/// Reports a tree whose longest path takes longer than the book allows.
pub(in crate::book) fn time(tree: &Tree, limit_s: u32, defects: &mut Vec<Defect>) {
    let mut longest: Vec<Option<(u32, Vec<usize>)>> = vec![None; tree.steps.len()];
    let (seconds, path) = longest_from(tree, tree.start, &mut longest);
    if seconds > limit_s {
        let names: Vec<&str> = path.iter().map(|step| tree.steps[*step].name.as_str()).collect();
        let message = format!(
            "the longest path takes {seconds} s and the book allows {limit_s} s to the ruling: {}",
            names.join(" → ")
        );
        let help = "give its steps less time, or decide with fewer of them";
        defects.push(Defect::new(Kind::TooLong, tree.at, message).help(help));
    }
}

fn longest_from(tree: &Tree, step: usize, known: &mut [Option<(u32, Vec<usize>)>]) -> (u32, Vec<usize>) {
    if let Some(found) = &known[step] {
        return found.clone();
    }
    let mut best = (0, Vec::new());
    for choice in &tree.steps[step].options {
        if let Target::Step(next) = choice.to {
            let later = longest_from(tree, next, known);
            if later.0 > best.0 {
                best = later;
            }
        }
    }
    best.0 += tree.steps[step].seconds;
    best.1.insert(0, step);
    known[step] = Some(best.clone());
    best
}
