//! The closed games of the log, while none is open: one of them can be reopened with a reason.

mod view;

pub(crate) use view::view;

use super::keyed::Line;
use super::{Message as Booth, keyed};
use crate::keys::{Acts, Binding, Cap, Chord, plain};
use crate::written::Written;
use iced::widget::Id;

#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Games {
    /// The newest first.
    rows: Vec<Row>,
    /// Index of the selected row.
    at: usize,
    /// Why it goes on, as typed.
    line: Option<String>,
    told: Option<String>,
}

/// A closed game.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Row {
    pub game: String,
    /// "Millrace Otters at Harbour Kites".
    pub teams: String,
    /// How it ended, and with what score.
    pub ended: String,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Act {
    Up,
    Down,
    Reopen,
    Leave,
}

pub(crate) const KEYS: &[Binding<Act>] = &[
    Binding { chords: &[plain(Cap::Up)], act: Act::Up, says: "the game above" },
    Binding { chords: &[plain(Cap::Down)], act: Act::Down, says: "the game below" },
    Binding { chords: &[plain(Cap::Enter)], act: Act::Reopen, says: "reopen the game, with a reason" },
    Binding {
        chords: &[plain(Cap::Escape)],
        act: Act::Leave,
        says: "leave the line, or go back to the card",
    },
];

impl Acts for Act {
    fn writes(self) -> &'static [Written] {
        match self {
            Act::Reopen => &[Written::GameReopened],
            Act::Up | Act::Down | Act::Leave => &[],
        }
    }

    fn holds_in_a_line(self) -> bool {
        self == Act::Leave
    }
}

#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Message {
    Act(Act),
    Point(usize),
    Typed(String),
    Submit,
}

#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Action {
    None,
    Focus(Id),
    /// The game, and why it goes on.
    Reopen(String, String),
    Back,
}

pub(crate) fn line_id() -> Id {
    Id::new("games line")
}

impl Games {
    pub(crate) fn new(rows: Vec<Row>) -> Games {
        let told = rows.is_empty().then(|| "the log has no closed game".to_owned());
        Games { rows, at: 0, line: None, told }
    }

    pub(crate) fn refuse(&mut self, because: String) {
        self.told = Some(because);
    }

    fn line(&self) -> Option<Line<'_>> {
        let text = self.line.as_deref()?;
        let typed = |text| Booth::Games(Message::Typed(text));
        Some(Line { id: line_id(), text, typed, submit: Booth::Games(Message::Submit) })
    }

    /// What a key means; an open line takes it first.
    pub(crate) fn pressed(&self, chord: Chord) -> Option<Booth> {
        let means = |in_a_line| keyed::act(KEYS, chord, in_a_line).map(Message::Act).map(Booth::Games);
        match self.line() {
            Some(line) => line.typed(chord).or_else(|| means(true)),
            None => means(false),
        }
    }

    pub(crate) fn update(&mut self, message: Message) -> Action {
        let last = self.rows.len().saturating_sub(1);
        match message {
            Message::Typed(typed) => {
                if let Some(line) = &mut self.line {
                    *line = typed;
                }
            }
            Message::Submit => {
                if let (Some(reason), Some(row)) = (&self.line, self.rows.get(self.at)) {
                    return Action::Reopen(row.game.clone(), reason.clone());
                }
            }
            Message::Point(at) => (self.at, self.line) = (at.min(last), None),
            Message::Act(Act::Up) => self.at = self.at.saturating_sub(1),
            Message::Act(Act::Down) => self.at = (self.at + 1).min(last),
            Message::Act(Act::Reopen) if self.rows.is_empty() => {}
            Message::Act(Act::Reopen) => {
                (self.line, self.told) = (Some(String::new()), None);
                return Action::Focus(line_id());
            }
            Message::Act(Act::Leave) => {
                self.told = None;
                if self.line.take().is_none() {
                    return Action::Back;
                }
            }
        }
        Action::None
    }
}
