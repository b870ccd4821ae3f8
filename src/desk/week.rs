//! The supervisor's week: inconsistent rulings, time, wording, grades, angles, precedents, another edition.
//!
//! A state machine over what was read (`held`): a message in, a task out. Only `post` writes. `board` makes the texts
//! of the screen after each event, never while drawing.

mod angles;
mod board;
mod card;
mod chart;
mod crew;
mod edition;
mod error;
mod grading;
mod held;
pub(super) mod keys;
mod line;
mod offered;
mod pairs;
mod post;
mod precedents;
mod see;
#[cfg(test)]
mod tests;
mod time;
mod tracks;
mod view;
mod wording;

use crate::keys as chords;
use crate::keys::{Acts as _, Chord};
use crate::theme::Palette;
use board::Board;
use crew::Crew;
use edition::{Came, Edition};
use error::Error;
use formats::audit::Audit;
use held::{Acts, Held};
use host::data::Folder;
use iced::widget::Id;
use iced::{Element, Size, Task};
use keys::{Act, Given, KEYS};
use line::Of;
use log::chain::label::Actor;
use see::See;
use std::path::PathBuf;
use std::sync::Arc;

/// What the supervisor's window opens on.
#[derive(Debug, Clone)]
pub struct Weekly {
    /// Holds the settings and the written pages.
    pub folder: Folder,
    pub logs: Vec<Named>,
    /// Show officials as numbers.
    pub numbers: bool,
    /// Who grades and decides.
    pub actor: Actor,
}

/// A log or a file of records, with the key that signs what is added to it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Named {
    pub path: PathBuf,
    pub key: PathBuf,
}

/// One of the seven questions of a week.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Tab {
    /// Same facts, two rulings; also what a change of the rules did.
    Pairs,
    Time,
    /// Which wording splits people, and who answers differently.
    Wording,
    Grades,
    Angles,
    /// What the referees ruled where the book left it open.
    Precedents,
    /// Which rulings another edition of the book would change.
    Edition,
}

impl Tab {
    /// In the order of their digit keys.
    pub(crate) const ALL: [Tab; 7] =
        [Tab::Pairs, Tab::Time, Tab::Wording, Tab::Grades, Tab::Angles, Tab::Precedents, Tab::Edition];

    pub(crate) fn name(self) -> &'static str {
        match self {
            Tab::Pairs => "same facts, two rulings",
            Tab::Time => "time",
            Tab::Wording => "wording",
            Tab::Grades => "grades",
            Tab::Angles => "angles",
            Tab::Precedents => "precedents",
            Tab::Edition => "another edition",
        }
    }
}

enum Reading {
    On,
    Unread(Arc<Error>),
    Done(Arc<Held>),
}

/// What the line that is being typed is for. It defines the line's format.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum What {
    /// The reason for changing a grade.
    Regrade(Given),
    /// The camera whose picture was too poor, the sight line that it lacked, and why, separated by colons.
    Poor,
    /// Whose call it was in the crew. If that was given before: a colon and the reason.
    Position,
    /// The answer to the oldest letter without one.
    Letter,
    /// The weeks of an approval, a colon, the reason.
    Approve,
    /// The weeks, a colon, the facts that must be the same, a colon, the reason.
    Narrow,
    /// The first week without it, a colon, the reason.
    Withdraw,
    /// The folder of a rule book to judge under.
    Folder,
}

#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Typing {
    pub what: What,
    pub text: String,
}

#[derive(Debug, Clone)]
pub(crate) enum Message {
    Read(Result<Arc<Held>, Arc<Error>>),
    /// News of the judging with this number.
    Judging(u64, Came),
    Pressed(Chord),
    Act(Act),
    /// A line of the list was clicked.
    Line(usize),
    Typed(String),
    Submit,
}

pub(crate) struct Week {
    weekly: Weekly,
    reading: Reading,
    tab: Tab,
    /// The week shown; `None` for all weeks.
    week: Option<u32>,
    /// The selected line, by tab.
    at: [usize; Tab::ALL.len()],
    /// Hide who decided while grading.
    blind: bool,
    /// Keep graded records in the list.
    graded_too: bool,
    typing: Option<Typing>,
    /// The grade that was chosen: the next key signs or drops it.
    chosen: Option<Given>,
    /// The positions of the crew that can be picked by number.
    crew: Crew,
    told: Option<String>,
    /// The figures of the week shown; `None` for those of all weeks.
    of_week: Option<Audit>,
    /// The record graded last. It stays in the list until another one is selected.
    done: Option<String>,
    /// Grades and precedents, kept up to date after the logs were read.
    acts: Acts,
    edition: Edition,
    board: Board,
}

pub(crate) fn line_id() -> Id {
    Id::new("week line")
}

impl Week {
    /// The screen, and the task that reads the logs.
    pub(crate) fn open(weekly: Weekly) -> (Week, Task<Message>) {
        let week = Week {
            weekly,
            reading: Reading::On,
            tab: Tab::Pairs,
            week: None,
            at: [0; Tab::ALL.len()],
            blind: true,
            graded_too: false,
            typing: None,
            chosen: None,
            crew: Crew::default(),
            told: None,
            of_week: None,
            done: None,
            acts: Acts::default(),
            edition: Edition::default(),
            board: Board::default(),
        };
        let read = week.read();
        (week, read)
    }

    pub(crate) fn title(&self) -> String {
        self.week.map_or("the weeks".to_owned(), |week| format!("week {week}"))
    }

    /// Reads the logs on another thread.
    fn read(&self) -> Task<Message> {
        let weekly = self.weekly.clone();
        let (done, reading) = iced::futures::channel::oneshot::channel();
        std::thread::spawn(move || {
            // The receiver is gone if the window was closed meanwhile.
            let _ = done.send(Held::read(&weekly).map(Arc::new).map_err(Arc::new));
        });
        Task::perform(reading, |read| {
            Message::Read(read.unwrap_or_else(|_| Err(Arc::new(Error::EndedEarly))))
        })
    }

    pub(crate) fn update(&mut self, message: Message) -> Task<Message> {
        match message {
            Message::Read(Ok(held)) => {
                self.acts = held.acts.clone();
                self.edition.forget();
                let pointed = self.of().cloned();
                self.chosen = None;
                self.reading = Reading::Done(held);
                self.show(self.week);
                self.stay(pointed.as_ref());
                Task::none()
            }
            Message::Read(Err(error)) => {
                self.reading = Reading::Unread(error);
                Task::none()
            }
            Message::Judging(of, came) => {
                self.judging(of, came);
                Task::none()
            }
            Message::Pressed(chord) => self.pressed(chord),
            Message::Act(act) => self.act(act),
            Message::Line(number) => {
                self.point(number);
                Task::none()
            }
            Message::Typed(text) => {
                if let Some(typing) = &mut self.typing {
                    typing.text = text;
                }
                Task::none()
            }
            Message::Submit => self.submit(),
        }
    }

    /// While a line is being typed, every key goes to it, even before it has the focus.
    fn pressed(&mut self, chord: Chord) -> Task<Message> {
        let typing = self.typing.as_ref();
        match typing.and_then(|typing| chords::typed(&typing.text, chord)) {
            Some(chords::Typed::Text(text)) => return self.update(Message::Typed(text)),
            Some(chords::Typed::Meant) => return self.update(Message::Submit),
            None => {}
        }
        let in_a_line = typing.is_some();
        match chords::act(KEYS, chord).filter(|act| !in_a_line || act.holds_in_a_line()) {
            Some(act) => self.act(act),
            None => Task::none(),
        }
    }

    fn act(&mut self, act: Act) -> Task<Message> {
        self.told = None;
        let chosen = self.chosen.take();
        match act {
            Act::Tab(tab) => {
                (self.tab, self.typing, self.done) = (tab, None, None);
                self.refresh();
            }
            Act::Up => self.point(self.pointed().saturating_sub(1)),
            Act::Down => self.point(self.pointed() + 1),
            Act::PageUp => self.point(self.pointed().saturating_sub(PAGE)),
            Act::PageDown => self.point(self.pointed() + PAGE),
            Act::WeekBefore => self.turn(-1),
            Act::WeekAfter => self.turn(1),
            Act::Blind => {
                self.blind = !self.blind;
                self.refresh();
            }
            Act::GradedToo => {
                self.graded_too = !self.graded_too;
                self.refresh();
            }
            Act::Reread => {
                self.told = Some("reading the logs again".to_owned());
                return self.read();
            }
            Act::Page => self.told = Some(self.page()),
            Act::Back => self.typing = None,
            Act::Grade(given) => return self.choose_grade(given),
            Act::Sign => match chosen {
                Some(given) => return self.grade(given),
                None => self.told = Some("choose a grade first".to_owned()),
            },
            Act::TakeBack => return self.take_back(),
            Act::Type(what) => return self.begin(what),
            Act::Judge if self.tab == Tab::Edition => return self.judge(),
            Act::Choose if self.tab == Tab::Edition => self.choose(),
            Act::Judge | Act::Choose => self.told = Some(under(Tab::Edition)),
        }
        Task::none()
    }

    /// Opens a line to type in, if there is something that it could be about.
    fn begin(&mut self, what: What) -> Task<Message> {
        let of = match what {
            What::Regrade(_) | What::Poor | What::Position | What::Letter => Tab::Grades,
            What::Approve | What::Narrow | What::Withdraw => Tab::Precedents,
            What::Folder => Tab::Edition,
        };
        if self.tab != of || self.board.lines.is_empty() {
            self.told = Some(under(of));
            return Task::none();
        }
        if let (What::Position, Reading::Done(held)) = (what, &self.reading) {
            self.crew = Crew::of(held, &self.acts);
        }
        self.typing = Some(Typing { what, text: String::new() });
        iced::widget::operation::focus(line_id())
    }

    fn pointed(&self) -> usize {
        self.at[self.place()]
    }

    fn place(&self) -> usize {
        place(self.tab)
    }

    /// Selects the first line of a tab, whose list has changed.
    fn point_at_first(&mut self, tab: Tab) {
        self.at[place(tab)] = 0;
    }

    fn point(&mut self, number: usize) {
        let last = self.board.lines.len().saturating_sub(1);
        let target = self.board.lines.get(number.min(last)).map(|line| line.of.clone());
        (self.typing, self.chosen, self.done) = (None, None, None);
        let place = self.place();
        self.at[place] = number.min(last);
        self.refresh();
        self.stay(target.as_ref());
    }

    /// Keeps the same item selected when the list changes, so that no key acts on an item that the official is not
    /// looking at.
    fn stay(&mut self, of: Option<&Of>) {
        let place = self.place();
        let now = self.board.lines.iter().position(|line| Some(&line.of) == of && line.of != Of::Itself);
        if let Some(now) = now.filter(|now| *now != self.at[place]) {
            self.at[place] = now;
            self.refresh();
        }
    }

    /// Moves one week on or back. Before the first week come all weeks together.
    fn turn(&mut self, by: isize) {
        let Reading::Done(held) = &self.reading else { return };
        let at = self.week.and_then(|week| held.weeks.iter().position(|one| *one == week));
        let next = at.map_or(0, |at| at + 1).saturating_add_signed(by).min(held.weeks.len());
        (self.at, self.done) = ([0; Tab::ALL.len()], None);
        self.show(next.checked_sub(1).map(|at| held.weeks[at]));
    }

    /// Shows one week, or all if it does not exist.
    fn show(&mut self, week: Option<u32>) {
        let Reading::Done(held) = &self.reading else { return };
        self.week = week.filter(|week| held.weeks.contains(week));
        self.of_week = self.week.map(|week| held.figures_of(week));
        self.refresh();
    }

    /// The figures of the week shown, or of all weeks.
    fn found<'a>(&'a self, held: &'a Held) -> &'a Audit {
        self.of_week.as_ref().unwrap_or(&held.found)
    }

    /// Makes the texts of the screen again.
    fn refresh(&mut self) {
        let Reading::Done(held) = &self.reading else { return };
        let held = Arc::clone(held);
        let place = self.place();
        let see = See {
            held: &held,
            acts: &self.acts,
            found: self.found(&held),
            week: self.week,
            blind: self.blind,
            graded_too: self.graded_too,
            done: self.done.as_deref(),
        };
        self.board = Board::of(&see, &self.edition, (self.tab, self.at[place]));
        self.at[place] = self.at[place].min(self.board.lines.len().saturating_sub(1));
    }

    pub(crate) fn view(&self, palette: &'static Palette, room: Size) -> Element<'_, Message> {
        view::view(self, palette, room)
    }

    pub(crate) fn key_card(&self, palette: &'static Palette) -> Element<'_, Message> {
        view::key_card(palette)
    }
}

/// Index of a tab in `Tab::ALL`.
fn place(tab: Tab) -> usize {
    Tab::ALL.iter().position(|one| *one == tab).unwrap_or(0)
}

/// The message for an act that belongs to another tab.
fn under(tab: Tab) -> String {
    format!("that is done under \"{}\"", tab.name())
}

/// Lines that Page Up and Page Down move by.
const PAGE: usize = 10;
