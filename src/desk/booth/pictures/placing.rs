//! Places among the pictures: the machine of `place` told of the panes, and what it draws and says.

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

    /// What the step in hand asks.
    pub(crate) fn about(&mut self, subject: Option<Subject>, folder: std::path::PathBuf) {
        self.place.keep_in(folder);
        let views = self.views();
        self.place.about(subject, &views);
        self.draw_over();
    }

    /// Whether landmarks or a point are being clicked: then keys answer nothing.
    pub(crate) fn places(&self) -> bool {
        self.place.mode.is_some()
    }

    /// Whether nobody has said yet what the step in hand asks.
    pub(crate) fn asks_nothing(&self) -> bool {
        !self.place.is_told()
    }

    /// A key of places; what is wanted of the log.
    pub(crate) fn place_act(&mut self, act: place::Act) -> Option<place::Placed> {
        let views = self.views();
        let placed = self.place.act(act, &views);
        self.draw_over();
        placed
    }

    /// Landmarks or a point are clicked from here on, or not any more.
    pub(super) fn toggle_place(&mut self, mode: Mode) {
        let views = self.views();
        self.place.toggle(mode, &views);
        self.draw_over();
    }

    /// A click in the large picture while something is clicked there.
    pub(super) fn place_click(&mut self, at: Pixel) {
        let views = self.views();
        self.place.click(at, &views);
        self.draw_over();
    }

    /// Draws anew what lies over the pictures, says anew what stands under them.
    pub(super) fn draw_over(&mut self) {
        let views = self.views();
        self.place.measure(&views);
        self.overlays = self.place.overlays(&views);
        self.remarks = self.place.remarks(&views);
        self.hold_loupe(self.place.loupe());
    }

    /// What is said of places.
    pub(crate) fn remarks(&self) -> &[Remark] {
        &self.remarks
    }

    /// This frame of a camera, to be proven.
    pub(crate) fn target_of(&self, camera: usize, frame: usize) -> Option<Target> {
        let pane = self.panes.iter().find(|pane| pane.camera == camera)?;
        Target::of(camera, pane.facts.clone()?, frame)
    }
}
