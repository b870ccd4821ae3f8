//! Lists that come again and again, kept once: a million records give the same few answers by the same few cameras.

use foldhash::HashMap;
use std::hash::Hash;

/// A list, by its place in [`Lists`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct List(u32);

/// The lists of a kind.
#[derive(Debug, Clone)]
pub struct Lists<T> {
    places: HashMap<Box<[T]>, List>,
    all: Vec<Box<[T]>>,
}

impl<T> Default for Lists<T> {
    fn default() -> Lists<T> {
        Lists { places: HashMap::default(), all: Vec::new() }
    }
}

impl<T: Clone + Eq + Hash> Lists<T> {
    /// The list of these, kept from now on.
    pub fn keep(&mut self, list: &[T]) -> List {
        if let Some(known) = self.places.get(list) {
            return *known;
        }
        let place = u32::try_from(self.all.len()).expect("fewer lists than 2^32 records have room for");
        self.all.push(list.into());
        self.places.insert(list.into(), List(place));
        List(place)
    }

    /// What is in a list of these lists.
    pub fn get(&self, list: List) -> &[T] {
        self.all.get(list.0 as usize).map_or(&[], |list| list)
    }

    /// Keeps all lists of others, each item as `here` says it; what each of those lists is here.
    pub fn take(&mut self, others: &Lists<T>, here: impl Fn(&mut Vec<T>)) -> Moved {
        let mut moved = Vec::with_capacity(others.all.len());
        for list in &others.all {
            let mut list = list.to_vec();
            here(&mut list);
            moved.push(self.keep(&list));
        }
        Moved(moved)
    }
}

/// What the lists of others are among these.
#[derive(Debug)]
pub struct Moved(Vec<List>);

impl Moved {
    /// The same list here. INVARIANT: it is one of the others'.
    pub fn here(&self, list: List) -> List {
        self.0.get(list.0 as usize).copied().unwrap_or(list)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_list_is_one_here_and_after_a_move() {
        let (mut here, mut there) = (Lists::default(), Lists::default());
        let (none, one) = (here.keep(&[]), here.keep(&[1, 2]));
        assert_eq!((here.keep(&[1, 2]), here.get(one), here.get(none)), (one, &[1, 2][..], &[][..]));
        let other = there.keep(&[2, 3]);
        let moved = here.take(&there, |list| list.iter_mut().for_each(|item| *item -= 1));
        assert_eq!(moved.here(other), one);
    }
}
