//! A play as it was entered: the call on the field that a review of it starts from, so that nothing is typed twice.

use super::fold::Play;
use crate::gate::Ruled;
use rules::book::Book;
use rules::book::effect::Part;
use rules::game::advance::Did;
use rules::game::advance::ended::play_end;
use rules::game::advance::fouls::{Called, Decision, When};
use rules::game::enforce::options::Kind;
use rules::game::play::{Choice, Flag, PlayEnd};
use rules::game::situation::Next;

/// What the crew ruled by letting the play count as it was entered.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct AsRun {
    /// `None` where no down was played, or where the play was not entered.
    pub end: Option<PlayEnd>,
    /// What decides who may ask for a review.
    pub ruled: Vec<Ruled>,
    /// The crew's flags.
    pub flags: Vec<Flag>,
    /// What the offended teams chose, by [`Flag::chosen_as`].
    pub choices: Vec<(String, Choice)>,
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
            | Did::Regained { .. }
            | Did::Tried(_)
            | Did::Again
            | Did::Nothing => false,
        };
        // What a penalty took back was not ruled.
        let led = self.fouled().and_then(|fouled| fouled.led(book, &self.at).ok()).map(|led| led.after);
        let ruled = [
            (score && led.is_none_or(|after| after.score != self.at.score), Ruled::Score),
            (turnover && led.is_none_or(|after| after.offense != self.at.offense), Ruled::Turnover),
        ];
        AsRun {
            end,
            ruled: ruled.into_iter().filter_map(|(is, what)| is.then_some(what)).collect(),
            flags: self.fouls.iter().map(flag).collect(),
            choices: self.choices(),
        }
    }

    /// The choices that a review of the play starts from. Fouls that offset, or that the rules decide, leave none.
    fn choices(&self) -> Vec<(String, Choice)> {
        let flags: Vec<Flag> = self.fouls.iter().map(flag).collect();
        let mut choices: Vec<(String, Choice)> = Vec::new();
        let mut choose = |foul: usize, choice: Choice| {
            if let Some(flag) = flags.get(foul) {
                choices.push((flag.chosen_as(&flags), choice));
            }
        };
        let live = || (0..self.fouls.len()).filter(|foul| is_live(&self.fouls[*foul]));
        for decision in &self.decided {
            match *decision {
                Decision::Foul { foul, choice } => choose(foul, choice),
                Decision::Live(Kind::Accept(taken, _)) => live().for_each(|foul| {
                    choose(foul, if foul == taken { Choice::Accept } else { Choice::Decline });
                }),
                Decision::Live(Kind::Decline) => live().for_each(|foul| choose(foul, Choice::Decline)),
                Decision::Live(_) | Decision::Carried(_) | Decision::RunOff(_) => {}
            }
        }
        choices
    }
}

fn is_live(called: &Called) -> bool {
    match called.when {
        When::Live | When::Return => true,
        When::Before | When::After => false,
    }
}

fn flag(called: &Called) -> Flag {
    Flag {
        name: called.penalty.clone(),
        by: called.by,
        spot: called.spot,
        dead: !is_live(called),
        clock_ms: None,
    }
}
