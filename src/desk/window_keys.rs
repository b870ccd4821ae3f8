//! Keys that hold on every screen.

use crate::keys::{Acts, Binding, Cap, ctrl, plain};
use crate::written::Written;

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum WindowAct {
    Card,
    Light,
    Larger,
    Smaller,
}

impl Acts for WindowAct {
    fn writes(self) -> &'static [Written] {
        &[]
    }
}

pub(crate) const WINDOW_KEYS: &[Binding<WindowAct>] = &[
    Binding { chords: &[plain(Cap::F(1))], act: WindowAct::Card, says: "this page of keys" },
    Binding { chords: &[plain(Cap::F(8))], act: WindowAct::Light, says: "dark or light" },
    Binding {
        chords: &[ctrl(Cap::Sign('+')), plain(Cap::F(7))],
        act: WindowAct::Larger,
        says: "larger text",
    },
    Binding {
        chords: &[ctrl(Cap::Sign('-')), plain(Cap::F(6))],
        act: WindowAct::Smaller,
        says: "smaller text",
    },
];
