//! How the findings of a tree relate to one call on the field.

use rules::book::effect::{Effect, Part};
use rules::book::replay::Unproven;
use rules::book::tree::{AfterWhistle, Bar, OnCall, Set, Tree};

/// A call on the field, as it was made.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Called {
    /// By index.
    pub call: usize,
    /// There was an earlier whistle.
    pub whistled: bool,
    /// The team with the flag, where that is known.
    pub flag_on: Option<Part>,
}

/// For one call of one tree: which findings agree, which change it, which are barred, and which restarts differ.
#[derive(Debug, Clone)]
pub struct Stance<'t> {
    pub tree: &'t Tree,
    /// By index.
    pub call: usize,
    /// Findings that say the call is right.
    pub agree: Set,
    /// Findings that say the call is wrong and replace it.
    pub change: Set,
    /// Findings that say the call is wrong where the rules forbid the change, or leave it to the referee.
    pub barred: Set,
    /// The part of `barred` that leaves it to the referee.
    left: Set,
    /// The part of `change` that finds the foul, by the other team than the flag is on.
    moves: Set,
    /// The effects of each finding; `None` leaves the game as ruled.
    restarts: Vec<Option<&'t [Effect]>>,
    /// Sets of findings that together give one restart; any subset gives one as well.
    pub(super) targets: Vec<Target<'t>>,
    /// A wider finding that replaces the call, with the findings that include it.
    shared: Vec<(usize, Set)>,
    /// The call is kept only if it is proven right.
    pub(super) must_be_proven: bool,
}

/// A set of findings that is enough for one outcome and restart.
#[derive(Debug, Clone, Copy)]
pub(super) struct Target<'t> {
    pub set: Set,
    pub reverses: bool,
    /// The set gives this restart only while its findings do not agree on another one.
    pub by_sharing: bool,
    pub restart: Option<&'t [Effect]>,
}

/// What a set of possible findings amounts to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Judgment<'t> {
    pub outcome: Outcome,
    /// The one that is stated; `None` while several are possible and share nothing.
    pub finding: Option<usize>,
    /// `None` leaves the game as ruled.
    pub restart: Option<&'t [Effect]>,
}

/// What becomes of the call on the field.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Outcome {
    /// The video proves it right.
    Confirmed,
    /// Left as it is.
    Stands(Why),
    /// The video proves it wrong, and it is changed.
    Reversed,
}

/// Why a call is left as it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Why {
    /// Not proven wrong.
    NotProven,
    /// Wrong, but the rules forbid the change.
    Barred,
    /// Wrong, but it is not proven what replaces it.
    NotShared,
    LeftToReferee,
}

impl<'t> Stance<'t> {
    /// How the findings of `tree` relate to this call.
    pub fn new(tree: &'t Tree, called: Called, unproven: Unproven) -> Stance<'t> {
        let Called { call, whistled, flag_on } = called;
        let mut stance = Stance {
            tree,
            call,
            agree: Set::EMPTY,
            change: Set::EMPTY,
            barred: Set::EMPTY,
            left: Set::EMPTY,
            moves: Set::EMPTY,
            restarts: Vec::with_capacity(tree.findings.len()),
            targets: Vec::new(),
            shared: Vec::new(),
            must_be_proven: tree.calls.get(call).is_some_and(|call| call.must_be_proven.is_some()),
        };
        for (index, finding) in tree.findings.iter().enumerate() {
            let one = Set::one(index);
            if leaves_it(finding.on.get(&call)) {
                stance.left = stance.left.with(one);
                stance.barred = stance.barred.with(one);
                stance.restarts.push(None);
                continue;
            }
            let restart = match finding.on.get(&call) {
                Some(OnCall::Agrees { correction }) => {
                    stance.agree = stance.agree.with(one);
                    (!correction.is_empty()).then_some(correction.as_slice())
                }
                Some(OnCall::AgreesIfOn { part, effects }) => {
                    // An unknown flag counts as being on the right team.
                    if flag_on.is_none_or(|on| on == *part) {
                        stance.agree = stance.agree.with(one);
                    } else {
                        stance.change = stance.change.with(one);
                        stance.moves = stance.moves.with(one);
                    }
                    Some(effects.as_slice())
                }
                Some(OnCall::Changes { whistled: Some(AfterWhistle::Changes(effects)), .. }) if whistled => {
                    stance.change = stance.change.with(one);
                    Some(effects.as_slice())
                }
                Some(OnCall::Changes { effects, whistled: after })
                    if !(whistled && matches!(after, Some(AfterWhistle::Barred(_)))) =>
                {
                    stance.change = stance.change.with(one);
                    Some(effects.as_slice())
                }
                // INVARIANT: `check` leaves no finding silent about a call.
                Some(OnCall::Changes { .. } | OnCall::Barred(_)) | None => {
                    stance.barred = stance.barred.with(one);
                    None
                }
            };
            stance.restarts.push(restart);
        }
        if unproven == Unproven::Shared {
            stance.share();
        }
        stance.aim();
        stance
    }

    /// Lists each finding that others include, with those that include it, where all of them replace the call.
    fn share(&mut self) {
        for (wide, _) in self.tree.findings.iter().enumerate().filter(|(wide, _)| self.change.has(*wide)) {
            let narrow = self.tree.findings.iter().enumerate();
            let set = narrow
                .filter(|(index, finding)| finding.includes == Some(wide) && self.change.has(*index))
                .fold(Set::one(wide), |set, (index, _)| set.with(Set::one(index)));
            if set.len() > 1 {
                self.shared.push((wide, set));
            }
        }
    }

    /// Lists the sets of findings that are enough for an outcome and restart.
    fn aim(&mut self) {
        for (kind, reverses) in [(self.agree, false), (self.change, true)] {
            let mut seen: Vec<Option<&[Effect]>> = Vec::new();
            for index in kind.iter() {
                let restart = self.restarts[index];
                if !seen.contains(&restart) {
                    seen.push(restart);
                    let same = kind.iter().filter(|other| self.restarts[*other] == restart);
                    let set = same.fold(Set::EMPTY, |set, other| set.with(Set::one(other)));
                    self.targets.push(Target { set, reverses, by_sharing: false, restart });
                }
            }
        }
        for (wide, set) in &self.shared {
            let restart = self.restarts[*wide];
            self.targets.push(Target { set: *set, reverses: true, by_sharing: true, restart });
        }
    }

    /// What a set of possible findings amounts to for the call.
    pub fn judge(&self, possible: Set) -> Judgment<'t> {
        let first = possible.iter().next();
        let only = first.filter(|_| possible.len() == 1);
        let alike = first.map(|index| self.restarts[index]);
        let one_restart = possible.iter().all(|index| Some(self.restarts[index]) == alike);
        let stands = |why| Judgment { outcome: Outcome::Stands(why), finding: only, restart: None };
        if possible.is_empty() {
            return stands(Why::NotProven);
        }
        if possible.within(self.agree) {
            let restart = alike.flatten().filter(|_| one_restart);
            return Judgment { outcome: Outcome::Confirmed, finding: only, restart };
        }
        if self.must_be_proven && !(possible.within(self.moves) && one_restart) {
            // INVARIANT: all findings that take such a call away do it alike, and none is barred (`check::calls`).
            let away = self.change.without(self.moves);
            let finding = possible.and(away).iter().next().or_else(|| away.iter().next());
            let restart = finding.and_then(|index| self.restarts[index]);
            return Judgment { outcome: Outcome::Reversed, finding, restart };
        }
        if possible.within(self.change) {
            if one_restart {
                return Judgment { outcome: Outcome::Reversed, finding: first, restart: alike.flatten() };
            }
            let shared = self.shared.iter().find(|(_, set)| possible.within(*set));
            return match shared {
                Some((wide, _)) => Judgment {
                    outcome: Outcome::Reversed,
                    finding: Some(*wide),
                    restart: self.restarts[*wide],
                },
                None => stands(Why::NotShared),
            };
        }
        if possible.within(self.left) {
            return stands(Why::LeftToReferee);
        }
        if possible.within(self.barred) {
            return stands(Why::Barred);
        }
        if possible.and(self.agree).is_empty() {
            return stands(Why::NotShared);
        }
        stands(Why::NotProven)
    }

    /// Whether the video has established that the call is right, or that it is wrong.
    pub fn established(&self, possible: Set) -> bool {
        !possible.is_empty() && (possible.within(self.agree) || possible.and(self.agree).is_empty())
    }

    /// Why the rules forbid the change that a finding asks for.
    pub fn bar(&self, finding: usize) -> Option<&'t Bar> {
        match self.tree.findings.get(finding)?.on.get(&self.call)? {
            OnCall::Barred(bar) | OnCall::Changes { whistled: Some(AfterWhistle::Barred(bar)), .. } => {
                self.barred.has(finding).then_some(bar)
            }
            OnCall::Agrees { .. } | OnCall::AgreesIfOn { .. } | OnCall::Changes { .. } => None,
        }
    }
}

/// Whether a finding leaves a call to the referee's discretion; until they rule, the call stands.
fn leaves_it(on: Option<&OnCall>) -> bool {
    match on {
        Some(OnCall::Changes { effects, .. } | OnCall::AgreesIfOn { effects, .. }) => {
            effects.contains(&Effect::Discretion)
        }
        Some(OnCall::Agrees { .. } | OnCall::Barred(_)) | None => false,
    }
}
