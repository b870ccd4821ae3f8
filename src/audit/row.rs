//! One record, as much of it as the audit needs: read without keeping what it does not.
//!
//! The form is `wire::record`; whatever is wrong with a line is told by `log::jsonl`, which reads it whole.

mod phases;
mod slim;

pub use self::phases::Phases;
use self::slim::{Slim, Text};
use crate::audit::names::{Moved, Name, Names};
use crate::book::effect::Part;
use crate::book::line::Snap;
use crate::wire::case::Who;
use crate::wire::record::{CUT_SHORT, cut_short};
use chrono::DateTime;
use serde_json::Value;

/// The phases of a review, in order: seconds from the call.
pub const PHASES: [&str; 6] = ["opened", "first look", "first mark", "settled", "ruled", "announced"];
/// Where in [`PHASES`] the first frame is marked.
pub const FIRST_MARK: usize = 2;
/// Where in [`PHASES`] a review is settled.
pub const SETTLED: usize = 3;
/// Where in [`PHASES`] it is ruled.
pub const RULED: usize = 4;

/// One question of one review.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    /// The record's id.
    pub id: Box<str>,
    /// The review that it belongs to.
    pub review: Option<Box<str>>,
    /// The record that this one re-reviews blind.
    pub again_of: Option<Box<str>>,
    /// The play, in the officials' short form.
    pub play: Option<Box<str>>,
    /// The edition.
    pub edition: Name,
    /// The rule book.
    pub book: Option<Name>,
    /// The game.
    pub game: Option<Name>,
    /// Who decided.
    pub official: Option<Name>,
    /// The tree.
    pub tree: Name,
    /// The call on the field.
    pub call: Name,
    /// A whistle came before, at this moment.
    pub whistle: Option<Name>,
    /// The outcome, by the book's label; [`CUT_SHORT`] wherever `cut_short` is.
    pub outcome: Name,
    /// The finding, if one was stated.
    pub finding: Option<Name>,
    /// The crew's flags: the penalty, and on whom.
    pub flags: Box<[(Name, Part)]>,
    /// The week.
    pub week: Option<u32>,
    /// Who asked.
    pub initiator: Option<Who>,
    /// Step and answer, by step; the options of an unclear answer are joined by [`OR`].
    pub answers: Box<[(Name, Name)]>,
    /// What was measured, by step.
    pub measured: Box<[Measured]>,
    /// What lines depend on, where something was measured and the record says it.
    pub snap: Option<Box<Snap>>,
    /// The cameras that frames were marked on, each once.
    pub cameras: Box<[Name]>,
    /// Whether the picture established a finding.
    pub established: Option<bool>,
    /// Whether the challenge was won.
    pub won: Option<bool>,
    /// It is about what came after a dead ball.
    pub moot: bool,
    /// The review ended before it was decided.
    pub cut_short: bool,
    /// When it was called for: milliseconds since 1970-01-01 UTC.
    pub called_ms: i64,
    /// From the call to the announcement, in seconds; not negative.
    pub duration_s: Option<f64>,
    /// When each of [`PHASES`] was reached, in seconds from the call.
    pub phases: Phases,
    /// What was done against the rules of proof or time, and why.
    pub overrides: Box<[Box<str>]>,
    /// The supervisor's grades.
    pub grades: Grades,
}

/// What the supervisor said of a record.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Grades {
    /// Of the call.
    pub call: Option<Name>,
    /// Which position of the crew had the call.
    pub position: Option<Name>,
    /// Of the review.
    pub review: Option<Name>,
    /// A first look at full speed shows it.
    pub plain: Option<bool>,
}

/// A measured step.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Measured {
    /// The step.
    pub step: Name,
    /// The line that a place is measured against; none for a gap in time.
    pub line: Option<Name>,
    /// Where, in yards of the offense frame; or the gap, in seconds.
    pub value: f64,
    /// The standard uncertainty, in the same unit.
    pub sigma: f64,
}

/// Joins the options of an answer that is not clear.
pub const OR: char = '|';

impl Row {
    /// Reads one line; its names are kept in `names`.
    ///
    /// # Errors
    /// What serde says: the line is no record.
    pub fn read(line: &str, names: &mut Names) -> Result<Row, serde_json::Error> {
        let slim: Slim<'_> = serde_json::from_str(line)?;
        let called = DateTime::parse_from_rfc3339(&slim.called_at.0).map_err(serde::de::Error::custom)?;
        let mut keep = |text: &Text<'_>| names.keep(&text.0);
        let mut answers: Vec<(Name, Name)> = Vec::with_capacity(slim.answers.0.len());
        for (step, given) in &slim.answers.0 {
            answers.push((keep(step), keep(&given.0)));
        }
        answers.sort_unstable();
        let proofs = slim.proofs.map_or_else(Vec::new, |proofs| proofs.0);
        let measured = proofs.iter().filter_map(|(step, proof)| {
            let value = proof.x.map(|x| x.0).or(proof.gap_s)?;
            let sigma = proof.sigma.or(proof.sigma_s).filter(|sigma| sigma.is_finite() && *sigma >= 0.0)?;
            Some(Measured { step: keep(step), line: proof.line.as_ref().map(&mut keep), value, sigma })
        });
        let measured: Box<[Measured]> = measured.collect();
        let offense = slim.situation.as_ref().and_then(|place| place.offense);
        let flags = slim.fouls.iter().filter_map(|flag| Some((keep(&flag.name), flag.on(offense)?)));
        let flags: Box<[(Name, Part)]> = flags.collect();
        let mut cameras: Vec<Name> =
            slim.marks.iter().filter_map(|mark| mark.camera.as_ref()).map(&mut keep).collect();
        cameras.sort_unstable();
        cameras.dedup();
        let grades = Grades {
            call: graded(&slim.grade, names),
            position: slim.crew_position.as_ref().map(|position| names.keep(&position.0)),
            review: graded(&slim.review_grade, names),
            plain: slim.plain.as_bool(),
        };
        let mut keep = |text: &Text<'_>| names.keep(&text.0);
        let own = |text: Option<Text<'_>>| text.map(|text| text.0.into_owned().into_boxed_str());
        let cut_short = cut_short(slim.cut_short, &slim.outcome.0);
        Ok(Row {
            edition: keep(&slim.edition),
            book: slim.book.as_ref().map(&mut keep),
            game: slim.game.as_ref().map(&mut keep),
            official: slim.official.as_ref().map(&mut keep),
            tree: keep(&slim.tree),
            call: keep(&slim.call),
            whistle: slim.whistle.as_ref().map(&mut keep),
            outcome: if cut_short { keep(&Text(CUT_SHORT.into())) } else { keep(&slim.outcome) },
            finding: slim.finding.as_ref().map(&mut keep),
            flags,
            id: slim.id.0.into_owned().into_boxed_str(),
            review: own(slim.review),
            again_of: own(slim.again_of),
            play: own(slim.play),
            week: slim.week,
            initiator: slim.initiator,
            answers: answers.into_boxed_slice(),
            snap: slim
                .situation
                .filter(|_| !measured.is_empty())
                .and_then(|place| place.snap())
                .map(Box::new),
            measured,
            cameras: cameras.into_boxed_slice(),
            established: slim.established,
            won: slim.won,
            moot: slim.moot,
            cut_short,
            called_ms: called.timestamp_millis(),
            duration_s: slim.duration_s.filter(|seconds| seconds.is_finite() && *seconds >= 0.0),
            phases: slim.phases_s.unwrap_or(Phases::NONE),
            overrides: slim.overrides.iter().map(told).collect(),
            grades,
        })
    }

    /// Makes its names those of another list.
    pub fn rename(&mut self, moved: &Moved) {
        let here = |name: &mut Name| *name = moved.here(*name);
        [&mut self.edition, &mut self.tree, &mut self.call, &mut self.outcome].into_iter().for_each(here);
        let optional = [&mut self.book, &mut self.game, &mut self.official, &mut self.whistle];
        let graded = [&mut self.grades.call, &mut self.grades.position, &mut self.grades.review];
        optional.into_iter().chain(graded).chain([&mut self.finding]).flatten().for_each(here);
        for (step, answer) in &mut self.answers {
            here(step);
            here(answer);
        }
        self.answers.sort_unstable();
        for measured in &mut self.measured {
            here(&mut measured.step);
            measured.line.as_mut().into_iter().for_each(here);
        }
        self.flags.iter_mut().for_each(|(penalty, _)| here(penalty));
        self.cameras.iter_mut().for_each(here);
    }

    /// Whether it is a ruling of a game: decided, and not a second look at somebody else's.
    pub fn is_ruling(&self) -> bool {
        self.again_of.is_none() && !self.cut_short
    }

    /// When a phase was reached, if it was.
    pub fn phase(&self, phase: usize) -> Option<f64> {
        self.phases.reached(phase)
    }

    /// How long it went on after nothing could change it any more, in seconds.
    pub fn after_settled(&self) -> Option<f64> {
        Some(self.phase(RULED)? - self.phase(SETTLED)?).filter(|seconds| *seconds >= 0.0)
    }
}

/// A grade is a word; what is written otherwise is counted as it is written.
fn graded(grade: &Value, names: &mut Names) -> Option<Name> {
    match grade {
        Value::Null => None,
        Value::String(word) => Some(names.keep(word)),
        Value::Bool(_) | Value::Number(_) | Value::Array(_) | Value::Object(_) => {
            Some(names.keep(&grade.to_string()))
        }
    }
}

fn told(done: &Value) -> Box<str> {
    let part = |name: &str| done.get(name).and_then(Value::as_str);
    match (part("what"), part("reason")) {
        (Some(what), Some(reason)) => format!("{what}: {reason}").into_boxed_str(),
        (Some(only), None) | (None, Some(only)) => only.into(),
        (None, None) => done.as_str().map_or_else(|| done.to_string(), str::to_owned).into_boxed_str(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const LINE: &str = r#"{"id":"r-1","edition":"ab","tree":"inside-line","call":"foul","outcome":"stands",
        "answers":{"toes":"no","facing":["yes","no"]},"called_at":"2026-05-09T21:42:11.204+02:00","duration_s":61.5,
        "proofs":{"toes":{"line":"alignment line","x":"85/2","sigma":0.04},"facing":{"kind":"seen"}},
        "situation":{"down":4,"to_go":1.5,"spot":38.5,"clock_s":3},"marks":[{"camera":"B"},{"camera":"B"},{"x":1}],
        "phases_s":{"settled":44.0,"ruled":52.5,"opened":null,"paused":1},"initiator":"coach-home",
        "overrides":[{"what":"answered","reason":"the \"arm\""}],"grade":"missed call","crew_position":"line judge","plain":true,"new":[1]}"#;

    #[test]
    fn what_the_audit_needs_is_read_and_the_rest_passed_over() {
        let mut names = Names::default();
        let row = Row::read(LINE, &mut names).expect("a record");
        let answers: Vec<_> =
            row.answers.iter().map(|(step, answer)| (names.text(*step), names.text(*answer))).collect();
        assert_eq!(answers, [("toes", "no"), ("facing", "no|yes")]);
        let [toes] = &*row.measured else { panic!("{:?}", row.measured) };
        assert_eq!((names.text(toes.step), toes.value, toes.sigma), ("toes", 42.5, 0.04));
        assert_eq!(
            (row.after_settled(), row.cameras.len(), row.called_ms),
            (Some(8.5), 1, 1_778_355_731_204)
        );
        assert_eq!((&*row.overrides[0], row.grades.plain), ("answered: the \"arm\"", Some(true)));
        assert!(row.is_ruling() && row.snap.is_some());
    }

    #[test]
    fn what_is_no_record_is_refused() {
        for (good, bad) in [
            (r#""id":"r-1""#, r#""id":1"#),
            (r#""duration_s":61.5,"#, ""),
            ("2026-05-09T21", "yesterday at 21"),
            (r#"["yes","no"]"#, "3"),
            ("coach-home", "coach"),
        ] {
            let line = LINE.replace(good, bad);
            assert!(Row::read(&line, &mut Names::default()).is_err(), "{bad}");
        }
    }

    #[test]
    fn a_moved_row_says_the_same_in_the_other_names() {
        let (mut here, mut there) = (Names::default(), Names::default());
        here.keep("something else");
        let row = Row::read(LINE, &mut there).expect("a record");
        let mut moved = row.clone();
        moved.rename(&here.take(&there));
        assert_eq!(here.text(moved.outcome), there.text(row.outcome));
        assert_eq!(here.text(moved.measured[0].step), "toes");
        assert_eq!(here.text(moved.grades.call.expect("graded")), "missed call");
        assert_eq!(here.text(moved.grades.position.expect("said")), "line judge");
    }
}
