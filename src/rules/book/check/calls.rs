//! Every call can be confirmed and reversed, and fouls are created only where the book lets them be.

use super::super::defect::{Defect, Kind};
use super::super::effect::Effect;
use super::super::tree::{Call, OnCall, Set, Tree};

/// Reports calls that the tree can only ever confirm or only ever reverse, and stray creation of fouls.
///
/// Only for calls that could be read and about which every finding says something; `creation` is whether the
/// question may create a foul, if that could be read.
pub(in crate::book) fn calls(tree: &Tree, read: Set, creation: Option<bool>, defects: &mut Vec<Defect>) {
    let mut creates = false;
    let stated = |index: usize| tree.findings.iter().all(|finding| finding.on.contains_key(&index));
    let known =
        Set(read.iter().filter(|index| stated(*index)).fold(0, |bits, index| bits | Set::one(index).0));
    for (index, call) in known.iter().filter_map(|index| Some((index, tree.calls.get(index)?))) {
        let on = |wanted: fn(&OnCall) -> bool| {
            tree.findings.iter().any(|finding| finding.on.get(&index).is_some_and(wanted))
        };
        if !on(|on| matches!(on, OnCall::Agrees { .. } | OnCall::AgreesIfOn { .. })) {
            let message = format!("no finding can confirm the call `{}`", call.name);
            let help = format!("add \"{}\" to the `agrees` of the finding that proves it right", call.name);
            defects.push(Defect::new(Kind::NeverConfirmed, call.at, message).help(help));
        }
        // A no-call on a question that may not create a foul never passes the gate.
        let gated = call.no_call && creation != Some(true);
        if !gated && !on(|on| matches!(on, OnCall::Changes { .. })) {
            let message = format!("no finding can reverse the call `{}`", call.name);
            let help = format!("give the finding that proves it wrong `effects: {{\"{}\": […]}}`", call.name);
            defects.push(Defect::new(Kind::NeverReversed, call.at, message).help(help));
        }
        if call.must_be_proven.is_some() {
            defects.extend(taken_by_doubt(tree, index, call));
        }
        if call.no_call && makes_foul(tree, index) {
            creates = true;
            if creation == Some(false) {
                defects.push(stray(call));
            }
        }
    }
    if let Some(cite) = tree.booth_creates.as_ref().filter(|_| creation == Some(false)) {
        let message = format!("rule {cite} lets the booth create the foul, and the question creates none");
        let help = "write `creates_foul: true`, or take `booth_creates` out";
        defects.push(Defect::new(Kind::Creation, tree.at, message).help(help));
    }
    if creation == Some(true) && !creates && known.len() == tree.calls.len() {
        let message = "the question says that it may create a foul, and no finding does";
        let help = "give a finding a `Foul(…)` for the no-call, or write `creates_foul: false`";
        defects.push(Defect::new(Kind::Creation, tree.at, message).help(help));
    }
}

fn makes_foul(tree: &Tree, call: usize) -> bool {
    tree.findings.iter().any(|finding| match finding.on.get(&call) {
        Some(OnCall::Changes { effects, .. }) => {
            effects.iter().any(|effect| matches!(effect, Effect::Foul { .. }))
        }
        Some(OnCall::Agrees { .. } | OnCall::AgreesIfOn { .. } | OnCall::Barred(_)) | None => false,
    })
}

/// Reports a call that must be proven where the findings that take it away do not all replace it by the same effects.
fn taken_by_doubt(tree: &Tree, index: usize, call: &Call) -> Option<Defect> {
    let mut against = tree.findings.iter().filter_map(|finding| match finding.on.get(&index) {
        Some(OnCall::Changes { effects, whistled: None }) => Some(Some(effects)),
        Some(OnCall::Changes { .. } | OnCall::Barred(_)) => Some(None),
        Some(OnCall::Agrees { .. } | OnCall::AgreesIfOn { .. }) | None => None,
    });
    let first = against.next().flatten();
    if first.is_some() && against.all(|other| other == first) {
        return None;
    }
    let message = format!(
        "the call `{}` must be proven, and the findings against it replace it differently",
        call.name
    );
    let help =
        "let every finding against it have the same `effects` for it, and no `barred` or `after_whistle`";
    Some(Defect::new(Kind::TwoEffects, call.at, message).help(help))
}

fn stray(call: &Call) -> Defect {
    let message = format!("a finding creates a foul against the no-call `{}`", call.name);
    Defect::new(Kind::Creation, call.at, message)
        .help("write `creates_foul: true` where the rules allow that, else bar the finding for this call")
}
