//! Whether a point is placed at the moment that its step asks about: in the camera's marked frame, or by the cameras'
//! clocks in the frame of another camera.

use super::{Asks, PaneView, Views};

impl Asks {
    /// Why clicks in these frames, each a camera and a frame, prove nothing about the moment; `None` if they do.
    pub(super) fn beside(&self, views: &Views, seen: &[(usize, usize)]) -> Option<String> {
        let pane = |camera: usize| views.panes.iter().find(|pane| pane.camera == camera);
        let label = |camera: usize| pane(camera).map_or("a camera", |pane| pane.label.as_str());
        let marked =
            |camera: usize| self.marked.iter().find(|(of, _)| *of == camera).map(|(_, frame)| *frame);
        let Some((first, frame)) = self.marked.first() else {
            return Some(format!(
                "the {} is not marked: leave, mark its frame, and place the point in it",
                self.at
            ));
        };
        let wrong = seen.iter().find(|(camera, frame)| marked(*camera).is_some_and(|own| own != *frame));
        if let Some((camera, frame)) = wrong {
            let own = marked(*camera).unwrap_or(*frame);
            return Some(format!(
                "the {} is marked in frame {own} of {}, and this is frame {frame}: go there, or mark this one",
                self.at,
                label(*camera)
            ));
        }
        let Some((at_mark, _)) = seen.iter().find(|(camera, _)| marked(*camera).is_some()) else {
            return Some(format!(
                "the {} is marked in frame {frame} of {}: place the point there, or mark its frame here too",
                self.at,
                label(*first)
            ));
        };
        let clock = |camera: usize| pane(camera).map(|pane: &PaneView| pane.clock);
        let untied =
            seen.iter().find(|(camera, _)| marked(*camera).is_none() && clock(*camera) != clock(*at_mark));
        untied.map(|(camera, _)| {
            format!(
                "nothing ties {} to {}: tie them, or mark the {} in both",
                label(*camera),
                label(*at_mark),
                self.at
            )
        })
    }
}
