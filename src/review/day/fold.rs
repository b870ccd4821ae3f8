//! The state of a game's day: a fold of its events, and nothing else.

use super::{By, Early, Ending, Event, Opened, Stamped, play_words};
use crate::event::Called;
use crate::gate::{Initiator, Stop};
use rules::book::Book;
use rules::game::advance::Advance;
use rules::game::advance::fouls::{Called as CalledFoul, Decision, Fouled};
use rules::game::situation::{ByTeam, Situation};

/// How far the game has come.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub enum Phase {
    #[default]
    New,
    Open,
    Closed,
}

/// Whether replay is in service.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub enum Service {
    #[default]
    In,
    Out {
        reason: String,
        /// What both coaches were told.
        words: String,
    },
}

/// An item of the checklist, and whether it is done.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Check {
    pub item: String,
    pub done: bool,
}

/// One play, the coming one included.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Play {
    /// At its snap.
    pub at: Situation,
    /// As it came up, before a timeout, a correction or a ruling.
    pub came: Situation,
    /// `None` until it is entered, and where a ruling decides the play.
    pub did: Option<Advance>,
    /// Called in it, as they were entered.
    pub fouls: Vec<CalledFoul>,
    /// What was decided about the fouls, in the order of asking.
    pub decided: Vec<Decision>,
    /// Looked at without a stop.
    pub looked: bool,
    /// Ids.
    pub reviews: Vec<String>,
    /// Replay was in service.
    pub replay: bool,
}

/// What became of a play in the booth.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Fate {
    /// Or a review was asked for.
    Reviewed,
    /// Looked at without a stop.
    Looked,
    /// Although replay was in service.
    NotLooked,
    /// Replay was out of service.
    NoReplay,
}

/// A review of one of the day's plays.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Reviewed {
    pub review: String,
    /// From 0.
    pub play: usize,
    /// `None` while it is on.
    pub ended: Option<Ending>,
    /// Who sat at the desk for it, one after the other; empty where the card named nobody.
    pub officials: Vec<String>,
}

/// How a closed game ended.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Ended {
    /// By the rules.
    Played,
    Early {
        how: Early,
        score: ByTeam<u16>,
        reason: String,
        /// What was announced.
        words: String,
    },
}

/// A camera that was lost.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Outage {
    pub camera: String,
    pub reason: String,
    /// Before the play at which it was lost; `None` before the first situation.
    pub from: Option<Situation>,
    pub back: bool,
    /// Before the play at which it was back.
    pub to: Option<Situation>,
}

/// A game's day as its events leave it.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Day {
    pub phase: Phase,
    pub opened: Option<Opened>,
    pub checks: Vec<Check>,
    /// In order; the last one is the coming one.
    pub plays: Vec<Play>,
    pub reviews: Vec<Reviewed>,
    pub service: Service,
    /// `None` while it is open.
    pub end: Option<Ended>,
    /// Who sits at the desk; `None` where nobody was named.
    pub official: Option<String>,
    pub outages: Vec<Outage>,
    /// How often the card was corrected.
    pub corrections: usize,
    /// Those taken back included.
    events: Vec<Stamped>,
    /// Event numbers.
    undone: Vec<usize>,
}

/// The state after these events.
pub fn fold(events: impl IntoIterator<Item = Stamped>) -> Day {
    let mut day = Day::default();
    events.into_iter().for_each(|event| day.apply(event));
    day
}

impl Play {
    /// The play with its fouls; `None` where it had none.
    pub fn fouled(&self) -> Option<Fouled> {
        let play = self.did.filter(|_| !self.fouls.is_empty())?;
        Some(Fouled { play, fouls: self.fouls.clone(), decided: self.decided.clone() })
    }

    /// What became of the play; a review counts before a look.
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
    /// Takes in one more event. Events come from `decide` or from a verified log, so this never fails; an event that
    /// makes no sense here is only listed.
    pub fn apply(&mut self, stamped: Stamped) {
        match &stamped.event {
            Event::Undone { act } => {
                self.undone.push(*act);
                let events = std::mem::take(&mut self.events);
                let undone = std::mem::take(&mut self.undone);
                // Without the change, everything that it led to is gone too.
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
                self.official = opened.card.duties.first().map(|duty| duty.who.clone());
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
                    let officials = self.official.iter().cloned().collect();
                    let review = review.clone();
                    self.reviews.push(Reviewed { review, play: number, ended: None, officials });
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
            Event::Closed => (self.phase, self.end) = (Phase::Closed, Some(Ended::Played)),
            Event::EndedEarly { how, score, reason, words } => {
                let (reason, words) = (reason.clone(), words.clone());
                let end = Ended::Early { how: *how, score: *score, reason, words };
                (self.phase, self.end) = (Phase::Closed, Some(end));
            }
            Event::Reopened { .. } => (self.phase, self.end) = (Phase::Open, None),
            Event::CardCorrected { to, .. } => {
                if let Some(opened) = &mut self.opened {
                    opened.card = (**to).clone();
                    self.corrections += 1;
                }
            }
            Event::HandedOver { to, .. } => self.handed_over(to),
            Event::CameraLost { camera, reason } => self.outages.push(Outage {
                camera: camera.clone(),
                reason: reason.clone(),
                from: self.situation(),
                back: false,
                to: None,
            }),
            Event::CameraBack { camera } => self.camera_back(camera),
            Event::Undone { .. } => {}
        }
    }

    fn moved(&mut self, to: Situation, by: &By) {
        match (by, self.plays.last_mut()) {
            (By::Play(did), Some(play)) => {
                play.did = Some(*did);
                self.come_up(to);
            }
            (By::Fouls(fouled), Some(play)) => {
                play.did = Some(fouled.play);
                (play.fouls, play.decided) = (fouled.fouls.clone(), fouled.decided.clone());
                self.come_up(to);
            }
            (By::Set | By::Correction { .. } | By::Timeout(_) | By::Period, Some(play)) => play.at = to,
            (
                By::Set | By::Correction { .. } | By::Timeout(_) | By::Period | By::Play(_) | By::Fouls(_),
                None,
            ) => self.come_up(to),
        }
    }

    fn camera_back(&mut self, camera: &str) {
        let now = self.situation();
        let mut out = self.outages.iter_mut().filter(|outage| !outage.back);
        if let Some(outage) = out.find(|outage| outage.camera == camera) {
            (outage.back, outage.to) = (true, now);
        }
    }

    fn handed_over(&mut self, to: &str) {
        self.official = Some(to.to_owned());
        if let Some(on) = self.reviews.last_mut().filter(|reviewed| reviewed.ended.is_none()) {
            on.officials.push(to.to_owned());
        }
    }

    fn come_up(&mut self, at: Situation) {
        let replay = self.service == Service::In;
        let (fouls, decided, reviews) = (Vec::new(), Vec::new(), Vec::new());
        self.plays.push(Play { at, came: at, did: None, fouls, decided, looked: false, reviews, replay });
    }

    fn review_ended(&mut self, review: &str, how: Ending, to: Option<Situation>) {
        let Some(reviewed) = self.reviews.iter_mut().find(|reviewed| reviewed.review == review) else {
            return;
        };
        reviewed.ended = Some(how);
        let play = reviewed.play;
        let Some(to) = to else { return };
        match how {
            // The ruling decides how the coming play ended, so the next one comes up.
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

    /// The newest play that was run, else the coming one: the one that the booth discusses between snaps.
    pub fn newest_run(&self) -> Option<usize> {
        let last = self.plays.len().checked_sub(1)?;
        Some(last.saturating_sub(1))
    }

    /// The review in progress.
    pub fn review(&self) -> Option<&Reviewed> {
        self.reviews.last().filter(|reviewed| reviewed.ended.is_none())
    }

    /// How the reviews of a play ended, if none of them led to a ruling and none is on.
    pub fn unruled(&self, play: usize) -> Option<Ending> {
        let reviews = || self.reviews.iter().filter(|reviewed| reviewed.play == play);
        let ruled = |reviewed: &Reviewed| matches!(reviewed.ended, None | Some(Ending::Ruled));
        reviews().next_back().filter(|_| !reviews().any(ruled))?.ended
    }

    /// What a review of this play begins with: the situation at its snap, with the timeouts and challenges that the
    /// teams have now.
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

    /// The names of the cameras that are out.
    pub fn lost(&self) -> impl Iterator<Item = &str> {
        self.outages.iter().filter(|outage| !outage.back).map(|outage| outage.camera.as_str())
    }

    /// Whether this camera is out.
    pub fn is_out(&self, camera: &str) -> bool {
        self.lost().any(|out| out == camera)
    }

    /// Who sat at the desk for a review, one after the other; empty where nobody was named.
    pub fn officials_of(&self, review: &str) -> &[String] {
        let of = self.reviews.iter().find(|reviewed| reviewed.review == review);
        of.map_or(&[], |reviewed| &reviewed.officials)
    }

    /// All events so far, those taken back included.
    pub fn events(&self) -> &[Stamped] {
        &self.events
    }

    /// The events that were not taken back, with their numbers.
    pub fn standing(&self) -> impl DoubleEndedIterator<Item = (usize, &Stamped)> {
        self.events.iter().enumerate().filter(|(number, _)| !self.undone.contains(number))
    }

    /// How the situation came about: every change that stands, with its event number and the situation after it.
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
            | Event::EndedEarly { .. }
            | Event::Reopened { .. }
            | Event::CardCorrected { .. }
            | Event::HandedOver { .. }
            | Event::CameraLost { .. }
            | Event::CameraBack { .. } => None,
        })
    }
}
