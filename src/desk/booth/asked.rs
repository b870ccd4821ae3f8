//! What the acts of the challenge lead to.

use super::challenge::{self, Challenge};
use super::hands::{Hands, Next};
use super::post::Begin;
use super::undone::Undone;
use iced::widget::operation::focus;
use review::decide::Command;
use review::fold::Phase;

impl Hands<'_> {
    pub(super) fn challenge(&mut self, challenge: &mut Challenge, message: challenge::Message) -> Next {
        let situation = self.review().map(|(_, situation)| situation).or_else(|| challenge.situation());
        // Without a situation there is no play to challenge: the checklist comes first.
        let Some(situation) = situation else { return Next::Settle };
        match challenge.update(message, &self.game.book, self.game.ground(&situation)) {
            challenge::Action::None => Next::Stay,
            challenge::Action::Focus(id) => Next::Run(focus(id)),
            challenge::Action::Begin { play, who, stop, asked } => {
                let begin = Begin { play, who, stop, asked };
                let begun = self.game.begin(self.post, begin, self.now);
                self.asked(challenge, begun)
            }
            challenge::Action::Do(command) => {
                let done = self.crews_flags().and_then(|()| self.game.act(self.post, command, self.now));
                self.asked(challenge, done)
            }
            challenge::Action::Leave => Next::Settle,
            challenge::Action::End => match self.end_review() {
                Ok(()) => Next::Settle,
                Err(undone) => {
                    challenge.undone(&undone);
                    Next::Stay
                }
            },
        }
    }

    /// Before the call is read back: the flags that were entered with the play, and what was chosen.
    fn crews_flags(&mut self) -> Result<(), Undone> {
        let admitted = self.game.review().filter(|review| review.phase == Phase::Admitted);
        let Some(flagged) = admitted.map(|review| !review.flags().is_empty()) else { return Ok(()) };
        let ran = self.game.ran();
        if flagged || ran.flags.is_empty() {
            return Ok(());
        }
        self.game.act(self.post, Command::Flag(ran.flags), self.now)?;
        for (penalty, choice) in ran.choices {
            self.game.act(self.post, Command::Choose { penalty, choice }, self.now)?;
        }
        Ok(())
    }

    /// Shows what became of a command.
    fn asked(&mut self, challenge: &mut Challenge, done: Result<(), Undone>) -> Next {
        if let Err(undone) = done {
            challenge.undone(&undone);
            return Next::Stay;
        }
        match self.review() {
            Some((review, situation)) if review.phase != Phase::Open => {
                challenge.after(review, self.game.ground(&situation));
                Next::Run(focus(challenge::line_id()))
            }
            Some(_) | None => Next::Settle,
        }
    }
}
