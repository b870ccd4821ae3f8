//! Every question of a book with every call, finding and whistle, its answers those that lead to the finding.

use review::gate::Entry;
use review::ruling::Question;
use review::settle::Answers;
use rules::book::Book;
use rules::book::tree::{Set, Target, Tree};

/// A finding of one call, and the question answered so that nothing but the finding is left.
pub struct Found<'b> {
    pub finding: usize,
    pub question: Question<'b>,
}

pub fn every_finding(book: &Book) -> Vec<Found<'_>> {
    let mut all = Vec::new();
    for tree in &book.trees {
        for call in 0..tree.calls.len() {
            for finding in 0..tree.findings.len() {
                for whistle in [None, Some("whistle".to_owned())] {
                    let answers = path(tree, finding);
                    let (ruled, entry, flag_on) = (Vec::new(), Entry::Challenged, None);
                    let question = Question { tree, call, whistle, ruled, entry, flag_on, answers };
                    all.push(Found { finding, question });
                }
            }
        }
    }
    all
}

/// The answers of one walk from the start to a finding.
fn path(tree: &Tree, finding: usize) -> Answers {
    let mut answers = Answers::none(tree);
    assert!(walk(tree, finding, tree.start, &mut answers), "{}: nothing leads to it", tree.id);
    answers
}

fn walk(tree: &Tree, finding: usize, step: usize, answers: &mut Answers) -> bool {
    for (option, choice) in tree.steps[step].options.iter().enumerate() {
        answers.set(step, Set::one(option));
        let there = match choice.to {
            Target::Find(found) => found == finding,
            Target::Step(next) => walk(tree, finding, next, answers),
        };
        if there {
            return true;
        }
    }
    answers.set(step, Set::EMPTY);
    false
}
