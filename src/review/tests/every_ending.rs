//! Every question of both books with every call and finding, on plays that ended in every way: each can be held to its
//! signed ruling by the commands that a desk sends, without an override, and the ruling is the engine's.

use evidence::mark::{Basis, Mark};
use field::exact::Yards;
use review::announcement::Names;
use review::decide::{Command, Desk, decide, now, questions};
use review::event::{Answered, Asked, Called, Look, Marked, ReadBack};
use review::fold::{Phase, Review, Stamped};
use review::gate::{Entry, Initiator, Stop};
use review::stamp::Stamp;
use rules::book::effect::{DeadBy, Part, Points};
use rules::book::tree::{Set, Tree};
use rules::book::{Book, load, shipped};
use rules::game::advance::{Start, opening};
use rules::game::open::Open;
use rules::game::play::{Flag, PlayEnd};
use rules::game::situation::{ByTeam, End, Next, Situation, Team};
use std::collections::{BTreeMap, BTreeSet};
use testing::rulings::{Found, every_finding};

fn names() -> Names {
    let of = |home: &str, away: &str| ByTeam { home: home.to_owned(), away: away.to_owned() };
    Names { teams: of("Harbour Kites", "Millrace Otters"), short: of("Kites", "Otters") }
}

/// Third and 6 at the own 20, early in the game.
fn snap(book: &Book) -> Situation {
    let begun = opening(book, Start { team: Team::Home, attacks: End::East });
    let next = Next::Scrimmage { down: 3, to_go: Yards::whole(6) };
    Situation { clock_ms: 600_000, clock_running: true, next, spot: Yards::whole(20), ..begun }
}

/// The ways in which a play ends, and one that was never run.
fn endings() -> Vec<Option<PlayEnd>> {
    let end = |dead_by, points, turnover| {
        Some(PlayEnd { spot: Yards::whole(24), clock_ms: Some(594_000), dead_by, points, turnover })
    };
    vec![
        None,
        end(DeadBy::Down, None, false),
        end(DeadBy::OutOfBounds, None, false),
        end(DeadBy::Incomplete, None, false),
        end(DeadBy::Score, Some((Points::Touchdown, Part::Offense)), false),
        end(DeadBy::Score, Some((Points::FieldGoal, Part::Offense)), false),
        end(DeadBy::Score, Some((Points::Safety, Part::Defense)), false),
        end(DeadBy::Down, None, true),
        end(DeadBy::Score, Some((Points::Touchdown, Part::Defense)), true),
    ]
}

/// A review held by commands.
struct Held<'b> {
    book: &'b Book,
    review: Review,
    ms: u64,
}

impl Held<'_> {
    fn act(&mut self, command: Command) -> Result<(), String> {
        self.ms += 100;
        let at =
            Stamp { utc_ms: i64::try_from(self.ms).expect("small"), boot_ms: self.ms, boot: "b".to_owned() };
        let desk = Desk { book: self.book, names: &names() };
        let events = decide(desk, &self.review, command, &at)
            .map_err(|no| format!("{}; {}", no.because, no.instead))?;
        events.into_iter().for_each(|event| self.review.apply(Stamped { at: at.clone(), event }));
        Ok(())
    }

    fn mark(&mut self, moment: &str) -> Result<(), String> {
        let timecode = "00:41:17;22".parse().expect("a timecode");
        let mark = Mark { moment: moment.to_owned(), camera: "high".to_owned(), timecode };
        let (x, clock_ms) = (Some(Yards::whole(22)), Some(29_500));
        self.act(Command::Mark(Marked { mark, x, clock_ms, shot: None, scoreboard: None }))
    }

    /// Looks at a step as the book asks, marks its moments, answers it.
    fn step(&mut self, tree: &Tree, step: usize, options: Set) -> Result<(), String> {
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

    /// A flag of the crew's for this penalty.
    fn flag(&mut self, name: &str) -> Result<(), String> {
        let by = self.book.penalties[name].by.unwrap_or(Part::Defense);
        let spot = Some(Yards::whole(23));
        self.act(Command::Flag(vec![Flag { name: name.to_owned(), by, spot, dead: false, clock_ms: None }]))
    }

    /// What the desk shows as missing is marked, until nothing is.
    fn complete(&mut self) -> Result<(), String> {
        for _ in 0..8 {
            let asked = questions(self.book, &self.review);
            let open = now(self.book, &self.review, &asked).map_err(|no| no.because)?.restart.open;
            let Some(first) = open.first() else { return Ok(()) };
            match first {
                Open::Spot(moment) | Open::Clock(moment) => self.mark(moment)?,
                Open::Flag(name) | Open::FoulSpot(name) => self.flag(name)?,
                Open::OffField(_) | Open::OffClock(_) => return Err(first.to_string()),
            }
        }
        Err("what is missing never ends".to_owned())
    }
}

/// Who may ask this question about this call, if anybody may.
fn begun<'b>(book: &'b Book, asked: &Asked) -> Option<Held<'b>> {
    let who = [Initiator::Coach(Team::Away), Initiator::Booth, Initiator::Referee];
    let late = Situation { period: book.game.periods, clock_ms: 30_000, ..snap(book) };
    for situation in [snap(book), late] {
        for initiator in who {
            let mut held = Held { book, review: Review::default(), ms: 0 };
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

/// Holds one review to its ruling; what is wrong with it, if anything is.
fn held(mut held: Held<'_>, found: &Found<'_>, end: Option<PlayEnd>) -> Result<(), String> {
    let spot = end.map(|end| end.spot);
    let clock_ms = end.and_then(|end| end.clock_ms).or(Some(594_000)).map(|ms| ms.min(29_000));
    let end = end.map(|end| PlayEnd { clock_ms, ..end });
    held.act(Command::ReadBack(ReadBack { spot, clock_ms, end }))?;
    let Found { question, .. } = found;
    for step in question.answers.given() {
        held.step(question.tree, step, question.answers.get(step).expect("it was given"))?;
    }
    held.complete()?;
    let asked = questions(held.book, &held.review);
    let by_engine = now(held.book, &held.review, &asked).map_err(|no| no.because)?;
    let is_left = asked[0].stance(held.book).established(by_engine.questions[0].possible);
    held.act(Command::Rule)?;
    let signed = held.review.ruling.as_ref().ok_or("nothing was signed")?;
    if !signed.overrides.is_empty() {
        return Err(format!("signed with {:?}", signed.overrides));
    }
    if signed.after != by_engine.restart.after || signed.fouls != by_engine.restart.fouls {
        return Err(format!(
            "{:?} is signed, and the engine says {:?}",
            signed.after, by_engine.restart.after
        ));
    }
    let possible = &signed.questions[0].possible;
    let name = &question.tree.findings[found.finding].name;
    match possible.contains(name) && (is_left || possible.len() > 1) {
        true => Ok(()),
        false => Err(format!("`{name}` was answered, and {possible:?} is left")),
    }
}

/// The moments at which a whistle may have come before: those of the question's steps, and none.
fn whistles(tree: &Tree) -> Vec<Option<String>> {
    let moments = tree.steps.iter().flat_map(|step| step.proof.moments()).filter(|moment| *moment != "snap");
    [None].into_iter().chain(moments.take(1).map(|moment| Some(moment.to_owned()))).collect()
}

/// Marks are at one place and one clock, so that what is missing is the only thing that can stop a ruling.
// PROPERTY: every question, call and finding on a play that ended in any way can be signed without an override
#[test]
fn every_finding_on_a_play_that_ended_in_any_way_is_signed_without_an_override() {
    for id in ["saltmarsh", "college"] {
        let book = load::load(id, &shipped::sources(id).expect("it is in the program")).expect("it is sound");
        let (mut signed, mut wrong) = (BTreeMap::new(), Vec::new());
        for found in every_finding(&book).iter().filter(|found| found.question.whistle.is_none()) {
            let tree = found.question.tree;
            for whistle in whistles(tree) {
                let call = tree.calls[found.question.call].name.clone();
                let (tree_id, ruled, entry) = (tree.id.clone(), Vec::new(), Entry::Challenged);
                let asked = Asked { tree: tree_id, call: call.clone(), whistle, ruled, entry };
                for end in endings() {
                    // Where the gate lets nobody ask, there is nothing to hold.
                    let Some(begun) = begun(&book, &asked) else { continue };
                    match held(begun, found, end) {
                        Ok(()) => *signed.entry(tree.id.as_str()).or_insert(0) += 1,
                        Err(why) => wrong.push(format!(
                            "{id} {} `{call}` {:?} `{}` {end:?}: {why}",
                            tree.id, asked.whistle, tree.findings[found.finding].name
                        )),
                    }
                }
            }
        }
        assert!(
            wrong.is_empty(),
            "{} of {}:\n{}",
            wrong.len(),
            wrong.len() + signed.values().sum::<usize>(),
            wrong.join("\n")
        );
        let all: BTreeSet<&str> = book.trees.iter().map(|tree| tree.id.as_str()).collect();
        assert_eq!(signed.into_keys().collect::<BTreeSet<_>>(), all, "a question that nobody can ask");
    }
}
