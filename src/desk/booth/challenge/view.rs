//! The view of a challenge: what is asked on the left, the gate's answer on the right.

use super::read_back::Ended;
use super::{Act, Challenge, INITIATORS, KEYS, Message, Stage, line_id};
use crate::booth::context::Context;
use crate::booth::evidence::plan;
use crate::booth::keyed::button;
use crate::booth::price;
use crate::keys::shown;
use crate::widget::key::{Weight, key, line as clickable};
use crate::widget::{card, entry, field, label};
use iced::widget::{Column, Row, column, container, row, scrollable, space};
use iced::{Element, Length};
use review::announcement::capital;
use review::day::play_words;
use review::gate::{Gate, Initiator, Ruled, Stop};
use rules::book::effect::Points;
use rules::book::replay::Price;
use rules::game::play::{Choice, Flag};

pub(crate) fn view<'a>(challenge: &'a Challenge, context: &Context<'a>) -> Element<'a, Message> {
    let palette = context.palette;
    let left = Column::new().spacing(12).push(who(challenge, context)).push(card::divide(palette)).push(
        match challenge.stage {
            Stage::Who => space().into(),
            Stage::Find | Stage::Refused | Stage::Leaving => questions(challenge, context),
            Stage::Call => calls(challenge, context),
            Stage::ReadBack => read_back(challenge, context),
        },
    );
    let right = Column::new().spacing(14).push(answer(challenge, context)).push(the_field(context));
    row![
        card::card(palette, left).width(Length::FillPortion(6)).height(Length::Fill),
        right.width(Length::FillPortion(5))
    ]
    .spacing(18)
    .height(Length::Fill)
    .into()
}

fn who<'a>(challenge: &Challenge, context: &Context<'a>) -> Element<'a, Message> {
    let palette = context.palette;
    let name = |who: Initiator| match who {
        Initiator::Coach(team) => format!("{} coach", context.names.short.of(team)),
        Initiator::Booth => "the booth".to_owned(),
        Initiator::Referee => "the referee".to_owned(),
    };
    if challenge.stage != Stage::Who {
        let name = name(challenge.who);
        let late = match challenge.stop {
            Stop::BeforeNextSnap => "",
            Stop::AfterNextSnap => "; the signal came after the snap",
        };
        return label::plain(format!("Asked by {name}{late}"), palette.ink).into();
    }
    let keys = INITIATORS.into_iter().zip(0u8..).fold(Row::new().spacing(10), |row, (who, number)| {
        row.push(button(palette, name(who), (KEYS, Act::Choose(number)), Weight::Plain, Message::Act))
    });
    let about = challenge
        .plays
        .first()
        .map_or(String::new(), |play| format!("about {}", play_words(context.book, &play.at_snap)));
    let about = if challenge.plays.len() > 1 {
        button(palette, about, (KEYS, Act::Play), Weight::Plain, Message::Act)
    } else {
        label::plain(about, palette.muted).into()
    };
    column![label::ask("Who asks for the review?", palette.ink), keys.wrap(), row![about]].spacing(12).into()
}

fn questions<'a>(challenge: &'a Challenge, context: &Context<'a>) -> Element<'a, Message> {
    let palette = context.palette;
    let line = entry::Line {
        id: line_id(),
        hint: "type: catch, fumble, face mask, 4.14 …",
        text: &challenge.search,
    };
    let mut list = Column::new().spacing(2);
    for (number, found) in challenge.found.iter().enumerate() {
        let chosen = number == challenge.at;
        let ink = if chosen { palette.ink } else { palette.muted };
        let words = row![
            label::plain(found.title.as_str(), ink).width(Length::Fill),
            label::small(if found.allowed { "" } else { "not reviewable here" }, palette.muted),
            label::small(found.cite.as_str(), palette.muted)
        ]
        .spacing(14);
        list = list.push(clickable(palette, words, chosen, Message::Point(number)));
    }
    if challenge.found.is_empty() {
        list = list.push(label::plain("nothing in the book matches; try another word", palette.accent));
    }
    column![
        label::ask("Which question of fact?", palette.ink),
        entry::bare(palette, line, Message::Typed),
        scrollable(list).height(Length::Fill),
        label::small("↑ ↓ and Enter choose", palette.muted),
    ]
    .spacing(10)
    .height(Length::Fill)
    .into()
}

fn calls<'a>(challenge: &'a Challenge, context: &Context<'a>) -> Element<'a, Message> {
    let palette = context.palette;
    let Some(found) = challenge.pointed() else { return space().into() };
    let mut keys = Row::new().spacing(10);
    if let Some(tree) = context.book.tree(&found.id) {
        for (number, call) in tree.calls.iter().enumerate() {
            let act = Act::Choose(u8::try_from(number).unwrap_or(u8::MAX));
            let weight = if number == challenge.call { Weight::Chosen } else { Weight::Plain };
            keys = keys.push(button(palette, call.name.as_str(), (KEYS, act), weight, Message::Act));
        }
    }
    let whistle = match &challenge.whistle {
        None => "no whistle before".to_owned(),
        Some(moment) => format!("whistled at {moment}"),
    };
    let ruled = |what, words: &'static str| match challenge.ruled.contains(&what) {
        true => format!("{words} was ruled"),
        false => format!("no {words} was ruled"),
    };
    let turn = |words: String, act: Act| button(palette, words, (KEYS, act), Weight::Plain, Message::Act);
    let ask = column![
        button(palette, "Ask the gate", (KEYS, Act::Confirm), Weight::Next, Message::Act),
        challenge.wrong.as_ref().map(|wrong| label::plain(wrong.as_str(), palette.accent)),
    ]
    .spacing(6);
    let entry = if challenge.on_the_way { "found during the review" } else { "challenged" };
    column![
        label::ask(found.title.as_str(), palette.ink),
        label::small("What did the crew rule?", palette.muted),
        keys.wrap(),
        row![turn(whistle, Act::Whistle), turn(entry.to_owned(), Act::Challenged)].spacing(10),
        row![
            turn(ruled(Ruled::Score, "score"), Act::Score),
            turn(ruled(Ruled::Turnover, "turnover"), Act::Turnover),
        ]
        .spacing(10),
        ask,
    ]
    .spacing(14)
    .into()
}

/// What is read back before the first look, with the line to type it in.
fn read_back<'a>(challenge: &'a Challenge, context: &Context<'a>) -> Element<'a, Message> {
    let palette = context.palette;
    let mut said = Column::new().spacing(6);
    for asked in context.review.map_or(&[][..], |review| &review.questions) {
        let title = context.book.tree(&asked.tree).map_or(asked.tree.as_str(), |tree| tree.title.as_str());
        let whistle = asked
            .whistle
            .as_ref()
            .map_or(", no whistle before".to_owned(), |at| format!(", whistled at {at}"));
        said = said.push(label::plain(format!("{title}: ruled {}{whistle}", asked.call), palette.ink));
    }
    if !challenge.ran.flags.is_empty() {
        let flag = |flag: &Flag| {
            let name = flag.chosen_as(&challenge.ran.flags);
            match challenge.ran.choices.iter().find(|(chosen_as, _)| *chosen_as == name) {
                Some((_, Choice::Accept)) => format!("{name}, accepted"),
                Some((_, Choice::Decline)) => format!("{name}, declined"),
                None => name,
            }
        };
        let flags: Vec<String> = challenge.ran.flags.iter().map(flag).collect();
        said = said.push(label::plain(format!("Flags: {}", flags.join("; ")), palette.ink));
    }
    let ended = match challenge.ended {
        Ended::AsEntered(_) => "the play ended as it was entered",
        Ended::Down => "the play ended at its spot",
        Ended::OutOfBounds => "the play ended out of bounds",
        Ended::Incomplete => "the pass was incomplete",
        Ended::Scored(Points::Touchdown) => "the play ended in a touchdown",
        Ended::Scored(Points::FieldGoal) => "the play ended in a field goal",
        Ended::Scored(Points::Safety) => "the play ended in a safety",
        Ended::TurnedOver => "the other team had the ball at the end",
        Ended::Returned => "the other team had the ball, and scored",
    };
    let line =
        entry::Line { id: line_id(), hint: "spot and clock as ruled: k12 4:38", text: &challenge.read_back };
    column![
        label::ask("Read the call back", palette.ink),
        said,
        entry::bare(palette, line, Message::Typed),
        button(palette, ended, (KEYS, Act::Ended), Weight::Plain, Message::Act),
        label::small(
            "Call, whistle, spot, clock, flags: said aloud, heard back. Flags are typed in the walk (F).",
            palette.muted
        ),
        key(palette, "It is read back", shown(KEYS, Act::Go), Weight::Next, Some(Message::Submit)),
        challenge.wrong.as_ref().map(|wrong| label::plain(capital(wrong), palette.accent)),
    ]
    .spacing(12)
    .into()
}

/// The gate's answer, before anything is written and after.
fn answer<'a>(challenge: &'a Challenge, context: &Context<'a>) -> Element<'a, Message> {
    let palette = context.palette;
    let mut parts = Column::new().spacing(8).push(label::small("The gate", palette.muted));
    if matches!(challenge.stage, Stage::Refused | Stage::Leaving) {
        if let Some(refused) = context.review.and_then(|review| review.refused.last()) {
            parts = parts
                .push(label::call("Refused", palette.ink))
                .push(label::plain(capital(&refused.because), palette.ink))
                .push(label::small(
                    format!("rule {}; {}", refused.rule, costs(refused.price)),
                    palette.muted,
                ));
        }
        if let Some(Gate::Refused(refusal)) = &challenge.gate {
            for possible in &refusal.possible {
                parts = parts.push(label::plain(format!("Still possible: {possible}"), palette.ink));
            }
        }
        return card::card(palette, parts.push(after_refusal(challenge, context))).into();
    }
    if challenge.stage == Stage::ReadBack {
        return card::card(palette, parts.push(label::call("Allowed", palette.ink))).into();
    }
    if challenge.stage == Stage::Who {
        return card::card(
            palette,
            parts.push(label::plain(
                "shows what may be reviewed and what it costs once you ask",
                palette.muted,
            )),
        )
        .into();
    }
    parts = match &challenge.gate {
        None => parts.push(label::plain("no question is chosen", palette.muted)),
        Some(Gate::Allowed { at_risk }) => parts
            .push(label::call("Allowed", palette.ink))
            .push(label::plain(at_stake(*at_risk), palette.ink)),
        Some(Gate::Refused(refusal)) => refusal.possible.iter().fold(
            parts
                .push(label::call("Would be refused", palette.ink))
                .push(label::plain(capital(&refusal.because), palette.ink))
                .push(label::small(
                    format!("rule {}; {}", refusal.rule, costs(refusal.price)),
                    palette.accent,
                )),
            |parts, possible| parts.push(label::plain(format!("Possible instead: {possible}"), palette.ink)),
        ),
    };
    card::card(palette, parts).into()
}

/// After a refusal: another question, or leaving, whose price is shown first.
fn after_refusal<'a>(challenge: &Challenge, context: &Context<'a>) -> Element<'a, Message> {
    let palette = context.palette;
    if challenge.stage == Stage::Refused {
        return label::small("Enter asks another question; Esc shows what leaving costs", palette.muted)
            .into();
    }
    Column::new()
        .spacing(6)
        .push(label::plain("Leaving ends the review.", palette.ink))
        .push(price::of(context).map(|price| label::plain(capital(&price), palette.accent)))
        .push(button(palette, "Leave at that price", (KEYS, Act::Confirm), Weight::Plain, Message::Act))
        .push(label::small("Esc stays, Enter asks another question", palette.muted))
        .into()
}

fn at_stake(price: Price) -> String {
    match (price.timeout, price.challenge) {
        (true, true) => "if it is lost: a timeout and a challenge".to_owned(),
        (true, false) => "if it is lost: a timeout".to_owned(),
        (false, true) => "if it is lost: a challenge".to_owned(),
        (false, false) => "nothing is at stake".to_owned(),
    }
}

fn costs(price: Price) -> String {
    match (price.timeout, price.challenge) {
        (true, true) => "it costs a timeout and a challenge".to_owned(),
        (true, false) => "it costs a timeout, the challenge is kept".to_owned(),
        (false, true) => "it costs a challenge".to_owned(),
        (false, false) => "it costs nothing".to_owned(),
    }
}

fn the_field<'a>(context: &Context<'a>) -> Element<'a, Message> {
    let palette = context.palette;
    match &context.situation {
        Some(situation) => {
            let drawn = field::field(palette, plan(context, situation, None), 300.0);
            container(card::card(palette, drawn)).into()
        }
        None => space().into(),
    }
}
