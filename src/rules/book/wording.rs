//! The sentences of an announcement, with places to fill.
//!
//! A place is written `{name}`. Which places each sentence may have is checked on load.

use super::defect::{Defect, Kind, nearest};
use super::raw::RawWording;
use super::spanned::{InFile, Spanned};

/// The sentences of a league. `lower` lists the places that each may have.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Wording {
    pub confirmed: String,
    pub stands: String,
    pub reversed: String,
    pub foul: String,
    pub next_down: String,
    pub next_try: String,
    pub next_free_kick: String,
    /// The price of a lost challenge.
    pub charged: String,
    /// The coach keeps the timeout.
    pub not_charged: String,
    /// For the clock operator.
    pub clock: String,
    /// For the clock operator, if nothing changes.
    pub clock_as_is: String,
    /// For the chain crew.
    pub chains: String,
    /// For the chain crew before a try or a free kick.
    pub chains_off: String,
    /// How the clock starts on the snap.
    pub on_snap: String,
    /// How the clock starts on the referee's signal.
    pub on_ready: String,
    /// The clock does not start: a try.
    pub untimed: String,
    /// The call stands since the picture does not prove it wrong.
    pub not_proven: String,
    /// The call is wrong and what replaces it is not proven.
    pub not_shared: String,
    pub declined: String,
    pub offset: String,
    pub new_time: String,
    /// The rules leave it to the referee.
    pub left_to_referee: String,
    /// Seconds that run off after a change late in a half.
    pub run_off: Option<String>,
    /// A player is disqualified by the referee's own ruling.
    pub disqualified: Option<String>,
    /// For both coaches, when replay cannot be used.
    pub out_of_service: Option<String>,
    /// For both coaches, when it can be used again.
    pub back_in_service: Option<String>,
    /// A team forfeits the game.
    pub forfeited: Option<String>,
    /// The game stops, and may go on on another day.
    pub suspended: Option<String>,
    /// The game ends before its time.
    pub called_early: Option<String>,
}

/// Checks that every place in a sentence is one that will be filled.
pub(super) fn lower<'a>(raw: &RawWording<'a>, file: InFile<'a>, defects: &mut Vec<Defect>) -> Wording {
    let mut sentence = |raw: &Spanned<'a, String>, places: &[&str]| {
        for place in places_of(&raw.value) {
            if !places.contains(&place) {
                let message = format!("there is nothing to put at `{{{place}}}` in this sentence");
                let defect = Defect::new(Kind::UnknownName, file.span(raw.text), message);
                defects.push(defect.help(nearest(place, places.iter().copied())));
            }
        }
        raw.value.clone()
    };
    Wording {
        confirmed: sentence(&raw.confirmed, &["call", "finding"]),
        stands: sentence(&raw.stands, &["call", "reason"]),
        reversed: sentence(&raw.reversed, &["call", "finding"]),
        foul: sentence(&raw.foul, &["foul", "side", "team"]),
        next_down: sentence(&raw.next_down, &["team", "down", "distance", "spot"]),
        next_try: sentence(&raw.next_try, &["team"]),
        next_free_kick: sentence(&raw.next_free_kick, &["team"]),
        charged: sentence(&raw.charged, &["team"]),
        not_charged: sentence(&raw.not_charged, &["team"]),
        clock: sentence(&raw.clock, &["clock", "starts"]),
        clock_as_is: sentence(&raw.clock_as_is, &["starts"]),
        chains: sentence(&raw.chains, &["down", "distance", "spot", "line"]),
        chains_off: sentence(&raw.chains_off, &[]),
        on_snap: sentence(&raw.on_snap, &[]),
        on_ready: sentence(&raw.on_ready, &[]),
        untimed: sentence(&raw.untimed, &[]),
        not_proven: sentence(&raw.not_proven, &[]),
        not_shared: sentence(&raw.not_shared, &[]),
        declined: sentence(&raw.declined, &["foul", "side", "team"]),
        offset: sentence(&raw.offset, &[]),
        new_time: sentence(&raw.new_time, &["clock"]),
        left_to_referee: sentence(&raw.left_to_referee, &[]),
        run_off: raw.run_off.as_ref().map(|raw| sentence(raw, &["seconds"])),
        disqualified: raw.disqualified.as_ref().map(|raw| sentence(raw, &["player", "team"])),
        out_of_service: raw.out_of_service.as_ref().map(|raw| sentence(raw, &[])),
        back_in_service: raw.back_in_service.as_ref().map(|raw| sentence(raw, &[])),
        forfeited: raw.forfeited.as_ref().map(|raw| sentence(raw, &["team", "other", "score"])),
        suspended: raw.suspended.as_ref().map(|raw| sentence(raw, &["score"])),
        called_early: raw.called_early.as_ref().map(|raw| sentence(raw, &["score"])),
    }
}

/// The names in braces of a sentence, in its order.
fn places_of(sentence: &str) -> impl Iterator<Item = &str> {
    sentence.split('{').skip(1).filter_map(|rest| rest.split_once('}').map(|(place, _)| place))
}

/// A sentence with its places filled and its first letter capitalised.
pub fn fill(sentence: &str, places: &[(&str, &str)]) -> String {
    let mut filled = sentence.to_owned();
    for (place, value) in places {
        filled = filled.replace(&format!("{{{place}}}"), value);
    }
    let mut letters = filled.chars();
    match letters.next() {
        Some(first) => first.to_uppercase().chain(letters).collect(),
        None => filled,
    }
}
