//! A review as one page: what was called, what was shown, what was ruled and why, and how it can be proven.
//!
//! The page needs nothing else: no script, no font, no picture from elsewhere. It is made from the log alone, under the
//! edition that the review was held under; what cannot be read of that edition is left out, not guessed.

mod acts;
mod path;
mod still;
mod style;
mod verdict;

use chrono::{DateTime, Utc};
use log::Error;
use log::chain::hash::Hash;
use log::chain::sign::KeyId;
use log::store::reader::{Reader, Stored};
use log::store::stills;
use log::store::stills::Still;
use log::streams::days;
use log::streams::reviews;
use log::streams::reviews::Held;
use maud::{DOCTYPE, Markup, PreEscaped, html};
use review::announcement::{Names, capital};
use review::fold::Review;
use review::stamp::{Elapsed, Stamp};
use review::text;
use rules::book::Book;

struct Source<'a> {
    held: &'a Held,
    review: Review,
    /// The rules of the review; none where the log's text of them cannot be read by this program.
    book: Option<Book>,
    names: Names,
    /// Who sat at the desk for it, one after the other; empty where the day does not say.
    officials: Vec<String>,
    /// The card of the game was corrected.
    corrected: bool,
    entries: Vec<Entry>,
    stills: Vec<Still>,
    log: String,
}

struct Entry {
    seq: u64,
    hash: Hash,
    key: KeyId,
}

/// A review as one HTML page.
///
/// # Errors
/// [`Error`] if the log cannot be read.
pub fn of_review(log: &Reader, held: &Held) -> Result<String, Error> {
    let review = held.review();
    let rules = match &held.begun {
        Some(begun) => reviews::rules(log, begun)?,
        None => None,
    };
    // An old edition in which this program finds faults does not keep the page from being shown.
    let book = rules.and_then(|rules| rules.load().ok());
    let game = review.called.as_ref().map(|called| called.game.as_str());
    let day = match game {
        Some(game) => days::Held::one(log, game)?.map(|held| held.day()),
        None => None,
    };
    let officials = day.as_ref().map_or(Vec::new(), |day| day.officials_of(held.id.as_str()).to_vec());
    let corrected = day.as_ref().is_some_and(|day| day.corrections > 0);
    let names = day.and_then(|day| day.opened).map_or_else(Names::default, |opened| opened.card.names);
    let entries = entries(log, &held.id)?;
    let stills = stills::of_review(log, &review)?;
    let log = log.id().to_string();
    Ok(page(&Source { held, review, book, names, officials, corrected, entries, stills, log }).into_string())
}

fn entries(log: &Reader, review: &str) -> Result<Vec<Entry>, Error> {
    let entry = |stored: Stored| Entry { seq: stored.seq, hash: stored.hash, key: stored.key };
    Ok(log.naming(review)?.into_iter().map(entry).collect())
}

const CAUTION: &str = "The league's published rules prevail, and the official decides. This page shows what was \
    entered, what was computed from it under the edition named below, and what was ruled.";

fn page(source: &Source<'_>) -> Markup {
    let title = format!("Review {}", source.held.id);
    html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { (title) }
                style { (PreEscaped(style::SHEET)) }
            }
            body {
                main {
                    (head(source))
                    (verdict::verdict(source))
                    (verdict::restart(source))
                    (path::questions(source))
                    (verdict::fouls(source))
                    (acts::times(source))
                    (acts::overrides(source))
                    (acts::acts(source))
                    (record(source))
                }
            }
        }
    }
}

/// Which review of which game, and the caution.
fn head(source: &Source<'_>) -> Markup {
    let review = &source.review;
    let called = review.called.as_ref();
    let at = review.times.called.as_ref().and_then(utc);
    html! {
        header {
            p.kicker { "Replay review" @if let Some(called) = called { " · " (called.game) @if let Some(week) = called.week { " · week " (week) } } }
            h1 { @match called { Some(called) => (called.play), None => "A review that was not called" } }
            p {
                @if let Some(called) = called { (capital(&text::initiator(called))) ". " }
                "Held by " b {
                    @if source.officials.len() > 1 { (source.officials.join(", then ")) } @else { (source.held.official) }
                }
                @if let Some(at) = at { ", called on " (at) " UTC" }
                ". Now: " b { (text::phase(review.phase)) } "."
            }
            @if source.corrected { p.note { "The card of the game was corrected: names are those of the corrected card." } }
            p.caution { (CAUTION) }
        }
    }
}

/// How the page can be proven against the log.
fn record(source: &Source<'_>) -> Markup {
    let keys: std::collections::BTreeSet<String> =
        source.entries.iter().map(|entry| entry.key.to_string()).collect();
    let ends = source.entries.first().zip(source.entries.last());
    html! {
        section {
            h2 { "The record" }
            dl {
                dt { "review" } dd.mono { (source.held.id) }
                dt { "log" } dd.mono { (source.log) }
                @if let Some(begun) = &source.held.begun {
                    dt { "rules" } dd { (begun.book) ", edition " span.mono { (begun.edition) } }
                }
                @if let Some(ruling) = &source.review.ruling {
                    dt { "computed by" } dd { "engine " (ruling.engine) }
                }
                @if let Some((first, last)) = ends {
                    dt { "entries" } dd { (first.seq) " to " (last.seq) ", " (source.entries.len()) " of this review" }
                    dt { "last hash" } dd.mono { (last.hash) }
                }
                dt { "signed by" } dd.mono { @for key in &keys { "key " (key) " " } }
            }
            p.note {
                "Each entry carries the hash of the one before and a signature. " code { "tellframe log verify" }
                " proves them; this page proves nothing by itself."
            }
        }
    }
}

/// `2026-05-09 19:42:11`; none for a time outside the calendar.
fn utc(stamp: &Stamp) -> Option<String> {
    let at = DateTime::<Utc>::from_timestamp_millis(stamp.utc_ms)?;
    Some(at.format("%Y-%m-%d %H:%M:%S").to_string())
}

/// `12.3 s`; with `~` where the machine was restarted in between.
fn seconds(elapsed: Option<Elapsed>) -> String {
    match elapsed {
        Some(Elapsed::Exact(ms)) => format!("{}.{} s", ms / 1000, ms % 1000 / 100),
        Some(Elapsed::ByWallClock(ms)) => format!("~{}.{} s", ms / 1000, ms % 1000 / 100),
        None => "not known".to_owned(),
    }
}
