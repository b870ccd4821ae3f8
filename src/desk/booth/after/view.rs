//! The view of the log of the game: a window of rows around the selected one.

use super::{Act, After, KEYS, Message, PAGE};
use crate::booth::context::Context;
use crate::booth::header::situation_text;
use crate::booth::keyed::button;
use crate::widget::key::{Weight, line as clickable};
use crate::widget::{card, label};
use iced::widget::{Column, column, container, row, space};
use iced::{Element, Length, alignment};
use review::announcement::capital;

pub(crate) fn view<'a>(after: &'a After, context: &Context<'a>) -> Element<'a, Message> {
    let palette = context.palette;
    // The selected row stays in the middle, except at the ends.
    let most = after.rows.len().saturating_sub(PAGE);
    let first = after.at.saturating_sub(PAGE / 2).min(most);
    let mut list = Column::new().spacing(2);
    for (number, entry) in after.rows.iter().enumerate().skip(first).take(PAGE) {
        let chosen = number == after.at;
        let ink = if entry.undone { palette.muted } else { palette.ink };
        let what = match (entry.undone, entry.review.is_some()) {
            (true, _) => format!("{} (taken back)", entry.what),
            (false, true) => format!("{} \u{2192}", entry.what),
            (false, false) => entry.what.clone(),
        };
        let then = entry.then.as_ref().map_or(String::new(), |then| situation_text(context, then));
        let words = row![
            container(label::small(entry.when.as_str(), palette.muted)).width(90),
            container(label::plain(what, ink)).width(Length::FillPortion(4)),
            container(label::small(then, ink)).width(Length::FillPortion(7)),
        ]
        .spacing(12)
        .align_y(alignment::Vertical::Center);
        list = list.push(clickable(palette, words, chosen, Message::Point(number)));
    }
    let keys = row![
        button(palette, "open", (KEYS, Act::Open), Weight::Plain, Message::Act),
        button(palette, "page to print", (KEYS, Act::Print), Weight::Plain, Message::Act),
        button(palette, "records for programs", (KEYS, Act::Export), Weight::Plain, Message::Act),
        button(palette, "the referee's own ruling", (KEYS, Act::Referee), Weight::Plain, Message::Act),
        space().width(Length::Fill),
        button(palette, "back to the game", (KEYS, Act::Back), Weight::Next, Message::Act),
    ]
    .spacing(10);
    let page = column![
        row![
            label::call("The log of the game", palette.ink),
            space().width(Length::Fill),
            label::small(
                format!("entry {} of {}; times in UTC", after.at + 1, after.rows.len()),
                palette.muted
            )
        ]
        .align_y(alignment::Vertical::Center),
        container(list).height(Length::Fill),
    ]
    .push(after.told.as_ref().map(|words| label::plain(capital(words), palette.accent)))
    .push(keys)
    .spacing(12);
    card::card(palette, page).height(Length::Fill).into()
}
