//! Every key on every screen of the week: what the first press writes to the log, and that later presses write nothing.

use super::by_keys::{opened, played, press};
use crate::keys::{Cap, Chord, ctrl, letter, plain, shift};
use crate::support::chords::chords;
use crate::theme::Light;
use crate::week::{Message, Named, Tab, Week};
use formats::precedent::script::Script;
use formats::read::{Form, read};
use host::books;
use host::clock;
use iced::{Settings, Size};
use iced_test::Simulator;
use log::chain::label::{Actor, CommandId};
use log::chain::sign::Key;
use log::store::location::Location;
use log::store::log::Log;
use log::store::reader::Reader;
use log::streams::discretions::{DiscretionSession, Done};
use log::streams::precedents;
use log::streams::precedents::proposal;
use log::streams::session::Attempt;
use review::precedent::Command;
use review::precedent::pattern::Pattern;
use std::path::Path;

const PRECEDENTS: &str = include_str!("../../../../demo/precedents.ron");

fn attempt(name: &str) -> Attempt {
    Attempt { command: CommandId::new(name).expect("a name"), at: clock::now() }
}

/// Hands on a ruling of the demo's referee as a precedent.
fn propose(named: &Named) {
    let script: Script = read(PRECEDENTS, Form::Ron).expect("a script");
    let named_book = books::read(&script.book).expect("a book");
    let book = rules::book::load::load(&named_book.id, &named_book.sources).expect("it is sound");
    let key = Key::read(&named.key).expect("a key");
    let mut log = Log::open(&named.path, key).expect("a log");
    let (ruled, referee) = (&script.rulings[0], Actor::new("referee").expect("a name"));
    let session = DiscretionSession::named(&log, ruled.id.clone(), referee.clone());
    let mut session = session.expect("it begins");
    for (number, command) in ruled.commands(&book).expect("commands").into_iter().enumerate() {
        let done = session.act(&mut log, &book, &attempt(&format!("ruling {number}")), command);
        assert!(matches!(done, Ok(Done::Events(_))), "{done:?}");
    }
    let pattern = Pattern::of(&book, session.ruling()).expect("a pattern");
    let proposed = proposal(&ruled.id, &ruled.title, session.ruling(), pattern).expect("it is signed");
    let (id, propose) = (precedents::id_of(&ruled.id), Command::Propose(Box::new(proposed)));
    let done = precedents::act(&mut log, &referee, &attempt("propose"), &id, propose);
    assert!(matches!(done, Ok(precedents::Done::Events(_))), "{done:?}");
}

/// A screen of the week: its name, the keys that open it, and the text typed into its line.
struct Screen {
    name: &'static str,
    keys: &'static [Chord],
    typed: Option<&'static str>,
}

const fn digit(number: u8) -> Chord {
    plain(Cap::Digit(number))
}

const fn screen(name: &'static str, keys: &'static [Chord]) -> Screen {
    Screen { name, keys, typed: None }
}

const fn line(name: &'static str, keys: &'static [Chord], typed: &'static str) -> Screen {
    Screen { name, keys, typed: Some(typed) }
}

const DOWN: Chord = plain(Cap::Down);

const GRADES: Screen = screen("grades", &[digit(4), DOWN]);

const SCREENS: &[Screen] = &[
    screen("same facts", &[digit(1)]),
    screen("time", &[digit(2)]),
    screen("wording", &[digit(3)]),
    GRADES,
    screen("a grade that is chosen", &[digit(4), DOWN, letter('m')]),
    line("whose call", &[digit(4), DOWN, letter('k')], "umpire"),
    line("a poor picture", &[digit(4), DOWN, letter('p')], "near side: along the line: it is hidden"),
    line("a letter's answer", &[digit(4), DOWN, letter('a')], "it stands"),
    screen("angles", &[digit(5)]),
    screen("precedents", &[digit(6)]),
    line("approve", &[digit(6), shift(Cap::Letter('a'))], "7-12: it came up twice"),
    line("narrow", &[digit(6), shift(Cap::Letter('n'))], "7: down is 4: only late"),
    line("withdraw", &[digit(6), shift(Cap::Letter('w'))], "9: the rule was changed"),
    screen("another edition", &[digit(7)]),
    line("a folder", &[digit(7), letter('b')], "docs/examples/broken-book"),
];

/// A log with ungraded records and a precedent. It is made once and copied for each desk.
struct Logs(tempfile::TempDir);

/// A window over its own log.
struct Desk {
    week: Week,
    log: Reader,
    /// Entries in the log at the start.
    entries: u64,
    _folder: tempfile::TempDir,
}

impl Logs {
    fn new() -> Logs {
        let folder = tempfile::tempdir().expect("a folder");
        let (named, _) = played(folder.path(), 12);
        propose(&named);
        Logs(folder)
    }

    fn desk(&self) -> Desk {
        let folder = tempfile::tempdir().expect("a folder");
        for file in std::fs::read_dir(self.0.path()).expect("it can be read") {
            let file = file.expect("a file");
            std::fs::copy(file.path(), folder.path().join(file.file_name())).expect("it can be copied");
        }
        let place = Location::at(folder.path());
        let named = Named { path: place.log(), key: place.key() };
        let log = Reader::open(&named.path).expect("a log");
        let entries = log.tip().expect("a tip").entries;
        Desk { week: opened(folder.path(), &named), log, entries, _folder: folder }
    }
}

impl Desk {
    fn entries(&self) -> u64 {
        self.log.tip().expect("a tip").entries
    }

    fn open(&mut self, logs: &Logs, screen: &Screen) {
        if self.entries() != self.entries {
            *self = logs.desk();
        }
        press(&mut self.week, &[plain(Cap::Escape)]);
        press(&mut self.week, screen.keys);
        if let Some(text) = screen.typed {
            let _ = self.week.update(Message::Typed(text.to_owned()));
        }
        assert_eq!(self.week.typing.is_some(), screen.typed.is_some(), "{}", screen.name);
    }

    /// The kinds of entries that a key writes.
    fn written(&mut self, chord: Chord) -> Vec<String> {
        let before = self.entries();
        press(&mut self.week, &[chord]);
        let stored = self.log.entries(before + 1).expect("entries");
        stored.iter().map(|stored| stored.entry().expect("an entry").kind.as_str().to_owned()).collect()
    }
}

/// Chords whose key is bound on the week, with every modifier.
fn keys() -> impl Iterator<Item = Chord> {
    let known = |chord: &Chord| {
        let cap = chord.cap;
        crate::week::keys::KEYS.iter().flat_map(|binding| binding.chords).any(|known| known.cap == cap)
    };
    chords().into_iter().filter(known)
}

// PROPERTY: what costs, ends or grades is written by the first press of a key of its own, on every screen
#[test]
fn a_grade_or_a_decision_is_written_by_the_first_press_of_its_key_or_not_at_all() {
    let logs = Logs::new();
    let mut desk = logs.desk();
    for screen in SCREENS {
        for chord in keys() {
            desk.open(&logs, screen);
            let first = desk.written(chord);
            let line = screen.typed.is_some() && chord != plain(Cap::Enter);
            assert!(!line || first.is_empty(), "{}: {chord} writes {first:?}", screen.name);
            // Writing a page takes time, and appends nothing to the log.
            let times = if matches!(chord.cap, Cap::F(_)) { 1 } else { 5 };
            for press in 2..=times {
                let written = desk.written(chord);
                assert!(written.is_empty(), "{}: press {press} of {chord} writes {written:?}", screen.name);
            }
        }
    }
}

fn stands(week: &Week, words: &str) -> bool {
    let size = Size::new(1440.0, 900.0);
    let mut screen = Simulator::with_size(Settings::default(), size, week.view(Light::Dark.palette(), size));
    screen.find(words).is_ok()
}

/// For a first grade, and for one that replaces another.
#[test]
fn what_would_be_signed_stands_on_the_screen_first() {
    let logs = Logs::new();
    let mut desk = logs.desk();
    desk.open(&logs, &GRADES);
    let line = &desk.week.board.lines[desk.week.pointed()];
    let of = format!(", {} ({})", line.head, line.under);
    press(&mut desk.week, &[letter('m')]);
    assert!(stands(&desk.week, &format!("To be signed: call: missed call{of}")));
    press(&mut desk.week, &[ctrl(Cap::Enter), letter('i')]);
    let line = &desk.week.board.lines[desk.week.pointed()];
    let of = format!(", in place of missed call, {} ({})", line.head, line.under);
    assert!(stands(&desk.week, &format!("To be signed: call: incorrect call{of}")));
}

// PROPERTY: one letter signs no grade
#[test]
fn a_letter_chooses_a_grade_and_signs_none() {
    let logs = Logs::new();
    let mut desk = logs.desk();
    desk.open(&logs, &GRADES);
    for grade in "cinmrwlsvyog".chars() {
        assert_eq!(desk.written(letter(grade)), Vec::<String>::new(), "{grade}");
    }
    assert_eq!(desk.written(shift(Cap::Letter('s'))), Vec::<String>::new());
    // Another key signs the grade chosen last, once.
    assert_eq!(desk.written(letter('m')), Vec::<String>::new());
    assert_eq!(desk.written(ctrl(Cap::Enter)), ["grade.given"]);
    assert_eq!(desk.written(ctrl(Cap::Enter)), Vec::<String>::new());
}

/// A chosen grade belongs to the selected record, and is dropped when another one is selected.
#[test]
fn a_grade_that_was_chosen_is_dropped_by_every_other_key() {
    let logs = Logs::new();
    let mut desk = logs.desk();
    for other in [DOWN, plain(Cap::Escape), plain(Cap::Right), letter('u'), letter('h'), digit(1)] {
        desk.open(&logs, &GRADES);
        press(&mut desk.week, &[letter('c'), other]);
        assert_eq!(desk.written(ctrl(Cap::Enter)), Vec::<String>::new(), "{other}");
    }
    desk.open(&logs, &GRADES);
    press(&mut desk.week, &[letter('c')]);
    let _ = desk.week.update(Message::Line(3));
    assert_eq!(desk.written(ctrl(Cap::Enter)), Vec::<String>::new(), "a click on another line");
}

#[test]
fn a_log_without_records_takes_no_grade() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut week = opened(folder.path(), &none(folder.path()));
    press(&mut week, &[digit(4), letter('c'), ctrl(Cap::Enter)]);
    assert_eq!(week.tab, Tab::Grades);
}

fn none(folder: &Path) -> Named {
    Named { path: folder.join("none.sqlite"), key: folder.join("key.pem") }
}
