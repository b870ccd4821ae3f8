//! A log under another edition: which rulings flip, by which change in the book, and which cannot be decided.
//!
//! A record keeps facts apart from rules. What was measured is held against the lines, limits and standard of
//! the new edition; what was seen keeps its answer; where that is meaningless, nothing is guessed. The answers
//! then go through the same settling as in a review.
//!
//! A step without an answer is a doubt that the official left, if the record's own edition asked it, too. Otherwise nobody
//! asked it, and the ruling is decided only if no answer could change it. Where the text of the record's edition is not
//! known, the findings that the record held possible show whether it was a doubt.

pub mod batch;
pub mod changes;
mod derive;
mod facts;
pub mod logs;
mod measure;
mod reason;
mod restart;
mod shape;

use self::derive::{Derived, Editions, derive};
pub use self::facts::Facts;
use formats::rejudge::{Flip, Moved, Untold};
use formats::settle::Answer;
use review::announcement::capital;
use review::ruling::{flag_on, label};
use review::settle::{Answers, Settled, settle};
use review::stance::{Called, Outcome, Stance};
use rules::book::Book;
use rules::book::effect::Part;
use rules::book::replay::Labels;
use rules::book::tree::{Set, Step, Target, Tree};
use rules::game::known::{Recorded, known, reason};

/// What becomes of one record under another edition.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Judged {
    /// `moved` is what differs in the restart, where the record shows it.
    Same {
        moved: Option<Moved>,
        /// What the record answers although the situation answers it otherwise.
        contrary: Option<Untold>,
    },
    /// The outcome is another one.
    Flips(Flip),
    /// The facts do not decide it.
    CannotTell(Untold),
}

/// An outcome without its reason.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Label {
    Confirmed,
    Stands,
    Reversed,
}

/// A question of a record under an edition.
struct Read<'b> {
    tree: &'b Tree,
    stance: Stance<'b>,
    answers: Answers,
    derived: Vec<Option<Derived>>,
    settled: Settled<'b>,
    /// Why it cannot be decided, step by step.
    lost: Vec<String>,
}

/// Judges one record under `new`; `old` is the edition that it was ruled under, where its text is known.
pub fn judge(new: &Book, old: Option<&Book>, facts: &Facts) -> Judged {
    let untold = |because| Judged::CannotTell(Untold { id: facts.id.clone(), because });
    if facts.was_cut_short() {
        return untold(vec!["it ended without a ruling".to_owned()]);
    }
    let Some(was) = named(old, new, &facts.outcome) else {
        return untold(vec![format!("`{}` is not an outcome of either edition", facts.outcome)]);
    };
    let editions = Editions { new, old };
    let now = match read(editions, facts) {
        Ok(now) => now,
        Err(because) => return untold(vec![because]),
    };
    if !now.lost.is_empty() && !now.settled.outcome {
        return untold([contrary(new, now.tree, facts), now.lost].concat());
    }
    if label_of(now.settled.now.outcome) == was {
        let contrary = contrary(new, now.tree, facts);
        let contrary = (!contrary.is_empty()).then(|| Untold { id: facts.id.clone(), because: contrary });
        return Judged::Same { moved: restart::moved(editions, facts, &now), contrary };
    }
    Judged::Flips(Flip {
        id: facts.id.clone(),
        was: facts.outcome.clone(),
        now: label(new, now.settled.now.outcome).to_owned(),
        because: [contrary(new, now.tree, facts), reason::because(editions, facts, &now)].concat(),
    })
}

/// The record's question under the new edition.
fn read<'b>(editions: Editions<'b>, facts: &Facts) -> Result<Read<'b>, String> {
    let new = editions.new;
    let gone = || format!("the book has no question `{}` any more", facts.tree);
    let tree = new.tree(&facts.tree).ok_or_else(gone)?;
    let gone = || format!("`{}` has no call `{}` any more", facts.tree, facts.call);
    let call = tree.call(&facts.call).ok_or_else(gone)?;
    let stance = Stance::new(tree, called(editions.old, facts, tree, call), new.replay.unproven);
    let derived: Vec<Option<Derived>> =
        tree.steps.iter().map(|step| derive(editions, facts, tree, step)).collect();
    let mut answers = answered(tree, &derived, &doubts(editions, facts));
    if editions.old.is_none() && left_in_doubt(tree, &derived, &answers, facts) {
        tree.steps.iter().enumerate().for_each(|(index, step)| {
            if answers.get(index).is_none() {
                answers.set(index, step.every());
            }
        });
    }
    let at_snap = facts.at_snap();
    if let Some(at_snap) = &at_snap {
        answers = answers.with_known(new, tree, Recorded { at_snap, end: None, call: &facts.call });
    }
    let settled = settle(&stance, &answers);
    // What follows an open step is not asked yet.
    let first = reached(tree, &answers, |_| Set::EMPTY);
    let lost = first.iter().filter(|step| answers.get(*step).is_none());
    let why = |step: usize| match &derived[step] {
        Some(Derived::Lost(because)) => because.clone(),
        Some(Derived::Kept(_) | Derived::Measured { .. }) | None => {
            format!("`{}` is a new question that was not answered", tree.steps[step].name)
        }
    };
    let lost = lost.map(why).collect();
    Ok(Read { tree, stance, answers, derived, settled, lost })
}

/// The answers that say otherwise than what the situation of the record tells, with both.
fn contrary(new: &Book, tree: &Tree, facts: &Facts) -> Vec<String> {
    let Some(at_snap) = facts.at_snap() else { return Vec::new() };
    let recorded = Recorded { at_snap: &at_snap, end: None, call: &facts.call };
    let given = as_given(tree, facts);
    let contrary = tree.steps.iter().enumerate().filter_map(|(index, step)| {
        let (given, known) = (given.get(index)?, known(new, step, recorded)?);
        let names = |set: Set| {
            set.iter().map(|option| step.options[option].name.as_str()).collect::<Vec<_>>().join(" or ")
        };
        given.and(known.answers).is_empty().then(|| {
            format!(
                "`{}` is answered {}, and it is {}. {}",
                step.name,
                names(given),
                names(known.answers),
                capital(&reason(known, recorded))
            )
        })
    });
    contrary.collect()
}

/// The answers that count: those that mean something, and doubt where it was left.
fn answered(tree: &Tree, derived: &[Option<Derived>], doubts: &[&str]) -> Answers {
    let mut answers = Answers::none(tree);
    for (index, (step, derived)) in tree.steps.iter().zip(derived).enumerate() {
        match derived {
            Some(Derived::Kept(answer) | Derived::Measured { answer, .. }) => answers.set(index, *answer),
            None if doubts.contains(&step.name.as_str()) => answers.set(index, step.every()),
            Some(Derived::Lost(_)) | None => {}
        }
    }
    answers
}

/// Whether the record itself shows that its open steps were left in doubt: the findings that it still held
/// possible are those of this tree. Used only where the text of the record's edition is not known.
fn left_in_doubt(tree: &Tree, derived: &[Option<Derived>], answers: &Answers, facts: &Facts) -> bool {
    let lost = derived.iter().any(|derived| matches!(derived, Some(Derived::Lost(_))));
    let reached = reached(tree, answers, |step| tree.steps[step].every());
    let mut possible = Set::EMPTY;
    for step in reached.iter() {
        let follows = answers.get(step).unwrap_or(tree.steps[step].every());
        for option in follows.iter() {
            if let Target::Find(finding) = tree.steps[step].options[option].to {
                possible = possible.with(Set::one(finding));
            }
        }
    }
    let named: Option<Vec<usize>> = facts.possible.iter().map(|name| tree.finding(name)).collect();
    let named = named.map(|all| all.into_iter().fold(Set::EMPTY, |set, one| set.with(Set::one(one))));
    !lost && !facts.possible.is_empty() && named == Some(possible)
}

/// The call as it was made. Where the call depends on a flag and the record does not say on whom it was, the team is
/// taken with which the record's own edition gives its outcome, if only one does.
fn called(old: Option<&Book>, facts: &Facts, tree: &Tree, call: usize) -> Called {
    let called = |flag_on| Called { call, whistled: facts.whistle.is_some(), flag_on };
    let known = flag_on(tree, &facts.flags());
    if known.is_some() || !tree.depends_on_flag(call) {
        return called(known);
    }
    let gives = |part: &Part| {
        let (old, tree) = (old?, old?.tree(&facts.tree)?);
        let own = Called { call: tree.call(&facts.call)?, ..called(Some(*part)) };
        let stance = Stance::new(tree, own, old.replay.unproven);
        let outcome = settle(&stance, &as_given(tree, facts)).now.outcome;
        Some(Some(label_of(outcome)) == named(Some(old), old, &facts.outcome))
    };
    let parts = [Part::Offense, Part::Defense].into_iter();
    let mut giving = parts.filter(|part| gives(part) == Some(true));
    match (giving.next(), giving.next()) {
        (Some(only), None) => called(Some(only)),
        (None | Some(_), _) => called(None),
    }
}

/// The steps that the record's own edition asked and that the official left open.
fn doubts<'b>(editions: Editions<'b>, facts: &Facts) -> Vec<&'b str> {
    let Some(tree) = editions.old.and_then(|old| old.tree(&facts.tree)) else { return Vec::new() };
    let answers = as_given(tree, facts);
    let every = |step: usize| tree.steps[step].every();
    let open = reached(tree, &answers, every).iter().filter(|step| answers.get(*step).is_none());
    open.map(|step| tree.steps[step].name.as_str()).collect()
}

/// The record's answers in a tree as they were given; names that the tree does not have are skipped.
fn as_given(tree: &Tree, facts: &Facts) -> Answers {
    let mut answers = Answers::none(tree);
    for (index, step) in tree.steps.iter().enumerate() {
        if let Some(answer) = facts.answers.get(&step.name) {
            answers.set(index, set_of(step, answer));
        }
    }
    answers
}

/// The options that an answer names; `None` for `unclear`.
fn options(answer: &Answer) -> Option<&[String]> {
    match answer {
        Answer::One(one) if one == "unclear" => None,
        Answer::One(one) => Some(std::slice::from_ref(one)),
        Answer::Some(several) => Some(several),
    }
}

fn set_of(step: &Step, answer: &Answer) -> Set {
    let Some(names) = options(answer) else { return step.every() };
    let known = names.iter().filter_map(|name| step.option(name));
    known.fold(Set::EMPTY, |set, option| set.with(Set::one(option)))
}

/// The steps that can be reached: an answered step leads on by its answer, an open one by what `open_follows` gives.
fn reached(tree: &Tree, answers: &Answers, open_follows: impl Fn(usize) -> Set) -> Set {
    let (mut reached, mut open) = (Set::EMPTY, Set::one(tree.start));
    while let Some(step) = open.iter().next() {
        open = open.without(Set::one(step));
        reached = reached.with(Set::one(step));
        let follows = answers.get(step).unwrap_or_else(|| open_follows(step));
        for option in follows.iter() {
            if let Target::Step(next) = tree.steps[step].options[option].to
                && !reached.has(next)
            {
                open = open.with(Set::one(next));
            }
        }
    }
    reached
}

/// The outcome that a record's label names: by its own edition, else by the new one, else in plain words.
fn named(old: Option<&Book>, new: &Book, outcome: &str) -> Option<Label> {
    let of = |labels: &Labels| {
        let all = [
            (&labels.confirmed, Label::Confirmed),
            (&labels.stands, Label::Stands),
            (&labels.reversed, Label::Reversed),
        ];
        all.into_iter().find(|(label, _)| *label == outcome).map(|(_, label)| label)
    };
    old.and_then(|old| of(&old.replay.labels)).or_else(|| of(&new.replay.labels)).or(match outcome {
        "confirmed" => Some(Label::Confirmed),
        "stands" => Some(Label::Stands),
        "reversed" => Some(Label::Reversed),
        _ => None,
    })
}

fn label_of(outcome: Outcome) -> Label {
    match outcome {
        Outcome::Confirmed => Label::Confirmed,
        Outcome::Stands(_) => Label::Stands,
        Outcome::Reversed => Label::Reversed,
    }
}
