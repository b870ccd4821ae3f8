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
    /// The card that is corrected; `None` for that of a new game.
    was: Option<Box<GameCard>>,
    /// What became of the game before.
    told: Option<String>,
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
    (
        "cameras, the most useful first; what one sees in brackets",
        "near side (half the field), high end, low wall, far corner, scoreboard",
    ),
    ("who does what, the one at this desk first", "replay official: booth-07, radio: booth-11"),
    ("rule book", "saltmarsh"),
];

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Act {
    NextLine,
    Open,
    Games,
    Leave,
}

impl Acts for Act {
    fn writes(self) -> &'static [Written] {
        match self {
            Act::NextLine | Act::Games | Act::Leave => &[],
            Act::Open => &[Written::GameOpened, Written::CardCorrected],
        }
    }
}

pub(crate) const KEYS: &[Binding<Act>] = &[
    Binding { chords: &[plain(Cap::Tab)], act: Act::NextLine, says: "the next line of the card" },
    Binding { chords: &[plain(Cap::Enter)], act: Act::Open, says: "open the game, or correct its card" },
    Binding { chords: &[plain(Cap::F(3))], act: Act::Games, says: "the closed games of this log" },
    Binding { chords: &[plain(Cap::Escape)], act: Act::Leave, says: "leave a card that is corrected" },
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
    /// The card and its last line: the book of a new game, or why the card is corrected.
    Open(Box<GameCard>, String),
    /// The closed games of the log.
    Games,
    Back,
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
        Card { lines, was: None, told: None, wrong: None }
    }

    /// An empty card after a game that ended, with what is announced.
    pub(crate) fn after(told: Option<String>) -> Card {
        Card { told, ..Card::new() }
    }

    /// The card of an open game, to be corrected.
    pub(crate) fn of(card: &GameCard) -> Card {
        let GameCard { game, week, names, venue, cameras, duties } = card;
        let camera = |camera: &Camera| match camera.sees == camera.name {
            true => camera.name.clone(),
            false => format!("{} ({})", camera.name, camera.sees),
        };
        let lines = [
            game.clone(),
            week.map_or_else(String::new, |week| week.to_string()),
            format!("{}, {}", names.teams.home, names.short.home),
            format!("{}, {}", names.teams.away, names.short.away),
            venue.clone(),
            cameras.iter().map(camera).collect::<Vec<_>>().join(", "),
            duties.iter().map(|duty| format!("{}: {}", duty.duty, duty.who)).collect::<Vec<_>>().join(", "),
            String::new(),
        ];
        Card { lines, was: Some(Box::new(card.clone())), told: None, wrong: None }
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
            Message::Act(Act::Games) => Action::Games,
            Message::Act(Act::Leave) => Action::Back,
            Message::Act(Act::Open) => match self.read() {
                Ok((card, book)) => Action::Open(Box::new(card), book),
                Err(unreadable) => {
                    self.refuse(unreadable.to_string());
                    Action::None
                }
            },
        }
    }

    /// A camera with its clock, if the card had one of its name.
    fn timed(&self, camera: Camera) -> Camera {
        let was = self.was.iter().flat_map(|was| &was.cameras).find(|was| was.name == camera.name);
        Camera { timecode: was.and_then(|was| was.timecode.clone()), ..camera }
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
        let cameras: Vec<Camera> = cameras_of(cameras).into_iter().map(|camera| self.timed(camera)).collect();
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

/// `near side (half the field), high end`: the commas within brackets part nothing.
fn cameras_of(text: &str) -> Vec<Camera> {
    let (mut parts, mut depth) = (vec![String::new()], 0_usize);
    for letter in text.chars() {
        match letter {
            ',' if depth == 0 => parts.push(String::new()),
            _ => {
                depth = match letter {
                    '(' => depth + 1,
                    ')' => depth.saturating_sub(1),
                    _ => depth,
                };
                if let Some(part) = parts.last_mut() {
                    part.push(letter);
                }
            }
        }
    }
    let camera = |part: &String| {
        let part = part.trim();
        let sees = part.strip_suffix(')').and_then(|part| part.split_once('('));
        let (name, sees) = sees.map_or((part, part), |(name, sees)| (name.trim(), sees.trim()));
        Camera { name: name.to_owned(), sees: sees.to_owned(), timecode: None }
    };
    parts.iter().map(camera).filter(|camera| !camera.name.is_empty()).collect()
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
