//! The view of the end of the game: why it is over or goes on, and the other ways to end it.

use super::{Act, Chosen, Ending, KEYS, Message, line_id};
use crate::booth::context::Context;
use crate::booth::keyed::button;
use crate::widget::key::Weight;
use crate::widget::{card, entry, label};
use iced::widget::{Column, column, container, row, scrollable};
use iced::{Element, Length};
use review::announcement::capital;
use review::day::Early;
use review::day::fold::Day;
use rules::game::situation::Team;

pub(crate) fn view<'a>(ending: &'a Ending, day: &'a Day, context: &Context<'a>) -> Element<'a, Message> {
    let palette = context.palette;
    let names = context.names;
    let one =
        |early, word: String| button(palette, word, (KEYS, Act::Early(early)), Weight::Plain, Message::Act);
    let body: Column<'a, Message> = match &ending.early {
        None => {
            let (score, _) = day.early(context.book, Early::Called);
            let score = format!("{} {}, {} {}", names.teams.home, score.home, names.teams.away, score.away);
            let plain: Element<'a, Message> = match day.over(context.book) {
                Ok(()) => column![
                    label::ask(format!("The game is over: {score}."), palette.ink),
                    button(palette, "End the game", (KEYS, Act::Confirm), Weight::Next, Message::Act),
                ]
                .spacing(8)
                .into(),
                Err(goes_on) => column![
                    label::ask(format!("The game is not over: {goes_on}."), palette.ink),
                    label::plain(score, palette.ink),
                ]
                .spacing(8)
                .into(),
            };
            column![
                plain,
                card::divide(palette),
                label::small("It ends early, with a reason", palette.muted),
                row![
                    one(Early::Forfeit(Team::Home), format!("{} forfeit", names.short.home)),
                    one(Early::Forfeit(Team::Away), format!("{} forfeit", names.short.away)),
                    one(Early::Suspended, "suspended".to_owned()),
                    one(Early::Called, "ended early".to_owned()),
                ]
                .spacing(8)
                .wrap(),
                button(palette, "back to the game", (KEYS, Act::Leave), Weight::Plain, Message::Act),
            ]
        }
        Some(Chosen { how, text, given }) => {
            let (_, words) = day.early(context.book, *how);
            let announced =
                column![label::small("To be announced", palette.muted), label::ask(words, palette.ink),]
                    .spacing(4);
            let next: Element<'a, Message> = match given {
                false => column![
                    entry::bare(
                        palette,
                        entry::Line { id: line_id(), hint: "why it ends here", text },
                        Message::Typed
                    ),
                    label::small("Enter takes it, Esc leaves it", palette.muted),
                ]
                .spacing(8)
                .into(),
                true => column![
                    label::plain(format!("Because: {text}"), palette.ink),
                    button(palette, "End the game", (KEYS, Act::Confirm), Weight::Next, Message::Act),
                    label::small("Esc leaves it", palette.muted),
                ]
                .spacing(8)
                .into(),
            };
            column![announced, next]
        }
    };
    let told = ending.told.as_ref().map(|told| label::plain(capital(told), palette.accent));
    let content = column![label::call("The end of the game", palette.ink), body.spacing(12), told];
    let page = card::card(palette, content.spacing(14)).max_width(860);
    scrollable(container(page).center_x(Length::Fill)).height(Length::Fill).into()
}
