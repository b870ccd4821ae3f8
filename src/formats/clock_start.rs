//! How the game clock starts, in JSON.

use crate::closed_set::words;
use rules::game::situation::ClockStart;

words! {
    /// How the game clock starts.
    Starts = ClockStart {
        /// On the snap.
        Snap = "snap",
        /// On the ready signal.
        Ready = "ready",
    }
}
