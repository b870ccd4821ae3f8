//! What only the crew hears, and what the log keeps: reasons in full, rules, exact figures.

use super::{Speaker, Spoken, capital, clock_text, start};
use crate::ruling::{Decided, Question, label};
use crate::stance::{Outcome, Why};
use field::exact::Yards;
use rules::book::words::Say;
use rules::game::situation::{Next, Situation, Team};

impl Speaker<'_> {
    /// What became of each call and why, then the score for the board.
    pub(super) fn crew(self, spoken: Spoken<'_, '_>) -> String {
        let mut sentences = self.each(Say::ToCrew, spoken);
        let restart = &spoken.ruling.restart;
        if restart.after.score != restart.ledger.at_snap.score {
            let points = |team: Team| restart.after.score.of(team).to_string();
            sentences.push(self.say(
                Say::Score,
                &[
                    ("home", &self.names.short.home),
                    ("home_score", &points(Team::Home)),
                    ("away", &self.names.short.away),
                    ("away_score", &points(Team::Away)),
                ],
            ));
        }
        joined(&sentences)
    }

    /// Each question with its rule, the call and the reason, then exactly how the game resumes.
    pub(super) fn log(self, spoken: Spoken<'_, '_>) -> String {
        let ruling = spoken.ruling;
        let mut sentences = self.each(Say::ToLog, spoken);
        let restart = &ruling.restart;
        sentences.extend(self.fouls(restart));
        let next = self.next_exactly(&restart.after);
        let clock = clock_text(restart.after.clock_ms);
        let starts = start(self.words, restart.clock_starts);
        sentences.push(self.say(Say::LogNext, &[("next", &next), ("clock", &clock), ("starts", &starts)]));
        sentences.extend(self.price(ruling));
        joined(&sentences)
    }

    /// One sentence for each question: what became of its call, and why.
    fn each(self, say: Say, spoken: Spoken<'_, '_>) -> Vec<String> {
        let decided = spoken.questions.iter().zip(&spoken.ruling.questions);
        let one = |(question, decided): (&Question<'_>, &Decided<'_>)| {
            let tree = question.tree;
            if decided.moot {
                return self.say(Say::Moot, &[("question", &tree.title)]);
            }
            let call = tree.calls.get(question.call).map_or("", |call| call.says.as_str());
            self.say(
                say,
                &[
                    ("rule", &tree.cite),
                    ("question", &tree.title),
                    ("call", call),
                    ("label", label(self.book, decided.outcome)),
                    ("reason", &self.why(question, decided)),
                ],
            )
        };
        decided.map(one).collect()
    }

    /// Why the call is changed or left, in full.
    fn why(self, question: &Question<'_>, decided: &Decided<'_>) -> String {
        let found = decided.finding.and_then(|index| question.tree.findings.get(index));
        let says = found.map_or("", |found| found.says.as_str());
        match decided.outcome {
            Outcome::Confirmed | Outcome::Reversed if found.is_some() => says.to_owned(),
            Outcome::Confirmed | Outcome::Stands(Why::NotProven) => self.say(Say::NotProven, &[]),
            Outcome::Reversed | Outcome::Stands(Why::NotShared) => self.say(Say::NotShared, &[]),
            Outcome::Stands(Why::LeftToReferee) => self.say(Say::LeftToReferee, &[("finding", says)]),
            Outcome::Stands(Why::Barred) => {
                let stance = question.stance(self.book);
                match decided.finding.and_then(|index| stance.bar(index)) {
                    Some(bar) => self.say(Say::Barred, &[("finding", says), ("because", &bar.because)]),
                    None => self.say(Say::NotShared, &[]),
                }
            }
        }
    }

    /// How play resumes, with the exact distance and spot.
    pub(super) fn next_exactly(self, after: &Situation) -> String {
        let (team, yards) = self.yard_line(after);
        let spot = match after.spot == self.book.field.length.half() {
            true => self.say(Say::Midfield, &[]),
            false => self.say(Say::AtSpot, &[("team", team), ("yards", &yards.to_string())]),
        };
        self.resumes(after, |to_go| self.exact_distance(after, to_go), &spot)
    }

    fn exact_distance(self, after: &Situation, to_go: Yards) -> String {
        let goal = after.spot + to_go >= self.book.field.length;
        if goal { self.say(Say::Goal, &[]) } else { to_go.to_string() }
    }

    /// What the chain crew does.
    pub(super) fn chains(self, after: &Situation) -> String {
        let Next::Scrimmage { down, to_go } = after.next else { return self.say(Say::NoChains, &[]) };
        capital(&self.say(
            Say::Chains,
            &[
                ("down", &self.words.down(down)),
                ("distance", &self.exact_distance(after, to_go)),
                ("spot", &self.exact(after, after.spot)),
                ("line", &self.exact(after, after.spot + to_go)),
            ],
        ))
    }

    /// A spot to the exact yard.
    fn exact(self, after: &Situation, spot: Yards) -> String {
        if spot >= self.book.field.length {
            return self.say(Say::GoalLine, &[]);
        }
        super::spot(&self.book.field, self.names, after, spot)
    }
}

fn joined(sentences: &[String]) -> String {
    sentences.iter().map(|sentence| capital(sentence)).collect::<Vec<_>>().join(" ")
}
