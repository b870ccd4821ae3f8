//! What the acts of the referee's own ruling lead to.

use super::brought::{self, Brought};
use super::hands::{Hands, Next};
use super::post::{Game, Post};
use super::referee::{self, Referee, Sheet, beside};
use super::screen::Screen;
use super::undone::{Fault, Undone};
use super::walk::Walk;
use iced::widget::operation::focus;
use log::streams::precedents::text;
use review::precedent::pattern::Pattern;

impl Hands<'_> {
    /// The screen of the open ruling, or of a new one: about this play of the day, or what the game is at. A play of the
    /// day is brought with a question, which is asked first.
    pub(super) fn open_referee(&mut self, play: Option<usize>) -> Result<Screen, Undone> {
        match self.game.brings(play)? {
            Some(about) => Ok(Screen::Brought(Box::new(Brought::new(&self.game.book, play, about)))),
            None => self.begin_referee(play, None),
        }
    }

    /// Begins the ruling about a play, with the question and the call that it is brought with.
    fn begin_referee(&mut self, play: Option<usize>, asked: Option<(&str, &str)>) -> Result<Screen, Undone> {
        self.game.begin_referee(self.post, (play, asked), self.now)?;
        Ok(Screen::Referee(Box::new(Referee::new(sheet(self.post, self.game)?))))
    }

    pub(super) fn brought(&mut self, screen: &mut Brought, message: brought::Message) -> Next {
        match screen.update(message, &self.game.book) {
            brought::Action::None => Next::Stay,
            brought::Action::Focus(id) => Next::Run(focus(id)),
            brought::Action::Leave => Next::Settle,
            brought::Action::Bring(asked) => {
                let asked = asked.as_ref().map(|(question, call)| (question.as_str(), call.as_str()));
                match self.begin_referee(screen.play(), asked) {
                    Ok(opened) => Next::opens(opened),
                    Err(undone) => {
                        screen.tell(undone.to_string());
                        Next::Stay
                    }
                }
            }
        }
    }

    pub(super) fn referee(&mut self, screen: &mut Referee, message: referee::Message) -> Next {
        match screen.update(message) {
            referee::Action::None => Next::Stay,
            referee::Action::Focus(id) => Next::Run(focus(id)),
            referee::Action::Back => Next::Settle,
            referee::Action::Over => match self.game.take_over(self.post, self.now) {
                Ok(()) => Next::Settle,
                Err(undone) => {
                    screen.tell(undone.to_string());
                    Next::Stay
                }
            },
            referee::Action::Propose(title) => {
                let done = self.game.propose(self.post, &title, self.now);
                self.ruled(screen, done)
            }
            referee::Action::Do(command) => {
                match self.game.referee_act(self.post, command.clone(), self.now) {
                    Err(Undone::No(no)) => {
                        screen.refused(&command, &no).map_or(Next::Stay, |id| Next::Run(focus(id)))
                    }
                    done => self.ruled(screen, done),
                }
            }
        }
    }

    /// Shows what became of an act, or why it was not done.
    fn ruled(&self, screen: &mut Referee, done: Result<(), Undone>) -> Next {
        match done.and_then(|()| sheet(self.post, self.game)) {
            Ok(sheet) => screen.refresh(sheet),
            Err(undone) => screen.tell(undone.to_string()),
        }
        Next::Stay
    }
}

/// Shows on the walk the precedents in force whose facts recur in the review; none if the book decides it.
pub(super) fn recall(walk: &mut Walk, post: &Post, game: &Game) {
    let Some(case) = game.case() else { return walk.recall(Ok(Vec::new())) };
    walk.recall(post.precedents().map_err(Fault::from).map(|precedents| {
        let near = precedents.recurring(&case, game.week());
        near.iter().map(|near| beside(&precedents, near, true)).collect()
    }));
}

/// The open ruling, with the precedents near it.
fn sheet(post: &Post, game: &Game) -> Result<Sheet, Undone> {
    let held = game.referee().ok_or(Fault::NoRulingHeld)?;
    let ruling = held.ruling();
    let case = Pattern::of(&game.book, ruling).ok_or(Fault::NoRulingHeld)?;
    let precedents = post.precedents()?;
    let near = precedents.near(&case, &text("", ruling), game.week())?;
    Ok(Sheet::of(&game.book, &game.names, (held.id(), ruling), (&precedents, &near)))
}
