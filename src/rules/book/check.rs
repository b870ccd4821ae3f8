//! Proves a book sound: what a compiler would report about questions and lines.
//!
//! Lowering has resolved every name already; the checks here need a whole tree or line. A check reports nothing
//! where its input could not be read, so that one fault is reported once.

pub(super) mod calls;
pub(super) mod facts;
pub(super) mod graph;
pub(super) mod lines;
pub(super) mod obtain;

use super::defect::Defect;
use super::replay::Limits;
use super::tree::{Set, Tree};

/// A tree as far as it could be read, and which parts of it are certain.
pub(super) struct Draft {
    pub tree: Tree,
    /// It is known where the walk begins.
    pub start: bool,
    pub read_steps: Set,
    /// Steps whose answers all lead to known places.
    pub whole_steps: Set,
    /// Calls that could be read.
    pub calls: Set,
    /// Whether it may create a foul; `None` if that could not be read.
    pub creation: Option<bool>,
    /// Steps and findings whose name an earlier one has.
    pub doubles: Set,
}

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
