//! How a game ends, by the rules and early; the card put right, the desk handed over, a camera lost and back.

use review::day::decide::decide;
use review::day::fold::{Day, Ended, Phase, fold};
use review::day::{Command, Duty, Early, Stamped, text};
use review::refusal::Refusal;
use rules::book::{Book, load, shipped};
use rules::game::advance::{Did, Tried};
use rules::game::situation::{ByTeam, Next, Situation, Team};
use testing::challenge::{Challenge, stamp};
use testing::day::{card, kickoff, play};

fn act(book: &Book, day: &mut Day, command: Command) -> Result<(), Refusal> {
    for event in decide(book, day, command)? {
        day.apply(Stamped { at: stamp(0), event });
    }
    Ok(())
}

fn refusal(book: &Book, day: &Day, command: Command) -> String {
    decide(book, day, command).expect_err("it does not fit").because
}

/// An open game at this point of it.
fn at(book: &Book, situation: Situation) -> Day {
    let mut day = Day::default();
    act(book, &mut day, Command::Open(card("W03-HK-MO"))).expect("new");
    act(book, &mut day, Command::Set(situation)).expect("possible");
    day
}

fn scored(home: u16, away: u16, period: u8, clock_ms: i64) -> Situation {
    let score = ByTeam { home, away };
    Situation { score, period, clock_ms, ..kickoff(&Challenge::demo()) }
}

// PROPERTY: a game is closed only when it is over by the rules
#[test]
fn a_game_is_closed_when_its_time_has_run_out_and_a_team_is_ahead() {
    let book = Challenge::demo().book;
    let tried = |home, away| Situation {
        next: Next::Try,
        spot: field::exact::Yards::whole(48),
        ..scored(home, away, 4, 0)
    };
    for (situation, goes_on) in [
        (scored(20, 14, 4, 0), None),
        (scored(20, 14, 4, 3_000), Some("the game is at Q4 0:03, and there is time left")),
        (scored(20, 14, 2, 0), Some("period 2 of 4 is over, and the next one is to be played")),
        (scored(14, 14, 4, 0), Some("the score is level, and the book has the game go on in overtime")),
        // The home team has the try: two points at most, for either side (a safety by the defense).
        (tried(20, 14), None),
        (tried(14, 13), Some("the try is still to be played, and can change who wins")),
        (tried(14, 14), Some("the try is still to be played, and can change who wins")),
        (scored(14, 14, 5, 900_000), None),
    ] {
        let day = at(&book, situation);
        if situation.period == 5 {
            assert!(refusal(&book, &day, Command::Close).starts_with("overtime goes on"));
            continue;
        }
        let told = decide(&book, &day, Command::Close).err().map(|no| no.because);
        assert_eq!(told.as_deref(), goes_on, "{situation:?}");
    }
    let mut level = book.clone();
    level.game.may_end_level = true;
    let mut day = at(&level, scored(14, 14, 4, 0));
    act(&level, &mut day, Command::Close).expect("a game of this book may end level");
    assert_eq!((day.phase, day.end), (Phase::Closed, Some(Ended::Played)));
}

#[test]
fn a_game_that_is_not_over_ends_only_early_with_a_reason_and_goes_on_when_it_is_reopened() {
    let book = Challenge::demo().book;
    let college = load::load("college", &shipped::sources("college").expect("shipped")).expect("sound");
    let forfeit =
        |team| Command::EndEarly { how: Early::Forfeit(team), reason: "too few players".to_owned() };
    // 8-1-2, from memory: 1 to 0, unless the offended team is ahead. Saltmarsh says nothing: the score stands.
    for (book, by, expected) in
        [(&college, Team::Home, (0, 1)), (&college, Team::Away, (20, 14)), (&book, Team::Home, (20, 14))]
    {
        let mut day = at(book, scored(20, 14, 3, 200_000));
        act(book, &mut day, forfeit(by)).expect("with a reason");
        let Some(Ended::Early { score, words, .. }) = &day.end else { panic!("{:?}", day.end) };
        assert_eq!((score.home, score.away), expected);
        let team = if by == Team::Home { "Harbour Kites" } else { "Millrace Otters" };
        assert!(words.starts_with(&format!("The game is forfeited by {team}.")), "{words}");
    }
    for how in [Early::Suspended, Early::Called] {
        let mut day = at(&book, scored(20, 14, 3, 200_000));
        let without = Command::EndEarly { how, reason: " ".to_owned() };
        assert_eq!(refusal(&book, &day, without), "ending a game early needs a reason");
        let before = day.situation();
        act(&book, &mut day, Command::EndEarly { how, reason: "the lights failed".to_owned() })
            .expect("it fits");
        assert_eq!(refusal(&book, &day, play(Did::Touchback, 100)), "the game is closed");
        let reopen = |reason: &str| Command::Reopen { reason: reason.to_owned() };
        assert_eq!(refusal(&book, &day, reopen("")), "reopening a game needs a reason");
        act(&book, &mut day, reopen("the lights are back")).expect("closed");
        assert_eq!((day.phase, day.end.clone(), day.situation()), (Phase::Open, None, before));
        act(&book, &mut day, play(Did::Touchback, 200)).expect("it goes on");
    }
}

#[test]
fn a_try_that_cannot_change_who_wins_keeps_no_game_open() {
    let book = Challenge::demo().book;
    let mut day = at(&book, Situation { clock_ms: 5_000, ..scored(20, 20, 4, 5_000) });
    act(&book, &mut day, play(Did::Touchdown { by: rules::book::effect::Part::Offense }, 0))
        .expect("a return");
    assert_eq!(day.over(&book), Ok(()));
    // It may still be played.
    act(&book, &mut day, play(Did::Tried(Tried::Kick), 0)).expect("a try");
    assert_eq!(day.over(&book), Ok(()));
}

#[test]
fn the_card_is_put_right_by_an_act_that_says_what_it_said_before() {
    let book = Challenge::demo().book;
    let mut day = at(&book, scored(20, 14, 3, 200_000));
    let was = card("W03-HK-MO");
    let reason = || Some("misread".to_owned());
    let mut other = was.clone();
    other.game = "W03-HK-QL".to_owned();
    let named = "`W03-HK-MO` names the game in the log, and cannot be changed";
    assert_eq!(refusal(&book, &day, Command::CorrectCard { card: Box::new(other), reason: None }), named);
    let same = Command::CorrectCard { card: Box::new(was.clone()), reason: None };
    assert_eq!(refusal(&book, &day, same), "the card says that already");
    let mut right = was.clone();
    right.venue = "Kiln Yard Hall".to_owned();
    right.cameras[1].sees = "the west end zone".to_owned();
    right.duties.push(Duty { duty: "radio".to_owned(), who: "booth-11".to_owned() });
    act(&book, &mut day, Command::CorrectCard { card: Box::new(right.clone()), reason: reason() })
        .expect("it differs");
    assert_eq!(day.opened.as_ref().map(|opened| &opened.card), Some(&right));
    assert_eq!((day.corrections, day.official.as_deref()), (1, Some("booth-07")));
    let told = text::event(&day.events()[day.events().len() - 1].event);
    for words in
        ["misread", "venue: the Old Ropeworks, now Kiln Yard Hall", "the west end zone", "radio: booth-11"]
    {
        assert!(told.contains(words), "`{words}` is not in {told}");
    }
    assert_eq!(fold(day.events().to_vec()), day);
}

// PROPERTY: a review names everybody who sat at the desk for it
#[test]
fn a_review_that_crosses_a_hand_over_names_both_officials() {
    let book = Challenge::demo().book;
    let mut day = at(&book, kickoff(&Challenge::demo()));
    let to = |who: &str| Command::HandOver { who: who.to_owned() };
    assert_eq!(refusal(&book, &day, to("booth-07")), "booth-07 sits at the desk already");
    assert_eq!(refusal(&book, &day, to("  ")), "nobody is named");
    let begin = |id: &str| Command::Review { review: id.to_owned(), play: 0 };
    let end = |id: &str| Command::EndReview { review: id.to_owned(), ended: Box::default() };
    for command in
        [begin("r-1"), end("r-1"), begin("r-2"), to("booth-11"), end("r-2"), begin("r-3"), end("r-3")]
    {
        act(&book, &mut day, command).expect("it fits");
    }
    assert_eq!(day.officials_of("r-1"), ["booth-07"]);
    assert_eq!(day.officials_of("r-2"), ["booth-07", "booth-11"]);
    assert_eq!(day.officials_of("r-3"), ["booth-11"]);
    assert_eq!(fold(day.events().to_vec()), day);
}

#[test]
fn a_camera_is_lost_and_back_and_the_day_says_from_when_to_when() {
    let book = Challenge::demo().book;
    let mut day = at(&book, Situation { clock_running: true, ..scored(0, 0, 2, 281_000) });
    let lost = |camera: &str, reason: &str| Command::CameraLost {
        camera: camera.to_owned(),
        reason: reason.to_owned(),
    };
    let back = |camera: &str| Command::CameraBack { camera: camera.to_owned() };
    assert_eq!(refusal(&book, &day, lost("low wall", "no signal")), "there is no camera `low wall`");
    assert_eq!(refusal(&book, &day, lost("near side", "")), "a lost camera needs a reason");
    assert_eq!(refusal(&book, &day, back("near side")), "the camera near side is not out");
    act(&book, &mut day, lost("near side", "no signal")).expect("it was there");
    assert_eq!(refusal(&book, &day, lost("near side", "again")), "the camera near side is out already");
    assert_eq!(day.lost().collect::<Vec<_>>(), ["near side"]);
    let mut without = card("W03-HK-MO");
    without.cameras.remove(0);
    let dropped = Command::CorrectCard { card: Box::new(without), reason: None };
    assert_eq!(refusal(&book, &day, dropped), "the camera near side is out, so it must stay on the card");
    let told = |day: &Day| text::outage(Some(&book), &day.outages[0]);
    assert_eq!(told(&day), "camera near side out from Q2 4:41 on: no signal");
    act(&book, &mut day, play(Did::Kicked { to: field::exact::Yards::whole(30) }, 130)).expect("it fits");
    act(&book, &mut day, back("near side")).expect("it was out");
    assert_eq!(told(&day), "camera near side out from Q2 4:41 to Q2 2:10: no signal");
    assert_eq!((day.lost().count(), fold(day.events().to_vec())), (0, day.clone()));
}
