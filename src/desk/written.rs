//! What keys write: every kind of entry that an act can come to, and how grave it is.
//!
//! The tables of the screens name these beside their keys; the page of keys shows what costs, ends or grades, and tests
//! press every key and compare. What a command alone writes is not here.

/// How grave it is that something is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Effect {
    /// It is taken back, or put right by a later act.
    Writes,
    /// It costs a team a timeout or a challenge.
    Costs,
    /// It ends a review, a ruling or a period, or says that something was said aloud.
    Ends,
    /// It grades somebody, or decides on a precedent.
    Grades,
}

impl Effect {
    /// In a word, where it is grave.
    pub(crate) fn text(self) -> Option<&'static str> {
        match self {
            Effect::Writes => None,
            Effect::Costs => Some("costs"),
            Effect::Ends => Some("ends"),
            Effect::Grades => Some("grades"),
        }
    }
}

macro_rules! written {
    ($($(#[doc = $doc:literal])+ $name:ident = $kind:literal, $effect:ident;)+) => {
        /// What an act can write.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
        pub(crate) enum Written {
            $($(#[doc = $doc])+ $name),+
        }

        impl Written {
            /// All of them.
            #[cfg(test)]
            pub(crate) const ALL: &[Written] = &[$(Written::$name),+];

            /// The kind of its entry; of a move of the game, also what moved it.
            #[cfg(test)]
            pub(crate) fn kind(self) -> &'static str {
                match self {
                    $(Written::$name => $kind),+
                }
            }

            /// How grave it is.
            pub(crate) fn effect(self) -> Effect {
                match self {
                    $(Written::$name => Effect::$effect),+
                }
            }
        }
    };
}

written! {
    /// A game was opened with its card.
    GameOpened = "day.opened", Writes;
    /// An item was checked off, or is open again.
    Checked = "day.checked", Writes;
    /// The first situation of a game.
    Set = "day.moved set", Writes;
    /// A play was run.
    Played = "day.moved play", Writes;
    /// The situation was put right.
    Corrected = "day.moved correction", Writes;
    /// A team took a timeout.
    Timeout = "day.moved timeout", Costs;
    /// A period ended, and the next one began.
    Period = "day.moved period", Ends;
    /// A change of the game was taken back.
    DayUndone = "day.undone", Writes;
    /// A play was looked at.
    PlayLooked = "day.looked", Writes;
    /// A review of a play began.
    ReviewBegan = "day.review-began", Writes;
    /// A review is over for the game, with what it costs.
    ReviewEnded = "day.review-ended", Ends;
    /// Replay is out of service.
    OutOfService = "day.out-of-service", Writes;
    /// Replay is back in service.
    BackInService = "day.back-in-service", Writes;
    /// A review has rules and an id.
    Begun = "review.begun", Writes;
    /// Somebody asked for the review.
    Called = "review.called", Writes;
    /// A question that the gate allowed.
    Asked = "review.asked", Writes;
    /// A question that the gate refused, at its price.
    Refused = "review.refused", Costs;
    /// The call was read back.
    ReadBack = "review.read-back", Writes;
    /// The crew's flags.
    Flagged = "review.flagged", Writes;
    /// What the offended team chose.
    Chosen = "review.chosen", Writes;
    /// A look.
    Looked = "review.looked", Writes;
    /// A mark.
    Marked = "review.marked", Writes;
    /// A measured point.
    Placed = "review.placed", Writes;
    /// A tie of two cameras.
    Tied = "review.tied", Writes;
    /// An answer.
    Answered = "review.answered", Writes;
    /// An act of a review was taken back.
    Undone = "review.undone", Writes;
    /// Nothing left to answer could change anything: it comes with an answer or a flag.
    Settled = "review.settled", Writes;
    /// The restart was put right, with a reason.
    Amended = "review.amended", Writes;
    /// The ruling was signed.
    Ruled = "review.ruled", Ends;
    /// The restart was read back.
    RestartReadBack = "review.restart-read-back", Ends;
    /// The ruling was announced.
    Announced = "review.announced", Ends;
    /// The challenge was withdrawn.
    Withdrawn = "review.withdrawn", Ends;
    /// The review ended without a ruling.
    CutShort = "review.cut-short", Ends;
    /// The referee's own ruling began.
    OwnOpened = "discretion.opened", Writes;
    /// Who is at risk, or that nobody is.
    Risk = "discretion.risk", Writes;
    /// A fact.
    Stated = "discretion.stated", Writes;
    /// Why the book does not reach it.
    Unreached = "discretion.unreached", Writes;
    /// Who would profit.
    Profit = "discretion.profit", Writes;
    /// A precedent was read.
    Read = "discretion.read", Writes;
    /// A remedy was chosen.
    RemedyChosen = "discretion.chosen", Writes;
    /// The rule that it leans on.
    Leaned = "discretion.leaned", Writes;
    /// The words.
    Worded = "discretion.worded", Writes;
    /// It was read back to the crew.
    OwnReadBack = "discretion.read-back", Writes;
    /// The referee signed it.
    OwnSigned = "discretion.signed", Ends;
    /// It ended without a ruling.
    Abandoned = "discretion.abandoned", Ends;
    /// It was handed on as a precedent.
    Proposed = "precedent.proposed", Writes;
    /// A precedent was approved.
    Approved = "precedent.approved", Grades;
    /// A precedent was narrowed.
    Narrowed = "precedent.narrowed", Grades;
    /// A precedent was withdrawn.
    PrecedentWithdrawn = "precedent.withdrawn", Grades;
    /// A grade.
    Graded = "grade.given", Grades;
    /// A letter was answered.
    LetterAnswered = "grade.answered", Writes;
}
