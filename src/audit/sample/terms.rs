//! What rows are written in: names and lists of names, each kept once.

use crate::sample::interner;
use crate::sample::interner::{Name, Names};
use crate::sample::lists;
use crate::sample::lists::Lists;
use rules::book::effect::Part;

/// The terms of some rows.
#[derive(Debug, Clone, Default)]
pub struct Terms {
    /// Their names.
    pub names: Names,
    /// Step and answer, by step; the options of an unclear answer are joined by [`super::row::OR`].
    pub answers: Lists<(Name, Name)>,
    /// The crew's flags: the penalty, and on whom.
    pub flags: Lists<(Name, Part)>,
    /// The cameras that frames were marked on, each once.
    pub cameras: Lists<Name>,
}

impl Terms {
    /// Keeps all terms of others; for each of them, what its terms are here. New names are numbered in the order of
    /// their texts, so that it does not matter which core met one first.
    pub fn take(&mut self, others: &[&Terms]) -> Vec<Moved> {
        let mut texts: Vec<&str> = others.iter().flat_map(|other| other.names.texts()).collect();
        texts.sort_unstable();
        texts.into_iter().for_each(|text| {
            self.names.keep(text);
        });
        others.iter().map(|other| self.moved(other)).collect()
    }

    fn moved(&mut self, other: &Terms) -> Moved {
        let names = self.names.take(&other.names);
        let answers = self.answers.take(&other.answers, |answers| {
            for (step, answer) in answers.iter_mut() {
                (*step, *answer) = (names.here(*step), names.here(*answer));
            }
            answers.sort_unstable();
        });
        let flags = self.flags.take(&other.flags, |flags| {
            flags.iter_mut().for_each(|(penalty, _)| *penalty = names.here(*penalty));
        });
        let cameras = self.cameras.take(&other.cameras, |cameras| {
            cameras.iter_mut().for_each(|camera| *camera = names.here(*camera));
            cameras.sort_unstable();
        });
        Moved { names, answers, flags, cameras }
    }
}

/// What the terms of others are among these.
#[derive(Debug)]
pub struct Moved {
    /// Their names.
    pub names: interner::Moved,
    /// Their lists of answers.
    pub answers: lists::Moved,
    /// Their lists of flags.
    pub flags: lists::Moved,
    /// Their lists of cameras.
    pub cameras: lists::Moved,
}
