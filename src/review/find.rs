//! Type to find: which question is meant, the likeliest first.
//!
//! A pure ranking of the book's questions and of what it closes to review. Typed words are matched with titles, plain
//! words, rule numbers and calls: whole, as a prefix, inside a word, or mistyped. Each result carries the gate's
//! answer, so that allowed questions come first and a refusal is seen before it costs anything.

use super::gate::{self, Entry, Gate, Initiator, Ruled, Stop, Subject};
use rules::book::Book;
use rules::book::effect::Effect;
use rules::book::replay::{BoothOnly, Closed};
use rules::book::tree::{AfterWhistle, Call, OnCall, Tree};
use rules::game::situation::Situation;

/// What is known when a question is looked for.
#[derive(Debug, Clone, Copy)]
pub struct Sought<'a> {
    /// At the snap.
    pub situation: &'a Situation,
    pub initiator: Initiator,
    pub stop: Stop,
    /// What else the crew ruled.
    pub ruled: &'a [Ruled],
    /// As typed; may be empty.
    pub words: &'a str,
}

/// A question that may be meant.
#[derive(Debug, Clone)]
pub struct Candidate<'b> {
    pub what: What<'b>,
    /// How well the typed words match, from 0 to 1; 1 where none were typed.
    pub met: f64,
    /// How likely it is before a word is typed: the sum of 4 for a score or turnover that was ruled, 2 for the time, 1
    /// for player safety.
    pub hints: u8,
}

/// A question, with the gate's answer for each of its calls in the order of the book, or something never reviewed.
#[derive(Debug, Clone)]
pub enum What<'b> {
    Question { tree: &'b Tree, calls: Vec<Gate> },
    Closed { name: &'b str, closed: &'b Closed },
}

/// A word that matches less well than this is another word. One letter changed in a word of five has a Jaro measure of
/// (4/5 + 4/5 + 1) / 3 = 0.867; one in a word of four, 0.833, which is taken for another word.
const MISTYPED: f64 = 0.86;

/// From this measure on, a word matches as typed, whole or as a prefix.
const AS_TYPED: f64 = 0.9;

impl Candidate<'_> {
    /// Whether the gate allows at least one of its calls.
    pub fn allowed(&self) -> bool {
        match &self.what {
            What::Question { calls, .. } => calls.iter().any(|gate| matches!(gate, Gate::Allowed { .. })),
            What::Closed { .. } => false,
        }
    }
}

/// The questions that may be meant, the likeliest first: matched as typed before mistyped, allowed before refused, then
/// by how well they match, by the hints, and in the order of the book.
pub fn find<'b>(book: &'b Book, sought: Sought<'_>) -> Vec<Candidate<'b>> {
    let typed: Vec<String> = words_of(sought.words).collect();
    let mut found = Vec::new();
    for tree in &book.trees {
        let met = met(&typed, texts(tree));
        if met > 0.0 {
            let calls = gates(book, tree, sought);
            found.push(Candidate {
                what: What::Question { tree, calls },
                met,
                hints: hints(book, tree, sought),
            });
        }
    }
    // What can never be reviewed is listed only when somebody types for it.
    for (name, closed) in book.closed.iter().filter(|_| !typed.is_empty()) {
        let met = met(&typed, [name.as_str(), closed.cite.as_str()].into_iter());
        if met > 0.0 {
            found.push(Candidate { what: What::Closed { name, closed }, met, hints: 0 });
        }
    }
    // Stable: equals stay in the order of the book.
    found.sort_by(|one, other| {
        let key = |candidate: &Candidate<'_>| (candidate.met >= AS_TYPED, candidate.allowed());
        key(other).cmp(&key(one)).then(other.met.total_cmp(&one.met)).then(other.hints.cmp(&one.hints))
    });
    found
}

/// The questions that typed words name, whoever may ask them: matched as typed before mistyped, then by how well they match,
/// then in the order of the book. Every question where no word was typed.
pub fn named<'b>(book: &'b Book, words: &str) -> Vec<&'b Tree> {
    let typed: Vec<String> = words_of(words).collect();
    let met = book.trees.iter().map(|tree| (met(&typed, texts(tree)), tree));
    let mut found: Vec<(f64, &Tree)> = met.filter(|(met, _)| *met > 0.0).collect();
    found.sort_by(|(one, _), (other, _)| other.total_cmp(one));
    found.into_iter().map(|(_, tree)| tree).collect()
}

/// What names a question: its title, rule, id, plain words and calls.
fn texts(tree: &Tree) -> impl Iterator<Item = &str> {
    let calls = tree.calls.iter().map(|call| call.name.as_str());
    let own = [tree.title.as_str(), tree.cite.as_str(), tree.id.as_str()];
    own.into_iter().chain(tree.words.iter().map(String::as_str)).chain(calls)
}

fn gates(book: &Book, tree: &Tree, sought: Sought<'_>) -> Vec<Gate> {
    let gate = |call: &Call| {
        let subject =
            Subject { name: &tree.id, call: &call.name, ruled: sought.ruled, entry: Entry::Challenged };
        gate::gate(book, sought.situation, sought.initiator, sought.stop, &subject)
            .expect("the book has the tree and its call")
    };
    tree.calls.iter().map(gate).collect()
}

/// How likely a question is before a word is typed: most of all because the crew ruled what it is about, then by the
/// time, then because the booth looks after player safety.
fn hints(book: &Book, tree: &Tree, sought: Sought<'_>) -> u8 {
    let ruled = |what: Ruled| sought.ruled.contains(&what);
    let score = |effect: &Effect| matches!(effect, Effect::Score { .. });
    let score = ruled(Ruled::Score) && (tree.calls.iter().any(|call| call.score) || leads_to(tree, score));
    let turnover = |effect: &Effect| *effect == Effect::TurnOver;
    let turnover =
        ruled(Ruled::Turnover) && (tree.calls.iter().any(|call| call.turnover) || leads_to(tree, turnover));
    let limit = book.replay.booth_only.iter().find_map(|(rule, _)| match rule {
        BoothOnly::LastSeconds(seconds) => Some(*seconds),
        BoothOnly::Overtime | BoothOnly::RuledScore | BoothOnly::RuledTurnover => None,
    });
    let seconds = limit.unwrap_or(book.game.clock_stops.last_s);
    let late = book.game.in_last(seconds, sought.situation.period, sought.situation.clock_ms);
    let clock = late && tree.booth_only.is_some();
    let safety = tree.safety && sought.initiator == Initiator::Booth;
    4 * u8::from(score || turnover) + 2 * u8::from(clock) + u8::from(safety)
}

/// Whether a call or a finding of the tree can have such an effect.
fn leads_to(tree: &Tree, wanted: impl Fn(&Effect) -> bool + Copy) -> bool {
    let of_call = |call: &Call| call.result.iter().any(wanted);
    let on_call = |on: &OnCall| match on {
        OnCall::Agrees { correction } => correction.iter().any(wanted),
        OnCall::AgreesIfOn { effects, .. } => effects.iter().any(wanted),
        OnCall::Changes { effects, whistled } => {
            let after = match whistled {
                Some(AfterWhistle::Changes(effects)) => effects.iter().any(wanted),
                Some(AfterWhistle::Barred(_)) | None => false,
            };
            after || effects.iter().any(wanted)
        }
        OnCall::Barred(_) => false,
    };
    tree.calls.iter().any(of_call) || tree.findings.iter().any(|finding| finding.on.values().any(on_call))
}

/// The words of a text, in lower case.
fn words_of(text: &str) -> impl Iterator<Item = String> {
    let split = |c: char| !(c.is_alphanumeric() || c == '.');
    text.split(split).filter(|word| !word.is_empty()).map(str::to_lowercase)
}

/// How well typed words match texts: the mean over the words, or 0 where one of them matches nothing.
fn met<'t>(typed: &[String], texts: impl Iterator<Item = &'t str>) -> f64 {
    if typed.is_empty() {
        return 1.0;
    }
    let known: Vec<String> = texts.flat_map(words_of).collect();
    let best = |word: &String| known.iter().map(|known| alike(word, known)).fold(0.0, f64::max);
    let each: Vec<f64> = typed.iter().map(best).collect();
    if each.contains(&0.0) {
        return 0.0;
    }
    each.iter().sum::<f64>() / each.len() as f64
}

/// How well two words match: equal 1, a prefix 0.95, inside 0.7, mistyped below that by the Jaro-Winkler measure
/// (Winkler 1990), else 0.
fn alike(typed: &str, known: &str) -> f64 {
    if typed == known {
        return 1.0;
    }
    if known.starts_with(typed) {
        return 0.95;
    }
    if typed.chars().count() < 3 {
        return 0.0;
    }
    if known.contains(typed) {
        return 0.7;
    }
    let measure = strsim::jaro_winkler(typed, known);
    if measure >= MISTYPED { 0.6 * measure } else { 0.0 }
}
