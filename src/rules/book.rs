//! A league's rule book: what is true in this league, as data.
//!
//! Text comes in as [`text::Sources`], goes through a raw form that knows the place of every name, and
//! leaves as a [`Book`] in which every name is resolved. Only [`load::load`] makes a `Book`.
//!
//! Never here: files (this layer takes text), a clock, a rule of one league, an unchecked tree.

mod check;
pub mod defect;
pub mod diagram;
pub mod discretion;
pub mod edition;
pub mod effect;
pub mod enforcement;
pub(crate) mod game_rules;
pub mod known;
pub mod line;
pub mod load;
mod lower;
pub mod penalty;
mod punctuation;
mod raw;
pub mod replay;
mod rules;
pub mod schema;
pub mod shipped;
mod spanned;
pub mod text;
pub mod tree;
pub mod words;

use std::collections::BTreeMap;

/// One edition of one league's rules, with every name resolved.
#[derive(Debug, Clone)]
pub struct Book {
    /// The short name of the book: its folder.
    pub id: String,
    /// The league, as printed.
    pub name: String,
    pub edition: edition::Edition,
    pub field: field::Field,
    pub game: game_rules::GameRules,
    pub enforcement: enforcement::Enforcement,
    pub lines: Vec<line::Line>,
    pub replay: replay::Replay,
    /// What can never be reviewed, by plain name.
    pub closed: BTreeMap<String, replay::Closed>,
    pub penalties: BTreeMap<String, penalty::Penalty>,
    /// Moments that every tree may speak of, with their meaning.
    pub moments: BTreeMap<String, String>,
    /// The referee's own ruling on what no question covers; `None` if the league has no such rule.
    pub discretion: Option<discretion::Discretion>,
    /// What is checked before a game, each in a word or two.
    pub checklist: Vec<String>,
    /// What is said, in each language of the book; announcements are made in all of them, in this order.
    ///
    /// INVARIANT: there is at least one.
    pub words: Vec<words::Words>,
    /// The questions of fact, in the order of the book.
    pub trees: Vec<tree::Tree>,
}

impl Book {
    /// The tree with this id.
    pub fn tree(&self, id: &str) -> Option<&tree::Tree> {
        self.trees.iter().find(|tree| tree.id == id)
    }

    /// The words of the book's first language, in which the crew is told.
    pub fn first_words(&self) -> &words::Words {
        &self.words[0]
    }
}
