//! The referee's own ruling as a book states it, lowered: every name known, no remedy beyond a bound.

use super::super::defect::{Defect, Kind, nearest};
use super::super::discretion::{Bound, Discretion, Remedy};
use super::super::effect::Effect;
use super::super::lower::report_doubles;
use super::super::raw::RawBook;
use super::super::spanned::{Entries, InFile, Later, Spanned};
use serde::Deserialize;

#[derive(Debug, Deserialize)]
#[serde(rename = "Discretion", deny_unknown_fields)]
struct RawDiscretion<'a> {
    cite: String,
    #[serde(borrow)]
    bounds: Vec<Spanned<'a, Bound>>,
    #[serde(borrow)]
    remedies: Entries<'a>,
}

/// The referee's own ruling, as far as it could be read.
pub(super) fn lower<'a>(
    slice: Later<'a>,
    raw: &RawBook<'a>,
    file: InFile<'a>,
    defects: &mut Vec<Defect>,
) -> Option<Discretion> {
    let read = file.parse::<RawDiscretion<'a>>(slice.0, defects)?;
    let bounds = bounds(&read.bounds, file, defects);
    report_doubles(&read.remedies, "remedy", file, defects);
    let mut remedies = Vec::new();
    for entry in &read.remedies.0 {
        let Some(effects) = file.parse::<Vec<Effect>>(entry.value, defects) else { continue };
        let mut defect = |kind, message: String, help: String| {
            defects.push(Defect::new(kind, file.span(entry.value), message).help(help));
        };
        let name = &entry.key.value;
        if effects.is_empty() {
            let help = "say what it makes of the game, such as `[PlayCounts]`";
            defect(Kind::NoEffect, format!("the remedy `{name}` does nothing"), help.to_owned());
        }
        for effect in &effects {
            unknown(effect, raw, &mut defect);
            beyond(effect, name, &bounds, &mut defect);
        }
        remedies.push(Remedy { name: name.clone(), effects });
    }
    Some(Discretion { cite: read.cite, bounds, remedies })
}

fn bounds(raw: &[Spanned<'_, Bound>], file: InFile<'_>, defects: &mut Vec<Defect>) -> Vec<Bound> {
    let mut bounds: Vec<Bound> = Vec::new();
    for bound in raw {
        if bounds.contains(&bound.value) {
            let message = format!("the bound `{}` stands twice", bound.value.name());
            let defect = Defect::new(Kind::DuplicateName, file.span(bound.text), message);
            defects.push(defect.help("delete one of the two"));
        } else {
            bounds.push(bound.value);
        }
    }
    bounds
}

/// Reports a name in an effect that the book does not have.
fn unknown(effect: &Effect, raw: &RawBook<'_>, defect: &mut impl FnMut(Kind, String, String)) {
    let mut named = |what: &str, name: &str, known: &Entries<'_>| {
        let known = known.0.iter().map(|entry| entry.key.value.as_str());
        if !known.clone().any(|other| other == name) {
            defect(Kind::UnknownName, format!("there is no {what} `{name}`"), nearest(name, known));
        }
    };
    if let Effect::Foul { name, .. } = effect {
        named("penalty", name, &raw.penalties);
    }
    if let Some(moment) = effect.moment() {
        named("moment", moment, &raw.moments);
    }
}

/// Reports an effect that the book's own bounds forbid, or that decides nothing.
fn beyond(effect: &Effect, name: &str, bounds: &[Bound], defect: &mut impl FnMut(Kind, String, String)) {
    match effect {
        Effect::Score { .. } if bounds.contains(&Bound::NoScore) => defect(
            Kind::Bound,
            format!("the remedy `{name}` makes a score, and `NoScore` forbids it"),
            "take the score out, or the bound".to_owned(),
        ),
        Effect::Discretion => defect(
            Kind::Cycle,
            format!("the remedy `{name}` is itself left to the referee"),
            "say what it makes of the game".to_owned(),
        ),
        Effect::Score { .. }
        | Effect::PreviousSpot
        | Effect::SpotAt(_)
        | Effect::SpotAtOrBehind(_)
        | Effect::TurnOver
        | Effect::Touchback
        | Effect::KickFails
        | Effect::NextDown
        | Effect::RepeatDown
        | Effect::FirstDown
        | Effect::ClockAt(_)
        | Effect::DeadBy(_)
        | Effect::PlayCounts
        | Effect::Foul { .. } => {}
    }
}
