//! Why a ruling flips: what changed in the book along its path, from measurements through steps to findings.

use super::derive::{Derived, Editions};
use super::facts::Facts;
use super::measure::Against;
use super::{Read, as_given, called, label_of, named, reached};
use review::ruling::label;
use review::settle::settle;
use review::stance::Stance;
use rules::book::Book;
use rules::book::tree::{Set, Step, Target, Tree};

/// The reasons, in the order of the path; where the record's own edition is not known, those that the new one gives.
pub(super) fn because(editions: Editions<'_>, facts: &Facts, now: &Read<'_>) -> Vec<String> {
    let mut because = Vec::new();
    let before = editions.old.and_then(|old| Some((old, old.tree(&facts.tree)?)));
    because.extend(before.and_then(|(old, tree)| not_its_own(old, tree, facts)));
    let way = reached(now.tree, &now.answers, |_| Set::EMPTY);
    for index in way.iter() {
        let step = &now.tree.steps[index];
        if let Some(Derived::Measured { answer, against }) = &now.derived[index] {
            because.extend(measured(editions, facts, step, *answer, against));
        }
        because.extend(before.and_then(|(_, tree)| leads(tree, now.tree, step, now.answers.get(index))));
    }
    if let Some((old, tree)) = before {
        because.extend(gone(tree, now.tree, facts));
        because.extend(stances(old, tree, facts, now));
    }
    if because.is_empty() {
        let names = |set: Set, tree: &Tree| -> Vec<String> {
            set.iter().map(|finding| tree.findings[finding].name.clone()).collect()
        };
        let found = names(now.settled.possible, now.tree).join(", ");
        because.push(format!("the answers now lead to: {found}"));
    }
    because
}

/// A record whose own edition already gives another outcome: the new edition is not the only reason.
fn not_its_own(old: &Book, tree: &Tree, facts: &Facts) -> Option<String> {
    let called = called(Some(old), facts, tree, tree.call(&facts.call)?);
    let stance = Stance::new(tree, called, old.replay.unproven);
    let outcome = settle(&stance, &as_given(tree, facts)).now.outcome;
    (named(Some(old), old, &facts.outcome) != Some(label_of(outcome)))
        .then(|| format!("its own edition already makes it `{}` by these answers", label(old, outcome)))
}

/// A measurement that decides otherwise than before, and what moved.
fn measured(
    editions: Editions<'_>,
    facts: &Facts,
    step: &Step,
    answer: Set,
    against: &Against,
) -> Option<String> {
    let given = facts.answers.get(&step.name)?;
    let was = super::set_of(step, given);
    if was == answer {
        return None;
    }
    let option = |set: Set| match (set == step.every(), set.iter().next()) {
        (false, Some(option)) => step.options[option].name.clone(),
        (true, _) | (false, None) => "unclear".to_owned(),
    };
    let Against { measured, border, standard } = against;
    let moved = editions.old.map_or(String::new(), |old| {
        let mut moved = String::new();
        if let Some(earlier) = earlier(old, facts, step).filter(|earlier| earlier.border != *border) {
            moved += &format!(" (was {})", earlier.border);
        }
        let before = old.replay.standard.established;
        if before != *standard {
            moved += &format!(", standard {standard} (was {before})");
        }
        moved
    });
    let known = if moved.is_empty() { format!(", standard {standard}") } else { moved };
    Some(format!(
        "`{}`: {}, was {}: {measured} against {border}{known}",
        step.name,
        option(answer),
        option(was)
    ))
}

/// What the same measurement was held against in the record's own edition.
fn earlier(old: &Book, facts: &Facts, step: &Step) -> Option<Against> {
    let tree = old.tree(&facts.tree)?;
    let before = tree.steps.get(tree.step(&step.name)?)?;
    match super::derive::derive(Editions { new: old, old: None }, facts, tree, before)? {
        Derived::Measured { against, .. } => Some(against),
        Derived::Kept(_) | Derived::Lost(_) => None,
    }
}

/// A step on the path whose answer leads elsewhere than before.
fn leads(before: &Tree, now: &Tree, step: &Step, answer: Option<Set>) -> Option<String> {
    let Some(old) = before.step(&step.name).map(|index| &before.steps[index]) else {
        return Some(format!("`{}` is a new step", step.name));
    };
    answer?.iter().find_map(|option| {
        let choice = &step.options[option];
        let was = &old.options[old.option(&choice.name)?];
        let (was, now) = (name(before, was.to), name(now, choice.to));
        (was != now).then(|| format!("`{}`: {} leads to `{now}`, was `{was}`", step.name, choice.name))
    })
}

fn name(tree: &Tree, to: Target) -> &str {
    match to {
        Target::Step(step) => &tree.steps[step].name,
        Target::Find(finding) => &tree.findings[finding].name,
    }
}

/// Steps on the old path that are not asked any more.
fn gone(before: &Tree, now: &Tree, facts: &Facts) -> Vec<String> {
    let way = reached(before, &as_given(before, facts), |_| Set::EMPTY);
    let gone = way.iter().map(|step| &before.steps[step]).filter(|step| now.step(&step.name).is_none());
    gone.map(|step| format!("`{}` is not asked any more", step.name)).collect()
}

/// Findings whose relation to the call changed.
fn stances(old: &Book, before: &Tree, facts: &Facts, now: &Read<'_>) -> Vec<String> {
    let Some(call) = before.call(&facts.call) else { return Vec::new() };
    let was = Stance::new(before, called(Some(old), facts, before, call), old.replay.unproven);
    let mut reasons = Vec::new();
    for finding in now.settled.possible.iter() {
        let name = &now.tree.findings[finding].name;
        let (is, were) = (word(&now.stance, finding), before.finding(name).map(|old| word(&was, old)));
        match were {
            Some(were) if were != is => reasons.push(format!("`{name}` now {is}, and {were} before")),
            Some(_) => {}
            None => reasons.push(format!("`{name}` is a new finding; it {is}")),
        }
    }
    let proven = |tree: &Tree, call: usize| tree.calls[call].must_be_proven.is_some();
    if proven(before, call) != proven(now.tree, now.stance.call) {
        reasons.push(format!("whether `{}` must be proven has changed", facts.call));
    }
    reasons
}

fn word(stance: &Stance<'_>, finding: usize) -> &'static str {
    if stance.agree.has(finding) {
        "agrees with the call"
    } else if stance.change.has(finding) {
        "changes the call"
    } else {
        "is barred from changing the call"
    }
}
