//! A play as it was entered: the call on the field that a review of it starts from, so that nothing is typed twice.

use super::fold::Play;
use crate::gate::Ruled;
use rules::book::Book;
use rules::book::effect::Part;
use rules::game::advance::Did;
use rules::game::advance::ended::play_end;
use rules::game::play::PlayEnd;
use rules::game::situation::Next;

/// What the crew ruled by letting the play count as it was entered.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct AsRun {
    /// `None` where no down was played, or where the play was not entered.
    pub end: Option<PlayEnd>,
    /// What decides who may ask for a review.
    pub ruled: Vec<Ruled>,
}

impl Play {
    /// The play as it was entered. A turnover on downs and a kick that the other team took are no turnovers here.
    pub fn as_run(&self, book: &Book) -> AsRun {
        let Some(play) = self.did else { return AsRun::default() };
        let end = play_end(book, &self.at, play);
        let score = end.is_some_and(|end| end.points.is_some());
        let turnover = match play.did {
            Did::Turnover { .. } => true,
            Did::Touchdown { by } => by == Part::Defense && self.at.next != Next::FreeKick,
            Did::Down { .. }
            | Did::OutOfBounds { .. }
            | Did::Incomplete
            | Did::FieldGoal { .. }
            | Did::Safety
            | Did::Kicked { .. }
            | Did::Touchback
            | Did::KickKept { .. }
            | Did::Tried(_)
            | Did::Again => false,
        };
        let ruled = [(score, Ruled::Score), (turnover, Ruled::Turnover)];
        AsRun { end, ruled: ruled.into_iter().filter_map(|(is, what)| is.then_some(what)).collect() }
    }
}
