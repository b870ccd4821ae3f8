//! Ties of cameras to one clock: what is kept of them, what is refused, and that they are acts like all others.

use ::review::decide::Command;
use ::review::event::{Event, SameMoment, Tied};
use ::review::fold::fold;
use ::review::{text, tying};
use evidence::mark::Shot;
use log::chain::canonical;
use log::chain::label::ReviewId;
use log::forms;
use log::streams::read;
use log::streams::reviews;
use log::streams::reviews::Session;
use log::streams::session::Attempt;
use pages::review;
use serde_json::Value;
use testing::booth::{Booth, mark};
use testing::challenge::{Challenge, command_id, stamp};
use testing::logs::{Desk, act, append, entry};

/// Frame 120 of a clip of 60000/1001 pictures a second.
fn near() -> SameMoment {
    SameMoment {
        camera: "near side".to_owned(),
        timecode: "00:41:17;22".parse().expect("a timecode"),
        time_base: (1, 60_000),
        since: 119_119,
        at: 120_120,
        shot: Some(Shot {
            clip_sha256: "a".repeat(64),
            frame: 120,
            pts: 120_120,
            time_base: (1, 60_000),
            sha256: "b".repeat(64),
            exact: true,
            still: None,
        }),
    }
}

/// Frame 10 of a clip of 50 pictures a second, without a timecode of its own.
fn end() -> SameMoment {
    SameMoment {
        camera: "high end".to_owned(),
        timecode: "00:00:00:10".parse().expect("a timecode"),
        time_base: (1, 12_800),
        since: 2304,
        at: 2560,
        shot: None,
    }
}

fn tie(one: SameMoment, other: SameMoment) -> Command {
    Command::Tie(Box::new(Tied { one, other }))
}

#[test]
fn a_tie_is_kept_as_it_was_seen_and_taken_back_as_the_newest_act() {
    let mut booth = Booth::open("inside-line", "foul");
    booth.does(mark("snap", None, None));
    let events = booth.does(tie(near(), end()));
    let [event @ Event::Tied(tied)] = &events[..] else { panic!("{events:?}") };
    assert_eq!(**tied, Tied { one: near(), other: end() });
    let told = "tied near side at 00:41:17;22 to high end at 00:00:00:10: one moment, seen by both";
    assert_eq!(text::event(event), told);
    // Frame k at 60000/1001 stands at k × 1001/60000 s.
    let (since_s, at_s) = (tied.one.since_s(), tied.one.at_s());
    assert!((since_s - 119.0 * 1001.0 / 60_000.0).abs() < 1e-12 && (at_s - 2.002).abs() < 1e-12);
    assert_eq!((tied.other.since_s(), tied.other.at_s()), (0.18, 0.2));
    let again = fold(booth.review.events().to_vec());
    assert_eq!(again.ties().collect::<Vec<_>>(), [&Tied { one: near(), other: end() }]);
    booth.does(Command::Undo);
    assert_eq!((booth.review.ties().count(), booth.review.marks().count()), (0, 1));
}

#[test]
fn what_ties_nothing_is_refused_in_words() {
    let near_at = |since, at| SameMoment { since, at, ..near() };
    for (one, because) in [
        (near_at(0, 0), "the frame of near side at 00:41:17;22 has no earlier frame to tie from"),
        (near_at(5, 4), "the frame of near side at 00:41:17;22 has no earlier frame to tie from"),
        (near_at(-1, 4), "the frame of near side at 00:41:17;22 has no earlier frame to tie from"),
        (near_at(0, i64::MAX), "the frame of near side at 00:41:17;22 has no earlier frame to tie from"),
        (
            SameMoment { time_base: (1, 0), ..near() },
            "the frame of near side at 00:41:17;22 has no earlier frame to tie from",
        ),
        (
            SameMoment { camera: "high end".to_owned(), ..near() },
            "high end is a single camera: a tie needs two",
        ),
    ] {
        let no = Booth::open("inside-line", "foul").refuses(tie(one, end()));
        assert_eq!((no.because.as_str(), no.reason_carries), (because, false));
    }
    // Two observations of the same two pictures are one: named twice they would claim half the error.
    let mut booth = Booth::open("inside-line", "foul");
    booth.does(tie(near(), end()));
    for again in [tie(near(), end()), tie(end(), near())] {
        assert!(booth.refuses(again).because.contains("tied by these two pictures already"));
    }
    booth.does(tie(near_at(240_240 - 1001, 240_240), end()));
    assert_eq!(booth.review.ties().count(), 2);
}

#[test]
fn a_tie_belongs_to_an_open_review() {
    let mut booth = Booth::new();
    assert_eq!(booth.refuses(tie(near(), end())).because, "no review has been asked for");
}

/// The demo's challenge, in which control was marked on the near side and the landing on the low wall, tied before the
/// ruling: the page says by which clocks. 2.002 − ½ · 1001/60000 s less 0.2 − ½ · 1/50 s; both intervals' errors.
#[test]
fn the_page_says_which_clocks_an_order_of_two_cameras_rests_on() {
    let desk = Desk::with_notes(0);
    let challenge = Challenge::demo();
    let mut log = desk.open();
    let mut session = challenge.start(&log, "r-1");
    let mut number = 0;
    let mut does = |session: &mut Session, command, at_ms| {
        number += 1;
        let attempt = Attempt { command: command_id(session, number), at: stamp(at_ms) };
        session.act(&mut log, challenge.desk(), &attempt, command).expect("written")
    };
    let wall = SameMoment { camera: "low wall".to_owned(), ..end() };
    for (command, at_ms) in challenge.commands() {
        if command == Command::Rule {
            does(&mut session, tie(near(), wall.clone()), at_ms);
        }
        does(&mut session, command, at_ms);
    }
    let id = ReviewId::new("r-1").expect("a label");
    let held = reviews::Held::one(&desk.reader(), &id).expect("read").expect("there");
    let told = "near side – low wall: +1.804 s ± 7.5 ms from 1 tie, drift 0 ± 50 ppm";
    assert_eq!(tying::fits(&held.review()), [told]);
    let page = review::of_review(&desk.reader(), &held).expect("made");
    assert_eq!(page.matches(told).count(), 1, "at the step that asks which came first");
    assert!(page.contains("tied near side at 00:41:17;22 to low wall at 00:00:00:10"), "among the acts");
}

/// The stored form of a tie, as its first day wrote it.
#[test]
fn a_tie_is_read_from_the_log_as_it_was_written() {
    let event = Event::Tied(Box::new(Tied { one: near(), other: end() }));
    let kept = include_str!("../../../tests/golden/review-tied-1.json");
    let body: Value = serde_json::from_str(kept).expect("JSON");
    let desk = Desk::with_notes(0);
    let new = forms::entry(act(), &event).expect("it can be stored");
    let mut log = desk.open();
    let appended = append(&mut log, "c-1", &[new]);
    let stored = log.reader().entries(appended.entries[0].0).expect("read");
    let written = stored[0].entry().expect("known form");
    assert_eq!((written.kind.as_str(), &written.body), ("review.tied", &body));
    assert_eq!(canonical::is_canonical(kept.trim_end().as_bytes()), Ok(true));
    let read = read::event_of::<Event>(&desk.reader(), &entry("review.tied", body));
    let read = read.expect("readable").expect("an event").1.event;
    assert_eq!(read, event);
}
