//! Lines into rows: what the audit does not need of them is skipped.
//!
//! The form is `formats::record`; `log::exchange::jsonl` reads a refused line again as a whole and says what is wrong.

use super::own::Own;
use super::slim::{Place, Room, Slim, answers, flag_on};
use super::{Grades, Phases, Row};
use crate::sample::interner::{Interner, List, Name};
use chrono::DateTime;
use foldhash::HashMap;
use formats::record::{CUT_SHORT, cut_short};
use serde::de::Error as _;
use serde_json::{Error, Value};

/// How many spellings of answers are remembered: logs have a few thousand, unless one is made to have more.
const REMEMBERED: usize = 1 << 16;

/// Reads lines, and interns the names of their rows.
#[derive(Debug, Default)]
pub(crate) struct Reader {
    pub interner: Interner,
    /// Answers by their spelling: the same text is not parsed twice.
    by_text: HashMap<Box<str>, List>,
    room: Room,
}

impl Reader {
    /// Reads one line.
    ///
    /// # Errors
    /// The line is no record.
    pub(crate) fn row(&mut self, line: &str) -> Result<Row, Error> {
        let slim = Slim::read(line, &mut self.interner.names, &mut self.room)?;
        let answers = self.answers(needed(slim.answers, "answers")?)?;
        let called = DateTime::parse_from_rfc3339(&needed(slim.called_at, "called_at")?);
        let own = [&slim.review, &slim.again_of, &slim.play].map(Option::as_deref);
        let own = Own::of(&needed(slim.id, "id")?, own);
        let Room { flags, measured, cameras } = &mut self.room;
        let place = place(slim.situation, !measured.is_empty() || !flags.is_empty())?;
        let offense = place.as_ref().and_then(|place| place.offense);
        let flags = flags.iter().filter_map(|(penalty, by)| Some((*penalty, flag_on(*by, offense)?)));
        cameras.sort_unstable();
        let outcome = needed(slim.outcome, "outcome")?;
        let cut_short = cut_short(slim.cut_short.unwrap_or(false), self.interner.names.text(outcome));
        Ok(Row {
            own: own.ok_or_else(|| Error::custom("its texts are longer than 4 GiB"))?,
            edition: needed(slim.edition, "edition")?,
            book: slim.book,
            game: slim.game,
            official: slim.official,
            tree: needed(slim.tree, "tree")?,
            call: needed(slim.call, "call")?,
            whistle: slim.whistle,
            outcome: if cut_short { self.interner.names.intern(CUT_SHORT) } else { outcome },
            finding: slim.finding,
            grades: Grades {
                call: slim.grade,
                position: slim.crew_position,
                review: slim.review_grade,
                plain: slim.plain.as_ref().and_then(Value::as_bool),
            },
            flags: self.interner.flags.intern(&flags.collect::<Vec<_>>()),
            answers,
            cameras: self.interner.cameras.intern(cameras),
            week: slim.week,
            initiator: slim.initiator,
            snap: place.filter(|_| !measured.is_empty()).and_then(|place| place.snap()).map(Box::new),
            measured: measured.as_slice().into(),
            established: slim.established,
            won: slim.won,
            moot: slim.moot.unwrap_or(false),
            cut_short,
            called_ms: called.map_err(Error::custom)?.timestamp_millis(),
            duration_s: needed(slim.duration_s, "duration_s")?
                .filter(|seconds| seconds.is_finite() && *seconds >= 0.0),
            phases: slim.phases_s.unwrap_or(Phases::NONE),
            overrides: slim.overrides.iter().flatten().map(override_text).collect(),
        })
    }

    fn answers(&mut self, written: &str) -> Result<List, Error> {
        if let Some(list) = self.by_text.get(written) {
            return Ok(*list);
        }
        let Interner { names, answers: lists, .. } = &mut self.interner;
        let given = answers(written)?.into_iter();
        let mut given: Vec<(Name, Name)> =
            given.map(|(step, answer)| (names.intern(&step), names.intern(&answer))).collect();
        given.sort_unstable();
        let list = lists.intern(&given);
        if self.by_text.len() < REMEMBERED {
            self.by_text.insert(written.into(), list);
        }
        Ok(list)
    }
}

/// A situation is long: where no other field depends on it, it is only checked to be an object.
fn place(written: Option<&str>, needed: bool) -> Result<Option<Place>, Error> {
    let looked_at = written.filter(|place| needed || !place.starts_with('{'));
    looked_at.map(Place::read).transpose()
}

fn needed<T>(value: Option<T>, field: &'static str) -> Result<T, Error> {
    value.ok_or_else(|| Error::missing_field(field))
}

fn override_text(done: &Value) -> Box<str> {
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
    use crate::sample::row::PHASES;
    use formats::record::{ProofJson, Record};
    use formats::settle::Answer;
    use season::{Plants, season};
    use std::collections::{BTreeMap, BTreeSet};

    const LINE: &str = r#"{"id":"r-1","edition":"ab","tree":"inside-line","call":"foul","outcome":"stands",
        "answers":{"toes":"no","facing":["yes","no"]},"called_at":"2026-05-09T21:42:11.204+02:00","duration_s":61.5,
        "proofs":{"toes":{"line":"alignment line","x":"85/2","sigma":0.04},"facing":{"kind":"seen"}},
        "situation":{"down":4,"to_go":1.5,"spot":38.5,"clock_s":3},"marks":[{"camera":"B"},{"camera":"B"},{"x":1}],
        "phases_s":{"settled":44.0,"ruled":52.5,"opened":null,"paused":1},"initiator":"coach-home",
        "overrides":[{"what":"answered","reason":"the \"arm\""}],"grade":"missed call","crew_position":"line judge","plain":true,"new":[1]}"#;

    #[test]
    fn what_the_audit_needs_is_read_and_the_rest_passed_over() {
        let mut reader = Reader::default();
        let row = reader.row(LINE).expect("a record");
        let Interner { names, answers, cameras, .. } = &reader.interner;
        let answers = answers.get(row.answers).iter();
        let mut answers: Vec<_> =
            answers.map(|(step, answer)| (names.text(*step), names.text(*answer))).collect();
        answers.sort_unstable();
        assert_eq!(answers, [("facing", "no|yes"), ("toes", "no")]);
        let [toes] = &*row.measured else { panic!("{:?}", row.measured) };
        assert_eq!((names.text(toes.step), toes.value, toes.sigma), ("toes", 42.5, 0.04));
        assert_eq!(
            (row.after_settled(), cameras.get(row.cameras).len(), row.called_ms),
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
            assert!(Reader::default().row(&line).is_err(), "{bad}");
        }
    }

    #[test]
    fn a_moved_row_says_the_same_in_the_other_interner() {
        let (mut here, mut there) = (Interner::default(), Reader::default());
        here.names.intern("something else");
        let row = there.row(LINE).expect("a record");
        let mut moved = row.clone();
        for now in here.merge(&[&there.interner]) {
            moved.translate(&now);
        }
        let name = |name: Option<Name>| here.names.text(name.expect("said"));
        assert_eq!(name(Some(moved.outcome)), there.interner.names.text(row.outcome));
        assert_eq!(name(Some(moved.measured[0].step)), "toes");
        assert_eq!((name(moved.grades.call), name(moved.grades.position)), ("missed call", "line judge"));
        let answers = here.answers.get(moved.answers).iter().map(|(step, _)| name(Some(*step)));
        assert_eq!(answers.collect::<Vec<_>>(), ["facing", "toes"]);
    }

    #[test]
    fn answers_of_the_same_text_are_the_same_and_of_another_order_too() {
        let mut reader = Reader::default();
        let turned =
            LINE.replace(r#""toes":"no","facing":["yes","no"]"#, r#""facing":["no","yes"],"toes":"no""#);
        let lists = [LINE, LINE, &turned].map(|line| reader.row(line).expect("a record").answers);
        assert!(turned != LINE && lists[0] == lists[1] && lists[0] == lists[2]);
    }

    #[test]
    fn a_situation_is_one_even_where_nothing_hangs_on_it() {
        let bare = LINE.replace(r#""sigma":0.04"#, r#""sigma":null"#);
        let broken = |line: &str| line.replace(r#"{"down":4,"to_go":1.5,"spot":38.5,"clock_s":3}"#, "5");
        assert!(Reader::default().row(&bare).is_ok_and(|row| row.measured.is_empty() && row.snap.is_none()));
        for line in [LINE, &bare] {
            assert!(Reader::default().row(&broken(line)).is_err(), "{line}");
        }
    }

    /// What a row and its whole record must agree on.
    type Said<'a> =
        (Vec<Option<&'a str>>, BTreeMap<&'a str, String>, BTreeMap<&'a str, [f64; 2]>, BTreeSet<&'a str>);

    fn of_row<'a>(interner: &'a Interner, row: &'a Row) -> Said<'a> {
        let text = |name: Name| interner.names.text(name);
        let own = [Some(row.id()), row.review(), row.again_of(), row.play()];
        let names = [Some(row.edition), row.book, row.game, row.official, Some(row.tree), Some(row.call)];
        let names =
            names.into_iter().chain([row.whistle, row.finding, row.grades.position, Some(row.outcome)]);
        let answers = interner.answers.get(row.answers).iter();
        let measured = row.measured.iter().map(|of| (text(of.step), [of.value, of.sigma]));
        (
            own.into_iter().chain(names.map(|name| name.map(text))).collect(),
            answers.map(|(step, answer)| (text(*step), text(*answer).to_owned())).collect(),
            measured.collect(),
            interner.cameras.get(row.cameras).iter().map(|camera| text(*camera)).collect(),
        )
    }

    fn of_record(record: &Record) -> Said<'_> {
        let outcome = if record.was_cut_short() { CUT_SHORT } else { &record.outcome };
        let texts =
            [Some(&record.id), record.review.as_ref(), record.again_of.as_ref(), record.play.as_ref()];
        let names =
            [Some(&record.edition), record.book.as_ref(), record.game.as_ref(), record.official.as_ref()];
        let ruled =
            [Some(&record.tree), Some(&record.call), record.whistle.as_ref(), record.finding.as_ref()];
        let texts = texts.into_iter().chain(names).chain(ruled).chain([record.crew_position.as_ref()]);
        let answer = |answer: &Answer| match answer {
            Answer::One(option) => option.clone(),
            Answer::Some(options) => {
                options.iter().collect::<BTreeSet<_>>().into_iter().cloned().collect::<Vec<_>>().join("|")
            }
        };
        let measured = record.proofs.iter().filter_map(|(step, proof)| {
            let ProofJson { x, gap_s, sigma, sigma_s, .. } = &proof.known;
            Some((step.as_str(), [x.or(*gap_s)?, sigma.or(*sigma_s)?]))
        });
        (
            texts.map(|text| text.map(String::as_str)).chain([Some(outcome)]).collect(),
            record.answers.iter().map(|(step, given)| (step.as_str(), answer(given))).collect(),
            measured.collect(),
            record.marks.iter().filter_map(|mark| mark.known.camera.as_deref()).collect(),
        )
    }

    // PROPERTY: the audit's quick reader reads what serde does, and a damaged line as nothing else
    #[test]
    fn every_record_of_a_season_is_what_serde_reads_whatever_the_order_and_the_white() {
        let mut reader = Reader::default();
        for record in &season(3, Plants::All).records {
            let sorted =
                serde_json::to_value(record).and_then(|record| serde_json::to_string_pretty(&record));
            for line in [serde_json::to_string(record), sorted] {
                let row = reader.row(&line.expect("JSON")).expect("a record");
                assert_eq!(of_row(&reader.interner, &row), of_record(record));
                assert_eq!(
                    (row.week, row.initiator, row.cut_short),
                    (record.week, record.initiator, record.was_cut_short())
                );
                assert_eq!(
                    (row.established, row.won, row.moot),
                    (record.established, record.won, record.moot)
                );
                assert_eq!(
                    (row.called_ms, row.duration_s),
                    (record.called_at.timestamp_millis(), record.duration_s)
                );
                assert_eq!(row.overrides.len(), record.overrides.len());
                for (at, phase) in PHASES.iter().enumerate() {
                    let seconds = record.phases_s.get(*phase).copied().flatten();
                    assert_eq!(row.phase(at), seconds.map(|seconds| f64::from(seconds as f32)));
                }
            }
        }
    }
}
