//! Keys: the chords of a keyboard, and tables that say what each does.
//!
//! A table is the only place that gives an act its key: the window listens by it, the key card prints it, and a
//! test asks that every act has one. The number pad says the same as the digits above the letters.

use super::written::{Effect, Written};
use iced::keyboard::{Key, Modifiers, key};
use std::collections::BTreeSet;
use std::fmt;

/// One key.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub(crate) enum Cap {
    /// A letter, small.
    Letter(char),
    /// A digit, of either block.
    Digit(u8),
    /// A sign, as it is typed.
    Sign(char),
    /// Enter, of either block.
    Enter,
    Escape,
    Tab,
    /// The space bar.
    Space,
    Backspace,
    /// An arrow up.
    Up,
    /// An arrow down.
    Down,
    /// An arrow to the left.
    Left,
    /// An arrow to the right.
    Right,
    PageUp,
    PageDown,
    /// To the beginning.
    Home,
    End,
    /// A function key.
    F(u8),
}

/// A key with what is held down beside it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub(crate) struct Chord {
    /// The key.
    pub cap: Cap,
    /// Control is held.
    pub ctrl: bool,
    /// Shift is held.
    pub shift: bool,
}

/// The key alone.
pub(crate) const fn plain(cap: Cap) -> Chord {
    Chord { cap, ctrl: false, shift: false }
}

/// A letter alone.
pub(crate) const fn letter(letter: char) -> Chord {
    plain(Cap::Letter(letter))
}

/// The key with control.
pub(crate) const fn ctrl(cap: Cap) -> Chord {
    Chord { cap, ctrl: true, shift: false }
}

/// The key with shift.
pub(crate) const fn shift(cap: Cap) -> Chord {
    Chord { cap, ctrl: false, shift: true }
}

/// What some chords do.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Binding<A: 'static> {
    /// Any of these.
    pub chords: &'static [Chord],
    /// Does this.
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

/// What a chord makes of a line that is being typed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Typed {
    /// This is the text now.
    Text(String),
    /// The text is meant.
    Meant,
}

/// What the acts of a screen say of themselves, beside the keys that the screen's table gives them.
pub(crate) trait Acts: Copy + 'static {
    /// What the key writes to the log, at once or by what it opens.
    fn writes(self) -> &'static [Written];

    /// The key also holds while a line is typed, which owns every other key.
    fn holds_in_a_line(self) -> bool {
        false
    }

    /// That it costs, ends or grades something, in words; empty where it does none of these.
    fn grave(self) -> String {
        let effects: BTreeSet<Effect> = self.writes().iter().map(|written| written.effect()).collect();
        effects.into_iter().filter_map(Effect::text).collect::<Vec<_>>().join(", ")
    }
}

/// What a chord makes of this text; nothing where it can be no part of a text.
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
    /// The chord of a key press: the key as all that is held beside it, save Control, makes it. A key that the desk has
    /// no name for is none, and neither is one with Alt, Super or anything unknown held: no act is theirs.
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
        // A sign already is what shift makes of its key; on some keyboards a digit is as well.
        let shift = modifiers.shift() && !matches!(cap, Cap::Sign(_) | Cap::Digit(_));
        Some(Chord { cap, ctrl: modifiers.command() || modifiers.control(), shift })
    }

    /// Whether a key that is held down does it again and again: it walks through a list, and no act is given so.
    pub(crate) fn repeats(self) -> bool {
        matches!(self.cap, Cap::Up | Cap::Down | Cap::PageUp | Cap::PageDown)
    }

    /// Whether it holds beside AltGr: a sign, for which some keyboards need it.
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
