//! A referee's own ruling in the words of a screen: built after each event, never while drawing.

use super::disqualified::Limits;
use log::streams::precedents::Precedents;
use review::announcement::{Names, capital, next};
use review::discretion::decide::{Missing, missing};
use review::discretion::disqualify;
use review::discretion::fold::{Discretion, Phase};
use review::discretion::options::{Offer, offers};
use review::discretion::{Fact, Profit};
use review::precedent::near::Near;
use review::precedent::text;
use rules::book::Book;

/// The ruling as the screen shows it.
#[derive(Debug, Clone)]
pub(crate) struct Sheet {
    pub phase: Phase,
    /// The play, and the question that left it to the referee.
    pub about: String,
    /// What that question found.
    pub found: Option<String>,
    pub at_risk: Vec<String>,
    pub facts: Vec<Fact>,
    /// Why the book does not cover it.
    pub because: Option<String>,
    pub profit: Option<Profit>,
    pub offers: Vec<Offer>,
    /// The chosen remedy, and its reason if one was written.
    pub chosen: Option<(String, Option<String>)>,
    /// `None` where the book lets nobody be disqualified.
    pub limits: Option<Limits>,
    pub rule: Option<String>,
    pub words: Option<String>,
    /// A draft of the words.
    pub suggested: Option<String>,
    /// The bounds that the book sets, with the rule.
    pub bounds: String,
    pub missing: Vec<Missing>,
    /// The nearest first.
    pub near: Vec<Beside>,
    pub proposed: bool,
}

/// A precedent beside the case.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Beside {
    pub id: String,
    pub title: String,
    /// What was done, by which rule, in which game.
    pub did: String,
    /// What was decided about it, and how near it is.
    pub status: String,
    /// It is in force and its facts recur here.
    pub recurs: bool,
    /// Withdrawn, or not decided yet.
    pub rests: bool,
    pub why: String,
    pub differs: String,
    /// What the referee wrote, and what was decided since.
    pub story: Vec<String>,
    pub read: bool,
}

impl Sheet {
    /// The sheet of a ruling with its id, and the precedents near it.
    pub(crate) fn of(
        book: &Book,
        names: &Names,
        (id, ruling): (&str, &Discretion),
        (precedents, near): (&Precedents, &[Near<'_>]),
    ) -> Sheet {
        let opened = ruling.opened.as_ref();
        let matter = opened.and_then(|opened| opened.matter.as_ref());
        let about =
            opened.map_or_else(String::new, |opened| match matter.and_then(|m| book.tree(&m.question)) {
                Some(tree) => format!("{} · {} · rule {}", opened.play, tree.title, tree.cite),
                None => opened.play.clone(),
            });
        let suggested = ruling.chosen.as_ref().map(|chosen| {
            let mut words =
                format!("{}. {}", capital(&chosen.remedy), capital(&next(book, names, &chosen.after)));
            for sentence in disqualify::announced(book, names, &ruling.disqualified) {
                words = format!("{words} {}", capital(&sentence));
            }
            words
        });
        let bounds = book.discretion.as_ref().map_or_else(String::new, |discretion| {
            let says: Vec<&str> = discretion.bounds.iter().map(|bound| bound.text()).collect();
            format!("Rule {}: {}.", discretion.cite, says.join("; "))
        });
        let own = log::streams::precedents::id_of(id);
        let others = near.iter().filter(|near| near.precedent.id != own);
        Sheet {
            phase: ruling.phase,
            about,
            found: matter.map(|matter| match matter.findings.as_slice() {
                [] => format!("called {}; no review was held", matter.call),
                found => format!("ruled {}, found {}", matter.call, found.join(" or ")),
            }),
            at_risk: ruling.at_risk.clone(),
            facts: ruling.facts.clone(),
            because: ruling.because.clone(),
            profit: ruling.profit,
            offers: opened.map_or_else(Vec::new, |opened| offers(book, opened)),
            chosen: ruling.chosen.as_ref().map(|chosen| (chosen.remedy.clone(), chosen.reason.clone())),
            limits: Limits::of(book, names, ruling),
            rule: ruling.rule.clone(),
            words: ruling.words.clone(),
            suggested,
            bounds,
            missing: missing(book, ruling),
            near: others
                .map(|near| beside(precedents, near, ruling.read.contains(&near.precedent.id)))
                .collect(),
            proposed: precedents.one(&own).is_some(),
        }
    }

    /// Signed or abandoned.
    pub(crate) fn over(&self) -> bool {
        matches!(self.phase, Phase::Signed | Phase::Abandoned)
    }
}

pub(crate) fn beside(precedents: &Precedents, near: &Near<'_>, read: bool) -> Beside {
    let (precedent, proposal) = (near.precedent, &near.precedent.proposal);
    let ruling = precedents.ruling(&proposal.ruling);
    let said = |label: &str, text: Option<&String>| text.map(|text| format!("{label}: {text}"));
    let mut story: Vec<String> = ruling
        .iter()
        .flat_map(|ruling| {
            let reason = ruling.chosen.as_ref().and_then(|chosen| chosen.reason.as_ref());
            [
                said("the book did not cover it", ruling.because.as_ref()),
                said("the reason", reason),
                said("announced", ruling.words.as_ref()),
            ]
        })
        .flatten()
        .collect();
    story.extend(precedent.decisions.iter().map(text::decision));
    Beside {
        id: precedent.id.clone(),
        title: proposal.title.clone(),
        did: format!("{} (rule {}), {}", proposal.remedy, proposal.rule, proposal.game),
        status: format!(
            "{} · near {}.{} %",
            near.rests.as_deref().unwrap_or(text::status(precedent.status())),
            near.nearness / 10,
            near.nearness % 10
        ),
        recurs: near.recurs,
        rests: near.rests.is_some(),
        why: near.why.join("; "),
        differs: near.differs.join("; "),
        story,
        read,
    }
}
