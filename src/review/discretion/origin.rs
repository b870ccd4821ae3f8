//! Where a referee's own ruling comes from, and what the game takes from it: a review that left it to them, or any play
//! of the day, whether or not there was a flag, and whether or not another play was run since.

use super::fold::Discretion;
use super::{Fact, Ground, Matter, MomentAt, Opened, Since};
use crate::day::fold::Day;
use crate::day::play_words;
use crate::decide::{now, questions};
use crate::fold::Review;
use crate::refusal::{Refusal, no, unknown};
use crate::stance::{Outcome, Why};
use rules::book::Book;
use rules::book::effect::Effect;
use rules::book::tree::{OnCall, Tree};
use rules::game::advance::ended::play_end;
use rules::game::situation::Situation;

/// The names of the moments where the crew put the ball, and where the play ended.
const AS_RULED: &str = "as ruled";
const END_OF_PLAY: &str = "end of play";

/// What a review found, if it leaves a question to the referee as it stands now; `None` if it leaves none.
pub fn of_review(book: &Book, id: &str, review: &Review) -> Option<Opened> {
    let called = review.called.as_ref()?;
    let asked = questions(book, review);
    let ruling = now(book, review, &asked).ok()?;
    let left = |outcome| outcome == Outcome::Stands(Why::LeftToReferee);
    let number = ruling.questions.iter().position(|decided| !decided.moot && left(decided.outcome))?;
    let (question, decided) = (asked.get(number)?, ruling.questions.get(number)?);
    let play = review.play();
    let mut marked = play.moments.clone();
    // Without a stated end, the play ended where the crew put the ball.
    if let (None, Some(put)) = (play.end, marked.get(AS_RULED).copied()) {
        marked.entry(END_OF_PLAY.to_owned()).or_insert(put);
    }
    let moments = marked.iter();
    let moments = moments.map(|(name, at)| MomentAt { name: name.clone(), x: at.x, clock_ms: at.clock_ms });
    let findings = decided.possible.iter().filter_map(|index| question.tree.findings.get(index));
    Some(Opened {
        game: called.game.clone(),
        week: called.week,
        play: called.play.clone(),
        review: Some(id.to_owned()),
        matter: Some(Matter {
            question: question.tree.id.clone(),
            call: question.tree.calls.get(question.call)?.name.clone(),
            findings: findings.map(|finding| finding.name.clone()).collect(),
        }),
        book: book.id.clone(),
        edition: book.edition.to_string(),
        ground: Ground {
            situation: review.situation()?,
            end: play.end,
            flags: play.flags.clone(),
            moments: moments.collect(),
            since: None,
        },
        facts: facts(book, review, number),
    })
}

/// The answers to a question, in the order of its steps, each with the newest mark of its moments.
fn facts(book: &Book, review: &Review, number: usize) -> Vec<Fact> {
    let answers = review.answers();
    let tree = review.questions.get(number).and_then(|asked| book.tree(&asked.tree));
    let steps = tree.map_or(&[][..], |tree| tree.steps.as_slice());
    let fact = |step: &rules::book::tree::Step| {
        let answered = answers.get(&(number, step.name.as_str()))?;
        let moments = step.proof.moments();
        let mark = review.marks().filter(|marked| moments.contains(&marked.mark.moment.as_str())).last();
        Some(Fact {
            name: step.name.clone(),
            says: answered.options.join(" or "),
            mark: mark.map(|marked| marked.mark.clone()),
        })
    };
    steps.iter().filter_map(fact).collect()
}

/// A play of the day, as it was run; `None` where there is no such play.
pub fn of_day(book: &Book, day: &Day, play: usize) -> Option<Opened> {
    let (card, of) = (&day.opened.as_ref()?.card, day.plays.get(play)?);
    let now = day.situation()?;
    let situation = Situation { timeouts: now.timeouts, challenges: now.challenges, ..of.at };
    Some(Opened {
        game: card.game.clone(),
        week: card.week,
        play: play_words(book, &of.at),
        review: None,
        matter: None,
        book: book.id.clone(),
        edition: book.edition.to_string(),
        ground: Ground {
            situation,
            end: of.did.and_then(|did| play_end(book, &of.at, did)),
            flags: of.as_run(book).flags,
            moments: Vec::new(),
            since: Some(Since { play, coming: day.plays.len() - 1, now }),
        },
        facts: Vec::new(),
    })
}

/// The same about a question that somebody asks, such as a coach about a blow that nobody flagged. `call` is what the
/// crew called; `None`: nothing, as a no-call of the question says. Nothing is found: no review was held.
///
/// # Errors
/// [`Refusal`] for a question or a call that the book does not have, for a question that the book never leaves to the
/// referee, and for one without a no-call where no call is named.
pub fn asked(book: &Book, opened: Opened, question: &str, call: Option<&str>) -> Result<Opened, Refusal> {
    let Some(tree) = book.tree(question) else {
        return unknown("question", question, book.trees.iter().map(|tree| tree.id.as_str()));
    };
    if !leaves_to_referee(tree) {
        return no(
            format!("the book decides `{question}` itself (rule {})", tree.cite),
            "challenge it; the referee rules only where the book leaves it open",
        );
    }
    let found = match call {
        Some(name) => tree.calls.iter().find(|call| call.name == name),
        None => tree.calls.iter().find(|call| call.no_call),
    };
    let Some(found) = found else {
        let known = tree.calls.iter().map(|call| call.name.as_str());
        return match call {
            Some(name) => unknown("call", name, known),
            None => no(format!("`{question}` has no call of nothing"), "say what the crew called"),
        };
    };
    let matter = Matter { question: tree.id.clone(), call: found.name.clone(), findings: Vec::new() };
    Ok(Opened { matter: Some(matter), ..opened })
}

/// Whether a finding of the question leaves it to the referee.
pub fn leaves_to_referee(tree: &Tree) -> bool {
    let left = |on: &OnCall| match on {
        OnCall::Agrees { correction: effects }
        | OnCall::AgreesIfOn { effects, .. }
        | OnCall::Changes { effects, .. } => effects.contains(&Effect::Discretion),
        OnCall::Barred(_) => false,
    };
    tree.findings.iter().any(|finding| finding.on.values().any(left))
}

/// The situation that the day takes over from a signed ruling between plays; `None` if it goes on as it is: the play
/// stands, or another one was snapped before the ruling was signed.
pub fn taken_over(day: &Day, ruling: &Discretion) -> Option<Situation> {
    let (signed, opened, now) = (ruling.signed.as_ref()?, ruling.opened.as_ref()?, day.situation()?);
    let goes_on =
        |since: Since| since.snapped() || since.coming + 1 != day.plays.len() || signed.after == since.now;
    let after = Situation { timeouts: now.timeouts, challenges: now.challenges, ..signed.after };
    let stays = opened.review.is_some() || opened.ground.since.is_some_and(goes_on) || after == now;
    (!stays).then_some(after)
}
