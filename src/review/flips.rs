//! The fewest answers whose change could change the outcome.

use super::settle::{Answers, Scope, Scopes};
use super::stance::{Outcome, Stance};

/// The smallest sets of given answers (steps, rising) whose change, all others kept, could change the outcome.
/// Steps without an answer stay in doubt. Empty if no change of answers could.
pub fn flips(stance: &Stance<'_>, answers: &Answers) -> Vec<Vec<usize>> {
    let tree = stance.tree;
    let given: Vec<usize> = answers.given().collect();
    let kept = Scopes::from(tree, |step| Scope {
        set: answers.get(step).or_else(|| answers.known(step)).unwrap_or(tree.steps[step].every()),
        free: false,
    });
    let now = label(stance.judge(kept.reach(tree).1).outcome);
    for size in 1..=given.len() {
        let found: Vec<Vec<usize>> = choose(&given, size)
            .into_iter()
            .filter(|chosen| {
                let mut scopes = kept;
                for step in chosen {
                    scopes.put(
                        *step,
                        Scope { set: answers.known(*step).unwrap_or(tree.steps[*step].every()), free: true },
                    );
                }
                could_differ(stance, &scopes, now)
            })
            .collect();
        if !found.is_empty() {
            return found;
        }
    }
    Vec::new()
}

/// An outcome without its reason: only a change of label is a flip.
#[derive(PartialEq, Eq, Clone, Copy)]
enum Label {
    Confirmed,
    Stands,
    Reversed,
}

fn label(outcome: Outcome) -> Label {
    match outcome {
        Outcome::Confirmed => Label::Confirmed,
        Outcome::Stands(_) => Label::Stands,
        Outcome::Reversed => Label::Reversed,
    }
}

fn could_differ(stance: &Stance<'_>, scopes: &Scopes, now: Label) -> bool {
    let tree = stance.tree;
    // With every changed answer in doubt: the widest set of findings, which gives "stands" if anything does.
    let widest = label(stance.judge(scopes.reach(tree).1).outcome);
    widest != now
        || now != Label::Confirmed && scopes.can_force(tree, stance.agree)
        || now != Label::Reversed
            && stance.targets.iter().any(|target| target.reverses && scopes.can_force(tree, target.set))
}

/// All ways to choose `size` of the steps, in order.
fn choose(from: &[usize], size: usize) -> Vec<Vec<usize>> {
    if size == 0 {
        return vec![Vec::new()];
    }
    let mut ways = Vec::new();
    for (index, first) in from.iter().enumerate() {
        for mut rest in choose(&from[index + 1..], size - 1) {
            rest.insert(0, *first);
            ways.push(rest);
        }
    }
    ways
}
