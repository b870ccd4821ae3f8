//! The page of keys of a screen, made from its tables.

use crate::desk::keys::Binding;
use crate::desk::theme::Palette;
use crate::desk::widget::{card, say};
use iced::widget::{Column, column, container, row};
use iced::{Element, Length};

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
    let half = rows.len().div_ceil(2);
    let column_of = |rows: &[(String, &'static str)]| {
        rows.iter().fold(Column::new().spacing(5).width(Length::Fill), |column, (chords, says)| {
            column.push(
                row![
                    container(say::plain(chords.clone(), palette.accent)).width(170),
                    say::plain(*says, palette.ink)
                ]
                .spacing(12),
            )
        })
    };
    let (left, right) = rows.split_at(half);
    let page = column![
        say::call(format!("Keys: {}", title.as_ref()), palette.ink),
        row![column_of(left), column_of(right)].spacing(40),
        say::small("Any key puts this page away. No key destroys anything.", palette.muted),
        say::small(foot, palette.muted)
    ]
    .spacing(18);
    card::page(palette, page).max_width(1240).into()
}
