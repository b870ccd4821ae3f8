//! A question of fact: steps, answers, findings.

use super::effect::{Effect, Part};
use super::known::Known;
use super::text::Span;
use std::collections::BTreeMap;

/// The most steps, findings and options that one tree may have: sets of them are bits of a word.
pub const MOST: usize = 64;

/// A set of a step's options, or of a tree's findings, as bits.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Set(pub u64);

impl Set {
    /// The empty set.
    pub const EMPTY: Set = Set(0);

    /// The one with this index, below [`MOST`].
    pub fn one(index: usize) -> Set {
        Set(1 << index)
    }

    /// The first `count` of them.
    pub fn first(count: usize) -> Set {
        Set(if count >= MOST { u64::MAX } else { (1 << count) - 1 })
    }

    /// Whether the one with this index is in it.
    pub fn has(self, index: usize) -> bool {
        self.0 >> index & 1 == 1
    }

    /// Whether all of it lies in the other.
    pub fn within(self, other: Set) -> bool {
        self.0 & !other.0 == 0
    }

    /// What is in either.
    #[must_use]
    pub fn with(self, other: Set) -> Set {
        Set(self.0 | other.0)
    }

    /// What is in both.
    #[must_use]
    pub fn and(self, other: Set) -> Set {
        Set(self.0 & other.0)
    }

    /// What is in this one alone.
    #[must_use]
    pub fn without(self, other: Set) -> Set {
        Set(self.0 & !other.0)
    }

    /// The number of indices in it.
    pub fn len(self) -> usize {
        self.0.count_ones() as usize
    }

    /// Whether there is nothing in it.
    pub fn is_empty(self) -> bool {
        self.0 == 0
    }

    /// The indices in it, rising.
    pub fn iter(self) -> impl Iterator<Item = usize> {
        let mut rest = self.0;
        std::iter::from_fn(move || {
            (rest != 0).then(|| {
                let index = rest.trailing_zeros() as usize;
                rest &= rest - 1;
                index
            })
        })
    }
}

/// One question of fact.
#[derive(Debug, Clone)]
pub struct Tree {
    /// Its id: the name of its file.
    pub id: String,
    /// The question, as printed.
    pub title: String,
    pub cite: String,
    /// Plain words by which an official finds it.
    pub words: Vec<String>,
    /// Why it may not be reviewed, where it may not.
    pub refused: Option<String>,
    /// Whether the review may find a foul that nobody called.
    pub creates_foul: bool,
    /// Whether it is about the safety of a player.
    pub safety: bool,
    /// Whether only the booth may ask it, and the rule for that.
    pub booth_only: Option<String>,
    /// The rule by which only the booth may create its foul: no coach may challenge that nobody was flagged.
    pub booth_creates: Option<String>,
    pub closed_when: Vec<ClosedWhen>,
    pub calls: Vec<Call>,
    /// The step at which the walk begins.
    pub start: usize,
    pub steps: Vec<Step>,
    pub findings: Vec<Finding>,
    pub at: Span,
}

/// A situation in which a question is not reviewed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ClosedWhen {
    pub cite: String,
    pub because: String,
    /// All of these hold.
    pub all: Vec<When>,
}

/// A condition on the situation at the snap.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub enum When {
    /// The number of the period, from 1.
    Period(u8),
    /// The scores differ by more points than this.
    MarginOver(u16),
    /// More seconds than this are on the clock, or it is no period that ends a half.
    BeforeLast(u32),
}

/// A call that the crew can have made.
#[derive(Debug, Clone)]
pub struct Call {
    pub name: String,
    /// In the words of an announcement: "an incomplete pass".
    pub says: String,
    /// A no-call: nothing happened.
    pub no_call: bool,
    /// It rules a score: `BoothOnly::RuledScore` applies.
    pub score: bool,
    /// It rules a turnover: `BoothOnly::RuledTurnover` applies.
    pub turnover: bool,
    /// The rule by which it is kept only if the picture proves it: here, doubt takes a call away.
    pub must_be_proven: Option<String>,
    /// What the game becomes if the call is left as it is.
    pub result: Vec<Effect>,
    pub at: Span,
}

/// One step: one fact.
#[derive(Debug, Clone)]
pub struct Step {
    pub name: String,
    /// The question, short enough to be read at a glance.
    pub ask: String,
    /// What makes a good answer, where the question alone does not say it.
    pub note: Option<String>,
    pub looks: Looks,
    /// How long it usually takes.
    pub seconds: u32,
    pub proof: Proof,
    /// Answers that no mark can show, as bits.
    pub unmarked: Set,
    /// What the situation or the play as it was read back tells of it.
    pub known: Vec<Known>,
    pub options: Vec<Choice>,
    pub at: Span,
}

/// One option of a step and where it leads.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Choice {
    /// Its name: `yes`, `no` or a name of the book.
    pub name: String,
    pub to: Target,
}

/// Where an answer leads.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Target {
    Step(usize),
    Find(usize),
}

/// The kind of look that a step asks for.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Deserialize, schemars::JsonSchema,
)]
pub enum Looks {
    /// At the speed of the game: force, intent, materiality.
    FullSpeed,
    Slow,
    /// Picture by picture: where and when.
    FrameByFrame,
}

impl Looks {
    /// As an adverb: "at full speed".
    pub fn text(self) -> &'static str {
        match self {
            Looks::FullSpeed => "at full speed",
            Looks::Slow => "in slow motion",
            Looks::FrameByFrame => "frame by frame",
        }
    }
}

/// What proves an answer.
#[derive(Debug, Clone, PartialEq, serde::Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub enum Proof {
    /// It is plainly seen; the moments are marked.
    Seen {
        /// Which of them are marked for it.
        #[serde(default)]
        moments: Vec<String>,
    },
    /// One moment comes before the other.
    Order {
        /// The earlier one, if the answer is yes.
        first: String,
        /// The later one.
        then: String,
    },
    /// At least this much time lies between two moments.
    Gap {
        /// The earlier one.
        first: String,
        /// The later one.
        then: String,
        /// How many seconds, if the answer is yes.
        at_least_s: f64,
    },
    /// A point lies past a line at a moment.
    Position {
        /// The point: "left toe".
        point: String,
        /// The moment.
        at: String,
        /// The name of a line of the book.
        line: String,
        /// The point is in the air: two calibrated cameras measure it, else it is merely seen.
        #[serde(default)]
        off_ground: bool,
    },
    /// At least this many of something are there at a moment.
    Count {
        /// The things or players that are counted.
        what: String,
        /// The moment.
        at: String,
        /// How many, if the answer is yes.
        at_least: u8,
    },
    /// It did not happen between two moments, in view without a gap.
    Never {
        /// The moment from which on it did not happen.
        from: String,
        /// The moment until which it did not.
        to: String,
    },
    /// Force, intent, materiality: a person judges.
    Judgement,
}

impl Proof {
    /// The moments that it speaks of.
    pub fn moments(&self) -> Vec<&str> {
        match self {
            Proof::Seen { moments } => moments.iter().map(String::as_str).collect(),
            Proof::Order { first, then } | Proof::Gap { first, then, .. } => vec![first, then],
            Proof::Position { at, .. } | Proof::Count { at, .. } => vec![at],
            Proof::Never { from, to } => vec![from, to],
            Proof::Judgement => Vec::new(),
        }
    }

    /// The kind, in one word.
    pub fn kind(&self) -> &'static str {
        match self {
            Proof::Seen { .. } => "seen",
            Proof::Order { .. } => "order",
            Proof::Gap { .. } => "gap",
            Proof::Position { .. } => "position",
            Proof::Count { .. } => "count",
            Proof::Never { .. } => "never",
            Proof::Judgement => "judgement",
        }
    }
}

/// What a leaf states as fact.
#[derive(Debug, Clone)]
pub struct Finding {
    pub name: String,
    /// In the words of an announcement: "the receiver had control …".
    pub says: String,
    /// The wider finding that holds as well: a touchdown is also a catch. That one includes no other.
    pub includes: Option<usize>,
    /// The moment at which it finds the ball dead.
    pub dead_at: Option<String>,
    /// What it does to each call, by index.
    pub on: BTreeMap<usize, OnCall>,
    pub at: Span,
}

/// What a finding makes of one call.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum OnCall {
    /// The call is right; spot and clock may be put right.
    Agrees {
        /// What is put right without changing the call.
        correction: Vec<Effect>,
    },
    /// The call is right if the crew's flag is on this team, else wrong; either way it becomes this.
    AgreesIfOn {
        /// The team that fouled, by the finding.
        part: Part,
        /// What the call becomes.
        effects: Vec<Effect>,
    },
    /// The call is wrong and becomes this.
    Changes {
        /// Without a whistle, or where the whistle makes no difference.
        effects: Vec<Effect>,
        /// After a whistle that came before.
        whistled: Option<AfterWhistle>,
    },
    /// The call is wrong, and the rules forbid the change.
    Barred(Bar),
}

impl OnCall {
    /// Everything that it can make of the call, with a whistle and without.
    fn effects(&self) -> Vec<&Effect> {
        match self {
            OnCall::Agrees { correction: effects } | OnCall::AgreesIfOn { effects, .. } => {
                effects.iter().collect()
            }
            OnCall::Changes { effects, whistled: Some(AfterWhistle::Changes(whistled)) } => {
                effects.iter().chain(whistled).collect()
            }
            OnCall::Changes { effects, whistled: Some(AfterWhistle::Barred(_)) | None } => {
                effects.iter().collect()
            }
            OnCall::Barred(_) => Vec::new(),
        }
    }
}

/// What a whistle leaves of a change.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum AfterWhistle {
    Changes(Vec<Effect>),
    Barred(Bar),
}

/// Why a change is forbidden.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Bar {
    pub cite: String,
    pub because: String,
}

impl Tree {
    /// The index of the step with this name.
    pub fn step(&self, name: &str) -> Option<usize> {
        self.steps.iter().position(|step| step.name == name)
    }

    /// The index of the call with this name.
    pub fn call(&self, name: &str) -> Option<usize> {
        self.calls.iter().position(|call| call.name == name)
    }

    /// The index of the finding with this name.
    pub fn finding(&self, name: &str) -> Option<usize> {
        self.findings.iter().position(|finding| finding.name == name)
    }

    /// The fouls that its calls and findings can be, by the penalty's name.
    pub fn fouls(&self) -> impl Iterator<Item = &str> {
        let of_findings =
            self.findings.iter().flat_map(|finding| finding.on.values()).flat_map(OnCall::effects);
        let of_calls = self.calls.iter().flat_map(|call| &call.result);
        of_calls.chain(of_findings).filter_map(|effect| effect.foul()).map(|(name, ..)| name)
    }

    /// Whether what a finding does to this call depends on which team the crew's flag is on.
    pub fn depends_on_flag(&self, call: usize) -> bool {
        self.findings.iter().any(|finding| matches!(finding.on.get(&call), Some(OnCall::AgreesIfOn { .. })))
    }
}

impl Step {
    /// The set of all its options.
    pub fn every(&self) -> Set {
        Set::first(self.options.len())
    }

    /// The index of the option with this name.
    pub fn option(&self, name: &str) -> Option<usize> {
        self.options.iter().position(|choice| choice.name == name)
    }
}
