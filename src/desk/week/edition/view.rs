//! Another edition, drawn.

use super::judging::Told;
use super::outcome::{Book, Ruling, Untold};
use super::{Choice, Shown};
use crate::theme::{Palette, size};
use crate::week::card;
use crate::week::card::Card;
use crate::widget::{card as widget, label};
use iced::widget::{Column, Row, column, container, row};
use iced::{Element, Length, alignment};

const CAUTION: &str = "A ruling of its day stands under its own edition. This is for whoever makes the rules; the league's published rules prevail.";

/// How the records are judged.
const HOW: &str = "Measurements are judged by this edition's lines, limits and standard of proof. Answers by eye are kept. Where neither applies, the record is not judged.";

pub(in crate::week) fn view<'a, M: Clone + 'a>(
    shown: &'a Shown,
    palette: &'static Palette,
) -> Element<'a, M> {
    let parts = match shown {
        Shown::Choice(one) => choice(one, palette),
        Shown::Book(one) => book(one, palette),
        Shown::Ruling(one, record) => ruling(one, record.as_ref(), palette),
        Shown::Untold(one) => untold(one, palette),
    };
    parts.push(widget::divide(palette)).push(label::small(CAUTION, palette.muted)).into()
}

fn choice<'a, M: Clone + 'a>(choice: &'a Choice, palette: &'static Palette) -> Column<'a, M> {
    let mut parts = column![label::ask(choice.title.as_str(), palette.ink)].spacing(12);
    for says in &choice.says {
        parts = parts.push(label::plain(says.as_str(), palette.muted));
    }
    parts = parts.push(label::plain(choice.now.as_str(), palette.accent));
    for Told { place, says, help } in &choice.faults {
        let mut lines =
            column![label::small(place.as_str(), palette.muted), label::plain(says.as_str(), palette.ink)]
                .spacing(2);
        if let Some(help) = help {
            lines = lines.push(label::small(help.as_str(), palette.muted));
        }
        parts = parts.push(lines);
    }
    match choice.faults.is_empty() {
        true => parts.push(label::plain(HOW, palette.muted)),
        false => parts,
    }
}

fn book<'a, M: Clone + 'a>(book: &'a Book, palette: &'static Palette) -> Column<'a, M> {
    let count = |(count, of): &'a (usize, &'static str)| -> Element<'a, M> {
        let ink = if *of == "flip" && *count > 0 { palette.accent } else { palette.ink };
        column![label::call(count.to_string(), ink), label::small(*of, palette.muted)]
            .width(Length::Fill)
            .into()
    };
    let counts = Row::with_children(book.counts.iter().map(count)).spacing(16);
    let mut parts = column![label::ask(book.title.as_str(), palette.ink), counts].spacing(14);
    for says in &book.says {
        parts = parts.push(label::plain(says.as_str(), palette.muted));
    }
    for since in &book.since {
        parts = parts.push(widget::divide(palette)).push(label::plain(since.head.as_str(), palette.ink));
        for change in &since.changes {
            parts = parts.push(item(change, palette));
        }
        if since.more > 0 {
            let more = format!("and {} more changes: `tellframe rejudge` prints all of them", since.more);
            parts = parts.push(label::small(more, palette.muted));
        }
    }
    parts
}

/// An item of a list.
fn item<'a, M: 'a>(words: &'a str, palette: &'static Palette) -> Element<'a, M> {
    row![label::small("–", palette.accent), label::small(words, palette.muted).width(Length::Fill)]
        .spacing(10)
        .into()
}

fn ruling<'a, M: Clone + 'a>(
    ruling: &'a Ruling,
    record: Option<&'a Card>,
    palette: &'static Palette,
) -> Column<'a, M> {
    let title = row![
        label::ask(ruling.title.as_str(), palette.ink).width(Length::Fill),
        label::small(ruling.called.as_str(), palette.muted)
    ]
    .spacing(12);
    let mut turn = Row::new().spacing(12).align_y(alignment::Vertical::Center);
    if let Some(was) = &ruling.was {
        turn = turn
            .push(label::ask(was.as_str(), palette.muted))
            .push(label::small("→ would be", palette.muted));
    }
    turn = turn.push(label::ask(ruling.now.as_str(), palette.accent));
    let mut parts = column![title, turn.wrap()].spacing(14);
    for because in &ruling.because {
        parts = parts.push(label::plain(because.as_str(), palette.ink));
    }
    let Some(record) = record else { return parts };
    parts = parts.push(widget::divide(palette)).push(label::small("As it was ruled:", palette.muted));
    parts.push(card::head(record, palette, true)).push(card::facts(&record.facts, palette))
}

fn untold<'a, M: Clone + 'a>(untold: &'a Untold, palette: &'static Palette) -> Column<'a, M> {
    let mut parts = column![
        label::ask(untold.count.as_str(), palette.ink),
        label::plain(untold.because.as_str(), palette.accent)
    ]
    .spacing(14);
    for (id, about) in &untold.records {
        parts = parts.push(
            row![
                container(label::small(id.as_str(), palette.muted).size(size::LEAST))
                    .width(Length::FillPortion(2)),
                label::small(about.as_str(), palette.ink).width(Length::FillPortion(3))
            ]
            .spacing(12),
        );
    }
    if untold.more > 0 {
        parts = parts.push(label::small(format!("and {} more", untold.more), palette.muted));
    }
    parts
}
