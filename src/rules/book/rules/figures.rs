//! Impossible figures, found before anything divides by them or counts with them.

use super::super::raw::{Figure, RawField, RawGame};
use super::super::spanned::Spanned;
use field::exact::Yards;

/// A place in the text, and what is wrong there.
type Wrong<'a> = (&'a str, String);

/// The impossible figures of the field.
pub(super) fn of_field<'a>(field: Option<&RawField<'a>>) -> Vec<Wrong<'a>> {
    let Some(field) = field else { return Vec::new() };
    [(&field.length, "length"), (&field.width, "width"), (&field.end_zone, "end_zone")]
        .into_iter()
        .filter(|(figure, _)| figure.value.0 <= Yards::ZERO)
        .map(|(figure, name)| (figure.text, format!("`{name}` must be more than 0")))
        .collect()
}

/// The figures of the game that are impossible on this field.
pub(super) fn of_game<'a>(game: Option<&RawGame<'a>>, field: Option<&RawField<'a>>) -> Vec<Wrong<'a>> {
    let Some(game) = game else { return Vec::new() };
    let mut wrong = Vec::new();
    let mut some = |text: &'a str, none: bool, name: &str| {
        if none {
            wrong.push((text, format!("`{name}` must be at least 1")));
        }
    };
    some(game.players.text, game.players.value == 0, "players");
    some(game.periods.text, game.periods.value == 0, "periods");
    some(game.period_s.text, game.period_s.value == 0, "period_s");
    some(game.downs.text, game.downs.value == 0, "downs");
    if let Some(points) = &game.forfeit_score {
        some(points.text, points.value == 0, "forfeit_score");
    }
    if let Some(wins) = game.overtime_next_score.as_ref().filter(|wins| wins.value)
        && game.overtime_spot.is_none()
    {
        let message = "`overtime_next_score` needs `overtime_spot`: where a series of overtime begins";
        wrong.push((wins.text, message.to_owned()));
    }
    if let Some(from) = game.overtime_tries_from.as_ref().filter(|_| game.overtime_spot.is_none()) {
        let message = "`overtime_tries_from` needs `overtime_spot`: where the series before begin";
        wrong.push((from.text, message.to_owned()));
    }
    let periods = game.periods.value;
    if let Some(period) = game.halves_end.value.iter().find(|period| !(1..=periods).contains(period)) {
        let message = format!("a half cannot end with period {period}: the game has {periods}");
        wrong.push((game.halves_end.text, message));
    }
    let length = field.map(|field| field.length.value.0).filter(|length| *length > Yards::ZERO);
    let Some(length) = length else { return wrong };
    let mut on_field = |figure: &Spanned<'a, Figure>, least: bool, name: &str| {
        let yards = figure.value.0;
        if yards < Yards::ZERO || yards > length || least && yards == Yards::ZERO {
            wrong.push((figure.text, format!("`{name}` must lie on the field of {length} yards")));
        }
    };
    on_field(&game.to_gain, true, "to_gain");
    on_field(&game.try_spot, false, "try_spot");
    on_field(&game.touchback, false, "touchback");
    on_field(&game.free_kick, false, "free_kick");
    for (spot, least, name) in [
        (&game.touchback_free_kick, false, "touchback_free_kick"),
        (&game.free_kick_out, false, "free_kick_out"),
        (&game.free_kick_at_least, false, "free_kick_at_least"),
        (&game.free_kick_after_safety, false, "free_kick_after_safety"),
        (&game.overtime_spot, true, "overtime_spot"),
    ] {
        if let Some(spot) = spot {
            on_field(spot, least, name);
        }
    }
    wrong
}
