//! Which precedents are near a case, why, and how each differs.
//!
//! Nearness, in thousandths: 700 parts for the facts and 300 for the words; the facts alone where the case has no
//! words. The facts are a weighted mean over the aspects that the case states, each between 0 and 1000:
//!
//! | aspect | weight | alike |
//! | --- | --- | --- |
//! | question | 4 | the same, or not |
//! | findings | 4 | how many they share, of all that either has (Jaccard) |
//! | who profits | 3 | half for who started it, half for whether a foul would reward that side |
//! | answers | 2 | how many steps have the same answer, of all that either has |
//! | safety | 2 | the same, or not |
//! | call | 1 | the same, or not |
//! | situation | 1 | half for the down, half for whether it is late in a half |
//!
//! An aspect that only the case states counts as not alike; one that the case does not state is left out, and a case
//! that states nothing has nearness 0 to everything. The share of words comes from whoever has the texts. Precedents
//! that are not in force stand behind all that are, however near, and say so. Ties keep the order of their ids. The
//! weights are a choice of this desk: they order what is shown, and decide nothing.

use super::fold::Precedent;
use super::pattern::{Pattern, yes_no};
use super::text::not_in_force;
use std::collections::{BTreeMap, BTreeSet};

/// The weight of the words, in thousandths.
const WORDS: u32 = 300;

/// The words that a case and a precedent share.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Shared {
    /// The share of the case's words that the precedent has, in thousandths; a word that many have counts less.
    pub share: u32,
    pub words: Vec<String>,
}

/// A precedent beside a case.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Near<'p> {
    pub precedent: &'p Precedent,
    pub nearness: u32,
    pub why: Vec<String>,
    /// How it differs; first of all, that it is not in force.
    pub differs: Vec<String>,
    /// Why it is not in force; `None` where it is.
    pub rests: Option<String>,
    /// The precedent is in force, and its facts recur here.
    pub recurs: bool,
}

/// All precedents: those in force, the nearest first, then all others likewise. `words`: what each shares with the words of the case, by id; `None` where the
/// case has no words.
pub fn rank<'p>(
    all: &'p [Precedent],
    case: &Pattern,
    words: Option<&BTreeMap<String, Shared>>,
    week: Option<u32>,
) -> Vec<Near<'p>> {
    let nothing = Shared::default();
    let near = |precedent: &'p Precedent| {
        let (facts, mut why, different) = facts(case, &precedent.proposal.pattern);
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
        let rests = not_in_force(precedent, week);
        let differs = rests.iter().cloned().chain(different).collect();
        Near { precedent, nearness, why, differs, rests, recurs: precedent.recurs(case, week) }
    };
    let mut ranked: Vec<Near<'p>> = all.iter().map(near).collect();
    ranked.sort_by(|one, other| {
        let rests = one.rests.is_some().cmp(&other.rests.is_some());
        rests
            .then_with(|| other.nearness.cmp(&one.nearness))
            .then_with(|| one.precedent.id.cmp(&other.precedent.id))
    });
    ranked
}

struct Aspect {
    weight: u32,
    /// In thousandths; `None` where the case does not state it.
    alike: Option<u32>,
    why: Vec<String>,
    differs: Vec<String>,
}

/// How alike the facts are, in thousandths, with what is alike and what is not.
fn facts(case: &Pattern, own: &Pattern) -> (u32, Vec<String>, Vec<String>) {
    let fact = |weight, name: &str, of: &str| one(weight, name, case.value(of), own.value(of));
    let aspects = [
        one(4, "question", case.question.clone(), own.question.clone()),
        findings(case, own),
        both(3, fact(0, "who started it", "started"), fact(0, "a foul would reward him", "rewards")),
        answers(case, own),
        one(2, "someone at risk", case.at_risk.map(yes_no), own.at_risk.map(yes_no)),
        fact(1, "call", "call"),
        both(1, fact(0, "down", "down"), fact(0, "late in the half", "late")),
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
    (sum.checked_div(of).unwrap_or(0), why, differs)
}

/// Compares a fact that has one value.
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

fn share(part: usize, whole: usize) -> u32 {
    let (part, whole) = (u64::try_from(part).unwrap_or(0), u64::try_from(whole).unwrap_or(1).max(1));
    u32::try_from(part.saturating_mul(1000) / whole).unwrap_or(1000)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::discretion::Started;
    use crate::precedent::fold::fold;
    use crate::precedent::{Condition, Event, Proposal, Stamped, Weeks};
    use crate::stamp::Stamp;

    fn exchange() -> Pattern {
        let named = |names: &[&str]| names.iter().map(|name| (*name).to_owned()).collect();
        Pattern {
            question: Some("blow-and-answer".to_owned()),
            call: Some("foul on both".to_owned()),
            findings: named(&["exchange begun by the offense"]),
            facts: [("first blow", "yes"), ("who struck", "both")]
                .map(|(step, says)| (step.to_owned(), says.to_owned()))
                .into(),
            at_risk: Some(false),
            started: Some(Started::Offense),
            rewards: Some(true),
            down: Some(2),
            late: Some(false),
        }
    }

    fn precedent(id: &str, pattern: Pattern, decisions: &[Event]) -> Precedent {
        let proposal = Proposal {
            ruling: format!("d-{id}"),
            game: "W02".to_owned(),
            title: id.to_owned(),
            remedy: "the play stands".to_owned(),
            rule: "5".to_owned(),
            pattern,
        };
        let at = Stamp { utc_ms: 0, boot_ms: 0, boot: "b".to_owned() };
        let stamped = |event: Event| Stamped { at: at.clone(), by: "supervisor".to_owned(), event };
        let events = [Event::Proposed(Box::new(proposal))].into_iter().chain(decisions.iter().cloned());
        fold(id, events.map(stamped)).expect("it is proposed")
    }

    fn approved(from: u32, until: Option<u32>) -> Event {
        Event::Approved { weeks: Weeks { from, until }, reason: "so".to_owned() }
    }

    /// By hand, with the weights above: all 17 parts are alike, except what is changed.
    // PROPERTY: nearness is the documented mean, a precedent recurs where it is in force
    #[test]
    fn nearness_is_the_weighted_mean_of_the_head() {
        type Change = fn(&mut Pattern);
        let cases: [(&str, Change, u32); 9] = [
            ("nothing", |_| {}, 1000),
            ("the question", |own| own.question = Some("clock".to_owned()), (17 - 4) * 1000 / 17),
            // One finding of two is shared: half of 4.
            ("one finding more", |own| own.findings.extend(["two blows".to_owned()]), (17 - 2) * 1000 / 17),
            // Half of 3.
            ("who started it", |own| own.started = Some(Started::Defense), 15_500 / 17),
            ("who started it is not said there", |own| own.started = None, 15_500 / 17),
            // One answer of two: half of 2.
            (
                "an answer",
                |own| drop(own.facts.insert("first blow".to_owned(), "no".to_owned())),
                16_000 / 17,
            ),
            ("safety", |own| own.at_risk = Some(true), 15_000 / 17),
            ("the call", |own| own.call = Some("none".to_owned()), 16_000 / 17),
            // Half of 1.
            ("the down", |own| own.down = Some(3), 16_500 / 17),
        ];
        for (what, change, expected) in cases {
            let mut own = exchange();
            change(&mut own);
            let all = [precedent("p", own, &[approved(1, None)])];
            let near = &rank(&all, &exchange(), None, None)[0];
            assert_eq!(near.nearness, expected, "{what}");
            assert_eq!(near.differs.is_empty(), what == "nothing", "{what}: {:?}", near.differs);
        }
    }

    /// A case that says little is compared by that little: question 4 and safety 2 of 6.
    #[test]
    fn what_a_case_does_not_state_is_left_out() {
        let little = Pattern {
            question: Some("blow-and-answer".to_owned()),
            at_risk: Some(true),
            ..Pattern::default()
        };
        let all = [precedent("p", exchange(), &[approved(1, None)])];
        let near = &rank(&all, &little, None, None)[0];
        assert_eq!((near.nearness, near.recurs), (4000 / 6, false));
        assert_eq!(near.why, ["question: blow-and-answer"]);
        assert_eq!(near.differs, ["someone at risk: no there, yes here"]);
        assert_eq!(rank(&all, &Pattern::default(), None, None)[0].nearness, 0, "nothing makes nothing near");
    }

    /// 0.7 × 1000 + 0.3 × 400, and 0.7 × 882 with no word shared; equal ones in the order of their ids.
    #[test]
    fn words_count_three_tenths_and_equal_ones_keep_the_order_of_their_ids() {
        let other = Pattern { at_risk: Some(true), ..exchange() };
        let all = [
            precedent("p-3", exchange(), &[]),
            precedent("p-2", other, &[]),
            precedent("p-1", exchange(), &[]),
        ];
        let shared = Shared { share: 400, words: vec!["punch".to_owned()] };
        let words = [("p-1".to_owned(), shared.clone()), ("p-3".to_owned(), shared)].into();
        let ranked = rank(&all, &exchange(), Some(&words), None);
        let order: Vec<(&str, u32)> =
            ranked.iter().map(|near| (near.precedent.id.as_str(), near.nearness)).collect();
        assert_eq!(order, [("p-1", 820), ("p-3", 820), ("p-2", 617)]);
        assert_eq!(ranked[0].why.last().map(String::as_str), Some("the words: punch"));
    }

    /// The farther one is in force in week 5 and the nearer ones are not: one is withdrawn, one has run out, one begins
    /// later, one is not decided. Among those, the nearest comes first.
    // PROPERTY: a precedent that is not in force stands behind all that are, and says so
    #[test]
    fn a_precedent_that_is_not_in_force_stands_last_and_says_so() {
        let far = Pattern { question: Some("clock".to_owned()), ..exchange() };
        let farther = Pattern { question: Some("clock".to_owned()), at_risk: Some(true), ..exchange() };
        let withdrawn = |from| Event::Withdrawn { from, reason: "so".to_owned() };
        let all = [
            precedent("p-1-withdrawn", exchange(), &[approved(1, None), withdrawn(4)]),
            precedent("p-2-run-out", exchange(), &[approved(1, Some(4))]),
            precedent("p-3-later", exchange(), &[approved(6, None)]),
            precedent("p-4-proposed", far.clone(), &[]),
            precedent("p-5-in-force", farther, &[approved(1, None), withdrawn(6)]),
        ];
        let listed = |week| {
            let ranked = rank(&all, &exchange(), None, week);
            let told = ranked.iter().map(|near| (near.precedent.id.clone(), near.rests.clone()));
            told.collect::<Vec<_>>()
        };
        let of = |id: &str, says: &str| (id.to_owned(), Some(says.to_owned()));
        let expected = [
            ("p-5-in-force".to_owned(), None),
            of("p-1-withdrawn", "withdrawn from week 4"),
            of("p-2-run-out", "not in force in week 5"),
            of("p-3-later", "not in force in week 5"),
            of("p-4-proposed", "proposed, not decided yet"),
        ];
        assert_eq!(listed(Some(5)), expected);
        let in_force = |week| {
            let listed = listed(week);
            listed.into_iter().take_while(|(_, rests)| rests.is_none()).map(|(id, _)| id).collect::<Vec<_>>()
        };
        assert_eq!(in_force(Some(3)), ["p-1-withdrawn", "p-2-run-out", "p-5-in-force"]);
        assert_eq!(in_force(Some(6)), ["p-3-later"]);
        let ranked = rank(&all, &exchange(), None, Some(5));
        assert_eq!(
            ranked[1].differs,
            ["withdrawn from week 4"],
            "whoever reads how it differs reads this first"
        );
        assert_eq!((ranked[1].nearness, ranked[0].nearness), (1000, 11_000 / 17), "nearness is what it was");
    }

    #[test]
    fn a_precedent_recurs_where_it_is_in_force_and_its_facts_are_those_of_the_case() {
        let narrowed = |is: &str| Event::Narrowed {
            weeks: Weeks { from: 5, until: None },
            reason: "so".to_owned(),
            only: vec![Condition { fact: "late".to_owned(), is: is.to_owned() }],
        };
        let withdrawn = Event::Withdrawn { from: 8, reason: "so".to_owned() };
        for (what, decisions, week, expected) in [
            ("it is only proposed", vec![], Some(4), false),
            ("before its week", vec![approved(3, None)], Some(2), false),
            ("in its week", vec![approved(3, None)], Some(3), true),
            ("without a week", vec![approved(3, None)], None, true),
            ("in its last week", vec![approved(3, Some(4))], Some(4), true),
            ("after its last week", vec![approved(3, Some(4))], Some(5), false),
            ("narrowed to what is so", vec![approved(3, None), narrowed("no")], Some(6), true),
            ("narrowed to what is not so", vec![approved(3, None), narrowed("yes")], Some(6), false),
            ("before it is narrowed", vec![approved(3, None), narrowed("yes")], Some(4), true),
            ("before it is withdrawn", vec![approved(3, None), withdrawn.clone()], Some(7), true),
            ("after it is withdrawn", vec![approved(3, None), withdrawn.clone()], Some(8), false),
            ("withdrawn, without a week", vec![approved(3, None), withdrawn], None, false),
        ] {
            assert_eq!(precedent("p", exchange(), &decisions).recurs(&exchange(), week), expected, "{what}");
        }
        let held = precedent("p", exchange(), &[approved(1, None)]);
        let with = |change: fn(&mut Pattern)| {
            let mut case = exchange();
            change(&mut case);
            held.recurs(&case, Some(1))
        };
        assert!(!with(|case| case.question = Some("clock".to_owned())), "another question");
        assert!(!with(|case| case.findings.extend(["two blows".to_owned()])), "something else is possible");
        assert!(!with(|case| case.findings.clear()), "nothing is found yet");
        assert!(with(|case| case.down = Some(4)), "what it was not narrowed to does not matter");
    }
}
