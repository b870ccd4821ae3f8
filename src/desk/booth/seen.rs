//! What is seen: running pictures, marks set in them, and what those marks measure.

use super::pictures::{self, Taken, Target};
use super::viewing::Subject;
use super::{Booth, Came, Message, Pane, scoreboard, timing, walk};
use host::frame::Unproven;
use iced::Task;
use iced::futures::channel::oneshot;
use review::decide::Command;
use review::event::Marked;
use review::stamp::Stamp;
use rules::book::tree::Looks;
use std::time::Duration;

impl Booth {
    /// Running pictures move; a loop that begins again is another look, and so is a step that is shown in the midst of a
    /// run. Where they are not shown, they rest.
    pub(super) fn tick(&mut self, before: &Stamp) -> Task<Message> {
        let elapsed = Duration::from_millis(self.now.since(before).map_or(0, |elapsed| elapsed.ms()));
        if !matches!(self.pane, Pane::Walk(_)) {
            self.pictures.hold();
        }
        if self.pictures.asks_nothing() {
            self.tell_pictures();
        }
        let ran = if self.pictures.runs() { self.pictures.looks() } else { None };
        let again = self.pictures.tick(elapsed);
        let look = match (again, ran.and_then(|kind| self.subject(kind))) {
            (Some(kind), Some(on)) => {
                self.viewing.looked(on);
                Some(kind)
            }
            (None, Some(on)) => {
                let kind = on.kind;
                self.viewing.ran(on, elapsed).then_some(kind)
            }
            (_, None) => None,
        };
        match look {
            Some(kind) => self.look(kind),
            None => Task::none(),
        }
    }

    /// What is looked at, where pictures that move in this way are shown.
    pub(super) fn subject(&self, kind: Looks) -> Option<Subject> {
        let Pane::Walk(walk) = &self.pane else { return None };
        Some(Subject { question: walk.question, step: walk.step, camera: self.pictures.in_hand(), kind })
    }

    /// The pictures were moved by a key: which look begins with it, if one does.
    pub(super) fn moved(&mut self, act: pictures::Act, begins: Option<Looks>) -> Option<Looks> {
        let steps = matches!(act, pictures::Act::Step(_));
        let kind = begins.or_else(|| self.pictures.looks().filter(|_| steps))?;
        let on = self.subject(kind)?;
        match begins {
            Some(_) => {
                self.viewing.looked(on);
                Some(kind)
            }
            None => self.viewing.stepped(on).then_some(kind),
        }
    }

    /// Books a look at what is shown. It comes of the pictures, so the line that is typed stays.
    pub(super) fn look(&mut self, kind: Looks) -> Task<Message> {
        let (Pane::Walk(walk), Ok(post)) = (&self.pane, &self.post) else { return Task::none() };
        let Some(game) = &post.game else { return Task::none() };
        match walk.look((self.pictures.in_hand(), &game.cameras), Some(kind)) {
            Some(look) => self.walked(Command::Look(look), Came::ByItself),
            None => Task::none(),
        }
    }

    /// What the marks of the open step say, once they were set in clips.
    pub(super) fn measure(&mut self) {
        self.tell_ties();
        self.tell_pictures();
        let (Pane::Walk(walk), Ok(post)) = (&mut self.pane, &self.post) else { return };
        let (Some(game), Some(review)) = (&post.game, post.review()) else { return };
        let target = self.pictures.target();
        walk.scoreboard =
            target.and_then(|target| scoreboard::at(&walk.reads, &target, &self.pictures, &game.cameras));
        let asked = review.questions.get(walk.question);
        let step = asked.and_then(|asked| game.book.tree(&asked.tree)?.steps.get(walk.step));
        walk.timing = step.and_then(|step| {
            timing::timing(&game.book, (walk.question, step), review, &self.pictures, &game.cameras)
        });
    }

    /// A mark with its very picture and a still of it; without the picture, as a typed mark is. Nothing is marked in a file
    /// that is not the one that was looked at.
    pub(super) fn marked(&mut self, marked: Marked, taken: Result<Taken, Unproven>) -> Task<Message> {
        let (shot, still, failed) = match taken {
            Ok(Taken { shot, still: Ok(still) }) => (Some(shot), Some(still), None),
            Ok(Taken { shot, still: Err(why) }) => {
                let because = format!("no still was kept: {why}");
                (Some(shot), None, Some((because, "the mark stands, with the hash of its picture")))
            }
            Err(Unproven::Changed(why)) => {
                return self.not_of_this_file(format!("{}: {why}", marked.mark.camera));
            }
            Err(Unproven::Failed(why)) => {
                let because = format!("the picture could not be proven: {why}");
                (None, None, Some((because, "the mark stands as a typed one")))
            }
        };
        let marked = Marked { shot, ..marked };
        let Ok(post) = &mut self.post else { return Task::none() };
        let done = post.mark(marked.clone(), still, &self.now);
        let is_kept = done.is_ok();
        let task = self.written(Command::Mark(marked), done, Came::ByItself);
        if !is_kept {
            return task;
        }
        if let (Pane::Walk(walk), Some((because, instead))) = (&mut self.pane, failed) {
            walk.told = Some(walk::Told::No { because, instead: instead.to_owned() });
        }
        task
    }
}

impl Booth {
    /// Says why nothing was written of a file that changed; its pane shows nothing of it any more.
    pub(super) fn not_of_this_file(&mut self, because: String) -> Task<Message> {
        self.pictures.check_files();
        if let Pane::Walk(walk) = &mut self.pane {
            let instead = "nothing was written; the file is opened again, so look at it and do it anew";
            walk.told = Some(walk::Told::No { because, instead: instead.to_owned() });
        }
        Task::none()
    }
}

/// Decodes and hashes the picture of a mark, away from the window.
pub(super) fn shoot(target: Target, marked: Marked) -> Task<Message> {
    let (to, shot) = oneshot::channel();
    std::thread::spawn(move || {
        // A window that was closed meanwhile waits for nothing.
        let _ = to.send(target.taken());
    });
    Task::perform(shot, move |shot| {
        let shot = shot.unwrap_or_else(|_| Err(Unproven::Failed("the decoder failed".to_owned())));
        Message::Shot(Box::new(marked.clone()), shot)
    })
}
