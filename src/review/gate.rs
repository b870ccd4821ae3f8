//! The gate: may this be reviewed at all, by whom, at what price.
//!
//! A refusal is a value: it names the rule, what it costs, and what is still possible.

use rules::book::Book;
use rules::book::replay::{BoothOn, BoothOnly, Price};
use rules::book::tree::{Call, Tree, When};
use rules::game::account::challenges_left;
use rules::game::situation::{Situation, Team};

/// Who asks for a review.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Initiator {
    Coach(Team),
    Booth,
    Referee,
}

/// When the stop signal came.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Stop {
    BeforeNextSnap,
    AfterNextSnap,
}

/// What the crew ruled in addition to the call, as far as it decides who may ask.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Ruled {
    Score,
    /// Not on downs.
    Turnover,
}

/// How a question comes into a review.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Entry {
    /// The review was asked for this question.
    Challenged,
    /// Found in a review that is already open: nobody asked, so nobody pays.
    FoundOnTheWay,
}

/// One question put to the gate.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Subject<'a> {
    /// The id of a tree, or the plain name of something that is never reviewed.
    pub name: &'a str,
    pub call: &'a str,
    /// What else the crew ruled.
    pub ruled: &'a [Ruled],
    pub entry: Entry,
}

/// The gate's answer; where it allows the review, with what the coach stands to lose.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Gate {
    Allowed { at_risk: Price },
    Refused(Refusal),
}

/// Why a review may not begin.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Refusal {
    /// As cited.
    pub rule: String,
    /// In plain words.
    pub because: String,
    pub price: Price,
    /// What can still be done instead.
    pub possible: Vec<String>,
}

pub(super) const FREE: Price = Price { timeout: false, challenge: false };

/// A subject with a name that the book does not have.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum Unknown {
    /// Neither a tree nor a closed subject has this name.
    #[error("the book has no question `{0}`")]
    Question(String),
    #[error("the question `{tree}` has no call `{call}`: it has {known}")]
    Call { tree: String, call: String, known: String },
}

/// A tree and one of its calls.
#[derive(Debug, Clone, Copy)]
pub struct Known<'b> {
    pub tree: &'b Tree,
    /// By index.
    pub call: usize,
}

/// The tree and call that a subject names.
///
/// # Errors
/// [`Unknown`] for a name that the book does not have.
pub fn known<'b>(book: &'b Book, tree: &str, call: &str) -> Result<Known<'b>, Unknown> {
    let tree = book.tree(tree).ok_or_else(|| Unknown::Question(tree.to_owned()))?;
    let call = tree.call(call).ok_or_else(|| Unknown::Call {
        tree: tree.id.clone(),
        call: call.to_owned(),
        known: tree.calls.iter().map(|call| call.name.as_str()).collect::<Vec<_>>().join(", "),
    })?;
    Ok(Known { tree, call })
}

/// Whether a review of this subject may begin.
///
/// # Errors
/// [`Unknown`] for a name that the book does not have.
pub fn gate(
    book: &Book,
    situation: &Situation,
    initiator: Initiator,
    stop: Stop,
    subject: &Subject<'_>,
) -> Result<Gate, Unknown> {
    let closed = book.closed.get(subject.name);
    let known = match closed {
        Some(_) => None,
        None => Some(known(book, subject.name, subject.call)?),
    };
    let call = known.and_then(|known| known.tree.calls.get(known.call));
    let asked = Asked { book, situation, initiator, subject, tree: known.map(|known| known.tree), call };
    let by_right = || match subject.entry {
        // A correction without a price is no challenge, whoever asks for it.
        Entry::Challenged if closed.is_some_and(|closed| closed.price == Some(FREE)) => None,
        Entry::Challenged => asked.not_entitled().or_else(|| asked.cannot_pay()),
        Entry::FoundOnTheWay => None,
    };
    let refusal =
        asked.too_late(stop).or_else(by_right).or_else(|| asked.closed()).or_else(|| asked.creates());
    Ok(match refusal {
        Some(refusal) => Gate::Refused(refusal),
        None => Gate::Allowed { at_risk: asked.paid_by_coach(book.replay.coach.lost) },
    })
}

/// One request, with what the book knows of it.
struct Asked<'a> {
    book: &'a Book,
    situation: &'a Situation,
    initiator: Initiator,
    subject: &'a Subject<'a>,
    tree: Option<&'a Tree>,
    call: Option<&'a Call>,
}

impl Asked<'_> {
    fn coach(&self) -> Option<Team> {
        match self.initiator {
            Initiator::Coach(team) => Some(team),
            Initiator::Booth | Initiator::Referee => None,
        }
    }

    /// Only a coach pays, and only for what they challenged.
    fn paid_by_coach(&self, price: Price) -> Price {
        match (self.coach(), self.subject.entry) {
            (Some(_), Entry::Challenged) => price,
            (Some(_), Entry::FoundOnTheWay) | (None, _) => FREE,
        }
    }

    fn refuse(&self, rule: &str, because: String, price: Price, possible: Vec<String>) -> Option<Refusal> {
        let price = self.paid_by_coach(price);
        Some(Refusal { rule: rule.to_owned(), because, price, possible })
    }

    fn too_late(&self, stop: Stop) -> Option<Refusal> {
        match stop {
            Stop::BeforeNextSnap => None,
            Stop::AfterNextSnap => self.refuse(
                &self.book.replay.window_cite,
                "the stop signal came after the next snap".to_owned(),
                FREE,
                vec!["the play before can no longer be reviewed; the ruling on the field holds".to_owned()],
            ),
        }
    }

    /// The rule that lets only the booth ask, if one applies, and its reason.
    fn booth_only(&self) -> Option<(String, String)> {
        if let Some(cite) = self.tree.and_then(|tree| tree.booth_only.as_ref()) {
            return Some((cite.clone(), "this question is the booth's alone".to_owned()));
        }
        let game = &self.book.game;
        let ruled = |what, by_call: bool| by_call || self.subject.ruled.contains(&what);
        self.book.replay.booth_only.iter().find_map(|(rule, cite)| {
            let because = match rule {
                BoothOnly::LastSeconds(seconds) => game
                    .in_last(*seconds, self.situation.period, self.situation.clock_ms)
                    .then(|| format!("in the last {seconds} seconds of a half only the booth may ask")),
                BoothOnly::Overtime => game
                    .is_overtime(self.situation.period)
                    .then(|| "in overtime only the booth may ask".to_owned()),
                BoothOnly::RuledScore => ruled(Ruled::Score, self.call.is_some_and(|call| call.score))
                    .then(|| "a ruled score is the booth's alone".to_owned()),
                BoothOnly::RuledTurnover => {
                    ruled(Ruled::Turnover, self.call.is_some_and(|call| call.turnover))
                        .then(|| "a ruled turnover is the booth's alone".to_owned())
                }
            };
            because.map(|because| (cite.clone(), because))
        })
    }

    fn not_entitled(&self) -> Option<Refusal> {
        let booth_only = self.booth_only();
        match self.initiator {
            Initiator::Coach(_) => {
                let (cite, because) = booth_only?;
                let possible = self.possible_for("the booth may review it without a challenge");
                self.refuse(&cite, because, FREE, possible)
            }
            Initiator::Booth | Initiator::Referee => {
                let may = match self.book.replay.booth_on {
                    BoothOn::Everything => true,
                    BoothOn::Safety => self.tree.is_some_and(|tree| tree.safety),
                };
                if booth_only.is_some() || may || self.tree.is_none() {
                    return None;
                }
                let because = "here only a coach may ask; the booth asks about player safety".to_owned();
                let possible = self.possible_for("a coach may challenge it");
                self.refuse(&self.book.replay.who_cite, because, FREE, possible)
            }
        }
    }

    /// What is still possible: that somebody else asks, unless nobody may.
    fn possible_for(&self, somebody_else: &str) -> Vec<String> {
        match self.closed().or_else(|| self.creates()) {
            Some(refusal) => refusal.possible,
            None => vec![somebody_else.to_owned()],
        }
    }

    fn cannot_pay(&self) -> Option<Refusal> {
        let team = self.coach()?;
        let coach = &self.book.replay.coach;
        if coach.needs_timeout && *self.situation.timeouts.of(team) == 0 {
            let because = "the coach has no timeout in hand".to_owned();
            return self.refuse(
                &coach.cite,
                because,
                FREE,
                vec!["no challenge without a timeout".to_owned()],
            );
        }
        if challenges_left(self.situation, team, coach) == 0 {
            let so_far = self.situation.challenges.of(team);
            let because = format!("the coach has used {} challenges and won {}", so_far.used, so_far.won);
            return self.refuse(&coach.cite, because, FREE, vec!["no challenge is left".to_owned()]);
        }
        None
    }

    fn closed(&self) -> Option<Refusal> {
        let price = self.book.replay.coach.not_reviewable;
        let possible = || vec!["another question about this play may be asked".to_owned()];
        if let Some(closed) = self.book.closed.get(self.subject.name) {
            let price = closed.price.unwrap_or(price);
            return self.refuse(&closed.cite, closed.because.clone(), price, possible());
        }
        let tree = self.tree?;
        let here = tree.closed_when.iter().find(|closed| closed.all.iter().all(|when| self.holds(*when)));
        if let Some(closed) = here {
            return self.refuse(&closed.cite, closed.because.clone(), price, possible());
        }
        let because = tree.refused.as_ref()?;
        self.refuse(&tree.cite, because.clone(), price, possible())
    }

    fn holds(&self, when: When) -> bool {
        let situation = self.situation;
        match when {
            When::Period(period) => situation.period == period,
            When::MarginOver(points) => situation.score.home.abs_diff(situation.score.away) > points,
            When::BeforeLast(seconds) => {
                !self.book.game.in_last(seconds, situation.period, situation.clock_ms)
            }
        }
    }

    fn creates(&self) -> Option<Refusal> {
        let (tree, call) = self.tree.zip(self.call)?;
        if !call.no_call {
            return None;
        }
        if tree.creates_foul {
            return self.booth_creates(tree);
        }
        let because =
            format!("nobody was flagged, and a review of \"{}\" may not create the foul", tree.title);
        let possible = vec!["a flag that was thrown may be reviewed and taken away".to_owned()];
        self.refuse(&self.book.replay.creation_cite, because, self.book.replay.coach.not_reviewable, possible)
    }

    /// A foul that only the booth may create: refused to a challenge, allowed where it is found in an open review.
    fn booth_creates(&self, tree: &Tree) -> Option<Refusal> {
        let cite = tree.booth_creates.as_ref()?;
        match (self.initiator, self.subject.entry) {
            (Initiator::Coach(_), Entry::Challenged) => {
                let because = "nobody was flagged, and only the booth may create this foul".to_owned();
                let possible = vec!["the booth may create it without a challenge".to_owned()];
                self.refuse(cite, because, self.book.replay.coach.not_reviewable, possible)
            }
            (Initiator::Coach(_), Entry::FoundOnTheWay) | (Initiator::Booth | Initiator::Referee, _) => None,
        }
    }
}
