//! One line to type in, with its label above.

use crate::theme::{Palette, size};
use crate::widget::label;
use iced::widget::{Id, TextInput, column, text_input};
use iced::{Background, Border, Element};

/// A line to type in. Enter reaches the screen as a key, so that only Enter alone submits: here it would do so with
/// Alt, Super, Control or Shift held as well.
pub(crate) fn entry<'a, M: Clone + 'a>(
    palette: &'a Palette,
    label: &'a str,
    line: Line<'a>,
    typed: impl Fn(String) -> M + 'a,
) -> Element<'a, M> {
    column![label::small(label, palette.muted), bare(palette, line, typed)].spacing(4).into()
}

/// What a line to type in holds.
#[derive(Debug, Clone)]
pub(crate) struct Line<'a> {
    /// By which it takes the focus.
    pub id: Id,
    /// What stands in it while it is empty.
    pub hint: &'a str,
    /// What was typed.
    pub text: &'a str,
}

/// The line alone.
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
