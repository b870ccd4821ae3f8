//! A case play with its names resolved: everything in it is checked as `enforce` checks it, and as a review would.

use super::{CasePlay, EndJson, FlagJson, MarkJson, QuestionJson, When};
use crate::error::Error;
use crate::settle;
use crate::snap::{Snap, moment};
use review::case::{Asked, Case};
use review::gate::{Entry, Stop, Unknown, known};
use review::ruling::{Question, flag_on};
use rules::book::Book;
use rules::book::defect::nearest;
use rules::game::known::{Recorded, known as known_step, reason};
use rules::game::play;
use rules::game::play::{Flag, Moment, Play, penalty_of};
use rules::shown::shown;
use std::collections::BTreeMap;

impl CasePlay {
    /// The case play with its names resolved.
    ///
    /// # Errors
    /// [`Error`] for the first name or figure that cannot be.
    pub fn read<'b>(&self, book: &'b Book) -> Result<Case<'b>, Error> {
        let situation = self.situation.under(book)?;
        let snap = Snap { book, at: &situation };
        let play = self.play_of(snap)?;
        let mut asked = Vec::with_capacity(self.questions.len());
        for (index, question) in self.questions.iter().enumerate() {
            let in_question = |error: Error| error.item(index).within("questions");
            self.is_new(index, question).map_err(in_question)?;
            asked.push(question.read(snap, &play).map_err(in_question)?);
        }
        if !self.questions.is_empty() && self.questions.iter().all(|one| one.challenged == Some(false)) {
            return Err(Error::new(
                "every question is one that was found on the way, and none was asked for",
            )
            .help("leave `challenged` out where the review was asked for that question")
            .item(0)
            .within("questions"));
        }
        let stop = match self.stop {
            When::Before => Stop::BeforeNextSnap,
            When::After => Stop::AfterNextSnap,
        };
        Ok(Case { situation, initiator: self.initiator.into(), stop, asked, play })
    }

    /// What of the case means nothing, or is odd and taken as it is written.
    pub fn notes(&self, book: &Book) -> Vec<String> {
        let mut notes = self.situation.notes(book);
        let at_snap = self.situation.clock_s;
        let marks =
            self.marks.iter().map(|(name, mark)| (format!("the mark `{}`", shown(name)), mark.clock_s));
        let end = self.play.iter().map(|end| ("the end of the play".to_owned(), end.clock_s));
        let fouls = self.fouls.iter().filter(|flag| !flag.dead);
        let fouls = fouls.map(|flag| (format!("the foul `{}`", shown(&flag.name)), flag.clock_s));
        notes.extend(marks.chain(end).chain(fouls).filter_map(|(what, clock_s)| {
            let clock_s = clock_s.filter(|clock_s| *clock_s > at_snap)?;
            Some(format!(
                "{what} has the clock at {clock_s} s, which is before the snap: that was at {at_snap} s"
            ))
        }));
        if self.expect == super::Expect::default() {
            notes.push("it expects nothing, so nothing was compared".to_owned());
        }
        notes
    }

    /// Refuses a question that is asked already.
    fn is_new(&self, index: usize, question: &QuestionJson) -> Result<(), Error> {
        match self.questions.iter().take(index).position(|other| other.tree == question.tree) {
            None => Ok(()),
            Some(earlier) => Err(Error::new(format!(
                "`{}` is asked already, as question {}",
                shown(&question.tree),
                earlier + 1
            ))
            .help("put all its answers into one question")
            .within("tree")),
        }
    }

    fn play_of(&self, snap: Snap<'_, '_>) -> Result<Play, Error> {
        let mut moments = play::Moments::new();
        for (name, mark) in &self.marks {
            let of_mark = |error: Error| error.within("marks");
            moment(snap.book, name).map_err(|error| of_mark(error.at_name(name)))?;
            let read = mark.read(snap).map_err(|error| of_mark(error.within(name)))?;
            moments.insert(name.clone(), read);
        }
        let end = self.play.map(|end| end.checked(snap).map_err(|error| error.within("play")));
        let mut flags = Vec::with_capacity(self.fouls.len());
        for (index, flag) in self.fouls.iter().enumerate() {
            flags.push(flag.checked(snap).map_err(|error| error.item(index).within("fouls"))?);
        }
        let timeout =
            self.timeout.map(|side| snap.timeout(side.into()).map_err(|error| error.within("timeout")));
        let choices = self.choices(snap.book, &flags).map_err(|error| error.within("choices"))?;
        Ok(Play { moments, end: end.transpose()?, flags, choices, timeout: timeout.transpose()? })
    }

    /// Choices about the crew's flags and about fouls that an asked question can find.
    fn choices(&self, book: &Book, flags: &[Flag]) -> Result<BTreeMap<String, play::Choice>, Error> {
        let asked = self.questions.iter().filter_map(|question| book.tree(&question.tree));
        let found: Vec<&str> = asked.flat_map(|tree| tree.fouls()).collect();
        let called: Vec<String> = flags.iter().map(|flag| flag.chosen_as(flags)).collect();
        let mut choices = BTreeMap::new();
        for (name, choice) in &self.choices {
            if !called.contains(name) && !found.contains(&penalty_of(name)) {
                let known = called.iter().map(String::as_str).chain(found.iter().copied());
                let message = match book.penalties.contains_key(penalty_of(name)) {
                    true => format!("no flag is `{}`, and no question here finds it", shown(name)),
                    false => format!("the book has no penalty `{}`", shown(name)),
                };
                return Err(Error::new(message).help(nearest(name, known)).at_name(name));
            }
            choices.insert(name.clone(), play::Choice::from(*choice));
        }
        Ok(choices)
    }
}

impl MarkJson {
    fn read(self, snap: Snap<'_, '_>) -> Result<Moment, Error> {
        let x = self.x.map(|x| snap.place(x).map_err(|error| error.within("x")));
        let clock =
            self.clock_s.map(|clock_s| snap.any_clock(clock_s).map_err(|error| error.within("clock_s")));
        Ok(Moment { x: x.transpose()?, clock_ms: clock.transpose()? })
    }
}

impl EndJson {
    fn checked(self, snap: Snap<'_, '_>) -> Result<play::PlayEnd, Error> {
        snap.place(self.spot).map_err(|error| error.within("spot"))?;
        if let Some(clock_s) = self.clock_s {
            snap.any_clock(clock_s).map_err(|error| error.within("clock_s"))?;
        }
        snap.end(self.read(snap.at.offense))
    }
}

impl FlagJson {
    fn checked(&self, snap: Snap<'_, '_>) -> Result<Flag, Error> {
        let flag = self.read(snap.at.offense);
        snap.penalty(&flag.name, flag.by)?;
        if let Some(spot) = self.spot {
            snap.place(spot).map_err(|error| error.within("spot"))?;
        }
        if let Some(clock_s) = self.clock_s {
            snap.any_clock(clock_s).map_err(|error| error.within("clock_s"))?;
        }
        Ok(flag)
    }
}

/// The question and call of these names.
///
/// # Errors
/// [`Error`] with the nearest known name.
pub(crate) fn named<'b>(book: &'b Book, tree: &str, call: &str) -> Result<review::gate::Known<'b>, Error> {
    if let Some(closed) = book.closed.get(tree) {
        return Err(Error::new(format!(
            "`{tree}` is never reviewed (rule {}), so nothing is answered",
            closed.cite
        ))
        .help("name a question of the book")
        .within("tree"));
    }
    known(book, tree, call).map_err(|unknown| match unknown {
        Unknown::Question(name) => {
            let all = book.trees.iter().map(|tree| tree.id.as_str());
            Error::new(format!("the book has no question `{}`", shown(&name)))
                .help(nearest(&name, all.chain(book.closed.keys().map(String::as_str))))
                .within("tree")
        }
        Unknown::Call { tree, call, .. } => {
            let calls = book.tree(&tree).into_iter().flat_map(|tree| &tree.calls);
            Error::new(format!("the question `{tree}` has no call `{}`", shown(&call)))
                .help(nearest(&call, calls.map(|call| call.name.as_str())))
                .within("call")
        }
    })
}

impl QuestionJson {
    fn read<'b>(&self, snap: Snap<'_, 'b>, play: &Play) -> Result<Asked<'b>, Error> {
        let book = snap.book;
        if book.closed.contains_key(&self.tree) {
            return Ok(Asked::Closed(self.tree.clone()));
        }
        let found = named(book, &self.tree, &self.call)?;
        if let Some(whistle) = &self.whistle {
            moment(book, whistle).map_err(|error| error.within("whistle"))?;
        }
        let answers = settle::read(found.tree, &self.answers).map_err(|error| error.within("answers"))?;
        let end = play.ruled_end();
        let recorded = Recorded { at_snap: snap.at, end: end.as_ref(), call: &self.call };
        for (index, step) in found.tree.steps.iter().enumerate() {
            let (Some(given), Some(known)) = (answers.get(index), known_step(book, step, recorded)) else {
                continue;
            };
            if given.and(known.answers).is_empty() {
                return Err(Error::new(format!("this step is not asked: {}", reason(known, recorded)))
                    .help("leave the answer out, or put the situation or the play right")
                    .within(&step.name)
                    .within("answers"));
            }
        }
        Ok(Asked::Question(Question {
            tree: found.tree,
            call: found.call,
            whistle: self.whistle.clone(),
            ruled: self.ruled.iter().map(|ruled| (*ruled).into()).collect(),
            entry: match self.challenged {
                Some(false) => Entry::FoundOnTheWay,
                Some(true) | None => Entry::Challenged,
            },
            flag_on: flag_on(found.tree, &play.flags),
            answers: answers.with_known(book, found.tree, recorded),
        }))
    }
}
