//! The screens of a game: which one fits, what a key means there, which line is typed.

use super::Message;
use super::after::{self, After};
use super::before::{self, Before};
use super::between::{self, Between};
use super::brought::{self, Brought};
use super::card::{self, Card};
use super::challenge::{self, Challenge};
use super::end::{self, Ending};
use super::keyed::{Line, act};
use super::penalties::{self, Penalties};
use super::pictures::{self, Pictures};
use super::post::{Game, Post};
use super::referee::{self, Referee};
use super::ruling::{self, Ruling};
use super::station::{self, Station};
use super::walk::{self, Walk};
use crate::key_card;
use crate::keys;
use crate::keys::Chord;
use crate::stills;
use iced::widget::Id;
use review::fold::{Phase, Review};
use review::stamp::Stamp;

/// The screen that the official is on.
#[derive(Debug)]
pub(super) enum Screen {
    Before(Before),
    Between(Between),
    Challenge(Box<Challenge>),
    Walk(Box<Walk>),
    Ruling(Box<Ruling>),
    Penalties(Box<Penalties>),
    /// A play is brought to the referee: which question it is about.
    Brought(Box<Brought>),
    Referee(Box<Referee>),
    After(After),
    Station(Station),
    End(Ending),
    /// The card of the open game, to be corrected.
    Card(Box<Card>),
    /// A review of the log, as it ended.
    Past(Box<Ruling>),
}

impl Screen {
    /// The screen that fits the state of game and review.
    pub(super) fn fitting(post: &Post, game: &Game, now: &Stamp) -> Screen {
        let Some(review) = game.review() else {
            return match game.day().situation() {
                None => Screen::Before(Before::default()),
                Some(_) => Screen::Between(Between::default()),
            };
        };
        match review.phase {
            Phase::Open => Screen::Walk(Box::new(Walk::new(game.desk(), review, now))),
            Phase::Ruled | Phase::ReadyToAnnounce | Phase::Announced | Phase::Withdrawn | Phase::CutShort => {
                Screen::Ruling(ruling(post, game, review, now))
            }
            Phase::New | Phase::Called | Phase::Refused | Phase::Admitted => {
                Screen::Challenge(Box::new(match review.situation() {
                    Some(at) => Challenge::resumed(&game.book, review, game.ground(&at), game.ran()),
                    None => Challenge::new(game.plays()),
                }))
            }
        }
    }

    /// Title of the window.
    pub(super) fn title(&self) -> &'static str {
        match self {
            Screen::Before(_) => "before the game",
            Screen::Between(_) => "between plays",
            Screen::Challenge(_) => "challenge",
            Screen::Walk(_) => "review",
            Screen::Ruling(_) | Screen::Past(_) => "ruling",
            Screen::Penalties(_) => "penalties",
            Screen::Brought(_) => "a play for the referee",
            Screen::Referee(_) => "the referee's own ruling",
            Screen::After(_) => "the log of the game",
            Screen::Station(_) => "at the desk",
            Screen::End(_) => "the end of the game",
            Screen::Card(_) => "the card put right",
        }
    }

    /// All its keys, for the page of keys.
    pub(super) fn keys(&self, pictures: &Pictures) -> Vec<key_card::KeyRow> {
        use key_card::rows;
        let own = match self {
            Screen::Before(_) => rows(before::KEYS),
            Screen::Between(_) => rows(between::KEYS),
            Screen::Challenge(_) => rows(challenge::KEYS),
            Screen::Walk(_) if pictures.places() => {
                rows(pictures::place::KEYS).into_iter().chain(rows(pictures::KEYS)).collect()
            }
            Screen::Walk(_) => rows(walk::KEYS).into_iter().chain(rows(pictures::KEYS)).collect(),
            Screen::Ruling(_) | Screen::Past(_) => rows(ruling::KEYS),
            Screen::Penalties(_) => rows(penalties::KEYS),
            Screen::Brought(_) => rows(brought::KEYS),
            Screen::Referee(_) => rows(referee::KEYS),
            Screen::After(_) => rows(after::KEYS),
            Screen::Station(_) => rows(station::KEYS),
            Screen::End(_) => rows(end::KEYS),
            Screen::Card(_) => rows(card::KEYS),
        };
        let desk = (!self.is_the_desk()).then(|| rows(station::OPENS));
        own.into_iter().chain(desk.into_iter().flatten()).collect()
    }

    /// Who sits at the desk, its cameras and the card: opened over the other screens.
    pub(super) fn is_the_desk(&self) -> bool {
        matches!(self, Screen::Station(_) | Screen::Card(_))
    }

    /// What a key means. An open line gets every key, even before it has the focus: a quick hand loses nothing, answers
    /// no step with a timecode, and takes nothing back.
    pub(super) fn pressed(&self, chord: Chord, pictures: &Pictures) -> Option<Message> {
        match self.line() {
            Some(line) => line.typed(chord).or_else(|| self.means(chord, true, pictures)),
            None => self.means(chord, false, pictures),
        }
    }

    /// What a key means by the screen's tables; in a line, only keys that hold there.
    fn means(&self, chord: Chord, in_a_line: bool, pictures: &Pictures) -> Option<Message> {
        if !self.is_the_desk() && act(station::OPENS, chord, in_a_line).is_some() {
            return Some(Message::AtTheDesk);
        }
        match self {
            Screen::Before(_) => {
                act(before::KEYS, chord, in_a_line).map(before::Message::Act).map(Message::Before)
            }
            Screen::Between(_) => {
                act(between::KEYS, chord, in_a_line).map(between::Message::Act).map(Message::Between)
            }
            Screen::Challenge(_) => {
                act(challenge::KEYS, chord, in_a_line).map(challenge::Message::Act).map(Message::Challenge)
            }
            Screen::Walk(_) if pictures.places() && !in_a_line => placing(chord).map(Message::Walk),
            Screen::Walk(_) => act(walk::KEYS, chord, in_a_line)
                .map(walk::Message::Act)
                .or_else(|| {
                    let act = act(pictures::KEYS, chord, in_a_line).filter(|_| !pictures.is_empty());
                    act.map(walk::Message::Picture)
                })
                .map(Message::Walk),
            Screen::Ruling(_) | Screen::Past(_) => {
                act(ruling::KEYS, chord, in_a_line).map(ruling::Message::Act).map(Message::Ruling)
            }
            Screen::Penalties(_) => {
                act(penalties::KEYS, chord, in_a_line).map(penalties::Message::Act).map(Message::Penalties)
            }
            Screen::Brought(_) => {
                act(brought::KEYS, chord, in_a_line).map(brought::Message::Act).map(Message::Brought)
            }
            Screen::Referee(_) => {
                act(referee::KEYS, chord, in_a_line).map(referee::Message::Act).map(Message::Referee)
            }
            Screen::After(_) => {
                act(after::KEYS, chord, in_a_line).map(after::Message::Act).map(Message::After)
            }
            Screen::Station(_) => {
                act(station::KEYS, chord, in_a_line).map(station::Message::Act).map(Message::Station)
            }
            Screen::End(_) => act(end::KEYS, chord, in_a_line).map(end::Message::Act).map(Message::End),
            Screen::Card(_) => act(card::KEYS, chord, in_a_line).map(card::Message::Act).map(Message::Card),
        }
    }

    pub(super) fn line(&self) -> Option<Line<'_>> {
        let (id, text, typed, submit): (Id, &str, fn(String) -> Message, Message) = match self {
            Screen::Walk(walk) => (
                walk::line_id(),
                walk.line()?,
                |text| Message::Walk(walk::Message::Typed(text)),
                Message::Walk(walk::Message::Submit),
            ),
            Screen::Challenge(challenge) => (
                challenge::line_id(),
                challenge.line()?,
                |text| Message::Challenge(challenge::Message::Typed(text)),
                Message::Challenge(challenge::Message::Submit),
            ),
            Screen::Between(between) => (
                between::line_id(),
                between.line()?,
                |text| Message::Between(between::Message::Typed(text)),
                Message::Between(between::Message::Submit),
            ),
            Screen::Ruling(ruling) => (
                ruling::line_id(),
                ruling.line()?,
                |text| Message::Ruling(ruling::Message::Typed(text)),
                Message::Ruling(ruling::Message::Submit),
            ),
            Screen::Penalties(penalties) => (
                penalties::line_id(),
                penalties.line()?,
                |text| Message::Penalties(penalties::Message::Typed(text)),
                Message::Penalties(penalties::Message::Submit),
            ),
            Screen::Brought(brought) => (
                brought::line_id(),
                brought.line()?,
                |text| Message::Brought(brought::Message::Typed(text)),
                Message::Brought(brought::Message::Submit),
            ),
            Screen::Referee(referee) => (
                referee::line_id(),
                referee.line()?,
                |text| Message::Referee(referee::Message::Typed(text)),
                Message::Referee(referee::Message::Submit),
            ),
            Screen::Station(station) => (
                station::line_id(),
                station.line()?,
                |text| Message::Station(station::Message::Typed(text)),
                Message::Station(station::Message::Submit),
            ),
            Screen::End(ending) => (
                end::line_id(),
                ending.line()?,
                |text| Message::End(end::Message::Typed(text)),
                Message::End(end::Message::Submit),
            ),
            Screen::Before(_) | Screen::After(_) | Screen::Card(_) | Screen::Past(_) => return None,
        };
        Some(Line { id, text, typed, submit })
    }
}

/// A ruling with the stills of its marks.
pub(super) fn ruling(post: &Post, game: &Game, review: &Review, now: &Stamp) -> Box<Ruling> {
    let stills = stills::kept(&post.stills(review));
    Box::new(Ruling::new(game.desk(), review, now, stills))
}

/// While landmarks or a point are being clicked, keys only move the pictures and choose the camera.
fn placing(chord: Chord) -> Option<walk::Message> {
    let place = keys::act(pictures::place::KEYS, chord).map(walk::Message::Place);
    let picture = || {
        let act = keys::act(pictures::KEYS, chord).filter(|act| *act != pictures::Act::Tie);
        act.map(walk::Message::Picture)
    };
    let camera = || {
        let act = keys::act(walk::KEYS, chord)?;
        matches!(act, walk::Act::Camera(_)).then_some(walk::Message::Act(act))
    };
    place.or_else(picture).or_else(camera)
}
