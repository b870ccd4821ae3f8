//! A review as an official holds it: timed commands to the engine, and the record that comes of it.

use super::plan::{Insists, Plan, StepName};
use super::play::{Fact, Play, hundredths};
use super::reading::{self, Reading};
use evidence::mark::Mark;
use formats::record::held::{About, records};
use formats::record::{Kept, Record};
use review::announcement::Names;
use review::decide::{Command, Desk, decide, questions};
use review::event::{Answered, Asked, Called, Look, Marked, ReadBack};
use review::fold::{Review, Stamped};
use review::gate::{Entry, Stop};
use review::next::soonest;
use review::refusal::Refusal;
use review::stamp::Stamp;
use rules::book::Book;
use rules::book::tree::{Looks, Set, Step};
use rules::game::situation::Next;
use scene::dice::Dice;
use serde_json::{Map, Value};
use std::collections::BTreeMap;

/// Who reviews, where and when.
#[derive(Debug, Clone, Copy)]
pub(super) struct Chair<'a> {
    pub plan: &'a Plan,
    pub book: &'a Book,
    pub names: &'a Names,
    pub official: &'a str,
    /// Seconds that this official takes for what others do in one.
    pub pace: f64,
    pub id: &'a str,
    pub game: &'a str,
    pub week: u32,
    /// In milliseconds since 1970-01-01 UTC.
    pub called_ms: i64,
    pub insists: Option<&'a Insists>,
    /// The step that each official reads in their own way.
    pub splits: Option<&'a StepName>,
}

/// The result of a review.
#[derive(Debug, Clone)]
pub(super) struct Came {
    pub record: Record,
    pub review: Review,
    /// Contains an honest mistake.
    pub slip: bool,
}

/// A review between two commands.
struct Holding<'a> {
    chair: Chair<'a>,
    play: &'a Play,
    review: Review,
    at_ms: u64,
    measured: BTreeMap<String, Map<String, Value>>,
    slip: bool,
    marks: Dice,
}

/// The share of a step's usual time that a practised official needs, and how much it varies (log-normal).
const PRACTISED: f64 = 0.35;
const VARIES: f64 = 0.25;
/// The probability that a review ends without a ruling.
const CUT_SHORT: f64 = 0.03;

/// Holds a review of a play; `None` where the gate refuses it or its restart would stay open.
pub(super) fn hold(chair: Chair<'_>, play: &Play, draw: &mut Dice) -> Option<Came> {
    let mut holding = Holding {
        chair,
        play,
        review: Review::default(),
        at_ms: 0,
        measured: BTreeMap::new(),
        slip: false,
        marks: play.marks.clone(),
    };
    let cut = chair.insists.is_none() && draw.chance(CUT_SHORT);
    holding.open(draw).ok()?;
    holding.walk(draw, cut).ok()?;
    if cut {
        holding.after(draw.between(2.0, 6.0));
        let reason = "the pictures from the hall failed".to_owned();
        holding.does(Command::CutShort { reason }).ok()?;
    } else {
        holding.close(draw).ok()?;
    }
    holding.came()
}

impl Holding<'_> {
    fn after(&mut self, seconds: f64) {
        self.at_ms += (seconds * self.chair.pace * 1000.0).round() as u64;
    }

    fn does(&mut self, command: Command) -> Result<(), Refusal> {
        let utc_ms = self.chair.called_ms + i64::try_from(self.at_ms).unwrap_or(i64::MAX);
        let boot = format!("{}-{}", self.chair.game, self.chair.week);
        let now = Stamp { utc_ms, boot_ms: self.at_ms, boot };
        let desk = Desk { book: self.chair.book, names: self.chair.names, day: None };
        for event in decide(desk, &self.review, command, &now)? {
            self.review.apply(Stamped { at: now.clone(), event });
        }
        Ok(())
    }

    fn open(&mut self, draw: &mut Dice) -> Result<(), Refusal> {
        let Play { tree, call, situation, initiator, flags, spot, clock_ms, .. } = self.play.clone();
        self.does(Command::Challenge(Called {
            game: self.chair.game.to_owned(),
            week: Some(self.chair.week),
            play: play_text(self.play),
            initiator,
            stop: Stop::BeforeNextSnap,
            situation,
        }))?;
        self.after(draw.between(0.8, 2.5));
        let (whistle, ruled, entry) = (None, Vec::new(), Entry::Challenged);
        self.does(Command::Ask(Asked { tree, call, whistle, ruled, entry }))?;
        if self.review.questions.is_empty() {
            let because = "the gate refused it".to_owned();
            return Err(Refusal { because, instead: "another play".to_owned(), reason_carries: false });
        }
        self.after(draw.between(2.5, 5.5));
        self.does(Command::ReadBack(ReadBack { spot: Some(spot), clock_ms: Some(clock_ms), end: None }))?;
        match flags.is_empty() {
            true => Ok(()),
            false => self.does(Command::Flag(flags)),
        }
    }

    /// Answers the step that would settle soonest, until all is settled.
    fn walk(&mut self, draw: &mut Dice, cut: bool) -> Result<(), Refusal> {
        let book = self.chair.book;
        let pace = (VARIES * draw.normal()).exp();
        for given in 0.. {
            let Some(question) = questions(book, &self.review).into_iter().next() else { break };
            let Some(step) = soonest(&question.stance(book), &question.answers) else { break };
            if cut && given > 0 {
                break;
            }
            let tree = question.tree;
            let reading = self.reading(&tree.steps[step], self.play.facts[step], draw);
            self.answer(&tree.steps[step], reading, pace, draw)?;
        }
        Ok(())
    }

    fn reading(&mut self, step: &Step, fact: Fact, draw: &mut Dice) -> Reading {
        let splits = |split: &StepName| split.tree == self.play.tree && split.step == step.name;
        if self.chair.splits.is_some_and(splits) {
            return reading::split(step, draw);
        }
        let read = reading::read(self.chair.book, self.play, step, fact, draw);
        match self.chair.insists {
            Some(insists) if insists.step == step.name => reading::insist(read, insists, step),
            Some(_) | None => read,
        }
    }

    fn answer(&mut self, step: &Step, reading: Reading, pace: f64, draw: &mut Dice) -> Result<(), Refusal> {
        let time = f64::from(step.seconds) * PRACTISED * pace * (VARIES * draw.normal()).exp();
        let cameras = &self.chair.plan.cameras;
        let unclear = reading.answer == step.every();
        // INVARIANT: the plan has cameras, and the last one is the poor one.
        let camera = match unclear {
            true => cameras[cameras.len() - 1].clone(),
            false => cameras[draw.below(cameras.len() - 1)].clone(),
        };
        self.after(time * 0.2);
        if self.review.times.first_look.is_none() && step.looks != Looks::FullSpeed {
            self.look(step, Looks::FullSpeed, &camera)?;
            self.after(time * 0.3);
        }
        self.look(step, step.looks, &camera)?;
        self.after(time * 0.5);
        if !reading.answer.within(step.unmarked) {
            for moment in step.proof.moments() {
                self.mark(moment, &camera, reading.x)?;
                self.after(time * 0.1);
            }
        }
        self.after(time * 0.3);
        self.slip |= reading.slip;
        self.measured.insert(step.name.clone(), reading.measured);
        let reason = self.chair.insists.filter(|insists| insists.step == step.name);
        self.does(Command::Answer(Answered {
            question: 0,
            step: step.name.clone(),
            options: names(step, reading.answer),
            basis: reading.basis,
            reason: reason.and_then(|insists| insists.reason.clone()),
        }))
    }

    fn look(&mut self, step: &Step, kind: Looks, camera: &str) -> Result<(), Refusal> {
        let (step, camera) = (step.name.clone(), camera.to_owned());
        self.does(Command::Look(Look { question: 0, step, camera, kind, reason: None }))
    }

    /// Marks a moment once, always with place and clock.
    fn mark(&mut self, moment: &str, camera: &str, x: Option<f64>) -> Result<(), Refusal> {
        if self.review.marks().any(|marked| marked.mark.moment == moment) {
            return Ok(());
        }
        let snap = self.play.situation;
        let seconds = self.at_ms / 1000;
        let code = format!("00:{:02}:{:02}:{:02}", seconds / 60 % 60, seconds % 60, self.at_ms % 1000 / 40);
        let timecode = code.parse().expect("two digits each, and below 25 frames");
        let ahead = hundredths(snap.spot.as_f64() + self.marks.between(0.0, 8.0));
        let place = x.map_or(ahead.min(hundredths(self.chair.book.field.length.as_f64() - 0.5)), hundredths);
        let clock_ms = (snap.clock_ms - self.marks.between(2.0, 6.0) as i64 * 1000).max(0);
        let mark = Mark { moment: moment.to_owned(), camera: camera.to_owned(), timecode };
        self.does(Command::Mark(Marked {
            mark,
            x: Some(place),
            clock_ms: Some(clock_ms),
            shot: None,
            scoreboard: None,
        }))
    }

    /// Rules and announces.
    fn close(&mut self, draw: &mut Dice) -> Result<(), Refusal> {
        self.after(draw.between(2.0, 9.0));
        self.rule(draw)?;
        self.after(draw.between(2.0, 4.0));
        self.does(Command::ReadBackRestart)?;
        self.after(draw.between(4.0, 7.0));
        self.does(Command::Announce)
    }

    /// Rules; where the restart is still open, marks one moment after another until it is not.
    fn rule(&mut self, draw: &mut Dice) -> Result<(), Refusal> {
        let mut refused = match self.does(Command::Rule) {
            Ok(()) => return Ok(()),
            Err(no) => no,
        };
        let camera = self.chair.plan.cameras[0].clone();
        let book = self.chair.book;
        let asked = questions(book, &self.review);
        let trees: Vec<_> = asked.iter().map(|question| question.tree).collect();
        let dead =
            trees.iter().flat_map(|tree| &tree.findings).filter_map(|finding| finding.dead_at.as_deref());
        let steps = trees.iter().flat_map(|tree| &tree.steps).flat_map(|step| step.proof.moments());
        let of_book = book.moments.keys().map(String::as_str).filter(|moment| *moment != "as ruled");
        for moment in std::iter::once("end of play").chain(dead).chain(steps).chain(of_book) {
            self.after(draw.between(1.0, 2.0));
            self.mark(moment, &camera, None)?;
            match self.does(Command::Rule) {
                Ok(()) => return Ok(()),
                Err(no) => refused = no,
            }
        }
        Err(refused)
    }

    fn came(self) -> Option<Came> {
        let about = About {
            review: self.chair.id,
            official: self.chair.official,
            book: &self.chair.book.id,
            edition: &self.chair.book.edition.to_string(),
            rules: Some(self.chair.book),
        };
        let mut record = records(about, &self.review).ok()?.into_iter().next()?;
        for (step, measured) in self.measured {
            if let Some(proof) = record.proofs.get_mut(&step) {
                *proof = with(proof, measured)?;
            }
        }
        Some(Came { record, review: self.review, slip: self.slip })
    }
}

/// The proof with the fields of the measurement added.
fn with<T>(proof: &Kept<T>, measured: Map<String, Value>) -> Option<Kept<T>>
where
    T: serde::Serialize + serde::de::DeserializeOwned,
{
    let Value::Object(mut fields) = serde_json::to_value(proof).ok()? else { return None };
    fields.extend(measured);
    serde_json::from_value(Value::Object(fields)).ok()
}

fn names(step: &Step, answer: Set) -> Vec<String> {
    answer.iter().map(|option| step.options[option].name.clone()).collect()
}

/// The play in the crew's words: "Q2 4:41 4&1.5".
fn play_text(play: &Play) -> String {
    let clock = review::announcement::clock_text(play.situation.clock_ms);
    match play.situation.next {
        Next::Scrimmage { down, to_go } => {
            format!("Q{} {clock} {down}&{to_go}", play.situation.period)
        }
        Next::Try => format!("Q{} try", play.situation.period),
        Next::FreeKick => format!("Q{} {clock} free kick", play.situation.period),
    }
}
