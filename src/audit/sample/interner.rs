//! The interner: names and lists of names that come again and again, each kept once.
//!
//! A million records speak of the same few steps, officials, answers and cameras.

use foldhash::HashMap;
use rules::book::effect::Part;
use std::hash::Hash;
use std::num::NonZeroU32;

/// A text in [`Names`], by its place from 1, so that an `Option` of it takes no more room.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Name(NonZeroU32);

impl Name {
    fn at(place: usize) -> Option<Name> {
        u32::try_from(place).ok()?.checked_add(1).and_then(NonZeroU32::new).map(Name)
    }

    fn place(self) -> usize {
        self.0.get() as usize - 1
    }
}

/// A list in [`Lists`], by its place.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct List(u32);

#[derive(Debug, Clone, Default)]
pub(crate) struct Names {
    places: HashMap<Box<str>, Name>,
    texts: Vec<Box<str>>,
    /// The name that was asked for last in each bucket of [`bucket`].
    recent: Vec<Option<Name>>,
}

/// Buckets of texts that are found without hashing the whole text.
const RECENT: usize = 256;

/// The bucket of a text, by its length and its first and last byte: most texts that come again have one to themselves.
fn bucket(text: &str) -> usize {
    let (first, last) = (text.bytes().next().unwrap_or(0), text.bytes().next_back().unwrap_or(0));
    (31 * usize::from(first) + 7 * usize::from(last) + text.len()) % RECENT
}

impl Names {
    /// The name of this text, which is added if it is new.
    pub(crate) fn intern(&mut self, text: &str) -> Name {
        let bucket = bucket(text);
        let recent = self.recent.get(bucket).copied().flatten();
        if let Some(name) = recent.filter(|name| self.text(*name) == text) {
            return name;
        }
        let name = self.places.get(text).copied().unwrap_or_else(|| self.add(text));
        self.recent.resize(RECENT, None);
        self.recent[bucket] = Some(name);
        name
    }

    fn add(&mut self, text: &str) -> Name {
        let name = Name::at(self.texts.len()).expect("fewer names than 2^32 records have room for");
        self.texts.push(text.into());
        self.places.insert(text.into(), name);
        name
    }

    /// The name of this text, if it is known.
    pub(crate) fn get(&self, text: &str) -> Option<Name> {
        self.places.get(text).copied()
    }

    pub(crate) fn text(&self, name: Name) -> &str {
        self.texts.get(name.place()).map_or("", |text| text)
    }
}

#[derive(Debug, Clone)]
pub(crate) struct Lists<T> {
    places: HashMap<Box<[T]>, List>,
    all: Vec<Box<[T]>>,
}

impl<T> Default for Lists<T> {
    fn default() -> Lists<T> {
        Lists { places: HashMap::default(), all: Vec::new() }
    }
}

impl<T: Clone + Eq + Hash> Lists<T> {
    /// The list of these items, which is added if it is new.
    pub(crate) fn intern(&mut self, list: &[T]) -> List {
        if let Some(known) = self.places.get(list) {
            return *known;
        }
        let place = u32::try_from(self.all.len()).expect("fewer lists than 2^32 records have room for");
        self.all.push(list.into());
        self.places.insert(list.into(), List(place));
        List(place)
    }

    pub(crate) fn get(&self, list: List) -> &[T] {
        self.all.get(list.0 as usize).map_or(&[], |list| list)
    }

    /// Adds the lists of another interner, each translated by `translate`; what each of them is here.
    fn merge(&mut self, other: &Lists<T>, translate: impl Fn(&mut Vec<T>)) -> Vec<List> {
        let mut here = |list: &[T]| {
            let mut list = list.to_vec();
            translate(&mut list);
            self.intern(&list)
        };
        other.all.iter().map(|list| here(list)).collect()
    }
}

/// The names of some rows, and their lists by kind.
#[derive(Debug, Clone, Default)]
pub(crate) struct Interner {
    pub names: Names,
    /// Step and answer, by step; the options of an unclear answer are joined by [`super::row::OR`].
    pub answers: Lists<(Name, Name)>,
    /// The crew's flags: the penalty, and on whom.
    pub flags: Lists<(Name, Part)>,
    /// The cameras that frames were marked on, each once.
    pub cameras: Lists<Name>,
}

impl Interner {
    /// Adds all that other interners hold; for each of them, what its names and lists are here. New names are numbered
    /// in the order of their texts, so that it does not matter which core met one first.
    pub(crate) fn merge(&mut self, others: &[&Interner]) -> Vec<Moved> {
        let mut texts: Vec<&str> =
            others.iter().flat_map(|other| &other.names.texts).map(|text| &**text).collect();
        texts.sort_unstable();
        for text in texts {
            self.names.intern(text);
        }
        others.iter().map(|other| self.merge_one(other)).collect()
    }

    fn merge_one(&mut self, other: &Interner) -> Moved {
        let names: Vec<Name> = other.names.texts.iter().map(|text| self.names.intern(text)).collect();
        let here = |name: &mut Name| *name = names[name.place()];
        let answers = self.answers.merge(&other.answers, |answers| {
            for (step, answer) in answers.iter_mut() {
                here(step);
                here(answer);
            }
            answers.sort_unstable();
        });
        let flags = self.flags.merge(&other.flags, |flags| {
            flags.iter_mut().for_each(|(penalty, _)| here(penalty));
        });
        let cameras = self.cameras.merge(&other.cameras, |cameras| {
            cameras.iter_mut().for_each(here);
            cameras.sort_unstable();
        });
        Moved { names, answers, flags, cameras }
    }
}

/// What the names and lists of a merged interner are in the one that took them over. INVARIANT: it is asked only for
/// those of the merged interner.
#[derive(Debug)]
pub(crate) struct Moved {
    names: Vec<Name>,
    answers: Vec<List>,
    flags: Vec<List>,
    cameras: Vec<List>,
}

impl Moved {
    pub(crate) fn name(&self, name: &mut Name) {
        *name = self.names[name.place()];
    }

    pub(crate) fn answers(&self, list: List) -> List {
        self.answers[list.0 as usize]
    }

    pub(crate) fn flags(&self, list: List) -> List {
        self.flags[list.0 as usize]
    }

    pub(crate) fn cameras(&self, list: List) -> List {
        self.cameras[list.0 as usize]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_text_is_one_name_here_and_after_a_move() {
        let (mut here, mut there) = (Interner::default(), Interner::default());
        let (a, mut b) = (here.names.intern("a"), there.names.intern("b"));
        assert_eq!((here.names.intern("a"), here.names.get("b")), (a, None));
        let [one, other] = ["call", "cell"].map(|text| here.names.intern(text));
        assert!(bucket("call") == bucket("cell") && one != other && here.names.intern("call") == one);
        let moved = here.merge(&[&there]);
        moved[0].name(&mut b);
        assert_eq!(here.names.text(b), "b");
    }

    #[test]
    fn a_list_is_one_here_and_after_a_move() {
        let (mut here, mut there) = (Lists::default(), Lists::default());
        let (none, one) = (here.intern(&[]), here.intern(&[1, 2]));
        assert_eq!((here.intern(&[1, 2]), here.get(one), here.get(none)), (one, &[1, 2][..], &[][..]));
        there.intern(&[2, 3]);
        let moved = here.merge(&there, |list| list.iter_mut().for_each(|item| *item -= 1));
        assert_eq!(moved, [one]);
    }
}
