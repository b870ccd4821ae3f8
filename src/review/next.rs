//! The step that would settle soonest.
//!
//! One-step lookahead: the seconds of the step, plus the mean, over its options, of the seconds that it would still
//! take to go on in the book's order. Ties go to the book's order.

use super::settle::{Answers, Scope, Scopes, outcome_settled, restart_settled};
use super::stance::Stance;
use rules::book::tree::{MOST, Set, Target, Tree};

/// The unanswered step that is expected to settle soonest; `None` if all is settled.
pub fn next(stance: &Stance<'_>, answers: &Answers) -> Option<usize> {
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
