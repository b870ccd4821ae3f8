//! The games of a log in words and as JSON, for `log show`.

use super::entry::{event_json, unread_json, unread_line, unread_mark, utc};
use formats::grade::PlayGradeJson;
use log::forms::shown;
use log::streams::days::Held;
use review::day::fold::{Day, Ended, Fate, Service};
use review::day::text;
use review::day::text::{early, ending, phase, situation};
use review::play_grade::fold::{Given, PlayGrades};
use serde_json::{Value, json};

/// A game in one line.
pub(super) fn line(held: &Held) -> String {
    let day = held.day();
    let counts = counts(&day);
    let [reviewed, looked, not_looked, no_replay] = counts;
    let mut line = format!("game {}  {}", held.id, held.official);
    if let Some(opened) = &day.opened {
        let teams = &opened.card.names.teams;
        line += &format!("  {} at {}, {}", teams.away, teams.home, opened.card.venue);
    }
    line += &format!("  {}", phase(day.phase));
    line +=
        &format!("  {} plays: {reviewed} reviewed, {looked} looked at, {not_looked} not", day.plays.len());
    if no_replay > 0 {
        line += &format!(", {no_replay} without replay");
    }
    line + &unread_mark(held.unread.as_ref())
}

/// A game with all its events.
pub(super) fn text(held: &Held, graded: &PlayGrades) -> String {
    let day = held.day();
    let mut text = line(held);
    let standing: Vec<usize> = day.standing().map(|(number, _)| number).collect();
    for (number, (_, stamped)) in held.events.iter().enumerate() {
        let back = if standing.contains(&number) { "" } else { "  (taken back)" };
        let at = utc(&stamped.at).unwrap_or_else(|| "no time".to_owned());
        text += &format!("\n{number:>4}  {at}  {}{back}", text::event(&stamped.event));
    }
    text += &unread_line(held.unread.as_ref());
    if let Some(now) = day.situation() {
        text += &format!("\n\nnow:         {}", situation(&now));
    }
    if let Service::Out { reason, .. } = &day.service {
        text += &format!("\nreplay:      out of service: {reason}");
    }
    if let Some(Ended::Early { words, .. }) = &day.end {
        text += &format!("\nannounced:   {words}");
    }
    if let Some(opened) = day.opened.as_ref().filter(|_| day.corrections > 0) {
        let card = &opened.card;
        text += &format!(
            "\ncard:        corrected; now {} at {}, {}",
            card.names.teams.away, card.names.teams.home, card.venue
        );
    }
    if let Some(who) = &day.official {
        text += &format!("\nat the desk: {who}");
    }
    for outage in &day.outages {
        text += &format!("\ncamera:      {}", review::day::text::outage(None, outage));
    }
    for review in &day.reviews {
        let how = review.ended.map_or("is on", ending);
        let by = by(&review.officials);
        text += &format!("\nreview:      {} of play {}: {how}{by}", review.review, review.play);
    }
    text + &grades(graded)
}

/// The grades of a game's plays, a line each; every line begins with a line feed.
pub(super) fn grades(grades: &PlayGrades) -> String {
    let line = |(given, superseded): (&Given, bool)| {
        let Given { play, call, reason, by, .. } = given;
        let reason = if reason.is_empty() { String::new() } else { format!(": {reason}") };
        let gone = if superseded { " (superseded)" } else { "" };
        format!("\ngrade:       play {play}: {}, by {by}{reason}{gone}", call.word())
    };
    grades.superseded().map(line).collect()
}

/// A game as JSON, with its events.
pub(super) fn json(held: &Held, graded: &PlayGrades) -> Value {
    let day = held.day();
    let [reviewed, looked, not_looked, no_replay] = counts(&day);
    let review = |of: &review::day::fold::Reviewed| json!({"review": of.review, "play": of.play, "ended": of.ended.map(ending)});
    let entry =
        |(seq, stamped): &(u64, review::day::Stamped)| event_json(*seq, shown(&stamped.event), &stamped.at);
    let mut told = json!({
        "game": held.id,
        "official": held.official.as_str(),
        "book": day.opened.as_ref().map(|opened| &opened.book),
        "edition": day.opened.as_ref().map(|opened| &opened.edition),
        "phase": phase(day.phase),
        "plays": {"reviewed": reviewed, "looked": looked, "not looked": not_looked, "no replay": no_replay},
        "reviews": day.reviews.iter().map(review).collect::<Vec<_>>(),
        "situation": day.situation().map(|now| situation(&now)),
        "in_service": day.service == Service::In,
        "unread": unread_json(held.unread.as_ref()),
        "events": held.events.iter().map(entry).collect::<Vec<_>>(),
    });
    if let Some(Ended::Early { how, score, reason, words }) = &day.end {
        let score = [score.home, score.away];
        told["ended_early"] = json!({"how": early(*how), "score": score, "reason": reason, "words": words});
    }
    if day.reviews.iter().any(|review| review.officials.len() > 1) {
        let by = |review: &review::day::fold::Reviewed| json!({"review": review.review, "officials": review.officials});
        told["held_by"] = day.reviews.iter().map(by).collect();
    }
    if !day.outages.is_empty() {
        told["cameras_out"] = day.outages.iter().map(|outage| text::outage(None, outage)).collect();
    }
    if !graded.given.is_empty() {
        told["grades"] = json!(PlayGradeJson::all(graded));
    }
    told
}

/// Plays by what became of them.
fn counts(day: &Day) -> [usize; 4] {
    let of = |fate: Fate| day.plays.iter().filter(|play| play.fate() == fate).count();
    [of(Fate::Reviewed), of(Fate::Looked), of(Fate::NotLooked), of(Fate::NoReplay)]
}

/// Who sat at the desk for a review, where the desk was handed over during it.
fn by(officials: &[String]) -> String {
    if officials.len() > 1 { format!(", by {}", officials.join(", then ")) } else { String::new() }
}
