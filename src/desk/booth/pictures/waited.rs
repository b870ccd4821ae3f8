//! What tests wait for: clips that are opened in the background, and what was asked for of them.

use super::Pictures;

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
    pub(crate) fn looking(&self) -> Option<tellframe::book::tree::Looks> {
        self.looks()
    }

    /// The camera that has the large place, by its number in the hall.
    pub(crate) fn large(&self) -> Option<usize> {
        (!self.is_empty()).then(|| self.in_hand())
    }

    /// The frame that each camera shows or waits for, in the order of the cameras.
    pub(crate) fn asked(&self) -> Vec<Option<usize>> {
        let shown = |pane: &super::Pane| pane.shown.as_ref().map(|shown| shown.request.frame);
        self.panes.iter().map(|pane| pane.due.or_else(|| shown(pane))).collect()
    }
}
