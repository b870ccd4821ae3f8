//! The times of the phases, the overrides with their reasons, and every act with its entry and hash.

use super::{Source, seconds};
use maud::{Markup, html};
use review::event::Event;
use review::stamp::Stamp;
use review::text;

/// The phases, counted from the challenge and from the phase before, beside the book's limits.
pub(super) fn times(source: &Source<'_>) -> Markup {
    let times = &source.review.times;
    let named = times.named();
    let Some(called) = times.called.as_ref() else { return html! {} };
    let mut reached: Vec<(&str, &Stamp)> =
        named.into_iter().filter_map(|(name, at)| Some((name, at?))).collect();
    // A review can be settled before anything is marked: the order is that of the stamps.
    reached.sort_by_key(|(_, at)| at.since(called).map(|elapsed| elapsed.ms()));
    let before = std::iter::once(None).chain(reached.iter().map(|(_, at)| Some(*at)));
    let limits = source.book.as_ref().map(|book| &book.replay.limits);
    html! {
        section {
            h2 { "Time" }
            table.short.narrow {
                thead { tr { th { "phase" } th.num { "from the call" } th.num { "since the one before" } } }
                tbody {
                    @for ((name, at), before) in reached.iter().zip(before) {
                        tr {
                            td { (name) }
                            td.num { (seconds(at.since(called))) }
                            td.num { @if let Some(before) = before { (seconds(at.since(before))) } }
                        }
                    }
                }
            }
            @if let Some(limits) = limits {
                p.note {
                    @if let Some(limit) = limits.to_ruling_s { "Limit from the first look to the ruling: " (limit) " s" (over(times.ruled.as_ref(), times.first_look.as_ref(), limit)) ". " }
                    @if let Some(limit) = limits.to_announcement_s { "Limit from the call to the announcement: " (limit) " s" (over(times.announced.as_ref(), Some(called), limit)) "." }
                }
            }
        }
    }
}

/// Whether a limit was kept, where that is known.
fn over(end: Option<&Stamp>, begin: Option<&Stamp>, limit_s: u32) -> &'static str {
    let taken = end.zip(begin).and_then(|(end, begin)| end.since(begin));
    match taken.map(|taken| taken.ms() > u64::from(limit_s) * 1000) {
        Some(true) => " (passed)",
        Some(false) => " (kept)",
        None => "",
    }
}

/// What was done against a rule of proof or time, each with its reason.
pub(super) fn overrides(source: &Source<'_>) -> Markup {
    let overrides = source.review.overrides();
    html! {
        section {
            h2 { "Overrides" }
            @if overrides.is_empty() { p { "None: nothing was done against a rule of proof or time." } }
            @else {
                ul.plain { @for done in &overrides { li { b { (done.what) } ", because: " (done.reason) } } }
            }
        }
    }
}

/// Every act in order; those taken back are struck out.
pub(super) fn acts(source: &Source<'_>) -> Markup {
    let review = &source.review;
    let called = review.times.called.as_ref();
    let standing: Vec<usize> = review.standing().map(|(number, _)| number).collect();
    html! {
        section {
            h2 { "Every act" }
            table.acts {
                thead { tr { th.num { "entry" } th.num { "at" } th { "what" } th.hash { "hash" } } }
                tbody {
                    @for (number, (seq, stamped)) in source.held.events.iter().enumerate() {
                        @let gone = !standing.contains(&number);
                        tr.gone[gone] {
                            td.num { (seq) }
                            td.num { @if let Some(called) = called { (seconds(stamped.at.since(called))) } }
                            td { (what(source, &stamped.event)) @if gone { " (taken back)" } }
                            td.hash.mono { (short(source, *seq)) }
                        }
                    }
                }
            }
            @if let Some(unread) = &source.held.unread {
                p { "From entry " (unread.seq) " on it cannot be read: " (unread.fault) "." }
            }
        }
    }
}

/// An act in words; names stand between backticks.
fn what(source: &Source<'_>, event: &Event) -> Markup {
    let text = match event {
        Event::Undone { act } => match source.held.events.get(*act) {
            Some((seq, _)) => format!("took back entry {seq}"),
            None => text::event(event),
        },
        other => text::event(other),
    };
    html! {
        @for (place, piece) in text.split('`').enumerate() {
            @if place % 2 == 1 { i { (piece) } } @else { (piece) }
        }
    }
}

/// The beginning of an entry's hash; that of the last entry stands in full at the end of the page.
fn short(source: &Source<'_>, seq: u64) -> String {
    let entry = source.entries.iter().find(|entry| entry.seq == seq);
    entry.map_or_else(String::new, |entry| entry.hash.to_string().chars().take(12).collect())
}
