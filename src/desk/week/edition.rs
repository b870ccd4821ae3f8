//! Another edition: which rulings in these logs it would change, and which change of the book does it.
//!
//! The official chooses an edition, or types the folder of a rule book. The records are judged in the background. Then
//! the official walks through the changes of the book, each ruling that would flip, and what cannot be judged. Nothing
//! is written: past rulings stand under their own edition.

mod judging;
mod outcome;
#[cfg(test)]
mod tests;
mod view;

use super::card::Card;
use super::held::Held;
use super::line::{Line, Of, OfEdition, Under};
use super::see::See;
use super::{Message, Tab, Week};
use iced::Task;
pub(super) use judging::Came;
use judging::{Judged, Rules, Told, Undone, Work};
use std::sync::Arc;
pub(super) use view::view;

#[derive(Debug, Default)]
pub(super) struct Edition {
    /// The folder of a rule book that was typed last.
    folder: Option<String>,
    /// Number of judgings begun. Results of earlier ones are ignored.
    begun: u64,
    face: Face,
}

#[derive(Debug, Default)]
enum Face {
    #[default]
    Choosing,
    /// With the number of records read so far.
    Judging(Under, usize),
    Undone(Under, Undone),
    Judged(Arc<Judged>),
}

/// The right side of this tab.
#[derive(Debug, Clone)]
pub(crate) enum Shown {
    /// An edition to choose, and the state of its judging.
    Choice(Choice),
    Book(outcome::Book),
    /// A ruling that would be different, with its record if it was read.
    Ruling(outcome::Ruling, Option<Card>),
    Untold(outcome::Untold),
}

/// An edition to choose, as text.
#[derive(Debug, Clone)]
pub(crate) struct Choice {
    title: String,
    says: Vec<String>,
    /// The state of the judging, or the key to press.
    now: String,
    /// Faults of its book.
    faults: Vec<Told>,
}

/// Number of faults shown. The `check` command shows all of them in their text.
const FAULTS: usize = 12;

impl Edition {
    pub(super) fn lines(&self, see: &See<'_>) -> Vec<Line> {
        match &self.face {
            Face::Judged(judged) => outcome::lines(see, judged),
            Face::Choosing | Face::Judging(..) | Face::Undone(..) => {
                let offered = see.held.offered.iter().enumerate();
                let typed = self.folder.iter().map(|folder| Line {
                    head: folder.clone(),
                    under: "the folder that was typed".to_owned(),
                    look: false,
                    of: Of::Another(OfEdition::Under(Under::Folder)),
                });
                typed.chain(offered.map(|(at, one)| one.line(at))).collect()
            }
        }
    }

    /// The item of a line, as text.
    pub(super) fn shown(&self, see: &See<'_>, of: OfEdition) -> Option<Shown> {
        match (&self.face, of) {
            (Face::Judged(judged), of) => outcome::shown(see, judged, of),
            (Face::Choosing | Face::Judging(..) | Face::Undone(..), OfEdition::Under(under)) => {
                self.choice(see.held, under).map(Shown::Choice)
            }
            (
                Face::Choosing | Face::Judging(..) | Face::Undone(..),
                OfEdition::Book | OfEdition::Flip(_) | OfEdition::Moved(_) | OfEdition::Untold(_),
            ) => None,
        }
    }

    fn choice(&self, held: &Held, under: Under) -> Option<Choice> {
        let (title, says, readable) = match under {
            Under::Offered(at) => {
                let offered = held.offered.get(at)?;
                (offered.name.clone(), offered.known(), offered.book.is_some())
            }
            Under::Folder => {
                let says = "It is read again each time: mend the book, then judge again.";
                (self.folder.clone()?, vec![says.to_owned()], true)
            }
        };
        let (now, faults) = match &self.face {
            Face::Judging(of, 0) if *of == under => {
                ("The records are being judged under it.".to_owned(), Vec::new())
            }
            Face::Judging(of, count) if *of == under => {
                (format!("{count} records were read so far."), Vec::new())
            }
            Face::Undone(of, undone) if *of == under => (undone.says.clone(), undone.faults.clone()),
            Face::Choosing | Face::Judging(..) | Face::Undone(..) | Face::Judged(_) => {
                let press = match readable {
                    true => "Enter judges all records of these logs under it.",
                    false => {
                        "Neither a log nor the program has its text: type the folder of its book with B."
                    }
                };
                (press.to_owned(), Vec::new())
            }
        };
        Some(Choice { title, says, now, faults })
    }

    /// The result, if the records were judged.
    fn outcome(&self) -> Option<&Judged> {
        match &self.face {
            Face::Judged(judged) => Some(judged),
            Face::Choosing | Face::Judging(..) | Face::Undone(..) => None,
        }
    }

    pub(super) fn is_judged(&self) -> bool {
        self.outcome().is_some()
    }

    /// Drops the result, since the logs were read again. The folder stays.
    pub(super) fn forget(&mut self) {
        (self.face, self.begun) = (Face::Choosing, self.begun + 1);
    }
}

impl Week {
    /// Judges under the selected edition; after a judging, once more under the same one.
    pub(super) fn judge(&mut self) -> Task<Message> {
        let under = match (self.edition.outcome(), self.of()) {
            (Some(judged), _) => judged.under,
            (None, Some(Of::Another(OfEdition::Under(under)))) => *under,
            (None, Some(_) | None) => return Task::none(),
        };
        self.judge_under(under)
    }

    /// Reads the book in the folder that was typed, and judges under it.
    pub(super) fn judge_folder(&mut self, folder: String) -> Task<Message> {
        self.typing = None;
        self.edition.folder = Some(folder);
        self.judge_under(Under::Folder)
    }

    fn judge_under(&mut self, under: Under) -> Task<Message> {
        let Some(work) = self.work(under) else {
            self.told = Some("the text of this edition is not known here: type its folder with B".to_owned());
            return Task::none();
        };
        self.edition.begun += 1;
        self.edition.face = Face::Judging(under, 0);
        self.point_at_first(Tab::Edition);
        self.refresh();
        self.stay(Some(&Of::Another(OfEdition::Under(under))));
        let number = self.edition.begun;
        judging::begin(work).map(move |came| Message::Judging(number, came))
    }

    /// The judging to do; `None` if the rules are not known.
    fn work(&self, under: Under) -> Option<Work> {
        let super::Reading::Done(held) = &self.reading else { return None };
        let rules = match under {
            Under::Offered(at) => Rules::Read(held.offered.get(at)?.book.clone()?),
            Under::Folder => Rules::Folder(self.edition.folder.clone()?),
        };
        let paths = self.weekly.logs.iter().map(|named| named.path.clone()).collect();
        Some(Work { under, rules, paths })
    }

    /// Takes in news of a judging.
    pub(super) fn judging(&mut self, of: u64, came: Came) {
        let Face::Judging(under, _) = self.edition.face else { return };
        if of != self.edition.begun {
            return;
        }
        self.edition.face = match came {
            Came::Read(count) => Face::Judging(under, count),
            Came::Judged(judged) => Face::Judged(judged),
            Came::Undone(undone) => Face::Undone(under, undone),
        };
        if matches!(self.edition.face, Face::Judged(_)) {
            self.point_at_first(Tab::Edition);
        }
        if self.tab == Tab::Edition {
            self.refresh();
        }
    }

    /// Goes back to the editions to choose from.
    pub(super) fn choose(&mut self) {
        let was = self.edition.outcome().map(|judged| judged.under);
        self.edition.face = Face::Choosing;
        self.refresh();
        if let Some(under) = was {
            self.stay(Some(&Of::Another(OfEdition::Under(under))));
        }
    }
}
