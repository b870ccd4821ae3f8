//! The number of records read so far, in one line of a terminal.

use std::io::IsTerminal;
use std::sync::atomic::{AtomicBool, Ordering};

/// A line that counts; dropping it ends the line.
pub(super) struct Counting {
    is_terminal: bool,
    printed: AtomicBool,
}

impl Counting {
    /// Starts at zero; prints only to a terminal.
    pub(super) fn begin() -> Counting {
        Counting { is_terminal: std::io::stderr().is_terminal(), printed: AtomicBool::new(false) }
    }

    /// Prints the count over the last one.
    pub(super) fn show(&self, count: usize) {
        if self.is_terminal {
            eprint!("\r{count} records read");
            self.printed.store(true, Ordering::Relaxed);
        }
    }
}

impl Drop for Counting {
    fn drop(&mut self) {
        if self.printed.load(Ordering::Relaxed) {
            eprintln!();
        }
    }
}
