//! One question file: calls, steps, findings.

use super::super::check::Draft;
use super::super::defect::{Defect, Kind};
use super::super::raw::tree::{RawCall, RawClosedWhen, RawReview, RawTree};
use super::super::spanned::{Entries, Later, Spanned};
use super::super::tree::{Call, ClosedWhen, MOST, Set, Tree};
use super::effects::effects;
use super::{Lowering, finding, report_doubles, step};
use std::collections::BTreeSet;

/// The tree of one file as far as it could be read; `None` if it has no structure or too many parts.
pub(in crate::book) fn tree(lowering: &mut Lowering<'_, '_>, id: &str) -> Option<Draft> {
    let file = lowering.file;
    let raw: RawTree<'_> = lowering.parse(file.text)?;
    let at = lowering.span(raw.title.0);
    let mut doubles = [Set::EMPTY; 3];
    let mut too_many = false;
    let parts = [(&raw.calls, "call"), (&raw.steps, "step"), (&raw.findings, "finding")];
    for ((entries, what), doubles) in parts.into_iter().zip(&mut doubles) {
        *doubles = report_doubles(entries, what, file, lowering.defects);
        if entries.0.is_empty() || entries.0.len() > MOST {
            too_many = true;
            let message =
                format!("a question has from 1 to {MOST} {what}s, this one has {}", entries.0.len());
            let help = format!("write its {what}s here, or split the question");
            lowering.defect(Defect::new(Kind::TooMany, at, message).help(help));
        }
    }
    let [double_calls, double_steps, double_findings] = doubles;
    let steps = step::steps(lowering, &raw.steps, &raw.findings, &raw.calls);
    let moments = lowering.shared.moments.as_ref().filter(|_| steps.all_read).map(|shared| {
        let own = steps.steps.iter().flat_map(|step| step.proof.moments()).map(str::to_owned);
        own.chain(shared.iter().cloned()).collect::<BTreeSet<String>>()
    });
    let (calls, read_calls) = calls(lowering, &raw.calls, moments.as_ref());
    let known = finding::Known { findings: &raw.findings, calls: &raw.calls, double_calls, moments };
    let findings = finding::findings(lowering, &known);
    let start = lowering.later::<String>(raw.start).and_then(|start| self::start(lowering, &start, &raw));
    let head = head(lowering, &raw);
    (!too_many).then(|| Draft {
        start: start.is_some(),
        read_steps: steps.read.without(double_steps),
        whole_steps: steps.whole.without(double_steps),
        calls: read_calls.without(double_calls),
        creation: head.creates_foul,
        doubles: double_steps.with(double_findings),
        tree: Tree {
            id: id.to_owned(),
            at,
            title: head.title,
            cite: head.cite,
            words: head.words,
            refused: head.refused,
            creates_foul: head.creates_foul.unwrap_or(false),
            safety: head.safety.unwrap_or(false),
            booth_only: head.booth_only,
            booth_creates: head.booth_creates,
            closed_when: head.closed_when,
            calls,
            start: start.unwrap_or(0),
            steps: steps.steps,
            findings,
        },
    })
}

/// The fields of a question besides its calls, steps and findings.
struct Head {
    title: String,
    cite: String,
    words: Vec<String>,
    refused: Option<String>,
    creates_foul: Option<bool>,
    safety: Option<bool>,
    booth_only: Option<String>,
    booth_creates: Option<String>,
    closed_when: Vec<ClosedWhen>,
}

/// A part that cannot be read is a defect of its own, so the book does not load and no placeholder is ever seen.
fn head<'a>(lowering: &mut Lowering<'a, '_>, raw: &RawTree<'a>) -> Head {
    let review = lowering.later::<RawReview>(raw.review).map(|review| review.value);
    let (cite, refused) = match review {
        Some(RawReview::Allowed { cite }) => (cite, None),
        Some(RawReview::Refused { cite, because }) => (cite, Some(because)),
        None => (String::new(), None),
    };
    let mut flag = |raw: Option<Later<'a>>| match raw {
        Some(raw) => lowering.later::<bool>(raw).map(|flag| flag.value),
        None => Some(false),
    };
    let (creates_foul, safety) = (flag(raw.creates_foul), flag(raw.safety));
    let words = raw.words.and_then(|words| lowering.later::<Vec<String>>(words));
    let booth_only = raw.booth_only.and_then(|cite| lowering.later::<String>(cite));
    let booth_creates = raw.booth_creates.and_then(|cite| lowering.later::<String>(cite));
    let closed = raw.closed_when.and_then(|list| lowering.later::<Vec<RawClosedWhen>>(list));
    Head {
        title: lowering.later::<String>(raw.title).map_or_else(String::new, |title| title.value),
        cite,
        words: words.map_or_else(Vec::new, |words| words.value),
        refused,
        creates_foul,
        safety,
        booth_only: booth_only.map(|cite| cite.value),
        booth_creates: booth_creates.map(|cite| cite.value),
        closed_when: closed.map_or_else(Vec::new, |list| list.value.into_iter().map(closed_when).collect()),
    }
}

fn closed_when(raw: RawClosedWhen) -> ClosedWhen {
    ClosedWhen { cite: raw.cite, because: raw.because, all: raw.all }
}

fn start(lowering: &mut Lowering<'_, '_>, start: &Spanned<'_, String>, raw: &RawTree<'_>) -> Option<usize> {
    let names = || raw.steps.0.iter().map(|entry| entry.key.value.as_str());
    let found = names().position(|name| name == start.value);
    if found.is_none() && !raw.steps.0.is_empty() {
        let at = lowering.span(start.text);
        lowering.unknown(at, "step", &start.value, names());
    }
    found
}

/// The calls, and which of them could be read.
fn calls<'a>(
    lowering: &mut Lowering<'a, '_>,
    entries: &Entries<'a>,
    moments: Option<&BTreeSet<String>>,
) -> (Vec<Call>, Set) {
    let mut calls = Vec::new();
    let mut read = Set::EMPTY;
    for (index, entry) in entries.0.iter().enumerate() {
        let (name, at) = (entry.key.value.clone(), lowering.span(entry.key.text));
        let Some(raw) = lowering.parse::<RawCall<'_>>(entry.value) else {
            calls.push(Call {
                name,
                says: String::new(),
                no_call: false,
                score: false,
                turnover: false,
                must_be_proven: None,
                result: Vec::new(),
                at,
            });
            continue;
        };
        if index < MOST {
            read = read.with(Set::one(index));
        }
        calls.push(Call {
            name,
            says: raw.says,
            no_call: raw.no_call,
            score: raw.score,
            turnover: raw.turnover,
            must_be_proven: raw.must_be_proven,
            result: effects(lowering, raw.result, moments),
            at,
        });
    }
    (calls, read)
}
