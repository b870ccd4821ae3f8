//! A review is asked for: the booth hands the challenge's acts on, and leaves it.

use super::post::{Begin, Undone};
use super::typed::Ground;
use super::{Booth, Message, Pane, challenge, told};
use iced::Task;
use iced::widget::operation::focus;
use review::fold::Phase;

impl Booth {
    /// One message of the challenge's screen.
    pub(super) fn challenge(&mut self, message: challenge::Message) -> Task<Message> {
        let (Pane::Challenge(challenge), Ok(post)) = (&mut self.pane, &mut self.post) else {
            return Task::none();
        };
        let Some(game) = &post.game else { return Task::none() };
        let held = post.review().and_then(|review| review.situation());
        let Some(situation) = held.or_else(|| challenge.plays.first().map(|(_, at)| *at)) else {
            return Task::none();
        };
        let ground = Ground { field: &game.book.field, names: &game.names, situation: &situation };
        match challenge.update(message, &game.book, ground) {
            challenge::Action::None => Task::none(),
            challenge::Action::Focus(id) => focus(id),
            challenge::Action::Begin { play, who, stop, asked } => {
                let begun = post.begin(Begin { play, who, stop, asked }, &self.now);
                self.asked(begun)
            }
            challenge::Action::Do(command) => {
                let done = post.act(command, &self.now);
                self.asked(done)
            }
            challenge::Action::Leave => {
                self.settle_pane();
                Task::none()
            }
            challenge::Action::End => self.end_refused(),
        }
    }

    /// After something of the challenge was written, or was not.
    fn asked(&mut self, done: Result<(), Undone>) -> Task<Message> {
        let (Pane::Challenge(challenge), Ok(post)) = (&mut self.pane, &self.post) else {
            return Task::none();
        };
        match done {
            Err(undone) => challenge.wrong = Some(told(undone)),
            Ok(()) => match post.review() {
                Some(review) if review.phase == Phase::Open => self.settle_pane(),
                Some(review) => {
                    if let (Some(game), Some(at)) = (&post.game, review.situation()) {
                        let ground = Ground { field: &game.book.field, names: &game.names, situation: &at };
                        challenge.after(review, ground);
                    }
                    return focus(challenge::line_id());
                }
                None => {}
            },
        }
        Task::none()
    }

    /// A challenge that the gate refused is over, at its price.
    fn end_refused(&mut self) -> Task<Message> {
        let (Pane::Challenge(challenge), Ok(post)) = (&mut self.pane, &mut self.post) else {
            return Task::none();
        };
        match post.end_review(&self.now) {
            Ok(()) => self.settle_pane(),
            Err(undone) => challenge.wrong = Some(told(undone)),
        }
        Task::none()
    }
}
