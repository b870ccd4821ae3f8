//! A game's day over a log: written before it is folded, resumed after any kill, beside its reviews.

use field::exact::Yards;
use log::chain::entry::{Entry, NewEntry};
use log::chain::label::Kind;
use log::forms;
use log::store::verify::Trust;
use log::streams::days::{DaySession, Done};
use log::streams::read;
use log::streams::session::Attempt;
use log::streams::{days, reviews};
use review::day::fold::{Fate, Phase};
use review::day::{By, Command, Early, Event};
use review::decide::Command as Act;
use review::fold::Phase as ReviewPhase;
use rules::game::advance::Did;
use rules::game::advance::fouls::Decision;
use rules::game::enforce::Carry;
use serde_json::json;
use testing::challenge::{Challenge, command_id, stamp};
use testing::day::{act, attempt, card, every_kind, kickoff, play, session, tried};
use testing::logs::{Desk, act as by, append, golden_entry, golden_line, head};

/// Bodies of entries, one a line, as form 1 wrote them on its first day. Never edited: a new form gets a new file.
const FORM_1: &str = include_str!("../../../tests/golden/day-form-1.jsonl");
/// The same of a play with fouls, which form 1 does not have.
const FORM_2: &str = include_str!("../../../tests/golden/day-form-2.jsonl");
/// The same of a ball that changed hands twice and of a player who is named and stays.
const FORM_3: &str = include_str!("../../../tests/golden/day-form-3.jsonl");

fn commands(challenge: &Challenge) -> Vec<Command> {
    vec![
        Command::Check { item: "radio".to_owned(), done: true },
        Command::Set(kickoff(challenge)),
        play(Did::Kicked { to: Yards::whole(35) }, 893),
        Command::Looked { play: 0 },
        play(Did::Down { at: Yards::whole(21) }, 860),
        Command::OutOfService { reason: "the wall's screen is dark".to_owned() },
        play(Did::Incomplete, 850),
        Command::Undo,
        Command::BackInService,
        Command::CameraLost { camera: "far corner".to_owned(), reason: "no signal".to_owned() },
        Command::HandOver { who: "booth-11".to_owned() },
        Command::CameraBack { camera: "far corner".to_owned() },
    ]
}

fn called_early() -> Command {
    Command::EndEarly { how: Early::Called, reason: "a storm".to_owned() }
}

/// The desk is killed after every command, restarted, and given its last command again.
// PROPERTY: a desk killed between plays goes on where it was
#[test]
fn a_desk_that_is_killed_between_plays_goes_on_where_it_was() {
    let (desk, challenge) = (Desk::with_notes(0), Challenge::demo());
    let commands = commands(&challenge);
    let mut log = desk.open();
    let mut session = session(&mut log, &challenge, &[]);
    for (number, command) in commands.iter().enumerate() {
        let id = format!("d-{number}");
        let events = act(&mut log, &challenge, &mut session, &id, command.clone());
        let before = session.day().clone();
        drop((session, log));
        log = desk.open();
        let held = days::last_open(log.reader()).expect("read").expect("one is open");
        assert_eq!(held.day(), before);
        session = DaySession::resume(&log, &held.id, challenge.official()).expect("resumed");
        assert_eq!(act(&mut log, &challenge, &mut session, &id, command.clone()), events);
        assert_eq!(session.day(), &before, "after command {number}, given again");
    }
    // The log's opening, the edition, the game's opening.
    let whole = format!("whole, {} entries", 3 + commands.len());
    assert_eq!(desk.verdict(&Trust::OwnKeys, None), whole);
    act(&mut log, &challenge, &mut session, "close", called_early());
    assert_eq!(days::last_open(log.reader()).expect("read"), None);
}

/// Killed between the opening on the disk and the answer, the desk asks again and finds its game open.
#[test]
fn a_game_opened_twice_by_one_attempt_is_open_once_and_its_id_is_not_given_again() {
    let (desk, challenge) = (Desk::with_notes(0), Challenge::demo());
    let mut log = desk.open();
    let first = session(&mut log, &challenge, &[]);
    let mut again = DaySession::start(&log, challenge.official(), challenge.rules.clone()).expect("started");
    let open = || Command::Open(card("W03-HK-MO"));
    act(&mut log, &challenge, &mut again, "open", open());
    assert_eq!(again.day(), first.day());
    let mut other = DaySession::start(&log, challenge.official(), challenge.rules.clone()).expect("started");
    let refused = other.act(&mut log, &challenge.book, &attempt("open 2"), open()).expect_err("there is one");
    assert_eq!(refused.to_string(), "there is a game `W03-HK-MO` in the log already");
    let early = tried(&mut log, &challenge, &mut other, "early", Command::Undo);
    let Done::No(no) = early else { panic!("{early:?}") };
    assert_eq!(no.because, "no game is open");
    let refused = DaySession::resume(&log, "W04", challenge.official()).expect_err("none");
    assert_eq!(refused.to_string(), "there is no game `W04` in the log");
}

/// A review is held in the middle of a day, both through one log; each copes with what the other wrote.
// PROPERTY: a review and its day share one log
#[test]
fn a_review_and_its_day_are_written_to_one_log_in_turn() {
    let (desk, challenge) = (Desk::with_notes(2), Challenge::demo());
    let mut log = desk.open();
    let mut day = session(&mut log, &challenge, &commands(&challenge));
    let run = day.day().newest_run().expect("a play was run");
    let script = challenge.commands();
    let Some((Act::Challenge(told), _)) = script.first() else { panic!("the script begins with it") };
    let called = day.day().call(&challenge.book, run, told.initiator, told.stop).expect("a play");
    let mut review = challenge.start(&log, "r-1");
    act(&mut log, &challenge, &mut day, "began", Command::Review { review: "r-1".to_owned(), play: run });
    let attempt = Attempt { command: command_id(&review, 0), at: stamp(0) };
    let challenged = Act::Challenge(called.clone());
    review.act(&mut log, challenge.desk(), &attempt, challenged).expect("written");
    act(&mut log, &challenge, &mut day, "radio", Command::Check { item: "radio".to_owned(), done: false });
    challenge.play(&mut log, &mut review, &script, 1);
    assert_eq!(review.review().phase, ReviewPhase::Announced);
    let after = review.review().ruling.as_ref().expect("ruled").after;
    let ended = Box::new(review.review().clone());
    // The desk is killed before it takes the ruling over: the day still has the review on.
    drop(day);
    let mut day = DaySession::resume(&log, "W03-HK-MO", challenge.official()).expect("resumed");
    let on = day.day().review().expect("it is on").review.clone();
    act(&mut log, &challenge, &mut day, "ended", Command::EndReview { review: on, ended });
    assert_eq!(day.day().situation(), Some(after));
    assert_eq!(day.day().plays[run].fate(), Fate::Reviewed);
    let held = reviews::Held::one(log.reader(), review.id()).expect("read").expect("there");
    assert_eq!(&held.review(), review.review());
    assert_eq!(held.review().called, Some(called));
    assert!(desk.verdict(&Trust::OwnKeys, None).starts_with("whole"));
    assert_eq!(days::Held::one(log.reader(), "W03-HK-MO").expect("read").expect("there").day(), *day.day());
}

#[test]
fn two_games_of_a_log_are_kept_apart() {
    let (desk, challenge) = (Desk::with_notes(1), Challenge::demo());
    let mut log = desk.open();
    let mut first = session(&mut log, &challenge, &commands(&challenge));
    let mut second = DaySession::start(&log, challenge.official(), challenge.rules.clone()).expect("started");
    act(&mut log, &challenge, &mut second, "second", Command::Open(card("W04-MO-HK")));
    act(&mut log, &challenge, &mut first, "close", called_early());
    act(&mut log, &challenge, &mut second, "set", Command::Set(kickoff(&challenge)));
    let all = days::Held::all(log.reader()).expect("read");
    let told: Vec<_> = all.iter().map(|held| (held.id.as_str(), held.day().phase)).collect();
    assert_eq!(told, [("W03-HK-MO", Phase::Closed), ("W04-MO-HK", Phase::Open)]);
    assert_eq!(all[1].day(), *second.day());
}

/// The entries that these events become, read back from a log.
fn stored(desk: &Desk, all: &[Event]) -> Vec<Entry> {
    let mut log = desk.open();
    let entry = |event| forms::entry_of(by(), ("W03-HK-MO", 0), event, None).expect("can be stored");
    let new: Vec<NewEntry> = all.iter().map(entry).collect();
    let name = format!("c after {}", head(&log));
    let first = append(&mut log, &name, &new).entries[0].0;
    let entries = log.reader().entries(first).expect("read");
    entries.iter().map(|stored| stored.entry().expect("known form")).collect()
}

#[test]
fn every_kind_of_event_is_written_as_the_oldest_form_that_holds_it_and_read_back() {
    let desk = Desk::with_notes(0);
    let mut written = String::new();
    let all = every_kind();
    for (entry, event) in stored(&desk, &all).iter().zip(&all) {
        let (game, read) =
            read::event_of::<Event>(&desk.reader(), entry).expect("readable").expect("of a day");
        assert_eq!((game.as_str(), &read.event), ("W03-HK-MO", event));
        assert_eq!(entry.act.review, None);
        written += &golden_line(entry);
    }
    assert_eq!(written, [FORM_1, FORM_2, FORM_3].concat());
}

/// The texts of the old lines are not beside this chain, so they read as erased.
#[test]
fn bodies_of_a_days_forms_are_read_as_the_events_that_they_were() {
    let desk = Desk::with_notes(0);
    let expected = every_kind();
    let lines = || FORM_1.lines().chain(FORM_2.lines()).chain(FORM_3.lines());
    assert_eq!(lines().count(), expected.len());
    for (line, event) in lines().zip(expected) {
        let (_, read) = read::event_of::<Event>(&desk.reader(), &golden_entry(line))
            .expect("readable")
            .expect("of a day");
        let erased = || forms::ERASED.to_owned();
        let event = match event {
            Event::Moved { to, by: By::Correction { reason: Some(_) } } => {
                Event::Moved { to, by: By::Correction { reason: Some(erased()) } }
            }
            Event::OutOfService { words, .. } => Event::OutOfService { reason: erased(), words },
            Event::Reopened { .. } => Event::Reopened { reason: erased() },
            Event::EndedEarly { how, score, words, .. } => {
                Event::EndedEarly { how, score, reason: erased(), words }
            }
            Event::CardCorrected { from, to, reason: Some(_) } => {
                Event::CardCorrected { from, to, reason: Some(erased()) }
            }
            Event::CameraLost { camera, .. } => Event::CameraLost { camera, reason: erased() },
            other => other,
        };
        assert_eq!(read.event, event);
    }
}

/// A penalty that is carried to the next series of overtime needs the fourth form.
#[test]
fn a_penalty_carried_to_the_next_series_is_written_in_the_fourth_form_and_read_back() {
    let desk = Desk::with_notes(0);
    let fouled = every_kind().into_iter().find_map(|event| match event {
        Event::Moved { to, by: By::Fouls(fouled) } => Some((to, fouled)),
        _ => None,
    });
    let (to, mut fouled) = fouled.expect("a play with fouls");
    fouled.decided = vec![Decision::Carried(Carry::NextSeries)];
    let event = Event::Moved { to, by: By::Fouls(fouled) };
    let entry = &stored(&desk, std::slice::from_ref(&event))[0];
    assert!(golden_line(entry).contains(r#""form":4"#));
    let (_, read) = read::event_of::<Event>(&desk.reader(), entry).expect("readable").expect("of a day");
    assert_eq!(read.event, event);
}

#[test]
fn a_game_with_an_entry_of_a_newer_form_is_shown_as_far_as_it_goes_and_not_resumed() {
    let (desk, challenge) = (Desk::with_notes(0), Challenge::demo());
    let mut log = desk.open();
    session(&mut log, &challenge, &commands(&challenge)[..2]);
    let kind = Kind::new("day.moved").expect("a label");
    let of_no_review = log::chain::entry::Act { review: None, ..by() };
    let newer =
        NewEntry::new(of_no_review, kind, json!({"form": 5, "game": "W03-HK-MO"})).expect("not its own");
    append(&mut log, "newer", &[newer]);
    let held = days::Held::one(log.reader(), "W03-HK-MO").expect("read").expect("there");
    assert_eq!((held.events.len(), held.unread.map(|unread| unread.seq)), (3, Some(6)));
    assert_eq!(days::last_open(log.reader()).expect("read"), None);
    let refused = DaySession::resume(&log, "W03-HK-MO", challenge.official()).expect_err("newer");
    assert_eq!(
        refused.to_string(),
        "the game `W03-HK-MO` cannot be resumed: entry 6: `day.moved` is of form 5; this tellframe reads form 4"
    );
}
