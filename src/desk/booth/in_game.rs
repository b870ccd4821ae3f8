//! A game in hand: its screen, its pictures, and what each message leads to.

use super::hands::{Hands, Next};
use super::pictures::Pictures;
use super::post::{Game, Post};
use super::screen::Screen;
use super::viewing::Viewing;
use super::{Message, walk};
use iced::Task;
use review::stamp::Stamp;
use std::path::{Path, PathBuf};
use std::time::Duration;

/// A game in hand. The review that is held belongs to the game; the screen is the one that the official is on.
pub(super) struct InGame {
    pub(super) game: Game,
    pub(super) screen: Screen,
    pub(super) pictures: Pictures,
    /// What the newest look at them was of.
    viewing: Viewing,
}

/// The log that a message is handled with, and when.
pub(super) struct Moment<'a> {
    pub post: &'a mut Post,
    pub now: &'a Stamp,
    /// Since the message before.
    pub elapsed: Duration,
}

impl InGame {
    /// The game where it was left.
    pub(super) fn new(post: &Post, game: Game, now: &Stamp) -> InGame {
        let screen = Screen::fitting(post, &game, now);
        let pictures = Pictures::new(post.place.folder());
        let mut in_game = InGame { game, screen, pictures, viewing: Viewing::default() };
        in_game.recall(post);
        in_game
    }

    /// Opens clips, or the clips of a folder as they are finished.
    pub(super) fn open_clips(&mut self, clips: PathBuf) {
        self.pictures.open(&[clips], &self.game.cameras);
    }

    /// How often it must be drawn again by itself: while a picture is on its way, and while a limit runs.
    pub(super) fn clock_runs(&self, step: Duration) -> Option<Duration> {
        let limit = self.game.review().filter(|review| review.times.called.is_some() && !review.is_over());
        self.pictures.listens().into_iter().chain(limit.map(|_| step)).min()
    }

    /// What the screens work with, beside the screen.
    pub(super) fn hands<'a>(&'a mut self, post: &'a mut Post, now: &'a Stamp) -> (&'a mut Screen, Hands<'a>) {
        let InGame { game, screen, pictures, viewing } = self;
        (screen, Hands { post, game, pictures, viewing, now })
    }

    /// One message in; what is left to the toolkit out.
    pub(super) fn update(&mut self, message: Message, moment: &mut Moment<'_>) -> Task<Message> {
        let folder = moment.post.place.folder().to_owned();
        self.pictures.rests_on(super::tied::rests(&self.game), &self.game.cameras);
        match message {
            Message::Now => self.tick(&folder, moment),
            Message::Dropped(path) => {
                self.open_clips(path);
                Task::none()
            }
            Message::Pressed(chord) => match self.screen.pressed(chord, &self.pictures) {
                Some(message) => self.update(message, moment),
                None => Task::none(),
            },
            Message::Shot(marked, shot) => self.proven(moment, &folder, |hands| hands.mark(*marked, shot)),
            Message::Placed(placing) => self.proven(moment, &folder, |hands| hands.place(placing)),
            Message::Tied(tied) => self.proven(moment, &folder, |hands| hands.tie(tied)),
            message => {
                // The pointer over a picture moves often and answers nothing: nothing is measured anew.
                let measures = matches!(&message, Message::Walk(message) if !matches!(message, walk::Message::Pointed(_)));
                let next = self.on_screen(message, moment);
                let task = self.follow(next, moment);
                if measures {
                    self.measure(&folder);
                }
                task
            }
        }
    }

    /// A message of a screen goes to that screen. This is the one place for those that come late: a click or a key that
    /// was on its way to a screen which has closed since is of no screen any more.
    fn on_screen(&mut self, message: Message, moment: &mut Moment<'_>) -> Next {
        let (screen, mut hands) = self.hands(moment.post, moment.now);
        match (screen, message) {
            (Screen::Before(screen), Message::Before(message)) => hands.before(screen, message),
            (Screen::Between(screen), Message::Between(message)) => hands.between(screen, message),
            (Screen::Challenge(screen), Message::Challenge(message)) => hands.challenge(screen, message),
            (Screen::Walk(screen), Message::Walk(message)) => hands.walk(screen, message),
            (Screen::Ruling(screen), Message::Ruling(message)) => hands.ruling(screen, message),
            (Screen::Past(screen), Message::Ruling(message)) => hands.past(screen, message),
            (Screen::Referee(screen), Message::Referee(message)) => hands.referee(screen, message),
            (Screen::After(screen), Message::After(message)) => hands.after(screen, message),
            (_, _late) => Next::Stay,
        }
    }

    fn follow(&mut self, next: Next, moment: &Moment<'_>) -> Task<Message> {
        match next {
            Next::Stay => Task::none(),
            Next::Run(task) => task,
            Next::Settle => {
                self.settle(moment.post, moment.now);
                Task::none()
            }
            Next::Open(screen, task) => {
                self.screen = screen;
                task
            }
        }
    }

    /// To the screen that fits where the game and the review are.
    pub(super) fn settle(&mut self, post: &Post, now: &Stamp) {
        self.screen = Screen::fitting(post, &self.game, now);
        self.recall(post);
    }

    /// What a new screen is shown with: the ties of the review, and precedents in force whose facts recur in it.
    fn recall(&mut self, post: &Post) {
        self.tell_ties();
        if let Screen::Walk(walk) = &mut self.screen {
            super::left::recall(walk, post, &self.game);
        }
    }

    /// Tells the pictures which ties stand.
    fn tell_ties(&mut self) {
        if let Some(review) = self.game.review() {
            self.pictures.tied(review.ties().collect());
        }
    }

    /// Running pictures move; a loop that begins again is another look, and so is a step that is shown in the midst of a
    /// run. Where they are not shown, they rest.
    fn tick(&mut self, folder: &Path, moment: &mut Moment<'_>) -> Task<Message> {
        let (screen, mut hands) = self.hands(moment.post, moment.now);
        let next = match screen {
            Screen::Walk(walk) => hands.run(walk, folder, moment.elapsed),
            Screen::Before(_)
            | Screen::Between(_)
            | Screen::Challenge(_)
            | Screen::Ruling(_)
            | Screen::Referee(_)
            | Screen::After(_)
            | Screen::Past(_) => {
                hands.pictures.hold();
                hands.pictures.tick(moment.elapsed);
                Next::Stay
            }
        };
        self.follow(next, moment)
    }

    /// What was decoded and hashed in the background is written, and shown where its review still is. This is the one
    /// place for proofs that come late: once the review is left, what was written stands in the log and nothing is shown.
    fn proven(
        &mut self,
        moment: &mut Moment<'_>,
        folder: &Path,
        write: impl FnOnce(&mut Hands<'_>) -> super::placed::Written,
    ) -> Task<Message> {
        let (screen, mut hands) = self.hands(moment.post, moment.now);
        let written = write(&mut hands);
        let next = match screen {
            Screen::Walk(walk) => hands.proven_on_walk(walk, written),
            Screen::Ruling(ruling) => {
                hands.proven_on_ruling(ruling, written);
                Next::Stay
            }
            Screen::Before(_)
            | Screen::Between(_)
            | Screen::Challenge(_)
            | Screen::Referee(_)
            | Screen::After(_)
            | Screen::Past(_) => Next::Stay,
        };
        let task = self.follow(next, moment);
        self.measure(folder);
        task
    }

    /// What the marks of the open step say, once they were set in clips.
    fn measure(&mut self, folder: &Path) {
        self.tell_ties();
        if let Screen::Walk(walk) = &mut self.screen {
            super::seen::measure(walk, &self.game, &mut self.pictures, folder);
        }
    }
}
