//! Decoded pictures near the playhead, bounded in bytes.
//!
//! What is farthest from where the official looks goes first, in either direction, so that stepping back is as quick
//! as stepping forward. Pictures of clips that nobody looks at go before those. The bound is one of memory, so room
//! is kept for the pictures that are on their way.

use crate::picture::Picture;
use std::collections::BTreeMap;
use std::sync::Arc;

/// Pictures on their way while others are held: those in the decoder, one that is being kept, and its copy for a
/// pane.
const ON_THEIR_WAY: usize = 4;
/// The heap keeps 1 / `BETWEEN` of the bound that it cannot use (measured, `benches/footage.rs`; nothing where each
/// picture is mapped by itself).
const BETWEEN: usize = 16;

/// Pictures by clip and frame.
#[derive(Debug)]
pub(crate) struct Cache {
    most_bytes: usize,
    bytes: usize,
    held: BTreeMap<(usize, usize), Arc<Picture>>,
    /// The frame of each clip that the official looks at.
    looked_at: BTreeMap<usize, usize>,
}

impl Cache {
    /// Takes at most `most_bytes` of memory, with the pictures on their way; it always holds at least one picture.
    pub(crate) fn new(most_bytes: usize) -> Cache {
        Cache {
            most_bytes: most_bytes - most_bytes / BETWEEN,
            bytes: 0,
            held: BTreeMap::new(),
            looked_at: BTreeMap::new(),
        }
    }

    /// Notes that the official now looks at this frame of the clip.
    pub(crate) fn look_at(&mut self, clip: usize, frame: usize) {
        self.looked_at.insert(clip, frame);
    }

    /// Notes that the clip is no longer looked at.
    pub(crate) fn look_away(&mut self, clip: usize) {
        self.looked_at.remove(&clip);
    }

    /// A picture, if it is held.
    pub(crate) fn get(&self, clip: usize, frame: usize) -> Option<Arc<Picture>> {
        self.held.get(&(clip, frame)).cloned()
    }

    /// Holds a picture, and lets go of those that are farthest from where the official looks.
    pub(crate) fn put(&mut self, clip: usize, frame: usize, picture: Arc<Picture>) {
        let coming = picture.samples.len() * ON_THEIR_WAY;
        self.bytes += picture.samples.len();
        if let Some(before) = self.held.insert((clip, frame), picture) {
            self.bytes -= before.samples.len();
        }
        while self.bytes + coming > self.most_bytes && self.held.len() > 1 {
            let farthest = self.held.keys().copied().max_by_key(|key| self.distance(*key));
            let gone = farthest.and_then(|key| self.held.remove(&key));
            self.bytes -= gone.expect("a full cache holds something").samples.len();
        }
    }

    /// Keeps only the pictures of these clips.
    pub(crate) fn keep(&mut self, is_kept: impl Fn(usize) -> bool) {
        self.held.retain(|(clip, _), _| is_kept(*clip));
        self.bytes = self.held.values().map(|picture| picture.samples.len()).sum();
    }

    /// How many pictures of this size fit beside those on their way.
    pub(crate) fn room_for(&self, picture_bytes: usize) -> usize {
        (self.most_bytes / picture_bytes.max(1)).saturating_sub(ON_THEIR_WAY)
    }

    fn distance(&self, (clip, frame): (usize, usize)) -> usize {
        self.looked_at.get(&clip).map_or(usize::MAX, |looked_at| looked_at.abs_diff(frame))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::picture::PixelFormat;

    /// A picture of 96 bytes.
    fn picture() -> Arc<Picture> {
        let format = PixelFormat::plain(false);
        Arc::new(Picture {
            pts: 0,
            width: 8,
            height: 8,
            format,
            samples: vec![0; format.size(8, 8)],
            exact: true,
        })
    }

    /// A bound within which this many pictures are held, and no more.
    fn enough_for(pictures: usize) -> usize {
        (96 * (pictures + ON_THEIR_WAY)).div_ceil(BETWEEN - 1) * BETWEEN
    }

    #[test]
    fn the_neighbourhood_of_the_playhead_stays_on_both_sides() {
        let mut cache = Cache::new(enough_for(5));
        cache.look_at(0, 50);
        for frame in [40, 49, 51, 50, 48, 52, 60] {
            cache.put(0, frame, picture());
        }
        let held: Vec<usize> = (0..100).filter(|frame| cache.get(0, *frame).is_some()).collect();
        assert_eq!(held, [48, 49, 50, 51, 52]);
        cache.look_at(1, 0);
        cache.look_away(0);
        cache.put(1, 0, picture());
        assert!(cache.get(1, 0).is_some() && cache.bytes == 96 * 5);
    }

    // PROPERTY: ten thousand steps never exceed the bound of the cache
    #[test]
    fn ten_thousand_steps_anywhere_never_exceed_the_bound() {
        let mut cache = Cache::new(enough_for(64));
        let mut at = 7_usize;
        for _ in 0..10_000 {
            // A linear congruential sequence: anywhere, and the same every time.
            at = at.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            let (clip, frame) = (at >> 33 & 3, at >> 40 & 1023);
            cache.look_at(clip, frame);
            cache.put(clip, frame, picture());
            assert!(cache.bytes <= 96 * 64 && cache.get(clip, frame).is_some());
        }
        assert_eq!(cache.bytes, 96 * 64);
    }

    #[test]
    fn a_picture_put_twice_counts_once_and_one_is_always_held() {
        let mut cache = Cache::new(10);
        cache.put(0, 3, picture());
        cache.put(0, 3, picture());
        assert_eq!((cache.bytes, cache.room_for(96)), (96, 0));
        cache.keep(|clip| clip == 1);
        assert_eq!((cache.bytes, cache.get(0, 3)), (0, None));
    }
}
