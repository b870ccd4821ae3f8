//! Names that come again and again, kept once: a million records speak of the same few steps and officials.

use foldhash::HashMap;
use std::num::NonZeroU32;

/// A name, by its place in [`Names`], counted from 1: no name takes as little room as one.
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

/// The names of a sample.
#[derive(Debug, Clone, Default)]
pub struct Names {
    places: HashMap<Box<str>, Name>,
    texts: Vec<Box<str>>,
    /// The name that was last asked for of each [`by_ends`].
    recent: Vec<Option<Name>>,
}

/// So many texts are known without being hashed.
const RECENT: usize = 256;

/// Tells texts apart by their length and ends: most of those that come again and again are.
fn by_ends(text: &str) -> usize {
    let (first, last) = (text.bytes().next().unwrap_or(0), text.bytes().next_back().unwrap_or(0));
    (31 * usize::from(first) + 7 * usize::from(last) + text.len()) % RECENT
}

impl Names {
    /// The name of this text, kept from now on.
    pub fn keep(&mut self, text: &str) -> Name {
        let ends = by_ends(text);
        let recent = self.recent.get(ends).copied().flatten();
        if let Some(name) = recent.filter(|name| self.text(*name) == text) {
            return name;
        }
        let name = self.places.get(text).copied().unwrap_or_else(|| self.add(text));
        self.recent.resize(RECENT, None);
        self.recent[ends] = Some(name);
        name
    }

    fn add(&mut self, text: &str) -> Name {
        let name = Name::at(self.texts.len()).expect("fewer names than 2^32 records have room for");
        self.texts.push(text.into());
        self.places.insert(text.into(), name);
        name
    }

    /// The name of this text, if it is known.
    pub fn known(&self, text: &str) -> Option<Name> {
        self.places.get(text).copied()
    }

    /// The text of a name of these names.
    pub fn text(&self, name: Name) -> &str {
        self.texts.get(name.place()).map_or("", |text| text)
    }

    /// All texts, in no order.
    pub fn texts(&self) -> impl Iterator<Item = &str> {
        self.texts.iter().map(|text| &**text)
    }

    /// Keeps all names of another list; what each of its names is here.
    pub fn take(&mut self, other: &Names) -> Moved {
        Moved(other.texts.iter().map(|text| self.keep(text)).collect())
    }
}

/// What the names of another list are in this one.
#[derive(Debug)]
pub struct Moved(Vec<Name>);

impl Moved {
    /// The same name here. INVARIANT: it is one of the other list's.
    pub fn here(&self, name: Name) -> Name {
        self.0.get(name.place()).copied().unwrap_or(name)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_text_is_one_name_here_and_after_a_move() {
        let (mut here, mut there) = (Names::default(), Names::default());
        let (a, b) = (here.keep("a"), there.keep("b"));
        assert_eq!((here.keep("a"), here.known("b")), (a, None));
        let [one, other] = ["call", "cell"].map(|text| here.keep(text));
        assert!(by_ends("call") == by_ends("cell") && one != other && here.keep("call") == one);
        let moved = here.take(&there);
        assert_eq!(here.text(moved.here(b)), "b");
    }
}
