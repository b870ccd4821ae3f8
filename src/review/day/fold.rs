//! The state of a game's day: a fold of its events, and nothing else.

use super::{By, Ending, Event, Opened, Stamped, play_words};
use crate::event::Called;
use crate::gate::{Initiator, Stop};
use rules::book::Book;
use rules::game::advance::Advance;
use rules::game::situation::Situation;

/// How far the game has come.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub enum Phase {
    /// Not opened.
    #[default]
    New,
    /// It is on, from its card to its last play.
    Open,
    /// It is over.
    Closed,
}

/// Whether replay can be used.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub enum Service {
    /// It can.
    #[default]
    In,
    /// It cannot.
    Out {
        /// The reason given.
        reason: String,
        /// What both coaches were told.
        words: String,
    },
}

/// An item of the checklist.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Check {
    /// The item.
    pub item: String,
    /// It is done.
    pub done: bool,
}

/// One play, the coming one included.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Play {
    /// The situation at its snap.
    pub at: Situation,
    /// What it did; none while it has not been said, or a ruling said it.
    pub did: Option<Advance>,
    /// It was looked at without a stop.
    pub looked: bool,
    /// The reviews of it, by id.
    pub reviews: Vec<String>,
    /// Replay could be used when it came up.
    pub replay: bool,
}

/// What became of a play in the booth.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Fate {
    /// It was reviewed, or a review was asked for.
    Reviewed,
    /// It was looked at without a stop.
    Looked,
    /// It was not looked at.
    NotLooked,
    /// It could not be looked at.
    NoReplay,
}

/// A review of the day.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Reviewed {
    /// Its id.
    pub review: String,
    /// The play, from 0.
    pub play: usize,
    /// How it ended; none while it is on.
    pub ended: Option<Ending>,
}

/// A game's day as its events leave it.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Day {
    /// How far it has come.
    pub phase: Phase,
    /// Card, book and edition.
    pub opened: Option<Opened>,
    /// The checklist.
    pub checks: Vec<Check>,
    /// The plays, in order; the last one is the coming one.
    pub plays: Vec<Play>,
    /// The reviews, in order.
    pub reviews: Vec<Reviewed>,
    /// Whether replay can be used.
    pub service: Service,
    /// All events so far, those taken back among them.
    events: Vec<Stamped>,
    /// Numbers of the changes that were taken back.
    undone: Vec<usize>,
}

/// The state after these events.
pub fn fold(events: impl IntoIterator<Item = Stamped>) -> Day {
    let mut day = Day::default();
    events.into_iter().for_each(|event| day.apply(event));
    day
}

impl Play {
    /// What became of it.
    pub fn fate(&self) -> Fate {
        match (self.reviews.is_empty(), self.looked, self.replay) {
            (false, _, _) => Fate::Reviewed,
            (true, true, _) => Fate::Looked,
            (true, false, true) => Fate::NotLooked,
            (true, false, false) => Fate::NoReplay,
        }
    }
}

impl Day {
    /// Takes in one more event. Events come from `decide` or from a log that verified, so this never fails; an
    /// event that makes no sense here changes nothing but the list.
    pub fn apply(&mut self, stamped: Stamped) {
        match &stamped.event {
            Event::Undone { act } => {
                self.undone.push(*act);
                let events = std::mem::take(&mut self.events);
                let undone = std::mem::take(&mut self.undone);
                // What a change that was taken back had led to goes with it.
                *self = Day::default();
                for (number, event) in events.iter().enumerate() {
                    if !undone.contains(&number) {
                        self.take(&event.event);
                    }
                }
                (self.events, self.undone) = (events, undone);
            }
            other => self.take(other),
        }
        self.events.push(stamped);
    }

    fn take(&mut self, event: &Event) {
        match event {
            Event::Opened(opened) => {
                self.phase = Phase::Open;
                let item = |item: &String| Check { item: item.clone(), done: false };
                self.checks = opened.checklist.iter().map(item).collect();
                self.opened = Some((**opened).clone());
            }
            Event::Checked { item, done } => {
                if let Some(check) = self.checks.iter_mut().find(|check| check.item == *item) {
                    check.done = *done;
                }
            }
            Event::Moved { to, by } => self.moved(*to, by),
            Event::Looked { play } => {
                if let Some(play) = self.plays.get_mut(*play) {
                    play.looked = true;
                }
            }
            Event::ReviewBegan { review, play } => {
                let number = *play;
                if let Some(play) = self.plays.get_mut(number) {
                    play.reviews.push(review.clone());
                    self.reviews.push(Reviewed { review: review.clone(), play: number, ended: None });
                }
            }
            Event::ReviewEnded { review, how, to } => self.review_ended(review, *how, *to),
            Event::OutOfService { reason, words } => {
                self.service = Service::Out { reason: reason.clone(), words: words.clone() };
                if let Some(play) = self.plays.last_mut() {
                    play.replay = false;
                }
            }
            Event::BackInService { .. } => {
                self.service = Service::In;
                if let Some(play) = self.plays.last_mut() {
                    play.replay = true;
                }
            }
            Event::Closed => self.phase = Phase::Closed,
            Event::Reopened { .. } => self.phase = Phase::Open,
            Event::Undone { .. } => {}
        }
    }

    fn moved(&mut self, to: Situation, by: &By) {
        match (by, self.plays.last_mut()) {
            (By::Play(did), Some(play)) => {
                play.did = Some(*did);
                self.come_up(to);
            }
            (By::Set | By::Correction { .. } | By::Timeout(_) | By::Period, Some(play)) => play.at = to,
            (By::Set | By::Correction { .. } | By::Timeout(_) | By::Period | By::Play(_), None) => {
                self.come_up(to)
            }
        }
    }

    fn come_up(&mut self, at: Situation) {
        let replay = self.service == Service::In;
        self.plays.push(Play { at, did: None, looked: false, reviews: Vec::new(), replay });
    }

    fn review_ended(&mut self, review: &str, how: Ending, to: Option<Situation>) {
        let Some(reviewed) = self.reviews.iter_mut().find(|reviewed| reviewed.review == review) else {
            return;
        };
        reviewed.ended = Some(how);
        let play = reviewed.play;
        let Some(to) = to else { return };
        match how {
            // The ruling says how the coming play ended: the next one comes up.
            Ending::Ruled if play + 1 == self.plays.len() => self.come_up(to),
            Ending::Ruled | Ending::Refused | Ending::Withdrawn | Ending::CutShort => {
                if let Some(play) = self.plays.last_mut() {
                    play.at = to;
                }
            }
        }
    }

    /// The situation before the coming play.
    pub fn situation(&self) -> Option<Situation> {
        self.plays.last().map(|play| play.at)
    }

    /// The newest play that was run, else the coming one: what the booth speaks of between two snaps.
    pub fn newest_run(&self) -> Option<usize> {
        let last = self.plays.len().checked_sub(1)?;
        Some(last.saturating_sub(1))
    }

    /// The review that is on.
    pub fn review(&self) -> Option<&Reviewed> {
        self.reviews.last().filter(|reviewed| reviewed.ended.is_none())
    }

    /// A review of this play as it is to be called: the situation at its snap, with the timeouts and challenges
    /// that the teams have now.
    pub fn call(&self, book: &Book, play: usize, initiator: Initiator, stop: Stop) -> Option<Called> {
        let (card, now) = (&self.opened.as_ref()?.card, self.situation()?);
        let at = self.plays.get(play)?.at;
        Some(Called {
            game: card.game.clone(),
            week: card.week,
            play: play_words(book, &at),
            initiator,
            stop,
            situation: Situation { timeouts: now.timeouts, challenges: now.challenges, ..at },
        })
    }

    /// All events so far.
    pub fn events(&self) -> &[Stamped] {
        &self.events
    }

    /// The events that were not taken back, with their numbers.
    pub fn standing(&self) -> impl DoubleEndedIterator<Item = (usize, &Stamped)> {
        self.events.iter().enumerate().filter(|(number, _)| !self.undone.contains(number))
    }

    /// How the situation came about: every change that stands, with the number of its event and what it led to.
    pub fn ledger(&self) -> impl Iterator<Item = (usize, &Stamped, Situation)> {
        self.standing().filter_map(|(number, stamped)| match &stamped.event {
            Event::Moved { to, .. } | Event::ReviewEnded { to: Some(to), .. } => Some((number, stamped, *to)),
            Event::Opened(_)
            | Event::Checked { .. }
            | Event::Undone { .. }
            | Event::Looked { .. }
            | Event::ReviewBegan { .. }
            | Event::ReviewEnded { to: None, .. }
            | Event::OutOfService { .. }
            | Event::BackInService { .. }
            | Event::Closed
            | Event::Reopened { .. } => None,
        })
    }
}
