//! The supervisor's week, by keys and without a display, over a season with everything planted in it.

use crate::keys::{Cap, Chord, ctrl, letter, plain, shift};
use crate::week::board::Detail;
use crate::week::held::Held;
use crate::week::line::Of;
use crate::week::post::command;
use crate::week::{Message, Named, Tab, Typing, Week, Weekly, What, keys};
use host::data::Folder;
use log::chain::entry::{Act, NewEntry};
use log::chain::label::{Actor, CommandId};
use log::chain::sign::Key;
use log::exchange::import::import;
use log::exchange::jsonl::Line;
use log::store::location::Location;
use log::store::log::Log;
use log::store::reader::Reader;
use log::streams::grades;
use log::streams::session::Attempt;
use review::grade::{Call, Event, Grade};
use review::precedent::Command;
use season::{Plants, Season, season};
use std::collections::BTreeSet;
use std::path::Path;
use std::sync::Arc;

/// A log with the first records of a season, and the season. Unless all records are taken, their grades are removed.
pub(in crate::week) fn played(folder: &Path, records: usize) -> (Named, Season) {
    let mut played = season(1, Plants::All);
    if records < played.records.len() {
        played.records.truncate(records);
        for record in &mut played.records {
            (record.grade, record.review_grade, record.plain) = Default::default();
            record.crew_position = None;
        }
    }
    (taken_in(folder, &played), played)
}

/// A log with the records of a season and the rules that they were made under.
fn taken_in(folder: &Path, played: &Season) -> Named {
    let place = Location::at(folder);
    let named = Named { path: place.log(), key: place.key() };
    let actor = Actor::new("season").expect("a name");
    let act = Act { actor, review: None, at: host::clock::now() };
    let key = Key::create(&named.key).expect("a key");
    let mut log = Log::create(&named.path, key, act.clone()).expect("a log");
    for rules in &played.rules {
        let head = log.reader().tip().expect("a head").head;
        let command = CommandId::new(format!("edition {}", rules.hash())).expect("a name");
        let entry = NewEntry::edition_stored(act.clone(), rules).expect("an entry");
        log.append(head, &command, &[entry]).expect("it is written");
    }
    let line = |(number, record): (usize, &formats::record::Record)| Line {
        number: number + 1,
        record: record.clone(),
        written: serde_json::to_value(record).expect("it is JSON"),
    };
    let lines: Vec<Line> = played.records.iter().enumerate().map(line).collect();
    import(&mut log, &act, &BTreeSet::new(), &lines).expect("it is taken in");
    named
}

/// Twelve records without grades, with the window at their grades.
fn grading(folder: &Path) -> (Named, Week) {
    let (named, _) = played(folder, 12);
    let mut week = opened(folder, &named);
    tab(&mut week, Tab::Grades);
    (named, week)
}

pub(in crate::week) fn opened(folder: &Path, named: &Named) -> Week {
    let weekly = Weekly {
        folder: Folder { given: Some(folder.to_owned()) },
        logs: vec![named.clone()],
        numbers: false,
        actor: Actor::new("supervisor").expect("a name"),
    };
    let (mut week, _) = Week::open(weekly.clone());
    let _ = week.update(Message::Read(Held::read(&weekly).map(Arc::new).map_err(Arc::new)));
    week
}

pub(in crate::week) fn press(week: &mut Week, chords: &[Chord]) {
    for chord in chords {
        let _ = week.update(Message::Pressed(*chord));
    }
}

pub(in crate::week) fn tab(week: &mut Week, tab: Tab) -> Vec<(String, String, bool)> {
    let digit = Tab::ALL.iter().position(|one| *one == tab).expect("one of them") as u8 + 1;
    press(week, &[plain(Cap::Digit(digit))]);
    assert_eq!(week.tab, tab);
    week.board.lines.iter().map(|line| (line.head.clone(), line.under.clone(), line.look)).collect()
}

// PROPERTY: what was planted in a season stands on the supervisor's screens
#[test]
fn what_was_planted_in_a_season_stands_on_the_screens() {
    let folder = tempfile::tempdir().expect("a folder");
    let (named, played) = played(folder.path(), usize::MAX);
    let planted = &played.planted;
    let mut week = opened(folder.path(), &named);

    let pairs = tab(&mut week, Tab::Pairs);
    assert!(pairs.iter().any(|(_, under, _)| under.contains("rules changed")), "{pairs:?}");
    let Detail::Pair(_) = week.board.detail else { panic!("{:?}", week.board.detail) };
    let crate::week::Reading::Done(held) = &week.reading else { panic!("it is not read") };
    let records = week.board.lines.iter().filter_map(|line| match line.of {
        Of::Misfit(at) => Some(&held.found.inconsistent[at].records),
        _ => None,
    });
    let records: Vec<&Vec<String>> = records.collect();
    let together = |ids: &[String]| records.iter().any(|records| ids.iter().all(|id| records.contains(id)));
    for pair in &planted.pairs {
        assert!(together(pair), "{pair:?}");
    }
    for id in planted.overrides.iter().chain(&planted.miscomputed) {
        assert!(together(std::slice::from_ref(id)), "{id}");
    }

    let slow = planted.slow.clone().expect("somebody is slow");
    let time = tab(&mut week, Tab::Time);
    assert_eq!(
        time.iter().filter(|(.., look)| *look).map(|(head, ..)| head.as_str()).collect::<Vec<_>>(),
        [format!("{slow} takes longer")]
    );

    tab(&mut week, Tab::Wording);
    let splitting: Vec<&Of> = week.board.lines.iter().filter(|line| line.look).map(|line| &line.of).collect();
    let split = planted.splitting.clone().expect("a step splits");
    assert_eq!(splitting, [&Of::Step(split.tree, split.step)]);

    // A single week has its own figures, and the week before the first is all weeks again.
    let all = week.board.lead.clone();
    press(&mut week, &[plain(Cap::Right)]);
    assert_eq!((week.title().as_str(), week.board.lead == all), ("week 1", false));
    press(&mut week, &[plain(Cap::Left)]);
    assert_eq!(week.board.lead, all);
}

/// Overwrites an outcome in the file of the log with another one of the same length.
fn forge(log: &Path) {
    let mut bytes = std::fs::read(log).expect("read");
    let at = bytes.windows(8).position(|eight| eight == b"reversed").expect("something was reversed");
    bytes[at..at + 8].copy_from_slice(b"upheld  ");
    std::fs::write(log, bytes).expect("written");
}

#[test]
fn a_forged_log_is_not_read_and_says_what_is_wrong() {
    let folder = tempfile::tempdir().expect("a folder");
    let (named, week) = grading(folder.path());
    forge(&named.path);
    let unread = Held::read(&week.weekly).expect_err("forged");
    let unread = unread.line();
    assert!(unread.contains("is broken: entry "), "{unread}");
    assert!(unread.contains("`tellframe log verify`"), "what to do is said: {unread}");
}

#[test]
fn no_page_is_written_of_a_log_that_was_forged_since_it_was_read() {
    let folder = tempfile::tempdir().expect("a folder");
    let (named, week) = grading(folder.path());
    forge(&named.path);
    let told = week.page();
    assert!(told.contains("is broken: entry "), "{told}");
    assert!(!folder.path().join("weeks.html").exists());
}

// PROPERTY: a grade that is signed is in the log at once, another one asks why
#[test]
fn a_grade_is_two_keys_is_in_the_log_at_once_and_another_one_asks_why() {
    let folder = tempfile::tempdir().expect("a folder");
    let (named, mut week) = grading(folder.path());
    press(&mut week, &[letter('u'), plain(Cap::Down)]);
    let Some(Of::Record(id)) = week.board.lines.get(1).map(|line| line.of.clone()) else {
        panic!("{:?}", week.board.lines.first())
    };
    let standing = || {
        let log = Reader::open(&named.path).expect("a log");
        let graded = grades::all(&log).expect("grades").remove(&id).expect("it is graded");
        (graded.call(), graded.grades.len())
    };
    // One letter chooses a grade, another key signs it.
    press(&mut week, &[letter('m'), ctrl(Cap::Enter)]);
    assert_eq!(standing(), (Some(Call::Missed), 1));
    // Signing again changes nothing. Another grade needs a reason, and both are kept.
    press(&mut week, &[ctrl(Cap::Enter), letter('c')]);
    assert_eq!(standing(), (Some(Call::Missed), 1));
    assert!(week.typing.is_some(), "{:?}", week.told);
    press(&mut week, &[letter('s'), letter('e'), letter('e'), letter('n'), plain(Cap::Enter)]);
    assert_eq!((standing(), week.typing.is_some()), ((Some(Call::Correct), 2), false));
    // Taking back adds a grade: the earlier one counts again, with a reason, and all of them are kept.
    press(&mut week, &[ctrl(Cap::Letter('z'))]);
    assert!(matches!(&week.typing, Some(Typing { what: What::Regrade(_), .. })), "{:?}", week.told);
    press(&mut week, &[letter('n'), letter('o'), plain(Cap::Enter)]);
    assert_eq!(standing(), (Some(Call::Missed), 3));
    press(&mut week, &[letter('c'), letter('y'), letter('e'), letter('s'), plain(Cap::Enter)]);
    // On another tab the letter grades nothing.
    tab(&mut week, Tab::Time);
    press(&mut week, &[letter('i')]);
    assert!(week.told.as_deref().is_some_and(|told| told.contains("grades")), "{:?}", week.told);
    press(&mut week, &[ctrl(Cap::Enter)]);
    assert_eq!(standing(), (Some(Call::Correct), 4));
}

// PROPERTY: imported grades stay beside those that are given here
#[test]
fn grades_that_were_imported_stay_beside_those_that_are_given_here() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut played = season(1, Plants::All);
    let id = {
        let graded = played.records.iter().position(|record| record.grade == "correct call");
        played.records.swap(0, graded.expect("somebody was graded"));
        played.records.truncate(1);
        played.records[0].id.clone()
    };
    let named = taken_in(folder.path(), &played);
    let imported = |week: &Week| {
        let Detail::Sheet(sheet) = &week.board.detail else { panic!("{:?}", week.board.detail) };
        sheet.grades.iter().filter(|says| says.ends_with(", as it was imported")).cloned().collect::<Vec<_>>()
    };
    let at_record = |week: &mut Week| {
        tab(week, Tab::Grades);
        press(week, &[letter('u')]);
        let at = week.board.lines.iter().position(|line| line.of == Of::Record(id.clone()));
        let _ = week.update(Message::Line(at.expect("it is listed")));
    };
    let mut week = opened(folder.path(), &named);
    at_record(&mut week);
    let before = imported(&week);
    assert!(before.iter().any(|says| says.starts_with("call: correct call")), "{before:?}");
    let key = Key::read(&named.key).expect("a key");
    let mut log = Log::open(&named.path, key).expect("a log");
    let attempt = Attempt { command: CommandId::new("a grade").expect("a name"), at: host::clock::now() };
    let missed = Event::Graded { grade: Grade::Call(Call::Missed), reason: String::new() };
    let actor = Actor::new("supervisor").expect("a name");
    grades::act(&mut log, &actor, &attempt, &id, missed).expect("it is written");
    drop(log);
    let mut week = opened(folder.path(), &named);
    at_record(&mut week);
    assert_eq!(imported(&week), before);
}

// PROPERTY: whose call it was is typed or picked, and hidden while grading is blind
#[test]
fn whose_call_it_was_is_picked_by_number_or_typed_and_stays_hidden_while_grading_is_blind() {
    let folder = tempfile::tempdir().expect("a folder");
    let (named, mut week) = grading(folder.path());
    let pointed = |week: &Week| match &week.board.lines[week.pointed()].of {
        Of::Record(id) => id.clone(),
        other => panic!("{other:?}"),
    };
    let type_in = |week: &mut Week, text: &str| {
        press(week, &[letter('k')]);
        let _ = week.update(Message::Typed(text.to_owned()));
        let _ = week.update(Message::Submit);
    };
    let standing = |id: &str| {
        let log = Reader::open(&named.path).expect("a log");
        grades::all(&log).expect("grades").remove(id)?.position().map(str::to_owned)
    };
    let first = pointed(&week);
    type_in(&mut week, "line judge");
    assert_eq!(standing(&first).as_deref(), Some("line judge"));
    // A change needs a reason, so the line stays open.
    type_in(&mut week, "umpire");
    assert_eq!((standing(&first).as_deref(), week.typing.is_some()), (Some("line judge"), true));
    type_in(&mut week, "umpire: it was in their zone");
    assert_eq!(standing(&first).as_deref(), Some("umpire"));
    let shown = |week: &Week| format!("{:?}", week.board.detail);
    assert!(!shown(&week).contains("umpire") && !shown(&week).contains("zone"), "{}", shown(&week));
    press(&mut week, &[letter('h')]);
    assert!(
        shown(&week).contains("position: umpire, by supervisor: it was in their zone"),
        "{}",
        shown(&week)
    );
    let sign = ctrl(Cap::Enter);
    press(&mut week, &[letter('c'), sign, letter('r'), sign, plain(Cap::Down)]);
    let second = pointed(&week);
    assert_ne!(first, second);
    type_in(&mut week, "1");
    assert!(week.crew.asks.contains("1 umpire"), "{}", week.crew.asks);
    assert_eq!(standing(&second).as_deref(), Some("umpire"));
}

#[test]
fn a_key_never_grades_what_the_eye_does_not_look_at() {
    let folder = tempfile::tempdir().expect("a folder");
    let (named, mut week) = grading(folder.path());
    let pointed = |week: &Week| week.board.lines[week.pointed()].of.clone();
    // A graded record stays in the list until the next one is selected.
    let ungraded = week.board.lines.iter().filter(|line| matches!(line.of, Of::Record(_))).count();
    assert!(ungraded > 2, "{:?}", week.board.lines);
    press(&mut week, &[plain(Cap::Down)]);
    let first = pointed(&week);
    let sign = ctrl(Cap::Enter);
    press(&mut week, &[letter('c'), sign, letter('r'), sign, letter('v'), sign]);
    assert_eq!(pointed(&week), first);
    let next = week.board.lines[week.pointed() + 1].of.clone();
    press(&mut week, &[plain(Cap::Down)]);
    assert_eq!(pointed(&week), next);
    assert!(!week.board.lines.iter().any(|line| line.of == first));
    let log = Reader::open(&named.path).expect("a log");
    let grades = grades::all(&log).expect("grades");
    let Of::Record(first) = first else { panic!("{first:?}") };
    assert_eq!((grades.len(), grades[&first].grades.len()), (1, 3));
}

#[test]
fn a_page_of_the_week_is_written_where_the_screen_says() {
    let folder = tempfile::tempdir().expect("a folder");
    let (named, _) = played(folder.path(), 12);
    let mut week = opened(folder.path(), &named);
    press(&mut week, &[plain(Cap::Right), plain(Cap::F(9))]);
    let page = std::fs::read_to_string(folder.path().join("week-1.html")).expect("it is there");
    assert!(page.contains("<h1>Week 1</h1>"));
    assert!(week.told.as_deref().is_some_and(|told| told.contains("week-1.html")), "{:?}", week.told);
}

#[test]
fn a_log_that_is_none_is_told_and_nothing_breaks() {
    let folder = tempfile::tempdir().expect("a folder");
    let none = Named { path: folder.path().join("none.sqlite"), key: folder.path().join("key.pem") };
    let mut week = opened(folder.path(), &none);
    press(
        &mut week,
        &[plain(Cap::Digit(4)), letter('c'), shift(Cap::Letter('a')), plain(Cap::Right), plain(Cap::F(9))],
    );
    assert!(
        matches!(&week.reading, crate::week::Reading::Unread(error) if error.line().contains("none.sqlite"))
    );
}

#[test]
fn a_decision_on_a_precedent_is_typed_in_one_line() {
    let says = |what, text: &str| command(what, text).map(|command| format!("{command:?}"));
    for (what, text, part) in [
        (What::Approve, "7-12: it came up twice", "Weeks { from: 7, until: Some(12) }"),
        (What::Approve, " 7 : from now on", "Weeks { from: 7, until: None }"),
        (What::Withdraw, "9: the rule was changed", "from: 9"),
        (
            What::Narrow,
            "7: call is complete, down is 4: late only",
            "Condition { fact: \"down\", is: \"4\" }",
        ),
    ] {
        let said = says(what, text);
        assert!(said.as_ref().is_ok_and(|said| said.contains(part)), "{text}: {said:?}");
    }
    for (what, text) in [
        (What::Approve, "12-7: backwards"),
        (What::Approve, "7"),
        (What::Approve, "7: "),
        (What::Withdraw, "soon: why"),
        (What::Narrow, "7: call complete: why"),
        (What::Narrow, "7: only late"),
    ] {
        assert!(says(what, text).is_err(), "{text}");
    }
    assert!(matches!(command(What::Withdraw, "9-12: x"), Ok(Command::Withdraw { from: 9, .. })));
}

#[test]
fn no_key_of_the_week_means_two_things() {
    let mut seen: Vec<Chord> = Vec::new();
    for chord in keys::KEYS.iter().flat_map(|binding| binding.chords) {
        assert!(!seen.contains(chord), "{chord} means two things");
        seen.push(*chord);
    }
}
