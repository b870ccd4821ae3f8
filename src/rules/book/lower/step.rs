//! The steps of a question.

use super::super::defect::{Defect, Kind};
use super::super::raw::tree::{RawKnown, RawStep, RawTarget};
use super::super::spanned::{Entries, Spanned};
use super::super::text::Span;
use super::super::tree::{Choice, Looks, MOST, Proof, Set, Step, Target};
use super::{Lowering, known, report_doubles};

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
    known: Vec<Spanned<'a, RawKnown>>,
}

/// The steps of a question, as far as they could be read. One that could not be has no answers.
pub(super) struct Steps {
    pub steps: Vec<Step>,
    /// Those that could be read.
    pub read: Set,
    /// Those whose answers all lead to known places.
    pub whole: Set,
    /// Whether all could be read, so that every moment of the question is known.
    pub all_read: bool,
}

/// One answer, and where it leads; `None` if that is not known.
type Answer = (String, Option<Target>);

pub(super) fn steps<'a>(
    lowering: &mut Lowering<'a, '_>,
    entries: &Entries<'a>,
    findings: &Entries<'a>,
    calls: &Entries<'a>,
) -> Steps {
    let names = Names { steps: entries, findings };
    let mut all = Steps { steps: Vec::new(), read: Set::EMPTY, whole: Set::EMPTY, all_read: true };
    for (index, entry) in entries.0.iter().enumerate() {
        let here = if index < MOST { Set::one(index) } else { Set::EMPTY };
        let unread = Common {
            ask: String::new(),
            note: None,
            looks: Looks::FullSpeed,
            seconds: 1,
            proof: Spanned { value: Proof::Judgement, text: entry.value },
            unmarked: Vec::new(),
            known: Vec::new(),
        };
        let raw = lowering.parse::<RawStep<'a>>(entry.value);
        all.all_read &= raw.is_some();
        all.read = all.read.with(if raw.is_some() { here } else { Set::EMPTY });
        let (common, answers) = match raw {
            Some(RawStep::Ask { ask, note, looks, seconds, proof, unmarked, known, yes, no }) => {
                let answers = [("yes", yes), ("no", no)]
                    .into_iter()
                    .map(|(name, to)| (name.to_owned(), target(lowering, &to, &names)))
                    .collect();
                (Common { ask, note, looks, seconds, proof, unmarked, known }, answers)
            }
            Some(RawStep::Choose { ask, note, looks, seconds, proof, unmarked, known, options }) => {
                let answers = answers(lowering, &entry.key, &options, &names);
                (Common { ask, note, looks, seconds, proof, unmarked, known }, answers)
            }
            None => (unread, Vec::new()),
        };
        if (2..=MOST).contains(&answers.len()) && answers.iter().all(|(_, to)| to.is_some()) {
            all.whole = all.whole.with(here);
        }
        all.steps.push(step(lowering, &entry.key, common, answers, calls));
    }
    all
}

fn step(
    lowering: &mut Lowering<'_, '_>,
    key: &Spanned<'_, String>,
    common: Common<'_>,
    answers: Vec<Answer>,
    calls: &Entries<'_>,
) -> Step {
    let at = lowering.span(key.text);
    measurable(lowering, at, &common);
    // "Was it seen?", answered no: there is no moment to mark.
    let is_ask = answers.first().is_some_and(|(name, _)| name == "yes");
    let seen_no = is_ask && matches!(common.proof.value, Proof::Seen { .. });
    let mut unmarked = if seen_no { Set::one(1) } else { Set::EMPTY };
    for name in &common.unmarked {
        match answers.iter().position(|(answer, _)| *answer == name.value) {
            Some(index) if index < MOST => unmarked = unmarked.with(Set::one(index)),
            Some(_) => {}
            None => {
                let at = lowering.span(name.text);
                lowering.unknown(at, "answer", &name.value, answers.iter().map(|(name, _)| name.as_str()));
            }
        }
    }
    let names: Vec<&str> = answers.iter().map(|(name, _)| name.as_str()).collect();
    let known = known::known(lowering, &common.known, &names, calls);
    Step {
        name: key.value.clone(),
        ask: common.ask,
        note: common.note,
        looks: common.looks,
        seconds: common.seconds,
        proof: common.proof.value,
        unmarked,
        known,
        options: answers.into_iter().filter_map(|(name, to)| Some(Choice { name, to: to? })).collect(),
        at,
    }
}

/// Reports a proof or a time that cannot be met.
fn measurable(lowering: &mut Lowering<'_, '_>, at: Span, common: &Common<'_>) {
    let proof_at = lowering.span(common.proof.text);
    match &common.proof.value {
        Proof::Position { line, .. } => {
            lowering.named(proof_at, "line", line, lowering.shared.lines.as_ref());
        }
        Proof::Gap { at_least_s, .. } if !(at_least_s.is_finite() && *at_least_s >= 0.0) => {
            let message = format!("`{at_least_s}` is not a length of time");
            lowering.defect(Defect::new(Kind::Figure, proof_at, message).help("write seconds, such as 0.5"));
        }
        Proof::Count { at_least: 0, .. } => {
            let message = "`at_least: 0` is always true";
            lowering.defect(Defect::new(Kind::Figure, proof_at, message).help("write a number from 1 up"));
        }
        Proof::Seen { .. }
        | Proof::Order { .. }
        | Proof::Gap { .. }
        | Proof::Count { .. }
        | Proof::Never { .. }
        | Proof::Judgement => {}
    }
    if common.seconds == 0 || common.seconds > 600 {
        let message = format!("a step takes from 1 to 600 seconds, not {}", common.seconds);
        let help = "write how long an official needs for it as a rule";
        lowering.defect(Defect::new(Kind::Figure, at, message).help(help));
    }
}

fn answers<'a>(
    lowering: &mut Lowering<'a, '_>,
    key: &Spanned<'a, String>,
    entries: &Entries<'a>,
    names: &Names<'_, 'a>,
) -> Vec<Answer> {
    let file = lowering.file;
    report_doubles(entries, "answer", file, lowering.defects);
    if entries.0.len() < 2 || entries.0.len() > MOST {
        let at = lowering.span(key.text);
        let message = format!("a step has from 2 to {MOST} answers, this one has {}", entries.0.len());
        let help = "ask for something that can be answered in more than one way";
        lowering.defect(Defect::new(Kind::TooMany, at, message).help(help));
    }
    let mut answers = Vec::new();
    for entry in &entries.0 {
        if entry.key.value == "unclear" {
            let at = lowering.span(entry.key.text);
            lowering.defect(
                Defect::new(Kind::DuplicateName, at, "`unclear` is an answer to every step already")
                    .help("give this answer another name"),
            );
        }
        let raw = lowering.parse::<RawTarget>(entry.value);
        let to = raw.and_then(|value| target(lowering, &Spanned { value, text: entry.value }, names));
        answers.push((entry.key.value.clone(), to));
    }
    answers
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
