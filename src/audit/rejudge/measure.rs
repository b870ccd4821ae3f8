//! What a measurement of a record decides under an edition.
//!
//! A record keeps what was measured, its standard error, and the probability that the desk computed from the whole
//! distribution. Against the same line and limit that probability is the answer, under any standard. Where the line or
//! the limit moved, the distribution would be needed (`shape`), and a record keeps none. The probability still decides
//! where the border moved away from what it established or refuted. Otherwise there is an answer only where it is the
//! same for every distribution that the desk's model can have. A record without a probability, as other programs write
//! them, is taken as normal.

use super::facts::{Facts, Measured};
use super::shape::{Decided, Estimate, Shape};
use evidence::verdict::Verdict;
use rules::book::Book;
use rules::book::line::{Figure, Snap};
use rules::book::tree::{Proof, Step};

/// What a measurement was held against.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Against {
    /// "39.2 ± 0.04 yd".
    pub measured: String,
    /// "alignment line at 40".
    pub border: String,
    pub standard: f64,
}

/// What a record measured, and what that is held against.
struct Held {
    /// With its standard error, in yards or seconds.
    figure: Option<(f64, Option<f64>)>,
    unit: Unit,
    /// In the unit of the figure; or why the situation does not show where the line is.
    border: Result<f64, String>,
    /// The border in words.
    text: String,
    /// What it was held against when the probability was computed, where the record or its edition says.
    was: Option<f64>,
}

/// What the record's measurement decides under an edition; `None` where the step asks for no measurement now. `before`
/// is the record's own edition with its step, where that is known.
///
/// # Errors
/// Why that cannot be decided.
pub(super) fn measure(
    book: &Book,
    facts: &Facts,
    step: &Step,
    proof: &Measured,
    before: Option<(&Book, &Step)>,
) -> Result<Option<(Decided, Against)>, String> {
    // The record says itself between which moments it measured; else its edition does.
    let was = proof.moments().or_else(|| before.and_then(|(_, before)| thing(&before.proof)));
    if let Some(other) = was.and_then(|was| another_thing(was, &step.proof)) {
        return Err(other);
    }
    let Some(held) = held(book, facts, step, proof, before) else { return Ok(None) };
    let standard = book.replay.standard.established;
    let kept = proof.chance();
    if held.figure.is_none() {
        return match kept {
            Some(kept) if held.is_unchanged() => {
                let border = step.proof.kind().to_owned();
                Ok(Some((
                    Verdict::of(kept, standard).into(),
                    Against { measured: kept.to_string(), border, standard },
                )))
            }
            Some(_) => Err("the record holds a probability without the figure behind it".to_owned()),
            None => {
                let kind = proof.kind.as_deref().unwrap_or("something else");
                Err(format!("the record measured {kind}, and the book asks for {}", step.proof.kind()))
            }
        };
    }
    let was = held.was;
    let shape = |estimate: &Estimate, kept: f64| match held.unit {
        Unit::Yards => was.map_or(Shape::Normal, |was| Shape::of_place(estimate, kept, was)),
        Unit::Seconds => Shape::of_time(one_mark_each(facts, proof)),
    };
    decide(&held, kept, standard, shape).map(Some)
}

/// The probability on one side of an end of a 95 % interval.
const SIDE_OF_INTERVAL: f64 = 0.975;

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Unit {
    Yards,
    Seconds,
}

impl Unit {
    /// The probability that a verdict needs under a standard. A place gets no verdict while its 95 % interval holds the
    /// line (`evidence::place::measure`), so less than one side of that interval is never enough.
    fn asks(self, standard: f64) -> f64 {
        match self {
            Unit::Yards => standard.max(SIDE_OF_INTERVAL),
            Unit::Seconds => standard,
        }
    }
}

impl std::fmt::Display for Unit {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(match self {
            Unit::Yards => "yd",
            Unit::Seconds => "s",
        })
    }
}

impl Held {
    /// Whether the border is where it was when the probability was computed.
    fn is_unchanged(&self) -> bool {
        self.was.is_some() && self.border.as_ref().ok() == self.was.as_ref()
    }
}

/// Decides by the figure and by the probability that the record keeps of it.
fn decide(
    held: &Held,
    kept: Option<f64>,
    standard: f64,
    shape: impl Fn(&Estimate, f64) -> Shape,
) -> Result<(Decided, Against), String> {
    let border = held.border.clone()?;
    let (value, sigma) = held.figure.ok_or("the record does not say what was measured")?;
    let of = |measured: String| Against { measured, border: held.text.clone(), standard };
    let standard = held.unit.asks(standard);
    if let Some(kept) = kept.filter(|_| held.is_unchanged()) {
        let sigma = sigma.map_or_else(String::new, |sigma| format!(" ± {sigma}"));
        let measured = format!("{value}{sigma} {} (probability {kept:.4})", held.unit);
        return Ok((Verdict::of(kept, standard).into(), of(measured)));
    }
    let sigma = sigma.ok_or("the record does not say the error of the measurement")?;
    let estimate = Estimate { value, sigma };
    let decided = match kept {
        None => Shape::Normal.decide(&estimate, border, standard),
        Some(kept) => {
            let still = held.was.and_then(|was| still_decides((kept, was), border, standard));
            still.or_else(|| shape(&estimate, kept).decide(&estimate, border, standard))
        }
    };
    let measured = format!("{value} ± {sigma} {}", held.unit);
    let Some(decided) = decided else {
        return Err(format!(
            "{measured} is too near to {}: the record keeps the error of the measurement, not its distribution",
            held.text
        ));
    };
    Ok((decided, of(measured)))
}

/// What the probability about the old border decides about the new one: an established fact stays established where less
/// is asked for now, a refuted one refuted where more is.
fn still_decides((kept, was): (f64, f64), border: f64, standard: f64) -> Option<Decided> {
    match Verdict::of(kept, standard) {
        Verdict::Established { .. } if border <= was => Some(Decided::Established),
        Verdict::Refuted { .. } if border >= was => Some(Decided::Refuted),
        Verdict::Established { .. } | Verdict::Refuted { .. } => None,
        Verdict::Inconclusive { .. } | Verdict::Contradiction => None,
    }
}

/// What was measured and against what; `None` where the step asks for no measurement.
fn held(
    book: &Book,
    facts: &Facts,
    step: &Step,
    proof: &Measured,
    before: Option<(&Book, &Step)>,
) -> Option<Held> {
    match &step.proof {
        Proof::Seen { .. } | Proof::Count { .. } | Proof::Never { .. } | Proof::Judgement => None,
        Proof::Position { line, .. } => {
            let border = across(book, line, facts);
            let own =
                before.map(|(old, _)| old).or((facts.edition == book.edition.to_string()).then_some(book));
            let named = before.and_then(|(_, step)| match &step.proof {
                Proof::Position { line, .. } => Some(line.as_str()),
                Proof::Seen { .. }
                | Proof::Order { .. }
                | Proof::Gap { .. }
                | Proof::Count { .. }
                | Proof::Never { .. }
                | Proof::Judgement => None,
            });
            let was = own.and_then(|own| across(own, proof.line().or(named)?, facts).ok());
            let text = border.as_ref().map_or_else(|_| line.clone(), |at| format!("{line} at {at}"));
            Some(Held { figure: proof.place(), unit: Unit::Yards, border, text, was })
        }
        Proof::Order { .. } => {
            let was =
                limit(proof, before.map(|(_, step)| step)).or(Some(0.0).filter(|_| proof.kind.is_none()));
            Some(Held {
                figure: proof.gap(),
                unit: Unit::Seconds,
                border: Ok(0.0),
                text: "order".to_owned(),
                was,
            })
        }
        Proof::Gap { at_least_s, .. } => {
            let text = format!("at least {at_least_s} s");
            let was = limit(proof, before.map(|(_, step)| step));
            Some(Held { figure: proof.gap(), unit: Unit::Seconds, border: Ok(*at_least_s), text, was })
        }
    }
}

/// By how much a time was to be exceeded when it was measured: the record says so, or its kind does, or its edition.
fn limit(proof: &Measured, before: Option<&Step>) -> Option<f64> {
    let by_kind = || (proof.kind.as_deref() == Some("order")).then_some(0.0);
    let by_edition = || match before.map(|step| &step.proof)? {
        Proof::Order { .. } => Some(0.0),
        Proof::Gap { at_least_s, .. } => Some(*at_least_s),
        Proof::Seen { .. }
        | Proof::Position { .. }
        | Proof::Count { .. }
        | Proof::Never { .. }
        | Proof::Judgement => None,
    };
    proof.at_least_s().or_else(by_kind).or_else(by_edition)
}

/// Whether each of the two moments of a time was marked once.
fn one_mark_each(facts: &Facts, proof: &Measured) -> bool {
    let once = |moment: &str| {
        facts.marks.iter().filter(|marked| marked.moment.as_deref() == Some(moment)).count() == 1
    };
    proof.moments().is_some_and(|(first, then)| once(first) && once(then))
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
        Some(Figure::Along(..) | Figure::Between(_)) | None => Err(format!(
            "the {} does not run across the field, so a position along the field cannot be compared with it",
            line.name
        )),
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
