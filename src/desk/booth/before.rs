//! Before the game: the card of the game, and what is checked off.

mod view;

pub(crate) use view::view;

use crate::keys::{Acts, Binding, Cap, plain};
use crate::written::Written;
use iced::widget::Id;
use review::announcement::Names;
use review::day::fold::Day;
use review::day::{Camera, Command, Duty, GameCard};
use rules::game::situation::ByTeam;

/// The screen's state.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct Before {
    /// The card as typed, a text a line; empty once the game is open.
    pub card: [String; LINES],
    /// What is wrong with it.
    pub wrong: Option<String>,
}

/// How many lines a card has.
pub(crate) const LINES: usize = 8;

/// The lines of a card: what each is, and how it is written.
pub(crate) const CARD: [(&str, &str); LINES] = [
    ("game", "W03-MO-HK"),
    ("week", "3"),
    ("home team, and its short name", "Harbour Kites, Kites"),
    ("visitors, and their short name", "Millrace Otters, Otters"),
    ("venue", "the Turbine Shed"),
    ("cameras, the most useful first", "near side, high end, low wall, far corner, scoreboard"),
    ("who does what, the one at this desk first", "replay official: booth-07, radio: booth-11"),
    ("rule book", "saltmarsh"),
];

/// What a key does.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Act {
    /// Checks an item off, or unchecks it.
    Check(u8),
    /// The next line.
    NextLine,
    /// On: the game is opened, or goes on.
    On,
    /// To the log of the game.
    After,
}

impl Acts for Act {
    fn writes(self) -> &'static [Written] {
        match self {
            Act::Check(_) => &[Written::Checked],
            Act::On => &[Written::GameOpened],
            Act::NextLine | Act::After => &[],
        }
    }
}

/// Every key before the game.
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
    Binding { chords: &[plain(Cap::Tab)], act: Act::NextLine, says: "the next line of the card" },
    Binding { chords: &[plain(Cap::Enter)], act: Act::On, says: "on: to the game" },
    Binding { chords: &[plain(Cap::F(3))], act: Act::After, says: "the log of the game" },
];

/// What can happen on this screen.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Message {
    /// A key, or its button.
    Act(Act),
    /// A line was typed.
    Typed(usize, String),
}

/// What the screen wants done.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Action {
    /// Nothing.
    None,
    /// The next line gets the focus.
    NextLine,
    /// A game begins with this card, under this book.
    Open {
        /// The card.
        card: GameCard,
        /// The book.
        book: String,
    },
    /// This, to the day.
    Do(Command),
    /// On to the game.
    On,
    /// To the log of the game.
    After,
}

/// A line of the card.
pub(crate) fn line_id(line: usize) -> Id {
    Id::from(format!("card {line}"))
}

impl Before {
    /// An empty card.
    pub(crate) fn new() -> Before {
        let mut before = Before::default();
        before.card[LINES - 1] = CARD[LINES - 1].1.to_owned();
        before
    }

    /// One message in, one action out.
    pub(crate) fn update(&mut self, message: Message, day: Option<&Day>) -> Action {
        match message {
            Message::Typed(line, text) => {
                self.wrong = None;
                if let Some(kept) = self.card.get_mut(line) {
                    *kept = text;
                }
                Action::None
            }
            Message::Act(Act::Check(number)) => {
                match day.and_then(|day| day.checks.get(usize::from(number))) {
                    Some(check) => Action::Do(Command::Check { item: check.item.clone(), done: !check.done }),
                    None => Action::None,
                }
            }
            Message::Act(Act::NextLine) => Action::NextLine,
            Message::Act(Act::After) => Action::After,
            Message::Act(Act::On) if day.is_some() => Action::On,
            Message::Act(Act::On) => match self.read() {
                Ok((card, book)) => Action::Open { card, book },
                Err(wrong) => {
                    self.wrong = Some(wrong);
                    Action::None
                }
            },
        }
    }

    /// The card as typed.
    fn read(&self) -> Result<(GameCard, String), String> {
        let [game, week, home, away, venue, cameras, duties, book] = &self.card;
        let week = match week.trim() {
            "" => None,
            week => {
                Some(week.parse().map_err(|_| format!("`{week}` is no week: write a number, or nothing"))?)
            }
        };
        if game.trim().is_empty() {
            return Err("the game has no id: write one, such as W03-MO-HK".to_owned());
        }
        let ((home, home_short), (away, away_short)) = (team(home)?, team(away)?);
        let listed = |text: &str| -> Vec<String> {
            text.split(',').map(str::trim).filter(|part| !part.is_empty()).map(str::to_owned).collect()
        };
        let cameras: Vec<Camera> = listed(cameras)
            .into_iter()
            .map(|name| Camera { sees: name.clone(), name, timecode: None })
            .collect();
        if cameras.is_empty() {
            return Err("the hall has no camera: name them, with commas between".to_owned());
        }
        let duties = listed(duties).iter().map(|text| duty(text)).collect::<Result<_, _>>()?;
        let names =
            Names { teams: ByTeam { home, away }, short: ByTeam { home: home_short, away: away_short } };
        let venue = venue.trim().to_owned();
        let card = GameCard { game: game.trim().to_owned(), week, names, venue, cameras, duties };
        Ok((card, book.trim().to_owned()))
    }
}

/// `Harbour Kites, Kites`; without a short name the last word is it.
fn team(text: &str) -> Result<(String, String), String> {
    let (name, short) = text.split_once(',').unwrap_or((text, ""));
    let name = name.trim();
    let last = name.split_whitespace().next_back();
    match (last, short.trim()) {
        (None, _) => Err("a team has no name: write it, and its short name after a comma".to_owned()),
        (Some(last), "") => Ok((name.to_owned(), last.to_owned())),
        (Some(_), short) => Ok((name.to_owned(), short.to_owned())),
    }
}

fn duty(text: &str) -> Result<Duty, String> {
    match text.split_once(':') {
        Some((duty, who)) => Ok(Duty { duty: duty.trim().to_owned(), who: who.trim().to_owned() }),
        None => Err(format!(
            "`{text}` does not say who: write the duty, a colon, and a pseudonym such as booth-07"
        )),
    }
}
