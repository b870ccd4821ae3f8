//! The referee's own ruling: safety first, then facts, why, profit, precedents, remedies, words, signature.
//!
//! A state machine: a message in, an action out. Acts are written to the log first and shown by `refresh`. No remedy
//! is selected before the referee selects one.

mod disqualified;
mod keys;
mod sheet;
mod view;

pub(crate) use keys::{Act, KEYS};
pub(crate) use sheet::{Beside, Sheet, beside};
pub(crate) use view::view;

use crate::keys::shown;
use iced::widget::Id;
use review::discretion::fold::Phase;
use review::discretion::{Command, Fact, Profit, Started};
use review::refusal::Refusal;

#[derive(Debug, Clone)]
pub(crate) struct Referee {
    sheet: Sheet,
    /// Index of the selected remedy.
    remedy: Option<usize>,
    /// Index of the selected precedent.
    precedent: usize,
    /// Who started it, until the referee says whether a foul would reward that side.
    started: Option<Started>,
    typing: Option<Typing>,
    told: Option<String>,
}

#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Typing {
    pub what: What,
    pub text: String,
}

/// What a line is typed for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum What {
    /// Who is at risk.
    Risk,
    /// What it is about, a colon, what it says.
    Fact,
    /// Why the book does not cover it.
    Because,
    /// Why this remedy, which a bound of the book restricts.
    Reason(String),
    Rule,
    /// A player who is disqualified: team, position, number, a comma, what for.
    Disqualified,
    /// The announcement.
    Words,
    /// The title of the precedent.
    Title,
    /// Why it ends without a ruling.
    End,
}

#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Message {
    Act(Act),
    Remedy(usize),
    Precedent(usize),
    Typed(String),
    Submit,
}

#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Action {
    None,
    Focus(Id),
    Do(Command),
    /// Propose it as a precedent with this title.
    Propose(String),
    /// Leave the screen; the ruling stays open.
    Back,
    /// The ruling is over: its result is taken over.
    Over,
}

pub(crate) fn line_id() -> Id {
    Id::new("referee line")
}

impl Referee {
    pub(crate) fn new(sheet: Sheet) -> Referee {
        Referee { sheet, remedy: None, precedent: 0, started: None, typing: None, told: None }
    }

    /// Shows the ruling as it stands now.
    pub(crate) fn refresh(&mut self, sheet: Sheet) {
        self.sheet = sheet;
        (self.typing, self.told, self.started) = (None, None, None);
    }

    pub(crate) fn tell(&mut self, words: String) {
        self.told = Some(words);
    }

    /// Shows why a command was refused. If a reason would carry it, opens the line for one, to be focused.
    pub(crate) fn refused(&mut self, command: &Command, no: &Refusal) -> Option<Id> {
        self.told = Some(format!("{}; {}", no.because, no.instead));
        match command {
            Command::Choose { remedy, .. } if no.reason_carries => {
                self.open_line(What::Reason(remedy.clone()));
                Some(line_id())
            }
            _ => None,
        }
    }

    pub(crate) fn line(&self) -> Option<&str> {
        self.typing.as_ref().map(|typing| typing.text.as_str())
    }

    pub(crate) fn update(&mut self, message: Message) -> Action {
        match message {
            Message::Act(act) => self.act(act),
            Message::Remedy(number) => {
                self.remedy = Some(number);
                Action::None
            }
            Message::Precedent(number) => {
                self.precedent = number;
                self.read()
            }
            Message::Typed(text) => {
                if let Some(typing) = &mut self.typing {
                    typing.text = text;
                }
                Action::None
            }
            Message::Submit => self.submit(),
        }
    }

    fn act(&mut self, act: Act) -> Action {
        self.told = None;
        let first = matches!(self.sheet.phase, Phase::New | Phase::Safety | Phase::AtRisk);
        match act {
            Act::No if first => Action::Do(Command::Risk { someone: None }),
            Act::Yes if first => self.begin(What::Risk),
            Act::No => self.profit(false),
            Act::Yes => self.profit(true),
            Act::Risk => self.begin(What::Risk),
            // If neither side started it, a foul rewards nobody.
            Act::Started(Started::Neither) => {
                Action::Do(Command::Profit(Profit { started: Started::Neither, rewards: false }))
            }
            Act::Started(side) => {
                self.started = Some(side);
                Action::None
            }
            Act::Fact => self.begin(What::Fact),
            Act::Because => self.begin(What::Because),
            Act::Disqualify if self.sheet.limits.is_none() => {
                self.told = Some("the book lets the referee disqualify nobody".to_owned());
                Action::None
            }
            Act::Disqualify => self.begin(What::Disqualified),
            Act::Rule => self.begin(What::Rule),
            Act::Words => self.begin(What::Words),
            Act::Title => self.begin(What::Title),
            Act::End => self.begin(What::End),
            Act::RemedyUp => self.point(-1),
            Act::RemedyDown => self.point(1),
            Act::PrecedentOn => {
                self.precedent = (self.precedent + 1) % self.sheet.near.len().max(1);
                Action::None
            }
            Act::PrecedentBack => {
                let count = self.sheet.near.len().max(1);
                self.precedent = (self.precedent + count - 1) % count;
                Action::None
            }
            Act::Read => self.read(),
            Act::On => self.on(),
            Act::ReadBack => Action::Do(Command::ReadBack),
            Act::Sign => Action::Do(Command::Sign),
            Act::Back if self.typing.take().is_some() => Action::None,
            Act::Back if self.sheet.over() => {
                self.told = Some(format!("the ruling is over; {} returns to the game", shown(KEYS, Act::On)));
                Action::None
            }
            Act::Back => Action::Back,
        }
    }

    /// Chooses the selected remedy; once the ruling is over, on with the game.
    fn on(&mut self) -> Action {
        if self.sheet.over() {
            return Action::Over;
        }
        let pointed = self.remedy.and_then(|number| self.sheet.offers.get(number));
        match pointed {
            Some(offer) => Action::Do(Command::Choose { remedy: offer.name.clone(), reason: None }),
            None => {
                self.told = Some("no remedy is selected: use the arrow keys".to_owned());
                Action::None
            }
        }
    }

    fn profit(&mut self, rewards: bool) -> Action {
        match self.started.or(self.sheet.profit.map(|profit| profit.started)) {
            Some(started) => Action::Do(Command::Profit(Profit { started, rewards })),
            None => {
                self.told = Some("say first who started it".to_owned());
                Action::None
            }
        }
    }

    fn point(&mut self, by: isize) -> Action {
        let count = self.sheet.offers.len();
        self.remedy = match self.remedy {
            _ if count == 0 => None,
            None => Some(0),
            Some(number) => Some(number.saturating_add_signed(by).min(count - 1)),
        };
        Action::None
    }

    fn read(&mut self) -> Action {
        match self.sheet.near.get(self.precedent) {
            Some(near) => Action::Do(Command::Read { precedent: near.id.clone() }),
            None => Action::None,
        }
    }

    fn begin(&mut self, what: What) -> Action {
        self.open_line(what);
        Action::Focus(line_id())
    }

    /// Opens a line. An announcement begins with one made from the remedy, to be typed over.
    fn open_line(&mut self, what: What) {
        let sheet = &self.sheet;
        let text = match &what {
            What::Because => &sheet.because,
            What::Rule => &sheet.rule,
            What::Words if sheet.words.is_none() => &sheet.suggested,
            What::Words => &sheet.words,
            What::Risk | What::Fact | What::Reason(_) | What::Disqualified | What::Title | What::End => &None,
        };
        self.typing = Some(Typing { what, text: text.clone().unwrap_or(String::new()) });
    }

    fn submit(&mut self) -> Action {
        let Some(Typing { what, text }) = self.typing.clone() else { return Action::None };
        match what {
            What::Risk => Action::Do(Command::Risk { someone: Some(text) }),
            What::Fact => {
                let (name, says) = text.split_once(':').unwrap_or((text.as_str(), ""));
                let (name, says) = (name.trim().to_owned(), says.trim().to_owned());
                Action::Do(Command::State(Fact { name, says, mark: None }))
            }
            What::Because => Action::Do(Command::Unreached { because: text }),
            What::Reason(remedy) => Action::Do(Command::Choose { remedy, reason: Some(text) }),
            What::Disqualified => match self.sheet.limits.as_ref().map(|limits| limits.with(&text)) {
                Some(Ok(players)) => Action::Do(Command::Disqualify { players }),
                Some(Err(unread)) => {
                    self.told = Some(unread.to_string());
                    Action::None
                }
                None => Action::None,
            },
            What::Rule => Action::Do(Command::Lean { rule: text }),
            What::Words => Action::Do(Command::Word { words: text }),
            What::Title => Action::Propose(text),
            What::End => Action::Do(Command::Abandon { reason: text }),
        }
    }
}

#[cfg(test)]
impl Referee {
    pub(super) fn shown(&self) -> Option<&str> {
        self.told.as_deref()
    }

    pub(super) fn sheet(&self) -> &Sheet {
        &self.sheet
    }

    pub(super) fn remedy(&self) -> Option<usize> {
        self.remedy
    }
}
