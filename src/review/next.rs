//! The step to ask next: in the order of the play while there is time, else the one that would settle soonest.
//!
//! Soonest is a one-step lookahead: the seconds of the step, plus the mean, over its options, of the seconds that it
//! would still take to go on in the book's order. Ties go to the book's order.

use super::settle::{Answers, Scope, Scopes, outcome_settled, restart_settled};
use super::stance::Stance;
use rules::book::tree::{MOST, Set, Target, Tree};

/// The first unanswered step on the way that the answers take from the start; after an answer that leaves several ways
/// open, the first of them that has one. `None` if all is settled.
pub fn in_order(stance: &Stance<'_>, answers: &Answers) -> Option<usize> {
    let tree = stance.tree;
    let scopes = Scopes::of(tree, answers);
    if all_settled(stance, &scopes) {
        return None;
    }
    let (mut seen, mut open) = (Set::EMPTY, vec![tree.start]);
    while let Some(step) = open.pop() {
        let Scope { set, free } = scopes.get(step);
        if free {
            return Some(step);
        }
        seen = seen.with(Set::one(step));
        let steps = set.iter().filter_map(|option| match tree.steps[step].options[option].to {
            Target::Step(next) if !seen.has(next) => Some(next),
            Target::Step(_) | Target::Find(_) => None,
        });
        let steps: Vec<usize> = steps.collect();
        open.extend(steps.into_iter().rev());
    }
    None
}

/// The seconds that the unanswered steps are expected to take in the book's order, with every option equally likely;
/// 0 if all is settled.
pub fn seconds_in_order(stance: &Stance<'_>, answers: &Answers) -> f64 {
    let scopes = Scopes::of(stance.tree, answers);
    match all_settled(stance, &scopes) {
        true => 0.0,
        false => walk(stance.tree, &scopes, stance.tree.start, &mut [None; MOST]),
    }
}

/// The unanswered step that is expected to settle soonest; `None` if all is settled.
pub fn soonest(stance: &Stance<'_>, answers: &Answers) -> Option<usize> {
    let tree = stance.tree;
    let mut scopes = Scopes::of(tree, answers);
    if all_settled(stance, &scopes) {
        return None;
    }
    let (reached, _) = scopes.reach(tree);
    let mut best: Option<(f64, usize)> = None;
    for step in reached.iter() {
        let open = scopes.get(step);
        if !open.free {
            continue;
        }
        let options = open.set.len() as f64;
        let mut seconds = f64::from(tree.steps[step].seconds);
        for option in open.set.iter() {
            scopes.put(step, Scope { set: Set::one(option), free: false });
            if !all_settled(stance, &scopes) {
                seconds += walk(tree, &scopes, tree.start, &mut [None; MOST]) / options;
            }
        }
        scopes.put(step, open);
        if best.is_none_or(|(least, _)| seconds < least) {
            best = Some((seconds, step));
        }
    }
    best.map(|(_, step)| step)
}

fn all_settled(stance: &Stance<'_>, scopes: &Scopes) -> bool {
    let now = stance.judge(scopes.reach(stance.tree).1);
    outcome_settled(stance, scopes, now.outcome) && restart_settled(stance, scopes, &now)
}

/// Expected seconds from a step to a finding, with every option equally likely.
fn walk(tree: &Tree, scopes: &Scopes, step: usize, known: &mut [Option<f64>; MOST]) -> f64 {
    if let Some(seconds) = known[step] {
        return seconds;
    }
    let Scope { set, free } = scopes.get(step);
    let later: f64 = set
        .iter()
        .map(|option| match tree.steps[step].options[option].to {
            Target::Step(next) => walk(tree, scopes, next, known),
            Target::Find(_) => 0.0,
        })
        .sum();
    let own = if free { f64::from(tree.steps[step].seconds) } else { 0.0 };
    let seconds = own + later / set.len().max(1) as f64;
    known[step] = Some(seconds);
    seconds
}
