//! One official's answer to one step, its basis, and what a record keeps of a measurement.

use super::plan::Insists;
use super::play::{Fact, Play, across, border, other};
use evidence::mark::{Basis, Measurement, Quantity};
use evidence::verdict::Verdict;
use rules::book::Book;
use rules::book::tree::{Looks, Proof, Set, Step};
use scene::dice::Dice;
use serde_json::{Map, Value, json};
use statrs::function::erf::erfc;

#[derive(Debug, Clone)]
pub(super) struct Reading {
    pub answer: Set,
    pub basis: Basis,
    /// What a record's proof holds in addition to kind and basis.
    pub measured: Map<String, Value>,
    /// Where the mark of a measured place lies, in yards of the offense frame.
    pub x: Option<f64>,
    /// An honest mistake: not what the play shows.
    pub slip: bool,
}

/// How often an official misreads what is seen, and what is judged.
const SLIP_SEEN: f64 = 0.004;
const SLIP_JUDGED: f64 = 0.012;
/// Two measurements of one play differ by less than their error, because they use the same pictures.
const AGAIN: f64 = 0.4;

pub(super) fn read(book: &Book, play: &Play, step: &Step, fact: Fact, draw: &mut Dice) -> Reading {
    match fact {
        Fact::Hidden(_) => attested(step.every()),
        Fact::Seen(option) => {
            let right = Set::one(option);
            let judged = step.looks == Looks::FullSpeed || step.proof == Proof::Judgement;
            match draw.chance(if judged { SLIP_JUDGED } else { SLIP_SEEN }) {
                true => Reading { slip: true, ..attested(other(step, right, draw)) },
                false => attested(right),
            }
        }
        Fact::Measured { value, sigma } => {
            measured(book, play, step, value + AGAIN * sigma * draw.normal().clamp(-2.0, 2.0), sigma)
        }
    }
}

/// A reading of a step whose wording splits people: all options are equally likely.
pub(super) fn split(step: &Step, draw: &mut Dice) -> Reading {
    attested(Set::one(draw.below(step.options.len())))
}

/// The answer that a plant insists on, with the measurement kept.
pub(super) fn insist(reading: Reading, insists: &Insists, step: &Step) -> Reading {
    let basis = if insists.attested { Basis::Attested } else { reading.basis };
    Reading { answer: step.option(&insists.answer).map_or(step.every(), Set::one), basis, ..reading }
}

fn attested(answer: Set) -> Reading {
    Reading { answer, basis: Basis::Attested, measured: Map::new(), x: None, slip: false }
}

fn measured(book: &Book, play: &Play, step: &Step, value: f64, sigma: f64) -> Reading {
    let (value, sigma) = (rounded(value), rounded(sigma));
    let probability = normal_cdf((value - border(step)) / sigma);
    let verdict = Verdict::of(probability, book.replay.standard.established);
    let answer = match verdict {
        Verdict::Established { .. } => Set::one(0),
        Verdict::Refuted { .. } => step.every().without(Set::one(0)),
        Verdict::Inconclusive { .. } | Verdict::Contradiction => step.every(),
    };
    let mut measured = Map::new();
    let mut x = None;
    let mut of = None;
    match &step.proof {
        Proof::Position { line, .. } => {
            x = across(book, line, &play.situation).map(|at| rounded(at + value));
            measured.insert("line".to_owned(), json!(line));
            measured.insert("x".to_owned(), json!(x));
            of = x.map(|x| Quantity::Position { line: line.clone(), x, sigma });
        }
        Proof::Order { first, then } => {
            measured = between(first, then, value, sigma);
            let (first, then) = (first.clone(), then.clone());
            of = Some(Quantity::Order { first, then, gap_s: value, sigma_s: sigma });
        }
        Proof::Gap { first, then, at_least_s } => {
            measured = between(first, then, value, sigma);
            let (first, then, at_least_s) = (first.clone(), then.clone(), *at_least_s);
            of = Some(Quantity::Gap { first, then, at_least_s, gap_s: value, sigma_s: sigma });
        }
        Proof::Seen { .. } | Proof::Count { .. } | Proof::Never { .. } | Proof::Judgement => {}
    }
    measured.insert("sigma".to_owned(), json!(sigma));
    let basis = Basis::Computed(Measurement { verdict, of });
    Reading { answer, basis, measured, x, slip: false }
}

/// A time between two moments, in the fields of a record.
fn between(first: &str, then: &str, gap_s: f64, sigma_s: f64) -> Map<String, Value> {
    let fields = [
        ("first", json!(first)),
        ("then", json!(then)),
        ("gap_s", json!(gap_s)),
        ("sigma_s", json!(sigma_s)),
    ];
    fields.into_iter().map(|(name, value)| (name.to_owned(), value)).collect()
}

/// To a thousandth, as a desk records it.
fn rounded(value: f64) -> f64 {
    (value * 1000.0).round() / 1000.0
}

/// The standard normal's distribution function.
fn normal_cdf(z: f64) -> f64 {
    0.5 * erfc(-z / std::f64::consts::SQRT_2)
}
