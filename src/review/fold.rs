//! The state of a review: a fold of its events, and nothing else.

use super::event::{
    Answered, Asked, Called, Event, Look, Marked, Override, Placed, ReadBack, Refused, Snapshot, Tied,
};
use super::gate::Initiator;
use super::stamp::Stamp;
use evidence::mark::{Basis, Measurement};
use rules::game::account;
use rules::game::play::{Choice, Flag, Moment, Play};
use rules::game::situation::Situation;
use std::collections::BTreeMap;

/// How far a review has come.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub enum Phase {
    #[default]
    New,
    /// Asked for; no question has been allowed yet.
    Called,
    /// The gate refused the only question so far.
    Refused,
    /// A question was allowed; the call must be read back.
    Admitted,
    /// The call was read back; steps can be answered.
    Open,
    /// The restart must be read back.
    Ruled,
    /// The restart was read back; the ruling must be announced.
    ReadyToAnnounce,
    Announced,
    /// The coach withdrew the challenge.
    Withdrawn,
    /// Ended without a ruling.
    CutShort,
}

/// An event with its stamp.
pub type Stamped = crate::stamp::Stamped<Event>;

/// A review as its events leave it.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Review {
    pub phase: Phase,
    pub called: Option<Called>,
    /// Allowed by the gate, in play order.
    pub questions: Vec<Asked>,
    /// Refused by the gate.
    pub refused: Vec<Refused>,
    pub read_back: Option<ReadBack>,
    pub ruling: Option<Snapshot>,
    /// When each phase was first reached.
    pub times: Times,
    /// Those taken back included.
    events: Vec<Stamped>,
    /// Event numbers.
    undone: Vec<usize>,
}

/// When each phase was first reached.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Times {
    /// At the challenge or the stop signal.
    pub called: Option<Stamp>,
    pub opened: Option<Stamp>,
    pub first_look: Option<Stamp>,
    pub first_mark: Option<Stamp>,
    /// When outcome and restart were settled.
    pub settled: Option<Stamp>,
    pub ruled: Option<Stamp>,
    pub announced: Option<Stamp>,
}

impl Times {
    /// The phases in their order, with their names.
    pub fn named(&self) -> [(&'static str, Option<&Stamp>); 7] {
        [
            ("called", self.called.as_ref()),
            ("opened", self.opened.as_ref()),
            ("first look", self.first_look.as_ref()),
            ("first mark", self.first_mark.as_ref()),
            ("settled", self.settled.as_ref()),
            ("ruled", self.ruled.as_ref()),
            ("announced", self.announced.as_ref()),
        ]
    }
}

/// The state after these events.
pub fn fold(events: impl IntoIterator<Item = Stamped>) -> Review {
    let mut review = Review::default();
    events.into_iter().for_each(|event| review.apply(event));
    review
}

impl Review {
    /// Takes in one more event. Events come from `decide` or from a verified log, so this never fails; an event that
    /// makes no sense here is only listed.
    pub fn apply(&mut self, stamped: Stamped) {
        let Stamped { at, event } = &stamped;
        let first = |time: &mut Option<Stamp>| {
            time.get_or_insert_with(|| at.clone());
        };
        match event {
            Event::Called(called) => {
                self.phase = Phase::Called;
                self.called = Some(called.clone());
                first(&mut self.times.called);
            }
            Event::Asked(asked) => {
                self.questions.push(asked.clone());
                if matches!(self.phase, Phase::Called | Phase::Refused) {
                    self.phase = Phase::Admitted;
                }
            }
            Event::Refused(refused) => {
                self.refused.push(refused.clone());
                if self.phase == Phase::Called {
                    self.phase = Phase::Refused;
                }
            }
            Event::ReadBack(read_back) => {
                self.phase = Phase::Open;
                self.read_back = Some(read_back.clone());
                first(&mut self.times.opened);
            }
            Event::Looked(_) => first(&mut self.times.first_look),
            Event::Marked(_) => first(&mut self.times.first_mark),
            Event::Settled => first(&mut self.times.settled),
            Event::Undone { act } => self.undone.push(*act),
            Event::Withdrawn => self.phase = Phase::Withdrawn,
            Event::Ruled(snapshot) => {
                self.phase = Phase::Ruled;
                self.ruling = Some((**snapshot).clone());
                first(&mut self.times.ruled);
            }
            Event::RestartReadBack => self.phase = Phase::ReadyToAnnounce,
            Event::Announced => {
                self.phase = Phase::Announced;
                first(&mut self.times.announced);
            }
            Event::CutShort { .. } => self.phase = Phase::CutShort,
            Event::Flagged(_)
            | Event::Chosen { .. }
            | Event::Placed(_)
            | Event::Tied(_)
            | Event::Answered(_)
            | Event::Amended { .. } => {}
        }
        self.events.push(stamped);
    }

    /// The situation at the snap, with what refused challenges have cost since.
    pub fn situation(&self) -> Option<Situation> {
        let called = self.called.as_ref()?;
        let Initiator::Coach(team) = called.initiator else { return Some(called.situation) };
        Some(
            self.refused
                .iter()
                .fold(called.situation, |situation, refused| account::pay(situation, team, refused.price)),
        )
    }

    /// All events so far, those taken back included.
    pub fn events(&self) -> &[Stamped] {
        &self.events
    }

    /// The events that were not taken back, with their numbers.
    pub fn standing(&self) -> impl Iterator<Item = (usize, &Stamped)> {
        self.events.iter().enumerate().filter(|(number, _)| !self.undone.contains(number))
    }

    /// The newest act that can be taken back: a mark, a placed point, a tie, an answer, flags, a choice, an
    /// amended restart.
    pub(crate) fn last_act(&self) -> Option<usize> {
        let acts = self.standing().filter(|(_, stamped)| match &stamped.event {
            Event::Marked(_)
            | Event::Placed(_)
            | Event::Tied(_)
            | Event::Answered(_)
            | Event::Flagged(_)
            | Event::Chosen { .. }
            | Event::Amended { .. } => true,
            Event::Called(_)
            | Event::Asked(_)
            | Event::Refused(_)
            | Event::ReadBack(_)
            | Event::Looked(_)
            | Event::Undone { .. }
            | Event::Settled
            | Event::Withdrawn
            | Event::Ruled(_)
            | Event::RestartReadBack
            | Event::Announced
            | Event::CutShort { .. } => false,
        });
        acts.last().map(|(number, _)| number)
    }

    /// The newest answer to each step, by question and step.
    pub fn answers(&self) -> BTreeMap<(usize, &str), &Answered> {
        let answers = self.standing().filter_map(|(_, stamped)| match &stamped.event {
            Event::Answered(answered) => Some(((answered.question, answered.step.as_str()), answered)),
            _ => None,
        });
        answers.collect()
    }

    /// The newest measurement for a step that stands; it supersedes what a person answers.
    pub fn measured(&self, question: usize, step: &str) -> Option<&Measurement> {
        let measured = self.standing().filter_map(|(_, stamped)| match &stamped.event {
            Event::Answered(Answered {
                question: of, step: at, basis: Basis::Computed(measured), ..
            }) if *of == question && at == step => Some(measured),
            _ => None,
        });
        measured.last()
    }

    /// The marks that stand, in order.
    pub fn marks(&self) -> impl Iterator<Item = &Marked> {
        self.standing().filter_map(|(_, stamped)| match &stamped.event {
            Event::Marked(marked) => Some(marked),
            _ => None,
        })
    }

    /// The placed points that stand, in order.
    pub fn placed(&self) -> impl Iterator<Item = &Placed> {
        self.standing().filter_map(|(_, stamped)| match &stamped.event {
            Event::Placed(placed) => Some(&**placed),
            _ => None,
        })
    }

    /// The ties of cameras that stand, in order.
    pub fn ties(&self) -> impl Iterator<Item = &Tied> {
        self.standing().filter_map(|(_, stamped)| match &stamped.event {
            Event::Tied(tied) => Some(&**tied),
            _ => None,
        })
    }

    /// The newest placed point for a step that stands; an answer may rest on its measurement.
    pub fn placed_for(&self, question: usize, step: &str) -> Option<&Placed> {
        self.placed().filter(|placed| placed.question == question && placed.step == step).last()
    }

    /// All looks, in order: a look cannot be taken back.
    pub fn looks(&self) -> impl Iterator<Item = &Look> {
        self.events.iter().filter_map(|stamped| match &stamped.event {
            Event::Looked(look) => Some(look),
            _ => None,
        })
    }

    /// The restart as the official corrected it, with the reason, if they did.
    pub fn amended(&self) -> Option<(Situation, &str)> {
        let amended = self.standing().filter_map(|(_, stamped)| match &stamped.event {
            Event::Amended { after, reason } => Some((*after, reason.as_str())),
            _ => None,
        });
        amended.last()
    }

    /// Everything that was done with a reason. A revised answer no longer counts; a look always does.
    pub fn overrides(&self) -> Vec<Override> {
        let answers = self.answers();
        let newest = |answered: &Answered| {
            let last = answers.get(&(answered.question, answered.step.as_str()));
            last.is_some_and(|last| std::ptr::eq(*last, answered))
        };
        let mut overrides = Vec::new();
        for (_, stamped) in self.standing() {
            let (what, reason) = match &stamped.event {
                Event::Looked(Look { step, reason, .. }) => (format!("the look at `{step}`"), reason),
                Event::Answered(answered) if newest(answered) => {
                    let Answered { step, options, reason, .. } = answered;
                    (format!("the answer to `{step}`: {}", options.join(" or ")), reason)
                }
                _ => continue,
            };
            overrides
                .extend(reason.iter().map(|reason| Override { what: what.clone(), reason: reason.clone() }));
        }
        if let Some((_, reason)) = self.amended() {
            overrides.push(Override { what: "the restart".to_owned(), reason: reason.to_owned() });
        }
        overrides
    }

    /// What is known of the play: marks, the call that was read back, flags and choices.
    pub fn play(&self) -> Play {
        let mut play = Play::default();
        if let Some(read_back) = &self.read_back {
            let moment = Moment { x: read_back.spot, clock_ms: read_back.clock_ms };
            play.moments.insert("as ruled".to_owned(), moment);
            play.end = read_back.end;
        }
        for (_, stamped) in self.standing() {
            match &stamped.event {
                Event::Marked(Marked { mark, x, clock_ms, .. }) => {
                    let moment = play.moments.entry(mark.moment.clone()).or_default();
                    moment.x = x.or(moment.x);
                    moment.clock_ms = clock_ms.or(moment.clock_ms);
                }
                Event::Flagged(flags) => play.flags = flags.clone(),
                Event::Chosen { penalty, choice } => {
                    play.choices.insert(penalty.clone(), *choice);
                }
                _ => {}
            }
        }
        play
    }

    /// The flags that stand.
    pub fn flags(&self) -> Vec<Flag> {
        self.play().flags
    }

    /// The choice that stands for a penalty.
    pub fn choice(&self, penalty: &str) -> Option<Choice> {
        self.play().choices.get(penalty).copied()
    }

    /// Whether it is announced, withdrawn, cut short or refused.
    pub fn is_over(&self) -> bool {
        match self.phase {
            Phase::Announced | Phase::Withdrawn | Phase::CutShort | Phase::Refused => true,
            Phase::New
            | Phase::Called
            | Phase::Admitted
            | Phase::Open
            | Phase::Ruled
            | Phase::ReadyToAnnounce => false,
        }
    }
}
