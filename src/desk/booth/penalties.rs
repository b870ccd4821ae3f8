//! Penalties: which fouls were called, what the play did, and what the teams choose, each choice with what follows.
//!
//! Between plays the fouls are found by typing, and the whole is written as one play. From a ruling the same screen shows
//! the fouls that stand, each accepted or declined. Decides nothing: the engine says what may be chosen.

mod foul;
mod keys;
mod view;

pub(crate) use keys::{Act, KEYS};
pub(crate) use view::view;

use super::between;
use super::between::What;
use super::ruling::Choices;
use super::typed::{self, Ground};
use super::undone::Undone;
use foul::{Draft, Named, player};
use iced::widget::Id;
use review::day::Command;
use review::day::fold::Day;
use review::decide;
use rules::book::Book;
use rules::book::effect::Part;
use rules::book::penalty::Penalty;
use rules::game::advance::fouls::{self, Called, Decision, Fouled, SpotNeed, When, moments, spot_need};
use rules::game::advance::{Advance, Did};
use rules::game::play::Choice;

#[derive(Debug, Clone)]
pub(crate) struct Penalties {
    stage: Stage,
    /// Index of the selected row.
    at: usize,
    search: String,
    draft: Draft,
    fouls: Vec<Called>,
    /// A spot, or a player, as typed.
    typed: String,
    /// `None` where no play was run.
    what: Option<What>,
    /// Where and when the play ended, as typed.
    place: String,
    decided: Vec<Decision>,
    /// The fouls that stand in a review.
    standing: Vec<Choices>,
    told: Option<String>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Stage {
    /// Which penalty.
    Find,
    /// On whom.
    Side,
    /// Before the snap, live, on the return, after the play.
    When,
    /// Where.
    Spot,
    /// The fouls so far: another one, or on.
    More,
    /// Who is disqualified for the newest foul.
    Player,
    /// What the play did.
    Did,
    /// Where and when it ended.
    Place,
    /// What the teams choose; once nothing is left, the result.
    Decide,
    /// In a review: the fouls that stand, accepted or declined.
    Review,
}

#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Message {
    Act(Act),
    Typed(String),
    Submit,
    /// Takes a row of the list.
    Point(usize),
}

#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Action {
    None,
    Focus(Id),
    /// Writes the play with its fouls.
    Do(Command),
    /// Writes a choice of the review.
    Choose(decide::Command),
    Leave,
}

/// What is read and decided against.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Known<'a> {
    pub book: &'a Book,
    /// With the fouls of earlier plays.
    pub day: &'a Day,
    pub ground: Ground<'a>,
}

pub(crate) fn line_id() -> Id {
    Id::new("penalties line")
}

impl Penalties {
    /// Between plays, with no foul named yet.
    pub(crate) fn new() -> Penalties {
        Penalties {
            stage: Stage::Find,
            at: 0,
            search: String::new(),
            draft: Draft::default(),
            fouls: Vec::new(),
            typed: String::new(),
            what: None,
            place: String::new(),
            decided: Vec::new(),
            standing: Vec::new(),
            told: None,
        }
    }

    /// The fouls that stand in a review.
    pub(crate) fn standing(standing: Vec<Choices>) -> Penalties {
        Penalties { stage: Stage::Review, standing, ..Penalties::new() }
    }

    /// Shows the choices of the review as they are now. Whether one of several fouls may be next.
    pub(crate) fn chosen(&mut self, standing: Vec<Choices>) -> bool {
        self.standing = standing;
        self.told = None;
        self.standing.len() > 1
    }

    pub(crate) fn refused(&mut self, undone: &Undone) {
        self.told = Some(undone.to_string());
    }

    pub(crate) fn line(&self) -> Option<&str> {
        match self.stage {
            Stage::Find => Some(&self.search),
            Stage::Spot | Stage::Player => Some(&self.typed),
            Stage::Place => Some(&self.place),
            Stage::Side | Stage::When | Stage::More | Stage::Did | Stage::Decide | Stage::Review => None,
        }
    }

    pub(crate) fn update(&mut self, message: Message, known: Known<'_>) -> Action {
        self.told = None;
        match message {
            Message::Typed(text) => {
                match self.stage {
                    Stage::Find => (self.search, self.at) = (text, 0),
                    Stage::Spot | Stage::Player => self.typed = text,
                    Stage::Place => self.place = text,
                    Stage::Side | Stage::When | Stage::More | Stage::Did | Stage::Decide | Stage::Review => {}
                }
                Action::None
            }
            Message::Submit => self.go(known),
            Message::Point(row) => self.take(row, known),
            Message::Act(act) => self.act(act, known),
        }
    }

    fn act(&mut self, act: Act, known: Known<'_>) -> Action {
        match act {
            Act::Take(row) => return self.take(usize::from(row), known),
            Act::Up => self.at = self.at.saturating_sub(1),
            Act::Down => self.at = (self.at + 1).min(self.rows(known).saturating_sub(1)),
            Act::Go => return self.go(known),
            Act::Another if self.stage == Stage::More => {
                (self.draft, self.search) = (Draft::default(), String::new());
                return self.to(Stage::Find);
            }
            Act::Remove if self.stage == Stage::More => {
                self.fouls.pop();
                self.decided.clear();
                if self.fouls.is_empty() {
                    return self.to(Stage::Find);
                }
            }
            Act::Player if self.stage == Stage::More => {
                self.typed.clear();
                return self.to(Stage::Player);
            }
            Act::Play(what) if self.stage == Stage::Did => {
                self.what = Some(what);
                return self.to(Stage::Place);
            }
            Act::Another | Act::Remove | Act::Player | Act::Play(_) => {}
            Act::Back => return self.back(known),
        }
        Action::None
    }

    fn to(&mut self, stage: Stage) -> Action {
        (self.stage, self.at) = (stage, 0);
        if self.line().is_some() { Action::Focus(line_id()) } else { Action::None }
    }

    /// How many rows the list has.
    fn rows(&self, known: Known<'_>) -> usize {
        match self.stage {
            Stage::Find => self.found(known.book).len(),
            Stage::Side => 2,
            Stage::When => self.moments(known.book).len(),
            Stage::Decide => match self.staged(known) {
                Ok((fouls::Stage::Asks(question), _)) => question.offers.len(),
                Ok((fouls::Stage::Led(_), _)) | Err(_) => 0,
            },
            Stage::Review => 2 * self.standing.len(),
            Stage::Spot | Stage::More | Stage::Player | Stage::Did | Stage::Place => 0,
        }
    }

    /// The book's penalties that the typed words name, those that begin with them first.
    fn found<'b>(&self, book: &'b Book) -> Vec<&'b Penalty> {
        let sought = self.search.trim().to_lowercase();
        let is = |penalty: &&Penalty| {
            [&penalty.name, &penalty.says, &penalty.cite]
                .iter()
                .any(|word| word.to_lowercase().contains(&sought))
        };
        let mut found: Vec<&Penalty> = book.penalties.values().filter(is).collect();
        found.sort_by_key(|penalty| !penalty.name.to_lowercase().starts_with(&sought));
        found
    }

    /// When the drafted foul can have been. Once a foul was before the snap, or was not, the others are likewise.
    fn moments(&self, book: &Book) -> Vec<When> {
        let Some(penalty) = self.draft.penalty(book) else { return Vec::new() };
        let before = self.fouls.first().map(|foul| foul.when == When::Before);
        let fits = |when: &&When| before.is_none_or(|before| before == (**when == When::Before));
        moments(penalty).iter().filter(fits).copied().collect()
    }

    /// Takes the selected row, or what was typed.
    fn go(&mut self, known: Known<'_>) -> Action {
        match self.stage {
            Stage::Find | Stage::Side | Stage::When | Stage::Review => self.take(self.at, known),
            Stage::Spot => match typed::spot(&self.typed, known.ground) {
                Ok(spot) => {
                    self.draft.spot = Some(spot);
                    self.called()
                }
                Err(wrong) => self.tell(wrong.to_string()),
            },
            Stage::Player => match player(&self.typed, self.fouls.last(), known.book) {
                Ok(player) => {
                    if let Some(foul) = self.fouls.last_mut() {
                        (foul.sent_off, foul.player) = match player {
                            Some(Named::SentOff(player)) => (Some(player), None),
                            Some(Named::Stays(player)) => (None, Some(player)),
                            None => (None, None),
                        };
                    }
                    self.told = self.by_count(known).into_iter().next();
                    self.to(Stage::More)
                }
                Err(wrong) => self.tell(wrong),
            },
            Stage::More if self.no_play() => self.to(Stage::Place),
            Stage::More => self.to(Stage::Did),
            Stage::Did => self.tell("a key says what the play did".to_owned()),
            Stage::Place => match self.staged(known) {
                Ok(_) => self.to(Stage::Decide),
                Err(wrong) => self.tell(wrong),
            },
            Stage::Decide => match self.staged(known) {
                Ok((fouls::Stage::Led(_), fouled)) => Action::Do(Command::Fouls(Box::new(fouled))),
                Ok((fouls::Stage::Asks(_), _)) => self.take(self.at, known),
                Err(wrong) => self.tell(wrong),
            },
        }
    }

    fn take(&mut self, row: usize, known: Known<'_>) -> Action {
        let book = known.book;
        match self.stage {
            Stage::Find => {
                let Some(penalty) = self.found(book).get(row).copied() else {
                    return self.tell(format!("no penalty of the book is named `{}`", self.search));
                };
                let same = self.draft.name == penalty.name;
                self.draft = if same { self.draft.clone() } else { Draft::of(penalty) };
                self.decided.clear();
                if penalty.by.is_none() { self.to(Stage::Side) } else { self.ask_moment(known) }
            }
            Stage::Side if row < 2 => {
                self.draft.by = if row == 0 { Part::Offense } else { Part::Defense };
                self.ask_moment(known)
            }
            Stage::When => match self.moments(book).get(row) {
                Some(when) => {
                    self.draft.when = *when;
                    self.ask_spot(known)
                }
                None => Action::None,
            },
            Stage::Decide => {
                let Ok((fouls::Stage::Asks(question), _)) = self.staged(known) else { return Action::None };
                if let Some(offer) = question.offers.get(row) {
                    self.decided.push(offer.decision);
                    self.at = 0;
                }
                Action::None
            }
            Stage::Review => match self.standing.get(row / 2) {
                Some(choices) => {
                    let choice = if row.is_multiple_of(2) { Choice::Accept } else { Choice::Decline };
                    self.at = row;
                    Action::Choose(decide::Command::Choose { penalty: choices.penalty.clone(), choice })
                }
                None => Action::None,
            },
            Stage::Side | Stage::Spot | Stage::More | Stage::Player | Stage::Did | Stage::Place => {
                Action::None
            }
        }
    }

    /// Asks when it was, if the penalty leaves that open.
    fn ask_moment(&mut self, known: Known<'_>) -> Action {
        match self.moments(known.book).as_slice() {
            [] => self.tell(format!(
                "{} cannot be in one play with the fouls that are named: {}",
                self.draft.name,
                if self.no_play() { "no play was run" } else { "a play was run" }
            )),
            [one] => {
                self.draft.when = *one;
                self.ask_spot(known)
            }
            _ => self.to(Stage::When),
        }
    }

    /// Asks where it was, if that matters.
    fn ask_spot(&mut self, known: Known<'_>) -> Action {
        let needed = self
            .draft
            .penalty(known.book)
            .is_some_and(|penalty| spot_need(penalty, self.draft.by, self.draft.when) == SpotNeed::Needed);
        if needed { self.to(Stage::Spot) } else { self.called() }
    }

    /// The drafted foul is one of the play's.
    fn called(&mut self) -> Action {
        self.fouls.push(self.draft.called());
        (self.draft, self.search) = (Draft::default(), String::new());
        self.typed.clear();
        self.decided.clear();
        self.to(Stage::More)
    }

    /// A foul was before the snap.
    fn no_play(&self) -> bool {
        self.fouls.iter().any(|foul| foul.when == When::Before)
    }

    /// One step back; what was typed stays.
    fn back(&mut self, known: Known<'_>) -> Action {
        match self.stage {
            Stage::Review => Action::Leave,
            Stage::Find if self.fouls.is_empty() => Action::Leave,
            Stage::Find | Stage::Player | Stage::Did => self.to(Stage::More),
            Stage::Side => self.to(Stage::Find),
            Stage::When | Stage::Spot => {
                let several = self.stage == Stage::Spot && self.moments(known.book).len() > 1;
                let either = self.draft.penalty(known.book).is_some_and(|penalty| penalty.by.is_none());
                self.to(match (several, either) {
                    (true, _) => Stage::When,
                    (false, true) => Stage::Side,
                    (false, false) => Stage::Find,
                })
            }
            Stage::More => {
                if let Some(foul) = self.fouls.pop() {
                    self.search.clone_from(&foul.penalty);
                    self.draft = Draft::from(foul);
                }
                self.to(Stage::Find)
            }
            Stage::Place if self.no_play() => self.to(Stage::More),
            Stage::Place => self.to(Stage::Did),
            Stage::Decide if self.decided.pop().is_some() => {
                self.at = 0;
                Action::None
            }
            Stage::Decide => self.to(Stage::Place),
        }
    }

    fn tell(&mut self, words: String) -> Action {
        self.told = Some(words);
        Action::None
    }

    /// What the engine asks next of the play, or what it led to.
    fn staged(&self, known: Known<'_>) -> Result<(fouls::Stage, Fouled), String> {
        let fouled = self.fouled(known)?;
        let stage = fouled.stage(known.book, known.ground.situation).map_err(|wrong| wrong.to_string())?;
        Ok((stage, fouled))
    }

    /// The players whom the fouls so far disqualify by their number in the game, in words.
    fn by_count(&self, known: Known<'_>) -> Vec<String> {
        let coming = known.day.plays.len().saturating_sub(1);
        let reached = known.day.by_count(known.book, coming, &self.fouls);
        reached.iter().map(|one| one.text(known.book, known.ground.names)).collect()
    }

    /// The play with its fouls as far as it is told.
    fn fouled(&self, known: Known<'_>) -> Result<Fouled, String> {
        let play = match self.what.filter(|_| !self.no_play()) {
            Some(what) => {
                between::play(what, &self.place, known.ground).map_err(|wrong| wrong.to_string())?
            }
            None => {
                let (_, clock_ms) =
                    typed::place(&self.place, known.ground).map_err(|wrong| wrong.to_string())?;
                let clock_ms = clock_ms.unwrap_or(known.ground.situation.clock_ms);
                Advance { did: Did::Nothing, clock_ms }
            }
        };
        Ok(Fouled { play, fouls: self.fouls.clone(), decided: self.decided.clone() })
    }
}

#[cfg(test)]
impl Penalties {
    pub(super) fn told(&self) -> Option<&str> {
        self.told.as_deref()
    }
}
