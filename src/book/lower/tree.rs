//! One question file: calls, steps, findings.

use super::super::effect::Effect;
use super::super::fault::{Fault, Kind};
use super::super::raw::{RawCall, RawClosedWhen, RawReview, RawTree};
use super::super::spanned::{Entries, Spanned};
use super::super::tree::{Call, ClosedWhen, MOST, Tree};
use super::{Lowering, finding, report_doubles, step};
use std::collections::BTreeSet;

/// The tree of one file, or nothing if it is too broken to be checked further.
pub(in crate::book) fn tree(lowering: &mut Lowering<'_, '_>, id: &str) -> Option<Tree> {
    let file = lowering.file;
    let raw: RawTree<'_> = lowering.parse(&file.source.text)?;
    for (entries, what) in [(&raw.calls, "call"), (&raw.steps, "step"), (&raw.findings, "finding")] {
        report_doubles(entries, what, file, lowering.faults);
        if entries.0.is_empty() || entries.0.len() > MOST {
            let message =
                format!("a question has from 1 to {MOST} {what}s, this one has {}", entries.0.len());
            lowering.fault(Fault::new(Kind::TooMany, lowering.span(raw.title.text), message));
        }
    }
    if lowering.faults.iter().any(|fault| fault.at.file == file.file && fault.kind == Kind::TooMany) {
        return None;
    }
    let steps = step::steps(lowering, &raw.steps, &raw.findings);
    let moments: BTreeSet<&str> = steps
        .iter()
        .flatten()
        .flat_map(|step| step.proof.moments())
        .chain(lowering.shared.moments.iter().map(String::as_str))
        .collect();
    let calls = calls(lowering, &raw.calls, &moments);
    let findings = finding::findings(lowering, &raw.findings, &raw.calls, &moments);
    let start = start(lowering, &raw);
    let (cite, refused) = match raw.review.value {
        RawReview::Allowed { cite } => (cite, None),
        RawReview::Refused { cite, because } => (cite, Some(because)),
    };
    Some(Tree {
        id: id.to_owned(),
        at: lowering.span(raw.title.text),
        title: raw.title.value,
        cite,
        words: raw.words,
        refused,
        creates_foul: raw.creates_foul.is_some_and(|creates| creates.value),
        safety: raw.safety,
        booth_only: raw.booth_only,
        booth_creates: raw.booth_creates,
        closed_when: raw.closed_when.into_iter().map(closed_when).collect(),
        calls: calls?,
        start: start?,
        steps: steps?,
        findings: findings?,
    })
}

fn closed_when(raw: Spanned<'_, RawClosedWhen>) -> ClosedWhen {
    let RawClosedWhen { cite, because, all } = raw.value;
    ClosedWhen { cite, because, all }
}

fn start(lowering: &mut Lowering<'_, '_>, raw: &RawTree<'_>) -> Option<usize> {
    let names = || raw.steps.0.iter().map(|entry| entry.key.value.as_str());
    let found = names().position(|name| name == raw.start.value);
    if found.is_none() {
        let at = lowering.span(raw.start.text);
        lowering.unknown(at, "step", &raw.start.value, names());
    }
    found
}

fn calls<'a>(
    lowering: &mut Lowering<'a, '_>,
    entries: &Entries<'a>,
    moments: &BTreeSet<&str>,
) -> Option<Vec<Call>> {
    let mut calls = Vec::new();
    for entry in &entries.0 {
        let Some(raw) = lowering.parse::<RawCall<'_>>(entry.value) else { continue };
        calls.push(Call {
            name: entry.key.value.clone(),
            says: raw.says,
            no_call: raw.no_call,
            score: raw.score,
            turnover: raw.turnover,
            must_be_proven: raw.must_be_proven,
            result: effects(lowering, raw.result, moments),
            at: lowering.span(entry.key.text),
        });
    }
    (calls.len() == entries.0.len()).then_some(calls)
}

/// An effect list, its moments and penalties known.
pub(super) fn effects(
    lowering: &mut Lowering<'_, '_>,
    raw: Vec<Spanned<'_, Effect>>,
    moments: &BTreeSet<&str>,
) -> Vec<Effect> {
    for effect in &raw {
        let at = lowering.span(effect.text);
        if let Some(moment) = effect.value.moment()
            && !moments.contains(moment)
        {
            lowering.unknown(at, "moment", moment, moments.iter().copied());
        }
        if let Effect::Foul { name, .. } = &effect.value
            && !lowering.shared.penalties.contains(name)
        {
            let known = lowering.shared;
            lowering.unknown(at, "penalty", name, known.penalties.iter().map(String::as_str));
        }
    }
    raw.into_iter().map(|effect| effect.value).collect()
}
