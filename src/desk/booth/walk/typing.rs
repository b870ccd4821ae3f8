//! What is typed on the walk, and what the desk says back.

use review::decide::Command;

#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Typing {
    /// A mark of this moment.
    Mark {
        moment: String,
        /// The moments of the step for which the line was opened.
        moments: Vec<String>,
        text: String,
        wrong: Option<String>,
    },
    /// The scoreboard's clock in the frame that is looked at.
    Clock { text: String, wrong: Option<String> },
    /// A flag of the crew.
    Flag { text: String, wrong: Option<String> },
    /// Clips to open: a file or a folder.
    Clips { text: String },
    /// The end of the review without a ruling: a reason, or none to withdraw the challenge.
    End { text: String },
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
        text: String,
    },
}

/// What the desk says after an act.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Told {
    Done(String),
    /// It was not, for a reason, and there is something to do instead.
    No {
        because: String,
        /// What to do instead.
        instead: String,
    },
}
