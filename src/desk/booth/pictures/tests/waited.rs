//! What tests wait for: clips that are opened in the background, and what was asked for of them.

use crate::booth::pictures::Pictures;
use std::io::Write;
use std::path::Path;

/// Writes another recording, of 20 pictures of 64 x 48, over a file in place; a box that says nothing fills the rest, each
/// time another one.
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
    /// Listens until every clip is open or refused.
    pub(crate) fn wait_for_clips(&mut self) {
        while self.is_hashing() {
            self.wait_for_hash();
        }
        while self.panes.iter().any(|pane| pane.facts.is_none() && pane.why.is_none()) {
            let event = self.events.recv().expect("the deck says something");
            self.take(event);
        }
    }

    /// Listens until every clip that is open shows a picture.
    pub(crate) fn wait_for_pictures(&mut self) {
        while self
            .panes
            .iter()
            .any(|pane| pane.facts.is_some() && (pane.shown.is_none() || pane.due.is_some()))
        {
            let event = self.events.recv().expect("the deck says something");
            self.take(event);
        }
    }

    /// The look that the pictures are in: none at rest, where they were not stepped.
    pub(crate) fn looking(&self) -> Option<rules::book::tree::Looks> {
        self.looks()
    }

    /// The camera that has the large place, by its place on the card of the game.
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
