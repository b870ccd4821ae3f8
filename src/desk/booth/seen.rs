//! What is seen: running pictures, marks set in them, and what those marks measure.

use super::pictures::{Taken, Target};
use super::{Booth, Message, Pane, scoreboard, timing, walk};
use crate::frame::Unproven;
use iced::Task;
use iced::futures::channel::oneshot;
use std::time::Duration;
use tellframe::review::decide::Command;
use tellframe::review::event::Marked;
use tellframe::review::stamp::Stamp;

impl Booth {
    /// Running pictures move; a loop that begins again is another look.
    pub(super) fn tick(&mut self, before: &Stamp) -> Task<Message> {
        let elapsed = self.now.since(before).map_or(0, |elapsed| elapsed.ms());
        self.tell_marked();
        if self.pictures.asks_nothing() {
            self.tell_pictures();
        }
        match self.pictures.tick(Duration::from_millis(elapsed)) {
            Some(look) => self.walk(walk::Message::Looked(look)),
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
        let task = self.written(Command::Mark(marked), done);
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
