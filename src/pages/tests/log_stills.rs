//! Stills beside the chain: kept with the mark, shown on its page, named by what is handed on, erased without harm.

use ::review::decide::Command;
use ::review::event::Marked;
use audit::certificate::certificate;
use log::chain::label::ReviewId;
use log::exchange::records;
use log::store::log::Log;
use log::store::stills;
use log::store::stills::Still;
use log::store::verify::Trust;
use log::streams::reviews;
use log::streams::reviews::{Done, Pictured, Session};
use log::streams::session::Attempt;
use pages::review;
use testing::challenge::{Challenge, command_id, shot, stamp};
use testing::logs::{Desk, act, append, key};

/// The beginning of a JPEG file, and a text that differs by number.
fn picture(number: usize) -> Vec<u8> {
    [&[0xff, 0xd8, 0xff, 0xe0][..], format!("picture {number}").as_bytes()].concat()
}

fn id() -> ReviewId {
    ReviewId::new("r-1").expect("a label")
}

/// The demo's challenge with a still of every mark.
fn pictured(desk: &Desk) -> Session {
    let challenge = Challenge::demo();
    let mut log = desk.open();
    let mut session = challenge.start(&log, "r-1");
    for (number, (command, at_ms)) in challenge.commands().into_iter().enumerate() {
        let attempt = Attempt { command: command_id(&session, number), at: stamp(at_ms) };
        let done = match command {
            Command::Mark(marked) => {
                let marked = Marked { shot: Some(shot()), ..marked };
                let pictured = Pictured { marked, still: picture(number) };
                session.mark(&mut log, challenge.desk(), &attempt, pictured)
            }
            other => session.act(&mut log, challenge.desk(), &attempt, other),
        };
        assert!(matches!(done, Ok(Done::Events(_))), "command {number}: {done:?}");
    }
    session
}

/// The demo's challenge up to its first mark, and that mark with its attempt.
fn before_first_mark(challenge: &Challenge, log: &mut Log) -> (Session, Attempt, Marked) {
    let mut session = challenge.start(log, "r-1");
    let commands = challenge.commands();
    let first = commands.iter().position(|(command, _)| matches!(command, Command::Mark(_))).expect("one");
    challenge.play(log, &mut session, &commands[..first], 0);
    let Command::Mark(marked) = commands[first].0.clone() else { unreachable!("it is a mark") };
    let attempt = Attempt { command: command_id(&session, first), at: stamp(commands[first].1) };
    (session, attempt, marked)
}

fn kept(desk: &Desk) -> Vec<Still> {
    let reader = desk.reader();
    let held = reviews::Held::one(&reader, id()).expect("read").expect("there");
    stills::of_review(&reader, &held.review()).expect("read")
}

fn page_of(desk: &Desk) -> String {
    let held = reviews::Held::one(&desk.reader(), id()).expect("read").expect("there");
    review::of_review(&desk.reader(), &held).expect("made")
}

#[test]
fn the_still_of_a_mark_is_kept_beside_the_chain_and_the_mark_names_it() {
    let desk = Desk::with_notes(0);
    let session = pictured(&desk);
    let kept = kept(&desk);
    let marks: Vec<&Marked> = session.review().marks().collect();
    assert_eq!(kept.iter().map(|still| &still.marked).collect::<Vec<_>>(), marks);
    assert!(kept.len() == 5, "the mark that was taken back is not shown: {}", kept.len());
    for still in &kept {
        let bytes = still.bytes.as_ref().expect("it is there");
        assert!(
            bytes.starts_with(&[0xff, 0xd8])
                && bytes.ends_with(b"picture 5") == (still.marked.mark.moment == "leaves the field")
        );
    }
    let names: std::collections::BTreeSet<&str> = kept.iter().map(|still| still.name.as_str()).collect();
    assert_eq!(names.len(), kept.len(), "each has a salt of its own");
    assert!(desk.verdict(&Trust::OwnKeys, None).starts_with("whole"));
}

#[test]
fn a_command_given_again_keeps_one_still() {
    let (desk, challenge) = (Desk::with_notes(0), Challenge::demo());
    let mut log = desk.open();
    let (mut session, attempt, marked) = before_first_mark(&challenge, &mut log);
    let mut mark = || {
        let marked = Marked { shot: Some(shot()), ..marked.clone() };
        session
            .mark(&mut log, challenge.desk(), &attempt, Pictured { marked, still: picture(0) })
            .expect("written")
    };
    assert_eq!(mark(), mark());
    drop(log);
    assert_eq!(kept(&desk).len(), 1);
}

#[test]
fn a_mark_that_was_typed_keeps_no_still() {
    let (desk, challenge) = (Desk::with_notes(0), Challenge::demo());
    let mut log = desk.open();
    let (mut session, attempt, marked) = before_first_mark(&challenge, &mut log);
    let pictured = Pictured { marked, still: picture(0) };
    session.mark(&mut log, challenge.desk(), &attempt, pictured).expect("written");
    drop(log);
    assert!(kept(&desk).is_empty());
}

#[test]
fn the_page_holds_the_stills_itself_and_fetches_nothing() {
    let desk = Desk::with_notes(0);
    pictured(&desk);
    let page = page_of(&desk);
    // `printf '\xff\xd8\xff\xe0picture 5' | base64`
    assert!(page.contains("src=\"data:image/jpeg;base64,/9j/4HBpY3R1cmUgNQ==\""));
    for still in kept(&desk) {
        assert!(page.contains(&still.name[..16]));
    }
    let elsewhere = page.split("src=\"").skip(1).filter(|rest| !rest.starts_with("data:image/jpeg;base64,"));
    assert_eq!(elsewhere.count(), 0);
}

#[test]
fn the_certificate_and_the_record_name_the_stills_and_do_not_hold_them() {
    let desk = Desk::with_notes(0);
    pictured(&desk);
    let certificate = certificate(&desk.reader(), &key(7), &id()).expect("certified");
    let certificate: serde_json::Value = serde_json::from_str(&certificate).expect("JSON");
    let named: Vec<&str> = certificate["certificate"]["stills"]
        .as_array()
        .expect("a list")
        .iter()
        .filter_map(|name| name.as_str())
        .collect();
    let records = records::own(&desk.reader()).expect("records");
    let record = serde_json::to_value(&records[0]).expect("it is JSON");
    for (still, mark) in kept(&desk).iter().zip(record["marks"].as_array().expect("a list")) {
        assert!(named.contains(&still.name.as_str()));
        assert_eq!(mark["still"], still.name.as_str());
    }
}

#[test]
fn an_erased_still_is_gone_and_the_log_stays_whole() {
    let desk = Desk::with_notes(0);
    pictured(&desk);
    let before = kept(&desk);
    let erased = before[0].name.clone();
    let entry = stills::erasure(&desk.reader(), &act(), &erased).expect("read").expect("there");
    append(&mut desk.open(), "erase", &[entry]);
    assert!(desk.verdict(&Trust::OwnKeys, None).starts_with("whole"));
    let after = kept(&desk);
    assert_eq!((after[0].bytes.as_ref(), &after[0].name), (None, &erased));
    assert_eq!(after[1..], before[1..]);
    assert!(page_of(&desk).contains("The still was erased"));
    let again = stills::erasure(&desk.reader(), &act(), &erased).expect("read");
    assert!(again.is_none(), "once is enough");
}

#[test]
fn a_still_that_was_touched_is_named_by_the_entry_of_its_mark() {
    let desk = Desk::with_notes(0);
    pictured(&desk);
    let name = kept(&desk)[0].name.clone();
    desk.tamper(&format!("UPDATE blobs SET bytes = CAST(bytes || x'00' AS BLOB) WHERE hash = x'{name}'"));
    let verdict = desk.verdict(&Trust::OwnKeys, None);
    assert!(verdict.ends_with(&format!("the text or still {name} was changed")), "{verdict}");
    desk.tamper(&format!("DELETE FROM blobs WHERE hash = x'{name}'"));
    let verdict = desk.verdict(&Trust::OwnKeys, None);
    assert!(
        verdict.ends_with(&format!("the text or still {name} is missing and was not erased")),
        "{verdict}"
    );
}
