//! Commands in, events or a "no" out.
//!
//! Nothing here changes a review: `fold` does, with the events. A "no" is a value: it says why, what to do
//! instead, and whether a reason would carry it.

use super::event::{
    Answered, Asked, Called, ENGINE, Event, Found, Look, Marked, ReadBack, Refused, Snapshot,
};
use super::fold::{Phase, Review, Stamped};
use super::gate::{self, Gate, Initiator, Subject};
use super::ruling::{Question, Ruling, flag_on, label, rule};
use super::settle::{Answers, settle};
use super::stamp::Stamp;
use super::words::{Names, words};
use crate::book::Book;
use crate::book::fault::nearest;
use crate::book::replay::Withdraw;
use crate::book::tree::{Looks, Set, Step};
use crate::game::play::{Choice, Flag};
use crate::proof::mark::Basis;
use crate::proof::verdict::Verdict;

/// What an official can do in a review.
#[derive(Debug, Clone, PartialEq)]
pub enum Command {
    /// Ask for a review.
    Challenge(Called),
    /// Put a question, the first one or another.
    Ask(Asked),
    /// Read the call back.
    ReadBack(ReadBack),
    /// State the crew's flags.
    Flag(Vec<Flag>),
    /// State a choice of the offended team.
    Choose {
        /// The penalty's name.
        penalty: String,
        /// The choice.
        choice: Choice,
    },
    /// Look at a step.
    Look(Look),
    /// Mark a moment.
    Mark(Marked),
    /// Answer a step; all options for "unclear".
    Answer(Answered),
    /// Take back the newest act.
    Undo,
    /// Take the challenge back.
    Withdraw,
    /// Rule on what is proven.
    Rule,
    /// Read the restart back to the crew.
    ReadBackRestart,
    /// Announce the ruling.
    Announce,
    /// End without a ruling.
    CutShort {
        /// Why.
        reason: String,
    },
}

/// Why a command is not carried out.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{because}")]
pub struct No {
    /// Why.
    pub because: String,
    /// What to do instead.
    pub instead: String,
    /// Given with a reason, it is carried out as an override.
    pub reason_carries: bool,
}

fn no<T>(because: impl Into<String>, instead: impl Into<String>) -> Result<T, No> {
    Err(No { because: because.into(), instead: instead.into(), reason_carries: false })
}

/// What a review decides with besides its own state.
#[derive(Debug, Clone, Copy)]
pub struct Desk<'a> {
    /// The book.
    pub book: &'a Book,
    /// How the teams are called.
    pub names: &'a Names,
}

/// The events of a command, or why there are none.
///
/// # Errors
/// [`No`] if the command does not fit the review as it is.
pub fn decide(desk: Desk<'_>, review: &Review, command: Command, now: &Stamp) -> Result<Vec<Event>, No> {
    allowed(review.phase, &command)?;
    let book = desk.book;
    match command {
        Command::Challenge(called) => called.situation.possible(&book.field, &book.game).map_or_else(
            |impossible| no(impossible.to_string(), "put the situation right first"),
            |()| Ok(vec![Event::Called(called)]),
        ),
        Command::Ask(asked) => ask(book, review, asked),
        Command::ReadBack(read_back) => Ok(vec![Event::ReadBack(read_back)]),
        Command::Flag(flags) => match flags.iter().find(|flag| !book.penalties.contains_key(&flag.name)) {
            Some(flag) => unknown("penalty", &flag.name, book.penalties.keys().map(String::as_str)),
            None => Ok(vec![Event::Flagged(flags)]),
        },
        Command::Choose { penalty, choice } => match book.penalties.contains_key(&penalty) {
            true => Ok(vec![Event::Chosen { penalty, choice }]),
            false => unknown("penalty", &penalty, book.penalties.keys().map(String::as_str)),
        },
        Command::Look(look) => self::look(book, review, look),
        Command::Mark(marked) => Ok(with_settled(book, review, Event::Marked(marked), now)),
        Command::Answer(answered) => answer(book, review, answered, now),
        Command::Undo => match review.last_act() {
            Some(act) => Ok(vec![Event::Undone { act }]),
            None => no("there is nothing to take back", "a look and a ruling stay as they are"),
        },
        Command::Withdraw => withdraw(book, review),
        Command::Rule => self::ruled(desk, review),
        Command::ReadBackRestart => Ok(vec![Event::RestartReadBack]),
        Command::Announce => Ok(vec![Event::Announced]),
        Command::CutShort { reason } if reason.trim().is_empty() => {
            no("ending a review without a ruling needs a reason", "say why")
        }
        Command::CutShort { reason } => Ok(vec![Event::CutShort { reason }]),
    }
}

/// Whether a command fits the phase at all.
fn allowed(phase: Phase, command: &Command) -> Result<(), No> {
    use Command as C;
    use Phase as P;
    let fits = match command {
        C::Challenge(_) => phase == P::New,
        C::Ask(_) => matches!(phase, P::Called | P::Refused | P::Admitted | P::Open),
        C::ReadBack(_) => phase == P::Admitted,
        C::Flag(_) | C::Choose { .. } => matches!(phase, P::Admitted | P::Open),
        C::Look(_) | C::Mark(_) | C::Answer(_) | C::Undo | C::Rule => phase == P::Open,
        C::Withdraw => matches!(phase, P::Called | P::Admitted | P::Open),
        C::ReadBackRestart => phase == P::Ruled,
        C::Announce => phase == P::ReadyToAnnounce,
        C::CutShort { .. } => {
            matches!(phase, P::Called | P::Admitted | P::Open | P::Ruled | P::ReadyToAnnounce)
        }
    };
    if fits {
        return Ok(());
    }
    match phase {
        P::New => no("no review has been asked for", "begin with the challenge"),
        P::Called => no("nothing has been asked yet", "name the question"),
        P::Refused => no("the gate refused it", "ask another question about the play, or go on"),
        P::Admitted => {
            no("the call has not been read back", "read back call, whistle, spot, clock and flags")
        }
        P::Open => no("the review is open", "answer, rule, or end it with a reason"),
        P::Ruled => no("it is ruled; the restart is to be read back", "read it back to the crew"),
        P::ReadyToAnnounce => no("it is ruled and read back", "announce it"),
        P::Announced => no("the review is over: it was announced", "a new review may be asked for"),
        P::Withdrawn => no("the review is over: it was withdrawn", "a new review may be asked for"),
        P::CutShort => no("the review is over: it was cut short", "a new review may be asked for"),
    }
}

fn unknown<'n, T>(what: &str, name: &str, known: impl Iterator<Item = &'n str>) -> Result<T, No> {
    no(format!("there is no {what} `{name}`"), nearest(name, known))
}

fn called(review: &Review) -> Result<&Called, No> {
    match &review.called {
        Some(called) => Ok(called),
        None => no("no review has been asked for", "begin with the challenge"),
    }
}

fn ask(book: &Book, review: &Review, asked: Asked) -> Result<Vec<Event>, No> {
    let called = called(review)?;
    if review.questions.iter().any(|other| other.tree == asked.tree) {
        return no(format!("`{}` is asked already", asked.tree), "answer its steps");
    }
    let subject = Subject { name: &asked.tree, call: &asked.call, ruled: &asked.ruled, entry: asked.entry };
    match gate::gate(book, &called.situation, called.initiator, called.stop, &subject) {
        Ok(Gate::Allowed { .. }) => Ok(vec![Event::Asked(asked)]),
        Ok(Gate::Refused(refusal)) => Ok(vec![Event::Refused(Refused {
            asked,
            rule: refusal.rule,
            because: refusal.because,
            price: refusal.price,
        })]),
        Err(gate::Unknown::Question(name)) => {
            unknown("question", &name, book.trees.iter().map(|tree| tree.id.as_str()))
        }
        Err(call @ gate::Unknown::Call { .. }) => no(call.to_string(), "name one of them"),
    }
}

/// The questions of a review as the engine knows them.
pub fn questions<'b>(book: &'b Book, review: &Review) -> Vec<Question<'b>> {
    let answers = review.answers();
    let flags = review.flags();
    let known = review.questions.iter().enumerate().filter_map(|(number, asked)| {
        let known = gate::known(book, &asked.tree, &asked.call).ok()?;
        let mut given = Answers::none(known.tree);
        for (index, step) in known.tree.steps.iter().enumerate() {
            if let Some(answered) = answers.get(&(number, step.name.as_str())) {
                given.set(index, options(step, &answered.options));
            }
        }
        Some(Question {
            tree: known.tree,
            call: known.call,
            whistle: asked.whistle.clone(),
            ruled: asked.ruled.clone(),
            entry: asked.entry,
            flag_on: flag_on(known.tree, &flags),
            answers: given,
        })
    });
    known.collect()
}

fn options(step: &Step, names: &[String]) -> Set {
    let known = names.iter().filter_map(|name| step.option(name));
    known.fold(Set::EMPTY, |set, option| set.with(Set::one(option)))
}

/// The step that a command names.
fn step<'b>(book: &'b Book, review: &Review, question: usize, name: &str) -> Result<&'b Step, No> {
    let Some(asked) = review.questions.get(question) else {
        return no(format!("there is no question {question}"), "questions count from 0, in play order");
    };
    let Some(tree) = book.tree(&asked.tree) else {
        return unknown("question", &asked.tree, book.trees.iter().map(|tree| tree.id.as_str()));
    };
    match tree.step(name) {
        Some(step) => Ok(&tree.steps[step]),
        None => unknown("step", name, tree.steps.iter().map(|step| step.name.as_str())),
    }
}

/// Judgement of force and intent is made at the speed of the game: slowed pictures raise judged intent.
fn look(book: &Book, review: &Review, look: Look) -> Result<Vec<Event>, No> {
    let step = step(book, review, look.question, &look.step)?;
    if step.looks == Looks::FullSpeed && look.kind != Looks::FullSpeed && !given(look.reason.as_ref()) {
        return Err(No {
            because: format!("`{}` is judged at full speed", step.name),
            instead: "look at full speed, or give a reason".to_owned(),
            reason_carries: true,
        });
    }
    let needed = step.looks == Looks::FullSpeed && look.kind != Looks::FullSpeed;
    let reason = look.reason.filter(|_| needed);
    Ok(vec![Event::Looked(Look { reason, ..look })])
}

fn given(reason: Option<&String>) -> bool {
    reason.is_some_and(|reason| !reason.trim().is_empty())
}

fn answer(book: &Book, review: &Review, answered: Answered, now: &Stamp) -> Result<Vec<Event>, No> {
    let step = step(book, review, answered.question, &answered.step)?;
    if answered.options.is_empty() {
        return no(format!("the answer to `{}` is empty", step.name), "say `unclear` with all options");
    }
    if let Some(wrong) = answered.options.iter().find(|name| step.option(name).is_none()) {
        return unknown("answer", wrong, step.options.iter().map(|choice| choice.name.as_str()));
    }
    let objection = objection(book, review, step, &answered, now);
    match objection {
        Some(objection) if !given(answered.reason.as_ref()) => Err(No {
            because: objection,
            instead: "prove it, answer unclear, or give a reason: the ruling will show it".to_owned(),
            reason_carries: true,
        }),
        // A reason is kept only where it carries something: overrides are never silent, and never noise.
        Some(_) => Ok(with_settled(book, review, Event::Answered(answered), now)),
        None => {
            let answered = Answered { reason: None, ..answered };
            Ok(with_settled(book, review, Event::Answered(answered), now))
        }
    }
}

/// What speaks against an answer: the limit, a measurement, missing looks or marks.
fn objection(book: &Book, review: &Review, step: &Step, answered: &Answered, now: &Stamp) -> Option<String> {
    let limits = &book.replay.limits;
    if let (Some(limit), Some(first)) = (limits.to_ruling_s, &review.times.first_look)
        && now.since(first).is_some_and(|elapsed| elapsed.ms() > u64::from(limit) * 1000)
    {
        return Some(format!(
            "the limit of {limit} s from the first look is reached: rule on what is proven"
        ));
    }
    let set = options(step, &answered.options);
    if set == step.every() {
        return None;
    }
    if let Basis::Computed(verdict) = answered.basis {
        return against(verdict, step, set);
    }
    let looked = |look: &&Look| {
        look.question == answered.question && look.step == step.name && look.kind == step.looks
    };
    if !review.looks().any(|look| looked(&look)) {
        return Some(format!("`{}` has not been looked at {}", step.name, speed(step.looks)));
    }
    if set.within(step.unmarked) {
        return None;
    }
    let marked = |moment: &str| review.marks().any(|marked| marked.mark.moment == moment);
    let missing: Vec<&str> = step.proof.moments().into_iter().filter(|moment| !marked(moment)).collect();
    (!missing.is_empty()).then(|| format!("`{}` is not marked: {}", step.name, missing.join(", ")))
}

fn speed(looks: Looks) -> &'static str {
    match looks {
        Looks::FullSpeed => "at full speed",
        Looks::Slow => "in slow motion",
        Looks::FrameByFrame => "frame by frame",
    }
}

/// The first option of a step is the one that its proof states.
fn against(verdict: Verdict, step: &Step, set: Set) -> Option<String> {
    let says_so = set.has(0) && set.len() == 1;
    match verdict {
        Verdict::Established { probability } if !says_so => {
            Some(format!("the measurement establishes `{}` ({probability:.3})", step.options[0].name))
        }
        Verdict::Refuted { probability } if set.has(0) => {
            Some(format!("the measurement refutes `{}` ({probability:.3})", step.options[0].name))
        }
        Verdict::Inconclusive { probability } => {
            Some(format!("the measurement does not tell ({probability:.3})"))
        }
        Verdict::Contradiction => Some("the marks contradict each other".to_owned()),
        Verdict::Established { .. } | Verdict::Refuted { .. } => None,
    }
}

/// The event, and that everything is settled, if it is so from here on.
fn with_settled(book: &Book, review: &Review, event: Event, now: &Stamp) -> Vec<Event> {
    if review.times.settled.is_some() {
        return vec![event];
    }
    let mut after = review.clone();
    after.apply(Stamped { at: now.clone(), event: event.clone() });
    let questions = questions(book, &after);
    let settled = !questions.is_empty()
        && questions.iter().all(|question| {
            let settled = settle(&question.stance(book), &question.answers);
            settled.outcome && settled.restart
        });
    if settled { vec![event, Event::Settled] } else { vec![event] }
}

fn withdraw(book: &Book, review: &Review) -> Result<Vec<Event>, No> {
    let coach = &book.replay.coach;
    if !matches!(called(review)?.initiator, Initiator::Coach(_)) {
        return no("only a coach's challenge can be withdrawn", "rule, or end the review with a reason");
    }
    let looked = review.times.first_look.is_some();
    match coach.withdraw {
        Withdraw::BeforeFirstLook if !looked => Ok(vec![Event::Withdrawn]),
        Withdraw::BeforeFirstLook => no(
            format!("a challenge may be withdrawn only before the first look (rule {})", coach.withdraw_cite),
            "rule on what is proven",
        ),
        Withdraw::Never => no(
            format!("a challenge may not be withdrawn (rule {})", coach.withdraw_cite),
            "rule on what is proven",
        ),
    }
}

/// What a ruling now would be.
///
/// # Errors
/// [`No`] if nothing has been asked.
pub fn now<'b>(book: &'b Book, review: &Review, questions: &[Question<'b>]) -> Result<Ruling<'b>, No> {
    let called = called(review)?;
    Ok(rule(book, called.situation, called.initiator, questions, &review.play()))
}

fn ruled(desk: Desk<'_>, review: &Review) -> Result<Vec<Event>, No> {
    let book = desk.book;
    let questions = questions(book, review);
    let ruling = now(book, review, &questions)?;
    if let Some(open) = ruling.restart.open.first() {
        return no(format!("the restart is not complete: {open}"), "mark it, with its spot and its clock");
    }
    let words = words(book, desk.names, &called(review)?.situation, &questions, &ruling);
    let found = questions.iter().zip(&ruling.questions).map(|(question, decided)| Found {
        tree: question.tree.id.clone(),
        call: question.tree.calls[question.call].name.clone(),
        possible: decided.possible.iter().map(|index| question.tree.findings[index].name.clone()).collect(),
        finding: decided.finding.map(|index| question.tree.findings[index].name.clone()),
        outcome: decided.outcome,
        label: label(book, decided.outcome).to_owned(),
        established: decided.established,
        settled: decided.settled,
        moot: decided.moot,
    });
    let snapshot = Snapshot {
        engine: ENGINE,
        edition: book.edition.to_string(),
        questions: found.collect(),
        after: ruling.restart.after,
        clock_starts: ruling.restart.clock_starts,
        fouls: ruling.restart.fouls.clone(),
        won: ruling.won,
        price: ruling.price,
        words,
        overrides: review.overrides(),
    };
    Ok(vec![Event::Ruled(Box::new(snapshot))])
}
