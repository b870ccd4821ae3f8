//! Case plays: worked examples of a book, run through gate and ruling.

use super::gate::{self, Entry, Gate, Initiator, Stop, Subject, Unknown};
use super::ruling::{self, Question, Ruling};
use rules::book::Book;
use rules::game::play::Play;
use rules::game::situation::Situation;

/// A case play, its names resolved.
#[derive(Debug, Clone)]
pub struct Case<'b> {
    /// At the snap.
    pub situation: Situation,
    pub initiator: Initiator,
    pub stop: Stop,
    pub asked: Vec<Asked<'b>>,
    pub play: Play,
}

/// One subject of a case play.
#[derive(Debug, Clone)]
pub enum Asked<'b> {
    Question(Question<'b>),
    /// A subject that is never reviewed, by name.
    Closed(String),
}

/// The result of a case play.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Played<'b> {
    /// The first refusal, else what is at risk.
    pub gate: Gate,
    pub ruling: Option<Ruling<'b>>,
    /// After the ruling, or after the price of the refusal.
    pub after: Situation,
}

/// Puts a case play to the gate and, if allowed, rules on it.
///
/// # Errors
/// [`Unknown`] for a name that the book does not have.
pub fn play<'b>(book: &'b Book, case: &'b Case<'b>) -> Result<Played<'b>, Unknown> {
    let mut at_risk = None;
    for asked in &case.asked {
        let subject = match asked {
            Asked::Question(question) => Subject {
                name: &question.tree.id,
                call: &question.tree.calls[question.call].name,
                ruled: &question.ruled,
                entry: question.entry,
            },
            Asked::Closed(name) => Subject { name, call: "", ruled: &[], entry: Entry::Challenged },
        };
        match gate::gate(book, &case.situation, case.initiator, case.stop, &subject)? {
            Gate::Allowed { at_risk: price } => {
                at_risk.get_or_insert(price);
            }
            Gate::Refused(refusal) => {
                let after = match case.initiator {
                    Initiator::Coach(team) => rules::game::account::pay(case.situation, team, refusal.price),
                    Initiator::Booth | Initiator::Referee => case.situation,
                };
                return Ok(Played { gate: Gate::Refused(refusal), ruling: None, after });
            }
        }
    }
    let questions: Vec<Question<'b>> = case
        .asked
        .iter()
        .filter_map(|asked| match asked {
            Asked::Question(question) => Some(question.clone()),
            Asked::Closed(_) => None,
        })
        .collect();
    let ruling = ruling::rule(book, case.situation, case.initiator, &questions, &case.play);
    Ok(Played {
        gate: Gate::Allowed { at_risk: at_risk.unwrap_or(gate::FREE) },
        after: ruling.restart.after,
        ruling: Some(ruling),
    })
}
