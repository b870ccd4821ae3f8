//! A play that is reviewed, with its truth: what each step of its question really was, as far as any picture can show.

use field::exact::Yards;
use review::gate::Initiator;
use rules::book::Book;
use rules::book::effect::{Effect, Fouler, Part};
use rules::book::line::Figure;
use rules::book::tree::{OnCall, Proof, Set, Step, Target, Tree};
use rules::game::known::{Recorded, known};
use rules::game::play::Flag;
use rules::game::situation::{Next, Situation};
use scene::dice::Dice;
use std::collections::BTreeMap;

/// The truth about one step.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Fact {
    /// Everyone who looks sees this option.
    Seen(usize),
    /// No picture shows it.
    Hidden(usize),
    /// By how much the first option holds (yards past the line, or seconds between the moments), with the error of one
    /// measurement.
    Measured { value: f64, sigma: f64 },
}

/// A play before anybody reviews it.
#[derive(Debug, Clone)]
pub(super) struct Play {
    pub tree: String,
    pub call: String,
    pub situation: Situation,
    pub initiator: Initiator,
    /// By step, in the order of the book.
    pub facts: Vec<Fact>,
    pub flags: Vec<Flag>,
    /// Where the crew put the ball.
    pub spot: Yards,
    pub clock_ms: i64,
    /// Randomness for marks that measure nothing.
    pub marks: Dice,
}

/// How far a measured fact is from the border, in errors of one measurement: so far that no measurement ends up on the
/// other side, or so near that none can tell.
const CLEAR: (f64, f64) = (9.0, 30.0);
const NEAR: f64 = 0.8;
/// How often no picture shows a fact, a fact is measured, and a measured fact is near the border.
const HIDDEN: f64 = 0.06;
const MEASURED: f64 = 0.7;
const BORDER: f64 = 0.1;
/// How often the crew is right.
const CREW: f64 = 0.72;
/// By how much a gap that a rule requires is kept or missed, in seconds.
const GAP_KEPT: (f64, f64) = (0.06, 0.7);
const GAP_MISSED: (f64, f64) = (0.17, 0.4);

/// The truth of every step of a tree, for a play in this situation.
pub(super) fn facts(book: &Book, tree: &Tree, situation: &Situation, draw: &mut Dice) -> Vec<Fact> {
    tree.steps
        .iter()
        .map(|step| {
            let drawn = fact(book, step, situation, draw);
            // What the situation tells is true whatever was drawn.
            let recorded = Recorded { at_snap: situation, end: None, call: "" };
            let known = known(book, step, recorded).and_then(|known| known.answers.iter().next());
            known.map_or(drawn, Fact::Seen)
        })
        .collect()
}

fn fact(book: &Book, step: &Step, situation: &Situation, draw: &mut Dice) -> Fact {
    let option = draw.below(step.options.len());
    if draw.chance(HIDDEN) {
        return Fact::Hidden(option);
    }
    let side = if option == 0 { 1.0 } else { -1.0 };
    let measured = draw.chance(MEASURED);
    let near = draw.chance(BORDER);
    let away = if near { draw.between(0.0, NEAR) } else { draw.between(CLEAR.0, CLEAR.1) };
    let of = |sigma: f64| Fact::Measured { value: side * away * sigma, sigma };
    match &step.proof {
        Proof::Position { line, off_ground, .. } if measured && across(book, line, situation).is_some() => {
            of(draw.between(0.03, 0.05) * if *off_ground { 1.4 } else { 1.0 })
        }
        Proof::Order { .. } if measured => of(draw.between(0.005, 0.007)),
        Proof::Gap { at_least_s, .. } if measured => {
            let (kept, missed) =
                (draw.between(GAP_KEPT.0, GAP_KEPT.1), draw.between(GAP_MISSED.0, GAP_MISSED.1));
            let value = if option == 0 { at_least_s + kept } else { at_least_s - missed };
            Fact::Measured { value, sigma: 0.008 }
        }
        Proof::Position { .. }
        | Proof::Order { .. }
        | Proof::Gap { .. }
        | Proof::Seen { .. }
        | Proof::Count { .. }
        | Proof::Never { .. }
        | Proof::Judgement => Fact::Seen(option),
    }
}

/// Where a line lies across the field in this situation, in yards of the offense frame.
pub(super) fn across(book: &Book, line: &str, situation: &Situation) -> Option<f64> {
    let line = book.lines.iter().find(|known| known.name == line)?;
    match line.figure(situation.snap(&book.field), &book.field)? {
        Figure::Across(at) => Some(at.as_f64()),
        Figure::Along(..) | Figure::Between(_) => None,
    }
}

/// The first option of a step holds where the measured value exceeds this.
pub(super) fn border(step: &Step) -> f64 {
    match step.proof {
        Proof::Gap { at_least_s, .. } => at_least_s,
        Proof::Position { .. }
        | Proof::Order { .. }
        | Proof::Seen { .. }
        | Proof::Count { .. }
        | Proof::Never { .. }
        | Proof::Judgement => 0.0,
    }
}

/// The finding that the truth leads to.
pub(super) fn finding(tree: &Tree, facts: &[Fact]) -> usize {
    let mut at = tree.start;
    // INVARIANT: a checked tree has no cycle, so the walk ends.
    loop {
        let step = &tree.steps[at];
        let option = match facts[at] {
            Fact::Seen(option) | Fact::Hidden(option) => option,
            Fact::Measured { value, .. } => usize::from(value <= border(step)),
        };
        match step.options[option.min(step.options.len() - 1)].to {
            Target::Step(next) => at = next,
            Target::Find(finding) => return finding,
        }
    }
}

/// The crew's call; mostly it agrees with the truth.
pub(super) fn call(tree: &Tree, finding: usize, draw: &mut Dice) -> usize {
    let agrees = |call: &usize| {
        matches!(tree.findings[finding].on.get(call), Some(OnCall::Agrees { .. } | OnCall::AgreesIfOn { .. }))
    };
    let (right, wrong): (Vec<usize>, Vec<usize>) = (0..tree.calls.len()).partition(agrees);
    let from = if (draw.chance(CREW) || wrong.is_empty()) && !right.is_empty() { right } else { wrong };
    from[draw.below(from.len())]
}

/// The crew's flags for a call: on the side that the effect or the book names, else drawn.
pub(super) fn flags(book: &Book, tree: &Tree, call: usize, spot: Yards, draw: &mut Dice) -> Vec<Flag> {
    let fouls: Vec<_> = tree.calls[call].result.iter().filter_map(Effect::foul).collect();
    let flag = |(name, by, dead): (&str, Fouler, bool)| {
        let of_book = book.penalties.get(name).and_then(|penalty| penalty.by);
        let part = match by {
            Fouler::Offense => Part::Offense,
            Fouler::Defense => Part::Defense,
            Fouler::Called => of_book.unwrap_or(if draw.chance(0.5) { Part::Offense } else { Part::Defense }),
        };
        Flag { name: name.to_owned(), by: part, spot: Some(spot), dead, clock_ms: None }
    };
    fouls.into_iter().map(flag).collect()
}

/// A snap at this moment of the game; near the goal line for a question about that line.
pub(super) fn snap(base: Situation, book: &Book, tree: &Tree, draw: &mut Dice) -> Situation {
    let near = tree
        .steps
        .iter()
        .any(|step| matches!(&step.proof, Proof::Position { line, .. } if line == "goal line"));
    let length = book.field.length;
    let most = length.as_f64() - 1.0;
    let spot = if near { draw.between(most - 8.0, most) } else { draw.between(5.0, most - 9.0) };
    let spot = halves(spot);
    let to_go = halves(if draw.chance(0.4) { 10.0 } else { draw.between(1.0, 10.0) }).min(length - spot);
    let down = 1 + draw.below(usize::from(book.game.downs)) as u8;
    Situation { spot, next: Next::Scrimmage { down, to_go }, ..base }
}

/// To the half yard.
fn halves(yards: f64) -> Yards {
    Yards::fraction((yards * 2.0).round() as i64, 2)
}

/// To the hundredth of a yard, as a desk records it.
pub(super) fn hundredths(yards: f64) -> Yards {
    Yards::fraction((yards * 100.0).round() as i64, 100)
}

/// One of the step's other options, or all options if there is no other.
pub(super) fn other(step: &Step, than: Set, draw: &mut Dice) -> Set {
    let left: Vec<usize> = step.every().without(than).iter().collect();
    if left.is_empty() { step.every() } else { Set::one(left[draw.below(left.len())]) }
}

/// Draws a question by its weight.
pub(super) fn question<'w>(weights: &'w BTreeMap<String, u32>, draw: &mut Dice) -> &'w str {
    let all: u32 = weights.values().sum();
    let mut left = draw.below(all as usize) as u32;
    for (tree, weight) in weights {
        if left < *weight {
            return tree;
        }
        left -= weight;
    }
    weights.keys().next_back().map_or("", String::as_str)
}
