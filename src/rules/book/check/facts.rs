//! One fact is one step: settling is exact only because no two steps ask for the same fact.

use super::super::defect::{Defect, Kind};
use super::super::tree::{Proof, Set, Step, Tree};

/// Reports two steps that ask for one fact.
pub(in crate::book) fn facts(tree: &Tree, read: Set, defects: &mut Vec<Defect>) {
    let steps: Vec<&Step> = read.iter().filter_map(|step| tree.steps.get(step)).collect();
    for (later, step) in steps.iter().enumerate() {
        let twin = steps[..later].iter().find_map(|earlier| same(earlier, step).map(|why| (earlier, why)));
        if let Some((earlier, why)) = twin {
            let message = format!("`{}` asks what `{}` asks: {why}", step.name, earlier.name);
            defects.push(
                Defect::new(Kind::SameFact, step.at, message).beside(earlier.at, "the first one").help(
                    format!("lead to `Step(\"{}\")` from both places, and delete this step", earlier.name),
                ),
            );
        }
    }
}

/// Why two steps are one fact, if they are.
fn same(a: &Step, b: &Step) -> Option<&'static str> {
    let words = |step: &Step| -> String {
        step.ask.chars().filter(|letter| letter.is_alphanumeric()).flat_map(char::to_lowercase).collect()
    };
    if words(a) == words(b) {
        return Some("the same question");
    }
    match (&a.proof, &b.proof) {
        (Proof::Order { first, then }, Proof::Order { first: other_first, then: other_then }) => {
            let same = first == other_first && then == other_then;
            let turned = first == other_then && then == other_first;
            (same || turned).then_some("the order of the same two moments")
        }
        (Proof::Gap { .. }, Proof::Gap { .. })
        | (Proof::Position { .. }, Proof::Position { .. })
        | (Proof::Count { .. }, Proof::Count { .. })
        | (Proof::Never { .. }, Proof::Never { .. }) => {
            (a.proof == b.proof).then_some("the same measurement")
        }
        // Steps that are merely seen or judged differ by their question.
        _ => None,
    }
}
