//! Which step and camera the pictures are looked at for: a run of steps, or of time, is a look at each that is shown in it.
//!
//! A pure machine: what is shown and how it moves go in, whether that is a look of its own comes out.

use rules::book::tree::Looks;
use std::time::Duration;

/// What is looked at, and how.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Subject {
    pub question: usize,
    /// The step that is shown.
    pub step: usize,
    /// The camera that is shown, by its place on the card of the game.
    pub camera: usize,
    /// How the pictures move.
    pub kind: Looks,
}

/// What the newest look was of, and what may become one.
#[derive(Debug, Clone, Default)]
pub(super) struct Viewing {
    of: Option<Subject>,
    /// Shown while the pictures run, and for how long.
    glance: Option<(Subject, Duration)>,
}

/// A step that is shown for less than this while the pictures run was passed over, and not looked at.
const GLANCE: Duration = Duration::from_millis(500);

impl Viewing {
    /// A look was booked, or asked for.
    pub(super) fn looked(&mut self, of: Subject) {
        (self.of, self.glance) = (Some(of), None);
    }

    /// The pictures were stepped with this shown; whether that is another look.
    pub(super) fn stepped(&mut self, on: Subject) -> bool {
        let is_other = self.of.as_ref() != Some(&on);
        if is_other {
            self.looked(on);
        }
        is_other
    }

    /// The pictures ran for so long with this shown; whether that is another look now.
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
        assert!(viewing.stepped(on.clone()) && !viewing.stepped(on.clone()));
        for other in [
            Subject { question: 1, ..on.clone() },
            Subject { step: 1, ..on.clone() },
            Subject { camera: 1, ..on.clone() },
            Subject { kind: Looks::FrameByFrame, ..on.clone() },
        ] {
            assert!(viewing.stepped(other.clone()) && !viewing.stepped(other));
            assert!(viewing.stepped(on.clone()));
        }
    }
}
