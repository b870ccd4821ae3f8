//! The view of the closed games of the log.

use super::{Act, Games, KEYS, Message, line_id};
use crate::booth::keyed::button;
use crate::theme::Palette;
use crate::widget::key::{Weight, line as clickable};
use crate::widget::{card, entry, label};
use iced::widget::{Column, column, container, row, scrollable};
use iced::{Element, Length};
use review::announcement::capital;

pub(crate) fn view<'a>(games: &'a Games, palette: &'static Palette) -> Element<'a, Message> {
    let list = games.rows.iter().enumerate().fold(Column::new().spacing(2), |column, (number, game)| {
        let words = row![
            container(label::plain(game.game.as_str(), palette.ink)).width(Length::FillPortion(2)),
            container(label::plain(game.teams.as_str(), palette.ink)).width(Length::FillPortion(4)),
            container(label::small(game.ended.as_str(), palette.muted)).width(Length::FillPortion(4)),
        ]
        .spacing(12);
        column.push(clickable(palette, words, number == games.at, Message::Point(number)))
    });
    let does: Element<'a, Message> = match &games.line {
        Some(text) => column![
            label::ask("Why does the game go on?", palette.ink),
            entry::bare(
                palette,
                entry::Line { id: line_id(), hint: "the lights are back", text },
                Message::Typed
            ),
            label::small("Enter reopens it, Esc leaves it", palette.muted),
        ]
        .spacing(8)
        .into(),
        None => row![
            button(palette, "reopen", (KEYS, Act::Reopen), Weight::Plain, Message::Act),
            button(palette, "back to the card", (KEYS, Act::Leave), Weight::Next, Message::Act),
        ]
        .spacing(8)
        .into(),
    };
    let content = column![
        label::call("The games of this log", palette.ink),
        list,
        does,
        games.told.as_ref().map(|told| label::plain(capital(told), palette.accent)),
    ];
    let page = card::card(palette, content.spacing(12)).max_width(1100);
    scrollable(container(page).center_x(Length::Fill)).height(Length::Fill).into()
}
