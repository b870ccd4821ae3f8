//! A review held without a log: commands in, the refusal or the events out, and a clock that the test sets.

use super::challenge::{saltmarsh, stamp};
use super::events::situation;
use evidence::mark::{Basis, Mark};
use field::exact::Yards;
use review::announcement::Names;
use review::decide::{Command, Desk, decide};
use review::event::{Answered, Asked, Called, Event, Look, Marked, ReadBack, Snapshot};
use review::fold::{Review, Stamped};
use review::gate::{Entry, Initiator, Stop};
use review::refusal::Refusal;
use rules::book::tree::Looks;
use rules::book::{Book, load};
use rules::game::situation::{ByTeam, Situation, Team};

pub struct Booth {
    pub book: Book,
    pub names: Names,
    pub review: Review,
    /// Milliseconds since the challenge.
    pub at_ms: u64,
}

pub fn book() -> Book {
    load::load("saltmarsh", &saltmarsh()).expect("it is sound")
}

pub fn names() -> Names {
    let by_team = |home: &str, away: &str| ByTeam { home: home.to_owned(), away: away.to_owned() };
    Names { teams: by_team("Harbour Kites", "Millrace Otters"), short: by_team("Kites", "Otters") }
}

impl Default for Booth {
    fn default() -> Booth {
        Booth::new()
    }
}

impl Booth {
    pub fn new() -> Booth {
        Booth { book: book(), names: names(), review: Review::default(), at_ms: 0 }
    }

    /// Asked for by this initiator, in the situation of `support::events`.
    pub fn called(initiator: Initiator) -> Booth {
        Booth::called_in(initiator, situation())
    }

    pub fn called_in(initiator: Initiator, situation: Situation) -> Booth {
        let mut booth = Booth::new();
        booth.does(challenge(initiator, situation));
        booth
    }

    /// Opened by the home coach on one question.
    pub fn open(tree: &str, call: &str) -> Booth {
        let mut booth = Booth::called(Initiator::Coach(Team::Home));
        booth.does(ask(tree, call));
        booth.does(read_back());
        booth
    }

    pub fn attempt(&mut self, command: Command) -> Result<Vec<Event>, Refusal> {
        let at = stamp(self.at_ms);
        let desk = Desk { book: &self.book, names: &self.names, day: None };
        let events = decide(desk, &self.review, command, &at)?;
        for event in &events {
            self.review.apply(Stamped { at: at.clone(), event: event.clone() });
        }
        Ok(events)
    }

    /// A command that is carried out.
    pub fn does(&mut self, command: Command) -> Vec<Event> {
        let said = format!("{command:?}");
        self.attempt(command).unwrap_or_else(|no| panic!("{said}: {no}; {}", no.instead))
    }

    /// A command that is refused, and leaves the review as it is.
    pub fn refuses(&mut self, command: Command) -> Refusal {
        let (before, said) = (self.review.clone(), format!("{command:?}"));
        match self.attempt(command) {
            Err(no) => {
                assert!(self.review == before, "a refusal changed the review: {said}");
                no
            }
            Ok(events) => panic!("{said} was carried out: {events:?}"),
        }
    }

    /// Looks at a step as it asks for, marks its moments and answers it.
    pub fn proves(&mut self, question: usize, step: &str, option: &str) {
        let tree = self.book.tree(&self.review.questions[question].tree).expect("it was asked");
        let known = tree.steps[tree.step(step).expect("the step is there")].clone();
        self.does(look(question, step, known.looks, None));
        if !known.option(option).is_some_and(|option| known.unmarked.has(option)) {
            for moment in known.proof.moments() {
                if !self.review.marks().any(|marked| marked.mark.moment == moment) {
                    self.does(mark(moment, None, None));
                }
            }
        }
        self.does(answer(question, step, &[option]));
    }

    pub fn ruling(&self) -> &Snapshot {
        self.review.ruling.as_ref().expect("it is ruled")
    }
}

pub fn challenge(initiator: Initiator, situation: Situation) -> Command {
    Command::Challenge(Called {
        game: "W03-MO-HK".to_owned(),
        week: Some(3),
        play: "Q2 4:41 4&1.5".to_owned(),
        initiator,
        stop: Stop::BeforeNextSnap,
        situation,
    })
}

pub fn asked(tree: &str, call: &str, entry: Entry) -> Asked {
    Asked { tree: tree.to_owned(), call: call.to_owned(), whistle: None, ruled: Vec::new(), entry }
}

pub fn ask(tree: &str, call: &str) -> Command {
    Command::Ask(asked(tree, call, Entry::Challenged))
}

/// The crew's spot and clock: the 40, 4:37.
pub fn read_back() -> Command {
    Command::ReadBack(ReadBack { spot: Some(Yards::whole(40)), clock_ms: Some(277_000), end: None })
}

pub fn look(question: usize, step: &str, kind: Looks, reason: Option<&str>) -> Command {
    let (step, camera) = (step.to_owned(), "near side".to_owned());
    Command::Look(Look { question, step, camera, kind, reason: reason.map(str::to_owned) })
}

pub fn mark(moment: &str, x: Option<Yards>, clock_ms: Option<i64>) -> Command {
    let timecode = "00:41:17;22".parse().expect("a timecode");
    let mark = Mark { moment: moment.to_owned(), camera: "near side".to_owned(), timecode };
    Command::Mark(Marked { mark, x, clock_ms, shot: None, scoreboard: None })
}

pub fn answered(question: usize, step: &str, options: &[&str]) -> Answered {
    let options = options.iter().map(|option| (*option).to_owned()).collect();
    Answered { question, step: step.to_owned(), options, basis: Basis::Attested, reason: None }
}

pub fn answer(question: usize, step: &str, options: &[&str]) -> Command {
    Command::Answer(answered(question, step, options))
}
