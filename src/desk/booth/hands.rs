//! What the screens of a game work with, and what follows an act.

use super::Message;
use super::pictures::Pictures;
use super::post::{Game, Post};
use super::screen::Screen;
use super::undone::Undone;
use super::viewing::Viewing;
use iced::Task;
use iced::widget::operation::focus;
use review::fold::Review;
use review::stamp::Stamp;
use rules::game::situation::Situation;

/// The log, the game and its pictures while one message is handled.
pub(super) struct Hands<'a> {
    pub post: &'a mut Post,
    pub game: &'a mut Game,
    pub pictures: &'a mut Pictures,
    pub viewing: &'a mut Viewing,
    pub now: &'a Stamp,
}

/// What follows an act.
pub(super) enum Next {
    /// Stay on the screen.
    Stay,
    /// Stay on the screen and run this.
    Run(Task<Message>),
    /// Open the screen that fits the state of game and review.
    Settle,
    /// Open this screen and run this.
    Open(Screen, Task<Message>),
    /// From the desk back to the screen that it was opened over.
    Back,
}

impl Next {
    /// Opens this screen, with its line focused if it has one.
    pub(super) fn opens(screen: Screen) -> Next {
        let task = screen.line().map_or_else(Task::none, |line| focus(line.id));
        Next::Open(screen, task)
    }
}

impl Hands<'_> {
    /// Takes a review that is over into the day, and closes its clips: the next one does not begin with them.
    pub(super) fn end_review(&mut self) -> Result<(), Undone> {
        self.game.end_review(self.post, self.now)?;
        self.pictures.close_all();
        Ok(())
    }

    /// The review with the situation at its snap; none before it is called.
    pub(super) fn review(&self) -> Option<(&Review, Situation)> {
        let review = self.game.review()?;
        Some((review, review.situation()?))
    }
}
