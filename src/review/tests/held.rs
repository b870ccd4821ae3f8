//! A review held to its ruling by the commands that a desk sends.

use evidence::mark::{Basis, Mark};
use field::exact::Yards;
use review::announcement::Names;
use review::day::fold::Day;
use review::decide::{Command, Desk, decide, now, questions};
use review::event::{Answered, Asked, Called, Look, Marked};
use review::fold::{Phase, Review, Stamped};
use review::gate::{Initiator, Stop};
use review::known::known_step;
use review::stamp::Stamp;
use rules::book::Book;
use rules::book::effect::Part;
use rules::book::tree::{Set, Target, Tree};
use rules::game::open::Open;
use rules::game::play::Flag;
use rules::game::situation::{ByTeam, Situation, Team};
use std::collections::BTreeSet;
use testing::rulings::Found;

pub(crate) fn names() -> Names {
    let of = |home: &str, away: &str| ByTeam { home: home.to_owned(), away: away.to_owned() };
    Names { teams: of("Harbour Kites", "Millrace Otters"), short: of("Kites", "Otters") }
}

/// The answers of one walk to a finding, as far as what is known lets it be reached.
fn path(tree: &Tree, finding: usize, open: &[Set]) -> Option<Vec<(usize, Set)>> {
    fn walk(tree: &Tree, finding: usize, open: &[Set], step: usize, way: &mut Vec<(usize, Set)>) -> bool {
        for option in open[step].iter() {
            way.push((step, Set::one(option)));
            let there = match tree.steps[step].options[option].to {
                Target::Find(found) => found == finding,
                Target::Step(next) => walk(tree, finding, open, next, way),
            };
            if there {
                return true;
            }
            way.pop();
        }
        false
    }
    let mut way = Vec::new();
    walk(tree, finding, open, tree.start, &mut way).then_some(way)
}

/// A review held by commands.
pub(crate) struct Held<'b> {
    pub(crate) book: &'b Book,
    pub(crate) review: Review,
    /// The day in which the review is on; `None` where the play alone is known.
    pub(crate) day: Option<Day>,
    pub(crate) ms: u64,
    /// Where everything is marked.
    pub(crate) at: Yards,
    /// What was asked for besides the steps and their marks: how the play ended, moments, fouls.
    pub(crate) beside: BTreeSet<String>,
}

impl Held<'_> {
    pub(crate) fn act(&mut self, command: Command) -> Result<(), String> {
        self.ms += 100;
        let at =
            Stamp { utc_ms: i64::try_from(self.ms).expect("small"), boot_ms: self.ms, boot: "b".to_owned() };
        let desk = Desk { book: self.book, names: &names(), day: self.day.as_ref() };
        let events = decide(desk, &self.review, command, &at)
            .map_err(|no| format!("{}; {}", no.because, no.instead))?;
        events.into_iter().for_each(|event| self.review.apply(Stamped { at: at.clone(), event }));
        Ok(())
    }

    pub(crate) fn mark(&mut self, moment: &str) -> Result<(), String> {
        self.mark_at(moment, self.at)
    }

    pub(crate) fn mark_at(&mut self, moment: &str, at: Yards) -> Result<(), String> {
        let timecode = "00:41:17;22".parse().expect("a timecode");
        let mark = Mark { moment: moment.to_owned(), camera: "high".to_owned(), timecode };
        let (x, clock_ms) = (Some(at), Some(29_500));
        self.act(Command::Mark(Marked { mark, x, clock_ms, shot: None, scoreboard: None }))
    }

    /// Looks at a step as the book asks, marks its moments, answers it.
    pub(crate) fn step(&mut self, tree: &Tree, step: usize, options: Set) -> Result<(), String> {
        let known = &tree.steps[step];
        let (step, camera) = (known.name.clone(), "high".to_owned());
        self.act(Command::Look(Look {
            question: 0,
            step: step.clone(),
            camera,
            kind: known.looks,
            reason: None,
        }))?;
        for moment in known.proof.moments() {
            self.mark(moment)?;
        }
        let options = options.iter().map(|option| known.options[option].name.clone()).collect();
        let answered = Answered { question: 0, step, options, basis: Basis::Attested, reason: None };
        self.act(Command::Answer(answered))
    }

    /// Answers the steps of one walk to a finding, but for those that are known. `None` where what is known excludes it.
    pub(crate) fn walk(&mut self, found: &Found<'_>) -> Option<Result<(), String>> {
        let tree = found.question.tree;
        let known = |step| known_step(self.book, &self.review, 0, step).map(|(known, _)| known.answers);
        let open: Vec<Set> = tree.steps.iter().map(|step| known(step).unwrap_or(step.every())).collect();
        let way = path(tree, found.finding, &open)?;
        let mut asked = way.into_iter().filter(|(step, _)| open[*step].len() > 1);
        Some(asked.try_for_each(|(step, options)| self.step(tree, step, options)))
    }

    /// A flag of the crew's for this penalty.
    pub(crate) fn flag(&mut self, name: &str) -> Result<(), String> {
        let by = self.book.penalties[name].by.unwrap_or(Part::Defense);
        let spot = Some(Yards::whole(23));
        self.act(Command::Flag(vec![Flag { name: name.to_owned(), by, spot, dead: false, clock_ms: None }]))
    }

    /// What the desk shows as missing is marked, until nothing is.
    pub(crate) fn complete(&mut self) -> Result<(), String> {
        for _ in 0..8 {
            let asked = questions(self.book, &self.review);
            let open = now(self.book, &self.review, &asked).map_err(|no| no.because)?.restart.open;
            let Some(first) = open.first() else { return Ok(()) };
            if let Open::Spot(what) | Open::Clock(what) | Open::Flag(what) = first {
                self.beside.insert(what.clone());
            }
            match first {
                Open::Spot(moment) | Open::Clock(moment) => self.mark(moment)?,
                Open::Flag(name) => self.flag(name)?,
                // Another spot than that of a mark is asked for with the flag: no question may leave that open.
                Open::FoulSpot(_) => return Err(first.to_string()),
                // The finding says that the ball was in the field.
                Open::OffField(moment) if moment != "snap" => self.mark_at(moment, Yards::whole(22))?,
                Open::OffField(_) | Open::OffClock(_) => return Err(first.to_string()),
            }
        }
        Err("what is missing never ends".to_owned())
    }
}

/// Who may ask this question about this call, if anybody may.
pub(crate) fn begun<'b>(
    book: &'b Book,
    (at_snap, at): (Situation, Yards),
    asked: &Asked,
) -> Option<Held<'b>> {
    let who = [Initiator::Coach(Team::Away), Initiator::Booth, Initiator::Referee];
    let late = Situation { period: book.game.periods, clock_ms: 30_000, ..at_snap };
    for situation in [at_snap, late] {
        for initiator in who {
            let mut held =
                Held { book, review: Review::default(), day: None, ms: 0, at, beside: BTreeSet::new() };
            let (game, play) = ("W01-HK-MO".to_owned(), "Q1 10:00 3&6".to_owned());
            let called =
                Called { game, week: Some(1), play, initiator, stop: Stop::BeforeNextSnap, situation };
            held.act(Command::Challenge(called)).expect("nobody refuses to be called");
            held.act(Command::Ask(asked.clone())).expect("it is known");
            if held.review.phase == Phase::Admitted {
                return Some(held);
            }
        }
    }
    None
}
