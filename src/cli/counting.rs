//! How many records were read so far, in one line of a terminal.

use std::io::IsTerminal;
use std::sync::atomic::{AtomicBool, Ordering};

/// A line that counts; it ends when this does.
pub(super) struct Counting {
    shown: bool,
    told: AtomicBool,
}

impl Counting {
    /// Nothing counted yet; nothing is ever shown where nobody looks.
    pub(super) fn begin() -> Counting {
        Counting { shown: std::io::stderr().is_terminal(), told: AtomicBool::new(false) }
    }

    /// Says how many there are.
    pub(super) fn tell(&self, count: usize) {
        if self.shown {
            eprint!("\r{count} records read");
            self.told.store(true, Ordering::Relaxed);
        }
    }
}

impl Drop for Counting {
    fn drop(&mut self) {
        if self.told.load(Ordering::Relaxed) {
            eprintln!();
        }
    }
}
