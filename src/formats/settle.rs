//! Answers in JSON, and what they amount to.

use super::case::named;
use super::error::Error;
use super::snap::moment;
use review::gate::Known;
use review::settle::Answers;
use rules::book::Book;
use rules::book::defect::nearest;
use rules::book::tree::{Set, Tree};
use rules::shown::shown;
use schemars::JsonSchema;
use serde::de::{self, SeqAccess, Visitor};
use serde::{Deserialize, Deserializer, Serialize};
use std::collections::BTreeMap;
use std::fmt;

/// One answer: an option, several, or `unclear` for all of them.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(untagged)]
pub enum Answer {
    /// An option's name, or `unclear`.
    One(String),
    /// The options that are still possible.
    Some(Vec<String>),
}

impl<'de> Deserialize<'de> for Answer {
    fn deserialize<D: Deserializer<'de>>(from: D) -> std::result::Result<Answer, D::Error> {
        struct OneOrSome;
        impl<'de> Visitor<'de> for OneOrSome {
            type Value = Answer;
            fn expecting(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
                out.write_str("an answer, or a list of answers,")
            }
            fn visit_str<E: de::Error>(self, option: &str) -> std::result::Result<Answer, E> {
                Ok(Answer::One(option.to_owned()))
            }
            fn visit_seq<A: SeqAccess<'de>>(self, mut list: A) -> std::result::Result<Answer, A::Error> {
                let mut options = Vec::new();
                while let Some(option) = list.next_element()? {
                    options.push(option);
                }
                Ok(Answer::Some(options))
            }
        }
        from.deserialize_any(OneOrSome)
    }
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

impl Asked {
    /// The question, its call by number, and the answers.
    ///
    /// # Errors
    /// [`Error`] for a name that the book does not have.
    pub fn read<'b>(&self, book: &'b Book) -> Result<(Known<'b>, Answers), Error> {
        let known = named(book, &self.tree, &self.call)?;
        if let Some(whistle) = &self.whistle {
            moment(book, whistle).map_err(|error| error.within("whistle"))?;
        }
        let answers = read(known.tree, &self.answers).map_err(|error| error.within("answers"))?;
        Ok((known, answers))
    }
}

/// The answers as the review knows them.
///
/// # Errors
/// [`Error`] for a step or an option that the tree does not have.
pub fn read(tree: &Tree, answers: &BTreeMap<String, Answer>) -> Result<Answers, Error> {
    let mut read = Answers::none(tree);
    for (name, answer) in answers {
        let step = tree.step(name).ok_or_else(|| {
            Error::new(format!("the question `{}` has no step `{}`", tree.id, shown(name)))
                .help(nearest(name, tree.steps.iter().map(|step| step.name.as_str())))
                .at_name(name)
        })?;
        let options: Vec<&str> = match answer {
            Answer::One(option) => vec![option],
            Answer::Some(options) => options.iter().map(String::as_str).collect(),
        };
        let mut set = Set::EMPTY;
        for option in options {
            set = set.with(one(tree, step, option).map_err(|error| error.within(name))?);
        }
        if set.is_empty() {
            return Err(Error::new("an answer cannot be empty")
                .help("leave the step out, or write `unclear`")
                .within(name));
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
        Error::new(format!("the step `{}` has no answer `{}`", step.name, shown(option)))
            .help(nearest(option, known.chain(["unclear"])))
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
