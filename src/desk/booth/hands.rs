//! What the screens of a game work with, and where an act leads.

use super::Message;
use super::pictures::Pictures;
use super::post::{Game, Post};
use super::screen::Screen;
use super::viewing::Viewing;
use iced::Task;
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

/// Where an act leads.
pub(super) enum Next {
    /// The screen stays.
    Stay,
    /// The screen stays, and the toolkit runs this.
    Run(Task<Message>),
    /// To the screen that fits where the game and the review are.
    Settle,
    /// To this screen, and the toolkit runs this.
    Open(Screen, Task<Message>),
}

impl Hands<'_> {
    /// The review in hand with the situation at its snap; none before it was called.
    pub(super) fn review(&self) -> Option<(&Review, Situation)> {
        let review = self.game.review()?;
        Some((review, review.situation()?))
    }
}
