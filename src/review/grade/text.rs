//! Grades and letters of a record in words, for terminal and screen.

use super::fold::{Given, Graded, Letter};
use super::{Grade, Matter, Sender};

/// Whether texts name who had the call and who appeals. Whoever grades may wish not to know.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Official {
    /// By position and pseudonym.
    Named,
    Hidden,
}

/// Shown in place of a hidden position.
pub const HIDDEN: &str = "hidden while grading";

/// A line for every grade, in the order given.
pub fn grades(graded: &Graded, official: Official) -> impl Iterator<Item = String> {
    let given = graded.grades.iter().enumerate();
    given.map(move |(number, given)| {
        let Given { grade, reason, by, .. } = given;
        let reason = if reason.is_empty() { String::new() } else { format!(": {reason}") };
        let gone = if graded.superseded(number) { " (superseded)" } else { "" };
        let of = grade.matter().word();
        match (grade, official) {
            (Grade::Position(_), Official::Hidden) => format!("{of}: {HIDDEN}, by {by}{gone}"),
            (Grade::Position(_), Official::Named)
            | (Grade::Call(_) | Grade::Review(_) | Grade::Challenge(_) | Grade::Picture(_), _) => {
                format!("{of}: {}, by {by}{reason}{gone}", grade.text())
            }
        }
    })
}

/// A letter in one line.
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
