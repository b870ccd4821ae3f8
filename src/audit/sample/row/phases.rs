//! When the phases of a review were reached, in 28 bytes.

use super::PHASES;
use super::cursor::Cursor;
use super::slim::seconds;
use serde_json::Error;

/// Seconds from the call to each of [`PHASES`], where it was reached; phases of other names are skipped.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Phases {
    seconds: [f32; PHASES.len()],
    /// A bit for each phase that was reached.
    reached: u8,
}

impl Phases {
    pub(super) const NONE: Phases = Phases { seconds: [0.0; PHASES.len()], reached: 0 };

    /// Seconds to one of [`PHASES`], if it was reached.
    pub(super) fn reached(self, phase: usize) -> Option<f64> {
        let was_reached = self.reached >> phase & 1 == 1;
        self.seconds.get(phase).filter(|_| was_reached).copied().map(f64::from)
    }

    /// The phases that stand here; unknown ones are skipped.
    ///
    /// # Errors
    /// They are not seconds by phase.
    pub(super) fn read(at: &mut Cursor<'_>) -> Result<Phases, Error> {
        let (mut phases, mut all) = (Phases::NONE, at.object()?);
        while let Some(name) = at.field(&mut all)? {
            match PHASES.iter().position(|phase| *phase == name) {
                Some(phase) => {
                    phases.reach(phase, seconds(at)?.map(|seconds| seconds as f32));
                }
                None => at.pass_over()?,
            }
        }
        Ok(phases)
    }

    fn reach(&mut self, phase: usize, seconds: Option<f32>) {
        self.seconds[phase] = seconds.unwrap_or(0.0);
        self.reached = self.reached & !(1 << phase) | u8::from(seconds.is_some()) << phase;
    }
}
