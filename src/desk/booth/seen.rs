//! Running pictures, marks set in them, and what those marks measure.

use super::hands::{Hands, Next};
use super::pictures::{self, Pictures, Taken, Target};
use super::placed::{Tried, Written, in_background, open_step, tell_pictures};
use super::post::Game;
use super::ruling::Ruling;
use super::walk::Walk;
use super::{Came, Message, scoreboard, timing};
use host::frame::Unproven;
use iced::Task;
use log::streams::reviews::Pictured;
use review::decide::Command;
use review::event::Marked;
use rules::book::tree::Looks;
use std::path::Path;
use std::time::Duration;

impl Hands<'_> {
    /// Time passed on the walk.
    pub(super) fn run(&mut self, walk: &mut Walk, folder: &Path, elapsed: Duration) -> Next {
        if self.pictures.asks_nothing() {
            tell_pictures(walk, self.game, self.pictures, folder);
        }
        let ran = if self.pictures.runs() { self.pictures.looks() } else { None };
        let again = self.pictures.tick(elapsed);
        let Some(on) = ran.map(|kind| walk.subject(self.pictures.in_hand(), kind)) else { return Next::Stay };
        let look = match again {
            Some(kind) => {
                self.viewing.looked(on);
                Some(kind)
            }
            None => {
                let kind = on.kind;
                self.viewing.ran(on, elapsed).then_some(kind)
            }
        };
        look.map_or(Next::Stay, |kind| self.look(walk, kind))
    }

    /// The look that begins when a key moved the pictures, if one does.
    pub(super) fn moved(&mut self, walk: &Walk, act: pictures::Act, begins: Option<Looks>) -> Option<Looks> {
        let steps = matches!(act, pictures::Act::Step(_));
        let kind = begins.or_else(|| self.pictures.looks().filter(|_| steps))?;
        let on = walk.subject(self.pictures.in_hand(), kind);
        self.viewing.moved(on, begins.is_some()).then_some(kind)
    }

    /// Logs a look at what is shown. It comes from the pictures, so an open line stays.
    pub(super) fn look(&mut self, walk: &mut Walk, kind: Looks) -> Next {
        match walk.look((self.pictures.in_hand(), &self.game.cameras), Some(kind)) {
            Some(look) => self.act(walk, Command::Look(look), Came::ByItself),
            None => Next::Stay,
        }
    }

    /// Writes a mark with its picture and a still, or as a typed mark if its picture cannot be proven. In a file that
    /// changed since it was looked at nothing is marked.
    pub(super) fn mark(&mut self, marked: Marked, taken: Result<Taken, Unproven>) -> Written {
        let (shot, still, failed) = match taken {
            Ok(Taken { shot, still: Ok(still) }) => (Some(shot), Some(still), None),
            Ok(Taken { shot, still: Err(why) }) => {
                let because = format!("no still was kept: {why}");
                (Some(shot), None, Some((because, "the mark stands, with the hash of its picture")))
            }
            Err(Unproven::Changed(why)) => {
                return Written::OtherFile(format!("{}: {why}", marked.mark.camera));
            }
            Err(Unproven::Failed(why)) => {
                let because = format!("the picture could not be proven: {why}");
                (None, None, Some((because, "the mark is kept as a typed mark")))
            }
        };
        let marked = Marked { shot, ..marked };
        let command = Command::Mark(marked.clone());
        let done = match still {
            Some(still) => self.game.mark(self.post, Pictured { marked, still }, self.now),
            None => self.game.act(self.post, command.clone(), self.now),
        };
        Written::Tried(Box::new(Tried { command, done, failed }))
    }

    /// Shows on the walk what became of a command that was proven in the background.
    pub(super) fn proven_on_walk(&mut self, walk: &mut Walk, written: Written) -> Next {
        match written {
            Written::OtherFile(because) => {
                self.pictures.check_files();
                let instead = "nothing was written; the file was reopened: look again and repeat";
                walk.not_done(because, instead);
                Next::Stay
            }
            Written::Tried(tried) => {
                let Tried { command, done, failed } = *tried;
                let failed = failed.filter(|_| done.is_ok());
                let next = self.written(walk, command, done, Came::ByItself);
                if let Some((because, instead)) = failed {
                    walk.not_done(because, instead);
                }
                next
            }
        }
    }

    /// Shows it on the ruling, if the official has gone on to it meanwhile.
    pub(super) fn proven_on_ruling(&mut self, ruling: &mut Ruling, written: Written) {
        match written {
            Written::OtherFile(_) => self.pictures.check_files(),
            Written::Tried(tried) => {
                self.refresh(ruling);
                if let Err(undone) = tried.done {
                    ruling.undone(undone);
                }
            }
        }
    }
}

/// Shows on the walk what the marks of the open step measure, and the clock at the current frame.
pub(super) fn measure(walk: &mut Walk, game: &Game, pictures: &mut Pictures, folder: &Path) {
    tell_pictures(walk, game, pictures, folder);
    let Some(review) = game.review() else { return };
    let target = pictures.target();
    let scoreboard = target.and_then(|target| scoreboard::at(walk.reads(), &target, pictures, &game.cameras));
    let (question, _) = walk.open_step();
    let timing = open_step(walk, game, review)
        .and_then(|step| timing::timing(&game.book, (question, step), review, pictures, &game.cameras));
    walk.measured(scoreboard, timing);
}

/// Decodes and hashes the picture of a mark on another thread.
pub(super) fn shoot(target: Target, marked: Marked) -> Task<Message> {
    Task::perform(in_background(move || target.taken()), move |shot| {
        let shot = shot.unwrap_or_else(|_| Err(Unproven::Failed("the decoder failed".to_owned())));
        Message::Shot(Box::new(marked.clone()), shot)
    })
}
