//! The card of a game that is not open yet: one line for each thing that the day must know.

mod view;

pub(crate) use view::view;

use crate::keys::{Acts, Binding, Cap, plain};
use crate::written::Written;
use iced::widget::Id;
use review::announcement::Names;
use review::day::{Camera, Duty, GameCard};
use rules::game::situation::ByTeam;

#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Card {
    lines: [String; LINES],
    wrong: Option<String>,
}

const LINES: usize = 8;

/// What each line of a card is, and an example.
const CARD: [(&str, &str); LINES] = [
    ("game", "W03-MO-HK"),
    ("week", "3"),
    ("home team, and its short name", "Harbour Kites, Kites"),
    ("visitors, and their short name", "Millrace Otters, Otters"),
    ("venue", "the Turbine Shed"),
    ("cameras, the most useful first", "near side, high end, low wall, far corner, scoreboard"),
    ("who does what, the one at this desk first", "replay official: booth-07, radio: booth-11"),
    ("rule book", "saltmarsh"),
];

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Act {
    NextLine,
    Open,
}

impl Acts for Act {
    fn writes(self) -> &'static [Written] {
        match self {
            Act::NextLine => &[],
            Act::Open => &[Written::GameOpened],
        }
    }
}

pub(crate) const KEYS: &[Binding<Act>] = &[
    Binding { chords: &[plain(Cap::Tab)], act: Act::NextLine, says: "the next line of the card" },
    Binding { chords: &[plain(Cap::Enter)], act: Act::Open, says: "open the game" },
];

#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Message {
    Act(Act),
    /// The number of the line, and its text.
    Typed(usize, String),
}

#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Action {
    None,
    NextLine,
    /// Open the game under the book of this name.
    Open(Box<GameCard>, String),
}

/// Why a card cannot be read, and what to write instead.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
enum Unreadable {
    #[error("`{0}` is not a week: write a number, or nothing")]
    Week(String),
    #[error("the game has no id: write one, such as W03-MO-HK")]
    NoId,
    #[error("the venue has no camera: name them, with commas between")]
    NoCamera,
    #[error("a team has no name: write it, and its short name after a comma")]
    NoTeam,
    #[error("`{0}` names no one: write the duty, a colon, and a pseudonym such as booth-07")]
    Nobody(String),
}

pub(crate) fn line_id(line: usize) -> Id {
    Id::from(format!("card {line}"))
}

impl Card {
    /// A card that is empty but for the rule book.
    pub(crate) fn new() -> Card {
        let mut lines = [const { String::new() }; LINES];
        lines[LINES - 1] = CARD[LINES - 1].1.to_owned();
        Card { lines, wrong: None }
    }

    pub(crate) fn refuse(&mut self, because: String) {
        self.wrong = Some(because);
    }

    pub(super) fn wrong(&self) -> Option<&str> {
        self.wrong.as_deref()
    }

    pub(crate) fn update(&mut self, message: Message) -> Action {
        match message {
            Message::Typed(line, text) => {
                self.wrong = None;
                if let Some(kept) = self.lines.get_mut(line) {
                    *kept = text;
                }
                Action::None
            }
            Message::Act(Act::NextLine) => Action::NextLine,
            Message::Act(Act::Open) => match self.read() {
                Ok((card, book)) => Action::Open(Box::new(card), book),
                Err(unreadable) => {
                    self.refuse(unreadable.to_string());
                    Action::None
                }
            },
        }
    }

    fn read(&self) -> Result<(GameCard, String), Unreadable> {
        let [game, week, home, away, venue, cameras, duties, book] = &self.lines;
        let week = match week.trim() {
            "" => None,
            week => Some(week.parse().map_err(|_| Unreadable::Week(week.to_owned()))?),
        };
        if game.trim().is_empty() {
            return Err(Unreadable::NoId);
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
            return Err(Unreadable::NoCamera);
        }
        let duties = listed(duties).iter().map(|text| duty(text)).collect::<Result<_, _>>()?;
        let names =
            Names { teams: ByTeam { home, away }, short: ByTeam { home: home_short, away: away_short } };
        let venue = venue.trim().to_owned();
        let card = GameCard { game: game.trim().to_owned(), week, names, venue, cameras, duties };
        Ok((card, book.trim().to_owned()))
    }
}

/// `Harbour Kites, Kites`; without a short name it is the last word.
fn team(text: &str) -> Result<(String, String), Unreadable> {
    let (name, short) = text.split_once(',').unwrap_or((text, ""));
    let name = name.trim();
    let last = name.split_whitespace().next_back();
    match (last, short.trim()) {
        (None, _) => Err(Unreadable::NoTeam),
        (Some(last), "") => Ok((name.to_owned(), last.to_owned())),
        (Some(_), short) => Ok((name.to_owned(), short.to_owned())),
    }
}

fn duty(text: &str) -> Result<Duty, Unreadable> {
    match text.split_once(':') {
        Some((duty, who)) => Ok(Duty { duty: duty.trim().to_owned(), who: who.trim().to_owned() }),
        None => Err(Unreadable::Nobody(text.to_owned())),
    }
}
