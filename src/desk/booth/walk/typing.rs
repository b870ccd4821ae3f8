//! What is typed on the walk, and the messages about it.

use review::decide::Command;

#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Typing {
    Mark {
        moment: String,
        /// The moments of the step for which the line was opened.
        moments: Vec<String>,
        text: String,
        wrong: Option<String>,
    },
    /// The scoreboard's clock in the current frame.
    Clock {
        text: String,
        wrong: Option<String>,
    },
    Flag {
        text: String,
        wrong: Option<String>,
    },
    /// A clip to open, or a folder of clips.
    Clips {
        text: String,
    },
    /// Why the review ends without a ruling; empty to withdraw the challenge.
    End {
        text: String,
    },
    /// The end of the review as typed, to be confirmed; its cost is shown.
    Ends {
        command: Command,
    },
    /// A reason for a command that is refused without one.
    Reason {
        command: Command,
        /// Why it was refused.
        against: String,
        text: String,
    },
}

impl Typing {
    /// A line for a mark of the first of these moments; `None` where there is none to mark.
    pub(super) fn mark(moments: Vec<String>) -> Option<Typing> {
        let moment = moments.first().cloned()?;
        Some(Typing::Mark { moment, moments, text: String::new(), wrong: None })
    }
}

/// The message after an act.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Told {
    Done(String),
    /// Not done: why, and what to do instead.
    No {
        because: String,
        instead: String,
    },
}
