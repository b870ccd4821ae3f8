//! The view of a play that is brought to the referee: the questions, then the calls of the one that was chosen.

use super::{Act, Brought, KEYS, Message, Row, line_id};
use crate::booth::context::Context;
use crate::booth::keyed::button;
use crate::widget::key::{Weight, line as clickable};
use crate::widget::{card, entry, label};
use iced::widget::{Column, Row as Keys, column, row, scrollable};
use iced::{Element, Length};
use review::announcement::capital;
use rules::book::tree::Tree;

pub(crate) fn view<'a>(brought: &'a Brought, context: &Context<'a>) -> Element<'a, Message> {
    let palette = context.palette;
    let asked = brought.call.as_ref().and_then(|(id, call)| Some((context.book.tree(id)?, *call)));
    let body = match asked {
        Some((tree, call)) => calls(tree, call, context),
        None => questions(brought, context),
    };
    let page = column![
        label::small("Brought to the referee", palette.muted),
        label::plain(brought.about.as_str(), palette.ink),
        card::divide(palette),
        body,
        brought.told.as_ref().map(|told| label::plain(capital(told), palette.accent)),
    ];
    card::card(palette, page.spacing(12)).width(Length::Fill).height(Length::Fill).into()
}

fn questions<'a>(brought: &'a Brought, context: &Context<'a>) -> Element<'a, Message> {
    let palette = context.palette;
    let line = entry::Line { id: line_id(), hint: "type: blow, fight, 4.22 …", text: &brought.search };
    let mut list = Column::new().spacing(2);
    for (number, found) in brought.found.iter().enumerate() {
        let chosen = number == brought.at;
        let ink = if chosen { palette.ink } else { palette.muted };
        let words = match found {
            Row::AsRun => row![label::plain("No question of the book: the play as it was run", ink)],
            Row::Question { title, cite, left, .. } => row![
                label::plain(title.as_str(), ink).width(Length::Fill),
                label::small(if *left { "" } else { "the book decides it" }, palette.muted),
                label::small(cite.as_str(), palette.muted)
            ]
            .spacing(14),
        };
        list = list.push(clickable(palette, words, chosen, Message::Point(number)));
    }
    if brought.found.is_empty() {
        list = list.push(label::plain("nothing in the book matches; try another word", palette.accent));
    }
    column![
        label::ask("Which question is it about?", palette.ink),
        entry::bare(palette, line, Message::Typed),
        scrollable(list).height(Length::Fill),
        label::small("↑ ↓ and Enter choose, Esc goes back; nothing is written yet", palette.muted),
    ]
    .spacing(10)
    .height(Length::Fill)
    .into()
}

/// What the crew called, each call with its digit.
fn calls<'a>(tree: &'a Tree, at: usize, context: &Context<'a>) -> Element<'a, Message> {
    let palette = context.palette;
    let mut keys = Keys::new().spacing(10);
    for (number, call) in tree.calls.iter().enumerate() {
        let act = Act::Choose(u8::try_from(number).unwrap_or(u8::MAX));
        let weight = if number == at { Weight::Chosen } else { Weight::Plain };
        keys = keys.push(button(palette, call.name.as_str(), (KEYS, act), weight, Message::Act));
    }
    column![
        label::ask(tree.title.as_str(), palette.ink),
        label::small(format!("rule {}", tree.cite), palette.muted),
        label::plain("What did the crew call?", palette.ink),
        keys.wrap(),
        row![button(palette, "Bring it to the referee", (KEYS, Act::Go), Weight::Next, Message::Act)],
        label::small("Esc goes back; nothing is written yet", palette.muted),
    ]
    .spacing(14)
    .into()
}
