//! Grades of plays that were not reviewed: kept over a log, written once an attempt, opened by both passes.

use field::exact::Yards;
use log::chain::label::Actor;
use log::store::log::Log;
use log::store::verify::Trust;
use log::streams::play_grades;
use log::streams::play_grades::Done;
use log::streams::read;
use review::day::Command;
use review::grade::Call;
use review::play_grade::Event;
use rules::game::advance::Did;
use testing::challenge::Challenge;
use testing::day::{attempt, kickoff, play, session};
use testing::logs::Desk;

const GAME: &str = "W03-HK-MO";

/// The kick, a run, and the coming play.
fn played(desk: &Desk) -> Log {
    let challenge = Challenge::demo();
    let mut log = desk.open();
    let commands = [
        Command::Set(kickoff(&challenge)),
        play(Did::Kicked { to: Yards::whole(35) }, 893),
        play(Did::Down { at: Yards::whole(21) }, 860),
    ];
    session(&mut log, &challenge, &commands);
    log
}

fn grade(log: &mut Log, name: &str, game: &str, event: Event) -> Done {
    let actor = Actor::new("supervisor").expect("a label");
    play_grades::act(log, &actor, &attempt(name), game, event).expect("it can be written")
}

fn missed(play: usize, reason: &str) -> Event {
    Event::Graded { play, call: Call::Missed, reason: reason.to_owned() }
}

#[test]
fn a_grade_of_a_play_is_written_once_an_attempt_and_read_back_by_both_passes() {
    let desk = Desk::with_notes(1);
    let mut log = played(&desk);
    let first = grade(&mut log, "g-1", GAME, missed(1, ""));
    assert_eq!(first, Done::Events(vec![missed(1, "")]));
    let entries = log.reader().tip().expect("read").entries;
    assert_eq!(grade(&mut log, "g-1", GAME, missed(1, "")), first, "given again, it is answered");
    assert_eq!(log.reader().tip().expect("read").entries, entries);
    let Done::No(no) = grade(&mut log, "g-2", GAME, missed(1, "")) else { panic!("it is graded already") };
    assert!(no.reason_carries, "{no}");
    grade(&mut log, "g-3", GAME, missed(1, "the high end shows the foot"));
    let kept = play_grades::of(log.reader(), GAME).expect("read");
    drop(log);
    assert_eq!(kept.given.iter().map(|given| given.play).collect::<Vec<_>>(), [1, 1]);
    assert_eq!(play_grades::of(&desk.reader(), GAME).expect("read"), kept, "by the head beside the log");
    desk.forget_head();
    assert_eq!(play_grades::of(&desk.reader(), GAME).expect("read"), kept, "by every signature");
    assert!(desk.verdict(&Trust::OwnKeys, None).starts_with("whole"));
}

#[test]
fn a_game_that_the_log_does_not_have_is_not_graded() {
    let desk = Desk::with_notes(1);
    let mut log = played(&desk);
    let Done::No(no) = grade(&mut log, "g-1", "W09", missed(0, "")) else { panic!("there is none") };
    assert_eq!(no.because, "there is no such game in the log");
}

#[test]
fn the_body_of_a_grade_of_a_play_is_as_on_its_first_day_with_its_reason_beside_the_chain() {
    let desk = Desk::with_notes(1);
    let mut log = played(&desk);
    grade(&mut log, "g-1", GAME, missed(0, "the kick was short"));
    let seq = log.reader().tip().expect("read").entries;
    let entry = log.reader().entries(seq).expect("read").remove(0).entry().expect("of the known form");
    let [reason] = entry.blobs.as_slice() else { panic!("one text: {entry:?}") };
    assert_eq!(entry.kind.as_str(), "play_grade.given");
    let body = serde_json::json!({
        "form": 1, "game": GAME, "play": 0, "call": "missed call", "reason": reason.to_string(),
    });
    assert_eq!(entry.body, body);
    let (game, read) = read::event_of::<Event>(log.reader(), &entry).expect("readable").expect("of a play");
    assert_eq!((game.as_str(), read.event), (GAME, missed(0, "the kick was short")));
}
