//! A text as it was written: its values, each with its place.

use crate::error::Step;

/// A value and the byte at which it begins.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Node {
    pub at: usize,
    pub value: Value,
}

/// A value of JSON or RON.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Value {
    Nothing,
    Truth(bool),
    /// As it was written.
    Number(String),
    Text(String),
    /// RON: a word without quotes.
    Word(String),
    List(Vec<Node>),
    Fields(Vec<(Key, Node)>),
    /// RON: `Word(…)`, with what stands in the brackets.
    Named(String, Box<Node>),
}

/// The name of a field and the byte at which it begins.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Key {
    pub at: usize,
    pub name: String,
}

impl Node {
    /// The byte at which the value at the end of a path begins; of a path that was not written, its last written part.
    pub(super) fn place(&self, path: &[Step]) -> usize {
        let Some((step, rest)) = path.split_first() else { return self.at };
        match (&self.inner().value, step) {
            (Value::Fields(fields), Step::Field(name)) => {
                let field = fields.iter().find(|(key, _)| key.name == *name);
                field.map_or(self.at, |(_, node)| node.place(rest))
            }
            (Value::Fields(fields), Step::Name(name)) => {
                fields.iter().find(|(key, _)| key.name == *name).map_or(self.at, |(key, _)| key.at)
            }
            (Value::List(items), Step::Item(index)) => {
                items.get(*index).map_or(self.at, |node| node.place(rest))
            }
            _ => self.at,
        }
    }

    /// What stands in the brackets of a named value; the value itself where it has no name.
    pub(super) fn inner(&self) -> &Node {
        match &self.value {
            Value::Named(name, inner) => match &inner.value {
                Value::List(items) if name == "Some" && items.len() == 1 => items[0].inner(),
                _ => inner,
            },
            _ => self,
        }
    }
}
