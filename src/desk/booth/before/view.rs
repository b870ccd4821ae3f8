//! The view before the game: the card as it was opened, and the checklist.

use super::{Act, Before, KEYS, Message};
use crate::booth::evidence::pair_of;
use crate::booth::keyed::button;
use crate::keys::shown;
use crate::theme::Palette;
use crate::widget::answer::{Shape, answer};
use crate::widget::key::{Weight, line as clickable};
use crate::widget::{card, label};
use iced::widget::{Column, column, container, row, scrollable};
use iced::{Element, Length, alignment};
use review::announcement::capital;
use review::day::fold::Day;

/// `key_id` is that of the desk's key, which signs its entries.
pub(crate) fn view<'a>(
    before: &'a Before,
    day: &'a Day,
    key_id: &'a str,
    palette: &'static Palette,
) -> Element<'a, Message> {
    let Some(opened) = &day.opened else { return column![].into() };
    let checked = day.checks.iter().enumerate().fold(Column::new().spacing(2), |column, (number, check)| {
        let act = Act::Check(u8::try_from(number).unwrap_or(u8::MAX));
        let (shape, words) = if check.done { (Shape::Filled, "checked") } else { (Shape::Ring, "open") };
        let content = row![
            answer(palette, shape),
            label::plain(check.item.as_str(), palette.ink).width(Length::Fill),
            label::small(words, palette.muted),
            label::small(shown(KEYS, act), palette.muted)
        ]
        .spacing(12)
        .align_y(alignment::Vertical::Center);
        column.push(clickable(palette, content, false, Message::Act(act)))
    });
    let game = &opened.card;
    let cameras: Vec<&str> = game.cameras.iter().map(|camera| camera.name.as_str()).collect();
    let duties: Vec<String> = game.duties.iter().map(|duty| format!("{}: {}", duty.duty, duty.who)).collect();
    let edition = opened.edition.get(..12).unwrap_or(&opened.edition);
    let content = column![
        label::call(format!("{} at {}", game.names.teams.away, game.names.teams.home), palette.ink),
        pair_of(palette, "game", game.game.clone()),
        pair_of(palette, "venue", game.venue.clone()),
        pair_of(palette, "cameras", cameras.join(", ")),
        pair_of(palette, "who does what", duties.join(", ")),
        pair_of(palette, "rule book", format!("{}, edition {edition}", opened.book)),
        pair_of(palette, "signed with", key_id.to_owned()),
        (day.corrections > 0).then(|| {
            label::small("Corrected since it was opened; the log keeps what it said before.", palette.muted)
        }),
        card::divide(palette),
        label::ask("Before the game", palette.ink),
        checked,
        button(palette, "To the game", (KEYS, Act::On), Weight::Next, Message::Act),
        before.wrong.as_ref().map(|wrong| label::plain(capital(wrong), palette.accent)),
    ];
    let page = card::card(palette, content.spacing(12)).max_width(860);
    scrollable(container(page).center_x(Length::Fill)).height(Length::Fill).into()
}
