//! The only place that reads a clock: commands and desk get their stamps from here.

use review::stamp::Stamp;
use std::time::{Duration, SystemTime};

/// Now: the wall clock, and the clock of this boot, which suspending or setting the wall clock does not touch.
pub fn now() -> Stamp {
    let utc_ms = utc_ms(SystemTime::now());
    let (boot_ms, boot) = since_boot(utc_ms);
    Stamp { utc_ms, boot_ms, boot }
}

/// Milliseconds since 1970, negative before it: a clock that was never set may show any year.
fn utc_ms(now: SystemTime) -> i64 {
    let ms = |length: Duration| i64::try_from(length.as_millis()).unwrap_or(i64::MAX);
    match now.duration_since(SystemTime::UNIX_EPOCH) {
        Ok(after) => ms(after),
        Err(before) => -ms(before.duration()),
    }
}

#[cfg(target_os = "linux")]
fn since_boot(utc_ms: i64) -> (u64, String) {
    use rustix::time::{ClockId, clock_gettime};
    let up = clock_gettime(ClockId::Boottime);
    let ms = u64::try_from(up.tv_sec).unwrap_or(0).saturating_mul(1000)
        + u64::try_from(up.tv_nsec).unwrap_or(0) / 1_000_000;
    match std::fs::read_to_string("/proc/sys/kernel/random/boot_id") {
        Ok(id) => (ms, id.trim().to_owned()),
        // Without an id, the second of the boot identifies it.
        Err(_) => {
            (ms, format!("boot at {}", (utc_ms / 1000).saturating_sub(i64::try_from(ms / 1000).unwrap_or(0))))
        }
    }
}

/// Elsewhere durations are exact within one run of the program.
#[cfg(not(target_os = "linux"))]
fn since_boot(utc_ms: i64) -> (u64, String) {
    use std::sync::OnceLock;
    use std::time::Instant;
    static START: OnceLock<(Instant, String)> = OnceLock::new();
    let (start, run) =
        START.get_or_init(|| (Instant::now(), format!("run {} at {utc_ms}", std::process::id())));
    (u64::try_from(start.elapsed().as_millis()).unwrap_or(u64::MAX), run.clone())
}

#[cfg(test)]
mod tests {
    use super::*;

    // PROPERTY: any clock reading is either refused or can be shown
    #[test]
    fn a_clock_before_1970_counts_backwards() {
        let (epoch, ms) = (SystemTime::UNIX_EPOCH, Duration::from_millis);
        assert_eq!(utc_ms(epoch), 0);
        assert_eq!(utc_ms(epoch + ms(1_778_355_731_204)), 1_778_355_731_204);
        assert_eq!(utc_ms(epoch - ms(1)), -1);
        assert_eq!(utc_ms(epoch - Duration::from_secs(86_400 * 365 * 2)), -63_072_000_000);
    }
}
