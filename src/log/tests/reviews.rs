//! Holding a review over a log: written before it is folded, resumed after any kill, each command once.

use log::chain::entry::{Act, NewEntry};
use log::chain::label::{CommandId, Kind, ReviewId};
use log::exchange::records;
use log::forms;
use log::store::verify::{Trust, Verdict, verify};
use log::streams::reviews;
use log::streams::reviews::Held;
use log::streams::reviews::{Done, Session};
use log::streams::session::Attempt;
use review::decide::Command;
use review::event::Event;
use review::fold::Phase;
use serde_json::json;
use testing::challenge::{Challenge, command_id, stamp};
use testing::logs::{Desk, act, append, note};

fn id(text: &str) -> ReviewId {
    ReviewId::new(text).expect("a label")
}

fn ids(all: &[Held]) -> Vec<&str> {
    all.iter().map(|held| held.id.as_str()).collect()
}

#[test]
fn a_review_is_read_back_as_it_was_held() {
    let (desk, challenge) = (Desk::with_notes(0), Challenge::demo());
    let mut log = desk.open();
    let mut session = challenge.start(&log, "r-1");
    let events = challenge.play(&mut log, &mut session, &challenge.commands(), 0);
    assert_eq!(session.review().phase, Phase::Announced);
    let held = reviews::Held::one(&desk.reader(), id("r-1")).expect("read").expect("there");
    assert_eq!(held.events.iter().map(|(_, stamped)| stamped.event.clone()).collect::<Vec<_>>(), events);
    assert_eq!(&held.review(), session.review());
    assert_eq!(held.official, challenge.official());
    let begun = held.begun.expect("it says so");
    assert_eq!((begun.book.as_str(), begun.edition), ("saltmarsh", challenge.book.edition.to_string()));
    let Ok(Verdict::Whole(verified)) = verify(&desk.unverified(), &Trust::OwnKeys, None) else {
        panic!("whole")
    };
    assert_eq!(verified.editions, 1);
}

/// The desk is killed after every command, restarted, and given its last command again.
// PROPERTY: a desk killed after any act goes on where it was
#[test]
fn a_desk_that_is_killed_after_any_act_goes_on_where_it_was() {
    let (desk, challenge) = (Desk::with_notes(0), Challenge::demo());
    let commands = challenge.commands();
    let mut log = desk.open();
    let mut session = challenge.start(&log, "r-1");
    let mut entries = 0;
    for number in 0..commands.len() {
        let events = challenge.play(&mut log, &mut session, &commands[..=number], number);
        let before = session.review().clone();
        entries += events.len() as u64;
        drop((session, log));
        log = desk.open();
        session = Session::resume(&log, id("r-1"), challenge.official()).expect("resumed");
        assert_eq!(session.review(), &before, "after command {number}");
        assert_eq!(challenge.play(&mut log, &mut session, &commands[..=number], number), events);
        assert_eq!(session.review(), &before, "after command {number}, given again");
    }
    // The log's opening, the edition, the review's beginning.
    assert_eq!(desk.reader().tip().expect("read").entries, 3 + entries);
    assert_eq!(desk.verdict(&Trust::OwnKeys, None), format!("whole, {} entries", 3 + entries));
}

#[test]
fn a_no_writes_nothing_and_a_reason_carries_it() {
    let (desk, challenge) = (Desk::with_notes(0), Challenge::demo());
    let commands = challenge.commands();
    let mut log = desk.open();
    let mut session = challenge.start(&log, "r-1");
    let command = |text: &str| CommandId::new(text).expect("a label");
    let early = session
        .act(&mut log, challenge.desk(), &Attempt { command: command("early"), at: stamp(0) }, Command::Rule)
        .expect("answered");
    let Done::No(no) = early else { panic!("{early:?}") };
    assert_eq!(no.because, "no review has been asked for");
    assert_eq!(desk.reader().tip().expect("read").entries, 1);
    challenge.play(&mut log, &mut session, &commands[..3], 0);
    let Some((Command::Answer(answer), _)) =
        commands.iter().find(|(command, _)| matches!(command, Command::Answer(_)))
    else {
        panic!("the script answers")
    };
    let mut answer = answer.clone();
    let refused = session.act(
        &mut log,
        challenge.desk(),
        &Attempt { command: command("a"), at: stamp(9_000) },
        Command::Answer(answer.clone()),
    );
    let Ok(Done::No(no)) = refused else { panic!("{refused:?}") };
    assert!(no.reason_carries, "{no:?}");
    answer.reason = Some("seen on the wall's own screen".to_owned());
    let carried = session.act(
        &mut log,
        challenge.desk(),
        &Attempt { command: command("a"), at: stamp(9_500) },
        Command::Answer(answer),
    );
    assert!(matches!(carried, Ok(Done::Events(_))), "{carried:?}");
    assert_eq!(session.review().overrides()[0].reason, "seen on the wall's own screen");
}

#[test]
fn a_refused_question_is_an_event_with_its_price() {
    let (desk, challenge) = (Desk::with_notes(0), Challenge::demo());
    let (closed, _) = challenge.book.closed.first_key_value().expect("the book closes something to review");
    let commands = challenge.commands();
    let mut log = desk.open();
    let mut session = challenge.start(&log, "r-1");
    challenge.play(&mut log, &mut session, &commands[..1], 0);
    let Some((Command::Ask(asked), _)) = commands.get(1) else { panic!("the script asks") };
    let mut asked = asked.clone();
    asked.tree = closed.clone();
    asked.call = String::new();
    let number = command_id(&session, 1);
    let done = session
        .act(&mut log, challenge.desk(), &Attempt { command: number, at: stamp(1_000) }, Command::Ask(asked))
        .expect("written");
    let Done::Events(events) = done else { panic!("{done:?}") };
    let [Event::Refused(refused)] = events.as_slice() else { panic!("{events:?}") };
    assert_eq!(refused.price, challenge.book.replay.coach.not_reviewable);
    let held = reviews::Held::one(&desk.reader(), id("r-1")).expect("read").expect("there");
    assert_eq!(held.review().refused, std::slice::from_ref(refused));
}

#[test]
fn reviews_stand_in_order_and_those_not_over_are_unfinished() {
    let (desk, challenge) = (Desk::with_notes(2), Challenge::demo());
    let commands = challenge.commands();
    let mut log = desk.open();
    let mut session = challenge.start(&log, "r-2");
    challenge.play(&mut log, &mut session, &commands, 0);
    let mut session = challenge.start(&log, "r-1");
    challenge.play(&mut log, &mut session, &commands[..5], 0);
    let refused = Session::start(&log, id("r-2"), challenge.official(), challenge.rules.clone());
    assert_eq!(refused.expect_err("there").to_string(), "there is a review `r-2` in the log already");
    // An event without a beginning, as no desk writes it; and the notes before, which are of no review.
    append(&mut log, "stray", &[forms::entry(act(), &Event::Settled).expect("can be stored")]);
    let reader = desk.reader();
    assert_eq!(ids(&reviews::Held::all(&reader).expect("read")), ["r-2", "r-1", "review-1"]);
    assert_eq!(ids(&reviews::unfinished(&reader).expect("read")), ["r-1", "review-1"]);
    let refused = Session::resume(&log, id("r-3"), challenge.official());
    assert_eq!(refused.expect_err("none").to_string(), "there is no review `r-3` in the log");
    let refused = Session::resume(&log, id("review-1"), challenge.official());
    assert_eq!(
        refused.expect_err("no rules").to_string(),
        "the log does not hold the rules that the review `review-1` began with"
    );
}

#[test]
fn a_command_of_another_review_is_refused() {
    let (desk, challenge) = (Desk::with_notes(0), Challenge::demo());
    append(&mut desk.open(), "theirs", &[note("x")]);
    let mut log = desk.open();
    let mut session = challenge.start(&log, "r-1");
    let theirs = CommandId::new("theirs").expect("a label");
    let (command, _) = challenge.commands().remove(0);
    let refused = session
        .act(&mut log, challenge.desk(), &Attempt { command: theirs, at: stamp(0) }, command)
        .expect_err("theirs");
    assert_eq!(refused.to_string(), "the command `theirs` was given before, and not in this review");
}

#[test]
fn another_edition_does_not_go_on_with_a_review() {
    let (desk, mut challenge) = (Desk::with_notes(0), Challenge::demo());
    let commands = challenge.commands();
    let mut log = desk.open();
    let mut session = challenge.start(&log, "r-1");
    challenge.play(&mut log, &mut session, &commands[..2], 0);
    let held = challenge.book.edition;
    challenge.book.edition = rules::book::edition::Edition::of(&Default::default());
    let (command, _) = commands[2].clone();
    let number = command_id(&session, 2);
    let refused = session
        .act(&mut log, challenge.desk(), &Attempt { command: number, at: stamp(5_000) }, command)
        .expect_err("another");
    assert_eq!(
        refused.to_string(),
        format!("the review is held under the edition {held}, not under {}", challenge.book.edition)
    );
}

/// A newer tellframe writes a body that this one cannot fold: what came before is shown, and nothing can be added.
#[test]
fn a_review_with_an_entry_of_a_newer_form_is_shown_as_far_as_it_goes_and_not_resumed() {
    let (desk, challenge) = (Desk::with_notes(0), Challenge::demo());
    let mut log = desk.open();
    let mut session = challenge.start(&log, "r-1");
    challenge.play(&mut log, &mut session, &challenge.commands()[..4], 0);
    let act = Act { review: Some(id("r-1")), ..act() };
    let newer = |form: u64| {
        let kind = Kind::new("review.marked").expect("a label");
        NewEntry::new(act.clone(), kind, json!({"form": form, "frame": 12})).expect("not the log's own")
    };
    append(&mut log, "newer", &[newer(9)]);
    let held = reviews::Held::one(log.reader(), id("r-1")).expect("read").expect("there");
    assert_eq!((held.events.len(), held.review().phase), (4, Phase::Open));
    assert_eq!(held.unread.map(|unread| unread.seq), Some(8));
    assert!(reviews::unfinished(log.reader()).expect("read").is_empty());
    assert_eq!(records::all(log.reader()).expect("read"), []);
    let refused = Session::resume(&log, id("r-1"), challenge.official()).expect_err("newer");
    assert_eq!(
        refused.to_string(),
        "the review `r-1` cannot be resumed: entry 8: `review.marked` is of form 9; this tellframe reads form 4"
    );
    assert_eq!(desk.verdict(&Trust::OwnKeys, None), "whole, 8 entries");
}

/// The chain keeps the log's order; the number keeps the review's, wherever its entries are carried.
// PROPERTY: an event carries its number within the review under its signature, and stands where it says
#[test]
fn an_event_whose_number_is_another_is_not_folded() {
    for (number, whole) in [(3, false), (4, true), (5, false)] {
        let (desk, challenge) = (Desk::with_notes(0), Challenge::demo());
        let mut log = desk.open();
        let mut session = challenge.start(&log, "r-1");
        challenge.play(&mut log, &mut session, &challenge.commands()[..4], 0);
        let act = Act { review: Some(id("r-1")), ..act() };
        let look = session.review().events()[3].event.clone();
        append(&mut log, "again", &[forms::entry(act, &look).expect("can be stored").numbered(number)]);
        let held = reviews::Held::one(log.reader(), id("r-1")).expect("read").expect("there");
        assert_eq!((held.unread.is_none(), held.events.len()), (whole, 4 + usize::from(whole)));
        if let Some(unread) = held.unread {
            let says = format!("it is number {number} of its review, and 4 came before it");
            assert!(unread.fault.to_string().ends_with(&says), "{}", unread.fault);
        }
    }
}

/// The ruling repeats the reason of an override; both copies go.
#[test]
fn every_copy_of_a_reason_is_erased_together() {
    let (desk, challenge) = (Desk::with_notes(0), Challenge::demo());
    let mut commands = challenge.commands();
    let reason = "the near side was dark";
    for (command, _) in &mut commands {
        // Each answer without its look carries a reason.
        if let Command::Answer(answer) = command {
            answer.reason = Some(reason.to_owned());
        }
    }
    commands.retain(|(command, _)| !matches!(command, Command::Look(look) if look.step == "inside"));
    let mut log = desk.open();
    let mut session = challenge.start(&log, "r-1");
    challenge.play(&mut log, &mut session, &commands, 0);
    assert_eq!(session.review().ruling.as_ref().expect("ruled").overrides[0].reason, reason);
    let act = Act { review: Some(id("r-1")), ..act() };
    let erasure = reviews::erasure(log.reader(), &act, reason).expect("read");
    assert_eq!(erasure.len(), 2);
    append(&mut log, "erase", &erasure);
    let review = reviews::Held::one(log.reader(), id("r-1")).expect("read").expect("there").review();
    assert_eq!(review.overrides()[0].reason, forms::ERASED);
    assert_eq!(review.ruling.expect("ruled").overrides[0].reason, forms::ERASED);
    assert!(desk.verdict(&Trust::OwnKeys, None).starts_with("whole"));
}
