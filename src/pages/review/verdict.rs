//! What was ruled: outcomes, announcement, before and after, price and fouls.

use super::Source;
use maud::{Markup, html};
use review::announcement::{capital, clock_text, spot};
use review::event::{Found, Refused, Snapshot};
use review::stance::{Outcome, Why};
use review::text;
use rules::book::Book;
use rules::game::enforce::Done;
use rules::game::situation::{End, Next, Situation, Team};

/// The outcome of every question, the announcement and the price; what the gate refused.
pub(super) fn verdict(source: &Source<'_>) -> Markup {
    let review = &source.review;
    html! {
        @match &review.ruling {
            Some(ruling) => {
                @for found in &ruling.questions { (outcome(source, found)) }
                @if !ruling.words.announcement.is_empty() { p.said { "“" (ruling.words.announcement) "”" } }
                @if !ruling.words.log.is_empty() { p { (ruling.words.log) } }
                dl {
                    @if !ruling.words.crew.is_empty() { dt { "crew" } dd { (ruling.words.crew) } }
                    dt { "clock operator" } dd { (ruling.words.clock) }
                    dt { "chain crew" } dd { (ruling.words.chains) }
                    dt { "challenge" } dd { (price(ruling)) }
                }
            }
            None => p.verdict { "No ruling was made." },
        }
        @for refused in &review.refused { (gate(refused)) }
    }
}

fn outcome(source: &Source<'_>, found: &Found) -> Markup {
    let tree = source.book.as_ref().and_then(|book| book.tree(&found.tree));
    let call = tree.and_then(|tree| Some(tree.calls.get(tree.call(&found.call)?)?.says.as_str()));
    let finding = found.finding.as_ref();
    let finding_text = finding.map(|name| {
        let known = tree.and_then(|tree| tree.findings.get(tree.finding(name)?));
        known.map_or(name.as_str(), |finding| finding.says.as_str())
    });
    html! {
        div.verdict {
            p.label { (capital(&found.label)) @if found.moot { " (moot)" } }
            p { (tree.map_or(found.tree.as_str(), |tree| tree.title.as_str())) @if let Some(tree) = tree { ", rule " (tree.cite) } }
            dl {
                dt { "call on the field" } dd { (call.unwrap_or(&found.call)) }
                dt { "the video established" } dd { (established(found)) }
                dt { "what changed" } dd { (changed(found)) }
                @if let Some(text) = finding_text { dt { "finding" } dd { (text) } }
                @if found.finding.is_none() { dt { "still possible" } dd { (found.possible.join(" or ")) } }
                @if !found.settled { dt { "settled" } dd { "no: an answer that was not given could have changed the outcome" } }
            }
        }
    }
}

fn established(found: &Found) -> &'static str {
    match (found.established, found.outcome) {
        (true, Outcome::Confirmed) => "that the call was right",
        (true, Outcome::Reversed | Outcome::Stands(_)) => "that the call was wrong",
        (false, _) => "neither that the call was right nor that it was wrong",
    }
}

fn changed(found: &Found) -> &'static str {
    match found.outcome {
        Outcome::Reversed => "the call",
        Outcome::Confirmed => "nothing about the call",
        Outcome::Stands(Why::NotProven) => "nothing: doubt leaves the call standing",
        Outcome::Stands(Why::Barred) => "nothing: the rules bar the change",
        Outcome::Stands(Why::NotShared) => "nothing: what should replace the call was not proven",
        Outcome::Stands(Why::LeftToReferee) => "nothing yet: the rules leave it to the referee",
    }
}

fn price(ruling: &Snapshot) -> &'static str {
    match (ruling.won, ruling.price.timeout) {
        (None, _) => "none: no coach challenged",
        (Some(true), false) => "won; no timeout is charged",
        (Some(true), true) => "won; a timeout is charged",
        (Some(false), true) => "lost; a timeout is charged",
        (Some(false), false) => "lost; no timeout is charged",
    }
}

fn gate(refused: &Refused) -> Markup {
    html! {
        div.verdict {
            p.label { "Refused" }
            p { (capital(&text::question(&refused.asked))) }
            dl {
                dt { "rule" } dd { (refused.rule) }
                dt { "because" } dd { (refused.because) }
                dt { "price" } dd { @if refused.price.timeout { "a timeout" } @else { "none" } }
            }
        }
    }
}

/// The situation at the snap beside the one that the ruling leads to.
pub(super) fn restart(source: &Source<'_>) -> Markup {
    let (Some(ruling), Some(before)) = (&source.review.ruling, source.review.situation()) else {
        return html! {};
    };
    html! {
        section {
            h2 { "Before and after" }
            @if let Some(book) = &source.book { (field(book, &before, &ruling.after)) }
            table.short {
                thead { tr { th { "" } th { "at the snap" } th { "after the ruling" } th { "" } } }
                tbody {
                    @for (name, before, after) in rows(source, &before, &ruling.after) {
                        tr.changed[before != after] {
                            td { (name) } td { (before) } td { (after) }
                            td { @if before != after { "changed" } }
                        }
                    }
                    tr { td { "clock operator" } td {} td { (ruling.words.clock) } td {} }
                }
            }
        }
    }
}

fn rows(source: &Source<'_>, before: &Situation, after: &Situation) -> Vec<(&'static str, String, String)> {
    let names = &source.names;
    let row = |name, of: &dyn Fn(&Situation) -> String| (name, of(before), of(after));
    let both = |home: u32, away: u32| {
        format!("{} {home}, {} {away}", names.short.of(Team::Home), names.short.of(Team::Away))
    };
    let at = |situation: &Situation| match &source.book {
        Some(book) => spot(&book.field, names, situation, situation.spot),
        None => format!("{} yd from the own goal line", situation.spot),
    };
    vec![
        row("period", &|at| at.period.to_string()),
        row("clock", &|at| clock_text(at.clock_ms)),
        row("ball", &|at| names.teams.of(at.offense).clone()),
        row("next", &|at| next(at)),
        row("spot", &at),
        row("score", &|at| both(at.score.home.into(), at.score.away.into())),
        row("timeouts left", &|at| both(at.timeouts.home.into(), at.timeouts.away.into())),
        row("challenges used", &|at| both(at.challenges.home.used.into(), at.challenges.away.used.into())),
    ]
}

fn next(at: &Situation) -> String {
    match at.next {
        Next::Scrimmage { down, to_go } => format!("down {down}, {to_go} to go"),
        Next::Try => "try".to_owned(),
        Next::FreeKick => "free kick".to_owned(),
    }
}

/// The field from above with the ball before (open ring) and after (full disc), and the line to gain after.
fn field(book: &Book, before: &Situation, after: &Situation) -> Markup {
    let field = &book.field;
    let (length, depth) = (field.length.as_f64(), field.end_zone.as_f64());
    let whole = length + 2.0 * depth;
    let x = |situation: &Situation, yards: f64| match situation.attacks {
        End::East => depth + yards,
        End::West => depth + length - yards,
    };
    let ball = |situation: &Situation| x(situation, situation.spot.as_f64());
    let gain = match after.next {
        Next::Scrimmage { to_go, .. } => Some(x(after, (after.spot + to_go).as_f64())),
        Next::Try | Next::FreeKick => None,
    };
    let ten = (1..).map(|tens| f64::from(tens) * 10.0).take_while(|yards| *yards < length);
    let way = |situation: &Situation| match situation.attacks {
        End::East => "east",
        End::West => "west",
    };
    let label = format!(
        "The field from above, west on the left. At the snap the ball is {:.1} yards from the west goal line, after the ruling {:.1}.",
        ball(before) - depth,
        ball(after) - depth
    );
    html! {
        svg viewBox=(format!("0 -0.2 {whole} 8.4")) role="img" aria-label=(label) {
            rect x="0" y="0" width=(whole) height="8" fill="#ffffff" stroke="#16202b" stroke-width="0.2" {}
            @for at in [0.0, depth + length] { rect x=(at) y="0" width=(depth) height="8" fill="#dde4e9" {} }
            @for yards in ten { line x1=(depth + yards) x2=(depth + yards) y1="0" y2="8" stroke="#b9c4cd" stroke-width="0.12" {} }
            @for at in [depth, depth + length] { line x1=(at) x2=(at) y1="0" y2="8" stroke="#16202b" stroke-width="0.3" {} }
            @if let Some(at) = gain { line x1=(at) x2=(at) y1="0" y2="8" stroke="#0b4a53" stroke-width="0.3" stroke-dasharray="0.9 0.6" {} }
            circle cx=(ball(before)) cy="2.6" r="0.75" fill="#ffffff" stroke="#16202b" stroke-width="0.3" {}
            circle cx=(ball(after)) cy="5.4" r="0.9" fill="#16202b" {}
        }
        p.note {
            "Ring: at the snap, going " (way(before)) ". Disc: after the ruling, going " (way(after)) "."
            @if gain.is_some() { " Dashes: line to gain." }
        }
    }
}

/// The crew's flags and what became of them.
pub(super) fn fouls(source: &Source<'_>) -> Markup {
    let Some(ruling) = source.review.ruling.as_ref().filter(|ruling| !ruling.fouls.is_empty()) else {
        return html! {};
    };
    html! {
        section {
            h2 { "Fouls" }
            table {
                thead { tr { th { "foul" } th { "by" } th { "what became of it" } } }
                tbody {
                    @for foul in &ruling.fouls {
                        tr { td { (foul.name) } td { (source.names.teams.of(foul.by)) } td { (done(foul.done)) } }
                    }
                }
            }
        }
    }
}

fn done(done: Done) -> &'static str {
    match done {
        Done::Accepted => "accepted",
        Done::Declined => "declined",
        Done::Offset => "offset",
        Done::ScoreCounts => "dropped: the score counts",
        Done::Carried => "carried over",
        Done::FellAway => "fell away: the ball was dead",
    }
}
