//! Another edition, drawn.

use super::judging::Told;
use super::outcome::{Book, Ruling, Untold};
use super::{Choice, Shown};
use crate::theme::{Palette, size};
use crate::week::card;
use crate::week::card::Card;
use crate::widget::{card as widget, say};
use iced::widget::{Column, Row, column, container, row};
use iced::{Element, Length, alignment};

/// What stands under whatever is shown here.
const CAUTION: &str = "A ruling of its day stands under its own edition. This is for whoever makes the rules; the league's published rules prevail.";

/// How the records are judged.
const HOW: &str = "What was measured is held against its lines, limits and standard of proof; what was seen keeps its answer; where that means nothing, nothing is guessed.";

/// Drawn.
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
    parts.push(widget::divide(palette)).push(say::small(CAUTION, palette.muted)).into()
}

fn choice<'a, M: Clone + 'a>(choice: &'a Choice, palette: &'static Palette) -> Column<'a, M> {
    let mut parts = column![say::ask(choice.title.as_str(), palette.ink)].spacing(12);
    for says in &choice.says {
        parts = parts.push(say::plain(says.as_str(), palette.muted));
    }
    parts = parts.push(say::plain(choice.now.as_str(), palette.accent));
    for Told { place, says, help } in &choice.faults {
        let mut lines =
            column![say::small(place.as_str(), palette.muted), say::plain(says.as_str(), palette.ink)]
                .spacing(2);
        if let Some(help) = help {
            lines = lines.push(say::small(help.as_str(), palette.muted));
        }
        parts = parts.push(lines);
    }
    match choice.faults.is_empty() {
        true => parts.push(say::plain(HOW, palette.muted)),
        false => parts,
    }
}

fn book<'a, M: Clone + 'a>(book: &'a Book, palette: &'static Palette) -> Column<'a, M> {
    let count = |(count, of): &'a (usize, &'static str)| -> Element<'a, M> {
        let ink = if *of == "flip" && *count > 0 { palette.accent } else { palette.ink };
        column![say::call(count.to_string(), ink), say::small(*of, palette.muted)].width(Length::Fill).into()
    };
    let counts = Row::with_children(book.counts.iter().map(count)).spacing(16);
    let mut parts = column![say::ask(book.title.as_str(), palette.ink), counts].spacing(14);
    for says in &book.says {
        parts = parts.push(say::plain(says.as_str(), palette.muted));
    }
    for since in &book.since {
        parts = parts.push(widget::divide(palette)).push(say::plain(since.head.as_str(), palette.ink));
        for change in &since.changes {
            parts = parts.push(item(change, palette));
        }
        if since.more > 0 {
            let more = format!("and {} more changes: `tellframe rejudge` prints all of them", since.more);
            parts = parts.push(say::small(more, palette.muted));
        }
    }
    parts
}

/// One of several, each a short text of its own.
fn item<'a, M: 'a>(words: &'a str, palette: &'static Palette) -> Element<'a, M> {
    row![say::small("–", palette.accent), say::small(words, palette.muted).width(Length::Fill)]
        .spacing(10)
        .into()
}

fn ruling<'a, M: Clone + 'a>(
    ruling: &'a Ruling,
    record: Option<&'a Card>,
    palette: &'static Palette,
) -> Column<'a, M> {
    let title = row![
        say::ask(ruling.title.as_str(), palette.ink).width(Length::Fill),
        say::small(ruling.called.as_str(), palette.muted)
    ]
    .spacing(12);
    let mut turn = Row::new().spacing(12).align_y(alignment::Vertical::Center);
    if let Some(was) = &ruling.was {
        turn = turn.push(say::ask(was.as_str(), palette.muted)).push(say::small("→ would be", palette.muted));
    }
    turn = turn.push(say::ask(ruling.now.as_str(), palette.accent));
    let mut parts = column![title, turn.wrap()].spacing(14);
    for because in &ruling.because {
        parts = parts.push(say::plain(because.as_str(), palette.ink));
    }
    let Some(record) = record else { return parts };
    parts = parts.push(widget::divide(palette)).push(say::small("As it was ruled:", palette.muted));
    parts.push(card::head(record, palette, true)).push(card::facts(&record.facts, palette))
}

fn untold<'a, M: Clone + 'a>(untold: &'a Untold, palette: &'static Palette) -> Column<'a, M> {
    let mut parts = column![
        say::ask(untold.count.as_str(), palette.ink),
        say::plain(untold.because.as_str(), palette.accent)
    ]
    .spacing(14);
    for (id, about) in &untold.records {
        parts = parts.push(
            row![
                container(say::small(id.as_str(), palette.muted).size(size::LEAST))
                    .width(Length::FillPortion(2)),
                say::small(about.as_str(), palette.ink).width(Length::FillPortion(3))
            ]
            .spacing(12),
        );
    }
    if untold.more > 0 {
        parts = parts.push(say::small(format!("and {} more", untold.more), palette.muted));
    }
    parts
}
