//! Text in the desk's type and sizes.

use crate::theme::{Ink, size};
use iced::widget::{Text, text};
use iced::{Font, font};

/// The typeface of all text.
pub(crate) const PLAIN: Font = Font::with_name("B612");
pub(crate) const BOLD: Font = Font { weight: font::Weight::Bold, ..PLAIN };
/// The faces as files, carried inside the program (SIL Open Font License, `assets/fonts/OFL.txt`).
pub(crate) const FACES: [&[u8]; 2] = [
    include_bytes!("../../../assets/fonts/B612-Regular.otf"),
    include_bytes!("../../../assets/fonts/B612-Bold.otf"),
];

/// Running text.
pub(crate) fn plain<'a>(words: impl text::IntoFragment<'a>, ink: Ink) -> Text<'a> {
    text(words).size(size::TEXT).color(ink.color())
}

/// Secondary text.
pub(crate) fn small<'a>(words: impl text::IntoFragment<'a>, ink: Ink) -> Text<'a> {
    text(words).size(size::SMALL).color(ink.color())
}

/// The call or the outcome.
pub(crate) fn call<'a>(words: impl text::IntoFragment<'a>, ink: Ink) -> Text<'a> {
    text(words).size(size::CALL).font(BOLD).color(ink.color())
}

/// The open question.
pub(crate) fn ask<'a>(words: impl text::IntoFragment<'a>, ink: Ink) -> Text<'a> {
    text(words).size(size::ASK).font(BOLD).color(ink.color())
}
