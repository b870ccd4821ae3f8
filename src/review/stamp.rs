//! When something happened, and the time between two stamps.

/// A moment as the machine knows it. Whoever reads a clock makes one; this layer only compares them.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Stamp {
    /// Milliseconds since 1970-01-01 UTC, as the wall clock had it.
    pub utc_ms: i64,
    /// Milliseconds since this boot of the machine, suspended time included.
    pub boot_ms: u64,
    pub boot: String,
}

/// A length of time between two stamps.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Elapsed {
    /// Milliseconds within one boot: exact, whatever the wall clock did.
    Exact(u64),
    /// Milliseconds by the wall clock, across a restart of the machine.
    ByWallClock(u64),
}

/// An event with when it happened.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Stamped<E> {
    pub at: Stamp,
    pub event: E,
}

/// An event with when it happened and who did it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Signed<E> {
    pub at: Stamp,
    /// A pseudonym.
    pub by: String,
    pub event: E,
}

impl Elapsed {
    /// In milliseconds, whichever clock they come from.
    pub fn ms(self) -> u64 {
        match self {
            Elapsed::Exact(ms) | Elapsed::ByWallClock(ms) => ms,
        }
    }
}

impl Stamp {
    /// The time since `earlier`; `None` if it would be negative.
    pub fn since(&self, earlier: &Stamp) -> Option<Elapsed> {
        if self.boot == earlier.boot {
            return self.boot_ms.checked_sub(earlier.boot_ms).map(Elapsed::Exact);
        }
        let wall = self.utc_ms.checked_sub(earlier.utc_ms)?;
        u64::try_from(wall).ok().map(Elapsed::ByWallClock)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn stamp(utc_ms: i64, boot_ms: u64, boot: &str) -> Stamp {
        Stamp { utc_ms, boot_ms, boot: boot.to_owned() }
    }

    // PROPERTY: a wall clock that jumps changes no duration within a boot
    #[test]
    fn within_a_boot_the_wall_clock_does_not_matter() {
        let first = stamp(1_000_000, 500, "a");
        assert_eq!(stamp(400, 2_500, "a").since(&first), Some(Elapsed::Exact(2_000)));
        assert_eq!(stamp(1_000_000, 499, "a").since(&first), None);
    }

    #[test]
    fn across_a_restart_it_is_the_wall_clock_and_never_negative() {
        let first = stamp(1_000_000, 500, "a");
        assert_eq!(stamp(1_004_000, 7, "b").since(&first), Some(Elapsed::ByWallClock(4_000)));
        assert_eq!(stamp(999_999, 7, "b").since(&first), None);
        assert_eq!(stamp(i64::MIN, 7, "b").since(&first), None);
    }
}
