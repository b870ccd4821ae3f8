//! At the desk: who sits there, and which cameras give a picture. Opened over any screen of a game.

mod view;

pub(crate) use view::view;

use super::undone::Undone;
use crate::keys::{Acts, Binding, Cap, letter, plain};
use crate::written::Written;
use iced::widget::Id;
use review::day::Command;
use review::day::fold::Day;

#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct Station {
    typing: Option<Typing>,
    told: Option<String>,
}

#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Typing {
    /// The pseudonym of the official who takes over.
    Who(String),
    /// Why this camera is out.
    Lost { camera: String, text: String },
}

/// Opens it over the screen that is open, which stays as it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Opens;

/// On every screen of a game but its own.
pub(crate) const OPENS: &[Binding<Opens>] = &[Binding {
    chords: &[plain(Cap::F(4))],
    act: Opens,
    says: "at the desk: the official, the cameras, the card put right",
}];

impl Acts for Opens {
    fn writes(self) -> &'static [Written] {
        &[]
    }

    fn holds_in_a_line(self) -> bool {
        true
    }
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Act {
    HandOver,
    Camera(u8),
    Card,
    Leave,
}

pub(crate) const KEYS: &[Binding<Act>] = &[
    Binding { chords: &[letter('w')], act: Act::HandOver, says: "another official takes over" },
    Binding {
        chords: &[plain(Cap::Digit(1))],
        act: Act::Camera(0),
        says: "the first camera is out, or back",
    },
    Binding { chords: &[plain(Cap::Digit(2))], act: Act::Camera(1), says: "the second" },
    Binding { chords: &[plain(Cap::Digit(3))], act: Act::Camera(2), says: "the third" },
    Binding { chords: &[plain(Cap::Digit(4))], act: Act::Camera(3), says: "the fourth" },
    Binding { chords: &[plain(Cap::Digit(5))], act: Act::Camera(4), says: "the fifth" },
    Binding { chords: &[plain(Cap::Digit(6))], act: Act::Camera(5), says: "the sixth" },
    Binding { chords: &[plain(Cap::Digit(7))], act: Act::Camera(6), says: "the seventh" },
    Binding { chords: &[plain(Cap::Digit(8))], act: Act::Camera(7), says: "the eighth" },
    Binding { chords: &[plain(Cap::Digit(9))], act: Act::Camera(8), says: "the ninth" },
    Binding { chords: &[letter('c')], act: Act::Card, says: "correct the card of the game" },
    Binding { chords: &[plain(Cap::Escape)], act: Act::Leave, says: "leave the line, or go back" },
];

impl Acts for Act {
    fn writes(self) -> &'static [Written] {
        match self {
            Act::HandOver => &[Written::HandedOver],
            Act::Camera(_) => &[Written::CameraLost, Written::CameraBack],
            Act::Card | Act::Leave => &[],
        }
    }

    fn holds_in_a_line(self) -> bool {
        self == Act::Leave
    }
}

#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Message {
    Act(Act),
    Typed(String),
    Submit,
}

#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Action {
    None,
    Focus(Id),
    Do(Command),
    /// The card of the game, to be corrected.
    Card,
    Back,
}

pub(crate) fn line_id() -> Id {
    Id::new("station line")
}

impl Station {
    pub(crate) fn line(&self) -> Option<&str> {
        match self.typing.as_ref()? {
            Typing::Who(text) | Typing::Lost { text, .. } => Some(text),
        }
    }

    pub(crate) fn done(&mut self) {
        *self = Station::default();
    }

    pub(crate) fn refused(&mut self, undone: &Undone) {
        self.told = Some(undone.to_string());
    }

    pub(crate) fn update(&mut self, message: Message, day: &Day) -> Action {
        match message {
            Message::Act(act) => self.act(act, day),
            Message::Typed(typed) => {
                if let Some(Typing::Who(text) | Typing::Lost { text, .. }) = &mut self.typing {
                    *text = typed;
                }
                Action::None
            }
            Message::Submit => match &self.typing {
                Some(Typing::Who(who)) => Action::Do(Command::HandOver { who: who.clone() }),
                Some(Typing::Lost { camera, text }) => {
                    Action::Do(Command::CameraLost { camera: camera.clone(), reason: text.clone() })
                }
                None => Action::None,
            },
        }
    }

    fn act(&mut self, act: Act, day: &Day) -> Action {
        self.told = None;
        match act {
            Act::HandOver => self.begin(Typing::Who(String::new())),
            Act::Camera(number) => {
                let cameras = day.opened.as_ref().map_or(&[][..], |opened| &opened.card.cameras);
                // A card may have fewer cameras than there are digits.
                let Some(camera) = cameras.get(usize::from(number)) else { return Action::None };
                let camera = camera.name.clone();
                match day.lost().any(|out| out == camera) {
                    true => Action::Do(Command::CameraBack { camera }),
                    false => self.begin(Typing::Lost { camera, text: String::new() }),
                }
            }
            Act::Card if day.review().is_some() => {
                self.told = Some("the card is corrected between plays: end the review first".to_owned());
                Action::None
            }
            Act::Card => Action::Card,
            Act::Leave if self.typing.take().is_some() => Action::None,
            Act::Leave => Action::Back,
        }
    }

    fn begin(&mut self, typing: Typing) -> Action {
        self.typing = Some(typing);
        Action::Focus(line_id())
    }
}
