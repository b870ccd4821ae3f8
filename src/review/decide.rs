//! Which events a command leads to, or why it is refused. Nothing here changes a review: `fold` does, with the events.

use super::answer;
use super::as_announced::as_announced;
use super::day::fold::Day;
use super::event::{Answered, Asked, Called, ENGINE, Event, Look, Marked, ReadBack, Refused, Snapshot, Tied};
use super::fold::{Phase, Review, Stamped};
use super::gate::{self, Entry, Gate, Initiator, Subject};
use super::marking;
use super::placing::{self, Placing};
use super::refusal::{Refusal, no, unknown};
use super::ruling::{self, Question, Ruling, flag_on, rule};
use super::settle::{Answers, settle};
use super::stamp::Stamp;
use super::tying;
use crate::announcement::Names;
use rules::book::Book;
use rules::book::effect::Part;
use rules::book::replay::Withdraw;
use rules::game::clock::goes_on;
use rules::game::known::Recorded;
use rules::game::play::{Choice, Flag, penalty_of};
use rules::game::situation::Situation;

/// What an official can do in a review. `Choose` states a choice of the offended team about a foul, named as by
/// [`Flag::chosen_as`]. `Place` puts a point against
/// the line that a step asks about. `Tie` ties two cameras to one clock by a moment that both see. An `Answer` with
/// all options is "unclear". `Undo` takes back the newest act. `Amend` overrides the restart that follows from the
/// book. `CutShort` ends without a ruling.
#[derive(Debug, Clone, PartialEq)]
pub enum Command {
    Challenge(Called),
    Ask(Asked),
    ReadBack(ReadBack),
    Flag(Vec<Flag>),
    Choose { penalty: String, choice: Choice },
    Look(Look),
    Mark(Marked),
    Place(Placing),
    Tie(Box<Tied>),
    Answer(Answered),
    Undo,
    Withdraw,
    Rule,
    ReadBackRestart,
    Announce,
    Amend { after: Situation, reason: String },
    CutShort { reason: String },
}

/// What a decision needs besides the review's own state.
#[derive(Debug, Clone, Copy)]
pub struct Desk<'a> {
    pub book: &'a Book,
    pub names: &'a Names,
    /// The game's day, in which the review is on; `None` where the play alone is known.
    pub day: Option<&'a Day>,
}

impl<'a> Desk<'a> {
    /// The day and the play (from 0) that is under review in it; `None` without a day, or where no review is on.
    pub fn under_review(&self) -> Option<(&'a Day, usize)> {
        let day = self.day?;
        Some((day, day.review()?.play))
    }
}

/// The events that a command leads to.
///
/// # Errors
/// [`Refusal`] if the command does not fit the review as it is.
pub fn decide(desk: Desk<'_>, review: &Review, command: Command, now: &Stamp) -> Result<Vec<Event>, Refusal> {
    allowed(review.phase, &command)?;
    let book = desk.book;
    match command {
        Command::Challenge(called) => called.situation.possible(&book.field, &book.game).map_or_else(
            |impossible| no(impossible.to_string(), "put the situation right first"),
            |()| Ok(vec![Event::Called(called)]),
        ),
        Command::Ask(asked) => ask(book, review, asked),
        Command::ReadBack(read_back) => self::read_back(book, review, read_back),
        Command::Flag(flags) => flag(book, flags),
        Command::Choose { penalty, choice } => {
            let name = if book.penalties.contains_key(&penalty) { &penalty } else { penalty_of(&penalty) };
            match book.penalties.contains_key(name) {
                true => Ok(vec![Event::Chosen { penalty, choice }]),
                false => unknown("penalty", &penalty, book.penalties.keys().map(String::as_str)),
            }
        }
        Command::Look(look) => Ok(vec![Event::Looked(answer::look(book, review, look)?)]),
        Command::Mark(marked) => {
            let marked = as_read(marking::counted(review, marked)?)?;
            Ok(with_settled(book, review, Event::Marked(marked), now))
        }
        Command::Place(placing) => Ok(vec![Event::Placed(Box::new(placing::placed(book, review, placing)?))]),
        Command::Tie(tied) => Ok(vec![Event::Tied(Box::new(tying::tied(review, *tied)?))]),
        Command::Answer(answered) => {
            let answered = answer::answer(book, review, answered, now)?;
            Ok(with_settled(book, review, Event::Answered(answered), now))
        }
        Command::Undo => match review.last_act() {
            Some(act) => Ok(vec![Event::Undone { act }]),
            None => no("there is nothing to take back", "a look and a ruling stay as they are"),
        },
        Command::Withdraw => withdraw(book, review),
        Command::Rule => self::ruled(desk, review),
        Command::ReadBackRestart => Ok(vec![Event::RestartReadBack]),
        Command::Announce => Ok(vec![Event::Announced]),
        Command::Amend { reason, .. } if reason.trim().is_empty() => {
            no("the restart is what the book makes of the findings", "give a reason: the ruling will show it")
        }
        Command::Amend { after, reason } => after.possible(&book.field, &book.game).map_or_else(
            |impossible| no(impossible.to_string(), "the restart must be a situation of this game"),
            |()| Ok(vec![Event::Amended { after, reason }]),
        ),
        Command::CutShort { reason } if reason.trim().is_empty() => {
            no("ending a review without a ruling needs a reason", "say why")
        }
        Command::CutShort { reason } => Ok(vec![Event::CutShort { reason }]),
    }
}

/// Refuses a command that does not fit the phase.
fn allowed(phase: Phase, command: &Command) -> Result<(), Refusal> {
    use Command as C;
    use Phase as P;
    let fits = match command {
        C::Challenge(_) => phase == P::New,
        C::Ask(_) => matches!(phase, P::Called | P::Refused | P::Admitted | P::Open),
        // Again while it is open: what was misheard is corrected, and the newest counts.
        C::ReadBack(_) => matches!(phase, P::Admitted | P::Open),
        C::Flag(_) | C::Choose { .. } => matches!(phase, P::Admitted | P::Open),
        C::Look(_)
        | C::Mark(_)
        | C::Place(_)
        | C::Tie(_)
        | C::Answer(_)
        | C::Undo
        | C::Rule
        | C::Amend { .. } => phase == P::Open,
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

/// The review's call, and the situation at the snap with what refused challenges have cost since.
fn called(review: &Review) -> Result<(&Called, Situation), Refusal> {
    match review.called.as_ref().zip(review.situation()) {
        Some(called) => Ok(called),
        None => no("no review has been asked for", "begin with the challenge"),
    }
}

/// Refuses an impossible spot or clock: no ruling could follow from it, and a call is read back only once.
fn read_back(book: &Book, review: &Review, read_back: ReadBack) -> Result<Vec<Event>, Refusal> {
    let (_, snap) = called(review)?;
    let end = read_back.end;
    let scored = end.is_some_and(|end| end.points.is_some());
    let spots = [read_back.spot, end.map(|end| end.spot)].into_iter().flatten().filter(|_| !scored);
    let clocks = [read_back.clock_ms, end.and_then(|end| end.clock_ms)].into_iter().flatten();
    let mut read = spots
        .map(|spot| Situation { spot, ..snap })
        .chain(clocks.map(|clock_ms| Situation { clock_ms, ..snap }));
    match read.find_map(|situation| situation.possible(&book.field, &book.game).err()) {
        Some(impossible) => no(impossible.to_string(), "read back where the ball is put, and its clock"),
        None => Ok(vec![Event::ReadBack(read_back)]),
    }
}

fn flag(book: &Book, flags: Vec<Flag>) -> Result<Vec<Event>, Refusal> {
    for flag in &flags {
        let Some(penalty) = book.penalties.get(&flag.name) else {
            return unknown("penalty", &flag.name, book.penalties.keys().map(String::as_str));
        };
        if penalty.by.is_some_and(|by| by != flag.by) {
            return no(
                format!("`{}` is never a foul of the {} (rule {})", flag.name, side(flag.by), penalty.cite),
                format!("put it on the {}", side(flag.by.other())),
            );
        }
    }
    Ok(vec![Event::Flagged(flags)])
}

fn side(part: Part) -> &'static str {
    match part {
        Part::Offense => "offense",
        Part::Defense => "defense",
    }
}

fn ask(book: &Book, review: &Review, asked: Asked) -> Result<Vec<Event>, Refusal> {
    let (called, situation) = called(review)?;
    if asked.entry == Entry::FoundOnTheWay && review.questions.is_empty() {
        return no(
            "no question is under review yet, so nothing can be found during it",
            "ask the challenged question first",
        );
    }
    if review.questions.iter().any(|other| other.tree == asked.tree) {
        return no(format!("`{}` is asked already", asked.tree), "answer its steps");
    }
    let subject = Subject { name: &asked.tree, call: &asked.call, ruled: &asked.ruled, entry: asked.entry };
    match gate::gate(book, &situation, called.initiator, called.stop, &subject) {
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

/// The review's questions with their answers so far. Questions that the book lacks are left out.
pub fn questions<'b>(book: &'b Book, review: &Review) -> Vec<Question<'b>> {
    let answers = review.answers();
    let flags = review.flags();
    let (at_snap, end) = (review.situation(), review.play().ruled_end());
    let known = review.questions.iter().enumerate().filter_map(|(number, asked)| {
        let known = gate::known(book, &asked.tree, &asked.call).ok()?;
        let mut given = Answers::none(known.tree);
        for (index, step) in known.tree.steps.iter().enumerate() {
            if let Some(answered) = answers.get(&(number, step.name.as_str())) {
                given.set(index, answer::options(step, &answered.options));
            }
        }
        Some(Question {
            tree: known.tree,
            call: known.call,
            whistle: asked.whistle.clone(),
            ruled: asked.ruled.clone(),
            entry: asked.entry,
            flag_on: flag_on(known.tree, &flags),
            answers: match &at_snap {
                Some(at_snap) => given.with_known(
                    book,
                    known.tree,
                    Recorded { at_snap, end: end.as_ref(), call: &asked.call },
                ),
                None => given,
            },
        })
    });
    known.collect()
}

/// The event, followed by `Settled` if it is the one that settles everything.
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

/// Refuses a clock that differs from its own readings.
fn as_read(marked: Marked) -> Result<Marked, Refusal> {
    match &marked.scoreboard {
        Some(read) if read.clock_ms().is_none() || read.clock_ms() != marked.clock_ms => {
            no(read.text(), "take the clock that the readings come to, or type it without them")
        }
        Some(_) | None => Ok(marked),
    }
}

fn withdraw(book: &Book, review: &Review) -> Result<Vec<Event>, Refusal> {
    let coach = &book.replay.coach;
    if !matches!(called(review)?.0.initiator, Initiator::Coach(_)) {
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

/// The ruling as it would be now. Its restart follows from the book, unless the official corrected it.
///
/// # Errors
/// [`Refusal`] if nothing has been asked.
pub fn now<'b>(book: &'b Book, review: &Review, questions: &[Question<'b>]) -> Result<Ruling<'b>, Refusal> {
    let (called, situation) = called(review)?;
    let mut ruling = rule(book, situation, called.initiator, questions, &review.play());
    if let Some((after, _)) = review.amended() {
        ruling.restart.after = after;
        ruling.restart.clock_starts = goes_on(book, &after);
        ruling.restart.open.clear();
        // The referee's own ruling decides the fouls, not the call that it replaced.
        if ruling.restart.discretion {
            ruling.restart.fouls.clear();
            ruling.restart.chosen_as.clear();
        }
    }
    Ok(ruling)
}

fn ruled(desk: Desk<'_>, review: &Review) -> Result<Vec<Event>, Refusal> {
    let book = desk.book;
    let questions = questions(book, review);
    let ruling = now(book, review, &questions)?;
    if let Some(open) = ruling.restart.open.first() {
        return no(format!("the restart is not complete: {open}"), "mark it, with its spot and its clock");
    }
    let words = as_announced(desk, review, &ruling).words(book, desk.names, &questions);
    let found = questions.iter().zip(&ruling.questions);
    let found = found.map(|(question, decided)| ruling::found(book, question, decided));
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
