//! Which of a million texts are the same, without a table of them all: hashed side by side, then sorted.

use foldhash::fast::RandomState;
use rayon::prelude::*;
use std::hash::BuildHasher;

/// The places of each text that stands at more than one place, rising within a text; texts in no order.
pub fn alike<'s>(texts: impl Iterator<Item = (&'s str, usize)>) -> Vec<Vec<usize>> {
    let texts: Vec<(&str, usize)> = texts.collect();
    let hasher = RandomState::default();
    let hashed = |(text, place): (&'s str, usize)| (hasher.hash_one(text), text, place);
    let mut hashed: Vec<(u64, &str, usize)> = texts.into_par_iter().map(hashed).collect();
    // Different texts have different hashes, but for a few that are told apart by themselves.
    hashed.par_sort_unstable();
    let same = hashed.chunk_by(|(hash, text, _), (next, other, _)| hash == next && text == other);
    let same = same.filter(|same| same.len() > 1);
    same.map(|same| same.iter().map(|(.., place)| *place).collect()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn texts_that_come_again_are_found_with_all_their_places() {
        let texts = ["b", "a", "", "b", "c", "", "b"];
        let mut found = alike(texts.into_iter().zip(0..));
        found.sort();
        assert_eq!(found, [vec![0, 3, 6], vec![2, 5]]);
        assert!(alike([].into_iter()).is_empty());
    }
}
