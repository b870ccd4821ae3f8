//! An open game: its screen, its pictures, and what each message leads to.

use super::hands::{Hands, Next};
use super::pictures::Pictures;
use super::post::{Game, Post};
use super::screen::Screen;
use super::station::Station;
use super::viewing::Viewing;
use super::{Message, walk};
use iced::Task;
use iced::widget::operation::focus;
use review::stamp::Stamp;
use std::path::{Path, PathBuf};
use std::time::Duration;

/// An open game, with its review, and the screen that the official is on.
pub(super) struct InGame {
    pub(super) game: Game,
    pub(super) screen: Screen,
    /// The screen that the desk was opened over. It goes on as it was when the desk is left.
    beneath: Option<Screen>,
    pub(super) pictures: Pictures,
    /// The newest look at the pictures.
    viewing: Viewing,
}

/// The log and the time that a message is handled with.
pub(super) struct Moment<'a> {
    pub post: &'a mut Post,
    pub now: &'a Stamp,
    /// Since the previous message.
    pub elapsed: Duration,
}

impl InGame {
    pub(super) fn new(post: &Post, game: Game, now: &Stamp) -> InGame {
        let screen = Screen::fitting(post, &game, now);
        let pictures = Pictures::new(post.place.folder());
        let mut in_game = InGame { game, screen, beneath: None, pictures, viewing: Viewing::default() };
        in_game.recall(post);
        in_game
    }

    /// Opens a clip, or the clips of a folder as they are finished.
    pub(super) fn open_clips(&mut self, clips: PathBuf) {
        self.pictures.open(&[clips], &self.game.cameras);
    }

    /// How often to redraw without input: while a picture is being decoded, and while a limit runs.
    pub(super) fn clock_runs(&self, step: Duration) -> Option<Duration> {
        let limit = self.game.review().filter(|review| review.times.called.is_some() && !review.is_over());
        self.pictures.listens().into_iter().chain(limit.map(|_| step)).min()
    }

    /// The screen, and what it works with.
    pub(super) fn hands<'a>(&'a mut self, post: &'a mut Post, now: &'a Stamp) -> (&'a mut Screen, Hands<'a>) {
        let InGame { game, screen, pictures, viewing, .. } = self;
        (screen, Hands { post, game, pictures, viewing, now })
    }

    /// Handles one message; the toolkit runs the rest.
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
            Message::AtTheDesk => {
                self.open_the_desk();
                Task::none()
            }
            Message::Shot(marked, shot) => self.proven(moment, &folder, |hands| hands.mark(*marked, shot)),
            Message::Placed(placing) => self.proven(moment, &folder, |hands| hands.place(placing)),
            Message::Tied(tied) => self.proven(moment, &folder, |hands| hands.tie(tied)),
            message => {
                // The pointer moves often and changes no answer: nothing is measured again.
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

    /// Passes a message to its screen. A late click or key for a screen that has closed is ignored.
    fn on_screen(&mut self, message: Message, moment: &mut Moment<'_>) -> Next {
        let (screen, mut hands) = self.hands(moment.post, moment.now);
        match (screen, message) {
            (Screen::Before(screen), Message::Before(message)) => hands.before(screen, message),
            (Screen::Between(screen), Message::Between(message)) => hands.between(screen, message),
            (Screen::Challenge(screen), Message::Challenge(message)) => hands.challenge(screen, message),
            (Screen::Walk(screen), Message::Walk(message)) => hands.walk(screen, message),
            (Screen::Ruling(screen), Message::Ruling(message)) => hands.ruling(screen, message),
            (Screen::Penalties(screen), Message::Penalties(message)) => hands.penalties(screen, message),
            (Screen::Past(screen), Message::Ruling(message)) => hands.past(screen, message),
            (Screen::Brought(screen), Message::Brought(message)) => hands.brought(screen, message),
            (Screen::Referee(screen), Message::Referee(message)) => hands.referee(screen, message),
            (Screen::After(screen), Message::After(message)) => hands.after(screen, message),
            (Screen::Station(screen), Message::Station(message)) => hands.at_the_desk(screen, message),
            (Screen::End(screen), Message::End(message)) => hands.end(screen, message),
            (Screen::Card(screen), Message::Card(message)) => hands.card(screen, message),
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
            Next::Back => self.leave_the_desk(moment),
        }
    }

    /// Opens who sits at the desk and its cameras over the screen that is open.
    fn open_the_desk(&mut self) {
        if self.beneath.is_none() {
            let station = Screen::Station(Station::default());
            self.beneath = Some(std::mem::replace(&mut self.screen, station));
        }
    }

    /// Back from the desk to the screen that it was opened over, with its line in focus.
    fn leave_the_desk(&mut self, moment: &Moment<'_>) -> Task<Message> {
        let Some(screen) = self.beneath.take() else {
            self.settle(moment.post, moment.now);
            return Task::none();
        };
        self.screen = screen;
        self.measure(moment.post.place.folder());
        self.screen.line().map_or_else(Task::none, |line| focus(line.id))
    }

    /// Opens the screen that fits the state of game and review.
    pub(super) fn settle(&mut self, post: &Post, now: &Stamp) {
        self.screen = Screen::fitting(post, &self.game, now);
        self.beneath = None;
        self.recall(post);
    }

    /// Gives a new screen the review's ties, and the precedents in force whose facts recur in it.
    fn recall(&mut self, post: &Post) {
        self.tell_ties();
        if let Screen::Walk(walk) = &mut self.screen {
            super::left::recall(walk, post, &self.game);
        }
    }

    fn tell_ties(&mut self) {
        if let Some(review) = self.game.review() {
            self.pictures.tied(review.ties().collect());
        }
    }

    /// Moves running pictures, and holds them on screens that do not show them. A loop that begins again is another look,
    /// and so is a step that is opened during a run.
    fn tick(&mut self, folder: &Path, moment: &mut Moment<'_>) -> Task<Message> {
        let (screen, mut hands) = self.hands(moment.post, moment.now);
        let next = match screen {
            Screen::Walk(walk) => hands.run(walk, folder, moment.elapsed),
            Screen::Before(_)
            | Screen::Between(_)
            | Screen::Challenge(_)
            | Screen::Ruling(_)
            | Screen::Penalties(_)
            | Screen::Brought(_)
            | Screen::Referee(_)
            | Screen::After(_)
            | Screen::Station(_)
            | Screen::End(_)
            | Screen::Card(_)
            | Screen::Past(_) => {
                hands.pictures.hold();
                hands.pictures.tick(moment.elapsed);
                Next::Stay
            }
        };
        self.follow(next, moment)
    }

    /// Writes what was decoded and hashed in the background, and shows it on the walk or the ruling, under the desk too.
    /// Once the review is left, it is in the log and nothing is shown.
    fn proven(
        &mut self,
        moment: &mut Moment<'_>,
        folder: &Path,
        write: impl FnOnce(&mut Hands<'_>) -> super::placed::Written,
    ) -> Task<Message> {
        let InGame { game, screen, beneath, pictures, viewing } = self;
        let screen = beneath.as_mut().unwrap_or(screen);
        let mut hands = Hands { post: moment.post, game, pictures, viewing, now: moment.now };
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
            | Screen::Penalties(_)
            | Screen::Brought(_)
            | Screen::Referee(_)
            | Screen::After(_)
            | Screen::Station(_)
            | Screen::End(_)
            | Screen::Card(_)
            | Screen::Past(_) => Next::Stay,
        };
        let task = self.follow(next, moment);
        self.measure(folder);
        task
    }

    /// Measures the marks of the open step.
    fn measure(&mut self, folder: &Path) {
        self.tell_ties();
        if let Screen::Walk(walk) = &mut self.screen {
            super::seen::measure(walk, &self.game, &mut self.pictures, folder);
        }
    }
}
