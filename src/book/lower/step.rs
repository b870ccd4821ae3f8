//! The steps of a question.

use super::super::fault::{Fault, Kind};
use super::super::raw::{RawStep, RawTarget};
use super::super::spanned::{Entries, Spanned};
use super::super::tree::{Choice, Looks, MOST, Proof, Set, Step, Target};
use super::{Lowering, report_doubles};

/// Names of steps and findings, to resolve where an answer leads.
struct Names<'r, 'a> {
    steps: &'r Entries<'a>,
    findings: &'r Entries<'a>,
}

impl Names<'_, '_> {
    fn of(entries: &Entries<'_>) -> Vec<String> {
        entries.0.iter().map(|entry| entry.key.value.clone()).collect()
    }
}

/// What both forms of a step share.
struct Common<'a> {
    ask: String,
    note: Option<String>,
    looks: Looks,
    seconds: u32,
    proof: Spanned<'a, Proof>,
    unmarked: Vec<Spanned<'a, String>>,
}

/// All steps of a question, or nothing if one of them could not be read.
pub(super) fn steps<'a>(
    lowering: &mut Lowering<'a, '_>,
    entries: &Entries<'a>,
    findings: &Entries<'a>,
) -> Option<Vec<Step>> {
    let names = Names { steps: entries, findings };
    let mut steps = Vec::new();
    for entry in &entries.0 {
        let Some(raw) = lowering.parse::<RawStep<'a>>(entry.value) else { continue };
        let lowered = match raw {
            RawStep::Ask { ask, note, looks, seconds, proof, unmarked, yes, no } => {
                let (yes, no) = (target(lowering, &yes, &names), target(lowering, &no, &names));
                let options = yes.zip(no).map(|(yes, no)| {
                    vec![Choice { name: "yes".to_owned(), to: yes }, Choice { name: "no".to_owned(), to: no }]
                });
                options.map(|options| (Common { ask, note, looks, seconds, proof, unmarked }, options))
            }
            RawStep::Choose { ask, note, looks, seconds, proof, unmarked, options } => {
                let options = choices(lowering, &entry.key, &options, &names);
                options.map(|options| (Common { ask, note, looks, seconds, proof, unmarked }, options))
            }
        };
        let Some((common, options)) = lowered else { continue };
        steps.push(step(lowering, &entry.key, common, options));
    }
    (steps.len() == entries.0.len()).then_some(steps)
}

fn step(
    lowering: &mut Lowering<'_, '_>,
    key: &Spanned<'_, String>,
    common: Common<'_>,
    options: Vec<Choice>,
) -> Step {
    let at = lowering.span(key.text);
    let proof_at = lowering.span(common.proof.text);
    match &common.proof.value {
        Proof::Position { line, .. } if !lowering.shared.lines.contains(line) => {
            let known = lowering.shared;
            lowering.unknown(proof_at, "line", line, known.lines.iter().map(String::as_str));
        }
        Proof::Gap { at_least_s, .. } if !(at_least_s.is_finite() && *at_least_s >= 0.0) => {
            let message = format!("`{at_least_s}` is not a length of time");
            lowering.fault(Fault::new(Kind::Figure, proof_at, message).help("write seconds, such as 0.5"));
        }
        Proof::Seen { .. }
        | Proof::Order { .. }
        | Proof::Gap { .. }
        | Proof::Position { .. }
        | Proof::Count { .. }
        | Proof::Never { .. }
        | Proof::Judgement => {}
    }
    if common.seconds == 0 || common.seconds > 600 {
        let message = format!("a step takes from 1 to 600 seconds, not {}", common.seconds);
        lowering.fault(Fault::new(Kind::Figure, at, message));
    }
    // "Was it seen?", answered no: there is no moment to mark.
    let is_ask = options.first().is_some_and(|choice| choice.name == "yes");
    let seen_no = is_ask && matches!(common.proof.value, Proof::Seen { .. });
    let mut unmarked = if seen_no { Set::one(1) } else { Set::EMPTY };
    for name in &common.unmarked {
        match options.iter().position(|choice| choice.name == name.value) {
            Some(index) => unmarked = unmarked.with(Set::one(index)),
            None => {
                let at = lowering.span(name.text);
                lowering.unknown(
                    at,
                    "answer",
                    &name.value,
                    options.iter().map(|choice| choice.name.as_str()),
                );
            }
        }
    }
    Step {
        name: key.value.clone(),
        ask: common.ask,
        note: common.note,
        looks: common.looks,
        seconds: common.seconds,
        proof: common.proof.value,
        unmarked,
        options,
        at,
    }
}

fn choices<'a>(
    lowering: &mut Lowering<'a, '_>,
    key: &Spanned<'a, String>,
    entries: &Entries<'a>,
    names: &Names<'_, 'a>,
) -> Option<Vec<Choice>> {
    let file = lowering.file;
    report_doubles(entries, "answer", file, lowering.faults);
    if entries.0.len() < 2 || entries.0.len() > MOST {
        let at = lowering.span(key.text);
        let message = format!("a step has from 2 to {MOST} answers, this one has {}", entries.0.len());
        lowering.fault(Fault::new(Kind::TooMany, at, message));
        return None;
    }
    let mut choices = Vec::new();
    for entry in &entries.0 {
        if entry.key.value == "unclear" {
            let at = lowering.span(entry.key.text);
            lowering.fault(
                Fault::new(Kind::DuplicateName, at, "`unclear` is an answer to every step already")
                    .help("give this answer another name"),
            );
        }
        let raw = lowering.parse::<RawTarget>(entry.value);
        let Some(value) = raw else { continue };
        let to = target(lowering, &Spanned { value, text: entry.value }, names);
        choices.extend(to.map(|to| Choice { name: entry.key.value.clone(), to }));
    }
    (choices.len() == entries.0.len()).then_some(choices)
}

fn target(
    lowering: &mut Lowering<'_, '_>,
    raw: &Spanned<'_, RawTarget>,
    names: &Names<'_, '_>,
) -> Option<Target> {
    let (what, name, known) = match &raw.value {
        RawTarget::Step(name) => ("step", name, Names::of(names.steps)),
        RawTarget::Find(name) => ("finding", name, Names::of(names.findings)),
    };
    let found = known.iter().position(|candidate| candidate == name);
    if found.is_none() {
        let at = lowering.span(raw.text);
        lowering.unknown(at, what, name, known.iter().map(String::as_str));
    }
    found.map(|index| match &raw.value {
        RawTarget::Step(_) => Target::Step(index),
        RawTarget::Find(_) => Target::Find(index),
    })
}
