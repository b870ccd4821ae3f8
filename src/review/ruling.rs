//! A ruling: the questions of a review decided and folded in play order into one restart, and the price of a challenge.

use super::event::Found;
use super::gate::{Entry, FREE, Initiator, Ruled};
use super::settle::{Answers, Settled, settle};
use super::stance::{Called, Outcome, Stance, Why};
use rules::book::Book;
use rules::book::effect::{Effect, Part, Points};
use rules::book::replay::Price;
use rules::book::tree::{Set, Tree};
use rules::game::account;
use rules::game::apply::{Draft, Restart};
use rules::game::ledger::Cause;
use rules::game::play::{Flag, Play};
use rules::game::run_off;
use rules::game::situation::{Next, Situation, Team};

/// One question of a review, with its answers so far.
#[derive(Debug, Clone)]
pub struct Question<'b> {
    pub tree: &'b Tree,
    /// By index.
    pub call: usize,
    /// The moment of an earlier whistle.
    pub whistle: Option<String>,
    /// What else the crew ruled.
    pub ruled: Vec<Ruled>,
    /// Only a challenged question can win the challenge.
    pub entry: Entry,
    /// The team that the crew's flag is on, where the question is about that flag and it is known.
    pub flag_on: Option<Part>,
    pub answers: Answers,
}

/// A question with its outcome.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Decided<'b> {
    /// Those still possible.
    pub possible: Set,
    /// The one that the ruling states.
    pub finding: Option<usize>,
    pub outcome: Outcome,
    /// The video has established that the call is right, or that it is wrong.
    pub established: bool,
    /// Nothing left to answer could have changed the outcome.
    pub settled: bool,
    /// What the game becomes because of it; `None` leaves it as ruled.
    pub restart: Option<&'b [Effect]>,
    /// It is about what came after a ball that another question found dead.
    pub moot: bool,
}

/// A review with its outcome.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Ruling<'b> {
    /// In play order.
    pub questions: Vec<Decided<'b>>,
    pub restart: Restart,
    /// At the snap.
    pub offense: Team,
    /// The team whose coach challenged.
    pub coach: Option<Team>,
    /// `None` where no coach challenged.
    pub won: Option<bool>,
    /// Paid by the coach.
    pub price: Price,
    /// The score that the play comes to, where the calls on the field came to another.
    pub scored: Option<Scored>,
    /// The score of the calls on the field, where the play comes to another.
    pub taken_off: Option<Scored>,
}

/// A score of one play.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Scored {
    pub team: Team,
    pub how: Points,
    /// During a try.
    pub on_try: bool,
}

impl<'b> Question<'b> {
    /// How the findings relate to the call.
    pub fn stance(&self, book: &Book) -> Stance<'b> {
        let call = Called { call: self.call, whistled: self.whistle.is_some(), flag_on: self.flag_on };
        Stance::new(self.tree, call, book.replay.unproven)
    }
}

impl Ruling<'_> {
    /// Whether any call was reversed.
    pub fn changed(&self) -> bool {
        self.questions.iter().any(|decided| decided.outcome == Outcome::Reversed && !decided.moot)
    }
}

/// The ruling that follows from the answers so far.
pub fn rule<'b>(
    book: &'b Book,
    at_snap: Situation,
    initiator: Initiator,
    questions: &[Question<'b>],
    play: &Play,
) -> Ruling<'b> {
    let mut decided: Vec<Decided<'b>> = questions.iter().map(|question| decide(book, question)).collect();
    let dead_since = mark_moot(questions, &mut decided, play);
    let mut draft = Draft::new(book, at_snap, play);
    draft.ball_dead_at(dead_since.and_then(|dead| dead.clock_ms));
    let mut restart = fold(draft, questions, &decided, dead_since);
    let changed = decided.iter().any(|decided| decided.outcome == Outcome::Reversed && !decided.moot);
    let (scored, taken_off) = match changed {
        true => scores(at_snap, &restart, &as_called(book, at_snap, questions, &decided, play)),
        false => (None, None),
    };
    run_off::after_ruling(book, &mut restart, changed, play.timeout);
    let (coach, won, price) = match initiator {
        Initiator::Coach(team) => {
            let won = questions.iter().zip(&decided).any(|(question, decided)| {
                question.entry == Entry::Challenged && !decided.moot && decided.outcome == Outcome::Reversed
            });
            let price = if won { book.replay.coach.won } else { book.replay.coach.lost };
            restart.after = paid(restart.after, team, price, won);
            let cause = Cause::Challenge { team, won };
            if price.timeout && book.replay.coach.timeout_until_snap {
                restart.wait_for_snap(cause);
            } else {
                restart.note(cause);
            }
            (Some(team), Some(won), price)
        }
        Initiator::Booth | Initiator::Referee => (None, None, FREE),
    };
    Ruling { questions: decided, restart, offense: at_snap.offense, coach, won, price, scored, taken_off }
}

/// Where the calls on the field lead, with no question answered.
fn as_called<'b>(
    book: &'b Book,
    at_snap: Situation,
    questions: &[Question<'b>],
    decided: &[Decided<'b>],
    play: &Play,
) -> Restart {
    let kept = |decided: &Decided<'b>| Decided {
        outcome: Outcome::Stands(Why::NotProven),
        restart: None,
        moot: false,
        ..decided.clone()
    };
    let kept: Vec<Decided<'b>> = decided.iter().map(kept).collect();
    fold(Draft::new(book, at_snap, play), questions, &kept, None)
}

/// The score that is new, and the score that is gone, where they differ.
fn scores(at_snap: Situation, ruled: &Restart, called: &Restart) -> (Option<Scored>, Option<Scored>) {
    let scored = |restart: &Restart| {
        let gains = |team: &Team| restart.after.score.of(*team) > at_snap.score.of(*team);
        let team = [Team::Home, Team::Away].into_iter().find(gains)?;
        Some(Scored { team, how: restart.points?, on_try: at_snap.next == Next::Try })
    };
    let (now, before) = (scored(ruled), scored(called));
    if now == before { (None, None) } else { (now, before) }
}

fn paid(after: Situation, team: Team, price: Price, won: bool) -> Situation {
    if won { account::win(after, team, price) } else { account::pay(after, team, price) }
}

/// Decides one question by itself.
pub fn decide<'b>(book: &Book, question: &Question<'b>) -> Decided<'b> {
    let stance = question.stance(book);
    let Settled { possible, now, outcome, .. } = settle(&stance, &question.answers);
    Decided {
        possible,
        finding: now.finding,
        outcome: now.outcome,
        established: stance.established(possible),
        settled: outcome,
        restart: now.restart,
        moot: false,
    }
}

/// A decided question in the book's names.
pub fn found(book: &Book, question: &Question<'_>, decided: &Decided<'_>) -> Found {
    let finding = |index: usize| question.tree.findings[index].name.clone();
    Found {
        tree: question.tree.id.clone(),
        call: question.tree.calls[question.call].name.clone(),
        possible: decided.possible.iter().map(finding).collect(),
        finding: decided.finding.map(finding),
        outcome: decided.outcome,
        label: label(book, decided.outcome).to_owned(),
        established: decided.established,
        settled: decided.settled,
        moot: decided.moot,
    }
}

/// An earlier dead ball: the question that found it, and the game clock.
#[derive(Debug, Clone, Copy)]
struct Dead {
    question: usize,
    clock_ms: Option<i64>,
}

/// Marks every question as moot that is about what came after the earliest dead ball. Returns that dead ball.
fn mark_moot(questions: &[Question<'_>], decided: &mut [Decided<'_>], play: &Play) -> Option<Dead> {
    let dead_at = |index: usize, decided: &[Decided<'_>]| {
        let found = decided.get(index).filter(|decided| decided.outcome == Outcome::Reversed)?.finding?;
        questions[index].tree.findings[found].dead_at.as_deref()
    };
    let first = (0..questions.len()).find(|index| dead_at(*index, decided).is_some())?;
    let clock = |moment: &str| play.moments.get(moment).and_then(|mark| mark.clock_ms);
    let dead_clock = dead_at(first, decided).and_then(clock);
    for (index, question) in questions.iter().enumerate().skip(first + 1) {
        // Questions are in play order, unless a mark shows more time on the clock.
        let marks = question.tree.steps.iter().flat_map(|step| step.proof.moments());
        let latest = marks.filter(|moment| *moment != "snap").filter_map(clock).max();
        let before = dead_clock.zip(latest).is_some_and(|(dead, other)| other > dead);
        decided[index].moot = !question.tree.safety && !before;
    }
    Some(Dead { question: first, clock_ms: dead_clock })
}

fn fold<'b>(
    mut draft: Draft<'b, '_>,
    questions: &[Question<'b>],
    decided: &[Decided<'b>],
    dead: Option<Dead>,
) -> Restart {
    let live = || questions.iter().zip(decided).enumerate().filter(|(_, (_, decided))| !decided.moot);
    for (_, (question, _)) in live() {
        question.tree.findings.iter().for_each(|finding| {
            finding.on.values().flat_map(effects_of).for_each(|effect| governs(&mut draft, effect));
        });
        question
            .tree
            .calls
            .iter()
            .flat_map(|call| &call.result)
            .for_each(|effect| governs(&mut draft, effect));
    }
    // Calls that are left as ruled come first, so that changed ones replace what they say of the play's end.
    for changed in [false, true] {
        for (index, (question, decided)) in live() {
            if (decided.outcome == Outcome::Reversed) != changed {
                continue;
            }
            if decided.outcome == Outcome::Stands(Why::LeftToReferee) {
                draft.leave_to_referee();
            }
            let flags = draft.flags();
            let effects = match decided.restart {
                Some(effects) => effects,
                None => question.tree.calls[question.call].result.as_slice(),
            };
            draft.fold(index, effects);
            if dead.is_some_and(|dead| index > dead.question) {
                draft.ball_was_dead(flags);
            }
        }
    }
    draft.restart()
}

fn effects_of(on: &rules::book::tree::OnCall) -> &[Effect] {
    use rules::book::tree::OnCall;
    match on {
        OnCall::Agrees { correction } => correction,
        OnCall::Changes { effects, .. } | OnCall::AgreesIfOn { effects, .. } => effects,
        OnCall::Barred(_) => &[],
    }
}

fn governs<'b>(draft: &mut Draft<'b, '_>, effect: &'b Effect) {
    if let Effect::Foul { name, .. } = effect {
        draft.governs(name);
    }
}

/// The team with the flag that a question is about: a flag for a penalty that its findings or calls can state.
pub fn flag_on(tree: &Tree, flags: &[Flag]) -> Option<Part> {
    let stated = |name: &str| {
        let on = tree.findings.iter().flat_map(|finding| finding.on.values().flat_map(effects_of));
        let all = on.chain(tree.calls.iter().flat_map(|call| &call.result));
        all.into_iter().any(|effect| matches!(effect, Effect::Foul { name: other, .. } if other == name))
    };
    flags.iter().find(|flag| stated(&flag.name)).map(|flag| flag.by)
}

/// The book's label of an outcome.
pub fn label(book: &Book, outcome: Outcome) -> &str {
    let labels = &book.replay.labels;
    match outcome {
        Outcome::Confirmed => &labels.confirmed,
        Outcome::Stands(Why::NotProven | Why::Barred | Why::NotShared | Why::LeftToReferee) => &labels.stands,
        Outcome::Reversed => &labels.reversed,
    }
}
