//! When the phases of a review were reached, in little room.

use super::PHASES;
use super::slim::Text;
use crate::wire::record::times;
use serde::Deserialize;
use serde::de::{Deserializer, IgnoredAny, MapAccess, Visitor};
use std::fmt;

/// Seconds from the call to each of [`PHASES`], where it was reached; phases of other names are passed over.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Phases {
    seconds: [f32; PHASES.len()],
    /// A bit for each phase that was reached.
    reached: u8,
}

impl Phases {
    /// None was reached.
    pub const NONE: Phases = Phases { seconds: [0.0; PHASES.len()], reached: 0 };

    /// Seconds to one of [`PHASES`], if it was reached.
    pub fn reached(self, phase: usize) -> Option<f64> {
        let was_reached = self.reached >> phase & 1 == 1;
        self.seconds.get(phase).filter(|_| was_reached).copied().map(f64::from)
    }

    fn reach(&mut self, phase: usize, seconds: Option<f32>) {
        self.seconds[phase] = seconds.unwrap_or(0.0);
        self.reached = self.reached & !(1 << phase) | u8::from(seconds.is_some()) << phase;
    }
}

impl<'de> Deserialize<'de> for Phases {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Phases, D::Error> {
        struct Known;
        impl<'de> Visitor<'de> for Known {
            type Value = Phases;
            fn expecting(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
                out.write_str("seconds by phase")
            }
            fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Phases, A::Error> {
                let mut phases = Phases::NONE;
                while let Some(name) = map.next_key::<Text<'de>>()? {
                    match PHASES.iter().position(|phase| *phase == name.0) {
                        Some(at) => {
                            let seconds: Option<f64> = map.next_value()?;
                            phases.reach(
                                at,
                                seconds.map(times::time).transpose()?.map(|seconds| seconds as f32),
                            );
                        }
                        None => {
                            map.next_value::<IgnoredAny>()?;
                        }
                    }
                }
                Ok(phases)
            }
        }
        from.deserialize_map(Known)
    }
}
