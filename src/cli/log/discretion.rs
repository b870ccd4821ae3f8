//! The referee's own rulings of a log in words and as JSON, for `log show`.

use super::entry::{event_json, unread_json, unread_line, unread_mark, utc};
use log::forms::shown;
use log::streams::discretions::Held;
use review::day::text::situation;
use review::discretion::text;
use serde_json::{Value, json};

/// A ruling in one line.
pub(super) fn line(held: &Held) -> String {
    let ruling = held.ruling();
    let mut line = format!("ruling {}  {}", held.id, held.official);
    if let Some(opened) = &ruling.opened {
        line += &format!("  {}  {}", opened.game, opened.play);
        line += opened.matter.as_ref().map_or("", |_| "  ");
        line += opened.matter.as_ref().map_or("", |matter| matter.question.as_str());
    }
    line += &format!("  {}", text::phase(ruling.phase));
    line += &ruling.signed.as_ref().map_or_else(String::new, |signed| format!(": {}", text::remedy(signed)));
    line + &unread_mark(held.unread.as_ref())
}

/// A ruling with all its events.
pub(super) fn text(held: &Held) -> String {
    let ruling = held.ruling();
    let mut text = line(held);
    for (number, (_, stamped)) in held.events.iter().enumerate() {
        let at = utc(&stamped.at).unwrap_or_else(|| "no time".to_owned());
        text += &format!("\n{number:>4}  {at}  {}", text::event(&stamped.event));
    }
    text += &unread_line(held.unread.as_ref());
    if let Some(signed) = &ruling.signed {
        text += &format!("\n\nannounced:   {}", ruling.words.as_deref().unwrap_or(""));
        if !signed.disqualified.is_empty() {
            text += &format!("\ndisqualified: {}", text::disqualified(&signed.disqualified));
        }
        text += &format!("\nthen:        {}", situation(&signed.after));
        text += &format!("\nbased on:    rule {}", signed.rule);
    }
    text
}

/// A ruling as JSON, with its events.
pub(super) fn json(held: &Held) -> Value {
    let ruling = held.ruling();
    let entry = |(seq, stamped): &(u64, review::discretion::Stamped)| {
        event_json(*seq, shown(&stamped.event), &stamped.at)
    };
    json!({
        "ruling": held.id,
        "official": held.official.as_str(),
        "game": ruling.opened.as_ref().map(|opened| &opened.game),
        "play": ruling.opened.as_ref().map(|opened| &opened.play),
        "review": ruling.opened.as_ref().and_then(|opened| opened.review.as_ref()),
        "phase": text::phase(ruling.phase),
        "remedy": ruling.signed.as_ref().map(|signed| &signed.remedy),
        "rule": ruling.signed.as_ref().map(|signed| &signed.rule),
        "words": ruling.words,
        "precedents_read": ruling.read,
        "unread": unread_json(held.unread.as_ref()),
        "events": held.events.iter().map(entry).collect::<Vec<_>>(),
    })
}
