//! What the demo prints: each act as it is written, then the ruling.

use crate::cli::{Answer, Unable, answer_text, print};
use formats::script::{Act, Script, Timed};
use log::store::location::Location;
use log::store::log::Log;
use log::streams::reviews::Session;
use review::announcement::clock_text;
use review::decide::questions;
use review::event::{Event, Snapshot};
use review::fold::Review;
use review::ruling::label;
use review::settle::settle;
use review::text;
use rules::book::Book;
use serde_json::{Value, json};
use std::io::Write;

/// Prints an act that is on the disk: its time, what it was, and what a ruling now would be.
pub(super) fn act(book: &Book, timed: &Timed, events: &[Event], review: &Review, entries: u64) {
    let says = match &timed.act {
        Act::Challenge => "challenge".to_owned(),
        Act::Ask { tree, call, .. } => format!("asks: {tree}, ruled {call}"),
        Act::ReadBack { .. } => "the call is read back".to_owned(),
        Act::Flag(flags) => format!("{} flags", flags.len()),
        Act::Choose { penalty, .. } => format!("choice on {penalty}"),
        Act::Look { step, camera, kind, .. } => format!("looks at {step}: {camera}, {}", kind.word()),
        Act::Mark { moment, camera, timecode, .. } => format!("marks {moment}: {camera} {timecode}"),
        Act::Answer { step, answer, measured, .. } => {
            let measured = if measured.is_some() { " (measured)" } else { "" };
            format!("answers {step}: {}{measured}", answer_text(answer))
        }
        Act::Place { step, seen, .. } => {
            let cameras: Vec<&str> = seen.iter().map(|seen| seen.calibration.camera.as_str()).collect();
            format!("places the point of {step}: {}", cameras.join(", "))
        }
        Act::Undo => "takes the last act back".to_owned(),
        Act::Withdraw => "the challenge is withdrawn".to_owned(),
        Act::Rule => "rules".to_owned(),
        Act::ReadBackRestart => "the restart is read back".to_owned(),
        Act::Announce => "announces".to_owned(),
        Act::CutShort { reason } => format!("ends without a ruling: {reason}"),
    };
    let refused = events.iter().find_map(|event| match event {
        Event::Refused(refused) => Some(format!("refused, rule {}: {}", refused.rule, refused.because)),
        _ => None,
    });
    let placed = events.iter().find_map(|event| match event {
        Event::Placed(placed) => Some(text::placed_against(placed)),
        _ => None,
    });
    let settled = events.contains(&Event::Settled).then(|| "settled".to_owned());
    let now = refused.or(placed).or(settled).or_else(|| now(book, timed, review));
    let mut out = std::io::stdout().lock();
    // Flushed at once, since the line reports that the act is on the disk. A closed pipe does not stop the review.
    let line = match now {
        Some(now) => format!("entry {entries:>4}  {:>5.1} s  {says:<58} {now}", timed.at_s),
        None => format!("entry {entries:>4}  {:>5.1} s  {says}", timed.at_s),
    };
    if writeln!(out, "{line}").and_then(|()| out.flush()).is_err() {
        tracing::debug!("nobody reads the demo's output any more");
    }
}

/// What a ruling now would be, after an answer.
fn now(book: &Book, timed: &Timed, review: &Review) -> Option<String> {
    let Act::Answer { question, .. } = &timed.act else { return None };
    let questions = questions(book, review);
    let question = questions.get(*question)?;
    let settled = settle(&question.stance(book), &question.answers);
    Some(format!("ruled now: {}", label(book, settled.now.outcome)))
}

/// The ruling in words, with the time it took by phase.
pub(super) fn ruling(
    log: &Log,
    session: &Session,
    script: &Script,
    place: &Location,
) -> Result<Answer, Unable> {
    let review = session.review();
    let Some(snapshot) = &review.ruling else {
        print("the review ended without a ruling")?;
        return Ok(Answer::No);
    };
    let mut text = format!("\n{}\n\n", script.title);
    for found in &snapshot.questions {
        let finding = found.finding.as_deref().unwrap_or("nothing proven");
        text += &format!("{}: {} → {}, {}\n", found.tree, found.call, found.label, finding);
    }
    for placed in review.placed() {
        let verdict = placed.measurement.verdict.word();
        text += &format!("{}: {}: {verdict}\n", placed.point, text::placed_against(placed));
    }
    text += &format!("\nAnnounce: {}\n", snapshot.words.announcement);
    text += &format!("Crew: {}\n", snapshot.words.crew);
    text += &format!("Clock operator: {}\n", snapshot.words.clock);
    text += &format!("Chain crew: {}\n", snapshot.words.chains);
    text += &accounts(snapshot);
    text += "\nTime to decision, as scripted:\n";
    text += &phases(review);
    let tip = log.reader().tip()?;
    text += &format!(
        "\nSigned by {} as entry {} of {}\n(head {}, edition {})\n",
        log.key().id(),
        tip.entries,
        place.log().display(),
        tip.head,
        snapshot.edition
    );
    text +=
        "\nThe league's published rules prevail and the official decides; this tool advises and records.\n";
    print(&text)
}

fn accounts(snapshot: &Snapshot) -> String {
    let after = &snapshot.after;
    format!(
        "After it: {} on the clock, score {}–{}, timeouts {}–{}, challenges used {}–{}\n",
        clock_text(after.clock_ms),
        after.score.home,
        after.score.away,
        after.timeouts.home,
        after.timeouts.away,
        after.challenges.home.used,
        after.challenges.away.used
    )
}

fn phases(review: &Review) -> String {
    let mut lines = String::new();
    let Some(called) = &review.times.called else { return lines };
    let mut before = 0;
    for (name, stamp) in review.times.named() {
        let Some(elapsed) = stamp.and_then(|stamp| stamp.since(called)) else { continue };
        let (total, own) = (elapsed.ms(), elapsed.ms().saturating_sub(before));
        before = total;
        lines += &format!("  {name:<10} {:>6.1} s   + {:.1} s\n", seconds(total), seconds(own));
    }
    lines
}

fn seconds(ms: u64) -> f64 {
    ms as f64 / 1000.0
}

/// The ruling as JSON.
pub(super) fn json(session: &Session) -> Value {
    let review = session.review();
    let called = review.times.called.as_ref();
    let phases: serde_json::Map<String, Value> = review
        .times
        .named()
        .into_iter()
        .filter_map(|(name, stamp)| {
            let elapsed = stamp?.since(called?)?;
            Some((name.to_owned(), json!(seconds(elapsed.ms()))))
        })
        .collect();
    let ruling = review.ruling.as_ref().map(|snapshot| {
        json!({
            "edition": snapshot.edition,
            "outcomes": snapshot.questions.iter().map(|found| &found.label).collect::<Vec<_>>(),
            "findings": snapshot.questions.iter().map(|found| &found.finding).collect::<Vec<_>>(),
            "after": formats::situation::Situation::from(&snapshot.after),
            "won": snapshot.won,
            "announcement": snapshot.words.announcement,
            "crew": snapshot.words.crew,
            "clock": snapshot.words.clock,
            "chains": snapshot.words.chains,
            "log": snapshot.words.log,
        })
    });
    json!({"review": session.id().to_string(), "ruling": ruling, "phases_s": phases})
}
