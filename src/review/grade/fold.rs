//! What the events of one record amount to: the grades that stand, the earlier ones, and the letters.

use super::{Call, Challenged, Event, Grade, Matter, Reviewed, Sender, Stamped};
use crate::stamp::Stamp;

/// A record as it was graded.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Graded {
    /// In the order given.
    pub grades: Vec<Given>,
    /// In the order received.
    pub letters: Vec<Letter>,
}

/// One grade that was given.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Given {
    pub grade: Grade,
    /// May be empty.
    pub reason: String,
    /// A pseudonym.
    pub by: String,
    pub at: Stamp,
}

/// What a club or an official wrote.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Letter {
    pub from: Sender,
    /// `None` for an official.
    pub club: Option<String>,
    /// Which grade is appealed; `None` for a club.
    pub of: Option<Matter>,
    pub text: String,
    /// Who took it in, or who appeals.
    pub by: String,
    pub at: Stamp,
    pub answer: Option<Answer>,
}

/// The answer to a letter.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Answer {
    pub text: String,
    /// A pseudonym.
    pub by: String,
    pub at: Stamp,
}

impl Graded {
    /// Takes in one more event. An answer to a letter that does not exist, or has one, is ignored.
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

    /// The latest grade of this matter, which is the one that stands.
    pub fn standing(&self, matter: Matter) -> Option<&Given> {
        self.grades.iter().rev().find(|given| given.grade.matter() == matter)
    }

    /// Whether a later grade superseded this one.
    pub fn superseded(&self, number: usize) -> bool {
        let matter = self.grades.get(number).map(|given| given.grade.matter());
        self.grades.iter().skip(number + 1).any(|given| Some(given.grade.matter()) == matter)
    }

    /// The grade of the call that stands.
    pub fn call(&self) -> Option<Call> {
        match &self.standing(Matter::Call)?.grade {
            Grade::Call(call) => Some(*call),
            Grade::Position(_) | Grade::Review(_) | Grade::Challenge(_) | Grade::Picture(_) => None,
        }
    }

    /// The position of the crew that had the call.
    pub fn position(&self) -> Option<&str> {
        match &self.standing(Matter::Position)?.grade {
            Grade::Position(position) => Some(position),
            Grade::Call(_) | Grade::Review(_) | Grade::Challenge(_) | Grade::Picture(_) => None,
        }
    }

    /// The grade of the review that stands.
    pub fn review(&self) -> Option<Reviewed> {
        match &self.standing(Matter::Review)?.grade {
            Grade::Review(review) => Some(*review),
            Grade::Call(_) | Grade::Position(_) | Grade::Challenge(_) | Grade::Picture(_) => None,
        }
    }

    /// Whether a first look at full speed would have been enough.
    pub fn plain(&self) -> Option<bool> {
        match &self.standing(Matter::Challenge)?.grade {
            Grade::Challenge(Challenged::NotPlain) => Some(false),
            Grade::Challenge(Challenged::ByCrew | Challenged::ByCoach) => Some(true),
            Grade::Call(_) | Grade::Position(_) | Grade::Review(_) | Grade::Picture(_) => None,
        }
    }
}
