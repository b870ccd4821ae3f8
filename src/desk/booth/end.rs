//! The end of the game: by the rules if it is over, or early with a reason. Each is shown before it is written.

mod view;

pub(crate) use view::view;

use super::undone::Undone;
use crate::keys::{Acts, Binding, Cap, ctrl, plain};
use crate::written::Written;
use iced::widget::Id;
use review::day::{Command, Early};
use rules::game::situation::Team;

#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct Ending {
    early: Option<Chosen>,
    told: Option<String>,
}

/// A way to end the game early.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Chosen {
    pub how: Early,
    /// Why, as typed.
    pub text: String,
    /// The reason is given; the end is to be confirmed.
    pub given: bool,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Act {
    Early(Early),
    Confirm,
    Leave,
}

pub(crate) const KEYS: &[Binding<Act>] = &[
    Binding {
        chords: &[plain(Cap::Digit(1))],
        act: Act::Early(Early::Forfeit(Team::Home)),
        says: "the home team forfeits",
    },
    Binding {
        chords: &[plain(Cap::Digit(2))],
        act: Act::Early(Early::Forfeit(Team::Away)),
        says: "the visitors forfeit",
    },
    Binding {
        chords: &[plain(Cap::Digit(3))],
        act: Act::Early(Early::Suspended),
        says: "suspended: it may go on later",
    },
    Binding {
        chords: &[plain(Cap::Digit(4))],
        act: Act::Early(Early::Called),
        says: "ended early: the score stands",
    },
    Binding { chords: &[ctrl(Cap::Enter)], act: Act::Confirm, says: "confirm: the game ends" },
    Binding {
        chords: &[plain(Cap::Escape)],
        act: Act::Leave,
        says: "leave the line, or go back to the game",
    },
];

impl Acts for Act {
    fn writes(self) -> &'static [Written] {
        match self {
            Act::Confirm => &[Written::GameClosed, Written::GameEnded],
            Act::Early(_) | Act::Leave => &[],
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
    Back,
}

pub(crate) fn line_id() -> Id {
    Id::new("end line")
}

impl Ending {
    pub(crate) fn line(&self) -> Option<&str> {
        self.early.as_ref().filter(|early| !early.given).map(|early| early.text.as_str())
    }

    pub(crate) fn refused(&mut self, undone: &Undone) {
        self.told = Some(undone.to_string());
    }

    pub(crate) fn update(&mut self, message: Message) -> Action {
        self.told = None;
        match message {
            Message::Typed(typed) => {
                if let Some(early) = &mut self.early {
                    early.text = typed;
                }
                Action::None
            }
            Message::Submit => {
                match &mut self.early {
                    Some(early) if early.text.trim().is_empty() => {
                        self.told =
                            Some("ending a game early needs a reason; say why it ends here".to_owned());
                    }
                    Some(early) => early.given = true,
                    None => {}
                }
                Action::None
            }
            Message::Act(Act::Early(how)) => {
                self.early = Some(Chosen { how, text: String::new(), given: false });
                Action::Focus(line_id())
            }
            Message::Act(Act::Confirm) => match &self.early {
                None => Action::Do(Command::Close),
                Some(Chosen { how, text, given: true }) => {
                    Action::Do(Command::EndEarly { how: *how, reason: text.clone() })
                }
                Some(_) => Action::None,
            },
            Message::Act(Act::Leave) if self.early.take().is_some() => Action::None,
            Message::Act(Act::Leave) => Action::Back,
        }
    }
}
