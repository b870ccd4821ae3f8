//! The booth: one game, its log, the review in hand, and the screen that fits where it is.

mod after;
mod asked;
mod before;
mod between;
mod board;
mod brought;
mod card;
mod challenge;
mod context;
mod days;
mod end;
mod evidence;
mod games;
mod hands;
mod header;
mod in_game;
mod keyed;
mod left;
mod penalties;
mod pictures;
mod placed;
mod play_text;
mod player;
mod post;
mod price;
mod referee;
mod rehearsal;
mod ruling;
mod scoreboard;
mod screen;
mod seen;
mod shown;
mod situation_line;
mod station;
#[cfg(test)]
mod tests;
mod tied;
mod timing;
mod typed;
mod undone;
mod viewing;
mod walk;
mod walked;

use self::card::Card;
use self::games::Games;
use self::in_game::{InGame, Moment};
use self::placed::OtherFile;
use self::post::{Game, Post};
use self::undone::Undone;
use super::Opening;
use super::keys::Chord;
use iced::Task;
use iced::widget::operation::{focus, focus_next};
use log::store::location::Location;
use pictures::Taken;
use review::day::fold::{Day, Ended, Phase};
use review::event::{Marked, Tied};
use review::placing::Placing;
use review::stamp::Stamp;
use screen::Screen;
use std::path::PathBuf;
use std::time::Duration;

/// Redraw interval while a limit runs.
const CLOCK_STEP: Duration = Duration::from_millis(200);

pub(crate) struct Booth {
    state: State,
    place: Location,
    /// Window size in pixels.
    window: Option<(u32, u32)>,
    now: Stamp,
}

/// Whether the log can be used.
enum State {
    /// The log cannot be opened or verified, or its game cannot go on. The window shows why.
    Broken(Undone),
    Held(Box<Held>),
}

/// The log, and the game that is open in it.
struct Held {
    post: Post,
    at: At,
}

enum At {
    /// No game is open; its card is being filled in.
    NoGame(Box<Card>),
    /// No game is open; one of those that were closed may be reopened.
    Games(Box<Games>),
    Game(Box<InGame>),
}

/// What caused a command of the walk.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Came {
    /// A key, a click, or the line that was typed. It closes that line.
    ByHand,
    /// A timer or a proof in the background, while other things may be typed.
    ByItself,
}

#[derive(Debug, Clone)]
pub(crate) enum Message {
    /// A key that no text line took.
    Pressed(Chord),
    Now,
    Dropped(PathBuf),
    /// Window size in pixels.
    Room((u32, u32)),
    /// The exact picture of a mark was decoded and hashed, or was not.
    Shot(Box<Marked>, Result<Taken, host::frame::Unproven>),
    /// The pictures of a measured point were proven, as far as possible.
    Placed(Result<Box<Placing>, OtherFile>),
    /// The two pictures of a tie were proven, as far as possible.
    Tied(Result<Box<Tied>, OtherFile>),
    Card(card::Message),
    Before(before::Message),
    Between(between::Message),
    Challenge(challenge::Message),
    Walk(walk::Message),
    Ruling(ruling::Message),
    Penalties(penalties::Message),
    /// Opens who sits at the desk, and its cameras, over the open screen.
    AtTheDesk,
    Brought(brought::Message),
    Referee(referee::Message),
    After(after::Message),
    Station(station::Message),
    End(end::Message),
    Games(games::Message),
}

impl Booth {
    /// Opens the booth on the log of a place, where it was left. A rehearsal begins its challenge unless one was left.
    pub(crate) fn open(opening: &Opening, now: Stamp) -> Booth {
        let state = match Held::open(opening, &now) {
            Ok(held) => State::Held(Box::new(held)),
            Err(undone) => State::Broken(undone),
        };
        Booth { state, place: opening.place.clone(), window: None, now }
    }

    /// Focuses the text line of the open screen, if it has one.
    pub(crate) fn begin_typing(&self) -> Task<Message> {
        match &self.state {
            State::Broken(_) => Task::none(),
            State::Held(held) => match &held.at {
                At::NoGame(_) => focus(card::line_id(0)),
                At::Games(_) => Task::none(),
                At::Game(game) => game.screen.line().map_or_else(Task::none, |line| focus(line.id)),
            },
        }
    }

    pub(crate) fn title(&self) -> &'static str {
        match &self.state {
            State::Held(held) => match &held.at {
                At::Game(game) => game.screen.title(),
                At::Games(_) => "the games of the log",
                At::NoGame(_) => "before the game",
            },
            State::Broken(_) => "before the game",
        }
    }

    /// Redraw interval while a clock runs on the screen.
    pub(crate) fn clock_runs(&self) -> Option<Duration> {
        self.in_game()?.clock_runs(CLOCK_STEP)
    }

    fn in_game(&self) -> Option<&InGame> {
        match &self.state {
            State::Held(held) => match &held.at {
                At::Game(game) => Some(game),
                At::NoGame(_) | At::Games(_) => None,
            },
            State::Broken(_) => None,
        }
    }

    /// Takes one message and returns a task for the toolkit. With a broken log only the window size is used.
    pub(crate) fn update(&mut self, message: Message, now: Stamp) -> Task<Message> {
        let before = std::mem::replace(&mut self.now, now);
        if let Message::Room(window) = message {
            self.window = Some(window);
            return Task::none();
        }
        match &mut self.state {
            State::Broken(_) => Task::none(),
            State::Held(held) => {
                let elapsed = self.now.since(&before).map_or(0, |elapsed| elapsed.ms());
                held.update(message, &self.now, Duration::from_millis(elapsed))
            }
        }
    }
}

impl Held {
    fn open(opening: &Opening, now: &Stamp) -> Result<Held, Undone> {
        let (mut post, mut game) = Post::open(&opening.place, now)?;
        if let Some(script) = &opening.rehearsal {
            game = Some(rehearsal::begin(&mut post, game, script, now)?);
        }
        let Some(game) = game else { return Ok(Held { post, at: At::NoGame(Box::new(Card::new())) }) };
        if opening.rehearsal.is_some() {
            rehearsal::write_landmarks(opening.place.folder(), &game.book.field);
        }
        let at = At::Game(Box::new(Held::resume(&mut post, game, opening.clips.clone(), now)?));
        Ok(Held { post, at })
    }

    /// Resumes a game where it was left: on the referee's own ruling, if one is held.
    fn resume(post: &mut Post, game: Game, clips: Option<PathBuf>, now: &Stamp) -> Result<InGame, Undone> {
        let mut game = InGame::new(post, game, now);
        if let Some(clips) = clips {
            game.open_clips(clips);
        }
        if game.game.referee().is_some() {
            let (screen, mut hands) = game.hands(post, now);
            *screen = hands.open_referee(None)?;
        }
        Ok(game)
    }

    fn update(&mut self, message: Message, now: &Stamp, elapsed: Duration) -> Task<Message> {
        let Held { post, at } = self;
        match at {
            At::Game(game) => {
                let task = game.update(message, &mut Moment { post, now, elapsed });
                // The next game of the evening has a card of its own.
                let day = game.game.day();
                if day.phase == Phase::Closed {
                    *at = At::NoGame(Box::new(Card::after(announced(day))));
                }
                task
            }
            At::Games(games) => {
                let message = match message {
                    Message::Pressed(chord) => games.pressed(chord),
                    message => Some(message),
                };
                let Some(Message::Games(message)) = message else { return Task::none() };
                match games.update(message) {
                    games::Action::None => Task::none(),
                    games::Action::Focus(id) => focus(id),
                    games::Action::Back => {
                        *at = At::NoGame(Box::new(Card::new()));
                        focus(card::line_id(0))
                    }
                    games::Action::Reopen(game, reason) => {
                        match post.reopen(&game, reason, now) {
                            Ok(game) => *at = At::Game(Box::new(InGame::new(post, game, now))),
                            Err(undone) => games.refuse(undone.to_string()),
                        }
                        Task::none()
                    }
                }
            }
            At::NoGame(card) => {
                let message = match message {
                    Message::Pressed(chord) => keyed::act(card::KEYS, chord, false).map(card::Message::Act),
                    Message::Card(message) => Some(message),
                    Message::Dropped(_) => {
                        card.refuse("open the game first: its cameras name the clips".to_owned());
                        None
                    }
                    // Messages of a game: none is open yet.
                    _of_a_game => None,
                };
                let action = message.map_or(card::Action::None, |message| card.update(message));
                match action {
                    card::Action::None | card::Action::Back => Task::none(),
                    card::Action::Games => {
                        match post.closed_games() {
                            Ok(rows) => *at = At::Games(Box::new(Games::new(rows))),
                            Err(fault) => card.refuse(fault.line()),
                        }
                        Task::none()
                    }
                    card::Action::NextLine => focus_next(),
                    card::Action::Open(game, book) => {
                        match post.open_game(*game, &book, now) {
                            Ok(game) => *at = At::Game(Box::new(InGame::new(post, game, now))),
                            Err(undone) => card.refuse(undone.to_string()),
                        }
                        Task::none()
                    }
                }
            }
        }
    }
}

/// What is announced of a game that ended early.
fn announced(day: &Day) -> Option<String> {
    match &day.end {
        Some(Ended::Early { words, .. }) => Some(words.clone()),
        Some(Ended::Played) | None => None,
    }
}
