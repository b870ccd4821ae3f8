//! What the events of one record amount to: the grades that stand, the earlier ones, and the letters.

use super::{Call, Challenged, Event, Grade, Matter, Reviewed, Sender, Stamped};
use crate::stamp::Stamp;

/// A record as it was graded.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Graded {
    /// Every grade, in the order in which they were given.
    pub grades: Vec<Given>,
    /// Every letter, in the order in which they came.
    pub letters: Vec<Letter>,
}

/// One grade that was given.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Given {
    /// How.
    pub grade: Grade,
    /// Why; empty where nothing was written.
    pub reason: String,
    /// By whom.
    pub by: String,
    /// When it was done.
    pub at: Stamp,
}

/// What a club or an official wrote.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Letter {
    /// Who writes.
    pub from: Sender,
    /// The club; none of an official.
    pub club: Option<String>,
    /// The grade of what is appealed; none of a club.
    pub of: Option<Matter>,
    /// What it says.
    pub text: String,
    /// Who took it in, or who appeals.
    pub by: String,
    /// When it was done.
    pub at: Stamp,
    /// The answer, if there is one.
    pub answer: Option<Answer>,
}

/// The answer to a letter.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Answer {
    /// What it says.
    pub text: String,
    /// By whom.
    pub by: String,
    /// When it was done.
    pub at: Stamp,
}

impl Graded {
    /// Takes in one more event.
    pub fn apply(&mut self, stamped: Stamped) {
        let Stamped { at, by, event } = stamped;
        let letter = |from, club, of, text| Letter {
            from,
            club,
            of,
            text,
            by: by.clone(),
            at: at.clone(),
            answer: None,
        };
        match event {
            Event::Graded { grade, reason } => self.grades.push(Given { grade, reason, by, at }),
            Event::Inquired { club, text } => {
                self.letters.push(letter(Sender::Club, Some(club), None, text));
            }
            Event::Appealed { of, text } => self.letters.push(letter(Sender::Official, None, Some(of), text)),
            Event::Answered { letter, text } => {
                let place = usize::try_from(letter).ok().and_then(|number| number.checked_sub(1));
                if let Some(letter) = place.and_then(|place| self.letters.get_mut(place)) {
                    letter.answer.get_or_insert(Answer { text, by, at });
                }
            }
        }
    }

    /// The grade of this that stands: the latest.
    pub fn standing(&self, matter: Matter) -> Option<&Given> {
        self.grades.iter().rev().find(|given| given.grade.matter() == matter)
    }

    /// Whether a later one took this grade's place.
    pub fn superseded(&self, number: usize) -> bool {
        let matter = self.grades.get(number).map(|given| given.grade.matter());
        self.grades.iter().skip(number + 1).any(|given| Some(given.grade.matter()) == matter)
    }

    /// How the call was graded.
    pub fn call(&self) -> Option<Call> {
        match &self.standing(Matter::Call)?.grade {
            Grade::Call(call) => Some(*call),
            Grade::Position(_) | Grade::Review(_) | Grade::Challenge(_) | Grade::Picture(_) => None,
        }
    }

    /// Which position of the crew had the call.
    pub fn position(&self) -> Option<&str> {
        match &self.standing(Matter::Position)?.grade {
            Grade::Position(position) => Some(position),
            Grade::Call(_) | Grade::Review(_) | Grade::Challenge(_) | Grade::Picture(_) => None,
        }
    }

    /// How the review was graded.
    pub fn review(&self) -> Option<Reviewed> {
        match &self.standing(Matter::Review)?.grade {
            Grade::Review(review) => Some(*review),
            Grade::Call(_) | Grade::Position(_) | Grade::Challenge(_) | Grade::Picture(_) => None,
        }
    }

    /// Whether a first look at full speed would have shown it.
    pub fn plain(&self) -> Option<bool> {
        match &self.standing(Matter::Challenge)?.grade {
            Grade::Challenge(Challenged::NotPlain) => Some(false),
            Grade::Challenge(Challenged::ByCrew | Challenged::ByCoach) => Some(true),
            Grade::Call(_) | Grade::Position(_) | Grade::Review(_) | Grade::Picture(_) => None,
        }
    }
}
