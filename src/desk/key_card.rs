//! The page of keys of a screen, made from its tables.

use crate::keys::{Acts, Binding};
use crate::theme::Palette;
use crate::widget::{card, label};
use iced::widget::text::Wrapping;
use iced::widget::{Column, Row, column, container, row, scrollable};
use iced::{Element, Length};

/// Rows in a column.
const CARD_ROWS: usize = 25;

pub(crate) struct KeyRow {
    chords: String,
    says: &'static str,
    /// What it costs, ends or grades; empty if nothing.
    grave: String,
}

/// The rows of a table: the chords, what they do, and how grave that is.
pub(crate) fn rows<A: Acts>(table: &[Binding<A>]) -> Vec<KeyRow> {
    let chords = |binding: &Binding<A>| {
        binding.chords.iter().map(ToString::to_string).collect::<Vec<_>>().join(" or ")
    };
    let row = |binding: &Binding<A>| KeyRow {
        chords: chords(binding),
        says: binding.says,
        grave: binding.act.grave(),
    };
    table.iter().map(row).collect()
}

pub(crate) fn page<'a, M: 'a>(
    title: impl AsRef<str>,
    rows: &[KeyRow],
    foot: String,
    palette: &'static Palette,
) -> Element<'a, M> {
    // As many columns as needed for the last key to fit in a window of 1440 × 900.
    let columns = rows.len().div_ceil(CARD_ROWS).max(2);
    let (wide, chords_wide, gap, between) = if columns > 2 { (1392, 124, 24, 2) } else { (1240, 170, 40, 5) };
    let column_of = |rows: &[KeyRow]| {
        rows.iter().fold(Column::new().spacing(between).width(Length::Fill), |column, told| {
            let chords = container(label::plain(told.chords.clone(), palette.accent)).width(chords_wide);
            let says = label::plain(told.says, palette.ink).width(Length::Fill);
            let grave = (!told.grave.is_empty())
                .then(|| label::small(told.grave.clone(), palette.muted).wrapping(Wrapping::None));
            column.push(row![chords, says].push(grave).spacing(12))
        })
    };
    let beside = rows.chunks(rows.len().div_ceil(columns).max(1));
    // What must be read stands above the keys: in a small window with large text the keys scroll.
    let page = column![
        label::call(format!("Keys: {}", title.as_ref()), palette.ink),
        column![
            row![
                label::small("Any key closes this page and does nothing else.", palette.muted),
                label::small(
                    "What costs, ends or grades is shown before its key does it. While you type, keys go to the text line.",
                    palette.muted
                )
            ]
            .spacing(16),
            label::small(foot, palette.muted)
        ]
        .spacing(4),
        scrollable(beside.fold(Row::new().spacing(gap), |row, rows| row.push(column_of(rows)))).spacing(6),
    ]
    .spacing(18);
    card::page(palette, page).max_width(wide).into()
}
