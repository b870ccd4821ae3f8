//! What is typed on the walk, and what the desk says back.

use review::decide::Command;

/// What is being typed.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Typing {
    /// A mark of this moment.
    Mark {
        /// The moment.
        moment: String,
        /// The moments of the step for which the line was opened.
        moments: Vec<String>,
        /// As typed so far.
        text: String,
        /// What was wrong with it.
        wrong: Option<String>,
    },
    /// The scoreboard's clock in the frame that is looked at.
    Clock {
        /// As typed so far.
        text: String,
        /// What was wrong with it.
        wrong: Option<String>,
    },
    /// A flag of the crew.
    Flag {
        /// As typed so far.
        text: String,
        /// What was wrong with it.
        wrong: Option<String>,
    },
    /// Clips to open: a file or a folder.
    Clips {
        /// As typed so far.
        text: String,
    },
    /// The end of the review without a ruling: a reason, or none to withdraw the challenge.
    End {
        /// As typed so far.
        text: String,
    },
    /// The end of the review as it was typed: what it is and costs stands there, and a key of its own does it.
    Ends {
        /// How it ends.
        command: Command,
    },
    /// A reason for what the book would not have.
    Reason {
        /// What is to be done.
        command: Command,
        /// What speaks against it.
        against: String,
        /// As typed so far.
        text: String,
    },
}

/// What the desk says after an act.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Told {
    /// It was done.
    Done(String),
    /// It was not, for a reason, and there is something to do instead.
    No {
        /// Why.
        because: String,
        /// What to do instead.
        instead: String,
    },
}
