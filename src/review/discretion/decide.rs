//! Which events a command of the referee leads to, as `review::decide` decides it for a review.

use super::disqualify;
use super::disqualify::unnamed;
use super::fold::{Discretion, Phase};
use super::options::{Met, Offer, offers};
use super::{Chosen, Command, Event, Fact, Opened, Signed};
use crate::event::ENGINE;
use crate::refusal::{Refusal, no, unknown};
use rules::book::Book;
use rules::book::discretion::Bound;

/// The events that a command leads to.
///
/// # Errors
/// [`Refusal`] if the command does not fit the ruling as it is, or crosses a bound of the book.
pub fn decide(book: &Book, ruling: &Discretion, command: Command) -> Result<Vec<Event>, Refusal> {
    allowed(ruling.phase, &command)?;
    let event = match command {
        Command::Open(opened) => open(book, opened)?,
        Command::Risk { someone: Some(who) } if who.trim().is_empty() => {
            return no("who is at risk is missing", "say who, or that nobody is");
        }
        Command::Risk { someone } => Event::Risk { someone },
        Command::State(fact) => stated(fact)?,
        Command::Unreached { because } => {
            written(
                &because,
                "the reason why the book does not cover it is missing",
                "say what it leaves open",
            )?;
            Event::Unreached { because }
        }
        Command::Profit(profit) => Event::Profit(profit),
        Command::Read { precedent } => Event::Read { precedent },
        Command::Choose { remedy, reason } => choose(book, ruling, &remedy, reason)?,
        Command::Disqualify { players } => disqualify::decide(book, ruling, players)?,
        Command::Lean { rule } => {
            written(
                &rule,
                "no rule is named",
                "name the rule that the ruling is based on, as it is printed",
            )?;
            Event::Leaned { rule }
        }
        Command::Word { words } => {
            written(&words, "the announcement is empty", "write what will be announced")?;
            Event::Worded { words }
        }
        Command::ReadBack => match missing(book, ruling).first() {
            Some(missing) => return no(missing.text(), missing.instead()),
            None => Event::ReadBack,
        },
        Command::Sign => sign(book, ruling)?,
        Command::Abandon { reason } => {
            written(&reason, "ending without a ruling needs a reason", "say why")?;
            Event::Abandoned { reason }
        }
    };
    Ok(vec![event])
}

/// Something that the ruling still lacks.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Missing {
    Facts,
    Because,
    Profit,
    Choice,
    Rule,
    Words,
    /// The announcement does not name a player who is disqualified.
    Named,
}

impl Missing {
    /// What is missing, in words.
    pub fn text(self) -> &'static str {
        match self {
            Missing::Facts => "no fact is stated",
            Missing::Because => "the reason why the book does not cover it is missing",
            Missing::Profit => "whether a foul would reward the side that started it is missing",
            Missing::Choice => "nothing is chosen",
            Missing::Rule => "no rule is named",
            Missing::Words => "the announcement is empty",
            Missing::Named => "the announcement does not name a player who is disqualified",
        }
    }

    fn instead(self) -> &'static str {
        match self {
            Missing::Facts => "state what is known, with its mark",
            Missing::Because => "say what the book leaves open",
            Missing::Profit => "say who started it, and whether a foul would reward that side",
            Missing::Choice => "choose a remedy",
            Missing::Rule => "name the rule that the ruling is based on",
            Missing::Words => "write what will be announced",
            Missing::Named => "write it again: position and number, as they were named",
        }
    }
}

/// What the ruling still lacks before it can be read back, in the order in which the referee decides it.
pub fn missing(book: &Book, ruling: &Discretion) -> Vec<Missing> {
    let needs_rule = book.discretion.as_ref().is_some_and(|discretion| discretion.has(Bound::RuleNamed));
    [
        (Missing::Facts, ruling.facts.is_empty()),
        (Missing::Because, ruling.because.is_none()),
        (Missing::Profit, ruling.profit.is_none()),
        (Missing::Choice, ruling.chosen.is_none()),
        (Missing::Rule, needs_rule && ruling.rule.is_none()),
        (Missing::Words, ruling.words.is_none()),
        (
            Missing::Named,
            ruling.words.as_ref().is_some_and(|words| unnamed(&ruling.disqualified, words).is_some()),
        ),
    ]
    .into_iter()
    .filter_map(|(missing, is)| is.then_some(missing))
    .collect()
}

/// Refuses a command that does not fit the phase. Safety comes before everything else.
fn allowed(phase: Phase, command: &Command) -> Result<(), Refusal> {
    use Command as C;
    match (phase, command) {
        (Phase::New, C::Open(_)) => Ok(()),
        (Phase::New, _) => no("no ruling is open", "open it from a review or from the game"),
        (_, C::Open(_)) => no("it is open already", "end it before the next one"),
        (Phase::Signed, _) => no("it is signed", "the supervisor may narrow or withdraw it as a precedent"),
        (Phase::Abandoned, _) => no("it ended without a ruling", "open a new one"),
        (_, C::Risk { .. } | C::Abandon { .. }) => Ok(()),
        (Phase::Safety, _) => no("safety comes first", "say who is at risk, or that nobody is"),
        (Phase::AtRisk, _) => {
            no("someone is at risk", "see to that first; then say that nobody is at risk any more")
        }
        (Phase::Weighing, C::Sign) => no("it has not been read back", "read it back to the crew first"),
        (Phase::Weighing | Phase::ReadBack, _) => Ok(()),
    }
}

fn written(text: &str, because: &'static str, instead: &'static str) -> Result<(), Refusal> {
    if text.trim().is_empty() { no(because, instead) } else { Ok(()) }
}

fn open(book: &Book, opened: Box<Opened>) -> Result<Event, Refusal> {
    if book.discretion.is_none() {
        return no(
            format!("the book `{}` gives the referee no ruling of their own", book.id),
            "the ruling on the field stands",
        );
    }
    match opened.ground.situation.possible(&book.field, &book.game) {
        Ok(()) => Ok(Event::Opened(opened)),
        Err(impossible) => no(impossible.to_string(), "put the situation right first"),
    }
}

fn stated(fact: Fact) -> Result<Event, Refusal> {
    written(&fact.name, "the fact has no name", "say what it is about, then what it says")?;
    written(&fact.says, "the fact has no text", "say what it is about, then what it says")?;
    Ok(Event::Stated(fact))
}

fn choose(book: &Book, ruling: &Discretion, remedy: &str, reason: Option<String>) -> Result<Event, Refusal> {
    let offers = ruling.opened.as_ref().map_or_else(Vec::new, |opened| offers(book, opened));
    let Some(offer) = offers.iter().find(|offer| offer.name == remedy) else {
        return unknown("remedy", remedy, offers.iter().map(|offer| offer.name.as_str()));
    };
    let cite = book.discretion.as_ref().map_or("", |discretion| discretion.cite.as_str());
    let reason = reason.filter(|reason| !reason.trim().is_empty());
    within(offer, cite, reason.as_deref())?;
    let Offer { name, after, clock_starts, fouls, .. } = offer.clone();
    Ok(Event::Chosen(Box::new(Chosen { remedy: name, after, clock_starts, fouls, reason })))
}

/// Refuses an offer that breaks the bounds of the book, given this reason.
fn within(offer: &Offer, cite: &str, reason: Option<&str>) -> Result<(), Refusal> {
    if let Some(needs) = offer.needs.first() {
        return no(format!("the remedy is not complete: {needs}"), "mark it, with its spot and its clock");
    }
    for met in &offer.meets {
        match met {
            Met::Score => {
                return no(
                    format!("it would create a score, which the referee's own ruling may not (rule {cite})"),
                    "choose a remedy that leaves the score as the play made it",
                );
            }
            Met::Creates(foul) => {
                return no(
                    format!(
                        "it would create `{foul}`, a foul that nobody called and that the referee's own ruling may \
                         not create (rule {cite})"
                    ),
                    "choose a remedy without it",
                );
            }
            Met::Shortens(foul) if reason.is_none() => {
                return Err(Refusal {
                    because: format!(
                        "it would shorten `{foul}`, a foul that protects a player (rule {cite})"
                    ),
                    instead: "write the reason, or choose a remedy that keeps the foul".to_owned(),
                    reason_carries: true,
                });
            }
            Met::Shortens(_) => {}
        }
    }
    Ok(())
}

fn sign(book: &Book, ruling: &Discretion) -> Result<Event, Refusal> {
    let Some(chosen) = &ruling.chosen else {
        return no(Missing::Choice.text(), Missing::Choice.instead());
    };
    Ok(Event::Signed(Box::new(Signed {
        engine: ENGINE,
        edition: book.edition.to_string(),
        remedy: chosen.remedy.clone(),
        after: chosen.after,
        clock_starts: chosen.clock_starts,
        disqualified: ruling.disqualified.clone(),
        rule: ruling.rule.clone().unwrap_or_else(|| {
            book.discretion.as_ref().map_or_else(String::new, |discretion| discretion.cite.clone())
        }),
    })))
}
