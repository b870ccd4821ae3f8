//! Case plays: worked examples of a book, run and compared.

use super::gate::{self, Entry, Gate, Initiator, Stop, Subject, Unknown};
use super::ruling::{self, Question, Ruling};
use rules::book::Book;
use rules::game::play::Play;
use rules::game::situation::Situation;

/// A case play, its names resolved.
#[derive(Debug, Clone)]
pub struct Case<'b> {
    /// The situation at the snap.
    pub situation: Situation,
    /// Who asks.
    pub initiator: Initiator,
    /// When the stop signal came.
    pub stop: Stop,
    /// What is asked; a subject that is never reviewed is no question.
    pub asked: Vec<Asked<'b>>,
    /// What is known of the play.
    pub play: Play,
}

/// One subject of a case play.
#[derive(Debug, Clone)]
pub enum Asked<'b> {
    /// A question of the book.
    Question(Question<'b>),
    /// Something that is never reviewed, by its name.
    Closed(String),
}

/// What a case play comes to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Played<'b> {
    /// The gate's answer: the first refusal, else what is at risk.
    pub gate: Gate,
    /// The ruling, if the gate let it pass.
    pub ruling: Option<Ruling<'b>>,
    /// The situation after it: after the ruling, or after what the refusal costs.
    pub after: Situation,
}

/// Runs a case play.
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
    let free = rules::book::replay::Price { timeout: false, challenge: false };
    Ok(Played {
        gate: Gate::Allowed { at_risk: at_risk.unwrap_or(free) },
        after: ruling.restart.after,
        ruling: Some(ruling),
    })
}
