//! Grades and letters of a record in words, the same in a terminal and on a screen.

use super::fold::{Given, Graded, Letter};
use super::{Matter, Sender};

/// Whether the official who appeals is named: who grades may wish not to know.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Official {
    /// By his pseudonym.
    Named,
    /// Not at all.
    Hidden,
}

/// Every grade, in the order in which they were given.
pub fn grades(graded: &Graded) -> impl Iterator<Item = String> {
    let given = graded.grades.iter().enumerate();
    given.map(|(number, given)| {
        let Given { grade, reason, by, .. } = given;
        let reason = if reason.is_empty() { String::new() } else { format!(": {reason}") };
        let gone = if graded.superseded(number) { " (superseded)" } else { "" };
        format!("{}: {}, by {by}{reason}{gone}", grade.matter().word(), grade.says())
    })
}

/// Who writes what.
pub fn letter(letter: &Letter, official: Official) -> String {
    let Letter { from, club, of, by, text, .. } = letter;
    let of = of.map_or("record", Matter::word);
    match (from, official) {
        (Sender::Club, Official::Named | Official::Hidden) => {
            format!("{} asks: {text}", club.as_deref().unwrap_or("a club"))
        }
        (Sender::Official, Official::Named) => format!("{by} appeals the grade of the {of}: {text}"),
        (Sender::Official, Official::Hidden) => format!("the grade of the {of} is appealed: {text}"),
    }
}

/// The answer to a letter, or that there is none yet.
pub fn answer(letter: &Letter) -> String {
    match &letter.answer {
        Some(answer) => format!("answered by {}: {}", answer.by, answer.text),
        None => "not answered yet".to_owned(),
    }
}
