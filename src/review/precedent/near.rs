//! Which precedents are near a case, why, and how each differs.
//!
//! Nearness, in thousandths: 700 parts of the facts and 300 of the words; of the facts alone where the case has no
//! words. The facts are a weighted mean over the aspects that the case states, each between 0 and 1000:
//!
//! | aspect | weight | alike |
//! | --- | --- | --- |
//! | question | 4 | the same, or not |
//! | findings | 4 | how many they share, of all that either has (Jaccard) |
//! | who profits | 3 | half for who started it, half for whether a foul would reward him |
//! | answers | 2 | how many steps have the same answer, of all that either has |
//! | safety | 2 | the same, or not |
//! | call | 1 | the same, or not |
//! | situation | 1 | half for the down, half for whether it is late in a half |
//!
//! An aspect that only the precedent states counts as not alike; one that the case does not state is left out, so
//! that little said makes nothing near. The share of words comes from whoever has the texts. Equal ones keep the
//! order of their ids. The weights are a choice of this desk: they order what is shown, and decide nothing.

use super::fold::Precedent;
use super::pattern::Pattern;
use crate::review::discretion::says::started;
use std::collections::{BTreeMap, BTreeSet};

/// Parts of the words in a thousand.
const WORDS: u32 = 300;

/// The words that a case and a precedent share.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Shared {
    /// Which share of the case's words the precedent has, in thousandths; a word that many have counts less.
    pub share: u32,
    /// These.
    pub words: Vec<String>,
}

/// A precedent beside a case.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Near<'p> {
    /// The precedent.
    pub precedent: &'p Precedent,
    /// How near, in thousandths.
    pub nearness: u32,
    /// Why it is near.
    pub why: Vec<String>,
    /// How it differs.
    pub differs: Vec<String>,
    /// It is in force, and its facts recur here.
    pub recurs: bool,
}

/// All precedents, the nearest first. `words`: by id, what each shares with the words of the case; none where the
/// case has no words.
pub fn rank<'p>(
    all: &'p [Precedent],
    case: &Pattern,
    words: Option<&BTreeMap<String, Shared>>,
    week: Option<u32>,
) -> Vec<Near<'p>> {
    let nothing = Shared::default();
    let near = |precedent: &'p Precedent| {
        let (facts, mut why, differs) = facts(case, &precedent.proposal.pattern);
        let nearness = match words {
            None => facts,
            Some(words) => {
                let shared = words.get(&precedent.id).unwrap_or(&nothing);
                if !shared.words.is_empty() {
                    why.push(format!("the words: {}", shared.words.join(", ")));
                }
                ((1000 - WORDS) * facts + WORDS * shared.share) / 1000
            }
        };
        Near { precedent, nearness, why, differs, recurs: precedent.recurs(case, week) }
    };
    let mut ranked: Vec<Near<'p>> = all.iter().map(near).collect();
    ranked.sort_by(|one, other| {
        other.nearness.cmp(&one.nearness).then_with(|| one.precedent.id.cmp(&other.precedent.id))
    });
    ranked
}

/// One aspect compared.
struct Aspect {
    weight: u32,
    /// In thousandths; none where the case does not state it.
    alike: Option<u32>,
    why: Vec<String>,
    differs: Vec<String>,
}

/// How alike the facts are, in thousandths, with what is alike and what is not.
fn facts(case: &Pattern, own: &Pattern) -> (u32, Vec<String>, Vec<String>) {
    let aspects = [
        one(4, "question", case.question.clone(), own.question.clone()),
        findings(case, own),
        both(
            3,
            one(0, "who started it", case.started.map(told), own.started.map(told)),
            one(0, "a foul would reward him", case.rewards.map(yes_no), own.rewards.map(yes_no)),
        ),
        answers(case, own),
        one(2, "someone at risk", case.at_risk.map(yes_no), own.at_risk.map(yes_no)),
        one(1, "call", case.call.clone(), own.call.clone()),
        both(
            1,
            one(0, "down", case.down.map(|down| down.to_string()), own.down.map(|down| down.to_string())),
            one(0, "late in the half", case.late.map(yes_no), own.late.map(yes_no)),
        ),
    ];
    let (mut sum, mut of, mut why, mut differs) = (0, 0, Vec::new(), Vec::new());
    for aspect in aspects {
        if let Some(alike) = aspect.alike {
            sum += aspect.weight * alike;
            of += aspect.weight;
        }
        why.extend(aspect.why);
        differs.extend(aspect.differs);
    }
    (if of == 0 { 0 } else { sum / of }, why, differs)
}

fn told(side: crate::review::discretion::Started) -> String {
    started(side).to_owned()
}

fn yes_no(yes: bool) -> String {
    if yes { "yes" } else { "no" }.to_owned()
}

/// A fact that has one value.
fn one(weight: u32, name: &str, case: Option<String>, own: Option<String>) -> Aspect {
    let (mut why, mut differs) = (Vec::new(), Vec::new());
    let alike = match (case, own) {
        (None, _) => None,
        (Some(here), Some(there)) if here == there => {
            why.push(format!("{name}: {here}"));
            Some(1000)
        }
        (Some(here), Some(there)) => {
            differs.push(format!("{name}: {there} there, {here} here"));
            Some(0)
        }
        (Some(here), None) => {
            differs.push(format!("{name}: not said there, {here} here"));
            Some(0)
        }
    };
    Aspect { weight, alike, why, differs }
}

/// Two facts of one aspect: the mean of those that the case states.
fn both(weight: u32, first: Aspect, second: Aspect) -> Aspect {
    let stated: Vec<u32> = [first.alike, second.alike].into_iter().flatten().collect();
    let count = u32::try_from(stated.len()).unwrap_or(u32::MAX);
    Aspect {
        weight,
        alike: (count > 0).then(|| stated.iter().sum::<u32>() / count.max(1)),
        why: first.why.into_iter().chain(second.why).collect(),
        differs: first.differs.into_iter().chain(second.differs).collect(),
    }
}

fn findings(case: &Pattern, own: &Pattern) -> Aspect {
    let shared: Vec<&str> = case.findings.intersection(&own.findings).map(String::as_str).collect();
    let only = |one: &BTreeSet<String>, other: &BTreeSet<String>, place: &str| {
        one.difference(other).map(|finding| format!("found only {place}: {finding}")).collect::<Vec<_>>()
    };
    let all = case.findings.union(&own.findings).count();
    let mut differs = only(&own.findings, &case.findings, "there");
    differs.extend(only(&case.findings, &own.findings, "here"));
    Aspect {
        weight: 4,
        alike: (!case.findings.is_empty()).then(|| share(shared.len(), all)),
        why: shared.into_iter().map(|finding| format!("found: {finding}")).collect(),
        differs: if case.findings.is_empty() { Vec::new() } else { differs },
    }
}

fn answers(case: &Pattern, own: &Pattern) -> Aspect {
    let names: BTreeSet<&String> = case.facts.keys().chain(own.facts.keys()).collect();
    let (mut why, mut differs) = (Vec::new(), Vec::new());
    for name in names.iter().filter(|_| !case.facts.is_empty()) {
        match (case.facts.get(*name), own.facts.get(*name)) {
            (Some(here), Some(there)) if here == there => why.push(format!("{name}: {here}")),
            (Some(here), Some(there)) => differs.push(format!("{name}: {there} there, {here} here")),
            (Some(here), None) => differs.push(format!("{name}: not said there, {here} here")),
            (None, Some(there)) => differs.push(format!("{name}: {there} there, not said here")),
            (None, None) => {}
        }
    }
    let alike = (!case.facts.is_empty()).then(|| share(why.len(), names.len()));
    Aspect { weight: 2, alike, why, differs }
}

/// In thousandths.
fn share(part: usize, whole: usize) -> u32 {
    let (part, whole) = (u64::try_from(part).unwrap_or(0), u64::try_from(whole).unwrap_or(1).max(1));
    u32::try_from(part.saturating_mul(1000) / whole).unwrap_or(1000)
}
