//! The referee's own ruling as a book states it, lowered: every name known, no remedy beyond a bound.

use super::super::defect::{Defect, Kind, nearest};
use super::super::discretion::{Bound, Discretion, Disqualification, Remedy};
use super::super::effect::{Effect, Fouler};
use super::super::lower::report_doubles;
use super::super::raw::RawBook;
use super::super::spanned::{Entries, InFile, Later, Spanned};
use serde::Deserialize;
use std::collections::BTreeMap;

/// The referee's own ruling on what no question covers.
#[derive(Debug, Deserialize, schemars::JsonSchema)]
#[serde(rename = "Discretion", deny_unknown_fields)]
pub(in crate::book) struct RawDiscretion<'a> {
    /// The rule.
    cite: String,
    /// What it may not do.
    #[serde(borrow)]
    bounds: Vec<Spanned<'a, Bound>>,
    /// Fouls that it may create although nobody called them.
    #[serde(borrow, default)]
    may_create: Vec<Spanned<'a, String>>,
    /// For what it may disqualify a player; left out: for nothing.
    #[serde(borrow, default)]
    #[schemars(with = "Option<RawDisqualification<'static>>")]
    disqualification: Option<Later<'a>>,
    /// What it may make of a play besides the calls of the question, by a short name.
    #[serde(borrow)]
    #[schemars(with = "BTreeMap<String, Vec<Effect>>")]
    remedies: Entries<'a>,
}

/// For what the referee may disqualify a player.
#[derive(Debug, Deserialize, schemars::JsonSchema)]
#[serde(rename = "Disqualification", deny_unknown_fields)]
struct RawDisqualification<'a> {
    /// The rule.
    cite: String,
    /// By the names of their penalties.
    #[serde(borrow)]
    fouls: Vec<Spanned<'a, String>>,
    /// Or whoever put someone at risk.
    #[serde(default)]
    at_risk: bool,
    /// What players are called by position.
    #[serde(borrow)]
    positions: Vec<Spanned<'a, String>>,
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
    let may_create = penalties(&read.may_create, raw, file, defects);
    let disqualification =
        read.disqualification.and_then(|slice| disqualification(slice, raw, file, defects));
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
            creates(effect, raw, &may_create, name, &mut defect);
        }
        remedies.push(Remedy { name: name.clone(), effects });
    }
    Some(Discretion { cite: read.cite, bounds, may_create, disqualification, remedies })
}

fn disqualification<'a>(
    slice: Later<'a>,
    raw: &RawBook<'a>,
    file: InFile<'a>,
    defects: &mut Vec<Defect>,
) -> Option<Disqualification> {
    let read = file.parse::<RawDisqualification<'a>>(slice.0, defects)?;
    let fouls = penalties(&read.fouls, raw, file, defects);
    let positions = distinct(&read.positions, "position", file, defects);
    let nothing = [
        (
            fouls.is_empty() && !read.at_risk,
            "is for nothing",
            "name a foul in `fouls`, or write `at_risk: true`",
        ),
        (positions.is_empty(), "names no position", "name the positions, such as `[\"linebacker\"]`"),
    ];
    for (_, what, help) in nothing.into_iter().filter(|(is, ..)| *is) {
        let message = format!("the disqualification {what}");
        defects.push(Defect::new(Kind::NoEffect, file.span(slice.0), message).help(help));
    }
    Some(Disqualification { cite: read.cite, fouls, at_risk: read.at_risk, positions })
}

/// The names of penalties in a list; reports those that the book does not have.
fn penalties(
    names: &[Spanned<'_, String>],
    raw: &RawBook<'_>,
    file: InFile<'_>,
    defects: &mut Vec<Defect>,
) -> Vec<String> {
    let known = || raw.penalties.0.iter().map(|entry| entry.key.value.as_str());
    for name in names.iter().filter(|name| !known().any(|other| other == name.value)) {
        let message = format!("there is no penalty `{}`", name.value);
        let defect = Defect::new(Kind::UnknownName, file.span(name.text), message);
        defects.push(defect.help(nearest(&name.value, known())));
    }
    distinct(names, "foul", file, defects)
}

/// The names in a list, each once; reports those that stand twice.
fn distinct(
    names: &[Spanned<'_, String>],
    what: &str,
    file: InFile<'_>,
    defects: &mut Vec<Defect>,
) -> Vec<String> {
    let mut all: Vec<String> = Vec::new();
    for name in names {
        if all.contains(&name.value) {
            let message = format!("the {what} `{}` stands twice", name.value);
            let defect = Defect::new(Kind::DuplicateName, file.span(name.text), message);
            defects.push(defect.help("delete one of the two"));
        } else {
            all.push(name.value.clone());
        }
    }
    all
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

/// Reports a foul on a given side, which creates the foul where nobody called it, if the book does not allow that.
fn creates(
    effect: &Effect,
    raw: &RawBook<'_>,
    may_create: &[String],
    remedy: &str,
    defect: &mut impl FnMut(Kind, String, String),
) {
    let Some((foul, Fouler::Offense | Fouler::Defense, _)) = effect.foul() else { return };
    let known = raw.penalties.0.iter().any(|entry| entry.key.value == foul);
    if known && !may_create.iter().any(|other| other == foul) {
        defect(
            Kind::Bound,
            format!("the remedy `{remedy}` can create the foul `{foul}`, and `may_create` does not have it"),
            "add it to `may_create`, or write `by: Called`".to_owned(),
        );
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
        | Effect::DeadAt(_)
        | Effect::DeadShortAt(_)
        | Effect::HadAsRuled
        | Effect::TurnOver
        | Effect::RunBack
        | Effect::Recovered { .. }
        | Effect::LostOut { .. }
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
