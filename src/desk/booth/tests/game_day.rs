//! A whole game day by keys: what the official presses, and what is in the log then.

use super::desk::Desk;
use crate::booth::{
    Message, Screen, after, between, brought, card, challenge, end, games, penalties, pictures, referee,
    ruling, station, walk,
};
use crate::keys::{Binding, Cap, ctrl, letter, plain};
use log::exchange::records;
use log::store::verify;
use log::streams::days;
use review::day::Early;
use review::fold::Phase;
use std::collections::BTreeSet;

// PROPERTY: a whole challenge by keys ends in a log that verifies
#[test]
fn a_whole_challenge_is_held_by_keys_and_signed_into_a_log_that_verifies() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut desk = Desk::new(folder.path());
    assert_eq!(desk.title(), "challenge");
    desk.walk();
    assert_eq!(desk.title(), "review");
    desk.press(plain(Cap::Enter));
    assert_eq!(desk.title(), "ruling");
    // A single Enter signs nothing.
    desk.press(plain(Cap::Enter));
    assert!(records::own(&desk.reader()).expect("records").is_empty());
    desk.sign_and_go_on();
    assert_eq!(desk.title(), "between plays");
    let records = records::own(&desk.reader()).expect("records");
    // The result of the same challenge run from its script (README, `demo --no-window`).
    let record = serde_json::to_value(&records[0]).expect("it is JSON");
    assert_eq!(records.len(), 1);
    assert_eq!(record["outcome"], "reversed");
    assert_eq!(record["finding"], "complete");
    assert_eq!(record["after"]["spot"], serde_json::json!(45));
    assert_eq!(record["after"]["clock_s"], serde_json::json!(277.0));
    assert_eq!(record["won"], true);
    let day = days::last_open(&desk.reader()).expect("read").expect("the game is open").day();
    assert_eq!(day.situation().map(|at| at.spot.as_f64()), Some(45.0));
    let verdict = verify::verify(&desk.unverified(), &verify::Trust::OwnKeys, None).expect("read");
    assert!(matches!(verdict, verify::Verdict::Whole(_)), "{verdict:?}");
}

// PROPERTY: a desk closed in the middle goes on where it was
#[test]
fn a_desk_that_is_closed_in_the_middle_goes_on_where_it_was() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut desk = Desk::new(folder.path()).reopened();
    assert_eq!(desk.title(), "challenge");
    desk.type_in("o11.5 4:37.4");
    desk.step('a', "411704", 'y');
    let mut desk = desk.reopened();
    assert_eq!(desk.title(), "review");
    let walk = desk.on_walk();
    assert_eq!(walk.boards()[0].steps[0].answer.as_deref(), Some("yes"));
    desk.press(plain(Cap::Backspace));
    let walk = desk.on_walk();
    assert_eq!(walk.boards()[0].steps[0].answer, None);
}

#[test]
fn an_answer_without_its_look_needs_a_reason_and_a_wrong_key_loses_nothing() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut desk = Desk::new(folder.path());
    desk.type_in("o11.5 4:37.4");
    desk.press(letter('y'));
    let walk = desk.on_walk();
    assert!(matches!(walk.typing(), Some(walk::Typing::Reason { .. })), "{:?}", walk.typing());
    assert_eq!(walk.boards()[0].steps[0].answer, None);
    desk.press(plain(Cap::Escape));
    // A line that is left, a key without a meaning here, a mark that cannot be read.
    desk.press(plain(Cap::F(9)));
    desk.press(letter('m'));
    desk.type_in("no timecode");
    let walk = desk.on_walk();
    let Some(walk::Typing::Mark { wrong: Some(wrong), text, .. }) = walk.typing() else {
        panic!("{:?}", walk.typing())
    };
    assert!(wrong.contains("is not a spot"), "{wrong}");
    assert_eq!(text, "no timecode");
}

/// What is typed before the line has the focus goes into the mark, and answers nothing.
// PROPERTY: a quick hand answers nothing by a timecode
#[test]
fn a_quick_hand_types_into_the_line_that_it_opened() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut desk = Desk::new(folder.path());
    desk.type_in("o11.5 4:37.4");
    desk.press_all(&[letter('a'), letter('l'), letter('m')]);
    desk.press_all(&[4, 1, 1, 7, 0, 4].map(|digit| plain(Cap::Digit(digit))));
    desk.press(plain(Cap::Enter));
    let walk = desk.on_walk();
    assert_eq!(walk.boards()[0].steps[0].marks, ["leaves the field  near side 00:41:17:04"]);
    assert_eq!(walk.boards()[0].steps[0].answer, None);
}

#[test]
fn between_plays_the_situation_moves_on_by_a_key_and_a_spot() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut desk = Desk::new(folder.path());
    desk.walk();
    desk.press(plain(Cap::Enter));
    desk.sign_and_go_on();
    // First and goal at the 5: stopped at the 2, then a touchdown and a good try.
    desk.press(letter('d'));
    desk.type_in("o2 4:20");
    let day = |desk: &Desk| desk.in_game().game.day().clone();
    let told = |desk: &Desk| {
        let at = day(desk).situation().expect("a situation");
        (at.spot.as_f64(), at.clock_ms, at.score.home)
    };
    assert_eq!(told(&desk), (48.0, 260_000, 20));
    desk.press(letter('t'));
    desk.type_in("4:11");
    assert_eq!(told(&desk).2, 26);
    desk.press(letter('g'));
    desk.type_in("");
    assert_eq!(told(&desk).2, 27);
    desk.press(plain(Cap::Space));
    assert!(day(&desk).plays.iter().any(|play| play.looked));
    desk.press(plain(Cap::Backspace));
    assert_eq!(told(&desk).2, 26);
    desk.press(letter('x'));
    desk.type_in("the recorder failed");
    desk.press(letter('c'));
    desk.press(plain(Cap::Digit(2)));
    assert_eq!(desk.title(), "challenge");
}

/// From an empty card to the first situation, a play and a challenge.
#[test]
fn a_game_is_opened_from_an_empty_card_and_its_first_situation_is_set() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut desk = Desk::empty(folder.path());
    assert_eq!(desk.title(), "before the game");
    let typed = |line, text: &str| Message::Card(card::Message::Typed(line, text.to_owned()));
    desk.press(plain(Cap::Enter));
    let card = desk.card().expect("the card is open");
    assert!(card.wrong().is_some_and(|wrong| wrong.contains("no id")), "{:?}", card.wrong());
    for (line, text) in
        ["W01-QL-HK", "1", "Harbour Kites, Kites", "Quarry Lanterns", "", "near side, low wall", ""]
            .into_iter()
            .enumerate()
    {
        desk.send(typed(line, text));
    }
    desk.press(plain(Cap::Enter));
    desk.press(plain(Cap::Digit(1)));
    let day = |desk: &Desk| desk.in_game().game.day().clone();
    assert!(day(&desk).checks[0].done);
    // What is open is named before it is left.
    desk.press(plain(Cap::Enter));
    assert!(matches!(desk.screen(), Screen::Before(_)));
    desk.press(plain(Cap::Enter));
    desk.press(letter('e'));
    desk.type_in("p1 12:00 1&10 k20 ball Kites east");
    let at = day(&desk).situation().expect("it is set");
    assert_eq!((at.spot.as_f64(), at.clock_ms), (20.0, 720_000));
    desk.press(letter('d'));
    desk.type_in("k24 11:35");
    let at = day(&desk).situation().expect("a play was run");
    assert_eq!(at.spot.as_f64(), 24.0);
    desk.press(letter('c'));
    desk.press(plain(Cap::Digit(1)));
    desk.type_in("face mask");
    assert_eq!(desk.title(), "challenge");
}

/// The official may correct the restart against the book; the ruling shows it, with the reason.
#[test]
fn a_restart_that_was_put_right_needs_a_reason_and_is_shown_as_an_override() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut desk = Desk::new(folder.path());
    desk.walk();
    desk.press(plain(Cap::Enter));
    desk.press(letter('e'));
    desk.send(Message::Ruling(ruling::Message::Typed("o4.5".to_owned())));
    desk.press(plain(Cap::Enter));
    let Screen::Ruling(open) = desk.screen() else { panic!("the ruling is open") };
    assert!(open.shown().is_some_and(|(_, instead)| instead.contains("give a reason")), "{:?}", open.shown());
    desk.send(Message::Ruling(ruling::Message::Typed("o4.5 ; the chains slipped".to_owned())));
    desk.press(plain(Cap::Enter));
    desk.sign_and_go_on();
    let records = records::own(&desk.reader()).expect("records");
    let record = serde_json::to_value(&records[0]).expect("it is JSON");
    assert_eq!(record["after"]["spot"], serde_json::json!(45.5));
    assert!(record["overrides"].to_string().contains("the chains slipped"), "{}", record["overrides"]);
}

#[test]
fn a_ruling_of_the_log_can_be_opened_again() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut desk = Desk::new(folder.path());
    desk.walk();
    desk.press(plain(Cap::Enter));
    desk.sign_and_go_on();
    desk.press(plain(Cap::F(3)));
    assert_eq!(desk.title(), "the log of the game");
    desk.press(plain(Cap::Enter));
    assert_eq!(desk.title(), "ruling");
    desk.press(plain(Cap::Enter));
    assert_eq!(desk.title(), "the log of the game");
    desk.press(plain(Cap::Escape));
    assert_eq!(desk.title(), "between plays");
}

/// A challenge that is withdrawn before the first look has no ruling and no announcement.
#[test]
fn a_withdrawn_challenge_offers_nothing_to_announce() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut desk = Desk::new(folder.path());
    desk.type_in("o11.5 4:37.4");
    desk.press(letter('x'));
    desk.type_in("");
    desk.press(ctrl(Cap::Enter));
    let Screen::Ruling(ruling) = desk.screen() else { panic!("it is over, and on {}", desk.title()) };
    assert_eq!((ruling.phase(), ruling.weighed().is_none()), (Phase::Withdrawn, true));
    desk.press(plain(Cap::Enter));
    assert_eq!(desk.title(), "between plays");
}

/// A new variant does not compile here until it has a number, and fails until it has a key.
// PROPERTY: every act of the booth has a key
#[test]
fn every_act_of_the_booth_has_a_key() {
    fn kinds<A: Copy>(table: &[Binding<A>], kind: impl Fn(A) -> u8) -> BTreeSet<u8> {
        table.iter().map(|binding| kind(binding.act)).collect()
    }
    let challenge_kind = |act| match act {
        challenge::Act::Choose(_) => 0,
        challenge::Act::Up => 1,
        challenge::Act::Down => 2,
        challenge::Act::Whistle => 3,
        challenge::Act::Score => 4,
        challenge::Act::Turnover => 5,
        challenge::Act::Play => 6,
        challenge::Act::AfterSnap => 7,
        challenge::Act::Challenged => 8,
        challenge::Act::Ended => 9,
        challenge::Act::Go => 10,
        challenge::Act::Back => 11,
        challenge::Act::Confirm => 12,
    };
    let ruling_kind = |act| match act {
        ruling::Act::Sign => 0,
        ruling::Act::On => 1,
        ruling::Act::Penalties => 2,
        ruling::Act::Back => 3,
        ruling::Act::Amend => 4,
        ruling::Act::Referee => 5,
        ruling::Act::ReadBack => 6,
        ruling::Act::Announce => 7,
        ruling::Act::Mark => 8,
    };
    let penalties_kind = |act| match act {
        penalties::Act::Take(_) => 0,
        penalties::Act::Up => 1,
        penalties::Act::Down => 2,
        penalties::Act::Go => 3,
        penalties::Act::Another => 4,
        penalties::Act::Remove => 5,
        penalties::Act::Player => 6,
        penalties::Act::Play(_) => 7,
        penalties::Act::Back => 8,
    };
    let after_kind = |act| match act {
        after::Act::Up => 0,
        after::Act::Down => 1,
        after::Act::PageUp => 2,
        after::Act::PageDown => 3,
        after::Act::First => 4,
        after::Act::Last => 5,
        after::Act::Open => 6,
        after::Act::Print => 7,
        after::Act::Export => 8,
        after::Act::Back => 9,
        after::Act::Referee => 10,
    };
    assert_eq!(kinds(walk::KEYS, walk_kind), (0..=24).collect());
    assert_eq!(kinds(challenge::KEYS, challenge_kind), (0..=12).collect());
    assert_eq!(kinds(ruling::KEYS, ruling_kind), (0..=8).collect());
    assert_eq!(kinds(between::KEYS, between_kind), (0..=15).collect());
    assert_eq!(kinds(brought::KEYS, brought_kind), (0..=4).collect());
    assert_eq!(kinds(referee::KEYS, referee_kind), (0..=19).collect());
    assert_eq!(kinds(penalties::KEYS, penalties_kind), (0..=8).collect());
    assert_eq!(kinds(after::KEYS, after_kind), (0..=10).collect());
    assert_eq!(kinds(station::KEYS, station_kind), (0..=3).collect());
    assert_eq!(kinds(end::KEYS, end_kind), (0..=4).collect());
    assert_eq!(kinds(games::KEYS, games_kind), (0..=3).collect());
    assert_eq!(kinds(card::KEYS, card_kind), (0..=3).collect());
}

fn brought_kind(act: brought::Act) -> u8 {
    match act {
        brought::Act::Choose(_) => 0,
        brought::Act::Up => 1,
        brought::Act::Down => 2,
        brought::Act::Go => 3,
        brought::Act::Back => 4,
    }
}

fn station_kind(act: station::Act) -> u8 {
    match act {
        station::Act::HandOver => 0,
        station::Act::Camera(_) => 1,
        station::Act::Card => 2,
        station::Act::Leave => 3,
    }
}

fn end_kind(act: end::Act) -> u8 {
    match act {
        end::Act::Early(Early::Forfeit(_)) => 0,
        end::Act::Early(Early::Suspended) => 1,
        end::Act::Early(Early::Called) => 2,
        end::Act::Confirm => 3,
        end::Act::Leave => 4,
    }
}

fn games_kind(act: games::Act) -> u8 {
    match act {
        games::Act::Up => 0,
        games::Act::Down => 1,
        games::Act::Reopen => 2,
        games::Act::Leave => 3,
    }
}

fn card_kind(act: card::Act) -> u8 {
    match act {
        card::Act::NextLine => 0,
        card::Act::Open => 1,
        card::Act::Games => 2,
        card::Act::Leave => 3,
    }
}

fn walk_kind(act: walk::Act) -> u8 {
    match act {
        walk::Act::Answer(_) => 0,
        walk::Act::Unclear => 1,
        walk::Act::StepBack => 2,
        walk::Act::StepOn => 3,
        walk::Act::Soonest => 4,
        walk::Act::NextQuestion => 5,
        walk::Act::Camera(_) => 6,
        walk::Act::Look => 7,
        walk::Act::LookOtherwise(_) => 8,
        walk::Act::Mark => 9,
        walk::Act::NextMoment => 10,
        walk::Act::Undo => 11,
        walk::Act::Rule => 12,
        walk::Act::Ask => 13,
        walk::Act::Flags => 14,
        walk::Act::End => 15,
        walk::Act::Leave => 16,
        walk::Act::TypeMark => 17,
        walk::Act::Clips => 18,
        walk::Act::Take => 19,
        walk::Act::Precedent => 20,
        walk::Act::ReadClock => 21,
        walk::Act::TakeClock => 22,
        walk::Act::Confirm => 23,
        walk::Act::ReadBack => 24,
    }
}

fn referee_kind(act: referee::Act) -> u8 {
    match act {
        referee::Act::No => 0,
        referee::Act::Yes => 1,
        referee::Act::Risk => 2,
        referee::Act::Started(_) => 3,
        referee::Act::Fact => 4,
        referee::Act::Because => 5,
        referee::Act::RemedyUp => 6,
        referee::Act::RemedyDown => 7,
        referee::Act::On => 8,
        referee::Act::PrecedentOn => 9,
        referee::Act::PrecedentBack => 10,
        referee::Act::Read => 11,
        referee::Act::Rule => 12,
        referee::Act::Words => 13,
        referee::Act::ReadBack => 14,
        referee::Act::Sign => 15,
        referee::Act::Title => 16,
        referee::Act::End => 17,
        referee::Act::Back => 18,
        referee::Act::Disqualify => 19,
    }
}

fn between_kind(act: between::Act) -> u8 {
    match act {
        between::Act::Play(_) => 0,
        between::Act::Looked => 1,
        between::Act::Challenge => 2,
        between::Act::Timeout(_) => 3,
        between::Act::Correct => 4,
        between::Act::NextPeriod => 5,
        between::Act::Start(..) => 6,
        between::Act::Undo => 7,
        between::Act::Service => 8,
        between::Act::After => 9,
        between::Act::Before => 10,
        between::Act::Leave => 11,
        between::Act::Referee => 12,
        between::Act::Confirm => 13,
        between::Act::Penalties => 15,
        between::Act::EndGame => 14,
    }
}

/// While landmarks are being clicked, no key answers a step, rules, or takes anything back.
// PROPERTY: while landmarks are clicked no key answers
#[test]
fn a_quick_hand_answers_nothing_while_landmarks_are_clicked() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut desk = Desk::new(folder.path());
    desk.type_in("o11.5 4:37.4");
    desk.in_game_mut().pictures.act(pictures::Act::Calibrate, &[]);
    for binding in walk::KEYS {
        for chord in binding.chords {
            let meant = desk.pressed(*chord);
            let camera = matches!(binding.act, walk::Act::Camera(_));
            let act = matches!(meant, Some(Message::Walk(walk::Message::Act(_))));
            assert!(act == camera, "{chord}: {meant:?}");
        }
    }
    desk.press(plain(Cap::Escape));
    assert!(!desk.in_game().pictures.places());
    assert!(desk.pressed(letter('y')).is_some());
}

#[test]
fn no_chord_means_two_things_on_one_screen() {
    fn twice<A>(table: &[Binding<A>]) -> Vec<String> {
        let mut seen = BTreeSet::new();
        let chords = table.iter().flat_map(|binding| binding.chords).map(ToString::to_string);
        chords.filter(|chord| !seen.insert(chord.clone())).collect()
    }
    let none: Vec<String> = Vec::new();
    let walk: BTreeSet<String> =
        walk::KEYS.iter().flat_map(|binding| binding.chords).map(ToString::to_string).collect();
    let pictures = pictures::KEYS.iter().flat_map(|binding| binding.chords).map(ToString::to_string);
    assert_eq!(pictures.filter(|chord| walk.contains(chord)).collect::<Vec<_>>(), none);
    assert_eq!(twice(pictures::KEYS), none);
    assert_eq!(twice(pictures::place::KEYS), none);
    assert_eq!(twice(walk::KEYS), none);
    assert_eq!(twice(challenge::KEYS), none);
    assert_eq!(twice(ruling::KEYS), none);
    assert_eq!(twice(penalties::KEYS), none);
    assert_eq!(twice(between::KEYS), none);
    assert_eq!(twice(brought::KEYS), none);
    assert_eq!(twice(referee::KEYS), none);
    assert_eq!(twice(after::KEYS), none);
}
