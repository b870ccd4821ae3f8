//! The log of the game: what happened, entry by entry, with the situation after each; reviews can be opened, and any
//! play can be brought to the referee.
//!
//! Only visible rows are drawn, so a long log scrolls like a short one.

mod view;

pub(crate) use view::view;

use crate::keys::{Acts, Binding, Cap, letter, plain, shift};
use crate::written::Written;
use review::announcement::Names;
use review::day::fold::Day;
use review::day::{By, Ending, Event, text};
use rules::game::situation::Situation;
use std::collections::BTreeMap;

#[derive(Debug, Clone, PartialEq)]
pub(crate) struct After {
    /// The oldest first.
    rows: Vec<Row>,
    /// Index of the selected row.
    at: usize,
    told: Option<String>,
}

#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Row {
    /// Wall clock, in UTC.
    pub when: String,
    pub what: String,
    /// Taken back since.
    pub undone: bool,
    /// The situation after it, if it changed.
    pub then: Option<Situation>,
    /// Id of the review that it is about.
    pub review: Option<String>,
    /// The play that it is about, from 0.
    pub play: Option<usize>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Act {
    Up,
    Down,
    PageUp,
    PageDown,
    First,
    Last,
    Open,
    Print,
    Export,
    Referee,
    Back,
}

impl Acts for Act {
    /// Printed pages and exported records are files, not log entries.
    fn writes(self) -> &'static [Written] {
        match self {
            Act::Referee => &[Written::OwnOpened],
            Act::Up
            | Act::Down
            | Act::PageUp
            | Act::PageDown
            | Act::First
            | Act::Last
            | Act::Open
            | Act::Print
            | Act::Export
            | Act::Back => &[],
        }
    }
}

pub(crate) const KEYS: &[Binding<Act>] = &[
    Binding { chords: &[plain(Cap::Up)], act: Act::Up, says: "the entry above" },
    Binding { chords: &[plain(Cap::Down)], act: Act::Down, says: "the entry below" },
    Binding { chords: &[plain(Cap::PageUp)], act: Act::PageUp, says: "a page up" },
    Binding { chords: &[plain(Cap::PageDown)], act: Act::PageDown, says: "a page down" },
    Binding { chords: &[plain(Cap::Home)], act: Act::First, says: "the first entry" },
    Binding { chords: &[plain(Cap::End)], act: Act::Last, says: "the newest entry" },
    Binding { chords: &[plain(Cap::Enter)], act: Act::Open, says: "open the review" },
    Binding { chords: &[letter('p')], act: Act::Print, says: "write the review as a page to print" },
    Binding { chords: &[letter('e')], act: Act::Export, says: "write the records for programs" },
    Binding {
        chords: &[shift(Cap::Letter('r'))],
        act: Act::Referee,
        says: "the referee's own ruling about the play of this entry",
    },
    Binding { chords: &[plain(Cap::Escape)], act: Act::Back, says: "back to the game" },
];

#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Message {
    Act(Act),
    Point(usize),
}

#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Action {
    None,
    Open(String),
    Print(String),
    Export,
    /// The referee's own ruling about this play.
    Referee(usize),
    Back,
}

/// Rows shown at once.
pub(crate) const PAGE: usize = 18;

impl After {
    /// The log of a day, at its newest entry.
    pub(crate) fn new(day: &Day, names: &Names) -> After {
        let standing: BTreeMap<usize, Option<usize>> = plays(day).collect();
        let rows = day.events().iter().enumerate().map(|(number, stamped)| {
            let (what, then, review) = described(&stamped.event, names);
            let when = chrono::DateTime::from_timestamp_millis(stamped.at.utc_ms)
                .map_or_else(String::new, |at| at.format("%H:%M:%S").to_string());
            let undone = !standing.contains_key(&number);
            Row { when, what, undone, then, review, play: standing.get(&number).copied().flatten() }
        });
        let rows: Vec<Row> = rows.collect();
        After { at: rows.len().saturating_sub(1), rows, told: None }
    }

    pub(crate) fn tell(&mut self, words: String) {
        self.told = Some(words);
    }

    pub(crate) fn update(&mut self, message: Message) -> Action {
        let last = self.rows.len().saturating_sub(1);
        self.told = None;
        match message {
            Message::Point(at) => self.at = at.min(last),
            Message::Act(act) => match act {
                Act::Up => self.at = self.at.saturating_sub(1),
                Act::Down => self.at = (self.at + 1).min(last),
                Act::PageUp => self.at = self.at.saturating_sub(PAGE),
                Act::PageDown => self.at = (self.at + PAGE).min(last),
                Act::First => self.at = 0,
                Act::Last => self.at = last,
                Act::Open => return self.on_review(Action::Open),
                Act::Print => return self.on_review(Action::Print),
                Act::Export => return Action::Export,
                Act::Referee => match self.rows.get(self.at).and_then(|row| row.play) {
                    Some(play) => return Action::Referee(play),
                    None => self.told = Some("select the entry of a play, or of its review".to_owned()),
                },
                Act::Back => return Action::Back,
            },
        }
        Action::None
    }

    fn on_review(&mut self, action: impl Fn(String) -> Action) -> Action {
        match self.rows.get(self.at).and_then(|row| row.review.clone()) {
            Some(review) => action(review),
            None => {
                self.told = Some("select an entry that belongs to a review".to_owned());
                Action::None
            }
        }
    }
}

/// The events that stand, each with the play that it is about, if it is about one.
fn plays(day: &Day) -> impl Iterator<Item = (usize, Option<usize>)> {
    let mut so_far = Day::default();
    day.standing().map(move |(number, stamped)| {
        let play = match &stamped.event {
            Event::Moved { by: By::Play(_) | By::Fouls(_), .. } => so_far.plays.len().checked_sub(1),
            Event::ReviewBegan { play, .. } | Event::Looked { play } => Some(*play),
            Event::ReviewEnded { .. } => so_far.reviews.last().map(|reviewed| reviewed.play),
            Event::Moved { by: By::Set | By::Correction { .. } | By::Timeout(_) | By::Period, .. }
            | Event::Opened(_)
            | Event::Checked { .. }
            | Event::Undone { .. }
            | Event::OutOfService { .. }
            | Event::BackInService { .. }
            | Event::Closed
            | Event::EndedEarly { .. }
            | Event::Reopened { .. }
            | Event::CardCorrected { .. }
            | Event::HandedOver { .. }
            | Event::CameraLost { .. }
            | Event::CameraBack { .. } => None,
        };
        so_far.apply(stamped.clone());
        (number, play)
    })
}

/// An event in words, the situation after it and the review that it is about.
fn described(event: &Event, names: &Names) -> (String, Option<Situation>, Option<String>) {
    match event {
        Event::Opened(opened) => (format!("the game {} was opened", opened.card.game), None, None),
        Event::Checked { item, done: true } => (format!("{item}: checked"), None, None),
        Event::Checked { item, done: false } => (format!("{item}: open again"), None, None),
        Event::Moved { to, by } => {
            let what = match by {
                By::Set => "the situation was set".to_owned(),
                By::Play(play) => crate::booth::play_text::text(play.did).to_owned(),
                By::Fouls(fouled) => {
                    let names: Vec<&str> = fouled.fouls.iter().map(|foul| foul.penalty.as_str()).collect();
                    format!("{}; {}", crate::booth::play_text::text(fouled.play.did), names.join(", "))
                }
                By::Correction { reason: None } => "corrected".to_owned(),
                By::Correction { reason: Some(reason) } => format!("corrected: {reason}"),
                By::Timeout(team) => format!("timeout, {}", names.short.of(*team)),
                By::Period => "the period began".to_owned(),
            };
            (what, Some(*to), None)
        }
        Event::Undone { .. } => ("the newest change was taken back".to_owned(), None, None),
        Event::Looked { .. } => ("looked, no stop".to_owned(), None, None),
        Event::ReviewBegan { review, .. } => ("a review began".to_owned(), None, Some(review.clone())),
        Event::ReviewEnded { review, how, to } => {
            let how = match how {
                Ending::Ruled => "a review was ruled and announced",
                Ending::Refused => "a review was refused at the gate",
                Ending::Withdrawn => "a challenge was withdrawn",
                Ending::CutShort => "a review ended without a ruling",
            };
            (how.to_owned(), *to, Some(review.clone()))
        }
        Event::OutOfService { reason, .. } => (format!("replay out of service: {reason}"), None, None),
        Event::BackInService { .. } => ("replay back in service".to_owned(), None, None),
        Event::Closed => ("the game was closed".to_owned(), None, None),
        Event::EndedEarly { .. }
        | Event::CardCorrected { .. }
        | Event::HandedOver { .. }
        | Event::CameraLost { .. }
        | Event::CameraBack { .. } => (text::event(event), None, None),
        Event::Reopened { reason } => (format!("the game was reopened: {reason}"), None, None),
    }
}
