//! Answers in JSON, and what they amount to.

use super::error::Error;
use review::settle::Answers;
use rules::book::defect::nearest;
use rules::book::tree::{Set, Tree};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// One answer: an option, several, or `unclear` for all of them.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize, Serialize, JsonSchema)]
#[serde(untagged, expecting = "an option or a list of options")]
pub enum Answer {
    /// An option's name, or `unclear`.
    One(String),
    /// The options that are still possible.
    Some(Vec<String>),
}

/// A tree, a call and some answers.
#[derive(Debug, Clone, PartialEq, Deserialize, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Asked {
    /// The tree's id.
    pub tree: String,
    /// The call on the field.
    pub call: String,
    /// The moment of a whistle that came before.
    #[serde(default)]
    pub whistle: Option<String>,
    /// The answers, by step.
    #[serde(default)]
    pub answers: BTreeMap<String, Answer>,
}

/// What they amount to.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Found {
    /// The findings still possible, by name.
    pub possible: Vec<String>,
    /// The book's label of the outcome now.
    pub outcome: String,
    /// The finding that is stated, if one is.
    pub finding: Option<String>,
    /// What nothing left to answer can change.
    pub settled: SettledJson,
    /// Whether the outcome is settled even with every doubt still open.
    pub proven: bool,
    /// The step that would settle soonest.
    pub next: Option<String>,
    /// The smallest sets of given answers whose change could change the outcome.
    pub flips: Vec<Vec<String>>,
}

/// What is settled.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
#[schemars(rename = "Settled")]
pub struct SettledJson {
    /// The outcome.
    pub outcome: bool,
    /// The restart.
    pub restart: bool,
}

/// The answers as the review knows them.
///
/// # Errors
/// [`Error`] for a step or an option that the tree does not have.
pub fn read(tree: &Tree, answers: &BTreeMap<String, Answer>) -> Result<Answers, Error> {
    let mut read = Answers::none(tree);
    for (name, answer) in answers {
        let step = tree.step(name).ok_or_else(|| {
            let hint = nearest(name, tree.steps.iter().map(|step| step.name.as_str()));
            Error::new(format!("the question `{}` has no step `{name}`: {hint}", tree.id))
        })?;
        let options: Vec<&str> = match answer {
            Answer::One(option) => vec![option],
            Answer::Some(options) => options.iter().map(String::as_str).collect(),
        };
        let mut set = Set::EMPTY;
        for option in options {
            set = set.with(one(tree, step, option)?);
        }
        if set.is_empty() {
            return Err(Error::new(format!(
                "the answer to `{name}` is empty: leave the step out, or say `unclear`"
            )));
        }
        read.set(step, set);
    }
    Ok(read)
}

fn one(tree: &Tree, step: usize, option: &str) -> Result<Set, Error> {
    let step = &tree.steps[step];
    if option == "unclear" {
        return Ok(step.every());
    }
    let known = step.options.iter().map(|choice| choice.name.as_str());
    step.option(option).map(Set::one).ok_or_else(|| {
        let hint = nearest(option, known.chain(["unclear"]));
        Error::new(format!("the step `{}` has no answer `{option}`: {hint}", step.name))
    })
}

/// An answer by the names of its options.
pub fn write(tree: &Tree, step: usize, set: Set) -> Answer {
    let step = &tree.steps[step];
    let mut names: Vec<String> = set.iter().map(|option| step.options[option].name.clone()).collect();
    if set == step.every() {
        return Answer::One("unclear".to_owned());
    }
    if names.len() == 1 { Answer::One(names.remove(0)) } else { Answer::Some(names) }
}
