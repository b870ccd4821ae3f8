//! Which of a million texts are the same, found by sorting their hashes: no table of all texts is needed.

use rayon::prelude::*;

/// The places of each text that stands at more than one place, rising within a text; texts in no order. `hashed` gives
/// the hash of each text with its place, `text` the text at a place.
pub(super) fn duplicates<'s>(
    hashed: impl Iterator<Item = (u64, usize)>,
    text: impl Fn(usize) -> &'s str,
) -> Vec<Vec<usize>> {
    let mut hashed: Vec<(u64, usize)> = hashed.collect();
    hashed.par_sort_unstable();
    let mut found = Vec::new();
    for same in hashed.chunk_by(|(hash, _), (next, _)| hash == next).filter(|same| same.len() > 1) {
        let mut same: Vec<usize> = same.iter().map(|(_, place)| *place).collect();
        // Different texts may share a hash: the texts themselves decide.
        same.sort_by_key(|place| text(*place));
        let texts = same.chunk_by(|one, other| text(*one) == text(*other));
        found.extend(texts.filter(|same| same.len() > 1).map(<[usize]>::to_vec));
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn texts_that_come_again_are_found_with_all_their_places() {
        let texts = ["b", "a", "", "b", "c", "", "b"];
        // By their hashes apart, all of one hash, and something between.
        for hash in
            [|text: &str| text.bytes().map(u64::from).sum(), |_: &str| 7, |text: &str| text.len() as u64]
        {
            let mut found = duplicates(texts.iter().map(|text| hash(text)).zip(0..), |place| texts[place]);
            found.sort();
            assert_eq!(found, [vec![0, 3, 6], vec![2, 5]]);
        }
        assert!(duplicates([].into_iter(), |_| "").is_empty());
    }
}
