//! What is known of a step without asking.

use super::super::defect::{Defect, Kind};
use super::super::known::{Fact, Known};
use super::super::raw::RawGuard;
use super::super::raw::tree::{RawFact, RawKnown};
use super::super::rules::guard;
use super::super::spanned::{Entries, Spanned};
use super::super::text::Span;
use super::super::tree::{MOST, Set};
use super::Lowering;

/// The cases of a step with these answers, in a question with these calls.
pub(super) fn known(
    lowering: &mut Lowering<'_, '_>,
    raw: &[Spanned<'_, RawKnown>],
    answers: &[&str],
    calls: &Entries<'_>,
) -> Vec<Known> {
    let mut cases = Vec::new();
    for case in raw {
        let at = lowering.span(case.text);
        let mut set = Set::EMPTY;
        for name in &case.value.answers {
            match answers.iter().position(|answer| answer == name) {
                Some(index) if index < MOST => set = set.with(Set::one(index)),
                Some(_) => {}
                None => lowering.unknown(at, "answer", name, answers.iter().copied()),
            }
        }
        if case.value.answers.is_empty() || set.len() == answers.len() {
            let message = "a known step is known to have some of its answers, and not all of them";
            let help = "name the answers that are possible then, or take this case out";
            lowering.defect(Defect::new(Kind::Figure, at, message).help(help));
        }
        let mut when = Vec::new();
        for fact in &case.value.when {
            when.extend(match fact {
                RawFact::Down(down) => snap(lowering, RawGuard::Down(*down), at),
                RawFact::ToGo { at_most, over } => {
                    snap(lowering, RawGuard::ToGo { at_most: *at_most, over: *over }, at)
                }
                RawFact::SnapInside { yards } => snap(lowering, RawGuard::SnapInside { yards: *yards }, at),
                RawFact::SnapOutside { yards } => snap(lowering, RawGuard::SnapOutside { yards: *yards }, at),
                RawFact::Scrimmage => vec![Fact::Scrimmage],
                RawFact::Try => vec![Fact::Try],
                RawFact::FreeKick => vec![Fact::FreeKick],
                RawFact::Period(period) => vec![Fact::Period(*period)],
                RawFact::LastSeconds(seconds) => vec![Fact::LastSeconds(*seconds)],
                RawFact::HadBall(part) => vec![Fact::HadBall(*part)],
                RawFact::Call(name) => {
                    let names = || calls.0.iter().map(|entry| entry.key.value.as_str());
                    if !names().any(|call| call == name) {
                        lowering.unknown(at, "call", name, names());
                    }
                    vec![Fact::Call(name.clone())]
                }
            });
        }
        cases.push(Known { answers: set, when, because: case.value.because.clone() });
    }
    cases
}

/// A fact about down, distance or spot, as lines know them.
fn snap(lowering: &mut Lowering<'_, '_>, raw: RawGuard, at: Span) -> Vec<Fact> {
    guard(&raw, at, lowering.defects).into_iter().map(Fact::Snap).collect()
}
