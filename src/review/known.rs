//! Steps that the situation, the call or the play as it was read back answers: they are not asked.

use super::fold::Review;
use rules::book::Book;
use rules::book::known::Known;
use rules::book::tree::Step;
use rules::game::known::{Recorded, known, reason};

/// What is known of a step of one question, and why, in words; `None` where it must be asked.
pub fn known_step<'b>(
    book: &Book,
    review: &Review,
    question: usize,
    step: &'b Step,
) -> Option<(&'b Known, String)> {
    let asked = review.questions.get(question)?;
    let at_snap = review.situation()?;
    let end = review.play().ruled_end();
    let recorded = Recorded { at_snap: &at_snap, end: end.as_ref(), call: &asked.call };
    known(book, step, recorded).map(|known| (known, reason(known, recorded)))
}

/// The names of the answers that are possible, as a list for people.
pub fn possible(step: &Step, known: &Known) -> String {
    let names: Vec<String> =
        known.answers.iter().map(|option| format!("`{}`", step.options[option].name)).collect();
    names.join(" or ")
}
