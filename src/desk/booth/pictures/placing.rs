//! Places among the pictures: passes the panes to the state machine of `place`, and takes its overlays and remarks.

use super::place::{self, Mode, PaneView, Remark, Subject, Views};
use super::{Pane, Pictures, Quality, Target};
use evidence::place::point::Pixel;
use evidence::place::view::Size;

impl Pictures {
    pub(super) fn views(&self) -> Views {
        let view = |pane: &Pane| {
            let (width, height) = pane.facts.as_ref().map_or((1, 1), |facts| facts.shown_size());
            let exact = pane.shown.as_ref().filter(|shown| shown.quality != Quality::Proxy);
            let frame = exact.map(|shown| shown.request.frame);
            let at_ns = frame.zip(pane.track.as_ref()).map_or(0, |(frame, track)| track.time_of(frame).0);
            PaneView {
                camera: pane.camera,
                label: pane.label.clone(),
                name: pane.name.clone(),
                size: Size { width, height },
                frame,
                at_ns,
                clock: pane.clock,
            }
        };
        Views { panes: self.panes.iter().map(view).collect(), lead: self.lead }
    }

    /// Takes in the step in hand.
    pub(crate) fn about(&mut self, subject: Option<Subject>, folder: std::path::PathBuf) {
        self.place.keep_in(folder);
        let views = self.views();
        self.place.about(subject, &views);
        self.draw_over();
    }

    /// Whether landmarks or a point are being clicked. Meanwhile no key answers a step.
    pub(crate) fn places(&self) -> bool {
        self.place.mode.is_some()
    }

    /// Whether it does not know the step in hand yet.
    pub(crate) fn asks_nothing(&self) -> bool {
        !self.place.is_told()
    }

    /// Carries out an act of places, and returns what is to be logged.
    pub(crate) fn place_act(&mut self, act: place::Act) -> Option<place::Placed> {
        let views = self.views();
        let placed = self.place.act(act, &views);
        self.draw_over();
        placed
    }

    pub(super) fn toggle_place(&mut self, mode: Mode) {
        let views = self.views();
        self.place.toggle(mode, &views);
        self.draw_over();
    }

    pub(super) fn place_click(&mut self, at: Pixel) {
        let views = self.views();
        self.place.click(at, &views);
        self.draw_over();
    }

    /// Makes the overlays and remarks of places again.
    pub(super) fn draw_over(&mut self) {
        let views = self.views();
        self.place.measure(&views);
        self.overlays = self.place.overlays(&views);
        self.remarks = self.place.remarks(&views);
        self.hold_loupe(self.place.loupe());
    }

    pub(crate) fn remarks(&self) -> &[Remark] {
        &self.remarks
    }

    /// A frame of a camera, to be proven.
    pub(crate) fn target_of(&self, camera: usize, frame: usize) -> Option<Target> {
        let pane = self.panes.iter().find(|pane| pane.camera == camera)?;
        Target::of(camera, pane.facts.clone()?, frame)
    }
}
