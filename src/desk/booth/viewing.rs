//! When moving pictures count as another look: stepped or run, they are a look at each step and camera shown meanwhile.
//!
//! A pure state machine: in goes what is shown and how it moves, out comes whether that is a new look.

use rules::book::tree::Looks;
use std::time::Duration;

/// What is looked at, and how.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Subject {
    pub question: usize,
    pub step: usize,
    /// Index of the camera on the card of the game.
    pub camera: usize,
    pub kind: Looks,
}

/// What the newest look was of, and what may become one.
#[derive(Debug, Clone, Default)]
pub(super) struct Viewing {
    of: Option<Subject>,
    /// Logged with a reason before the pictures moved: the movement that it allows is this look.
    granted: Option<Subject>,
    /// Shown while the pictures run, and for how long so far.
    glance: Option<(Subject, Duration)>,
}

/// While the pictures run, a step that is shown for less than this was passed over, not looked at.
const GLANCE: Duration = Duration::from_millis(500);

impl Viewing {
    /// A look was logged, or asked for.
    pub(super) fn looked(&mut self, of: Subject) {
        *self = Viewing { of: Some(of), ..Viewing::default() };
    }

    /// A look was asked for with a reason, and has yet to begin.
    pub(super) fn granted(&mut self, on: Subject) {
        *self = Viewing { granted: Some(on), ..Viewing::default() };
    }

    /// Whether moving the pictures with this shown would be another look; `begins` where they did not move so before.
    pub(super) fn is_new(&self, on: &Subject, begins: bool) -> bool {
        self.granted.as_ref() != Some(on) && (begins || self.of.as_ref() != Some(on))
    }

    /// Whether moving the pictures with this shown is another look.
    pub(super) fn moved(&mut self, on: Subject, begins: bool) -> bool {
        let is_new = self.is_new(&on, begins);
        if is_new || self.granted.as_ref() == Some(&on) {
            self.looked(on);
        }
        is_new
    }

    /// Whether running the pictures for this long with this shown is another look.
    pub(super) fn ran(&mut self, on: Subject, elapsed: Duration) -> bool {
        if self.of.as_ref() == Some(&on) {
            self.glance = None;
            return false;
        }
        let before = match self.glance.take() {
            Some((seen, so_far)) if seen == on => so_far,
            Some(_) | None => Duration::ZERO,
        };
        let so_far = before + elapsed;
        if so_far < GLANCE {
            self.glance = Some((on, so_far));
            return false;
        }
        self.looked(on);
        true
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn subject(step: usize, camera: usize) -> Subject {
        Subject { question: 0, step, camera, kind: Looks::Slow }
    }

    // PROPERTY: looks are of the step and the camera on the screen, whatever is pressed
    #[test]
    fn what_is_shown_long_enough_in_a_run_is_looked_at_and_what_is_passed_over_is_not() {
        let mut viewing = Viewing::default();
        viewing.looked(subject(0, 0));
        let ms = Duration::from_millis;
        for (on, elapsed, is_look) in [
            (subject(0, 0), ms(900), false),
            (subject(1, 0), ms(300), false),
            (subject(2, 0), ms(300), false),
            (subject(2, 0), ms(300), true),
            (subject(2, 0), ms(300), false),
            (subject(2, 1), ms(500), true),
            (subject(0, 0), ms(499), false),
            (subject(2, 1), ms(499), false),
            (subject(0, 0), ms(499), false),
            (subject(0, 0), ms(1), true),
        ] {
            assert_eq!(viewing.ran(on.clone(), elapsed), is_look, "{on:?} for {elapsed:?}");
        }
    }

    #[test]
    fn a_step_on_another_question_step_camera_or_in_another_way_is_another_look() {
        let mut viewing = Viewing::default();
        let on = subject(0, 0);
        assert!(viewing.moved(on.clone(), false) && !viewing.moved(on.clone(), false));
        for other in [
            Subject { question: 1, ..on.clone() },
            Subject { step: 1, ..on.clone() },
            Subject { camera: 1, ..on.clone() },
            Subject { kind: Looks::FrameByFrame, ..on.clone() },
        ] {
            assert!(viewing.moved(other.clone(), false) && !viewing.moved(other, false));
            assert!(viewing.moved(on.clone(), false));
        }
    }

    #[test]
    fn a_look_that_was_granted_is_begun_once() {
        let mut viewing = Viewing::default();
        let on = subject(0, 0);
        viewing.granted(on.clone());
        assert!(!viewing.moved(on.clone(), true) && viewing.moved(on.clone(), true));
        viewing.granted(on.clone());
        assert!(viewing.moved(subject(1, 0), true) && viewing.moved(on, true));
    }
}
