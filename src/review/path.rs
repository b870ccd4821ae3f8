//! How a question was walked: every step with its answer, what the answer rests on, where it led and what it excluded.
//!
//! For whatever shows a review: the booth's map of a tree, the page of a ruling, the command line. The path is the one
//! that settling follows.

use super::decide;
use super::event::{Answered, Look, Marked};
use super::fold::Review;
use super::gate;
use super::known::known_step;
use super::settle::{Scopes, settle};
use rules::book::Book;
use rules::book::tree::{Set, Step, Target, Tree};

/// One question of a review, step by step.
#[derive(Debug, Clone)]
pub struct Walk<'a> {
    pub tree: &'a Tree,
    /// By index.
    pub call: usize,
    /// In the order of the book.
    pub steps: Vec<WalkedStep<'a>>,
    /// By index; all other findings are excluded.
    pub possible: Set,
}

/// One step, on the path or off it.
#[derive(Debug, Clone)]
pub struct WalkedStep<'a> {
    /// In the tree.
    pub index: usize,
    pub step: &'a Step,
    /// The answers lead here.
    pub on_path: bool,
    /// Off the path an answer is kept and has no effect.
    pub answer: Option<&'a Answered>,
    /// Why it is not asked, where the situation or the play as it was read back answers it.
    pub known: Option<String>,
    /// The options of the answer, else those that are possible.
    pub open: Set,
    /// One for each option, in the order of the book.
    pub branches: Vec<Branch<'a>>,
    /// Of the moments that the step asks for.
    pub marks: Vec<&'a Marked>,
    pub looks: Vec<&'a Look>,
}

/// One way on from a step.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Branch<'a> {
    /// "yes".
    pub option: &'a str,
    pub to: Leads<'a>,
    pub way: Way,
}

/// What an option leads to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Leads<'a> {
    /// By name.
    Step(&'a str),
    /// By name.
    Finding(&'a str),
}

/// Whether the answers follow a branch.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Way {
    Taken,
    /// An answer excludes it.
    Left,
    /// The step has no answer yet.
    Open,
    /// The answers do not lead to its step.
    Apart,
}

impl WalkedStep<'_> {
    /// Whether the answer leaves every option possible.
    pub fn unclear(&self) -> bool {
        self.answer.is_some() && self.open == self.step.every()
    }
}

impl<'a> Walk<'a> {
    /// The steps that the answers lead to, as they would be asked.
    pub fn path(&self) -> impl Iterator<Item = &WalkedStep<'a>> {
        self.steps.iter().filter(|step| step.on_path)
    }

    /// The names of the findings that are excluded.
    pub fn excluded(&self) -> impl Iterator<Item = &'a str> {
        let tree = self.tree;
        let all = Set::first(tree.findings.len());
        all.without(self.possible).iter().map(|index| tree.findings[index].name.as_str())
    }
}

/// How a question of a review, counted from 0, was walked; `None` where the review or this edition lacks it.
pub fn walk<'a>(book: &'a Book, review: &'a Review, question: usize) -> Option<Walk<'a>> {
    let asked = review.questions.get(question)?;
    let known = gate::known(book, &asked.tree, &asked.call).ok()?;
    let questions = decide::questions(book, review);
    // `decide::questions` skips questions that this edition lacks: count the known ones before this one.
    let before = review.questions.iter().take(question);
    let place = before.filter(|asked| gate::known(book, &asked.tree, &asked.call).is_ok()).count();
    let asked_now = questions.get(place)?;
    let (tree, given) = (known.tree, &asked_now.answers);
    let (reached, _) = Scopes::of(tree, given).reach(tree);
    let answers = review.answers();
    let steps = tree.steps.iter().enumerate().map(|(index, step)| {
        let answer = answers.get(&(question, step.name.as_str())).copied();
        let open = given.get(index).or_else(|| given.known(index)).unwrap_or(step.every());
        let known =
            known_step(book, review, question, step).filter(|_| given.is_known(index)).map(|(_, why)| why);
        let on_path = reached.has(index);
        let moments = step.proof.moments();
        WalkedStep {
            index,
            step,
            on_path,
            answer,
            known,
            open,
            branches: branches(tree, step, open, on_path.then_some(given.get(index).is_some())),
            marks: review.marks().filter(|marked| moments.contains(&marked.mark.moment.as_str())).collect(),
            looks: review
                .looks()
                .filter(|look| look.question == question && look.step == step.name)
                .collect(),
        }
    });
    let possible = settle(&asked_now.stance(book), given).possible;
    Some(Walk { tree, call: known.call, steps: steps.collect(), possible })
}

/// `answered`: `None` where the step is off the path.
fn branches<'a>(tree: &'a Tree, step: &'a Step, open: Set, answered: Option<bool>) -> Vec<Branch<'a>> {
    let branch = |(index, choice): (usize, &'a rules::book::tree::Choice)| Branch {
        option: &choice.name,
        to: match choice.to {
            Target::Step(step) => Leads::Step(&tree.steps[step].name),
            Target::Find(finding) => Leads::Finding(&tree.findings[finding].name),
        },
        way: match (answered, open.has(index)) {
            (None, _) => Way::Apart,
            (Some(false), _) => Way::Open,
            (Some(true), true) => Way::Taken,
            (Some(true), false) => Way::Left,
        },
    };
    step.options.iter().enumerate().map(branch).collect()
}
