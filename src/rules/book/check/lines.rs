//! The cases of every line cover every snap once.
//!
//! Guards are thresholds along three axes, so a line can only change at a guard's constant. Trying each
//! constant and both its sides on each axis therefore finds every gap and overlap: the sweep of Calvanese et
//! al., *Semantic DMN* (2016–18), on a grid.

use super::super::defect::{Defect, Kind};
use super::super::game_rules::GameRules;
use super::super::line::{Case, Guard, Line, Snap};
use field::Field;
use field::exact::Yards;
use std::collections::BTreeSet;

/// Reports lines with a gap, with a case that never counts, or with an overlap that nothing decides.
pub(in crate::book) fn lines(lines: &[Line], field: &Field, game: &GameRules, defects: &mut Vec<Defect>) {
    for line in lines {
        let snaps = snaps(line, field, game);
        if let Some(snap) = snaps.iter().find(|snap| line.figure(**snap, field).is_none()) {
            let message = format!("the line `{}` has no case for {snap}", line.name);
            let help = "add a case for it, or end the line with `Otherwise(at: …)`";
            defects.push(Defect::new(Kind::LineGap, line.at, message).help(help));
        }
        for (index, later) in line.cases.iter().enumerate() {
            let earlier = &line.cases[..index];
            match idle(line, earlier, later, &snaps, field) {
                Some(defect) => defects.push(defect),
                None => defects
                    .extend(earlier.iter().find_map(|first| overlap(line, first, later, &snaps, field))),
            }
        }
    }
}

/// Reports a case that no snap reaches.
fn idle(line: &Line, earlier: &[Case], case: &Case, snaps: &[Snap], field: &Field) -> Option<Defect> {
    let name = &line.name;
    let Some(smallest) = snaps.iter().find(|snap| case.holds(**snap, field)) else {
        let message = format!("this case of the line `{name}` never holds");
        let help = "put its figures right, or delete it";
        return Some(Defect::new(Kind::LineOverlap, case.at, message).help(help));
    };
    let taken = |snap: &Snap| earlier.iter().find(|first| first.holds(*snap, field));
    if snaps.iter().any(|snap| case.holds(*snap, field) && taken(snap).is_none()) {
        return None;
    }
    let first = taken(smallest)?;
    let (message, beside, help) = if first.guards.is_empty() {
        (
            format!("this case of the line `{name}` is never reached"),
            "this one always holds",
            "put `Otherwise` last, and only once",
        )
    } else {
        (
            format!("this case of the line `{name}` is never reached: not even for {smallest}"),
            "this one holds then, and comes first",
            "put the narrower case first, or delete this one",
        )
    };
    Some(Defect::new(Kind::LineOverlap, case.at, message).beside(first.at, beside).help(help))
}

fn overlap(line: &Line, first: &Case, later: &Case, snaps: &[Snap], field: &Field) -> Option<Defect> {
    if first.goes_first || later.guards.is_empty() {
        return None;
    }
    let differs = |snap: Snap| first.place.figure(snap, field) != later.place.figure(snap, field);
    let both = |snap: Snap| first.holds(snap, field) && later.holds(snap, field);
    let snap = snaps.iter().find(|snap| both(**snap) && differs(**snap))?;
    let message = format!("two cases of the line `{}` hold for {snap}, and they differ", line.name);
    Some(
        Defect::new(Kind::LineOverlap, later.at, message)
            .beside(first.at, "this one holds as well")
            .help("write `goes_first: true` in the one that the rule puts first, and put it first"),
    )
}

/// Every snap that can tell two cases apart, from the smallest up.
fn snaps(line: &Line, field: &Field, game: &GameRules) -> Vec<Snap> {
    let mut to_go: BTreeSet<Yards> = BTreeSet::from([Yards::whole(1), game.to_gain]);
    let mut spots: BTreeSet<Yards> = BTreeSet::from([Yards::whole(1), field.length.half()]);
    for guard in line.cases.iter().flat_map(|case| &case.guards) {
        match *guard {
            Guard::Down(_) => {}
            Guard::ToGoAtMost(yards) | Guard::ToGoOver(yards) => {
                to_go.insert(yards);
            }
            Guard::SnapInside(yards) | Guard::SnapOutside(yards) => {
                spots.insert(field.length - yards);
            }
        }
    }
    let to_go = both_sides(&to_go, field.length);
    let spots = both_sides(&spots, field.length);
    let mut snaps = Vec::new();
    for down in 1..=game.downs {
        for to_go in &to_go {
            for spot in &spots {
                // A line to gain behind the goal line does not occur: it is goal to go.
                if *to_go <= field.length - *spot {
                    snaps.push(Snap { down, to_go: *to_go, spot: *spot });
                }
            }
        }
    }
    snaps
}

/// Each value with a point on both its sides that lies nearer than any other value; on the field only.
fn both_sides(values: &BTreeSet<Yards>, length: Yards) -> BTreeSet<Yards> {
    let gap = values.iter().zip(values.iter().skip(1)).map(|(a, b)| *b - *a).min();
    let step = gap.unwrap_or(Yards::whole(1)).min(Yards::whole(1)).half();
    values
        .iter()
        .flat_map(|value| [*value - step, *value, *value + step])
        .filter(|value| *value > Yards::ZERO && *value < length)
        .collect()
}
