//! Every key on every screen: what it writes to the log, once and pressed again and again.

mod screens;

use super::whole::Desk;
use super::{Message, walk};
use crate::desk::keys::every::chords;
use crate::desk::keys::{Cap, Chord, ctrl, letter, plain, shift};
use screens::{Base, SCREENS, Screen};
use std::collections::{BTreeMap, BTreeSet};
use tempfile::TempDir;

/// The logs of all screens, each made once.
struct Logs(BTreeMap<Base, TempDir>);

/// A screen, open at a desk over a log of its own.
struct Opened<'a> {
    logs: &'a Logs,
    screen: &'a Screen,
    desk: Desk,
    /// How many entries the log has at first.
    entries: u64,
    _folder: TempDir,
}

impl Logs {
    fn make(screens: &[&Screen]) -> Logs {
        let bases: BTreeSet<Base> = screens.iter().map(|screen| screen.base).collect();
        let made = |base: Base| {
            let folder = tempfile::tempdir().expect("a folder");
            base.make(folder.path());
            (base, folder)
        };
        Logs(bases.into_iter().map(made).collect())
    }

    /// The screen as it opens, in a folder of its own.
    fn open<'a>(&'a self, screen: &'a Screen) -> Opened<'a> {
        let folder = tempfile::tempdir().expect("a folder");
        let desk = screen.open(self.0[&screen.base].path(), folder.path());
        Opened { logs: self, screen, entries: desk.entries(), desk, _folder: folder }
    }
}

impl Opened<'_> {
    /// What these keys write, one after the other.
    fn written(&mut self, chords: &[Chord]) -> Vec<Vec<String>> {
        let mut before = self.desk.entries();
        let mut written = |chord: &Chord| {
            self.desk.press(*chord);
            let written = self.desk.written_after(before);
            before += written.len() as u64;
            written
        };
        chords.iter().map(&mut written).collect()
    }

    /// The screen as it was at first.
    fn again(&mut self) {
        if self.desk.entries() == self.entries {
            self.screen.again(&mut self.desk);
        }
        if self.desk.entries() != self.entries || self.desk.booth.pictures.places() {
            *self = self.logs.open(self.screen);
        }
    }
}

/// Acts that cost a team something, end something, or grade somebody.
const GRAVE: &[&str] = &[
    "review.refused",
    "review.ruled",
    "review.restart-read-back",
    "review.announced",
    "review.withdrawn",
    "review.cut-short",
    "day.review-ended",
    "day.moved timeout",
    "day.moved period",
    "discretion.signed",
    "discretion.abandoned",
];

fn named(name: &str) -> &'static Screen {
    SCREENS.iter().find(|screen| screen.name == name).expect("it is one of them")
}

const NOTHING: Vec<String> = Vec::new();

#[test]
fn a_line_that_is_typed_owns_every_key_and_only_enter_writes() {
    let lines: Vec<&Screen> = SCREENS.iter().filter(|screen| screen.line).collect();
    let logs = Logs::make(&lines);
    for screen in lines {
        let mut open = logs.open(screen);
        for chord in chords().into_iter().filter(|chord| *chord != plain(Cap::Enter)) {
            if open.desk.booth.pressed(chord).is_some() {
                let written = open.written(&[chord]).concat();
                assert!(written.is_empty(), "{}: {chord} writes {written:?}", screen.name);
                open.again();
            }
        }
    }
}

#[test]
fn what_costs_ends_or_grades_is_written_by_the_first_press_of_its_key_or_not_at_all() {
    let all: Vec<&Screen> = SCREENS.iter().collect();
    let logs = Logs::make(&all);
    for screen in all {
        let mut open = logs.open(screen);
        for chord in chords() {
            if open.desk.booth.pressed(chord).is_none() {
                continue;
            }
            for (number, written) in open.written(&[chord; 5]).iter().enumerate().skip(1) {
                let grave: Vec<_> = written.iter().filter(|kind| GRAVE.contains(&kind.as_str())).collect();
                let press = number + 1;
                assert!(grave.is_empty(), "{}: press {press} of {chord} writes {grave:?}", screen.name);
            }
            open.again();
        }
    }
}

#[test]
fn a_reason_line_keeps_ctrl_z_to_itself() {
    let logs = Logs::make(&[named("a reason")]);
    let mut open = logs.open(named("a reason"));
    assert_eq!(open.written(&[ctrl(Cap::Letter('z'))]), [NOTHING]);
}

/// A key that takes back is no key of a line, even where the line is empty.
#[test]
fn backspace_in_an_empty_line_takes_nothing_back() {
    let lines: Vec<&Screen> = SCREENS.iter().filter(|screen| screen.line).collect();
    let logs = Logs::make(&lines);
    for screen in lines {
        let mut chords = vec![plain(Cap::Backspace); 60];
        chords.extend([ctrl(Cap::Letter('z')), shift(Cap::Backspace), ctrl(Cap::Backspace)]);
        assert_eq!(logs.open(screen).written(&chords).concat(), NOTHING, "{}", screen.name);
    }
}

#[test]
fn three_quick_enters_after_signing_say_nothing_to_the_log() {
    let logs = Logs::make(&[named("signed")]);
    let mut open = logs.open(named("signed"));
    assert_eq!(open.written(&[plain(Cap::Enter); 3]).concat(), NOTHING);
    assert_eq!(open.desk.title(), "ruling");
}

#[test]
fn escape_alone_never_leaves_a_refused_challenge_at_its_price() {
    let logs = Logs::make(&[named("refused")]);
    let timeouts = |open: &Opened<'_>| {
        let day = open.desk.booth.post.as_ref().ok().and_then(|post| post.day()).expect("a day");
        day.situation().expect("it is set").timeouts.home
    };
    let (enter, escape) = (plain(Cap::Enter), plain(Cap::Escape));
    let had = timeouts(&logs.open(named("refused")));
    // At once, and through the search and back.
    for keys in [vec![escape; 5], vec![enter, escape, escape, escape, escape], vec![escape, enter, escape]] {
        let mut open = logs.open(named("refused"));
        assert_eq!(open.written(&keys).concat(), NOTHING);
        assert_eq!((open.desk.title(), timeouts(&open)), ("challenge", had));
    }
    // What it costs is said, and one key of its own pays it.
    let mut open = logs.open(named("refused"));
    assert_eq!(open.written(&[escape, ctrl(Cap::Enter)]).concat(), ["day.review-ended"]);
    assert_eq!((open.desk.title(), timeouts(&open)), ("between plays", had - 1));
}

#[test]
fn a_quick_hand_types_a_word_and_answers_nothing() {
    let logs = Logs::make(&[named("a reason")]);
    let mut open = logs.open(named("a reason"));
    open.written(&[letter('y'), shift(Cap::Letter('n')), plain(Cap::Digit(1))]);
    let pressed = open.desk.booth.pressed(letter('u'));
    let Some(Message::Walk(walk::Message::Typed(text))) = pressed else { panic!("{pressed:?}") };
    assert_eq!(text, "yN1u");
}
