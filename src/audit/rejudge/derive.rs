//! An answer of a record under another edition: measured again against its lines and standard, or kept.

use super::facts::Facts;
use super::measure::{Against, measure};
use super::shape::Decided;
use formats::settle::Answer;
use rules::book::Book;
use rules::book::tree::{Set, Step, Tree};

/// What a record's answer to one step is worth under an edition.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Derived {
    /// Seen by a person, and kept.
    Kept(Set),
    /// Measured again.
    Measured { answer: Set, against: Against },
    /// It has no meaning under that edition; why.
    Lost(String),
}

/// An edition, and the record's own where that is known.
#[derive(Clone, Copy)]
pub(super) struct Editions<'b> {
    pub new: &'b Book,
    pub old: Option<&'b Book>,
}

/// The record's answer to a step of the new edition, if it has one.
pub(super) fn derive(editions: Editions<'_>, facts: &Facts, tree: &Tree, step: &Step) -> Option<Derived> {
    let measured = facts.proofs.get(&step.name).filter(|proof| proof.is_measured());
    let seen = match facts.answers.get(&step.name).map(|answer| chosen(step, answer)) {
        Some(Ok(set)) => set,
        Some(Err(gone)) => return Some(Derived::Lost(gone)),
        // Measured, and nobody wrote down what that amounts to.
        None if measured.is_some() => step.every(),
        None => return None,
    };
    let Some(proof) = measured.filter(|_| !facts.overridden(&step.name)) else {
        return Some(Derived::Kept(seen));
    };
    let before = editions.old.and_then(|old| {
        let tree = old.tree(&tree.id)?;
        tree.steps.get(tree.step(&step.name)?).map(|step| (old, step))
    });
    Some(match measure(editions.new, facts, step, proof, before) {
        Ok(None) => Derived::Kept(seen),
        Ok(Some((decided, against))) => {
            let answer = match decided {
                Decided::Established => Set::one(0),
                // A measurement does not tell the other options apart, but the person did.
                Decided::Refuted if !seen.has(0) => seen,
                Decided::Refuted => step.every().without(Set::one(0)),
                Decided::Open => step.every(),
            };
            Derived::Measured { answer, against }
        }
        Err(lost) => Derived::Lost(format!("`{}`: {lost}", step.name)),
    })
}

/// The options that an answer names, or which of them is gone.
fn chosen(step: &Step, answer: &Answer) -> Result<Set, String> {
    let Some(names) = super::options(answer) else { return Ok(step.every()) };
    let mut set = Set::EMPTY;
    for name in names {
        let gone = || format!("`{}` has no answer `{name}` any more", step.name);
        set = set.with(Set::one(step.option(name).ok_or_else(gone)?));
    }
    // An empty list means unclear.
    Ok(if set.is_empty() { step.every() } else { set })
}
