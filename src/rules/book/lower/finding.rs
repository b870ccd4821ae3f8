//! The findings of a question, and what each states about each call.

use super::super::defect::{Defect, Kind};
use super::super::effect::{Effect, Part};
use super::super::raw::tree::{RawAfterWhistle, RawBar, RawFinding};
use super::super::spanned::{Entries, Spanned};
use super::super::tree::{AfterWhistle, Bar, Finding, MOST, OnCall, Set};
use super::effects::effects;
use super::{Lowering, report_doubles};
use std::collections::{BTreeMap, BTreeSet};

/// The names that a finding may speak of.
pub(super) struct Known<'r, 'a> {
    pub findings: &'r Entries<'a>,
    pub calls: &'r Entries<'a>,
    /// Calls whose name an earlier call has: they are not checked.
    pub double_calls: Set,
    /// `None` where a part that may hold moments could not be read.
    pub moments: Option<BTreeSet<String>>,
}

/// What a finding states about calls, by the call's index, before it is known to be consistent.
#[derive(Default)]
struct Statements<'a> {
    agrees: BTreeMap<usize, &'a str>,
    agrees_if_on: BTreeMap<usize, Part>,
    effects: BTreeMap<usize, Vec<Effect>>,
    whistled: BTreeMap<usize, AfterWhistle>,
    barred: BTreeMap<usize, Bar>,
    /// It names an unknown call, or a part of it could not be read.
    unsure: bool,
}

/// All findings of a question. One that could not be read states nothing about any call.
pub(super) fn findings<'a>(lowering: &mut Lowering<'a, '_>, known: &Known<'_, 'a>) -> Vec<Finding> {
    let mut findings = Vec::new();
    for entry in &known.findings.0 {
        let mut finding = Finding {
            name: entry.key.value.clone(),
            says: String::new(),
            includes: None,
            dead_at: None,
            on: BTreeMap::new(),
            at: lowering.span(entry.key.text),
        };
        if let Some(raw) = lowering.parse::<RawFinding<'a>>(entry.value) {
            finding.includes =
                raw.includes.as_ref().and_then(|name| included(lowering, &entry.key, name, known));
            if let Some(moment) = &raw.dead_at {
                let at = lowering.span(moment.text);
                lowering.named(at, "moment", &moment.value, known.moments.as_ref());
            }
            let stated = statements(lowering, &raw, known);
            finding.on = on_calls(lowering, &entry.key, stated, known);
            finding.says = raw.says;
            finding.dead_at = raw.dead_at.map(|moment| moment.value);
        }
        findings.push(finding);
    }
    report_deep_inclusion(lowering, &findings);
    findings
}

fn included(
    lowering: &mut Lowering<'_, '_>,
    key: &Spanned<'_, String>,
    name: &Spanned<'_, String>,
    known: &Known<'_, '_>,
) -> Option<usize> {
    let names = || known.findings.0.iter().map(|entry| entry.key.value.as_str());
    let found = names().position(|candidate| candidate == name.value);
    let at = lowering.span(name.text);
    if name.value == key.value {
        let message = format!("`{}` includes itself", key.value);
        lowering.defect(Defect::new(Kind::Cycle, at, message).help("name a wider finding, or delete this"));
        return None;
    }
    if found.is_none() {
        lowering.unknown(at, "finding", &name.value, names().filter(|other| *other != key.value));
        return None;
    }
    found
}

/// INVARIANT: inclusion is one deep. Settling is exact because of it (`review::settle`).
fn report_deep_inclusion(lowering: &mut Lowering<'_, '_>, findings: &[Finding]) {
    for finding in findings {
        let wider = finding.includes.and_then(|index| findings.get(index));
        if let Some(wider) = wider.filter(|wider| wider.includes.is_some()) {
            let message =
                format!("`{}` includes `{}`, which includes another finding", finding.name, wider.name);
            lowering.defect(
                Defect::new(Kind::Cycle, finding.at, message)
                    .help("let both include the widest finding, and neither include the other"),
            );
        }
    }
}

fn statements<'a>(
    lowering: &mut Lowering<'a, '_>,
    raw: &RawFinding<'a>,
    known: &Known<'_, 'a>,
) -> Statements<'a> {
    let mut stated = Statements::default();
    for name in &raw.agrees {
        match call(lowering, name, known) {
            Some(call) => {
                stated.agrees.insert(call, name.text);
            }
            None => stated.unsure = true,
        }
    }
    let file = lowering.file;
    for entries in [&raw.agrees_if_on, &raw.effects, &raw.after_whistle, &raw.barred] {
        report_doubles(entries, "call", file, lowering.defects);
    }
    for entry in &raw.agrees_if_on.0 {
        let part = lowering.parse::<Part>(entry.value);
        match call(lowering, &entry.key, known).zip(part) {
            Some((call, part)) => {
                stated.agrees_if_on.insert(call, part);
            }
            None => stated.unsure = true,
        }
    }
    for entry in &raw.effects.0 {
        let list = lowering.parse::<Vec<Spanned<'a, Effect>>>(entry.value);
        stated.unsure |= list.is_none();
        // An unreadable list has its own defect; it still stated something about the call.
        let list = list.map_or_else(Vec::new, |list| effects(lowering, list, known.moments.as_ref()));
        match call(lowering, &entry.key, known) {
            Some(call) => {
                stated.effects.insert(call, list);
            }
            None => stated.unsure = true,
        }
    }
    for entry in &raw.after_whistle.0 {
        let value = lowering.parse::<RawAfterWhistle<'a>>(entry.value);
        let value = value.map(|value| match value {
            RawAfterWhistle::Becomes(list) => {
                AfterWhistle::Changes(effects(lowering, list, known.moments.as_ref()))
            }
            RawAfterWhistle::Barred { cite, because } => AfterWhistle::Barred(Bar { cite, because }),
        });
        match call(lowering, &entry.key, known).zip(value) {
            Some((call, value)) => {
                stated.whistled.insert(call, value);
            }
            None => stated.unsure = true,
        }
    }
    for entry in &raw.barred.0 {
        let bar = lowering.parse::<RawBar>(entry.value);
        match call(lowering, &entry.key, known).zip(bar) {
            Some((call, RawBar { cite, because })) => {
                stated.barred.insert(call, Bar { cite, because });
            }
            None => stated.unsure = true,
        }
    }
    stated
}

fn call(lowering: &mut Lowering<'_, '_>, name: &Spanned<'_, String>, known: &Known<'_, '_>) -> Option<usize> {
    let names = || known.calls.0.iter().map(|entry| entry.key.value.as_str());
    let found = names().position(|candidate| candidate == name.value);
    if found.is_none() {
        let at = lowering.span(name.text);
        lowering.unknown(at, "call", &name.value, names());
    }
    found
}

fn on_calls(
    lowering: &mut Lowering<'_, '_>,
    key: &Spanned<'_, String>,
    mut of_calls: Statements<'_>,
    known: &Known<'_, '_>,
) -> BTreeMap<usize, OnCall> {
    let at = lowering.span(key.text);
    let mut on = BTreeMap::new();
    let single = |call: usize| call >= MOST || !known.double_calls.has(call);
    for (call, entry) in known.calls.0.iter().enumerate().filter(|(call, _)| single(*call)) {
        let name = &entry.key.value;
        let agrees = of_calls.agrees.remove(&call).is_some();
        let if_on = of_calls.agrees_if_on.remove(&call);
        let effects = of_calls.effects.remove(&call);
        let whistled = of_calls.whistled.remove(&call);
        let barred = of_calls.barred.remove(&call);
        let two = match (agrees, if_on, &barred) {
            (true, Some(_), _) | (true, _, Some(_)) | (_, Some(_), Some(_)) => true,
            (_, _, Some(_)) => effects.is_some() || whistled.is_some(),
            (_, _, None) => whistled.is_some() && (agrees || if_on.is_some() || effects.is_none()),
        };
        if two {
            lowering.defect(
                Defect::new(
                    Kind::TwoEffects,
                    at,
                    format!("`{}` says two things about the call `{name}`", key.value),
                )
                .help("a call is agreed with, changed by `effects`, or barred; `after_whistle` goes with `effects`"),
            );
            continue;
        }
        let stated = match (agrees, if_on, effects, barred) {
            (true, _, correction, _) => {
                Some(OnCall::Agrees { correction: correction.into_iter().flatten().collect() })
            }
            (false, Some(part), Some(effects), _) => Some(OnCall::AgreesIfOn { part, effects }),
            (false, None, Some(effects), _) => Some(OnCall::Changes { effects, whistled }),
            (false, None, None, Some(bar)) => Some(OnCall::Barred(bar)),
            (false, _, None, _) => None,
        };
        match stated {
            Some(stated) => {
                on.insert(call, stated);
            }
            // The part that could not be read may be about this call.
            None if of_calls.unsure => {}
            None => lowering.defect(
                Defect::new(
                    Kind::NoEffect,
                    at,
                    format!("the finding `{}` says nothing about the call `{name}`", key.value),
                )
                .help(format!(
                    "add \"{name}\" to `agrees`, an `effects: {{\"{name}\": […]}}`, or a `barred: {{\"{name}\": Barred(cite: …, because: …)}}`"
                )),
            ),
        }
    }
    on
}
