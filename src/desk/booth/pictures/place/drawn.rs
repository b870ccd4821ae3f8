//! Draws places over the pictures.

use super::marks::LINES_YD;
use super::{CLICK_PX, Held, Mode, PaneView, Place, Views};
use crate::booth::pictures::overlay::{Cross, Overlay, Tone};
use evidence::place::drawn;
use evidence::place::homography::Calibration;
use evidence::place::point::Ground;

impl Place {
    /// The overlay of each pane.
    pub(crate) fn overlays(&self, views: &Views) -> Vec<Overlay> {
        let over = |(number, pane): (usize, &PaneView)| self.overlay(pane, number == views.lead);
        views.panes.iter().enumerate().map(over).collect()
    }

    fn overlay(&self, pane: &PaneView, large: bool) -> Overlay {
        let mut overlay = Overlay::default();
        let held = self.held.get(&pane.camera);
        match self.mode.filter(|_| large) {
            Some(Mode::Calibrating) => self.landmarks(pane, held, &mut overlay),
            Some(Mode::Measuring) | None => {
                if let Some(held) = held.filter(|held| !held.unchecked) {
                    self.line(pane, held, &mut overlay);
                }
            }
        }
        let spot = self.points.get(&pane.camera).filter(|spot| pane.frame == Some(spot.frame));
        if let Some(spot) = spot.filter(|_| self.mode == Some(Mode::Measuring)) {
            overlay.crosses.push(Cross { at: spot.at, name: String::new(), tone: Tone::Point });
        }
        overlay
    }

    /// The rule's line with its band: as wide as the errors of landmarks and a click, so that a click outside it
    /// settles the side. With a point measured on the ground, its ellipse.
    fn line(&self, pane: &PaneView, held: &Held, overlay: &mut Overlay) {
        let homography = &held.fit.homography;
        for edge in self.edges() {
            overlay.lines.extend(drawn::line(homography, edge.through, CLICK_PX, pane.size));
        }
        let measured = self.points.get(&pane.camera).is_some_and(|spot| pane.frame == Some(spot.frame));
        if let Some(Ok((_, reading))) = self.read.as_ref().filter(|_| measured && !self.in_air) {
            let covariance = reading.covariance.fixed_view::<2, 2>(0, 0).into();
            overlay.ring = drawn::ellipse(homography, reading.place.ground(), &covariance);
        }
    }

    fn landmarks(&self, pane: &PaneView, held: Option<&Held>, overlay: &mut Overlay) {
        let Some(marks) = self.clicks.get(&pane.camera) else { return };
        let today = marks.landmarks(pane.size).ground().ok();
        let fit: Option<&Calibration> = today.as_ref().or(held.map(|held| &held.fit));
        let bad = |place: Ground| {
            let wrong = |fit: &Calibration| {
                fit.landmarks.iter().zip(&fit.residuals).any(|(one, off)| one.field == place && !off.used)
            };
            today.as_ref().is_some_and(wrong)
        };
        for (number, at) in &marks.clicked {
            let Some(known) = marks.known.get(*number) else { continue };
            let wrong = known.place.z == 0.0 && bad(known.place.ground());
            let (name, tone) = match wrong {
                true => (known.name.clone(), Tone::Bad),
                false => (String::new(), Tone::Landmark),
            };
            overlay.crosses.push(Cross { at: *at, name, tone });
        }
        let Some(fit) = fit else { return };
        if let Some(subject) = &self.subject {
            overlay.grid = drawn::grid(&fit.homography, &subject.field, LINES_YD, pane.size);
        }
        let wanted = marks.known.get(marks.next).filter(|known| known.place.z == 0.0);
        if let Some(known) = wanted.filter(|_| !marks.clicked.contains_key(&marks.next))
            && let Some(at) = fit.homography.image(known.place.ground())
        {
            overlay.crosses.push(Cross { at, name: known.name.clone(), tone: Tone::Wanted });
        }
    }
}
