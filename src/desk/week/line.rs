//! A line of the list, and what it stands for.

/// A line of the list.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Line {
    pub head: String,
    /// Beside it, smaller.
    pub under: String,
    /// It wants to be looked at.
    pub look: bool,
    /// What it stands for.
    pub of: Of,
}

/// What a line stands for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Of {
    /// Nothing but itself.
    Itself,
    /// An inconsistency, by its place among those of all weeks.
    Misfit(usize),
    /// A change of rules, by its place among those of all weeks.
    Change(usize),
    Record(String),
    /// A step of a question.
    Step(String, String),
    /// A precedent, by its place.
    Precedent(usize),
    /// An edition, or what came of one.
    Another(OfEdition),
}

/// What a line of the part on another edition stands for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum OfEdition {
    /// An edition that can be chosen.
    Under(Under),
    /// The book that the records were judged under: what it changes.
    Book,
    /// A ruling that would flip, by its place among them.
    Flip(usize),
    /// A ruling of the same outcome that would lead to another situation, by its place among them.
    Moved(usize),
    /// Records that cannot be told for one reason, by the place of the reason.
    Untold(usize),
}

/// Under what the records are judged.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Under {
    /// One of the editions that are offered, by its place.
    Offered(usize),
    /// The book in the folder that was typed.
    Folder,
}
