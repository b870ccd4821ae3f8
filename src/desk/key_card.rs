//! The page of keys of a screen, made from its tables.

use crate::desk::keys::Binding;
use crate::desk::theme::Palette;
use crate::desk::widget::{card, say};
use iced::widget::{Column, Row, column, container, row, scrollable};
use iced::{Element, Length};

/// Keys below each other on their page.
const CARD_ROWS: usize = 24;

/// The lines of a table: the chords, and what they do.
pub(crate) fn told<A>(table: &[Binding<A>]) -> Vec<(String, &'static str)> {
    let chords = |binding: &Binding<A>| {
        binding.chords.iter().map(ToString::to_string).collect::<Vec<_>>().join(" or ")
    };
    table.iter().map(|binding| (chords(binding), binding.says)).collect()
}

/// The page.
pub(crate) fn page<'a, M: 'a>(
    title: impl AsRef<str>,
    rows: &[(String, &'static str)],
    foot: String,
    palette: &'static Palette,
) -> Element<'a, M> {
    // So many columns that the last key stands in a window of 1440 × 900.
    let columns = rows.len().div_ceil(CARD_ROWS).max(2);
    let (wide, chords_wide, gap, between) = if columns > 2 { (1392, 124, 24, 3) } else { (1240, 170, 40, 5) };
    let column_of = |rows: &[(String, &'static str)]| {
        rows.iter().fold(Column::new().spacing(between).width(Length::Fill), |column, (chords, says)| {
            column.push(
                row![
                    container(say::plain(chords.clone(), palette.accent)).width(chords_wide),
                    say::plain(*says, palette.ink)
                ]
                .spacing(12),
            )
        })
    };
    let beside = rows.chunks(rows.len().div_ceil(columns).max(1));
    // What must be read stands above the keys: in a small window with large text these are moved by the wheel.
    let page = column![
        say::call(format!("Keys: {}", title.as_ref()), palette.ink),
        column![
            say::small("Any key puts this page away. No key destroys anything.", palette.muted),
            say::small(foot, palette.muted)
        ]
        .spacing(4),
        scrollable(beside.fold(Row::new().spacing(gap), |row, rows| row.push(column_of(rows)))).spacing(6),
    ]
    .spacing(18);
    card::page(palette, page).max_width(wide).into()
}
