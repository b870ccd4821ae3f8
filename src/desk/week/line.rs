//! A line of the list, and the item that it stands for.

#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Line {
    pub head: String,
    /// Secondary text.
    pub under: String,
    /// Draw attention to it.
    pub look: bool,
    pub of: Of,
}

#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Of {
    /// No item.
    Itself,
    /// An inconsistency, by its index among those of all weeks.
    Misfit(usize),
    /// A change of rules, by its index among those of all weeks.
    Change(usize),
    Record(String),
    /// A question and one of its steps.
    Step(String, String),
    /// By its index.
    Precedent(usize),
    Another(OfEdition),
}

/// What a line of the tab on another edition stands for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum OfEdition {
    /// An edition to choose.
    Under(Under),
    /// The book that was judged under: what it changes.
    Book,
    /// A ruling that would flip, by its index.
    Flip(usize),
    /// A ruling of the same outcome that would lead to another situation, by its index.
    Moved(usize),
    /// Records that cannot be judged for one reason, by the index of the reason.
    Untold(usize),
}

/// The edition to judge under.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Under {
    /// One of the editions offered, by its index.
    Offered(usize),
    /// The book in the folder that was typed.
    Folder,
}
