//! The texts that a record shares with few others, in one allocation.

use foldhash::fast::FixedState;
use std::fmt;
use std::hash::BuildHasher;

/// Id, review, re-reviewed record and play, one after the other in one allocation.
#[derive(Clone, PartialEq, Eq)]
pub(super) struct Own {
    all: Box<str>,
    /// The end of each; a missing text has none.
    ends: [Option<End>; 4],
    /// A hash of each but the play, by which equal texts are found among all rows.
    hashes: [u64; PLAY],
}

/// A place in a text plus one, so that an `Option` of it takes no more room.
type End = std::num::NonZeroU32;

/// The places of the texts.
const ID: usize = 0;
const REVIEW: usize = 1;
const AGAIN_OF: usize = 2;
const PLAY: usize = 3;

impl Own {
    /// Puts the texts together; none if together they are longer than 4 GiB.
    pub(super) fn of(id: &str, [review, again_of, play]: [Option<&str>; 3]) -> Option<Own> {
        let texts = [Some(id), review, again_of, play];
        let mut all = String::with_capacity(texts.iter().flatten().map(|text| text.len()).sum());
        let mut ends = [None; 4];
        for (text, end) in texts.iter().zip(&mut ends) {
            let Some(text) = text else { continue };
            all.push_str(text);
            *end = Some(End::MIN.checked_add(u32::try_from(all.len()).ok()?)?);
        }
        let hash = |text: Option<&str>| text.map_or(0, |text| FixedState::default().hash_one(text));
        Some(Own { all: all.into_boxed_str(), ends, hashes: [Some(id), review, again_of].map(hash) })
    }

    fn text(&self, place: usize) -> Option<&str> {
        let at = |end: End| end.get() as usize - 1;
        let end = at(self.ends[place]?);
        let start = self.ends[..place].iter().rev().flatten().next().map_or(0, |end| at(*end));
        self.all.get(start..end)
    }

    pub(super) fn id_hash(&self) -> u64 {
        self.hashes[ID]
    }

    pub(super) fn review_hash(&self) -> Option<u64> {
        self.ends[REVIEW].map(|_| self.hashes[REVIEW])
    }

    pub(super) fn again_of_hash(&self) -> Option<u64> {
        self.ends[AGAIN_OF].map(|_| self.hashes[AGAIN_OF])
    }

    pub(super) fn id(&self) -> &str {
        self.text(ID).unwrap_or("")
    }

    pub(super) fn review(&self) -> Option<&str> {
        self.text(REVIEW)
    }

    pub(super) fn again_of(&self) -> Option<&str> {
        self.text(AGAIN_OF)
    }

    pub(super) fn play(&self) -> Option<&str> {
        self.text(PLAY)
    }
}

impl fmt::Debug for Own {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let texts = (self.id(), self.review(), self.again_of(), self.play());
        out.debug_tuple("Own").field(&texts).finish()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_text_is_given_back_and_what_is_not_there_is_not() {
        for texts in [
            ("a", Some("bc"), Some("d"), Some("Q1 4:57")),
            ("a", None, None, Some("Q1")),
            ("a", Some(""), Some("d"), None),
            ("", None, Some("é"), None),
        ] {
            let (id, review, again_of, play) = texts;
            let own = Own::of(id, [review, again_of, play]).expect("short");
            assert_eq!((own.id(), own.review(), own.again_of(), own.play()), texts);
            let there = (own.review_hash().is_some(), own.again_of_hash().is_some());
            assert_eq!(there, (review.is_some(), again_of.is_some()));
            let turned = Own::of("d", [Some(id), None, None]).expect("short");
            assert_eq!(turned.review_hash(), Some(own.id_hash()), "the same text, whatever it is of");
        }
    }
}
