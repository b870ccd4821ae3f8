//! A play of the day is brought to the referee: which question it is about, found by typing, and what the crew called.
//!
//! Nothing is written before it is brought. The book says which of its questions it leaves to the referee.

mod view;

pub(crate) use view::view;

use crate::keys::{Acts, Binding, Cap, plain};
use crate::written::Written;
use iced::widget::Id;
use review::discretion::origin::leaves_to_referee;
use review::find::named;
use rules::book::Book;
use rules::book::tree::Tree;

#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Brought {
    /// The play, from 0; `None`: the one that was run last.
    play: Option<usize>,
    /// The play in words.
    about: String,
    search: String,
    found: Vec<Row>,
    /// Index of the selected row.
    at: usize,
    /// The question whose call is chosen, by its id, and the index of the call.
    call: Option<(String, usize)>,
    told: Option<String>,
}

/// What the play can be about.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Row {
    /// No question of the book: the play as it was run.
    AsRun,
    Question {
        id: String,
        title: String,
        cite: String,
        /// The book leaves something of it to the referee.
        left: bool,
    },
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Act {
    Choose(u8),
    Up,
    Down,
    Go,
    Back,
}

pub(crate) const KEYS: &[Binding<Act>] = &[
    Binding { chords: &[plain(Cap::Up)], act: Act::Up, says: "the question above" },
    Binding { chords: &[plain(Cap::Down)], act: Act::Down, says: "the question below" },
    Binding { chords: &[plain(Cap::Digit(1))], act: Act::Choose(0), says: "the first call" },
    Binding { chords: &[plain(Cap::Digit(2))], act: Act::Choose(1), says: "the second" },
    Binding { chords: &[plain(Cap::Digit(3))], act: Act::Choose(2), says: "the third" },
    Binding { chords: &[plain(Cap::Digit(4))], act: Act::Choose(3), says: "the fourth" },
    Binding { chords: &[plain(Cap::Digit(5))], act: Act::Choose(4), says: "the fifth" },
    Binding { chords: &[plain(Cap::Enter)], act: Act::Go, says: "on; bring it to the referee" },
    Binding { chords: &[plain(Cap::Escape)], act: Act::Back, says: "one step back; nothing is written" },
];

impl Acts for Act {
    fn writes(self) -> &'static [Written] {
        match self {
            Act::Go => &[Written::OwnOpened],
            Act::Choose(_) | Act::Up | Act::Down | Act::Back => &[],
        }
    }

    fn holds_in_a_line(self) -> bool {
        matches!(self, Act::Up | Act::Down | Act::Back)
    }
}

#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Message {
    Act(Act),
    Typed(String),
    Submit,
    Point(usize),
}

#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Action {
    None,
    Focus(Id),
    /// Brings it with this question and call; `None` without a question.
    Bring(Option<(String, String)>),
    Leave,
}

pub(crate) fn line_id() -> Id {
    Id::new("brought line")
}

impl Brought {
    pub(crate) fn new(book: &Book, play: Option<usize>, about: String) -> Brought {
        let mut brought =
            Brought { play, about, search: String::new(), found: Vec::new(), at: 0, call: None, told: None };
        brought.search(book);
        brought
    }

    pub(crate) fn play(&self) -> Option<usize> {
        self.play
    }

    pub(crate) fn line(&self) -> Option<&str> {
        self.call.is_none().then_some(&self.search)
    }

    pub(crate) fn tell(&mut self, words: String) {
        self.told = Some(words);
    }

    /// The play as it was run, unless words were typed; then the questions, first those that the book leaves to the referee.
    fn search(&mut self, book: &Book) {
        let row = |tree: &Tree| Row::Question {
            id: tree.id.clone(),
            title: tree.title.clone(),
            cite: tree.cite.clone(),
            left: leaves_to_referee(tree),
        };
        let (left, decided): (Vec<&Tree>, Vec<&Tree>) =
            named(book, &self.search).into_iter().partition(|tree| leaves_to_referee(tree));
        let as_run = self.search.trim().is_empty().then_some(Row::AsRun);
        self.found = as_run.into_iter().chain(left.into_iter().chain(decided).map(row)).collect();
        self.at = 0;
    }

    pub(crate) fn update(&mut self, message: Message, book: &Book) -> Action {
        self.told = None;
        match message {
            Message::Typed(text) => {
                self.search = text;
                self.search(book);
                Action::None
            }
            Message::Submit | Message::Act(Act::Go) => self.go(book),
            Message::Point(row) => {
                self.at = row;
                self.go(book)
            }
            Message::Act(Act::Up) => self.point(-1, book),
            Message::Act(Act::Down) => self.point(1, book),
            Message::Act(Act::Choose(number)) => {
                if let Some((question, call)) = &mut self.call
                    && book.tree(question).is_some_and(|tree| usize::from(number) < tree.calls.len())
                {
                    *call = usize::from(number);
                }
                Action::None
            }
            Message::Act(Act::Back) if self.call.take().is_some() => Action::Focus(line_id()),
            Message::Act(Act::Back) => Action::Leave,
        }
    }

    /// Selects the row or the call above or below.
    fn point(&mut self, by: isize, book: &Book) -> Action {
        let (at, count) = match &mut self.call {
            Some((question, call)) => (call, book.tree(question).map_or(0, |tree| tree.calls.len())),
            None => (&mut self.at, self.found.len()),
        };
        *at = at.saturating_add_signed(by).min(count.saturating_sub(1));
        Action::None
    }

    /// Brings the play, or asks first what the crew called: nothing, where the question has such a call.
    fn go(&mut self, book: &Book) -> Action {
        if let Some((question, call)) = &self.call {
            let named = book.tree(question).and_then(|tree| tree.calls.get(*call));
            let named = named.map(|call| (question.clone(), call.name.clone()));
            return named.map_or(Action::None, |asked| Action::Bring(Some(asked)));
        }
        match self.found.get(self.at) {
            Some(Row::AsRun) => return Action::Bring(None),
            Some(Row::Question { id, left: true, .. }) => {
                let nothing = book.tree(id).and_then(|tree| tree.calls.iter().position(|call| call.no_call));
                self.call = Some((id.clone(), nothing.unwrap_or(0)));
            }
            Some(Row::Question { title, cite, left: false, .. }) => {
                let own = format!("the book decides \u{201c}{title}\u{201d} itself (rule {cite})");
                self.told = Some(format!("{own}: challenge it, or bring the play without a question"));
            }
            None => self.told = Some("no question of the book is named so".to_owned()),
        }
        Action::None
    }
}
