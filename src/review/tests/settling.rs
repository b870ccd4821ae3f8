//! Settling against its definition: brute force over every way to complete the unanswered steps.

use proptest::prelude::*;
use review::flips::flips;
use review::next::{in_order, seconds_in_order, soonest};
use review::settle::{Answers, settle};
use review::stance::{Called, Outcome, Stance};
use rules::book::effect::{Effect, Part};
use rules::book::replay::Unproven;
use rules::book::tree::{OnCall, Set, Target, Tree};
use std::collections::BTreeSet;
use testing::random_tree::{Sample, samples};
use testing::repeatable;

const CALL: Called = Called { call: 0, whistled: false, flag_on: Some(Part::Defense) };

fn label(outcome: Outcome) -> &'static str {
    match outcome {
        Outcome::Confirmed => "confirmed",
        Outcome::Stands(_) => "stands",
        Outcome::Reversed => "reversed",
    }
}

/// The findings that a full table of sets leaves possible, by walking every path.
fn possible(tree: &Tree, table: &[Set]) -> Set {
    fn from(tree: &Tree, table: &[Set], step: usize) -> Set {
        table[step].iter().fold(Set::EMPTY, |found, option| {
            found.with(match tree.steps[step].options[option].to {
                Target::Step(next) => from(tree, table, next),
                Target::Find(finding) => Set::one(finding),
            })
        })
    }
    from(tree, table, tree.start)
}

/// Every non-empty subset of a set of options.
fn subsets(of: Set) -> Vec<Set> {
    (1..=of.0).filter(|bits| bits & !of.0 == 0).map(Set).collect()
}

/// Every table in which the steps in `free` take any of the given sets.
fn completions(base: &[Set], free: &[(usize, Vec<Set>)]) -> Vec<Vec<Set>> {
    let mut tables = vec![base.to_vec()];
    for (step, sets) in free {
        tables = tables
            .into_iter()
            .flat_map(|table| {
                sets.iter().map(move |set| {
                    let mut table = table.clone();
                    table[*step] = *set;
                    table
                })
            })
            .collect();
    }
    tables
}

fn table(tree: &Tree, answers: &Answers) -> Vec<Set> {
    (0..tree.steps.len()).map(|step| answers.get(step).unwrap_or(tree.steps[step].every())).collect()
}

/// The labels and restarts that completions can lead to.
fn reachable(
    stance: &Stance<'_>,
    base: &[Set],
    free: &[(usize, Vec<Set>)],
) -> (BTreeSet<String>, BTreeSet<String>) {
    let judged = completions(base, free).into_iter().map(|table| stance.judge(possible(stance.tree, &table)));
    let both = judged.map(|now| (label(now.outcome).to_owned(), format!("{:?}", now.restart)));
    both.unzip()
}

/// All subsets if there are few enough, else each option alone and all together: with monotone findings, the sets in
/// between can only repeat a value.
fn ways(tree: &Tree, steps: &[usize], sets: impl Fn(usize) -> Set) -> Vec<(usize, Vec<Set>)> {
    let all: Vec<(usize, Vec<Set>)> = steps.iter().map(|step| (*step, subsets(sets(*step)))).collect();
    if all.iter().map(|(_, sets)| sets.len()).product::<usize>() <= 256 {
        return all;
    }
    let few = |step: &usize| {
        let every = sets(*step);
        (*step, every.iter().map(Set::one).chain([every]).collect())
    };
    assert!(steps.len() <= tree.steps.len());
    steps.iter().map(few).collect()
}

fn holds(sample: &Sample, unproven: Unproven) -> Result<(), TestCaseError> {
    let Sample { tree, answers } = sample;
    let stance = Stance::new(tree, CALL, unproven);
    let settled = settle(&stance, answers);
    let base = table(tree, answers);
    prop_assert_eq!(settled.possible, possible(tree, &base));
    prop_assert_eq!(settled.now, stance.judge(settled.possible));

    let unanswered: Vec<usize> = (0..tree.steps.len()).filter(|step| answers.get(*step).is_none()).collect();
    let free = ways(tree, &unanswered, |step| tree.steps[step].every());
    let (labels, restarts) = reachable(&stance, &base, &free);
    prop_assert_eq!(settled.outcome, labels.len() == 1, "outcome among {:?}", labels);
    prop_assert_eq!(settled.restart, restarts.len() == 1, "restart among {:?}", restarts);

    let doubtful: Vec<usize> = (0..tree.steps.len()).filter(|step| base[*step].len() > 1).collect();
    let free = ways(tree, &doubtful, |step| base[step]);
    let (labels, _) = reachable(&stance, &base, &free);
    prop_assert_eq!(settled.proven, labels.len() == 1, "proven among {:?}", labels);
    Ok(())
}

/// Makes doubt reverse the call, in a form that `check` accepts: all findings that take it away give the same restart.
/// Every second one against it finds the foul by the other team than the flag is on.
fn must_be_proven(tree: &mut Tree) {
    tree.calls[0].must_be_proven = Some("0".to_owned());
    let mut against = 0;
    for on in tree.findings.iter_mut().filter_map(|finding| finding.on.get_mut(&0)) {
        if matches!(on, OnCall::Agrees { .. }) {
            *on = OnCall::Agrees { correction: Vec::new() };
            continue;
        }
        *on = match against % 2 {
            0 => OnCall::Changes { effects: vec![Effect::NextDown], whistled: None },
            _ => OnCall::AgreesIfOn { part: Part::Offense, effects: vec![Effect::FirstDown] },
        };
        against += 1;
    }
}

proptest! {
    #![proptest_config(repeatable(20_000))]

    // PROPERTY: settling is what brute force over all completions says
    #[test]
    fn agrees_with_brute_force_over_completions(sample in samples(4)) {
        holds(&sample, Unproven::Shared)?;
        holds(&sample, Unproven::Stands)?;
    }

    #[test]
    fn a_call_that_must_be_proven_agrees_with_brute_force_too(sample in samples(4)) {
        let Sample { mut tree, answers } = sample;
        must_be_proven(&mut tree);
        holds(&Sample { tree, answers }, Unproven::Stands)?;
    }

    // PROPERTY: answering an unanswered step never unsettles
    #[test]
    fn answering_an_unanswered_step_never_unsettles(
        sample in samples(8), pick in any::<prop::sample::Index>(), which in any::<prop::sample::Index>(),
    ) {
        let Sample { tree, mut answers } = sample;
        let unanswered: Vec<usize> = (0..tree.steps.len()).filter(|step| answers.get(*step).is_none()).collect();
        if unanswered.is_empty() {
            return Ok(());
        }
        let stance = Stance::new(&tree, CALL, Unproven::Shared);
        let before = settle(&stance, &answers);
        let step = *pick.get(&unanswered);
        answers.set(step, *which.get(&subsets(tree.steps[step].every())));
        let after = settle(&stance, &answers);
        prop_assert!(!before.outcome || after.outcome && label(after.now.outcome) == label(before.now.outcome));
        prop_assert!(!before.restart || after.restart && after.now.restart == before.now.restart);
    }
}

proptest! {
    #![proptest_config(repeatable(2_000))]

    // PROPERTY: flips are the fewest there are
    #[test]
    fn the_fewest_flips_are_those_of_an_exhaustive_search(sample in samples(4)) {
        let Sample { tree, answers } = sample;
        let stance = Stance::new(&tree, CALL, Unproven::Shared);
        let base = table(&tree, &answers);
        let now = label(stance.judge(possible(&tree, &base)).outcome);
        let given: Vec<usize> = answers.given().collect();
        let mut found: Vec<Vec<usize>> = subsets(Set::first(given.len()))
            .into_iter()
            .map(|chosen| chosen.iter().map(|index| given[index]).collect::<Vec<usize>>())
            .filter(|chosen| {
                let free = ways(&tree, chosen, |step| tree.steps[step].every());
                reachable(&stance, &base, &free).0.iter().any(|other| other != now)
            })
            .collect();
        let least = found.iter().map(Vec::len).min().unwrap_or(0);
        found.retain(|chosen| chosen.len() == least);
        found.sort();
        let mut flips = flips(&stance, &answers);
        flips.sort();
        prop_assert_eq!(flips, found);
    }

    // PROPERTY: in the order of the play, the next step is the first unanswered one on the way
    #[test]
    fn the_next_step_in_order_is_the_first_unanswered_one_on_the_way(sample in samples(8)) {
        /// The first unanswered step of all ways, by walking each of them.
        fn first(tree: &Tree, answers: &Answers, step: usize) -> Option<usize> {
            let Some(set) = answers.get(step) else { return Some(step) };
            set.iter().find_map(|option| match tree.steps[step].options[option].to {
                Target::Step(next) => first(tree, answers, next),
                Target::Find(_) => None,
            })
        }
        let Sample { tree, mut answers } = sample;
        let stance = Stance::new(&tree, CALL, Unproven::Shared);
        for _ in 0..=tree.steps.len() {
            let settled = settle(&stance, &answers);
            let next = in_order(&stance, &answers);
            if settled.outcome && settled.restart {
                prop_assert_eq!((next, seconds_in_order(&stance, &answers)), (None, 0.0));
                return Ok(());
            }
            prop_assert_eq!(next, first(&tree, &answers, tree.start));
            let Some(step) = next else { break };
            let own = f64::from(tree.steps[step].seconds);
            prop_assert!(seconds_in_order(&stance, &answers) >= own || answers.given().any(|given| answers.get(given).is_some_and(|set| set.len() > 1)));
            answers.set(step, tree.steps[step].every());
        }
        prop_assert!(false, "the walk never ends");
    }

    #[test]
    fn the_next_step_is_an_unanswered_one_on_the_way_until_all_is_settled(sample in samples(8)) {
        let Sample { tree, mut answers } = sample;
        let stance = Stance::new(&tree, CALL, Unproven::Shared);
        for _ in 0..=tree.steps.len() {
            let settled = settle(&stance, &answers);
            match soonest(&stance, &answers) {
                Some(step) => {
                    prop_assert!(answers.get(step).is_none());
                    prop_assert!(!(settled.outcome && settled.restart));
                    answers.set(step, Set::one(0));
                }
                None => {
                    prop_assert!(settled.outcome && settled.restart);
                    return Ok(());
                }
            }
        }
        prop_assert!(false, "every step was asked and nothing was settled");
    }
}

/// Expected seconds until all is settled, with equally likely options: in the best order of steps, or that of `next`.
fn expected(stance: &Stance<'_>, answers: &Answers, best: bool) -> f64 {
    let tree = stance.tree;
    let Some(chosen) = soonest(stance, answers) else { return 0.0 };
    let ask = |step: usize| {
        let options = tree.steps[step].options.len();
        let later: f64 = (0..options)
            .map(|option| {
                let mut after = answers.clone();
                after.set(step, Set::one(option));
                expected(stance, &after, best)
            })
            .sum();
        f64::from(tree.steps[step].seconds) + later / options as f64
    };
    if !best {
        return ask(chosen);
    }
    let unanswered = (0..tree.steps.len()).filter(|step| answers.get(*step).is_none());
    unanswered.map(ask).fold(f64::INFINITY, f64::min)
}

// PROPERTY: the next step costs little more than the best order
#[test]
fn asking_as_the_desk_says_costs_little_more_than_the_best_order() {
    use proptest::strategy::{Strategy, ValueTree};
    use proptest::test_runner::TestRunner;
    let mut runner = TestRunner::new(repeatable(1));
    let (mut spent, mut least) = (0.0, 0.0);
    for _ in 0..400 {
        let sample = samples(4).new_tree(&mut runner).expect("the strategy makes a tree").current();
        let stance = Stance::new(&sample.tree, CALL, Unproven::Shared);
        let none = Answers::none(&sample.tree);
        let (best, ours) = (expected(&stance, &none, true), expected(&stance, &none, false));
        assert!(ours >= best - 1e-9, "nothing beats the optimum: {ours} against {best}");
        spent += ours;
        least += best;
    }
    let regret = spent / least - 1.0;
    println!("regret of the one-step lookahead over 400 random trees: {:.2} %", regret * 100.0);
    // Measured, not derived: the lookahead is a heuristic, and this notices if it gets worse.
    assert!(regret < 0.03, "regret {regret:.4}");
}
