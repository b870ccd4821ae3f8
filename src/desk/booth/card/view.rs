//! The view of the card of a game, to be filled in.

use super::{Act, CARD, Card, KEYS, Message, line_id};
use crate::booth::keyed::button;
use crate::theme::Palette;
use crate::widget::key::Weight;
use crate::widget::{card as widget, entry, label};
use iced::widget::{Column, column, container, scrollable};
use iced::{Element, Length};
use review::announcement::capital;

pub(crate) fn view<'a>(card: &'a Card, palette: &'static Palette) -> Element<'a, Message> {
    let why = ("why it is corrected; the rule book stays as it is", "the venue was misread");
    let lines = CARD.iter().zip(&card.lines).enumerate();
    let lines = lines.fold(Column::new().spacing(10), |column, (number, (of, text))| {
        // Under which book a game is played cannot be corrected: its last line asks why instead.
        let (label, hint) = if card.was.is_some() && number + 1 == CARD.len() { why } else { *of };
        let line = entry::Line { id: line_id(number), hint, text };
        column.push(entry::entry(palette, label, line, move |typed| Message::Typed(number, typed)))
    });
    let (title, word) = match card.was.is_some() {
        true => ("Correct the card of the game", "Correct the card"),
        false => ("The card of the game", "Open the game"),
    };
    let caution = "People are pseudonyms. The league's published rules prevail, and the official decides.";
    let parts = column![
        card.told.as_ref().map(|told| label::ask(told.as_str(), palette.ink)),
        label::call(title, palette.ink),
        lines,
        card.wrong().map(|wrong| label::plain(capital(wrong), palette.accent)),
        button(palette, word, (KEYS, Act::Open), Weight::Next, Message::Act),
        label::small(caution, palette.muted),
    ];
    let page = widget::card(palette, parts.spacing(12)).max_width(860);
    scrollable(container(page).center_x(Length::Fill)).height(Length::Fill).into()
}
