//! Which rulings of a log can be looked at again, blind; the sheet of a draw; and the answers of a sheet that comes back.
//!
//! Not looked at again: what was cut short, moot, a second look itself, a record that does not say its official or its
//! situation, or has no marks to find the play by, and a question whose edition is not known.

use crate::Error;
use crate::sample::Sample;
use crate::sample::editions::Editions;
use crate::sample::read;
use formats::record::Record;
use formats::record::second::second;
use formats::second_look::{AgainJson, HOW, PictureJson, Sheet};
use formats::settle::{Answer, write};
use log::chain::label::ReviewId;
use log::exchange::records;
use log::store::reader::Reader;
use log::streams::reviews;
use review::gate::{Entry, Known, known};
use review::next::soonest;
use review::ruling::{Question, decide, flag_on, found};
use review::second_look::fold::{Look, Sheet as Drawn};
use review::second_look::{Candidate, Given, Looks};
use review::settle::Answers;
use rules::book::Book;
use rules::game::known::Recorded;
use std::collections::{BTreeMap, BTreeSet};

/// The records of a log, with the books of their editions.
#[derive(Debug)]
pub struct Pool {
    records: BTreeMap<String, Record>,
    sample: Sample,
    editions: Editions,
}

impl Pool {
    /// Reads every record of a log, and the books of their editions.
    ///
    /// # Errors
    /// [`Error`] if the log cannot be read.
    pub fn of(log: &Reader) -> Result<Pool, Error> {
        let all = records::all(log)?;
        let mut sample = Sample::default();
        // INVARIANT: a record that was read from the log can be written as the JSON that it was.
        read::records(&mut sample, &all).expect("a record is JSON");
        let editions = Editions::of(&sample, std::slice::from_ref(log))?;
        let records = all.into_iter().map(|record| (record.id.clone(), record)).collect();
        Ok(Pool { records, sample, editions })
    }

    /// What can be looked at again, and what was.
    pub fn looks(&self) -> Looks {
        let candidates = self.records.values().filter(|record| self.fits(record));
        let candidates = candidates.filter_map(|record| {
            let official = record.official.clone()?;
            Some(Candidate { record: record.id.clone(), tree: record.tree.clone(), official })
        });
        let again =
            self.records.values().filter_map(|look| Some((look.again_of.clone()?, look.official.clone()?)));
        Looks { candidates: candidates.collect(), again: again.collect() }
    }

    fn fits(&self, record: &Record) -> bool {
        let ruled = !record.was_cut_short() && !record.moot;
        let can_be_found =
            record.again_of.is_none() && !record.marks.is_empty() && record.at_snap().is_some();
        ruled && can_be_found && self.known(record).is_some()
    }

    fn known(&self, record: &Record) -> Option<(&Book, Known<'_>)> {
        let book = self.editions.book(self.sample.name(&record.edition)?)?;
        Some((book, known(book, &record.tree, &record.call).ok()?))
    }

    /// The sheet of a draw.
    ///
    /// # Errors
    /// [`Error`] if the log cannot be read.
    pub fn sheet(&self, log: &Reader, name: &str, drawn: &[String]) -> Result<Sheet, Error> {
        let mut reviews = Vec::with_capacity(drawn.len());
        for (number, id) in (1..).zip(drawn) {
            let Some(record) = self.records.get(id) else { continue };
            let Some((_, known)) = self.known(record) else { continue };
            reviews.push(AgainJson::blind(number, known.tree, record, pictures(log, record)?));
        }
        Ok(Sheet { sheet: name.to_owned(), how: HOW.to_owned(), reviews })
    }

    /// The records that these second looks come to.
    pub fn second(&self, looks: &[Look]) -> Vec<Record> {
        looks.iter().filter_map(|look| second(self.records.get(&look.entered.record)?, look)).collect()
    }

    /// What was answered on a sheet; questions without any answer are skipped.
    ///
    /// # Errors
    /// Every [`Error::Sheet`], in the order of the sheet.
    pub fn given(&self, drawn: &Drawn, sheet: &Sheet) -> Result<Vec<Given>, Vec<Error>> {
        let (mut given, mut faults) = (Vec::new(), Vec::new());
        for again in sheet.reviews.iter().filter(|again| !again.filled().is_empty()) {
            match self.one(drawn, again) {
                Ok(one) => given.push(one),
                Err(wrong) => faults.extend(wrong),
            }
        }
        if faults.is_empty() { Ok(given) } else { Err(faults) }
    }

    fn one(&self, drawn: &Drawn, again: &AgainJson) -> Result<Given, Vec<Error>> {
        let number = again.number;
        let not = |what: String| {
            vec![Error::Sheet { number, message: format!("the sheet does not match its draw: {what}") }]
        };
        let record = drawn.record(number).and_then(|id| self.records.get(id));
        let record = record.ok_or_else(|| not(format!("it has {} numbers", drawn.records.len())))?;
        let (book, known) =
            self.known(record).ok_or_else(|| not("the rules of its ruling are not known".to_owned()))?;
        if (&again.tree, &again.call) != (&record.tree, &record.call) {
            return Err(not(format!("it is about `{}` of `{}`", record.call, record.tree)));
        }
        let answers = again.answers(known.tree).map_err(|all| {
            let fault = |wrong: &_| Error::Sheet { number, message: ToString::to_string(wrong) };
            all.iter().map(fault).collect::<Vec<_>>()
        })?;
        let given = answers.given().filter_map(|step| {
            let options = match write(known.tree, step, answers.get(step)?) {
                Answer::One(option) => vec![option],
                Answer::Some(options) => options,
            };
            Some((known.tree.steps[step].name.clone(), options))
        });
        let given = given.collect();
        let question = question(book, record, known, answers);
        let found = found(book, &question, &decide(book, &question));
        let next = soonest(&question.stance(book), &question.answers);
        let next = next.map(|step| known.tree.steps[step].name.clone());
        Ok(Given { number, answers: given, found, next })
    }
}

/// The question of a record with other answers.
fn question<'b>(book: &Book, record: &Record, known: Known<'b>, answers: Answers) -> Question<'b> {
    let offense = record.at_snap().map(|at| at.offense.into());
    let at_snap = record.at_snap().and_then(|at| at.read().ok());
    let answers = match &at_snap {
        Some(at_snap) => {
            answers.with_known(book, known.tree, Recorded { at_snap, end: None, call: &record.call })
        }
        None => answers,
    };
    let flags =
        offense.map(|offense| record.fouls.iter().map(|flag| flag.known.read(offense)).collect::<Vec<_>>());
    Question {
        tree: known.tree,
        call: known.call,
        whistle: record.whistle.clone(),
        ruled: Vec::new(),
        entry: Entry::Challenged,
        flag_on: flags.and_then(|flags| flag_on(known.tree, &flags)),
        answers,
    }
}

/// The pictures that the first look stopped at, each once, in an order that does not show its own.
fn pictures(log: &Reader, record: &Record) -> Result<Vec<PictureJson>, Error> {
    let typed = record.marks.iter().filter_map(|mark| {
        let camera = mark.known.camera.clone()?;
        Some(PictureJson { camera, timecode: mark.known.timecode.clone(), clip_sha256: None, frame: None })
    });
    let id = record.review.as_deref().and_then(|review| ReviewId::new(review).ok());
    let held = match id {
        Some(id) => reviews::Held::one(log, &id)?,
        None => None,
    };
    let Some(held) = held else { return Ok(typed.collect::<BTreeSet<_>>().into_iter().collect()) };
    let review = held.review();
    let own = review.marks().map(|marked| PictureJson {
        camera: marked.mark.camera.clone(),
        timecode: Some(marked.mark.timecode.to_string()),
        clip_sha256: marked.shot.as_ref().map(|shot| shot.clip_sha256.clone()),
        frame: marked.shot.as_ref().map(|shot| shot.frame),
    });
    Ok(own.collect::<BTreeSet<_>>().into_iter().collect())
}
