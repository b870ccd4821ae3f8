//! A clickable key: a word, and the chord that does the same.

use crate::theme::{Ink, Palette, size};
use iced::widget::{button, container, row, text};
use iced::{Background, Border, Element, Length, alignment};

/// How strongly a key stands out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Weight {
    /// One of several.
    Plain,
    /// The one to press next.
    Next,
    Chosen,
}

/// A key with its word and its chord; without a message it is disabled.
pub(crate) fn key<'a, M: Clone + 'a>(
    palette: &'a Palette,
    word: impl text::IntoFragment<'a>,
    chord: impl text::IntoFragment<'a>,
    weight: Weight,
    message: Option<M>,
) -> Element<'a, M> {
    let resting = message.is_none();
    let ink = match (weight, resting) {
        (_, true) => palette.muted,
        (Weight::Next, false) => palette.accent,
        (Weight::Plain | Weight::Chosen, false) => palette.ink,
    };
    let label = row![
        text(word).size(size::TEXT).color(ink.color()),
        container(text(chord).size(size::SMALL).color(palette.muted.color()))
            .align_x(alignment::Horizontal::Right)
    ]
    .spacing(12)
    .align_y(alignment::Vertical::Center);
    button(label)
        .padding([8, 14])
        .on_press_maybe(message)
        .style(move |_, status| style(palette, weight, status))
        .into()
}

/// A whole row that can be clicked, such as a step or an entry of a list.
pub(crate) fn line<'a, M: Clone + 'a>(
    palette: &'a Palette,
    content: impl Into<Element<'a, M>>,
    chosen: bool,
    message: M,
) -> Element<'a, M> {
    let weight = if chosen { Weight::Chosen } else { Weight::Plain };
    button(content)
        .padding([6, 10])
        .width(Length::Fill)
        .on_press(message)
        .style(move |_, status| button::Style {
            border: Border { radius: 6.0.into(), ..Border::default() },
            background: (chosen || status == button::Status::Hovered)
                .then(|| Background::Color(palette.raised.color())),
            ..style(palette, weight, status)
        })
        .into()
}

/// Words in a line that can be clicked; they show it only under the pointer.
pub(crate) fn bare<'a, M: Clone + 'a>(
    palette: &'a Palette,
    content: impl Into<Element<'a, M>>,
    message: M,
) -> Element<'a, M> {
    button(content)
        .padding([2, 6])
        .on_press(message)
        .style(move |_, status| button::Style {
            border: Border { radius: 6.0.into(), ..Border::default() },
            background: (status == button::Status::Hovered)
                .then(|| Background::Color(palette.raised.color())),
            ..style(palette, Weight::Plain, status)
        })
        .into()
}

fn style(palette: &Palette, weight: Weight, status: button::Status) -> button::Style {
    let edge: Ink = match weight {
        Weight::Next => palette.accent,
        Weight::Chosen => palette.ink,
        Weight::Plain => palette.line,
    };
    let ground = match status {
        button::Status::Hovered | button::Status::Pressed => palette.raised,
        button::Status::Active | button::Status::Disabled => palette.card,
    };
    button::Style {
        background: Some(Background::Color(ground.color())),
        text_color: palette.ink.color(),
        border: Border { color: edge.color(), width: 1.5, radius: 6.0.into() },
        ..button::Style::default()
    }
}
