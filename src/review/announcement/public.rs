//! What the referee announces, in the order in which a crew gives it: what became of the call, why, the penalty, the score,
//! the ball with down and distance, the clock, the timeout.

use super::{Speaker, Spoken, capital, clock_text};
use crate::ruling::{Decided, Question, Ruling, Scored};
use crate::stance::{Outcome, Why};
use field::exact::Yards;
use rules::book::effect::Points;
use rules::book::words::Say;
use rules::game::situation::{Next, Situation};

impl<'a> Speaker<'a> {
    /// The announcement.
    pub(super) fn public(self, spoken: Spoken<'_, '_>) -> String {
        let Spoken { questions, ruling, shown_ms } = spoken;
        let mut sentences: Vec<String> = Vec::new();
        let decided = || questions.iter().zip(&ruling.questions).filter(|(_, decided)| !decided.moot);
        for (question, decided) in decided() {
            let ruled = self.ruled(question, decided);
            sentences.push(match sentences.is_empty() {
                true => self.say(Say::Opening, &[("ruling", &ruled)]),
                false => ruled,
            });
            sentences.extend(self.reason(question, decided).filter(|reason| !sentences.contains(reason)));
        }
        let left = |decided: &Decided<'_>| decided.outcome == Outcome::Stands(Why::LeftToReferee);
        // What follows is the referee's own ruling, with words of its own.
        if !decided().any(|(_, decided)| left(decided)) {
            let restart = &ruling.restart;
            sentences.extend(self.fouls(restart));
            sentences.extend(self.score(spoken));
            sentences.push(self.next(&restart.after));
            let (clock, shown) = (self.whole(restart.after.clock_ms), self.whole(shown_ms));
            sentences.extend((clock != shown).then(|| self.say(Say::NewTime, &[("clock", &clock)])));
            let run_off = |seconds: u32| self.say(Say::RunOff, &[("seconds", &seconds.to_string())]);
            sentences.extend(restart.run_off_s.map(run_off));
        }
        sentences.extend(self.price(ruling));
        sentences.iter().map(|sentence| capital(sentence)).collect::<Vec<_>>().join(" ")
    }

    /// What became of a call: a sentence that begins with a small letter.
    fn ruled(self, question: &Question<'_>, decided: &Decided<'_>) -> String {
        let say = match decided.outcome {
            Outcome::Confirmed => Say::Confirmed,
            Outcome::Reversed => Say::Reversed,
            Outcome::Stands(Why::LeftToReferee) => Say::Left,
            Outcome::Stands(Why::NotProven | Why::NotShared | Why::Barred) => Say::Stands,
        };
        self.say(say, &[("call", &self.words.call(question.tree, question.call))])
    }

    /// What the picture showed; of a call that stands, only why it was not changed.
    fn reason(self, question: &Question<'_>, decided: &Decided<'_>) -> Option<String> {
        match decided.outcome {
            Outcome::Confirmed | Outcome::Reversed => {
                let says = self.words.finding(question.tree, decided.finding?);
                Some(format!("{}.", capital(says)))
            }
            Outcome::Stands(Why::NotProven | Why::NotShared) => Some(self.say(Say::NotClear, &[])),
            Outcome::Stands(Why::Barred) => Some(self.say(Say::MayNotChange, &[])),
            Outcome::Stands(Why::LeftToReferee) => None,
        }
    }

    /// The score that the review gives, and the one that it takes away. That a call of a score is wrong says itself that
    /// it does not count.
    fn score(self, spoken: Spoken<'_, '_>) -> Vec<String> {
        let Spoken { questions, ruling, .. } = spoken;
        let named = questions.iter().zip(&ruling.questions).any(|(question, decided)| {
            let scores = question.tree.calls.get(question.call).is_some_and(|call| call.score);
            scores && decided.outcome == Outcome::Reversed && !decided.moot
        });
        let of = |scored: Scored, gone: bool| {
            let say = match (scored.on_try, scored.how, gone) {
                (true, _, false) => Say::TryGood,
                (true, _, true) => Say::NoTry,
                (false, Points::Touchdown, false) => Say::Touchdown,
                (false, Points::Touchdown, true) => Say::NoTouchdown,
                (false, Points::FieldGoal, false) => Say::FieldGoal,
                (false, Points::FieldGoal, true) => Say::NoFieldGoal,
                (false, Points::Safety, false) => Say::Safety,
                (false, Points::Safety, true) => Say::NoSafety,
            };
            self.say(say, &[("team", self.team(scored.team))])
        };
        let gone = ruling.taken_off.filter(|_| !named).map(|scored| of(scored, true));
        gone.into_iter().chain(ruling.scored.map(|scored| of(scored, false))).collect()
    }

    /// What the challenge costs; `None` where no coach challenged.
    pub(super) fn price(self, ruling: &Ruling<'_>) -> Option<String> {
        let say = if ruling.price.timeout { Say::Charged } else { Say::NotCharged };
        Some(self.say(say, &[("team", self.team(ruling.coach?))]))
    }

    /// How play resumes.
    pub(super) fn next(self, after: &Situation) -> String {
        self.resumes(after, |to_go| self.distance(after, to_go), &self.spot(after))
    }

    /// How play resumes, with the distance and the spot as they are to be said.
    pub(super) fn resumes(self, after: &Situation, distance: impl Fn(Yards) -> String, spot: &str) -> String {
        let team = self.team(after.offense);
        match after.next {
            Next::Scrimmage { down, to_go } => self.say(
                Say::NextDown,
                &[
                    ("team", team),
                    ("down", &self.words.down(down)),
                    ("distance", &distance(to_go)),
                    ("spot", spot),
                ],
            ),
            Next::Try => self.say(Say::NextTry, &[("team", team)]),
            Next::FreeKick => self.say(Say::NextFreeKick, &[("team", team)]),
        }
    }

    /// The team in whose half the ball is, and how far from its goal line.
    pub(super) fn yard_line(self, after: &Situation) -> (&'a str, Yards) {
        let length = self.book.field.length;
        match after.spot < length.half() {
            true => (self.names.short.of(after.offense), after.spot),
            false => (self.names.short.of(after.offense.other()), length - after.spot),
        }
    }

    /// The distance as a referee says it: under a foot "inches", about half a yard so, else the nearest whole yard.
    fn distance(self, after: &Situation, to_go: Yards) -> String {
        if after.spot + to_go >= self.book.field.length {
            self.say(Say::Goal, &[])
        } else if to_go < Yards::fraction(1, 3) {
            self.say(Say::Inches, &[])
        } else if to_go < Yards::fraction(3, 4) {
            self.say(Say::HalfYard, &[])
        } else {
            to_go.nearest().max(1).to_string()
        }
    }

    /// The nearest whole yard line.
    fn spot(self, after: &Situation) -> String {
        let half = self.book.field.length.half();
        let (team, from_goal) = self.yard_line(after);
        let yards = from_goal.nearest();
        if Yards::whole(yards) == half || after.spot == half {
            return self.say(Say::Midfield, &[]);
        }
        if from_goal < Yards::whole(1) {
            return self.say(Say::InsideOne, &[("team", team)]);
        }
        self.say(Say::AtSpot, &[("team", team), ("yards", &yards.to_string())])
    }

    /// The game clock in whole seconds, rounded as the book has it.
    fn whole(self, clock_ms: i64) -> String {
        clock_text(self.book.game.in_whole_seconds(clock_ms))
    }
}
