//! The booth: one game, its log, the review in hand, and the screen that fits where it is.

mod after;
mod asked;
mod before;
mod between;
mod board;
mod challenge;
mod context;
mod evidence;
mod header;
mod keyed;
mod left;
mod pictures;
mod placed;
mod play_text;
mod post;
mod price;
mod referee;
mod rehearsal;
mod ruling;
mod scoreboard;
mod seen;
mod shown;
mod situation_line;
#[cfg(test)]
mod tests;
mod tied;
mod timing;
mod typed;
mod viewing;
mod walk;
mod walked;

use super::Opening;
use super::keys::Chord;
use super::stills;
use after::After;
use before::Before;
use between::Between;
use challenge::Challenge;
use iced::Task;
use iced::widget::operation::{focus, focus_next};
use log::store::location::Location;
use pictures::{Pictures, Taken};
use post::{Post, Undone};
use referee::Referee;
use review::event::{Marked, Tied};
use review::fold::Phase;
use review::placing::Placing;
use review::stamp::Stamp;
use rules::game::situation::Situation;
use ruling::Ruling;
use std::path::PathBuf;
use std::time::Duration;
use typed::Ground;
use viewing::Viewing;
use walk::Walk;

/// How often a running limit is drawn anew.
const CLOCK_STEP: Duration = Duration::from_millis(200);

/// The booth's state.
pub(crate) struct Booth {
    post: Result<Post, String>,
    pane: Pane,
    pictures: Pictures,
    /// What the newest look at them was of.
    viewing: Viewing,
    /// Pixels of the window.
    window: Option<(u32, u32)>,
    place: Location,
    now: Stamp,
}

/// How a command of the walk came about.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Came {
    /// By a key, a click, or the line that was typed: it closes that line.
    ByHand,
    /// By itself, while other things may be typed: what ran on, what was proven in the background.
    ByItself,
}

/// Where the official is.
enum Pane {
    /// Before the game.
    Before(Before),
    /// Between plays.
    Between(Between),
    /// A review is asked for.
    Challenge(Box<Challenge>),
    /// In a review that is open.
    Walk(Box<Walk>),
    /// The ruling is weighed, signed, read back, announced.
    Ruling(Box<Ruling>),
    /// What the book leaves to the referee.
    Referee(Box<Referee>),
    /// The log of the game.
    After(After),
    /// A review of the log, as it ended.
    Past(Box<Ruling>),
}

/// What can happen in the booth.
#[derive(Debug, Clone)]
pub(crate) enum Message {
    /// A key that no line to type in took.
    Pressed(Chord),
    /// Time went on.
    Now,
    /// Files or folders were dropped on the window.
    Dropped(PathBuf),
    /// So many pixels has the window.
    Room((u32, u32)),
    /// A mark's very picture was decoded and hashed, or was not.
    Shot(Box<Marked>, Result<Taken, host::frame::Unproven>),
    /// The pictures of a measured point were proven, as far as they could be.
    Placed(Result<Box<Placing>, String>),
    /// The two pictures of a tie were proven, as far as they could be.
    Tied(Result<Box<Tied>, String>),
    /// Before the game.
    Before(before::Message),
    /// Between plays.
    Between(between::Message),
    /// On the challenge.
    Challenge(challenge::Message),
    /// On the walk.
    Walk(walk::Message),
    /// On the ruling.
    Ruling(ruling::Message),
    /// On the referee's own ruling.
    Referee(referee::Message),
    /// On the log of the game.
    After(after::Message),
}

impl Booth {
    /// The booth over the log of a place, where it was left. With a rehearsal its challenge is begun, unless one was
    /// left.
    pub(crate) fn open(opening: &Opening, now: Stamp) -> Booth {
        let mut post = Post::open(&opening.place, &now);
        if let (Some(script), Ok(opened)) = (&opening.rehearsal, &mut post)
            && let Err(undone) = rehearsal::begin(opened, script, &now)
        {
            post = Err(told(undone));
        }
        if let (Some(_), Ok(Post { game: Some(game), .. })) = (&opening.rehearsal, &post) {
            rehearsal::hall_landmarks(opening.place.folder(), &game.book.field);
        }
        let mut pictures = Pictures::new(opening.place.folder());
        if let (Some(clips), Ok(Post { game: Some(game), .. })) = (&opening.clips, &post) {
            pictures.open(std::slice::from_ref(clips), &game.cameras);
        }
        let mut booth = Booth {
            post,
            pane: Pane::Before(Before::new()),
            pictures,
            viewing: Viewing::default(),
            window: None,
            place: opening.place.clone(),
            now,
        };
        booth.settle_pane();
        if booth.post.as_ref().is_ok_and(|post| post.referee().is_some())
            && let Err(fault) = booth.open_referee()
        {
            booth.post = Err(fault);
        }
        booth
    }

    /// Where typing begins on the screen that is open.
    pub(crate) fn begin_typing(&self) -> Task<Message> {
        match &self.pane {
            Pane::Before(_) if self.post.as_ref().is_ok_and(|post| post.game.is_none()) => {
                focus(before::line_id(0))
            }
            Pane::Challenge(_) => focus(challenge::line_id()),
            Pane::Before(_)
            | Pane::Between(_)
            | Pane::Walk(_)
            | Pane::Ruling(_)
            | Pane::Referee(_)
            | Pane::After(_)
            | Pane::Past(_) => Task::none(),
        }
    }

    /// What stands above the window.
    pub(crate) fn title(&self) -> &'static str {
        match &self.pane {
            Pane::Before(_) => "before the game",
            Pane::Between(_) => "between plays",
            Pane::Challenge(_) => "challenge",
            Pane::Walk(_) => "review",
            Pane::Ruling(_) | Pane::Past(_) => "ruling",
            Pane::Referee(_) => "the referee's own ruling",
            Pane::After(_) => "the log of the game",
        }
    }

    /// How often the screen must be drawn again by itself: while a picture is on its way, and while a limit runs.
    pub(crate) fn clock_runs(&self) -> Option<Duration> {
        let limit = || {
            let review = self.post.as_ref().ok()?.review()?;
            (review.times.called.is_some() && !review.is_over()).then_some(CLOCK_STEP)
        };
        self.pictures.listens().into_iter().chain(limit()).min()
    }

    /// The screen that fits where the game and the review are.
    fn settle_pane(&mut self) {
        let Ok(post) = &self.post else { return };
        let Some(game) = &post.game else { return };
        self.pane = match (post.review(), post.day()) {
            (Some(review), _) => match review.phase {
                Phase::Open => Pane::Walk(Box::new(Walk::new(&game.book, &game.names, review))),
                Phase::Ruled
                | Phase::ReadyToAnnounce
                | Phase::Announced
                | Phase::Withdrawn
                | Phase::CutShort => {
                    let ruling = Ruling::new(&game.book, &game.names, review, &self.now);
                    Pane::Ruling(Box::new(ruling.with(stills::kept(&post.stills(review)))))
                }
                Phase::New | Phase::Called | Phase::Refused | Phase::Admitted => match review.situation() {
                    Some(at) => {
                        let ground = Ground { field: &game.book.field, names: &game.names, situation: &at };
                        Pane::Challenge(Box::new(Challenge::resumed(&game.book, review, ground)))
                    }
                    None => Pane::Challenge(Box::new(Challenge::new(post.plays()))),
                },
            },
            (None, Some(day)) if day.situation().is_none() => Pane::Before(Before::new()),
            (None, Some(_)) => Pane::Between(Between::default()),
            (None, None) => Pane::Before(Before::new()),
        };
        self.tell_ties();
        self.recall();
    }

    /// One message in; what is left to the toolkit out.
    pub(crate) fn update(&mut self, message: Message, now: Stamp) -> Task<Message> {
        let before = std::mem::replace(&mut self.now, now);
        self.tell_rests();
        match message {
            Message::Now => self.tick(&before),
            Message::Dropped(path) => {
                if let Ok(Post { game: Some(game), .. }) = &self.post {
                    self.pictures.open(&[path], &game.cameras);
                }
                Task::none()
            }
            Message::Room(window) => {
                self.window = Some(window);
                Task::none()
            }
            Message::Shot(marked, shot) => {
                let task = self.marked(*marked, shot);
                self.measure();
                task
            }
            Message::Placed(placing) => self.placed(placing),
            Message::Tied(tied) => self.tied(tied),
            Message::Pressed(chord) => match self.pressed(chord) {
                Some(message) => self.update(message, self.now.clone()),
                None => Task::none(),
            },
            Message::Before(message) => self.before(message),
            Message::Between(message) => self.between(message),
            Message::Challenge(message) => self.challenge(message),
            Message::Walk(message) => {
                // The pointer over a picture moves often and answers nothing: nothing is measured anew.
                let is_pointer = matches!(message, walk::Message::Pointed(_));
                let task = self.walk(message);
                if !is_pointer {
                    self.measure();
                }
                task
            }
            Message::Ruling(message) => self.ruling(message),
            Message::Referee(message) => self.referee(message),
            Message::After(message) => self.after(message),
        }
    }

    fn before(&mut self, message: before::Message) -> Task<Message> {
        let (Pane::Before(before), Ok(post)) = (&mut self.pane, &mut self.post) else { return Task::none() };
        match before.update(message, post.day()) {
            before::Action::None => Task::none(),
            before::Action::NextLine => focus_next(),
            before::Action::Do(command) => {
                if let Err(undone) = post.day_act(command, &self.now) {
                    before.wrong = Some(told(undone));
                }
                Task::none()
            }
            before::Action::Open { card, book } => {
                match post.open_game(card, &book, &self.now) {
                    Ok(()) => *before = Before::new(),
                    Err(undone) => before.wrong = Some(told(undone)),
                }
                Task::none()
            }
            before::Action::On => {
                self.pane = Pane::Between(Between::default());
                Task::none()
            }
            before::Action::After => self.show_log(),
        }
    }

    fn between(&mut self, message: between::Message) -> Task<Message> {
        let (Pane::Between(between), Ok(post)) = (&mut self.pane, &mut self.post) else {
            return Task::none();
        };
        let (Some(game), Some(day)) = (&post.game, post.day()) else { return Task::none() };
        let situation = day.situation().unwrap_or_else(|| post::blank(&game.book));
        let ground = Ground { field: &game.book.field, names: &game.names, situation: &situation };
        match between.update(message, between::Known { book: &game.book, day, ground }) {
            between::Action::None => Task::none(),
            between::Action::Focus(id) => focus(id),
            between::Action::Do(command) => {
                match post.day_act(command, &self.now) {
                    Ok(()) => between.done(),
                    Err(Undone::No(no)) => between.refused(&no.because, &no.instead),
                    Err(Undone::Fault(fault)) => between.refused(&fault, "nothing was written"),
                }
                Task::none()
            }
            between::Action::Challenge => {
                self.pane = Pane::Challenge(Box::new(Challenge::new(post.plays())));
                Task::none()
            }
            between::Action::Before => {
                self.pane = Pane::Before(Before::new());
                Task::none()
            }
            between::Action::After => self.show_log(),
            between::Action::Referee => {
                let opened = self.open_referee();
                if let (Err(because), Pane::Between(between)) = (opened, &mut self.pane) {
                    between.told = Some(because);
                }
                Task::none()
            }
        }
    }

    fn ruling(&mut self, message: ruling::Message) -> Task<Message> {
        let Ok(post) = &mut self.post else { return Task::none() };
        let Some(game) = &post.game else { return Task::none() };
        let situation = post.review().and_then(|review| review.situation());
        let situation = situation.unwrap_or_else(|| post::blank(&game.book));
        let ground = Ground { field: &game.book.field, names: &game.names, situation: &situation };
        if let Pane::Past(ruling) = &mut self.pane {
            let back = matches!(message, ruling::Message::Act(ruling::Act::On | ruling::Act::Back));
            ruling.update(message, ground);
            return if back { self.show_log() } else { Task::none() };
        }
        let Pane::Ruling(ruling) = &mut self.pane else { return Task::none() };
        match ruling.update(message, ground) {
            ruling::Action::None => {}
            ruling::Action::Focus(id) => return focus(id),
            ruling::Action::Walk => self.settle_pane(),
            ruling::Action::Referee => {
                let opened = self.open_referee();
                if let (Err(because), Pane::Ruling(ruling)) = (opened, &mut self.pane) {
                    ruling.told = Some((because, "the walk says what the pictures show".to_owned()));
                }
            }
            ruling::Action::Over => match post.end_review(&self.now) {
                Ok(()) => self.settle_pane(),
                Err(undone) => ruling.told = Some((told(undone), "try again".to_owned())),
            },
            ruling::Action::Do(command) => match post.act(command, &self.now) {
                Ok(()) => {
                    if let (Some(game), Some(review)) = (&post.game, post.review()) {
                        ruling.refresh(&game.book, &game.names, review, &self.now);
                    }
                }
                Err(Undone::No(no)) => ruling.told = Some((no.because, no.instead)),
                Err(Undone::Fault(fault)) => {
                    ruling.told = Some((fault, "nothing was written; try again".to_owned()));
                }
            },
        }
        Task::none()
    }

    fn show_log(&mut self) -> Task<Message> {
        if let Ok(post) = &self.post
            && let (Some(game), Some(day)) = (&post.game, post.day())
        {
            self.pane = Pane::After(After::new(day, &game.names));
        }
        Task::none()
    }

    fn after(&mut self, message: after::Message) -> Task<Message> {
        let (Pane::After(after), Ok(post)) = (&mut self.pane, &mut self.post) else { return Task::none() };
        match after.update(message) {
            after::Action::None => {}
            after::Action::Back => self.settle_pane(),
            after::Action::Open(id) => match (post.past(&id), &post.game) {
                (Ok(review), Some(game)) => {
                    let ruling = Ruling::new(&game.book, &game.names, &review, &self.now);
                    let stills = stills::kept(&post.stills(&review));
                    self.pane = Pane::Past(Box::new(ruling.with(stills)));
                }
                (Ok(_), None) => {}
                (Err(fault), _) => after.told = Some(fault),
            },
            after::Action::Print(id) => after.told = Some(post.print(&id).unwrap_or_else(|fault| fault)),
            after::Action::Export => after.told = Some(post.export().unwrap_or_else(|fault| fault)),
        }
        Task::none()
    }

    /// The situation that the screen is about.
    fn situation(&self) -> Option<Situation> {
        let post = self.post.as_ref().ok()?;
        match (&self.pane, post.review()) {
            (Pane::Challenge(challenge), None) => challenge.plays.first().map(|(_, at)| *at),
            (_, Some(review)) => review.situation(),
            (_, None) => post.day()?.situation(),
        }
    }
}

/// What was not done, in a line.
fn told(undone: Undone) -> String {
    match undone {
        Undone::No(no) => format!("{}; {}", no.because, no.instead),
        Undone::Fault(fault) => fault,
    }
}
