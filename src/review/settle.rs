//! Settling: what answers in any order amount to, and whether anything left could change it.
//!
//! An answer is a set of a step's options. The findings still possible are those reachable from the start, where an
//! answered step follows its set and an unanswered one every option. A value is settled when every way to complete the
//! unanswered steps gives it again. Both are linear on the tree's graph, and exact because one fact is one step: a
//! completion chooses once for each step, whatever path leads there.

use super::stance::{Judgment, Outcome, Stance};
use rules::book::Book;
use rules::book::tree::{MOST, Set, Target, Tree};
use rules::game::known::{Recorded, known};

/// The answers given so far, by step; answers off the path are kept and have no effect.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Answers {
    /// INVARIANT: an empty set means unanswered.
    by_step: Vec<Set>,
    /// What the situation or the recorded play leaves possible, by step; an empty set where they tell nothing.
    known: Vec<Set>,
}

/// What the answers amount to now.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Settled<'t> {
    /// Those still possible.
    pub possible: Set,
    /// What the possible findings amount to.
    pub now: Judgment<'t>,
    /// Nothing left to answer can change it.
    pub outcome: bool,
    /// Nothing left to answer can change it.
    pub restart: bool,
    /// Not even a clear answer to a step now unclear could change the outcome.
    pub proven: bool,
}

/// How a search treats one step: the options to follow, and whether a completion may pick among them.
#[derive(Debug, Clone, Copy)]
pub(super) struct Scope {
    pub set: Set,
    pub free: bool,
}

/// One scope for each step, without an allocation: settling runs at every key press, and inside searches.
#[derive(Debug, Clone, Copy)]
pub(super) struct Scopes([Scope; MOST]);

/// The steps that a search has visited, and those from which it wins.
struct Known {
    steps: Set,
    winning: Set,
}

impl Answers {
    /// Every step of the tree unanswered.
    pub fn none(tree: &Tree) -> Answers {
        Answers { by_step: vec![Set::EMPTY; tree.steps.len()], known: Vec::new() }
    }

    /// The answer to a step, if there is one: what is known goes before what was answered.
    pub fn get(&self, step: usize) -> Option<Set> {
        let given = self.by_step.get(step).copied().filter(|set| !set.is_empty());
        let Some(known) = self.known(step) else { return given };
        let both = given.map(|given| given.and(known)).filter(|both| !both.is_empty());
        both.or(Some(known).filter(|known| known.len() == 1))
    }

    /// What the situation or the recorded play leaves possible at a step, if they tell anything.
    pub fn known(&self, step: usize) -> Option<Set> {
        self.known.get(step).copied().filter(|set| !set.is_empty())
    }

    /// Whether a step is not asked, because it is known.
    pub fn is_known(&self, step: usize) -> bool {
        self.known(step).is_some_and(|known| known.len() == 1)
    }

    /// Fills in what is known without a picture.
    #[must_use]
    pub fn with_known(mut self, book: &Book, tree: &Tree, recorded: Recorded<'_>) -> Answers {
        let set = |step| known(book, step, recorded).map_or(Set::EMPTY, |known| known.answers);
        self.known = tree.steps.iter().map(set).collect();
        self
    }

    /// Gives, revises or (with an empty set) takes back an answer.
    pub fn set(&mut self, step: usize, answer: Set) {
        if self.by_step.len() <= step {
            self.by_step.resize(step + 1, Set::EMPTY);
        }
        self.by_step[step] = answer;
    }

    /// The steps that somebody has answered, rising; what is known was asked of nobody.
    pub fn given(&self) -> impl Iterator<Item = usize> {
        let given = self.by_step.iter().enumerate().filter(|(_, set)| !set.is_empty()).map(|(step, _)| step);
        given.filter(|step| !self.is_known(*step))
    }
}

impl Scopes {
    /// An answered step follows its set; an unanswered one is free.
    pub(super) fn of(tree: &Tree, answers: &Answers) -> Scopes {
        Scopes::from(tree, |step| match answers.get(step) {
            Some(set) => Scope { set, free: false },
            None => Scope { set: answers.known(step).unwrap_or(tree.steps[step].every()), free: true },
        })
    }

    pub(super) fn from(tree: &Tree, scope: impl Fn(usize) -> Scope) -> Scopes {
        let mut scopes = [Scope { set: Set::EMPTY, free: false }; MOST];
        for (step, place) in scopes.iter_mut().enumerate().take(tree.steps.len()) {
            *place = scope(step);
        }
        Scopes(scopes)
    }

    pub(super) fn get(&self, step: usize) -> Scope {
        self.0[step]
    }

    pub(super) fn put(&mut self, step: usize, scope: Scope) {
        self.0[step] = scope;
    }

    /// Treats every doubtful answer as open, for "proven".
    fn doubts_open(mut self) -> Scopes {
        for scope in &mut self.0 {
            scope.free |= scope.set.len() > 1;
        }
        self
    }

    /// The steps and findings that can be reached.
    pub(super) fn reach(&self, tree: &Tree) -> (Set, Set) {
        let (mut steps, mut findings) = (Set::EMPTY, Set::EMPTY);
        let mut open = Set::one(tree.start);
        while let Some(step) = open.iter().next() {
            open = open.without(Set::one(step));
            steps = steps.with(Set::one(step));
            for option in self.0[step].set.iter() {
                match tree.steps[step].options[option].to {
                    Target::Step(next) if !steps.has(next) => open = open.with(Set::one(next)),
                    Target::Step(_) => {}
                    Target::Find(finding) => findings = findings.with(Set::one(finding)),
                }
            }
        }
        (steps, findings)
    }

    /// Whether some completion of the free steps leaves only findings of this set.
    pub(super) fn can_force(&self, tree: &Tree, wanted: Set) -> bool {
        self.force(tree, wanted, tree.start, &mut Known { steps: Set::EMPTY, winning: Set::EMPTY })
    }

    fn force(&self, tree: &Tree, wanted: Set, step: usize, known: &mut Known) -> bool {
        if known.steps.has(step) {
            return known.winning.has(step);
        }
        let Scope { set, free } = self.0[step];
        let mut win = |option: usize| match tree.steps[step].options[option].to {
            Target::Step(next) => self.force(tree, wanted, next, known),
            Target::Find(finding) => wanted.has(finding),
        };
        let won = if free { set.iter().any(&mut win) } else { set.iter().all(&mut win) };
        known.steps = known.steps.with(Set::one(step));
        if won {
            known.winning = known.winning.with(Set::one(step));
        }
        won
    }
}

/// What the answers amount to now, and what is settled.
pub fn settle<'t>(stance: &Stance<'t>, answers: &Answers) -> Settled<'t> {
    let scopes = Scopes::of(stance.tree, answers);
    let (_, possible) = scopes.reach(stance.tree);
    let now = stance.judge(possible);
    let outcome = outcome_settled(stance, &scopes, now.outcome);
    Settled {
        possible,
        now,
        outcome,
        restart: restart_settled(stance, &scopes, &now),
        proven: outcome && outcome_settled(stance, &scopes.doubts_open(), now.outcome),
    }
}

/// The steps that the answers so far lead to, or may still lead to.
pub fn reached(tree: &Tree, answers: &Answers) -> Set {
    Scopes::of(tree, answers).reach(tree).0
}

/// Fewer findings keep "confirmed" and "reversed"; only a standing call can still be confirmed or reversed, and
/// one that doubt takes away can still be confirmed.
pub(super) fn outcome_settled(stance: &Stance<'_>, scopes: &Scopes, now: Outcome) -> bool {
    match now {
        Outcome::Reversed if stance.must_be_proven => !scopes.can_force(stance.tree, stance.agree),
        Outcome::Confirmed | Outcome::Reversed => true,
        Outcome::Stands(_) => {
            !scopes.can_force(stance.tree, stance.agree)
                && !stance
                    .targets
                    .iter()
                    .any(|target| target.reverses && scopes.can_force(stance.tree, target.set))
        }
    }
}

/// Whether every completion leads to the restart that follows now.
pub(super) fn restart_settled(stance: &Stance<'_>, scopes: &Scopes, now: &Judgment<'_>) -> bool {
    if stance.must_be_proven && now.outcome == Outcome::Reversed {
        // Doubt takes the call away; what is proven later can still confirm it, or give the foul to the other team.
        return !scopes.can_force(stance.tree, stance.agree)
            && !stance.targets.iter().any(|target| {
                target.reverses && target.restart != now.restart && scopes.can_force(stance.tree, target.set)
            });
    }
    !stance.targets.iter().any(|target| {
        // Once a restart follows, fewer findings can only narrow it to that of one class of them: sets that share a
        // wider finding are disjoint, because inclusion is one level deep.
        let narrows = !(target.by_sharing && now.restart.is_some());
        narrows
            && target.restart.is_some()
            && target.restart != now.restart
            && scopes.can_force(stance.tree, target.set)
    })
}
