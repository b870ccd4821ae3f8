//! Before the game: the card as it was opened, and the checklist.

mod view;

pub(crate) use view::view;

use super::undone::Undone;
use crate::keys::{Acts, Binding, Cap, plain, shown};
use crate::written::Written;
use review::day::Command;
use review::day::fold::Day;

#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct Before {
    wrong: Option<String>,
    /// The items that are left open were named: the next key leaves them.
    warned: bool,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Act {
    Check(u8),
    On,
    After,
}

impl Acts for Act {
    fn writes(self) -> &'static [Written] {
        match self {
            Act::Check(_) => &[Written::Checked],
            Act::On | Act::After => &[],
        }
    }
}

pub(crate) const KEYS: &[Binding<Act>] = &[
    Binding {
        chords: &[plain(Cap::Digit(1))],
        act: Act::Check(0),
        says: "the first item is checked, or not",
    },
    Binding { chords: &[plain(Cap::Digit(2))], act: Act::Check(1), says: "the second" },
    Binding { chords: &[plain(Cap::Digit(3))], act: Act::Check(2), says: "the third" },
    Binding { chords: &[plain(Cap::Digit(4))], act: Act::Check(3), says: "the fourth" },
    Binding { chords: &[plain(Cap::Digit(5))], act: Act::Check(4), says: "the fifth" },
    Binding { chords: &[plain(Cap::Digit(6))], act: Act::Check(5), says: "the sixth" },
    Binding { chords: &[plain(Cap::Enter)], act: Act::On, says: "on: to the game" },
    Binding { chords: &[plain(Cap::F(3))], act: Act::After, says: "the log of the game" },
];

#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Message {
    Act(Act),
}

#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Action {
    None,
    Do(Command),
    On,
    /// The log of the game.
    After,
}

impl Before {
    pub(crate) fn update(&mut self, Message::Act(act): Message, day: &Day) -> Action {
        let warned = std::mem::take(&mut self.warned);
        self.wrong = None;
        match act {
            // A list may have fewer items than there are digits.
            Act::Check(number) => day.checks.get(usize::from(number)).map_or(Action::None, |check| {
                Action::Do(Command::Check { item: check.item.clone(), done: !check.done })
            }),
            Act::On => {
                let open: Vec<&str> =
                    day.checks.iter().filter(|check| !check.done).map(|check| check.item.as_str()).collect();
                // Once the game is on, the list is only looked at.
                if open.is_empty() || warned || day.situation().is_some() {
                    return Action::On;
                }
                self.warned = true;
                self.wrong = Some(format!(
                    "still open: {}; {} once more goes on without them",
                    open.join(", "),
                    shown(KEYS, Act::On)
                ));
                Action::None
            }
            Act::After => Action::After,
        }
    }

    pub(crate) fn refused(&mut self, undone: &Undone) {
        self.wrong = Some(undone.to_string());
    }
}
