//! What a restart needs can be had, whatever was found on whatever play.
//!
//! The read-back gives `as ruled` and the play's end; every moment that a reachable step or the book declares can be
//! marked from any step, with its place and its clock; a foul that the crew called has the crew's flag, which says on whom
//! it is. What is left is checked here for every call and finding, with and without a whistle: a foul that nobody called has
//! to name its team, one that is measured from its spot names the mark of that spot, and a mark behind a goal line needs a
//! finding that says what it is then.

use super::super::defect::{Defect, Kind};
use super::super::effect::{Effect, Fouler, Part, Points};
use super::super::penalty::Penalty;
use super::super::text::Span;
use super::super::tree::{AfterWhistle, Call, Finding, OnCall, Tree};
use std::collections::BTreeMap;

/// What one finding makes of a call.
struct List<'t> {
    finding: &'t Finding,
    effects: &'t [Effect],
}

/// Reports what a restart needs and nobody can give.
pub(in crate::book) fn obtain(tree: &Tree, penalties: &BTreeMap<String, Penalty>, defects: &mut Vec<Defect>) {
    // What the question can come to on any call: a finding that agrees leaves the result of its call.
    let of_findings = (0..tree.calls.len()).flat_map(|call| lists(tree, call)).map(|list| list.effects);
    let all: Vec<&[Effect]> =
        of_findings.chain(tree.calls.iter().map(|call| call.result.as_slice())).collect();
    for (index, call) in tree.calls.iter().enumerate() {
        let lists = lists(tree, index);
        let spotless = call.result.iter().find_map(|effect| no_spot(effect, penalties));
        defects.extend(spotless.map(|name| {
            defect(call.at, format!("the call `{}` is `{name}`; {NO_SPOT}", call.name)).help(NAME_SPOT)
        }));
        for list in &lists {
            if call.no_call {
                defects.extend(list.effects.iter().find_map(|effect| uncalled(list, call, effect)));
            }
            let spotless = list.effects.iter().find_map(|effect| no_spot(effect, penalties));
            defects.extend(spotless.map(|name| {
                let of = format!("`{}` makes `{name}` of the call `{}`", list.finding.name, call.name);
                defect(list.finding.at, format!("{of}; {NO_SPOT}")).help(NAME_SPOT)
            }));
            defects.extend(end_zone(list, call, &all));
        }
    }
}

/// Every list of effects on a call, with a whistle and without.
fn lists(tree: &Tree, call: usize) -> Vec<List<'_>> {
    fn of(finding: &Finding, call: usize) -> Vec<&[Effect]> {
        match finding.on.get(&call) {
            Some(OnCall::Agrees { correction: effects } | OnCall::AgreesIfOn { effects, .. }) => {
                vec![effects.as_slice()]
            }
            Some(OnCall::Changes { effects, whistled: Some(AfterWhistle::Changes(whistled)) }) => {
                vec![effects.as_slice(), whistled.as_slice()]
            }
            Some(OnCall::Changes { effects, whistled: Some(AfterWhistle::Barred(_)) | None }) => {
                vec![effects.as_slice()]
            }
            Some(OnCall::Barred(_)) | None => Vec::new(),
        }
    }
    let mut lists = Vec::new();
    for finding in &tree.findings {
        lists.extend(of(finding, call).into_iter().map(|effects| List { finding, effects }));
    }
    lists
}

/// A foul that nobody called, on the team that was called.
fn uncalled(list: &List<'_>, call: &Call, effect: &Effect) -> Option<Defect> {
    match effect.foul() {
        Some((name, Fouler::Called, _)) => {
            let message = format!(
                "`{}` makes `{name}` of the call `{}` on the team that was called, and nobody was",
                list.finding.name, call.name
            );
            let help = "name the team, `by: Offense` or `by: Defense`, with a finding for each";
            Some(defect(list.finding.at, message).help(help))
        }
        Some((_, Fouler::Offense | Fouler::Defense, _)) | None => None,
    }
}

const NO_SPOT: &str = "that penalty needs the spot of the foul, and no mark is named for it";
const NAME_SPOT: &str = "name the moment whose mark is the spot: `Foul(name: …, by: …, spot: \"…\")`";

/// The name of a live foul that needs its spot, by whoever may have committed it, where no mark is named for that.
fn no_spot<'t>(effect: &'t Effect, penalties: &BTreeMap<String, Penalty>) -> Option<&'t str> {
    let (name, fouler, dead) = effect.foul().filter(|_| effect.moment().is_none())?;
    let penalty = penalties.get(name)?;
    let may = match fouler {
        Fouler::Offense => &[Part::Offense][..],
        Fouler::Defense => &[Part::Defense],
        Fouler::Called => &[Part::Offense, Part::Defense],
    };
    let needs = |by: &Part| penalty.by.is_none_or(|only| only == *by) && penalty.needs_spot(*by, false);
    (!dead && may.iter().any(needs)).then_some(name)
}

/// A mark that can lie behind a goal line, where no finding says what it is then.
fn end_zone(list: &List<'_>, call: &Call, all: &[&[Effect]]) -> Option<Defect> {
    let effects = list.effects;
    let any = |wanted: fn(&Effect) -> bool| all.iter().any(|effects| effects.iter().any(wanted));
    let touchback = any(|effect| *effect == Effect::Touchback);
    let safety = any(|effect| matches!(effect, Effect::Score { points: Points::Safety, .. }));
    let scores =
        any(|effect| matches!(effect, Effect::DeadAt(_) | Effect::Score { points: Points::Touchdown, .. }));
    let gained = effects.contains(&Effect::TurnOver) && !touchback;
    let ran = effects.contains(&Effect::RunBack) && !(touchback && safety);
    let named = |what: &str, moment: &str| {
        format!("`{}` on the call `{}`: {what} at `{moment}`", list.finding.name, call.name)
    };
    effects.iter().find_map(|effect| match effect {
        Effect::SpotAt(moment) if gained && moment != "as ruled" => Some(
            defect(
                list.finding.at,
                format!(
                    "{}, and no finding says what it is in an end zone",
                    named("the other team gains the ball", moment)
                ),
            )
            .help(format!("write `DeadAt(\"{moment}\")`, or add a finding that is a touchback")),
        ),
        Effect::DeadAt(moment) if ran => Some(
            defect(
                list.finding.at,
                format!(
                    "{}, and no finding says whether he got it in his own end zone or took it in",
                    named("a runner of the other team is down", moment)
                ),
            )
            .help("add findings for the touchback and the safety, and a step that asks which it is"),
        ),
        Effect::DeadShortAt(moment) if !scores => Some(
            defect(
                list.finding.at,
                format!("{}, and no finding is a touchdown", named("the ball is short", moment)),
            )
            .help(format!("write `DeadAt(\"{moment}\")`, or add a finding that is a touchdown")),
        ),
        _ => None,
    })
}

fn defect(at: Span, message: String) -> Defect {
    Defect::new(Kind::Unobtainable, at, message)
}
