//! Where a point was against a line of the rules, as a measurement of a step: the line in the hall frame, for this
//! situation, and what the clicks measure against it.

use super::answer;
use super::event::{Placed, SeenFrom};
use super::fold::Review;
use super::marking;
use super::refusal::{Refusal, no};
use evidence::mark::{Measurement, Quantity};
use evidence::place::clicked::{Clicked, Edge, Reading, read};
use evidence::place::point::Ground;
use field::Field;
use rules::book::Book;
use rules::book::line::Figure;
use rules::book::tree::Proof;
use rules::game::situation::{End, Situation};

/// Clicks for a step that asks where a point was.
#[derive(Debug, Clone, PartialEq)]
pub struct Placing {
    /// From 0.
    pub question: usize,
    pub step: String,
    /// One for each camera, all of one moment.
    pub seen: Vec<SeenFrom>,
}

/// Where a line of the book is in this situation, in the hall frame: one edge for a line across the field, two for a
/// line along it, none for a line that depends on marked players.
pub fn edges(book: &Book, situation: &Situation, line: &str) -> Vec<Edge> {
    let field = &book.field;
    let known = book.lines.iter().find(|known| known.name == line);
    let figure = known.and_then(|line| line.figure(situation.snap(field), field));
    let (length, width) = (field.length.as_f64(), field.width.as_f64());
    let end = field.end_zone.as_f64();
    let past = match situation.attacks {
        End::East => 1.0,
        End::West => -1.0,
    };
    match figure {
        Some(Figure::Across(at)) => {
            let x = mirrored(field, situation, at.as_f64());
            let through = [Ground::new(x, 0.0), Ground::new(x, width)];
            vec![Edge { through, past: Ground::new(x + past, 0.0) }]
        }
        Some(Figure::Along(right, left)) => {
            // Measured from the right side of the offense; past the line is off the field.
            let side = |at: f64, out: f64| {
                let y = match situation.attacks {
                    End::East => at,
                    End::West => width - at,
                };
                let through = [Ground::new(-end, y), Ground::new(length + end, y)];
                Edge { through, past: Ground::new(0.0, y + out * past) }
            };
            vec![side(right.as_f64(), -1.0), side(left.as_f64(), 1.0)]
        }
        Some(Figure::Between(_)) | None => Vec::new(),
    }
}

/// From the offense's frame to the hall frame, and back: its own inverse.
fn mirrored(field: &Field, situation: &Situation, x: f64) -> f64 {
    match situation.attacks {
        End::East => x,
        End::West => field.length.as_f64() - x,
    }
}

/// The reading of clicks against the nearest of these edges.
///
/// # Errors
/// A text for the official, where the clicks measure nothing.
pub fn reading(seen: &[Clicked], edges: &[Edge]) -> Result<(Edge, Reading), String> {
    let mut best: Option<(Edge, Reading)> = None;
    for edge in edges {
        let line = edge.line().map_err(|no| no.to_string())?;
        let reading = read(seen, &line).map_err(|no| no.to_string())?;
        let nearer = |(_, other): &(Edge, Reading)| reading.distance.yd.abs() < other.distance.yd.abs();
        if best.as_ref().is_none_or(nearer) {
            best = Some((*edge, reading));
        }
    }
    best.ok_or_else(|| "this line depends on marked players: nothing can be measured against it".to_owned())
}

/// A reading as the measurement of "past the line". It holds a place along the field only for a line across the field,
/// and only where the probability alone decides: any other objection holds under every standard.
pub fn measurement(
    book: &Book,
    situation: &Situation,
    line: &str,
    (edge, reading): (&Edge, &Reading),
) -> Measurement {
    let [from, to] = edge.through;
    let across = from.x == to.x;
    let standard = book.replay.standard.established;
    let distance = &reading.distance;
    let is_figure = across && !reading.contradiction && reading.withheld(standard).is_none();
    let of = (is_figure && distance.sigma_yd.is_finite()).then(|| Quantity::Position {
        line: line.to_owned(),
        x: mirrored(&book.field, situation, reading.place.x),
        sigma: distance.sigma_yd,
    });
    Measurement { verdict: reading.verdict(standard), of }
}

/// The placed point of these clicks, or why there is none.
pub(super) fn placed(book: &Book, review: &Review, placing: Placing) -> Result<Placed, Refusal> {
    let Placing { question, step, seen } = placing;
    let asked = answer::step(book, review, question, &step)?;
    let Proof::Position { point, line, off_ground, .. } = &asked.proof else {
        return no(format!("`{step}` does not ask where a point is"), "answer it as it asks");
    };
    if *off_ground && seen.len() < 2 {
        return no(
            format!("the {point} is in the air: one camera cannot place it"),
            "click the same moment in a second calibrated camera, or answer as you see it",
        );
    }
    let Some(situation) = review.situation() else {
        return no("no review has been asked for", "begin with the challenge");
    };
    let clicked: Vec<Clicked> = seen.iter().map(|seen| seen.clicked.clone()).collect();
    match reading(&clicked, &edges(book, &situation, line)) {
        Err(because) => no(because, "click again, or answer as you see it"),
        Ok((edge, reading)) => {
            marking::at_moment(review, asked, &seen)?;
            Ok(Placed {
                question,
                step,
                point: point.clone(),
                line: line.clone(),
                edge,
                measurement: measurement(book, &situation, line, (&edge, &reading)),
                seen,
            })
        }
    }
}
