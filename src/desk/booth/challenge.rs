//! The challenge: who asks, about which question, against which call; the gate's answer; the call read back.
//!
//! The gate is asked at every key, so its answer is on the screen before anything is written.

mod keys;
mod read_back;
mod view;

pub(crate) use keys::{Act, KEYS};
pub(crate) use view::view;

use self::read_back::Ended;
use super::typed::Ground;
use super::undone::Undone;
use crate::keys::shown;
use iced::widget::Id;
use review::day::as_run::AsRun;
use review::decide::Command;
use review::event::Asked;
use review::find::{Sought, What, find};
use review::fold::{Phase, Review};
use review::gate;
use review::gate::{Entry, Gate, Initiator, Ruled, Stop, Subject};
use rules::book::Book;
use rules::game::situation::{Situation, Team};

#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Challenge {
    stage: Stage,
    /// The plays that can be challenged; the first is selected.
    plays: Vec<Candidate>,
    who: Initiator,
    stop: Stop,
    search: String,
    /// The likely ones first.
    found: Vec<Found>,
    /// Index of the selected question.
    at: usize,
    /// Index of the call on the field.
    call: usize,
    /// The moment of an earlier whistle.
    whistle: Option<String>,
    /// What else the crew ruled.
    ruled: Vec<Ruled>,
    /// Found during an open review, not challenged.
    on_the_way: bool,
    read_back: String,
    ended: Ended,
    /// The play as it was entered between plays.
    ran: AsRun,
    /// The gate refused the review: leaving ends it at its price.
    refused: bool,
    wrong: Option<String>,
    /// What the gate would answer.
    gate: Option<Gate>,
}

/// A play that can be challenged.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Candidate {
    /// From 0.
    pub number: usize,
    pub at_snap: Situation,
    pub ran: AsRun,
}

/// A question, or something that is closed to review.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Found {
    /// The id of the question's tree, or the name of what is closed.
    pub id: String,
    pub title: String,
    pub cite: String,
    /// The gate allows a review of at least one of its calls.
    pub allowed: bool,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Stage {
    Who,
    /// Which question.
    Find,
    /// Which call, and its whistle.
    Call,
    Refused,
    /// Leaving a refused challenge, to be confirmed; its price is shown.
    Leaving,
    ReadBack,
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
    Begin {
        play: usize,
        who: Initiator,
        stop: Stop,
        asked: Asked,
    },
    Do(Command),
    /// Back to the previous screen.
    Leave,
    /// End the refused review at its price.
    End,
}

/// Who can ask for a review, in the order of the digits that choose them.
const INITIATORS: [Initiator; 4] =
    [Initiator::Coach(Team::Home), Initiator::Coach(Team::Away), Initiator::Booth, Initiator::Referee];

pub(crate) fn line_id() -> Id {
    Id::new("challenge line")
}

impl Challenge {
    /// A new challenge of one of these plays; none if a review is open already.
    pub(crate) fn new(plays: Vec<Candidate>) -> Challenge {
        let ran = plays.first().map_or_else(AsRun::default, |play| play.ran.clone());
        let mut challenge = Challenge {
            stage: Stage::Who,
            plays,
            who: Initiator::Coach(Team::Home),
            stop: Stop::BeforeNextSnap,
            search: String::new(),
            found: Vec::new(),
            at: 0,
            call: 0,
            whistle: None,
            ruled: Vec::new(),
            on_the_way: false,
            read_back: String::new(),
            ended: Ended::Down,
            ran: AsRun::default(),
            refused: false,
            wrong: None,
            gate: None,
        };
        challenge.starts_from(ran);
        challenge
    }

    /// The call on the field is the play as it was entered.
    fn starts_from(&mut self, ran: AsRun) {
        self.ended = ran.end.map_or(Ended::Down, Ended::AsEntered);
        self.ruled = ran.ruled.clone();
        self.ran = ran;
    }

    /// Another question for the open review of a play that ran like this.
    pub(crate) fn another(
        book: &Book,
        situation: &Situation,
        (who, stop): (Initiator, Stop),
        ran: AsRun,
    ) -> Challenge {
        let mut challenge =
            Challenge { who, stop, on_the_way: true, stage: Stage::Find, ..Challenge::new(Vec::new()) };
        challenge.starts_from(ran);
        challenge.search(book, situation);
        challenge
    }

    /// A challenge that was left, where it stands.
    pub(crate) fn resumed(book: &Book, review: &Review, ground: Ground<'_>, ran: AsRun) -> Challenge {
        let mut challenge = Challenge::new(Vec::new());
        challenge.starts_from(ran);
        if let Some(called) = &review.called {
            (challenge.who, challenge.stop) = (called.initiator, called.stop);
        }
        challenge.search(book, ground.situation);
        challenge.after(review, ground);
        challenge
    }

    /// The call of an open review, to be read back once more as it was.
    pub(crate) fn read_back_again(book: &Book, review: &Review, ground: Ground<'_>) -> Challenge {
        let Some(read) = review.read_back.clone() else {
            return Challenge::resumed(book, review, ground, AsRun::default());
        };
        let ran = AsRun { end: read.end, ..AsRun::default() };
        let mut challenge = Challenge::resumed(book, review, ground, ran);
        challenge.read_back = read_back::line(read.end, (read.spot, read.clock_ms), ground);
        challenge.stage = Stage::ReadBack;
        challenge
    }

    /// Shows where the review stands now. The read-back begins with spot and clock of the play as it was entered, else
    /// of the snap, to be typed over.
    pub(crate) fn after(&mut self, review: &Review, ground: Ground<'_>) {
        if review.phase == Phase::Admitted && self.read_back.is_empty() {
            let end = self.ran.end;
            let ended = (end.map(|end| end.spot), end.and_then(|end| end.clock_ms));
            self.read_back = read_back::line(end, ended, ground);
        }
        self.refused = review.phase == Phase::Refused;
        self.stage = match review.phase {
            Phase::New => Stage::Who,
            Phase::Called => Stage::Find,
            Phase::Refused => Stage::Refused,
            Phase::Admitted => Stage::ReadBack,
            Phase::Open
            | Phase::Ruled
            | Phase::ReadyToAnnounce
            | Phase::Announced
            | Phase::Withdrawn
            | Phase::CutShort => self.stage,
        };
    }

    pub(crate) fn undone(&mut self, undone: &Undone) {
        self.wrong = Some(undone.to_string());
    }

    /// The situation at the snap of the selected play; none if a review is open already.
    pub(crate) fn situation(&self) -> Option<Situation> {
        self.plays.first().map(|play| play.at_snap)
    }

    pub(crate) fn line(&self) -> Option<&str> {
        match self.stage {
            Stage::Find => Some(&self.search),
            Stage::ReadBack => Some(&self.read_back),
            Stage::Who | Stage::Call | Stage::Refused | Stage::Leaving => None,
        }
    }

    pub(crate) fn pointed(&self) -> Option<&Found> {
        self.found.get(self.at)
    }

    /// The question as it would be asked now.
    pub(crate) fn asked(&self, book: &Book) -> Option<Asked> {
        let found = self.pointed()?;
        let call = match book.tree(&found.id) {
            Some(tree) => tree.calls.get(self.call)?.name.clone(),
            // What is closed to review has no calls of its own.
            None => String::new(),
        };
        Some(Asked {
            tree: found.id.clone(),
            call,
            whistle: self.whistle.clone(),
            ruled: self.ruled.clone(),
            entry: if self.on_the_way { Entry::FoundOnTheWay } else { Entry::Challenged },
        })
    }

    fn search(&mut self, book: &Book, situation: &Situation) {
        let sought = Sought {
            situation,
            initiator: self.who,
            stop: self.stop,
            ruled: &self.ruled,
            words: &self.search,
        };
        let found = find(book, sought).into_iter().map(|candidate| {
            let allowed = candidate.allowed();
            let (id, title, cite) = match candidate.what {
                What::Question { tree, .. } => (&*tree.id, &*tree.title, &*tree.cite),
                What::Closed { name, closed } => (name, name, &*closed.cite),
            };
            Found { id: id.to_owned(), title: title.to_owned(), cite: cite.to_owned(), allowed }
        });
        self.found = found.collect();
        self.at = 0;
        self.picked(book, situation);
    }

    /// Resets call and whistle for the question that was selected.
    fn picked(&mut self, book: &Book, situation: &Situation) {
        (self.call, self.whistle) = (0, None);
        self.ask_the_gate(book, situation);
    }

    fn ask_the_gate(&mut self, book: &Book, situation: &Situation) {
        self.gate = self.asked(book).and_then(|asked| {
            let subject =
                Subject { name: &asked.tree, call: &asked.call, ruled: &asked.ruled, entry: asked.entry };
            gate::gate(book, situation, self.who, self.stop, &subject).ok()
        });
    }

    pub(crate) fn update(&mut self, message: Message, book: &Book, ground: Ground<'_>) -> Action {
        let situation = ground.situation;
        match message {
            Message::Typed(typed) => {
                self.wrong = None;
                match self.stage {
                    Stage::Find => {
                        self.search = typed;
                        self.search(book, situation);
                    }
                    Stage::ReadBack => self.read_back = typed,
                    Stage::Who | Stage::Call | Stage::Refused | Stage::Leaving => {}
                }
                Action::None
            }
            Message::Point(at) => {
                self.at = at;
                self.picked(book, situation);
                self.stage = Stage::Call;
                Action::None
            }
            Message::Submit => self.submit(ground),
            Message::Act(act) => self.act(act, book, ground),
        }
    }

    fn act(&mut self, act: Act, book: &Book, ground: Ground<'_>) -> Action {
        let situation = ground.situation;
        self.wrong = None;
        match act {
            Act::Choose(number) => self.choose(usize::from(number), book, situation),
            Act::Up => self.point(book, situation, -1),
            Act::Down => self.point(book, situation, 1),
            Act::Whistle => self.turn_whistle(book),
            Act::Score => self.turn_ruled(Ruled::Score),
            Act::Turnover => self.turn_ruled(Ruled::Turnover),
            Act::AfterSnap => {
                self.stop = match self.stop {
                    Stop::BeforeNextSnap => Stop::AfterNextSnap,
                    Stop::AfterNextSnap => Stop::BeforeNextSnap,
                };
            }
            Act::Play => {
                if self.stage == Stage::Who {
                    self.plays.reverse();
                    if let Some(play) = self.plays.first() {
                        self.starts_from(play.ran.clone());
                    }
                }
            }
            Act::Challenged => self.on_the_way = !self.on_the_way,
            Act::Ended if self.stage == Stage::ReadBack => self.ended = self.ended.next(self.ran.end),
            Act::Ended => {}
            Act::Go => return self.submit(ground),
            Act::Confirm => return self.confirm(book),
            Act::Back => return self.back(),
        }
        self.ask_the_gate(book, situation);
        if self.stage == Stage::Find { Action::Focus(line_id()) } else { Action::None }
    }

    /// A number: who asks, or which call.
    fn choose(&mut self, number: usize, book: &Book, situation: &Situation) {
        match self.stage {
            Stage::Who => {
                if let Some(who) = INITIATORS.get(number) {
                    self.who = *who;
                    self.stage = Stage::Find;
                    self.search(book, situation);
                }
            }
            Stage::Call => {
                let calls =
                    self.pointed().and_then(|found| book.tree(&found.id)).map_or(0, |tree| tree.calls.len());
                if number < calls {
                    self.call = number;
                }
            }
            Stage::Find | Stage::Refused | Stage::Leaving | Stage::ReadBack => {}
        }
    }

    fn point(&mut self, book: &Book, situation: &Situation, by: isize) {
        if self.stage == Stage::Find {
            self.at = self.at.saturating_add_signed(by).min(self.found.len().saturating_sub(1));
            self.picked(book, situation);
        }
    }

    /// Cycles from no whistle through each moment of the question's steps.
    fn turn_whistle(&mut self, book: &Book) {
        let Some(tree) = self.pointed().and_then(|found| book.tree(&found.id)) else { return };
        let mut moments: Vec<&str> = tree.steps.iter().flat_map(|step| step.proof.moments()).collect();
        let mut seen = std::collections::BTreeSet::new();
        moments.retain(|moment| *moment != "snap" && seen.insert(*moment));
        self.whistle = match &self.whistle {
            None => moments.first().map(ToString::to_string),
            Some(now) => {
                let at = moments.iter().position(|moment| moment == now);
                at.and_then(|at| moments.get(at + 1)).map(ToString::to_string)
            }
        };
    }

    fn turn_ruled(&mut self, what: Ruled) {
        match self.ruled.iter().position(|ruled| *ruled == what) {
            Some(at) => drop(self.ruled.remove(at)),
            None => self.ruled.push(what),
        }
    }

    /// Does what is shown, which may cost something.
    fn confirm(&mut self, book: &Book) -> Action {
        match (self.stage, self.asked(book)) {
            (Stage::Call, Some(asked)) => {
                let play = self.plays.first().map_or(0, |play| play.number);
                Action::Begin { play, who: self.who, stop: self.stop, asked }
            }
            (Stage::Leaving, _) => Action::End,
            (Stage::Who | Stage::Find | Stage::Call | Stage::Refused | Stage::ReadBack, _) => Action::None,
        }
    }

    fn submit(&mut self, ground: Ground<'_>) -> Action {
        match self.stage {
            Stage::Who => Action::None,
            Stage::Find => {
                if self.pointed().is_some() {
                    self.stage = Stage::Call;
                }
                Action::None
            }
            Stage::Call => {
                self.wrong = Some(format!("{} asks the gate", shown(KEYS, Act::Confirm)));
                Action::None
            }
            Stage::Refused | Stage::Leaving => {
                self.stage = Stage::Find;
                Action::Focus(line_id())
            }
            Stage::ReadBack => match read_back::read(&self.read_back, self.ended, ground) {
                Ok(read_back) => Action::Do(Command::ReadBack(read_back)),
                Err(wrong) => {
                    self.wrong = Some(wrong.to_string());
                    Action::None
                }
            },
        }
    }

    /// One step back; what was written stays. A refused challenge is not left before its price is shown.
    fn back(&mut self) -> Action {
        self.wrong = None;
        self.stage = match self.stage {
            Stage::Call => Stage::Find,
            Stage::Find | Stage::Leaving if self.refused => Stage::Refused,
            Stage::Refused => Stage::Leaving,
            Stage::Find if !self.on_the_way => Stage::Who,
            Stage::Who | Stage::Find | Stage::Leaving | Stage::ReadBack => return Action::Leave,
        };
        if self.stage == Stage::Find { Action::Focus(line_id()) } else { Action::None }
    }
}

#[cfg(test)]
impl Challenge {
    pub(super) fn gate(&self) -> Option<&Gate> {
        self.gate.as_ref()
    }

    pub(super) fn begins(&self) -> (usize, Initiator, Stop) {
        (self.plays[0].number, self.who, self.stop)
    }
}
