//! A log that an earlier version wrote: opened, verified, listed, exported and continued.
//!
//! `tests/golden/kept-log/` holds entries of every stream: two games, one closed and one left open; two reviews, one
//! ruled with stills and one left in the middle; two rulings of the referee's own, one signed and proposed, one left
//! with a text erased; grades and letters, an imported record and a second look. `records.jsonl` and `show.json` are
//! what that version exported and showed. Never edited: a new version gets a new folder.

use log::exchange::{jsonl, records};
use log::store::log::Log;
use log::store::verify::Trust;
use log::streams::days::DaySession;
use log::streams::discretions::DiscretionSession;
use log::streams::reviews::Session;
use log::streams::{days, discretions, grades, precedents, reviews};
use review::day::fold::Phase as DayPhase;
use review::day::{Command as Day, Early};
use review::fold::Phase;
use std::fs;
use std::path::PathBuf;
use testing::challenge::Challenge;
use testing::day::act;
use testing::logs::{Desk, key};

const LOG: &[u8] = include_bytes!("../../../tests/golden/kept-log/log.sqlite");
const HEAD: &[u8] = include_bytes!("../../../tests/golden/kept-log/log.sqlite.head");
const RECORDS: &str = include_str!("../../../tests/golden/kept-log/records.jsonl");

/// A copy to write to, with or without the head beside it: with it the log opens by the quick pass.
fn kept(with_head: bool) -> Desk {
    let folder = tempfile::tempdir().expect("a folder");
    let path: PathBuf = folder.path().join("log.sqlite");
    fs::write(&path, LOG).expect("written");
    if with_head {
        fs::write(folder.path().join("log.sqlite.head"), HEAD).expect("written");
    }
    Desk { folder, path }
}

#[test]
fn a_log_of_an_earlier_version_verifies_and_gives_the_records_that_it_gave() {
    for with_head in [true, false] {
        let desk = kept(with_head);
        assert_eq!(desk.verdict(&Trust::Only(vec![key(7).public()]), None), "whole, 86 entries");
        let mut lines = Vec::new();
        jsonl::write(&records::all(&desk.reader()).expect("read"), &mut lines).expect("memory");
        assert_eq!(String::from_utf8(lines).expect("UTF-8"), RECORDS);
    }
}

#[test]
fn a_log_of_an_earlier_version_lists_what_every_stream_holds() {
    for with_head in [true, false] {
        let reader = kept(with_head).reader();
        let all = reviews::Held::all(&reader).expect("read");
        let told: Vec<_> =
            all.iter().map(|held| (held.id.as_str(), held.review().phase, held.unread.is_none())).collect();
        assert_eq!(told, [("r-1", Phase::Announced, true), ("r-2", Phase::Open, true)]);
        let games: Vec<_> =
            days::Held::all(&reader).expect("read").iter().map(|held| held.day().phase).collect();
        assert_eq!(games, [DayPhase::Closed, DayPhase::Open]);
        let rulings = discretions::Held::all(&reader).expect("read");
        let told: Vec<_> = rulings.iter().map(|held| (held.id.as_str(), held.events.len())).collect();
        assert_eq!(told, [("d-1", 10), ("d-2", 5)]);
        assert_eq!(rulings[1].ruling().because.as_deref(), Some(log::forms::ERASED));
        let all = precedents::all(&reader).expect("read");
        let [precedent] = all.as_slice() else { panic!("one: {all:?}") };
        assert_eq!((precedent.id.as_str(), precedent.decisions.len()), ("p-1", 2));
        let graded = grades::all(&reader).expect("read");
        let graded = graded.get("r-1/1").expect("it is graded");
        assert_eq!((graded.grades.len(), graded.letters.len()), (6, 2));
    }
}

#[test]
fn what_an_earlier_version_left_in_the_middle_is_gone_on_with() {
    let desk = kept(true);
    let mut log: Log = desk.open();
    let left = days::last_open(log.reader()).expect("read").expect("one is open");
    let unfinished = reviews::unfinished(log.reader()).expect("read");
    let [review] = unfinished.as_slice() else { panic!("one: {unfinished:?}") };
    let (review, mut challenge) = (review.id.clone(), Challenge::alignment());
    let mut session = Session::resume(&log, review, challenge.official()).expect("resumed");
    // The shipped book has another edition by now; what was begun goes on under its own.
    let rules = session.rules().expect("the log has them").clone();
    (challenge.book, challenge.rules) = (rules.load().expect("it is sound"), rules);
    let done = session.review().events().len();
    assert!(done > 0 && session.review().phase == Phase::Open, "{done}");
    let commands = challenge.commands();
    challenge.play(&mut log, &mut session, &commands, commands.len() / 2);
    assert_eq!(session.review().phase, Phase::Announced);
    let mut day = DaySession::resume(&log, "W03-MO-HK", challenge.official()).expect("resumed");
    assert_eq!(*day.day(), left.day());
    let ended = Box::new(session.review().clone());
    act(&mut log, &challenge, &mut day, "ended", Day::EndReview { review: "r-2".to_owned(), ended });
    let called = Day::EndEarly { how: Early::Called, reason: "a storm".to_owned() };
    act(&mut log, &challenge, &mut day, "close", called);
    let ruling = DiscretionSession::named(&log, "d-2".to_owned(), challenge.official()).expect("resumed");
    assert!(!ruling.ruling().is_over());
    drop(log);
    assert!(desk.verdict(&Trust::OwnKeys, None).starts_with("whole"));
    assert!(reviews::unfinished(&desk.reader()).expect("read").is_empty());
}
