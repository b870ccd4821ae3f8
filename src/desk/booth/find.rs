//! Finding a question by what is typed.

use tellframe::book::Book;
use tellframe::game::situation::Situation;
use tellframe::review::gate::Initiator;

/// A question, or something that is closed to review.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Found {
    /// The tree's id, or the plain name.
    pub id: String,
    /// As printed.
    pub title: String,
    /// The rule to cite.
    pub cite: String,
}

/// What answers to the words.
pub(crate) fn find(book: &Book, _situation: &Situation, _who: Initiator, text: &str) -> Vec<Found> {
    let sought = text.trim().to_lowercase();
    let answers = |words: &str| words.to_lowercase().contains(&sought);
    let trees = book
        .trees
        .iter()
        .filter(|tree| {
            answers(&tree.title) || answers(&tree.cite) || tree.words.iter().any(|word| answers(word))
        })
        .map(|tree| Found { id: tree.id.clone(), title: tree.title.clone(), cite: tree.cite.clone() });
    trees.collect()
}
