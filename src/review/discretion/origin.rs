//! Where a referee's own ruling comes from: a review that left it to them, or a play of the day.

use super::{Fact, Ground, Matter, MomentAt, Opened};
use crate::day::fold::Day;
use crate::day::play_words;
use crate::decide::{now, questions};
use crate::fold::Review;
use crate::stance::{Outcome, Why};
use rules::book::Book;
use rules::book::effect::{DeadBy, Part, Points};
use rules::game::advance::{Advance, Did};
use rules::game::play::PlayEnd;
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
            end: of.did.and_then(|did| end(book, &of.at, did)),
            flags: Vec::new(),
            moments: Vec::new(),
        },
        facts: Vec::new(),
    })
}

/// How a play of the day ended; `None` where a `PlayEnd` cannot express it, so that the end has to be marked.
fn end(book: &Book, at: &Situation, play: Advance) -> Option<PlayEnd> {
    let ended = |spot, dead_by| PlayEnd {
        spot,
        clock_ms: Some(play.clock_ms),
        dead_by,
        points: None,
        turnover: false,
    };
    Some(match play.did {
        Did::Down { at } => ended(at, DeadBy::Down),
        Did::OutOfBounds { at } => ended(at, DeadBy::OutOfBounds),
        Did::Incomplete => ended(at.spot, DeadBy::Incomplete),
        Did::Turnover { at } => PlayEnd { turnover: true, ..ended(at, DeadBy::ChangeOfPossession) },
        Did::Touchdown { by } => PlayEnd {
            points: Some((Points::Touchdown, by)),
            turnover: by == Part::Defense,
            ..ended(book.field.length, DeadBy::Score)
        },
        Did::FieldGoal { .. }
        | Did::Safety
        | Did::Kicked { .. }
        | Did::Touchback
        | Did::KickKept { .. }
        | Did::Tried(_)
        | Did::Again => return None,
    })
}
