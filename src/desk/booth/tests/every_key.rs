//! Every key on every screen: what it writes to the log, pressed once and repeatedly.

mod screens;

use super::desk::Desk;
use crate::booth::{
    Message, after, before, between, brought, card, challenge, end, games, penalties, pictures, referee,
    ruling, screen, station, walk,
};
use crate::keys::{Acts, Binding, Cap, Chord, ctrl, letter, plain, shift};
use crate::support::chords::chords;
use crate::written::{Effect, Written};
use screens::{Base, SCREENS, Screen};
use std::collections::{BTreeMap, BTreeSet};
use tempfile::TempDir;

/// The logs of all screens, each made once.
struct Logs(BTreeMap<Base, TempDir>);

/// A screen that is open, over a log of its own.
struct Opened<'a> {
    logs: &'a Logs,
    screen: &'a Screen,
    desk: Desk,
    /// How many entries the log had when it was opened.
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

    /// Puts the screen back as it was when it was opened.
    fn again(&mut self) {
        if self.desk.entries() == self.entries {
            self.screen.again(&mut self.desk);
        }
        if self.desk.entries() != self.entries || self.desk.places() {
            *self = self.logs.open(self.screen);
        }
    }
}

/// Whether an entry costs a team something, ends something, or grades somebody.
fn grave(kind: &str) -> bool {
    Written::ALL.iter().any(|written| written.kind() == kind && written.effect() > Effect::Writes)
}

fn named(name: &str) -> &'static Screen {
    SCREENS.iter().find(|screen| screen.name == name).expect("it is one of them")
}

const NOTHING: Vec<String> = Vec::new();

// PROPERTY: a line that is typed owns every key, and only Enter writes from it
#[test]
fn a_line_that_is_typed_owns_every_key_and_only_enter_writes() {
    let lines: Vec<&Screen> = SCREENS.iter().filter(|screen| screen.line).collect();
    let logs = Logs::make(&lines);
    for screen in lines {
        let mut open = logs.open(screen);
        for chord in chords().into_iter().filter(|chord| *chord != plain(Cap::Enter)) {
            if open.desk.pressed(chord).is_some() {
                let written = open.written(&[chord]).concat();
                assert!(written.is_empty(), "{}: {chord} writes {written:?}", screen.name);
                open.again();
            }
        }
    }
}

/// The keys that write what costs, ends or grades, each on its screen; no other key does so anywhere.
const GRAVE: &[(&str, &str, &str)] = &[
    ("a timeout", "Ctrl Enter", "day.moved timeout"),
    ("the end of a period", "Ctrl Enter", "day.moved period"),
    ("the end of the game", "Ctrl Enter", "day.closed"),
    ("the early end of the game", "Ctrl Enter", "day.ended-early"),
    ("who begins the period", "1", "day.moved period"),
    ("who begins the period", "2", "day.moved period"),
    ("who begins the period", "3", "day.moved period"),
    ("who begins the period", "4", "day.moved period"),
    ("which call, at a price", "Ctrl Enter", "review.refused"),
    ("leaving a refused challenge", "Ctrl Enter", "day.review-ended"),
    ("the end of a review, as typed", "Ctrl Enter", "review.cut-short"),
    ("the ruling", "Ctrl Enter", "review.ruled"),
    ("signed", "K", "review.restart-read-back"),
    ("read back", "Shift A", "review.announced"),
    ("announced", "Enter", "day.review-ended"),
    ("withdrawn", "Enter", "day.review-ended"),
    ("cut short", "Enter", "day.review-ended"),
    ("the end of their ruling", "Enter", "discretion.abandoned"),
    ("their ruling is read back", "Ctrl Enter", "discretion.signed"),
];

/// What a key of the open screen writes by its table. Enter in a line can write what any key writes.
fn by_the_table(desk: &Desk, chord: Chord) -> BTreeSet<&'static str> {
    fn of<A: Acts>(table: &[Binding<A>], chord: Chord) -> Vec<Written> {
        let means = |binding: &&Binding<A>| chord == plain(Cap::Enter) || binding.chords.contains(&chord);
        table.iter().filter(means).flat_map(|binding| binding.act.writes()).copied().collect()
    }
    if desk.games().is_some() {
        return of(games::KEYS, chord).into_iter().map(Written::kind).collect();
    }
    if desk.card().is_some() {
        return of(card::KEYS, chord).into_iter().map(Written::kind).collect();
    }
    let written = match desk.screen() {
        screen::Screen::Before(_) => of(before::KEYS, chord),
        screen::Screen::Between(_) => of(between::KEYS, chord),
        screen::Screen::Challenge(_) => of(challenge::KEYS, chord),
        screen::Screen::Walk(_) if desk.in_game().pictures.places() => of(pictures::place::KEYS, chord),
        screen::Screen::Walk(_) => {
            of(walk::KEYS, chord).into_iter().chain(of(pictures::KEYS, chord)).collect()
        }
        screen::Screen::Ruling(_) | screen::Screen::Past(_) => of(ruling::KEYS, chord),
        screen::Screen::Penalties(_) => of(penalties::KEYS, chord),
        screen::Screen::Brought(_) => of(brought::KEYS, chord),
        screen::Screen::Referee(_) => of(referee::KEYS, chord),
        screen::Screen::After(_) => of(after::KEYS, chord),
        screen::Screen::Station(_) => of(station::KEYS, chord),
        screen::Screen::End(_) => of(end::KEYS, chord),
        screen::Screen::Card(_) => of(card::KEYS, chord),
    };
    written.into_iter().map(Written::kind).collect()
}

/// Every key on every screen, five times: the first press writes what the table of its screen says, and only the first
/// press, of a key of its own, writes what costs, ends or grades.
// PROPERTY: what costs, ends or grades is written by the first press of a key of its own, on every screen
#[test]
fn what_costs_ends_or_grades_is_written_by_the_first_press_of_its_key_or_not_at_all() {
    let all: Vec<&Screen> = SCREENS.iter().collect();
    let logs = Logs::make(&all);
    let mut found = BTreeSet::new();
    for screen in all {
        let mut open = logs.open(screen);
        for chord in chords() {
            if open.desk.pressed(chord).is_none() {
                continue;
            }
            let table = by_the_table(&open.desk, chord);
            let written = open.written(&[chord; 5]);
            let other: Vec<_> = written[0].iter().filter(|kind| !table.contains(kind.as_str())).collect();
            assert!(other.is_empty(), "{}: {chord} writes {other:?}", screen.name);
            let graves = |written: &Vec<String>| -> Vec<String> {
                written.iter().filter(|kind| grave(kind)).cloned().collect()
            };
            for (number, written) in written.iter().enumerate().skip(1) {
                let (press, again) = (number + 1, graves(written));
                assert!(again.is_empty(), "{}: press {press} of {chord} writes {again:?}", screen.name);
            }
            found.extend(graves(&written[0]).into_iter().map(|kind| (screen.name, chord.to_string(), kind)));
            open.again();
        }
    }
    let told = |(screen, chord, kind): &(&'static str, &str, &str)| {
        (*screen, (*chord).to_owned(), (*kind).to_owned())
    };
    assert_eq!(found, GRAVE.iter().map(told).collect());
}

/// The screens on which nobody sits at the desk of an open game, or which are the desk itself.
const NO_DESK: [&str; 7] = [
    "an empty card",
    "the games of the log",
    "at the desk",
    "at the desk during a review",
    "who takes over",
    "why a camera is out",
    "the card put right",
];

/// What is on the screen, with what was typed.
fn stands(desk: &Desk) -> String {
    format!("{:?}", desk.in_game().screen)
}

/// On every screen of a game: an official is relieved, a camera fails and comes back, and the screen is as it was, with
/// what was typed.
// PROPERTY: an official is relieved and a camera fails on any screen of a game, which goes on as it was
#[test]
fn the_desk_is_opened_over_every_screen_of_a_game_and_left_to_where_it_was() {
    let all: Vec<&Screen> = SCREENS.iter().filter(|screen| !NO_DESK.contains(&screen.name)).collect();
    let logs = Logs::make(&all);
    for screen in all {
        let mut open = logs.open(screen);
        let (stood, title) = (stands(&open.desk), open.desk.title());
        open.desk.press(plain(Cap::F(4)));
        assert_eq!(open.desk.title(), "at the desk", "{}", screen.name);
        open.desk.press(letter('w'));
        open.desk.type_in("booth-31");
        open.desk.press(plain(Cap::Digit(1)));
        open.desk.type_in("no signal");
        open.desk.press_all(&[plain(Cap::Digit(1)), plain(Cap::Escape)]);
        let written = open.desk.written_after(open.entries);
        assert_eq!(written, ["day.handed-over", "day.camera-lost", "day.camera-back"], "{}", screen.name);
        assert_eq!(open.desk.title(), title, "{}", screen.name);
        assert_eq!(stands(&open.desk), stood, "{}", screen.name);
        assert_eq!(open.desk.in_game().game.day().official.as_deref(), Some("booth-31"));
    }
}

#[test]
fn a_reason_line_keeps_ctrl_z_to_itself() {
    let logs = Logs::make(&[named("a reason")]);
    let mut open = logs.open(named("a reason"));
    assert_eq!(open.written(&[ctrl(Cap::Letter('z'))]), [NOTHING]);
}

/// A key that takes back does not do so in a line, even an empty one.
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

// PROPERTY: after signing Enter says nothing to the log
#[test]
fn three_quick_enters_after_signing_say_nothing_to_the_log() {
    let logs = Logs::make(&[named("signed")]);
    let mut open = logs.open(named("signed"));
    assert_eq!(open.written(&[plain(Cap::Enter); 3]).concat(), NOTHING);
    assert_eq!(open.desk.title(), "ruling");
}

// PROPERTY: a refused challenge is left at its price by a key of its own
#[test]
fn escape_alone_never_leaves_a_refused_challenge_at_its_price() {
    let logs = Logs::make(&[named("refused")]);
    let timeouts = |open: &Opened<'_>| {
        let day = open.desk.in_game().game.day();
        day.situation().expect("it is set").timeouts.home
    };
    let (enter, escape) = (plain(Cap::Enter), plain(Cap::Escape));
    let had = timeouts(&logs.open(named("refused")));
    // At once, and by way of the search.
    for keys in [vec![escape; 5], vec![enter, escape, escape, escape, escape], vec![escape, enter, escape]] {
        let mut open = logs.open(named("refused"));
        assert_eq!(open.written(&keys).concat(), NOTHING);
        assert_eq!((open.desk.title(), timeouts(&open)), ("challenge", had));
    }
    // The price is shown, and only a key of its own pays it.
    let mut open = logs.open(named("refused"));
    assert_eq!(open.written(&[escape, ctrl(Cap::Enter)]).concat(), ["day.review-ended"]);
    assert_eq!((open.desk.title(), timeouts(&open)), ("between plays", had - 1));
}

#[test]
fn a_quick_hand_types_a_word_and_answers_nothing() {
    let logs = Logs::make(&[named("a reason")]);
    let mut open = logs.open(named("a reason"));
    open.written(&[letter('y'), shift(Cap::Letter('n')), plain(Cap::Digit(1))]);
    let pressed = open.desk.pressed(letter('u'));
    let Some(Message::Walk(walk::Message::Typed(text))) = pressed else { panic!("{pressed:?}") };
    assert_eq!(text, "yN1u");
}

/// Everything that a window can write has a key, here or in the week. Importing letters and sheets of a second
/// look are commands.
#[test]
fn whatever_a_window_writes_is_in_the_table_of_a_key() {
    fn of<A: Acts>(table: &[Binding<A>]) -> BTreeSet<Written> {
        table.iter().flat_map(|binding| binding.act.writes()).copied().collect()
    }
    let given = [
        of(card::KEYS),
        of(before::KEYS),
        of(between::KEYS),
        of(challenge::KEYS),
        of(walk::KEYS),
        of(pictures::KEYS),
        of(pictures::place::KEYS),
        of(ruling::KEYS),
        of(brought::KEYS),
        of(referee::KEYS),
        of(after::KEYS),
        of(station::KEYS),
        of(end::KEYS),
        of(games::KEYS),
        of(crate::week::keys::KEYS),
    ];
    let given: BTreeSet<Written> = given.into_iter().flatten().collect();
    assert_eq!(given, Written::ALL.iter().copied().collect());
    // A key that is held down repeats these: none of them writes.
    fn held<A: Acts + std::fmt::Debug>(table: &[Binding<A>]) {
        for binding in table.iter().filter(|binding| binding.chords.iter().any(|chord| chord.repeats())) {
            assert!(binding.act.writes().is_empty(), "{:?}", binding.act);
        }
    }
    held(between::KEYS);
    held(challenge::KEYS);
    held(walk::KEYS);
    held(pictures::KEYS);
    held(pictures::place::KEYS);
    held(brought::KEYS);
    held(referee::KEYS);
    held(after::KEYS);
    held(station::KEYS);
    held(end::KEYS);
    held(games::KEYS);
    held(crate::week::keys::KEYS);
}
