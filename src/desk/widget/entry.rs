//! A text line with its label above.

use crate::theme::{Palette, size};
use crate::widget::label;
use iced::widget::{Id, TextInput, column, text_input};
use iced::{Background, Border, Element};

/// A text line with a label. Enter reaches the screen as a key event, so that only Enter alone submits: the toolkit's
/// own submit would also fire with Alt, Super, Control or Shift held.
pub(crate) fn entry<'a, M: Clone + 'a>(
    palette: &'a Palette,
    label: &'a str,
    line: Line<'a>,
    typed: impl Fn(String) -> M + 'a,
) -> Element<'a, M> {
    column![label::small(label, palette.muted), bare(palette, line, typed)].spacing(4).into()
}

#[derive(Debug, Clone)]
pub(crate) struct Line<'a> {
    /// For setting the focus.
    pub id: Id,
    /// Shown while the line is empty.
    pub hint: &'a str,
    pub text: &'a str,
}

/// The text line without a label.
pub(crate) fn bare<'a, M: Clone + 'a>(
    palette: &'a Palette,
    line: Line<'a>,
    typed: impl Fn(String) -> M + 'a,
) -> TextInput<'a, M> {
    text_input(line.hint, line.text)
        .id(line.id)
        .on_input(typed)
        .size(size::TEXT)
        .padding([7, 10])
        .style(move |_, status| style(palette, status))
}

fn style(palette: &Palette, status: text_input::Status) -> text_input::Style {
    let (edge, width) = match status {
        text_input::Status::Focused { .. } => (palette.accent, 2.0),
        text_input::Status::Active | text_input::Status::Hovered | text_input::Status::Disabled => {
            (palette.line, 1.5)
        }
    };
    text_input::Style {
        background: Background::Color(palette.ground.color()),
        border: Border { color: edge.color(), width, radius: 6.0.into() },
        icon: palette.muted.color(),
        placeholder: palette.muted.color(),
        value: palette.ink.color(),
        selection: palette.accent.faint(0.35),
    }
}
