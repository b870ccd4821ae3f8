//! The penalties of a ruling: foul, side, number, what it costs.

use super::{Speaker, capital};
use rules::book::penalty::Distance;
use rules::book::words::Say;
use rules::game::apply::Restart;
use rules::game::enforce::{Done, Enforced};
use rules::game::ledger::Cause;
use rules::game::situation::{Next, Team};

impl Speaker<'_> {
    /// One sentence for each foul that counts or is declined, and one for all that offset.
    pub(super) fn fouls(self, restart: &Restart) -> Vec<String> {
        let mut sentences = Vec::new();
        for foul in &restart.fouls {
            match foul.done {
                Done::Accepted | Done::Carried => sentences.push(self.accepted(restart, foul)),
                Done::Declined | Done::ScoreCounts => {
                    sentences.push(self.one(Say::Declined, restart, foul, ""))
                }
                // The ball was dead, or the period over: there is nothing to enforce.
                Done::Offset | Done::FellAway => {}
            }
        }
        let offset = restart.fouls.iter().filter(|foul| foul.done == Done::Offset);
        let offset: Vec<String> = offset.map(|foul| self.one(Say::OffsetFoul, restart, foul, "")).collect();
        if !offset.is_empty() {
            sentences.push(self.say(Say::Offset, &[("fouls", &offset.join("; "))]));
        }
        sentences
    }

    fn one(self, say: Say, restart: &Restart, foul: &Enforced, costs: &str) -> String {
        let of_team = self.book.penalties.get(&foul.name).is_some_and(|penalty| penalty.team_foul);
        let number = if of_team { String::new() } else { self.say(Say::Number, &[]) };
        self.say(
            say,
            &[
                ("foul", &capital(self.words.penalty(self.book, &foul.name))),
                ("side", &self.say(self.side(restart, foul.by), &[])),
                ("team", self.team(foul.by)),
                ("number", &number),
                ("costs", costs),
            ],
        )
    }

    fn side(self, restart: &Restart, by: Team) -> Say {
        let at_snap = restart.ledger.at_snap;
        match (at_snap.next, by == at_snap.offense) {
            (Next::FreeKick, true) => Say::Kickers,
            (Next::FreeKick, false) => Say::Receivers,
            (Next::Scrimmage { .. } | Next::Try, true) => Say::Offense,
            (Next::Scrimmage { .. } | Next::Try, false) => Say::Defense,
        }
    }

    /// The foul with what it costs: yards, a first down, a lost down, or where it is carried to.
    fn accepted(self, restart: &Restart, foul: &Enforced) -> String {
        let penalty = self.book.penalties.get(&foul.name);
        let mut costs: Vec<String> = self.yards(restart, foul).into_iter().collect();
        let at_snap = restart.ledger.at_snap;
        let (after, defense) = (restart.after, foul.by != at_snap.offense);
        match (foul.done, after.next) {
            (Done::Carried, Next::Try) => costs.push(self.say(Say::OnTry, &[])),
            (Done::Carried, Next::FreeKick | Next::Scrimmage { .. }) => {
                costs.push(self.say(Say::OnFreeKick, &[]));
            }
            (Done::Accepted, Next::Scrimmage { down, .. }) => {
                let first = penalty.is_some_and(|penalty| penalty.first_down);
                if first && defense && down == 1 && after.offense == at_snap.offense {
                    costs.push(self.say(Say::FirstDown, &[]));
                }
                if penalty.is_some_and(|penalty| penalty.loss_of_down) && !defense {
                    costs.push(self.say(Say::LossOfDown, &[]));
                }
            }
            _ => {}
        }
        let costs: String = costs.iter().map(|cost| format!(", {cost}")).collect();
        self.one(Say::Foul, restart, foul, &costs)
    }

    /// What was walked off; what the penalty measures, where it is enforced later.
    fn yards(self, restart: &Restart, foul: &Enforced) -> Option<String> {
        let ledger = &restart.ledger;
        let walked = ledger.steps.iter().find_map(|step| match step.cause {
            Cause::Penalty { foul: number, by, yards, half } => {
                let same = by == foul.by && ledger.fouls.get(number) == Some(&foul.name);
                same.then_some((yards, half))
            }
            _ => None,
        });
        let measures = || {
            let penalty = self.book.penalties.get(&foul.name)?;
            match penalty.distance_by(ledger.at_snap.part(foul.by)) {
                Distance::Yards(yards) => Some((yards, false)),
                Distance::ToSpot { .. } => None,
            }
        };
        let (yards, half) = walked.or_else(measures)?;
        if half {
            return Some(self.say(Say::HalfTheDistance, &[]));
        }
        match yards.nearest() {
            0 => None,
            1 => Some(self.say(Say::Yard, &[])),
            whole => Some(self.say(Say::Yards, &[("yards", &whole.to_string())])),
        }
    }
}
