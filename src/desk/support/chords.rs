//! Every key there is, for tests that press all of them.

use crate::keys::{Cap, Chord};

/// Every key with a name, alone and with Control, Shift or both.
pub(crate) fn chords() -> Vec<Chord> {
    let letters = ('a'..='z').map(Cap::Letter);
    let digits = (0..=9).map(Cap::Digit);
    let signs = "[].,+-=?;:/'!\"#%&()*<>@".chars().map(Cap::Sign);
    let functions = (1..=10).map(Cap::F);
    let named = [
        Cap::Enter,
        Cap::Escape,
        Cap::Tab,
        Cap::Space,
        Cap::Backspace,
        Cap::Up,
        Cap::Down,
        Cap::Left,
        Cap::Right,
        Cap::PageUp,
        Cap::PageDown,
        Cap::Home,
        Cap::End,
    ];
    let caps = letters.chain(digits).chain(signs).chain(functions).chain(named);
    let held = |cap| [(false, false), (false, true), (true, false), (true, true)].map(|held| (cap, held));
    caps.flat_map(held).map(|(cap, (ctrl, shift))| Chord { cap, ctrl, shift }).collect()
}
