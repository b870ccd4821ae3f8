//! Keys: the chords of a keyboard, and tables that say what each does.
//!
//! A table is the only place that gives an act its key: the window looks keys up in it, the key card prints it, and a
//! test checks that every act has one. The number pad counts as the digits above the letters.

use super::written::{Effect, Written};
use iced::keyboard::{Key, Modifiers, key};
use std::collections::BTreeSet;
use std::fmt;

/// One key.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub(crate) enum Cap {
    /// Lower case.
    Letter(char),
    /// Of either block.
    Digit(u8),
    /// As typed.
    Sign(char),
    /// Of either block.
    Enter,
    Escape,
    Tab,
    Space,
    Backspace,
    Up,
    Down,
    Left,
    Right,
    PageUp,
    PageDown,
    Home,
    End,
    F(u8),
}

/// A key with what is held down beside it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub(crate) struct Chord {
    pub cap: Cap,
    pub ctrl: bool,
    pub shift: bool,
}

/// The key alone.
pub(crate) const fn plain(cap: Cap) -> Chord {
    Chord { cap, ctrl: false, shift: false }
}

pub(crate) const fn letter(letter: char) -> Chord {
    plain(Cap::Letter(letter))
}

pub(crate) const fn ctrl(cap: Cap) -> Chord {
    Chord { cap, ctrl: true, shift: false }
}

pub(crate) const fn shift(cap: Cap) -> Chord {
    Chord { cap, ctrl: false, shift: true }
}

/// An act and the chords that cause it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Binding<A: 'static> {
    pub chords: &'static [Chord],
    pub act: A,
    pub says: &'static str,
}

pub(crate) fn act<A: Copy>(table: &[Binding<A>], chord: Chord) -> Option<A> {
    table.iter().find(|binding| binding.chords.contains(&chord)).map(|binding| binding.act)
}

/// The chord to show for an act: the first of its binding.
pub(crate) fn shown<A: Copy + PartialEq>(table: &[Binding<A>], act: A) -> String {
    let binding = table.iter().find(|binding| binding.act == act);
    binding.and_then(|binding| binding.chords.first()).map_or(String::new(), ToString::to_string)
}

/// What a chord does to a line that is being typed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Typed {
    /// The new text.
    Text(String),
    /// Enter: the text is complete.
    Meant,
}

/// What the page of keys and the tests ask of a screen's acts.
pub(crate) trait Acts: Copy + 'static {
    /// What the act writes to the log, at once or through what it opens.
    fn writes(self) -> &'static [Written];

    /// Whether the key also works while a line is being typed, which takes every other key.
    fn holds_in_a_line(self) -> bool {
        false
    }

    /// Its grave effects (costs, ends, grades), separated by commas; empty if it has none.
    fn grave(self) -> String {
        let effects: BTreeSet<Effect> = self.writes().iter().map(|written| written.effect()).collect();
        effects.into_iter().filter_map(Effect::text).collect::<Vec<_>>().join(", ")
    }
}

/// Applies a chord to a text. `None` if the chord cannot be part of a text.
pub(crate) fn typed(text: &str, chord: Chord) -> Option<Typed> {
    if chord.ctrl {
        return None;
    }
    let with = |sign: char| Some(Typed::Text(format!("{text}{sign}")));
    match chord.cap {
        Cap::Letter(letter) if chord.shift => Some(Typed::Text(format!("{text}{}", letter.to_uppercase()))),
        Cap::Letter(letter) => with(letter),
        Cap::Digit(digit) => with(char::from(b'0' + digit)),
        Cap::Sign(sign) => with(sign),
        Cap::Space => with(' '),
        Cap::Backspace => {
            let mut rest = text.to_owned();
            rest.pop();
            Some(Typed::Text(rest))
        }
        Cap::Enter if !chord.shift => Some(Typed::Meant),
        Cap::Enter
        | Cap::Escape
        | Cap::Tab
        | Cap::Up
        | Cap::Down
        | Cap::Left
        | Cap::Right
        | Cap::PageUp
        | Cap::PageDown
        | Cap::Home
        | Cap::End
        | Cap::F(_) => None,
    }
}

impl Chord {
    /// The chord of a key press. The key is what the held modifiers, except Control, make of it. `None` for a key that
    /// the desk has no name for, and while Alt, Super or an unknown modifier is held.
    pub(crate) fn of(pressed: &Key, modifiers: Modifiers) -> Option<Chord> {
        if !modifiers.difference(Modifiers::SHIFT | Modifiers::CTRL | Modifiers::COMMAND).is_empty() {
            return None;
        }
        let cap = match pressed {
            Key::Named(named) => named_cap(*named)?,
            Key::Character(text) => {
                let letter = text.chars().next()?;
                match letter.to_digit(10) {
                    Some(digit) => Cap::Digit(u8::try_from(digit).ok()?),
                    None if letter.is_alphabetic() => Cap::Letter(letter.to_lowercase().next()?),
                    None => Cap::Sign(letter),
                }
            }
            Key::Unidentified => return None,
        };
        // A sign already includes shift; on some keyboards a digit does too.
        let shift = modifiers.shift() && !matches!(cap, Cap::Sign(_) | Cap::Digit(_));
        Some(Chord { cap, ctrl: modifiers.command() || modifiers.control(), shift })
    }

    /// Whether the key repeats while it is held down. Only keys that walk through a list do.
    pub(crate) fn repeats(self) -> bool {
        matches!(self.cap, Cap::Up | Cap::Down | Cap::PageUp | Cap::PageDown)
    }

    /// Whether the key works while AltGr is held: signs do, since some keyboards need AltGr for them.
    pub(crate) fn holds_beside_alt_graph(self) -> bool {
        matches!(self.cap, Cap::Sign(_))
    }
}

fn named_cap(named: key::Named) -> Option<Cap> {
    use key::Named as N;
    Some(match named {
        N::Enter => Cap::Enter,
        N::Escape => Cap::Escape,
        N::Tab => Cap::Tab,
        N::Space => Cap::Space,
        N::Backspace => Cap::Backspace,
        N::ArrowUp => Cap::Up,
        N::ArrowDown => Cap::Down,
        N::ArrowLeft => Cap::Left,
        N::ArrowRight => Cap::Right,
        N::PageUp => Cap::PageUp,
        N::PageDown => Cap::PageDown,
        N::Home => Cap::Home,
        N::End => Cap::End,
        N::F1 => Cap::F(1),
        N::F2 => Cap::F(2),
        N::F3 => Cap::F(3),
        N::F4 => Cap::F(4),
        N::F5 => Cap::F(5),
        N::F6 => Cap::F(6),
        N::F7 => Cap::F(7),
        N::F8 => Cap::F(8),
        N::F9 => Cap::F(9),
        N::F10 => Cap::F(10),
        _ => return None,
    })
}

impl fmt::Display for Chord {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.ctrl {
            out.write_str("Ctrl ")?;
        }
        if self.shift {
            out.write_str("Shift ")?;
        }
        match self.cap {
            Cap::Letter(letter) => write!(out, "{}", letter.to_uppercase()),
            Cap::Digit(digit) => write!(out, "{digit}"),
            Cap::Sign(sign) => write!(out, "{sign}"),
            Cap::F(number) => write!(out, "F{number}"),
            Cap::Enter => out.write_str("Enter"),
            Cap::Escape => out.write_str("Esc"),
            Cap::Tab => out.write_str("Tab"),
            Cap::Space => out.write_str("Space"),
            Cap::Backspace => out.write_str("Back"),
            Cap::Up => out.write_str("↑"),
            Cap::Down => out.write_str("↓"),
            Cap::Left => out.write_str("←"),
            Cap::Right => out.write_str("→"),
            Cap::PageUp => out.write_str("PgUp"),
            Cap::PageDown => out.write_str("PgDn"),
            Cap::Home => out.write_str("Home"),
            Cap::End => out.write_str("End"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_key_is_its_chord_whichever_block_it_stands_in() {
        let typed = |text: &str, modifiers| Chord::of(&Key::Character(text.into()), modifiers);
        for (found, expected) in [
            (typed("1", Modifiers::empty()), Some(plain(Cap::Digit(1)))),
            (typed("M", Modifiers::SHIFT), Some(shift(Cap::Letter('m')))),
            (typed("m", Modifiers::CTRL), Some(ctrl(Cap::Letter('m')))),
            (typed("?", Modifiers::SHIFT), Some(plain(Cap::Sign('?')))),
            (Chord::of(&Key::Named(key::Named::Enter), Modifiers::CTRL), Some(ctrl(Cap::Enter))),
            (Chord::of(&Key::Named(key::Named::CapsLock), Modifiers::empty()), None),
            (Chord::of(&Key::Unidentified, Modifiers::empty()), None),
        ] {
            assert_eq!(found, expected);
        }
    }

    #[test]
    fn a_key_with_alt_or_super_held_is_no_key_of_the_desk() {
        let keys = [
            Key::Character("y".into()),
            Key::Character("1".into()),
            Key::Character("]".into()),
            Key::Named(key::Named::Enter),
            Key::Named(key::Named::Backspace),
            Key::Named(key::Named::ArrowUp),
        ];
        for held in [Modifiers::ALT, Modifiers::LOGO, Modifiers::ALT | Modifiers::LOGO] {
            for beside in [Modifiers::empty(), Modifiers::SHIFT, Modifiers::CTRL] {
                for pressed in &keys {
                    assert_eq!(Chord::of(pressed, held | beside), None, "{pressed:?} {held:?} {beside:?}");
                }
            }
        }
    }
}
