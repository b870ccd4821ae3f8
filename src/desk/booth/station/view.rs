//! The view of the desk: who sits there, the cameras with their digits, and what was out in this game.

use super::{Act, KEYS, Message, Station, Typing, line_id};
use crate::booth::evidence::pair_of;
use crate::booth::keyed::button;
use crate::keys::shown;
use crate::theme::Palette;
use crate::widget::answer::{Shape, answer};
use crate::widget::key::{Weight, line as clickable};
use crate::widget::{card, entry, label};
use iced::widget::{Column, column, container, row, scrollable};
use iced::{Element, Length, alignment};
use review::announcement::capital;
use review::day::fold::Day;
use review::day::text::outage;
use rules::book::Book;

pub(crate) fn view<'a>(
    station: &'a Station,
    day: &'a Day,
    book: &'a Book,
    palette: &'static Palette,
) -> Element<'a, Message> {
    let Some(opened) = &day.opened else { return column![].into() };
    let cameras =
        opened.card.cameras.iter().enumerate().fold(Column::new().spacing(2), |column, (number, camera)| {
            let act = Act::Camera(u8::try_from(number).unwrap_or(u8::MAX));
            let is_out = day.lost().any(|out| out == camera.name);
            let (shape, words) = if is_out { (Shape::Ring, "out") } else { (Shape::Filled, "there") };
            let content = row![
                answer(palette, shape),
                label::plain(camera.name.as_str(), palette.ink).width(Length::Fill),
                label::small(words, if is_out { palette.accent } else { palette.muted }),
                label::small(shown(KEYS, act), palette.muted)
            ]
            .spacing(12)
            .align_y(alignment::Vertical::Center);
            column.push(clickable(palette, content, false, Message::Act(act)))
        });
    let outages = day.outages.iter().fold(Column::new().spacing(2), |column, one| {
        column.push(label::small(capital(&outage(Some(book), one)), palette.muted))
    });
    let sits = day.official.clone().unwrap_or_else(|| "nobody was named".to_owned());
    let line = |hint, text| entry::bare(palette, entry::Line { id: line_id(), hint, text }, Message::Typed);
    let does: Element<'a, Message> = match &station.typing {
        Some(Typing::Who(text)) => column![
            label::ask("Who takes over?", palette.ink),
            line("booth-11", text),
            label::small("A pseudonym; Enter writes it, Esc leaves it", palette.muted),
        ]
        .spacing(8)
        .into(),
        Some(Typing::Lost { camera, text }) => column![
            label::ask(format!("The camera {camera} is out"), palette.ink),
            line("what failed", text),
            label::small("Enter writes it, Esc leaves it", palette.muted),
        ]
        .spacing(8)
        .into(),
        None => row![
            button(palette, "hand over", (KEYS, Act::HandOver), Weight::Plain, Message::Act),
            button(palette, "correct the card", (KEYS, Act::Card), Weight::Plain, Message::Act),
            button(palette, "back", (KEYS, Act::Leave), Weight::Next, Message::Act),
        ]
        .spacing(8)
        .into(),
    };
    let content = column![
        label::call("At the desk", palette.ink),
        pair_of(palette, "official", sits),
        card::divide(palette),
        label::ask("Cameras", palette.ink),
        cameras,
        outages,
        card::divide(palette),
        does,
        station.told.as_ref().map(|told| label::plain(capital(told), palette.accent)),
    ];
    let page = card::card(palette, content.spacing(12)).max_width(860);
    scrollable(container(page).center_x(Length::Fill)).height(Length::Fill).into()
}
