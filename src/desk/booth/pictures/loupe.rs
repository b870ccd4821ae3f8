//! The loupe: a few pixels around a place of the large picture, each as a block, so that a click can be set between
//! them.

use super::sight::Window;
use super::{Pictures, Quality};
use evidence::place::point::Pixel;
use footage::deck::Request;
use footage::show::view::Part;
use iced::widget::image::Handle;

/// The deck's pane number for the loupe.
pub(super) const PANE: u32 = u32::MAX - 1;

/// Pixels of the picture on each side of the middle one.
const AROUND: u32 = 10;

/// Pixels of the screen for the shorter side of a pixel of the picture.
const BLOCK: u32 = 9;

#[derive(Default)]
pub(super) struct Loupe {
    /// The place that it is held over; `None` while it is away.
    pub over: Option<Pixel>,
    asked: Option<Request>,
    shown: Option<(Request, Handle)>,
}

impl Loupe {
    pub(super) fn awaits(&self) -> bool {
        self.asked.is_some() && self.asked != self.shown.as_ref().map(|(request, _)| *request)
    }

    pub(super) fn take(&mut self, request: Request, handle: Handle) {
        self.shown = Some((request, handle));
    }

    pub(super) fn none(&mut self) {
        self.asked = None;
    }

    /// What is seen through it, if its picture is of the place that it is held over.
    pub(super) fn seen(&self) -> Option<(&Handle, Window, Pixel)> {
        let (request, handle) = self.shown.as_ref()?;
        let part = request.part.filter(|_| self.asked.as_ref() == Some(request))?;
        Some((handle, Window { part, size: request.size, at: (0, 0) }, self.over?))
    }
}

/// The part of a picture around a place; `None` if the place is outside the picture.
fn around(place: Pixel, own: (u32, u32)) -> Option<Part> {
    let side = |value: f64, own: u32| {
        let middle = value.round();
        if !(middle > -0.5 && middle < f64::from(own)) {
            return None;
        }
        let middle = middle as u32;
        let from = middle.saturating_sub(AROUND);
        Some((from, (middle + AROUND + 1).min(own) - from))
    };
    let ((x, width), (y, height)) = (side(place.x, own.0)?, side(place.y, own.1)?);
    Some(Part { x, y, width, height })
}

impl Pictures {
    /// Holds the loupe over a place of the large picture, or puts it away.
    pub(super) fn hold_loupe(&mut self, over: Option<Pixel>) {
        if self.loupe.over != over {
            self.loupe.over = over;
            self.look_closer();
        }
    }

    /// Requests the picture for the loupe.
    pub(super) fn look_closer(&mut self) {
        let lead = self.panes.get(self.lead);
        let asked = self.loupe.over.zip(lead).and_then(|(place, pane)| {
            let shown = pane.shown.as_ref().filter(|shown| shown.quality != Quality::Proxy)?;
            let facts = pane.facts.as_ref()?;
            let part = around(place, facts.shown_size())?;
            let size = facts.shown_pixel_aspect().stretched((part.width * BLOCK, part.height * BLOCK));
            Some(Request { pane: PANE, size, part: Some(part), ..shown.request })
        });
        if let Some(request) = asked.filter(|request| self.loupe.asked != Some(*request)) {
            self.deck.show(request);
        }
        self.loupe.asked = asked;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_loupe_shows_whole_pixels_around_its_place_and_none_beyond_the_picture() {
        let part = |x, y| around(Pixel::new(x, y), (1280, 720));
        assert_eq!(part(100.4, 200.6), Some(Part { x: 90, y: 191, width: 21, height: 21 }));
        assert_eq!(part(0.0, 719.0), Some(Part { x: 0, y: 709, width: 11, height: 11 }));
        assert_eq!(part(1300.0, 10.0), None);
        assert_eq!(part(f64::NAN, 10.0), None);
    }
}
