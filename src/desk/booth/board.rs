//! A review as it stands: the engine's answers in the words of a screen.
//!
//! Built after each event, never while drawing. Decides nothing.

use crate::widget::answer::Shape;
use crate::widget::map::Way;
use review::announcement;
use review::as_announced::{AsAnnounced, as_announced};
use review::decide::{Desk, now, questions};
use review::event::Marked;
use review::flips::flips;
use review::fold::Review;
use review::known::known_step;
use review::marking::in_force;
use review::next::{in_order, seconds_in_order, soonest};
use review::ruling::{Question, Ruling, label};
use review::settle::{reached, settle};
use review::stamp::{Elapsed, Stamp};
use review::stance::{Outcome, Stance, Why};
use rules::book::Book;
use rules::book::tree::{Looks, Set, Tree};
use rules::book::words::Say;
use rules::game::open::Open;

/// One question as it stands.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Board {
    pub title: String,
    pub cite: String,
    pub call: String,
    /// The moment of an earlier whistle.
    pub whistle: Option<String>,
    pub steps: Vec<Line>,
    /// Each finding, and whether it is still possible.
    pub findings: Vec<(String, bool)>,
    /// The first unanswered step in the order of the play.
    pub in_order: Option<usize>,
    /// The step that would settle soonest.
    pub soonest: Option<usize>,
    pub settled: Settled,
    pub way: Way,
}

/// One step as it stands.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Line {
    pub name: String,
    pub ask: String,
    /// What makes a good answer.
    pub note: Option<String>,
    pub shape: Shape,
    /// In words.
    pub answer: Option<String>,
    /// Why it is not asked, where the desk knows the answer.
    pub known: Option<String>,
    /// The answers so far lead to it, or may do so.
    pub reached: bool,
    pub options: Vec<String>,
    /// The kind of look that the book asks for.
    pub looks: Looks,
    /// How many looks of that kind were taken.
    pub looked: usize,
    /// The marks that count, newest last.
    pub marks: Vec<String>,
    /// The moments that are to be marked.
    pub moments: Vec<String>,
    /// Those without a mark.
    pub unmarked: Vec<String>,
}

/// How far a question is settled, from open to proven.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Settled {
    /// Another answer could still change the outcome.
    Open,
    /// The outcome is settled, the restart is not.
    OutcomeOnly,
    /// All is settled, but clearer answers to these steps could change it.
    ByDoubt(Vec<String>),
    /// All is settled and proven.
    Proven,
}

/// What a ruling now would be.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct IfNow {
    /// One for each question, in the book's words.
    pub outcomes: Vec<String>,
    /// Why a call would stand.
    pub because: Option<String>,
    pub game: String,
    /// What the clock operator does.
    pub clock: String,
    pub price: Option<String>,
    /// What the restart still needs before it can be ruled.
    pub needs: Vec<String>,
    /// The moments that need a mark for it.
    pub missing: Vec<String>,
}

/// A review as it stands at some moment.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Boards {
    /// One for each question.
    pub boards: Vec<Board>,
    /// What a ruling now would be.
    pub if_now: Option<IfNow>,
    /// The steps that are still to be answered in the order of the play take longer than the time that is left to the
    /// ruling.
    pub short_of_time: bool,
}

/// All questions of a review as they stand, and what a ruling now would be.
pub(crate) fn boards(desk: Desk<'_>, review: &Review, at: &Stamp) -> Boards {
    let book = desk.book;
    let asked = questions(book, review);
    let boards = asked.iter().enumerate().map(|(number, question)| board(book, review, number, question));
    let ruling = now(book, review, &asked).ok().filter(|_| !asked.is_empty());
    let needed = asked.iter().map(|question| seconds_in_order(&question.stance(book), &question.answers));
    let (needed, left) = (needed.sum::<f64>(), seconds_left(book, review, at));
    Boards {
        boards: boards.collect(),
        if_now: ruling.map(|ruling| if_now(desk, review, &ruling)),
        short_of_time: left.is_some_and(|left| left < needed),
    }
}

/// The seconds that are left from this moment to the ruling; `None` where the book sets no limit. It runs from the first
/// look.
fn seconds_left(book: &Book, review: &Review, at: &Stamp) -> Option<f64> {
    let whole = f64::from(book.replay.limits.to_ruling_s?);
    let first = review.times.first_look.as_ref();
    let gone_ms = first.and_then(|first| at.since(first)).map_or(0, Elapsed::ms);
    Some(whole - gone_ms as f64 / 1000.0)
}

fn board(book: &Book, review: &Review, number: usize, question: &Question<'_>) -> Board {
    let (tree, stance) = (question.tree, question.stance(book));
    let settled = settle(&stance, &question.answers);
    let reached = reached(tree, &question.answers);
    let answered = (0..tree.steps.len()).filter(|step| question.answers.get(*step).is_some());
    let answered = answered.fold(Set::EMPTY, |set, step| set.with(Set::one(step)));
    Board {
        title: tree.title.clone(),
        cite: tree.cite.clone(),
        call: tree.calls[question.call].name.clone(),
        whistle: question.whistle.clone(),
        steps: (0..tree.steps.len())
            .map(|step| line((book, review), (number, question), step, reached))
            .collect(),
        findings: findings(tree, settled.possible),
        in_order: in_order(&stance, &question.answers),
        soonest: soonest(&stance, &question.answers),
        settled: match (settled.outcome && settled.restart, settled.proven) {
            (true, true) => Settled::Proven,
            (true, false) => Settled::ByDoubt(doubtful(&stance, question)),
            (false, _) if settled.outcome => Settled::OutcomeOnly,
            (false, _) => Settled::Open,
        },
        way: Way { reached, answered, open: None, possible: settled.possible },
    }
}

fn findings(tree: &Tree, possible: Set) -> Vec<(String, bool)> {
    tree.findings
        .iter()
        .enumerate()
        .map(|(index, finding)| (finding.name.clone(), possible.has(index)))
        .collect()
}

/// The questions of the steps whose clearer answer could change the outcome.
fn doubtful(stance: &Stance<'_>, question: &Question<'_>) -> Vec<String> {
    let fewest = flips(stance, &question.answers);
    let mut steps: Vec<usize> = fewest.into_iter().flatten().collect();
    steps.retain(|step| question.answers.get(*step).is_some_and(|set| set.len() > 1));
    steps.sort_unstable();
    steps.dedup();
    steps.into_iter().map(|step| question.tree.steps[step].ask.clone()).collect()
}

fn line(
    (book, review): (&Book, &Review),
    (number, question): (usize, &Question<'_>),
    index: usize,
    reached: Set,
) -> Line {
    let step = &question.tree.steps[index];
    let answer = question.answers.get(index);
    let names = |set: Set| set.iter().map(|option| step.options[option].name.as_str()).collect::<Vec<_>>();
    let moments = step.proof.moments();
    let marks = in_force(review).into_iter();
    let marks: Vec<&Marked> = marks.filter(|marked| moments.contains(&marked.mark.moment.as_str())).collect();
    let looked = review
        .looks()
        .filter(|look| look.question == number && look.step == step.name && look.kind == step.looks)
        .count();
    Line {
        name: step.name.clone(),
        ask: step.ask.clone(),
        note: step.note.clone(),
        shape: shape(answer, step.options.len()),
        answer: answer
            .map(|set| if set == step.every() { "unclear".to_owned() } else { names(set).join(" or ") }),
        known: known_step(book, review, number, step)
            .filter(|_| question.answers.is_known(index))
            .map(|(_, why)| announcement::capital(&why)),
        reached: reached.has(index),
        options: step.options.iter().map(|choice| choice.name.clone()).collect(),
        looks: step.looks,
        looked,
        marks: marks.iter().map(|marked| mark_text(marked)).collect(),
        moments: moments.iter().map(ToString::to_string).collect(),
        unmarked: moments
            .into_iter()
            .filter(|moment| !marks.iter().any(|marked| marked.mark.moment == *moment))
            .map(str::to_owned)
            .collect(),
    }
}

fn mark_text(marked: &Marked) -> String {
    format!("{}  {} {}", marked.mark.moment, marked.mark.camera, marked.mark.timecode)
}

fn shape(answer: Option<Set>, options: usize) -> Shape {
    match answer {
        None => Shape::Dot,
        Some(set) if set.len() > 1 => Shape::Half,
        Some(set) => match set.iter().next() {
            Some(0) => Shape::Filled,
            Some(1) if options == 2 => Shape::Ring,
            Some(option) => Shape::Bars(option + 1),
            None => Shape::Dot,
        },
    }
}

fn if_now(desk: Desk<'_>, review: &Review, ruling: &Ruling<'_>) -> IfNow {
    let Desk { book, names, .. } = desk;
    let AsAnnounced { ruling, shown_ms, .. } = as_announced(desk, review, ruling);
    let outcomes = ruling.questions.iter().map(|decided| match decided.moot {
        true => "moot".to_owned(),
        false => label(book, decided.outcome).to_owned(),
    });
    IfNow {
        outcomes: outcomes.collect(),
        because: ruling.questions.iter().find_map(|decided| because(book, decided.outcome)),
        game: announcement::next_exactly(book, names, &ruling.restart.after),
        clock: announcement::clock(
            book,
            shown_ms,
            ruling.restart.after.clock_ms,
            ruling.restart.clock_starts,
        ),
        price: announcement::price(book, names, &ruling),
        needs: ruling.restart.open.iter().map(ToString::to_string).collect(),
        missing: missing(&ruling.restart.open),
    }
}

/// The moments that need a mark before the restart is complete, each once.
pub(crate) fn missing(open: &[Open]) -> Vec<String> {
    let mut moments: Vec<String> = open.iter().filter_map(Open::moment).map(str::to_owned).collect();
    moments.sort_unstable();
    moments.dedup();
    moments
}

fn because(book: &Book, outcome: Outcome) -> Option<String> {
    match outcome {
        Outcome::Confirmed | Outcome::Reversed => None,
        Outcome::Stands(Why::NotProven) => Some(book.first_words().say(Say::NotProven, &[])),
        Outcome::Stands(Why::Barred) => Some("the call is wrong, and the rules forbid the change".to_owned()),
        Outcome::Stands(Why::NotShared) => Some(book.first_words().say(Say::NotShared, &[])),
        Outcome::Stands(Why::LeftToReferee) => Some("the rules leave it to the referee".to_owned()),
    }
}
