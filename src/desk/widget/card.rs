//! A card: a plain ground for what belongs together.

use crate::theme::{Ink, Palette};
use iced::widget::{Container, container};
use iced::{Background, Border, Element, Length};

/// Corner radius.
const ROUND: f32 = 8.0;

pub(crate) fn card<'a, M: 'a>(palette: &Palette, content: impl Into<Element<'a, M>>) -> Container<'a, M> {
    let ground = palette.card;
    container(content).padding([16, 22]).width(Length::Fill).style(move |_| filled(ground))
}

/// A page that lies over the screen.
pub(crate) fn page<'a, M: 'a>(palette: &Palette, content: impl Into<Element<'a, M>>) -> Container<'a, M> {
    let (ground, edge) = (palette.raised, palette.line);
    container(content).padding([24, 32]).style(move |_| container::Style {
        border: Border { color: edge.color(), width: 2.0, radius: ROUND.into() },
        ..filled(ground)
    })
}

/// A raised part of a card, with the accent along its left side: the one thing to look at.
pub(crate) fn raised<'a, M: 'a>(palette: &Palette, content: impl Into<Element<'a, M>>) -> Element<'a, M> {
    let (ground, accent) = (palette.raised, palette.accent);
    let body = container(content).padding([12, 16]).width(Length::Fill).style(move |_| filled(ground));
    // The bar is the edge of an accent ground that the body leaves uncovered.
    container(body)
        .padding(iced::Padding { left: 4.0, ..iced::Padding::ZERO })
        .width(Length::Fill)
        .style(move |_| filled(accent))
        .into()
}

/// A thin line between two parts.
pub(crate) fn divide<'a, M: 'a>(palette: &Palette) -> Element<'a, M> {
    let line = palette.line;
    container(iced::widget::space().width(Length::Fill).height(1)).style(move |_| filled(line)).into()
}

fn filled(ink: Ink) -> container::Style {
    container::Style {
        background: Some(Background::Color(ink.color())),
        border: Border { radius: ROUND.into(), ..Border::default() },
        ..container::Style::default()
    }
}
