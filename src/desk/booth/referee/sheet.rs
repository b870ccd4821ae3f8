//! A referee's own ruling as it stands, put into the words of a screen: made anew after each event, never while
//! drawing.

use log::streams::precedents::Precedents;
use review::announcement::{Names, capital, next};
use review::discretion::decide::{Missing, missing};
use review::discretion::fold::{Discretion, Phase};
use review::discretion::options::{Offer, offers};
use review::discretion::{Fact, Profit};
use review::precedent::fold::Status;
use review::precedent::near::Near;
use review::precedent::text;
use rules::book::Book;

/// The ruling as it stands.
#[derive(Debug, Clone)]
pub(crate) struct Sheet {
    /// How far it has come.
    pub phase: Phase,
    /// The play, and the question that left it to the referee.
    pub about: String,
    /// What that question found.
    pub found: Option<String>,
    /// Who is or was at risk.
    pub at_risk: Vec<String>,
    pub facts: Vec<Fact>,
    /// Why the book does not reach it.
    pub because: Option<String>,
    /// Who would profit.
    pub profit: Option<Profit>,
    /// What can be done.
    pub offers: Vec<Offer>,
    /// The remedy that is chosen, and its reason where one was written.
    pub chosen: Option<(String, Option<String>)>,
    /// The rule that it leans on.
    pub rule: Option<String>,
    pub words: Option<String>,
    /// What the words could begin with.
    pub suggested: Option<String>,
    /// The bounds of the book, each in words, with the rule.
    pub bounds: String,
    /// What is still missing.
    pub missing: Vec<Missing>,
    /// The precedents, the nearest first.
    pub near: Vec<Beside>,
    /// It is handed on as a precedent.
    pub proposed: bool,
}

/// A precedent beside the case.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Beside {
    pub id: String,
    /// What it is about.
    pub title: String,
    /// What was done there, by which rule.
    pub did: String,
    /// What became of it, and how near it is.
    pub status: String,
    /// It is in force, and its facts recur here.
    pub recurs: bool,
    /// It was withdrawn, or nobody has decided yet.
    pub rests: bool,
    /// Why it is near.
    pub why: String,
    pub differs: String,
    /// What the referee said there, and what was decided since.
    pub story: Vec<String>,
    pub read: bool,
}

impl Sheet {
    /// Of a ruling, with the precedents near it.
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
            format!("{}. {}", capital(&chosen.remedy), capital(&next(book, names, &chosen.after)))
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
            found: matter
                .map(|matter| format!("ruled {}, found {}", matter.call, matter.findings.join(" or "))),
            at_risk: ruling.at_risk.clone(),
            facts: ruling.facts.clone(),
            because: ruling.because.clone(),
            profit: ruling.profit,
            offers: opened.map_or_else(Vec::new, |opened| offers(book, opened)),
            chosen: ruling.chosen.as_ref().map(|chosen| (chosen.remedy.clone(), chosen.reason.clone())),
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

    /// Whether nothing more can happen in it.
    pub(crate) fn over(&self) -> bool {
        matches!(self.phase, Phase::Signed | Phase::Abandoned)
    }
}

/// A precedent beside a case, in words.
pub(crate) fn beside(precedents: &Precedents, near: &Near<'_>, read: bool) -> Beside {
    let (precedent, proposal) = (near.precedent, &near.precedent.proposal);
    let ruling = precedents.ruling(&proposal.ruling);
    let said = |label: &str, text: Option<&String>| text.map(|text| format!("{label}: {text}"));
    let mut story: Vec<String> = ruling
        .iter()
        .flat_map(|ruling| {
            let reason = ruling.chosen.as_ref().and_then(|chosen| chosen.reason.as_ref());
            [
                said("the book did not reach it", ruling.because.as_ref()),
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
            text::status(precedent.status()),
            near.nearness / 10,
            near.nearness % 10
        ),
        recurs: near.recurs,
        rests: matches!(precedent.status(), Status::Withdrawn | Status::Proposed),
        why: near.why.join("; "),
        differs: near.differs.join("; "),
        story,
        read,
    }
}
