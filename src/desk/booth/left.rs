//! What is left to the referee: the booth opens his screen, hands his acts on, and takes over what he ruled.

use super::post::{Post, Undone};
use super::referee::{self, Referee, Sheet, beside};
use super::{Booth, Message, Pane, told, walk};
use iced::Task;
use iced::widget::operation::focus;
use log::streams::precedents::text;
use review::precedent::pattern::Pattern;

impl Booth {
    /// Opens the referee's own ruling: the one that is held, else a new one. Says why not.
    pub(super) fn open_referee(&mut self) -> Result<(), String> {
        let Ok(post) = &mut self.post else { return Ok(()) };
        post.begin_referee(&self.now).map_err(told)?;
        if let Some(sheet) = sheet(post).map_err(told)? {
            self.pane = Pane::Referee(Box::new(Referee::new(sheet)));
        }
        Ok(())
    }

    /// One message of the referee's screen.
    pub(super) fn referee(&mut self, message: referee::Message) -> Task<Message> {
        let (Pane::Referee(screen), Ok(post)) = (&mut self.pane, &mut self.post) else { return Task::none() };
        match screen.update(message) {
            referee::Action::None => Task::none(),
            referee::Action::Focus(id) => focus(id),
            referee::Action::Back => {
                self.settle_pane();
                Task::none()
            }
            referee::Action::Over => {
                match post.take_over(&self.now) {
                    Ok(()) => self.settle_pane(),
                    Err(undone) => screen.told = Some(told(undone)),
                }
                Task::none()
            }
            referee::Action::Propose(title) => {
                let done = post.propose(&title, &self.now);
                refresh(screen, post, done);
                Task::none()
            }
            referee::Action::Do(command) => match post.referee_act(command.clone(), &self.now) {
                Err(Undone::No(no)) => match screen.refused(&command, &no) {
                    referee::Action::Focus(id) => focus(id),
                    referee::Action::None
                    | referee::Action::Do(_)
                    | referee::Action::Propose(_)
                    | referee::Action::Back
                    | referee::Action::Over => Task::none(),
                },
                done => {
                    refresh(screen, post, done);
                    Task::none()
                }
            },
        }
    }

    /// Shows on the walk the precedents in force whose facts recur in the review in hand; none where the book decides
    /// it.
    pub(super) fn recall(&mut self) {
        let (Pane::Walk(walk), Ok(post)) = (&mut self.pane, &self.post) else { return };
        walk.recurring.clear();
        let Some(case) = post.case() else { return };
        match post.precedents() {
            Ok(precedents) => {
                let near = precedents.recurring(&case, post.week());
                walk.recurring = near.iter().map(|near| beside(&precedents, near, true)).collect();
            }
            Err(undone) => walk.told = Some(walk::Told::Done(format!("precedents: {}", told(undone)))),
        }
        walk.reading = walk.reading && !walk.recurring.is_empty();
    }
}

/// Takes in what became of an act, or says why it was not done.
fn refresh(screen: &mut Referee, post: &Post, done: Result<(), Undone>) {
    match done.and_then(|()| sheet(post)) {
        Ok(Some(sheet)) => screen.refresh(sheet),
        Ok(None) => {}
        Err(undone) => screen.told = Some(told(undone)),
    }
}

/// The ruling in hand as it stands, with the precedents near it.
fn sheet(post: &Post) -> Result<Option<Sheet>, Undone> {
    let (Some(held), Some(game)) = (post.referee(), &post.game) else { return Ok(None) };
    let ruling = held.ruling();
    let Some(case) = Pattern::of(&game.book, ruling) else { return Ok(None) };
    let precedents = post.precedents()?;
    let near = precedents.near(&case, &text("", ruling), post.week())?;
    Ok(Some(Sheet::of(&game.book, &game.names, (held.id(), ruling), (&precedents, &near))))
}
