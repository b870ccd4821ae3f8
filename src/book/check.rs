//! Proves a book sound: what a compiler would say about questions and lines.
//!
//! Lowering has resolved every name already; here stands what needs the whole of a tree or of a line.

pub(super) mod calls;
pub(super) mod facts;
pub(super) mod graph;
pub(super) mod lines;

use super::fault::Fault;
use super::replay::Limits;
use super::tree::Tree;

/// Checks one tree. A tree with a cycle is reported as such and not looked at further.
pub(super) fn tree(tree: &Tree, limits: Option<&Limits>, faults: &mut Vec<Fault>) {
    if graph::cycles(tree, faults) {
        return;
    }
    graph::reach(tree, faults);
    graph::idle(tree, faults);
    facts::facts(tree, faults);
    calls::calls(tree, faults);
    if let Some(limit) = limits.and_then(|limits| limits.to_ruling_s.or(limits.guide_s)) {
        graph::time(tree, limit, faults);
    }
}
