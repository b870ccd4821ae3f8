//! What keys write: every kind of entry that an act can cause, and how grave it is.
//!
//! The tables of the screens name these beside their keys, and the page of keys shows what costs, ends or grades. Tests
//! press every key and compare. What only a command writes is not here.

/// How grave an entry is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Effect {
    /// A later act can take it back or correct it.
    Writes,
    /// Costs a team a timeout or a challenge.
    Costs,
    /// Ends a review, a ruling or a period, or records that something was said aloud.
    Ends,
    /// Grades somebody, or decides on a precedent.
    Grades,
}

impl Effect {
    /// A word for it, if it is grave.
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
    ($($(#[doc = $doc:literal])* $name:ident = $kind:literal, $effect:ident;)+) => {
        /// What an act can write.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
        pub(crate) enum Written {
            $($(#[doc = $doc])* $name),+
        }

        impl Written {
            #[cfg(test)]
            pub(crate) const ALL: &[Written] = &[$(Written::$name),+];

            /// The kind of its entry; for `day.moved` followed by what moved the game.
            #[cfg(test)]
            pub(crate) fn kind(self) -> &'static str {
                match self {
                    $(Written::$name => $kind),+
                }
            }

            pub(crate) fn effect(self) -> Effect {
                match self {
                    $(Written::$name => Effect::$effect),+
                }
            }
        }
    };
}

written! {
    GameOpened = "day.opened", Writes;
    /// An item was checked off, or opened again.
    Checked = "day.checked", Writes;
    Set = "day.moved set", Writes;
    Played = "day.moved play", Writes;
    PlayedWithFouls = "day.moved fouls", Writes;
    Corrected = "day.moved correction", Writes;
    Timeout = "day.moved timeout", Costs;
    Period = "day.moved period", Ends;
    DayUndone = "day.undone", Writes;
    GameClosed = "day.closed", Ends;
    /// Before it was over by the rules.
    GameEnded = "day.ended-early", Ends;
    GameReopened = "day.reopened", Writes;
    CardCorrected = "day.card-corrected", Writes;
    /// Another official sits at the desk.
    HandedOver = "day.handed-over", Writes;
    CameraLost = "day.camera-lost", Writes;
    CameraBack = "day.camera-back", Writes;
    PlayLooked = "day.looked", Writes;
    ReviewBegan = "day.review-began", Writes;
    /// A review is over for the game, with what it costs.
    ReviewEnded = "day.review-ended", Ends;
    OutOfService = "day.out-of-service", Writes;
    BackInService = "day.back-in-service", Writes;
    /// The review has rules and an id.
    Begun = "review.begun", Writes;
    /// Somebody asked for the review.
    Called = "review.called", Writes;
    /// A question that the gate allowed.
    Asked = "review.asked", Writes;
    /// A question that the gate refused, at its price.
    Refused = "review.refused", Costs;
    ReadBack = "review.read-back", Writes;
    Flagged = "review.flagged", Writes;
    /// What the offended team chose.
    Chosen = "review.chosen", Writes;
    Looked = "review.looked", Writes;
    Marked = "review.marked", Writes;
    /// A measured point.
    Placed = "review.placed", Writes;
    /// A tie of two cameras.
    Tied = "review.tied", Writes;
    Answered = "review.answered", Writes;
    Undone = "review.undone", Writes;
    /// No answer left could change anything. Written together with an answer or a flag.
    Settled = "review.settled", Writes;
    /// The restart was corrected, with a reason.
    Amended = "review.amended", Writes;
    Ruled = "review.ruled", Ends;
    RestartReadBack = "review.restart-read-back", Ends;
    Announced = "review.announced", Ends;
    Withdrawn = "review.withdrawn", Ends;
    CutShort = "review.cut-short", Ends;
    /// The referee's own ruling began.
    OwnOpened = "discretion.opened", Writes;
    /// Who is at risk, or that nobody is.
    Risk = "discretion.risk", Writes;
    Stated = "discretion.stated", Writes;
    /// Why the book does not cover the case.
    Unreached = "discretion.unreached", Writes;
    Profit = "discretion.profit", Writes;
    Read = "discretion.read", Writes;
    RemedyChosen = "discretion.chosen", Writes;
    /// Who is disqualified, or that nobody is any more.
    Disqualified = "discretion.disqualified", Writes;
    /// The rule that the ruling leans on.
    Leaned = "discretion.leaned", Writes;
    Worded = "discretion.worded", Writes;
    /// The ruling was read back to the crew.
    OwnReadBack = "discretion.read-back", Writes;
    OwnSigned = "discretion.signed", Ends;
    /// The referee's own ruling ended unsigned.
    Abandoned = "discretion.abandoned", Ends;
    /// The referee's own ruling was handed on as a precedent.
    Proposed = "precedent.proposed", Writes;
    Approved = "precedent.approved", Grades;
    Narrowed = "precedent.narrowed", Grades;
    PrecedentWithdrawn = "precedent.withdrawn", Grades;
    Graded = "grade.given", Grades;
    LetterAnswered = "grade.answered", Writes;
}
