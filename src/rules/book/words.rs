//! The words of a book in one language: what is said aloud, what the crew is told, what the log keeps.
//!
//! One file a language, `words/en.ron`: sentences with places to fill, written `{name}`, and for each question what its
//! calls are called before the public and what a finding gives as the reason. Where a file says nothing about a call, a
//! finding or a penalty, what the question or the penalty itself says stands in for it.

mod lower;
mod say;

use super::Book;
use super::tree::Tree;
use std::collections::BTreeMap;

pub(super) use lower::{Named, plain, words};
pub use say::Say;

/// The folder of a book that holds its words, one file a language.
pub(super) const WORDS: &str = "words/";

/// Everything that is said under a book, in one language.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Words {
    /// The language tag that the file is named after: `en`.
    pub language: String,
    /// INVARIANT: there is one for each [`Say`].
    sentences: BTreeMap<Say, String>,
    /// First, second and so on.
    downs: Vec<String>,
    /// By the tree's id.
    questions: BTreeMap<String, Said>,
    /// Penalties as they are announced, by their names in the book.
    penalties: BTreeMap<String, String>,
}

/// What is said of one question.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
struct Said {
    /// By call, a noun phrase: "the call of a complete pass".
    calls: BTreeMap<String, String>,
    /// By finding, the reason as a sentence without its full stop.
    findings: BTreeMap<String, String>,
}

impl Words {
    /// A sentence with its places filled.
    pub fn say(&self, say: Say, places: &[(&str, &str)]) -> String {
        fill(self.sentences.get(&say).map_or("", String::as_str), places)
    }

    /// What a call is called before the public: "the call of a complete pass".
    pub fn call(&self, tree: &Tree, call: usize) -> String {
        let Some(call) = tree.calls.get(call) else { return String::new() };
        let said = self.questions.get(&tree.id).and_then(|said| said.calls.get(&call.name));
        said.cloned().unwrap_or_else(|| self.say(Say::Call, &[("call", &call.says)]))
    }

    /// The reason that a finding gives before the public, without a full stop.
    pub fn finding<'a>(&'a self, tree: &'a Tree, finding: usize) -> &'a str {
        let Some(finding) = tree.findings.get(finding) else { return "" };
        let said = self.questions.get(&tree.id).and_then(|said| said.findings.get(&finding.name));
        said.unwrap_or(&finding.says)
    }

    /// A penalty as it is announced.
    pub fn penalty<'a>(&'a self, book: &'a Book, name: &'a str) -> &'a str {
        let own = || book.penalties.get(name).map(|penalty| penalty.says.as_str());
        self.penalties.get(name).map(String::as_str).or_else(own).unwrap_or(name)
    }

    /// The number of a down in words; a figure beyond those that the file has.
    pub fn down(&self, down: u8) -> String {
        let word = usize::from(down).checked_sub(1).and_then(|index| self.downs.get(index));
        word.cloned().unwrap_or_else(|| down.to_string())
    }

    /// Every call, finding and penalty of the book of which the file says nothing, as `catch: call incomplete`.
    pub fn unsaid(&self, book: &Book) -> Vec<String> {
        let mut unsaid = Vec::new();
        for tree in &book.trees {
            let said = self.questions.get(&tree.id);
            let call = |name: &str| said.is_some_and(|said| said.calls.contains_key(name));
            let finding = |name: &str| said.is_some_and(|said| said.findings.contains_key(name));
            let calls = tree.calls.iter().map(|call| &call.name).filter(|name| !call(name));
            unsaid.extend(calls.map(|name| format!("{}: call {name}", tree.id)));
            let findings = tree.findings.iter().map(|found| &found.name).filter(|name| !finding(name));
            unsaid.extend(findings.map(|name| format!("{}: finding {name}", tree.id)));
        }
        let penalties = book.penalties.keys().filter(|name| !self.penalties.contains_key(*name));
        unsaid.extend(penalties.map(|name| format!("penalty {name}")));
        unsaid
    }
}

/// A sentence with its places filled, in one pass: what is filled in is not read for places again.
fn fill(sentence: &str, places: &[(&str, &str)]) -> String {
    let mut filled = String::with_capacity(sentence.len());
    let mut rest = sentence;
    while let Some((before, after)) = rest.split_once('{') {
        filled.push_str(before);
        let known = after.split_once('}').and_then(|(name, behind)| {
            let value = places.iter().find(|(place, _)| *place == name)?.1;
            Some((value, behind))
        });
        match known {
            Some((value, behind)) => {
                filled.push_str(value);
                rest = behind;
            }
            None => {
                filled.push('{');
                rest = after;
            }
        }
    }
    filled.push_str(rest);
    filled
}
