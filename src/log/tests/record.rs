//! The stored form of a review's events: what is written is read back, and what was written once stays readable.

use evidence::mark::{Mark, Shot};
use evidence::time::scoreboard::{Scoreboard, Shown};
use field::exact::Yards;
use log::Error;
use log::chain::canonical;
use log::chain::entry::{Entry, NewEntry};
use log::forms;
use log::forms::Begun;
use log::store::reader::Reader;
use log::store::verify::Trust;
use log::streams::read;
use proptest::prelude::*;
use review::event::{Answered, Event, Look, Marked, ReadBack};
use review::fold::Stamped;
use rules::book::effect::DeadBy;
use rules::game::play::PlayEnd;
use serde_json::{Value, json};
use testing::challenge::shot;
use testing::events::{events, every_kind, measured};
use testing::logs::{Desk, act, append, entry, golden_entry, golden_line, head};
use testing::repeatable;

/// Bodies of entries, one a line, as form 1 wrote them on its first day. Never edited: a new form gets a new file.
const FORM_1: &str = include_str!("../../../tests/golden/review-form-1.jsonl");

/// Answers as form 2 wrote them on its first day: with what was measured.
const FORM_2: &str = include_str!("../../../tests/golden/review-form-2.jsonl");

/// A mark with a still, as form 3 wrote it on its first day.
const FORM_3: &str = include_str!("../../../tests/golden/review-form-3.jsonl");
const FORM_4: &str = include_str!("../../../tests/golden/review-form-4.jsonl");

/// The entries that these events become, read back from a log.
fn stored(desk: &Desk, all: &[Event]) -> Vec<Entry> {
    let mut log = desk.open();
    let new: Vec<NewEntry> =
        all.iter().map(|event| forms::entry(act(), event).expect("can be stored")).collect();
    let name = format!("c after {}", head(&log));
    let appended = append(&mut log, &name, &new);
    let first = appended.entries[0].0;
    let entries = log.reader().entries(first).expect("read");
    entries.iter().map(|stored| stored.entry().expect("known form")).collect()
}

/// The event of an entry, with who did it and when.
fn event_of(log: &Reader, entry: &Entry) -> Result<Option<Stamped>, Error> {
    Ok(read::event_of::<Event>(log, entry)?.map(|(_, stamped)| stamped))
}

fn without_texts(event: Event, text: &str) -> Event {
    match event {
        Event::Looked(look) => Event::Looked(Look { reason: look.reason.map(|_| text.to_owned()), ..look }),
        Event::Answered(answered) => {
            Event::Answered(Answered { reason: answered.reason.map(|_| text.to_owned()), ..answered })
        }
        Event::CutShort { .. } => Event::CutShort { reason: text.to_owned() },
        Event::Ruled(mut snapshot) => {
            snapshot.overrides.iter_mut().for_each(|done| done.reason = text.to_owned());
            Event::Ruled(snapshot)
        }
        other => other,
    }
}

proptest! {
    #![proptest_config(repeatable(12))]

    // PROPERTY: every event comes back from the log as it went in
    #[test]
    fn any_event_comes_back_from_the_log_as_it_went_in(all in prop::collection::vec(events(), 1..24)) {
        let desk = Desk::with_notes(0);
        let entries = stored(&desk, &all);
        prop_assert_eq!(entries.len(), all.len());
        let reader = desk.reader();
        for (entry, event) in entries.iter().zip(all) {
            prop_assert_eq!(canonical::is_canonical(&entry.bytes().expect("spelt")), Ok(true));
            let read = event_of(&reader, entry).expect("of the known form");
            prop_assert_eq!(read, Some(Stamped { at: act().at, event }));
        }
        let whole = format!("whole, {} entries", entries.len() + 1);
        prop_assert_eq!(desk.verdict(&Trust::OwnKeys, None), whole);
    }
}

/// The texts of the old lines are not beside this chain, so they read as erased.
// PROPERTY: old bodies read as the events that they were
#[test]
fn bodies_of_the_first_form_are_read_as_the_events_that_they_were() {
    let desk = Desk::with_notes(0);
    let expected = every_kind();
    assert_eq!(FORM_1.lines().count(), expected.len());
    for (line, event) in FORM_1.lines().zip(expected) {
        let read = event_of(&desk.reader(), &golden_entry(line)).expect("readable").expect("an event").event;
        assert_eq!(read, without_texts(event, forms::ERASED));
    }
}

/// The bodies of these events as a log has them, one a line, without the salts of their texts.
fn written(all: &[Event]) -> String {
    stored(&Desk::with_notes(0), all).iter().map(golden_line).collect()
}

/// What was measured needs the second form; everything else is written so that an older program can read it.
#[test]
fn an_event_is_written_in_the_oldest_form_that_can_say_it() {
    let all = every_kind();
    let computed = |line: &&str| line.contains(r#"{"computed":"#);
    let written_first: String =
        written(&all).lines().filter(|line| !computed(line)).map(|l| format!("{l}\n")).collect();
    let first: String = FORM_1.lines().filter(|line| !computed(line)).map(|l| format!("{l}\n")).collect();
    assert_eq!(written_first, first);
    assert_eq!(written(&measured()), FORM_2);
}

#[test]
fn bodies_of_the_second_form_are_read_as_the_events_that_they_were() {
    let desk = Desk::with_notes(0);
    let expected = measured();
    assert_eq!(FORM_2.lines().count(), expected.len());
    for (line, event) in FORM_2.lines().zip(expected) {
        let read = event_of(&desk.reader(), &golden_entry(line)).expect("readable").expect("an event").event;
        assert_eq!(read, event);
    }
}

/// A still needs the third form; a mark with its picture alone keeps to the second.
#[test]
fn a_mark_with_a_still_is_written_in_the_third_form_and_read_back() {
    let shot = Shot { still: Some("5".repeat(64)), ..shot() };
    let mark = Mark {
        moment: "control".to_owned(),
        camera: "near side".to_owned(),
        timecode: "00:41:17;19".parse().expect("a timecode"),
    };
    let with = Event::Marked(Marked { mark, x: None, clock_ms: None, shot: Some(shot), scoreboard: None });
    assert_eq!(written(std::slice::from_ref(&with)), FORM_3);
    let Event::Marked(mut marked) = with else { unreachable!("it is a mark") };
    if let Some(shot) = &mut marked.shot {
        shot.still = None;
    }
    assert!(written(&[Event::Marked(marked)]).contains(r#""form":2"#));
}

/// Words for the crew and for the log need the second form of a ruling; one of before is written as it was.
#[test]
fn a_ruling_with_words_for_the_crew_and_the_log_is_written_in_the_second_form_and_read_back() {
    let desk = Desk::with_notes(0);
    let ruled = every_kind().into_iter().find_map(|event| match event {
        Event::Ruled(snapshot) => Some(snapshot),
        _ => None,
    });
    let mut snapshot = ruled.expect("there is a ruling");
    snapshot.overrides.clear();
    snapshot.words.crew = "Defender inside the alignment line: ruled a foul, stands.".to_owned();
    snapshot.words.log = "Rule 4.3, Defender inside the alignment line.".to_owned();
    let event = Event::Ruled(snapshot);
    let line = written(std::slice::from_ref(&event));
    assert!(line.contains(r#""form":2"#) && line.contains(r#""log":"Rule 4.3, "#), "{line}");
    let read =
        event_of(&desk.reader(), &golden_entry(line.trim_end())).expect("readable").expect("an event").event;
    assert_eq!(read, event);
}

/// A ball that was won back needs the fifth form, and is read back as it was; any other end keeps to the first.
#[test]
fn a_play_on_which_the_ball_was_won_back_is_read_back_in_the_fifth_form() {
    let read_back = |regained| {
        let (spot, dead_by) = (Yards::whole(24), DeadBy::Down);
        let end = PlayEnd { spot, clock_ms: None, dead_by, points: None, turnover: false, regained };
        Event::ReadBack(ReadBack { spot: Some(spot), clock_ms: None, end: Some(end) })
    };
    let desk = Desk::with_notes(0);
    for (regained, form) in [(true, r#""form":5"#), (false, r#""form":1"#)] {
        let line = written(&[read_back(regained)]);
        assert!(line.contains(form) && line.contains("regained") == regained, "{line}");
        let read =
            event_of(&desk.reader(), &golden_entry(line.trim_end())).expect("readable").expect("an event");
        assert_eq!(read.event, read_back(regained));
    }
}

/// A clock that was read off a scoreboard needs the fourth form.
#[test]
fn a_mark_with_a_clock_that_was_read_is_written_in_the_fourth_form() {
    let shown = |timecode: &str, shown_ms, before_us| Shown {
        timecode: timecode.parse().expect("a timecode"),
        shown_ms,
        step_ms: 1000,
        before_us,
    };
    let mark = Mark {
        moment: "control".to_owned(),
        camera: "near side".to_owned(),
        timecode: "00:41:17;27".parse().expect("a timecode"),
    };
    let read = Scoreboard {
        camera: "scoreboard".to_owned(),
        shown: vec![shown("00:41:17;22", 278_000, 166_833), shown("00:41:17;23", 277_000, 133_467)],
        interval_us: 33_367,
        tie_us: 13_622,
    };
    let with = Event::Marked(Marked {
        mark,
        x: None,
        clock_ms: Some(277_867),
        shot: None,
        scoreboard: Some(Box::new(read)),
    });
    assert_eq!(written(std::slice::from_ref(&with)), FORM_4);
}

#[test]
fn an_erased_reason_reads_as_erased_and_the_log_stays_whole() {
    let desk = Desk::with_notes(0);
    let event = Event::CutShort { reason: "coach hurt".to_owned() };
    let entry = stored(&desk, std::slice::from_ref(&event)).remove(0);
    assert!(!String::from_utf8_lossy(&entry.bytes().expect("spelt")).contains("hurt"));
    let read = |entry| event_of(&desk.reader(), entry).expect("readable").expect("an event").event;
    assert_eq!(read(&entry), event);
    append(&mut desk.open(), "erase", &[NewEntry::erased(act(), entry.blobs[0]).expect("a label")]);
    assert_eq!(read(&entry), Event::CutShort { reason: "(erased)".to_owned() });
    assert_eq!(desk.verdict(&Trust::OwnKeys, None), "whole, 3 entries");
}

#[test]
fn what_is_of_no_review_is_no_event_and_what_cannot_be_read_says_so() {
    let desk = Desk::with_notes(1);
    let read = |kind: &str, body: Value| {
        event_of(&desk.reader(), &entry(kind, body)).map_err(|error| error.to_string())
    };
    let begun = Begun { book: "saltmarsh".to_owned(), edition: "ab".repeat(32) };
    let begins = forms::begun_entry(act(), &begun).expect("can be stored");
    append(&mut desk.open(), "c-2", &[begins]);
    let entry = desk.reader().entries(3).expect("read").remove(0).entry().expect("known form");
    assert_eq!(forms::begun(&entry), Ok(Some(begun)));
    assert_eq!(event_of(&desk.reader(), &entry).expect("readable"), None);
    assert_eq!(read("note", json!({"text": "x"})), Ok(None));
    for (kind, body, says) in [
        ("review.settled", json!({"form": 2}), "`review.settled` is of form 2; this tellframe reads form 1"),
        (
            "review.settled",
            json!({}),
            "the body of `review.settled` cannot be read: it does not say its form",
        ),
        ("review.settled", json!([]), "the body of `review.settled` cannot be read: it is not an object"),
        (
            "review.undone",
            json!({"form": 1}),
            "the body of `review.undone` cannot be read: missing field `act`",
        ),
        (
            "review.cut-short",
            json!({"form": 1, "reason": "plain"}),
            "the body of `review.cut-short` cannot be read: `plain` is not a text's hash",
        ),
        (
            "review.read-back",
            json!({"form": 1, "spot": "1/0", "clock_ms": null}),
            "the body of `review.read-back` cannot be read: `1/0` is not a length: write a decimal such as 38.5 \
             or a fraction such as \"85/3\", below a million",
        ),
    ] {
        assert_eq!(read(kind, body), Err(says.to_owned()));
    }
}
