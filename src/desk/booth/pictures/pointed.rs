//! What the pointer does over a picture, and how the picture is looked at: zoom, part, light.

use super::keys::Act;
use super::overlay::Overlay;
use super::{Light, Pane, Pictures};
use evidence::place::point::Pixel;

/// What the pointer does over a pane. Places are in pixels of the screen from the pane's corner.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Pointed {
    /// The pane's room, in pixels of the screen across and down.
    Room { pane: usize, room: (u32, u32) },
    /// The wheel was turned by this many steps; positive ones zoom in.
    Wheel { pane: usize, steps: i32, at: (f64, f64) },
    /// The picture is dragged: the pixel `hold` stays under the pointer.
    Drawn { pane: usize, hold: Pixel, at: (f64, f64) },
    /// The pointer moved without a button.
    Over { pane: usize, at: (f64, f64) },
    /// A click without a drag.
    Clicked { pane: usize, at: (f64, f64) },
}

/// How far a key moves the part that is seen, as a share of the pane.
const PAN: f64 = 0.25;

impl Pictures {
    pub(crate) fn pointed(&mut self, pointed: Pointed) {
        match pointed {
            Pointed::Room { pane, room } => {
                let Some(pane) = self.panes.get_mut(pane).filter(|pane| pane.room != Some(room)) else {
                    return;
                };
                pane.room = Some(room);
                self.ask();
            }
            Pointed::Wheel { pane, steps, at } => self.zoom(pane, steps, at),
            Pointed::Drawn { pane, hold, at } => {
                let Some((pane, sizes)) = self.sized(pane) else { return };
                pane.sight = pane.sight.with(hold, at, sizes);
                self.ask();
            }
            Pointed::Over { pane, at } => {
                self.pointer = Some((pane, at));
                let window = self.panes.get(pane).and_then(Pane::window);
                if let Some(window) = window.filter(|_| pane == self.lead && self.is_shown() && self.places())
                {
                    self.place.over(window.pixel(at));
                    self.hold_loupe(self.place.loupe());
                }
            }
            Pointed::Clicked { pane, .. } if pane != self.lead || !self.is_shown() => {
                if let Some(camera) = self.panes.get(pane).map(|pane| pane.camera) {
                    self.take_in_hand(camera);
                }
            }
            Pointed::Clicked { pane, at } => {
                let window = self.panes.get(pane).and_then(Pane::window);
                if let Some(window) = window.filter(|_| self.places()) {
                    self.place_click(window.pixel(at));
                }
            }
        }
    }

    /// Changes the light or the part that is seen.
    pub(super) fn look_otherwise(&mut self, act: Act) {
        match act {
            Act::Brighter(by) => {
                self.light.brightness = (self.light.brightness + by).clamp(-120, 120);
            }
            Act::Contrast(by) => {
                let contrast = i32::from(self.light.contrast) + i32::from(by);
                self.light.contrast = u16::try_from(contrast.clamp(20, 400)).unwrap_or(100);
            }
            Act::Zoom(steps) => {
                let lead = self.lead;
                let at = self.pointer.filter(|(pane, _)| *pane == lead).map(|(_, at)| at);
                let middle = || {
                    let room = self.panes.get(lead)?.sizes()?.room;
                    Some((f64::from(room.0) / 2.0, f64::from(room.1) / 2.0))
                };
                let Some(at) = at.or_else(middle) else { return };
                return self.zoom(lead, i32::from(steps), at);
            }
            Act::Pan(across, down) => {
                let Some((pane, sizes)) = self.sized(self.lead) else { return };
                let by = (f64::from(across) * PAN, f64::from(down) * PAN);
                pane.sight = pane.sight.panned(by, sizes);
            }
            Act::AsItIs => {
                self.light = Light::AS_IT_IS;
                if let Some(pane) = self.panes.get_mut(self.lead) {
                    pane.sight = super::Sight::default();
                }
            }
            Act::Step(_)
            | Act::Second(_)
            | Act::Run(_)
            | Act::Mark { .. }
            | Act::Loop
            | Act::First
            | Act::Last
            | Act::Calibrate
            | Act::Measure
            | Act::Tie
            | Act::Field
            | Act::Newer => {}
        }
        self.ask();
    }

    pub(super) fn overlay(&self, pane: usize) -> &Overlay {
        self.overlays.get(pane).unwrap_or(&self.bare)
    }

    /// The changes to the light as text, if there are any.
    pub(super) fn light_says(&self) -> Option<String> {
        let Light { brightness, contrast } = self.light;
        let brightness = (brightness != 0).then(|| format!("light {brightness:+}"));
        let contrast = (contrast != 100).then(|| format!("contrast {contrast} %"));
        let parts: Vec<String> = brightness.into_iter().chain(contrast).collect();
        (!parts.is_empty()).then(|| parts.join(", "))
    }

    fn zoom(&mut self, pane: usize, steps: i32, at: (f64, f64)) {
        let Some((pane, sizes)) = self.sized(pane) else { return };
        pane.sight = pane.sight.zoomed(steps, at, sizes);
        self.ask();
    }

    fn sized(&mut self, pane: usize) -> Option<(&mut Pane, super::Sizes)> {
        let pane = self.panes.get_mut(pane)?;
        let sizes = pane.sizes()?;
        Some((pane, sizes))
    }
}
