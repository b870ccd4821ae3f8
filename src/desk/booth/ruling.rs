//! The ruling: shown before it is signed, then read back, then announced.
//!
//! Decides nothing: it shows the engine's ruling and what each choice of the offended team would lead to.

mod keys;
mod view;

pub(crate) use keys::{Act, KEYS};
pub(crate) use view::view;

use super::board::{Board, boards, missing};
use super::situation_line;
use super::typed::Ground;
use super::undone::Undone;
use crate::keys::shown;
use crate::stills::Kept;
use iced::widget::Id;
use review::as_announced::as_announced;
use review::decide::{Command, Desk, now, questions};
use review::event::{Event, Override, Texts};
use review::fold::{Phase, Review, Stamped};
use review::stamp::Stamp;
use rules::game::enforce::Enforced;
use rules::game::play::Choice;
use rules::game::situation::Situation;

#[derive(Debug, Clone)]
pub(crate) struct Ruling {
    phase: Phase,
    boards: Vec<Board>,
    weighed: Option<Weighed>,
    /// The corrected restart as typed, and what is wrong with it.
    typing: Option<(String, Option<String>)>,
    /// Why the last act was not done, and what to do instead.
    told: Option<(String, String)>,
    stills: Vec<Kept>,
}

/// A ruling as it is shown.
#[derive(Debug, Clone)]
pub(crate) struct Weighed {
    /// The outcome of each question in the book's words, and its finding.
    pub outcomes: Vec<(String, Option<String>)>,
    pub before: Situation,
    pub after: Situation,
    pub words: Texts,
    /// What the restart still needs.
    pub needs: Vec<String>,
    /// A mark is among it.
    pub needs_mark: bool,
    pub fouls: Vec<Enforced>,
    /// One for each flag of the crew.
    pub choices: Vec<Choices>,
    pub overrides: Vec<Override>,
    /// The book leaves it to the referee, who has not ruled yet.
    pub left: bool,
}

/// A flag, and the game after each choice of the offended team.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Choices {
    pub penalty: String,
    pub stands: Option<Choice>,
    pub accepted: Situation,
    pub declined: Situation,
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
    /// Accept or decline these.
    Penalties(Vec<Choices>),
    Referee,
    Walk,
    /// Back to the walk, with the line open for the mark that the restart needs.
    Mark,
    /// The review is over: back to the game.
    Over,
}

pub(crate) fn line_id() -> Id {
    Id::new("ruling line")
}

impl Ruling {
    pub(crate) fn new(desk: Desk<'_>, review: &Review, at: &Stamp, stills: Vec<Kept>) -> Ruling {
        let mut ruling = Ruling {
            phase: review.phase,
            boards: Vec::new(),
            weighed: None,
            typing: None,
            told: None,
            stills,
        };
        ruling.refresh(desk, review, at);
        ruling
    }

    /// Shows the review as it stands now.
    pub(crate) fn refresh(&mut self, desk: Desk<'_>, review: &Review, at: &Stamp) {
        self.phase = review.phase;
        (self.told, self.typing) = (None, None);
        self.boards = boards(desk, review, at).boards;
        self.weighed = match &review.ruling {
            Some(snapshot) => Some(Weighed {
                outcomes: snapshot
                    .questions
                    .iter()
                    .map(|found| (found.label.clone(), found.finding.clone()))
                    .collect(),
                before: review.situation().unwrap_or(snapshot.after),
                after: coming(desk, snapshot.after),
                words: snapshot.words.clone(),
                needs: Vec::new(),
                needs_mark: false,
                fouls: snapshot.fouls.clone(),
                choices: Vec::new(),
                overrides: snapshot.overrides.clone(),
                left: false,
            }),
            // A review that ended without a ruling has nothing to announce.
            None => match review.phase {
                Phase::Withdrawn | Phase::CutShort | Phase::Refused => None,
                Phase::New
                | Phase::Called
                | Phase::Admitted
                | Phase::Open
                | Phase::Ruled
                | Phase::ReadyToAnnounce
                | Phase::Announced => weigh(desk, review, at),
            },
        };
    }

    /// Shows why an act was not done, and what to do instead.
    pub(crate) fn refused(&mut self, because: String, instead: &str) {
        self.told = Some((because, instead.to_owned()));
    }

    /// Shows why a command was not written.
    pub(crate) fn undone(&mut self, undone: Undone) {
        self.told = Some(undone.parts("nothing was written; try again"));
    }

    pub(crate) fn update(&mut self, message: Message, ground: Ground<'_>) -> Action {
        let act = match message {
            Message::Act(act) => act,
            Message::Typed(text) => {
                self.typing = self.typing.is_some().then_some((text, None));
                return Action::None;
            }
            Message::Submit => return self.submit(ground),
        };
        let open = self.phase == Phase::Open;
        match act {
            Act::Sign if open => Action::Do(Command::Rule),
            Act::ReadBack if self.phase == Phase::Ruled => Action::Do(Command::ReadBackRestart),
            Act::Announce if self.phase == Phase::ReadyToAnnounce => Action::Do(Command::Announce),
            Act::On => self.on(),
            Act::Penalties if open => self.penalties(),
            Act::Amend if open => {
                let Some(weighed) = &self.weighed else { return Action::None };
                let line = situation_line::write(Ground { situation: &weighed.after, ..ground });
                self.typing = Some((format!("{line} ; "), None));
                Action::Focus(line_id())
            }
            Act::Referee if open => Action::Referee,
            Act::Mark if open => self.mark(),
            Act::Back if self.typing.take().is_some() => Action::None,
            Act::Back if open => Action::Walk,
            Act::Sign
            | Act::ReadBack
            | Act::Announce
            | Act::Penalties
            | Act::Amend
            | Act::Referee
            | Act::Mark
            | Act::Back => Action::None,
        }
    }

    fn mark(&mut self) -> Action {
        if self.weighed.as_ref().is_some_and(|weighed| weighed.needs_mark) {
            return Action::Mark;
        }
        self.told = Some(("the restart needs no mark".to_owned(), "go back to the steps".to_owned()));
        Action::None
    }

    /// On with the game once the review is over; before that, shows what comes first and its key.
    fn on(&mut self) -> Action {
        let (because, act, does) = match self.phase {
            Phase::Announced | Phase::Withdrawn | Phase::CutShort | Phase::Refused => return Action::Over,
            Phase::Ruled => ("the restart has not been read back yet", Act::ReadBack, "confirms it"),
            Phase::ReadyToAnnounce => ("it has not been announced yet", Act::Announce, "confirms it"),
            Phase::New | Phase::Called | Phase::Admitted | Phase::Open => {
                ("nothing is signed yet", Act::Sign, "signs it")
            }
        };
        self.told = Some((because.to_owned(), format!("{} {does}", shown(KEYS, act))));
        Action::None
    }

    pub(crate) fn line(&self) -> Option<&str> {
        self.typing.as_ref().map(|(text, _)| text.as_str())
    }

    /// Amends the restart as typed.
    fn submit(&mut self, ground: Ground<'_>) -> Action {
        let (Some((text, wrong)), Some(weighed)) = (&mut self.typing, &self.weighed) else {
            return Action::None;
        };
        match situation_line::read(text, Ground { situation: &weighed.after, ..ground }) {
            Ok((after, reason)) => {
                Action::Do(Command::Amend { after, reason: reason.unwrap_or(String::new()) })
            }
            Err(unread) => {
                *wrong = Some(unread.to_string());
                Action::None
            }
        }
    }

    /// The fouls that stand, to be accepted or declined.
    fn penalties(&mut self) -> Action {
        match self.weighed.as_ref().map(|weighed| weighed.choices.clone()) {
            Some(standing) if !standing.is_empty() => Action::Penalties(standing),
            Some(_) | None => {
                self.told = Some(("no foul stands".to_owned(), "flags are typed in the walk".to_owned()));
                Action::None
            }
        }
    }
}

/// The fouls that stand in a review, and what each choice would lead to.
pub(crate) fn standing(desk: Desk<'_>, review: &Review, at: &Stamp) -> Vec<Choices> {
    weigh(desk, review, at).map_or_else(Vec::new, |weighed| weighed.choices)
}

/// The situation that a signed ruling leads to in the day.
fn coming(desk: Desk<'_>, ruled: Situation) -> Situation {
    desk.under_review().map_or(ruled, |(day, play)| day.after_ruling(desk.book, play, ruled))
}

/// The ruling that would be signed now, and what each choice would lead to.
fn weigh(desk: Desk<'_>, review: &Review, at: &Stamp) -> Option<Weighed> {
    let Desk { book, names, .. } = desk;
    let asked = questions(book, review);
    let ruling = now(book, review, &asked).ok().filter(|_| !asked.is_empty())?;
    let before = review.situation()?;
    let announced = as_announced(desk, review, &ruling);
    let outcomes = asked.iter().zip(&ruling.questions).map(|(question, decided)| {
        let label = review::ruling::label(book, decided.outcome).to_owned();
        (label, decided.finding.map(|finding| question.tree.findings[finding].name.clone()))
    });
    let after = |penalty: &str, choice: Choice| {
        let mut other = review.clone();
        other.apply(Stamped { at: at.clone(), event: Event::Chosen { penalty: penalty.to_owned(), choice } });
        let asked = questions(book, &other);
        now(book, &other, &asked).map(|ruling| ruling.restart.after).ok()
    };
    let choices = ruling.restart.chosen_as.iter().filter_map(|foul| {
        let (accepted, declined) = (after(foul, Choice::Accept)?, after(foul, Choice::Decline)?);
        Some(Choices { penalty: foul.clone(), stands: review.choice(foul), accepted, declined })
    });
    Some(Weighed {
        outcomes: outcomes.collect(),
        before,
        after: announced.ruling.restart.after,
        words: announced.words(book, names, &asked),
        needs: ruling.restart.open.iter().map(ToString::to_string).collect(),
        needs_mark: !missing(&ruling.restart.open).is_empty(),
        fouls: ruling.restart.fouls.clone(),
        choices: choices.collect(),
        overrides: review.overrides(),
        left: ruling.restart.discretion && review.amended().is_none(),
    })
}

#[cfg(test)]
impl Ruling {
    pub(super) fn shown(&self) -> Option<&(String, String)> {
        self.told.as_ref()
    }

    pub(super) fn phase(&self) -> Phase {
        self.phase
    }

    pub(super) fn weighed(&self) -> Option<&Weighed> {
        self.weighed.as_ref()
    }
}
