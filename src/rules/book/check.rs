//! Proves a book sound: what a compiler would say about questions and lines.
//!
//! Lowering has resolved every name already; here stands what needs the whole of a tree or of a line. A check
//! keeps silent where what it needs could not be read: one defect is one defect.

pub(super) mod calls;
pub(super) mod facts;
pub(super) mod graph;
pub(super) mod lines;

use super::defect::Defect;
use super::replay::Limits;
use super::tree::{Set, Tree};

/// A tree as far as it could be read, with what of it is sure.
pub(super) struct Draft {
    pub tree: Tree,
    /// It is known where the walk begins.
    pub start: bool,
    /// Steps that could be read.
    pub read_steps: Set,
    /// Steps of which it is known where every answer leads.
    pub whole_steps: Set,
    /// Calls that could be read.
    pub calls: Set,
    /// Whether it may create a foul, if that could be read.
    pub creation: Option<bool>,
    /// Steps and findings whose name an earlier one has.
    pub doubles: Set,
}

/// Checks one tree.
pub(super) fn tree(draft: &Draft, limits: Option<&Limits>, defects: &mut Vec<Defect>) {
    let tree = &draft.tree;
    let cyclic = graph::cycles(tree, defects);
    graph::idle(tree, draft.whole_steps, defects);
    facts::facts(tree, draft.read_steps, defects);
    calls::calls(tree, draft.calls, draft.creation, defects);
    let paths = draft.start && draft.doubles.is_empty() && draft.whole_steps.len() == tree.steps.len();
    if paths {
        graph::reach(tree, defects);
    }
    if paths
        && !cyclic
        && let Some(limit) = limits.and_then(|limits| limits.to_ruling_s.or(limits.guide_s))
    {
        graph::time(tree, limit, defects);
    }
}
