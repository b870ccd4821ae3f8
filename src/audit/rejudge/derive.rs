//! An answer of a record under another edition: measured again against its lines and standard, or kept.

use super::facts::{Facts, Measured};
use crate::book::Book;
use crate::book::line::{Figure, Snap};
use crate::book::tree::{Proof, Set, Step, Tree};
use crate::proof::verdict::Verdict;
use crate::wire::settle::Answer;
use statrs::function::erf::erfc;

/// What a record's answer to one step is worth under an edition.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Derived {
    /// Seen by a person, and kept.
    Kept(Set),
    /// Measured again.
    Measured {
        /// What the measurement says now.
        answer: Set,
        /// What it was held against.
        against: Against,
    },
    /// Without a meaning.
    Lost(String),
}

/// What a measurement was held against.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Against {
    /// "39.2 ± 0.04 yd".
    pub measured: String,
    /// "alignment line at 40".
    pub border: String,
    pub standard: f64,
}

/// An edition, with what it was before where that is known.
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
        Ok(Some((probability, against))) => {
            let answer = match Verdict::of(probability, against.standard) {
                Verdict::Established { .. } => Set::one(0),
                // Of several other options a measurement tells none apart, but the person did.
                Verdict::Refuted { .. } if !seen.has(0) => seen,
                Verdict::Refuted { .. } => step.every().without(Set::one(0)),
                Verdict::Inconclusive { .. } | Verdict::Contradiction => step.every(),
            };
            Derived::Measured { answer, against }
        }
        Err(lost) => Derived::Lost(format!("`{}`: {lost}", step.name)),
    })
}

/// The options that an answer names, or which of them is gone.
fn chosen(step: &Step, answer: &Answer) -> Result<Set, String> {
    let names: &[String] = match answer {
        Answer::One(one) if one == "unclear" => return Ok(step.every()),
        Answer::One(one) => std::slice::from_ref(one),
        Answer::Some(several) => several,
    };
    let mut set = Set::EMPTY;
    for name in names {
        let gone = || format!("`{}` has no answer `{name}` any more", step.name);
        set = set.with(Set::one(step.option(name).ok_or_else(gone)?));
    }
    // An empty list says nothing: as unclear as can be.
    Ok(if set.is_empty() { step.every() } else { set })
}

/// The probability that the first option of a step holds; nothing where the step asks for no measurement now.
fn measure(
    book: &Book,
    facts: &Facts,
    step: &Step,
    proof: &Measured,
    before: Option<(&Book, &Step)>,
) -> Result<Option<(f64, Against)>, String> {
    let standard = book.replay.standard.established;
    // The record says itself between which moments it measured; else its edition does.
    let was = proof.moments().or_else(|| before.and_then(|(_, before)| thing(&before.proof)));
    if let Some(other) = was.and_then(|was| another_thing(was, &step.proof)) {
        return Err(other);
    }
    let (value, unit, border, border_says) = match &step.proof {
        Proof::Seen { .. } | Proof::Count { .. } | Proof::Never { .. } | Proof::Judgement => return Ok(None),
        Proof::Position { line, .. } => {
            if let (None, Some(probability)) = (proof.place(), proof.probability) {
                return known(book, facts, step, before, probability).map(Some);
            }
            let at = across(book, line, facts)?;
            (proof.place(), "yd", at, format!("{line} at {at}"))
        }
        Proof::Order { .. } => match (proof.gap(), proof.probability) {
            (None, Some(probability)) => {
                let (measured, border) = (format!("{probability}"), "order".to_owned());
                return Ok(Some((probability, Against { measured, border, standard })));
            }
            (gap, _) => (gap, "s", 0.0, "order".to_owned()),
        },
        Proof::Gap { at_least_s, .. } => {
            if let (None, Some(probability)) = (proof.gap(), proof.probability) {
                return known(book, facts, step, before, probability).map(Some);
            }
            (proof.gap(), "s", *at_least_s, format!("at least {at_least_s} s"))
        }
    };
    let kind = proof.kind.as_deref().unwrap_or("something else");
    let (value, sigma) = value
        .ok_or_else(|| format!("the record measured {kind}, and the book asks for {}", step.proof.kind()))?;
    let sigma = sigma.ok_or("the record does not say the error of the measurement")?;
    let against = Against { measured: format!("{value} ± {sigma} {unit}"), border: border_says, standard };
    Ok(Some((exceeds(value - border, sigma), against)))
}

/// P(value > 0) of a normal with this mean and error; without any error it is certain.
fn exceeds(mean: f64, sigma: f64) -> f64 {
    if sigma > 0.0 {
        return 0.5 * erfc(-mean / sigma / std::f64::consts::SQRT_2);
    }
    if mean > 0.0 { 1.0 } else { 0.0 }
}

/// A probability without the figure behind it holds only where nothing that it was held against has changed.
fn known(
    book: &Book,
    facts: &Facts,
    step: &Step,
    before: Option<(&Book, &Step)>,
    probability: f64,
) -> Result<(f64, Against), String> {
    let unchanged = before.is_some_and(|(old, before)| {
        before.proof == step.proof
            && match &step.proof {
                Proof::Position { line, .. } => match (across(old, line, facts), across(book, line, facts)) {
                    (Ok(was), Ok(now)) => was == now,
                    (Ok(_) | Err(_), _) => false,
                },
                Proof::Seen { .. }
                | Proof::Order { .. }
                | Proof::Gap { .. }
                | Proof::Count { .. }
                | Proof::Never { .. }
                | Proof::Judgement => true,
            }
    });
    if !unchanged {
        return Err("the record holds a probability without the figure behind it".to_owned());
    }
    let standard = book.replay.standard.established;
    let border = step.proof.kind().to_owned();
    Ok((probability, Against { measured: format!("{probability}"), border, standard }))
}

/// Where a line lies across the field in the record's situation.
fn across(book: &Book, line: &str, facts: &Facts) -> Result<f64, String> {
    let line = book.lines.iter().find(|known| known.name == line).ok_or("the line is not in the book")?;
    let unknown = || "the record does not hold the situation that the line hangs on".to_owned();
    let at_snap = facts.situation.as_ref().ok_or_else(unknown)?;
    let spot = at_snap.spot.ok_or_else(unknown)?.0;
    let snap = match at_snap.whole().and_then(|whole| whole.read().ok()) {
        Some(whole) => whole.snap(&book.field),
        // Down, distance and spot are all that a line hangs on.
        None => Snap {
            down: at_snap.down.ok_or_else(unknown)?,
            to_go: at_snap.to_go.ok_or_else(unknown)?.0,
            spot,
        },
    };
    match line.figure(snap, &book.field) {
        Some(Figure::Across(at)) => Ok(at.as_f64()),
        Some(Figure::Along(..) | Figure::Between(_)) | None => {
            Err(format!("the {} does not lie across the field, so a place along it says nothing", line.name))
        }
    }
}

/// Why what was measured before is not what is asked for now.
fn another_thing(was: (&str, &str), now: &Proof) -> Option<String> {
    let now = thing(now)?;
    (was != now).then(|| {
        format!("`{}`, `{}` was measured, and the book asks for `{}`, `{}`", was.0, was.1, now.0, now.1)
    })
}

/// What a proof measures, by two names.
fn thing(proof: &Proof) -> Option<(&str, &str)> {
    match proof {
        Proof::Position { point, at, .. } => Some((point, at)),
        Proof::Order { first, then } | Proof::Gap { first, then, .. } => Some((first, then)),
        Proof::Seen { .. } | Proof::Count { .. } | Proof::Never { .. } | Proof::Judgement => None,
    }
}
