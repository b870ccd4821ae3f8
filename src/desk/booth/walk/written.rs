//! The walk after a command was written, or was not.

use super::{Told, Typing, Walk, line_id};
use crate::booth::Came;
use crate::booth::board::Board;
use crate::booth::referee::Beside;
use crate::booth::timing::Timing;
use crate::booth::undone::Fault;
use evidence::time::scoreboard::Scoreboard;
use iced::widget::Id;
use review::decide::{Command, Desk};
use review::fold::Review;
use review::marking::replaced;
use review::refusal::Refusal;
use review::stamp::Stamp;

impl Walk {
    /// Shows the review after a command was written. A command that came by itself leaves the open line alone.
    pub(in crate::booth) fn done(
        &mut self,
        command: &Command,
        came: Came,
        desk: Desk<'_>,
        (review, at): (&Review, &Stamp),
    ) {
        let before = self.answers();
        self.refresh(desk, review, at);
        if came == Came::ByHand {
            self.typing = None;
        }
        self.told = None;
        match command {
            // After an answer to a step that is no longer open, the open step stays.
            Command::Answer(answered) if self.shows(answered.question, &answered.step) => self.go_to_next(),
            Command::Answer(_) => {}
            Command::Mark(_) => {
                self.told = replaced(review).map(|(older, newer)| {
                    Told::Done(format!(
                        "{} on {}: {} takes the place of {}",
                        newer.mark.moment, newer.mark.camera, newer.mark.timecode, older.mark.timecode
                    ))
                });
            }
            Command::Place(_) => self.told = Some(Told::Done("the measured point is kept".to_owned())),
            Command::Tie(_) => {
                self.told = Some(Told::Done("the two cameras are tied by this moment".to_owned()));
            }
            Command::Undo => {
                self.told = Some(Told::Done("the newest act is taken back".to_owned()));
                self.open_taken_back(&before);
            }
            Command::Ask(_) => {
                self.question = self.boards.len().saturating_sub(1);
                self.go_to_next();
            }
            Command::Look(_)
            | Command::Challenge(_)
            | Command::ReadBack(_)
            | Command::Flag(_)
            | Command::Choose { .. }
            | Command::Withdraw
            | Command::Rule
            | Command::ReadBackRestart
            | Command::Announce
            | Command::Amend { .. }
            | Command::CutShort { .. } => {}
        }
    }

    /// What each step of each question was answered, in words.
    fn answers(&self) -> Vec<Vec<Option<String>>> {
        let of = |board: &Board| board.steps.iter().map(|line| line.answer.clone()).collect();
        self.boards.iter().map(of).collect()
    }

    /// Opens the step whose answer was taken back and names it, so that the next key answers it.
    fn open_taken_back(&mut self, before: &[Vec<Option<String>>]) {
        for (question, (board, before)) in self.boards.iter().zip(before).enumerate() {
            let gone = board.steps.iter().zip(before).enumerate().find_map(|(step, (line, was))| {
                let was = was.as_ref().filter(|_| line.answer != *was)?;
                Some((step, format!("taken back: {was} at \u{201c}{}\u{201d}", line.ask)))
            });
            if let Some((step, told)) = gone {
                (self.question, self.step, self.told) = (question, step, Some(Told::Done(told)));
                return;
            }
        }
    }

    /// Shows why a command was refused. If a reason would carry it, opens the line for one, to be focused.
    pub(in crate::booth) fn refused(&mut self, command: Command, no: Refusal, came: Came) -> Option<Id> {
        self.not_done(no.because.clone(), &no.instead);
        let is_typing = came == Came::ByItself && self.typing.is_some();
        if !no.reason_carries || is_typing {
            return None;
        }
        self.typing = Some(Typing::Reason { command, against: no.because, text: String::new() });
        Some(line_id())
    }

    /// Shows why something was not done, and what to do instead.
    pub(in crate::booth) fn not_done(&mut self, because: String, instead: &str) {
        self.told = Some(Told::No { because, instead: instead.to_owned() });
    }

    /// Shows the precedents in force whose facts recur, or why they cannot be read.
    pub(in crate::booth) fn recall(&mut self, recurring: Result<Vec<Beside>, Fault>) {
        self.recurring = recurring.unwrap_or_else(|fault| {
            self.told = Some(Told::Done(format!("precedents: {}", fault.line())));
            Vec::new()
        });
        self.reading = self.reading && !self.recurring.is_empty();
    }

    /// Shows what the marks of the open step measure, and the clock at the current frame.
    pub(in crate::booth) fn measured(&mut self, scoreboard: Option<Scoreboard>, timing: Option<Timing>) {
        (self.scoreboard, self.timing) = (scoreboard, timing);
    }
}
