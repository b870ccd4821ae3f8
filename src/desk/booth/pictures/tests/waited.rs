//! Waiting for clips that are opened in the background and for pictures, and what was requested of them.

use crate::booth::pictures::Pictures;
use std::io::Write;
use std::path::Path;

/// Overwrites a file in place with another recording, of 20 pictures of 64 × 48. A free box fills the rest, each time
/// with another byte.
pub(crate) fn write_over(path: &Path) {
    let before = std::fs::read(path).expect("it is there");
    let stored = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tests/clips/timecode.mp4");
    let mut bytes = std::fs::read(stored).expect("it is there");
    let free = u32::try_from(before.len() - bytes.len()).expect("it is short");
    bytes.extend(free.to_be_bytes());
    bytes.extend(b"free");
    bytes.resize(before.len(), before.last().map_or(0, |last| last.wrapping_add(1)));
    let mut file = std::fs::File::options().write(true).open(path).expect("it can be written");
    file.write_all(&bytes).expect("it can be written");
}

impl Pictures {
    /// Waits until every clip is open or refused.
    pub(crate) fn wait_for_clips(&mut self) {
        while self.is_hashing() {
            self.wait_for_hash();
        }
        while self.panes.iter().any(|pane| pane.facts.is_none() && pane.why.is_none()) {
            self.wait();
        }
    }

    /// Waits until every open clip shows a picture.
    pub(crate) fn wait_for_pictures(&mut self) {
        while self
            .panes
            .iter()
            .any(|pane| pane.facts.is_some() && (pane.shown.is_none() || pane.due.is_some()))
        {
            self.wait();
        }
    }

    /// The look that the pictures are in; `None` at rest, if they were not stepped.
    pub(crate) fn looking(&self) -> Option<rules::book::tree::Looks> {
        self.looks()
    }

    /// The large camera, by its place on the card of the game.
    pub(crate) fn large(&self) -> Option<usize> {
        (!self.is_empty()).then(|| self.in_hand())
    }

    /// The frame that each camera shows or waits for, in the order of the cameras.
    pub(crate) fn asked(&self) -> Vec<Option<usize>> {
        let shown =
            |pane: &crate::booth::pictures::Pane| pane.shown.as_ref().map(|shown| shown.request.frame);
        self.panes.iter().map(|pane| pane.due.or_else(|| shown(pane))).collect()
    }
}
