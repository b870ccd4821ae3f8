//! The life of a review: what each command asks for, what it writes, and what a refusal says.

use field::exact::Yards;
use review::decide::Command;
use review::event::{Asked, Event, ReadBack};
use review::fold::Phase;
use review::gate::{Entry, Initiator, Ruled};
use review::stance::{Outcome, Why};
use rules::book::effect::{DeadBy, Part};
use rules::book::replay::Price;
use rules::book::tree::Looks;
use rules::game::play::{Choice, Flag, PlayEnd};
use rules::game::situation::{ByTeam, Challenges, Next, Situation, Team};
use testing::booth::{Booth, answer, ask, asked, challenge, look, mark, read_back};
use testing::events::situation;

const COACH: Initiator = Initiator::Coach(Team::Home);

fn cut_short(reason: &str) -> Command {
    Command::CutShort { reason: reason.to_owned() }
}

/// Fourth and one and a half: the catch over the wall at the 45, clock 4:38.
fn proven_catch() -> Booth {
    let mut booth = Booth::open("catch-beyond-wall", "incomplete");
    booth.proves(0, "inside", "yes");
    booth.does(mark("touches down", None, Some(278_000)));
    booth.does(mark("crosses the wall", Some(Yards::whole(45)), None));
    for step in ["control", "control first", "survives"] {
        booth.proves(0, step, "yes");
    }
    booth.proves(0, "crossing", "complete");
    booth
}

#[test]
fn before_the_call_is_read_back_nothing_is_looked_at_marked_or_answered() {
    let mut booth = Booth::new();
    let no = booth.refuses(ask("catch-along-wall", "incomplete"));
    assert_eq!(no.to_string(), "no review has been asked for");
    booth.does(challenge(COACH, situation()));
    assert_eq!(booth.refuses(read_back()).to_string(), "nothing has been asked yet");
    booth.does(ask("catch-along-wall", "incomplete"));
    for command in [
        look(0, "control", Looks::FrameByFrame, None),
        mark("control", None, None),
        answer(0, "control", &["yes", "no"]),
        Command::Undo,
        Command::Rule,
    ] {
        let no = booth.refuses(command);
        assert_eq!(no.to_string(), "the call has not been read back");
        assert_eq!(no.instead, "read back call, whistle, spot, clock and flags");
    }
    booth.does(read_back());
    assert_eq!(booth.review.phase, Phase::Open);
    booth.does(answer(0, "control", &["yes", "no"]));
    // What was misheard is read back again.
    booth.does(read_back());
    assert_eq!(booth.refuses(challenge(COACH, situation())).to_string(), "the review is open");
}

#[test]
fn an_impossible_situation_is_put_right_before_the_review() {
    let mut booth = Booth::new();
    let beyond = Situation { spot: Yards::whole(50), ..situation() };
    let no = booth.refuses(challenge(COACH, beyond));
    assert!(no.because.starts_with("spot 50 is not on the field"), "{no}");
}

#[test]
fn names_that_the_book_does_not_have_are_refused_with_the_nearest_one() {
    let mut booth = Booth::called(COACH);
    let no = booth.refuses(ask("catch-along-wal", "incomplete"));
    assert_eq!(no.to_string(), "there is no question `catch-along-wal`");
    assert!(no.instead.contains("catch-along-wall"), "{}", no.instead);
    assert!(booth.refuses(ask("catch-along-wall", "caught")).because.contains("it has complete"));
    booth.does(ask("catch-along-wall", "incomplete"));
    assert_eq!(
        booth.refuses(ask("catch-along-wall", "complete")).to_string(),
        "`catch-along-wall` is asked already"
    );
    booth.does(read_back());
    for (command, because, instead) in [
        (answer(0, "contrl", &["yes"]), "there is no step `contrl`", "control"),
        (answer(0, "control", &["yess"]), "there is no answer `yess`", "yes"),
        (answer(0, "control", &[]), "the answer to `control` is empty", "unclear"),
        (answer(1, "control", &["yes"]), "there is no question 1", "count from 0"),
        (look(0, "contrl", Looks::Slow, None), "there is no step `contrl`", "control"),
        (
            Command::Flag(vec![flag("pass interferance", Part::Defense)]),
            "there is no penalty `pass interferance`",
            "pass interference",
        ),
        (
            Command::Flag(vec![flag("false start", Part::Defense)]),
            "`false start` is never a foul of the defense (rule 4.1)",
            "offense",
        ),
        (choose("blows", Choice::Accept), "there is no penalty `blows`", "blow"),
    ] {
        let no = booth.refuses(command);
        assert_eq!(no.to_string(), because);
        assert!(no.instead.contains(instead), "{because}: {}", no.instead);
        assert!(!no.reason_carries, "{because}");
    }
}

fn flag(name: &str, by: Part) -> Flag {
    Flag { name: name.to_owned(), by, spot: None, dead: false, clock_ms: None }
}

fn choose(penalty: &str, choice: Choice) -> Command {
    Command::Choose { penalty: penalty.to_owned(), choice }
}

/// 7: a challenge may be withdrawn before the first look.
#[test]
fn a_challenge_is_withdrawn_before_the_first_look_only() {
    let steps: [fn(&mut Booth); 3] = [
        |_| (),
        |booth| {
            booth.does(ask("catch-along-wall", "incomplete"));
        },
        |booth| {
            booth.does(ask("catch-along-wall", "incomplete"));
            booth.does(read_back());
        },
    ];
    for before in steps {
        let mut booth = Booth::called(COACH);
        before(&mut booth);
        booth.does(Command::Withdraw);
        assert_eq!(booth.review.phase, Phase::Withdrawn);
        assert!(booth.review.is_over());
        assert_eq!(booth.review.situation(), Some(situation()));
        assert!(booth.refuses(Command::Rule).because.contains("withdrawn"));
    }
    let mut booth = Booth::open("catch-along-wall", "incomplete");
    booth.does(look(0, "control", Looks::FullSpeed, None));
    let no = booth.refuses(Command::Withdraw);
    assert_eq!(no.to_string(), "a challenge may be withdrawn only before the first look (rule 7)");
    let mut booth = Booth::called(Initiator::Booth);
    assert_eq!(booth.refuses(Command::Withdraw).to_string(), "only a coach's challenge can be withdrawn");
}

#[test]
fn undo_takes_back_the_newest_act_and_never_a_look() {
    let mut booth = Booth::open("catch-along-wall", "incomplete");
    assert_eq!(booth.refuses(Command::Undo).to_string(), "there is nothing to take back");
    booth.does(Command::Flag(vec![flag("pass interference", Part::Defense)]));
    booth.does(look(0, "control", Looks::FrameByFrame, None));
    booth.does(mark("control", Some(Yards::whole(45)), None));
    booth.does(answer(0, "control", &["yes"]));
    booth.does(answer(0, "control", &["no"]));
    let acts = booth.review.events().len();
    let standing = |booth: &Booth| {
        let answers = booth.review.answers();
        let answer = answers.get(&(0, "control")).map(|answered| answered.options[0].clone());
        (answer, booth.review.marks().count(), booth.review.flags().len())
    };
    for left in [
        (Some("yes".to_owned()), 1, 1), // the earlier answer stands again
        (None, 1, 1),
        (None, 0, 1),
        (None, 0, 0),
    ] {
        assert!(matches!(booth.does(Command::Undo).as_slice(), [Event::Undone { .. }]));
        assert_eq!(standing(&booth), left);
    }
    assert_eq!(booth.review.looks().count(), 1);
    let no = booth.refuses(Command::Undo);
    assert_eq!(no.instead, "a look and a ruling stay as they are");
    assert_eq!(booth.review.events().len(), acts + 4, "an undo is an event of its own");
    // An undo is not undone: the next one takes back what is done next.
    booth.does(mark("control", None, None));
    booth.does(Command::Undo);
    assert_eq!(standing(&booth), (None, 0, 0));
}

#[test]
fn undo_after_a_refused_ruling_takes_back_what_was_done_before_it() {
    let mut booth = proven_catch();
    booth.does(mark("crosses the wall", Some(Yards::whole(60)), None));
    let no = booth.refuses(Command::Rule);
    assert_eq!(
        no.to_string(),
        "the restart is not complete: the mark `crosses the wall` does not lie between the goal lines"
    );
    assert_eq!(no.instead, "mark it, with its spot and its clock");
    booth.does(Command::Undo);
    booth.does(Command::Rule);
    assert_eq!(booth.ruling().after.spot, Yards::whole(45));
    assert_eq!(booth.refuses(Command::Undo).to_string(), "it is ruled; the restart is to be read back");
}

#[test]
fn settled_is_stamped_once() {
    let mut booth = Booth::open("catch-along-wall", "incomplete");
    booth.at_ms = 30_000;
    booth.does(look(0, "control", Looks::FrameByFrame, None));
    booth.does(mark("control", None, None));
    assert_eq!(booth.does(answer(0, "control", &["no"])).last(), Some(&Event::Settled));
    let stamped = booth.review.times.settled.clone();
    booth.at_ms = 40_000;
    booth.does(Command::Undo);
    assert_eq!(booth.does(answer(0, "control", &["no"])).len(), 1);
    assert_eq!(booth.review.times.settled, stamped);
    assert_eq!(booth.review.events().iter().filter(|event| event.event == Event::Settled).count(), 1);
}

#[test]
fn an_answer_in_doubt_settles_nothing_that_a_step_left_could_tell() {
    let mut booth = Booth::open("catch-along-wall", "incomplete");
    booth.proves(0, "clear of the wall", "no");
    booth.proves(0, "control", "yes");
    booth.does(look(0, "wall first", Looks::FrameByFrame, None));
    booth.does(mark("ball on the wall", None, None));
    // An answer off the path settles nothing.
    assert_eq!(booth.does(answer(0, "wall first", &["no"])).len(), 1);
    booth.does(answer(0, "wall first", &["yes", "no"]));
    assert_eq!(booth.review.times.settled, None);
    assert_eq!(booth.does(answer(0, "wall first", &["yes"])).last(), Some(&Event::Settled));
}

#[test]
fn the_restart_is_read_back_before_it_is_announced() {
    let mut booth = proven_catch();
    let no = booth.refuses(Command::ReadBackRestart);
    assert_eq!(no.to_string(), "the review is open");
    booth.refuses(Command::Announce);
    booth.does(Command::Rule);
    let no = booth.refuses(Command::Announce);
    assert_eq!(no.to_string(), "it is ruled; the restart is to be read back");
    assert_eq!(no.instead, "read it back to the crew");
    booth.does(Command::ReadBackRestart);
    assert_eq!(booth.refuses(Command::ReadBackRestart).to_string(), "it is ruled and read back");
    booth.does(Command::Announce);
    assert!(booth.review.is_over());
    for command in [Command::Rule, Command::Undo, Command::Withdraw, cut_short("late"), read_back()] {
        assert_eq!(booth.refuses(command).to_string(), "the review is over: it was announced");
    }
    // Hard one 2 over the wall (8.2): reversed, not charged, first down at the crossing.
    let ruling = booth.ruling();
    assert_eq!((ruling.won, ruling.price), (Some(true), Price { timeout: false, challenge: true }));
    assert_eq!(ruling.questions[0].finding.as_deref(), Some("complete"));
    let ten = Yards::whole(5); // goal to go from the 45
    assert_eq!(ruling.after.next, Next::Scrimmage { down: 1, to_go: ten });
    assert_eq!((ruling.after.clock_ms, ruling.after.timeouts), (278_000, ByTeam { home: 2, away: 3 }));
}

#[test]
fn a_review_is_cut_short_with_a_reason_at_any_time_before_the_announcement() {
    let stages: [fn() -> Booth; 4] = [
        || Booth::called(COACH),
        || Booth::open("catch-along-wall", "incomplete"),
        || {
            let mut booth = proven_catch();
            booth.does(Command::Rule);
            booth
        },
        || {
            let mut booth = proven_catch();
            booth.does(Command::Rule);
            booth.does(Command::ReadBackRestart);
            booth
        },
    ];
    for stage in stages {
        let mut booth = stage();
        assert_eq!(booth.refuses(cut_short("  ")).instead, "say why");
        booth.does(cut_short("replay out of service"));
        assert!(booth.review.is_over());
        assert_eq!(booth.refuses(Command::Announce).to_string(), "the review is over: it was cut short");
    }
}

/// 3.3: challenge of something not reviewable: timeout charged, challenge kept. Later questions take that into account.
#[test]
fn a_refused_first_question_is_paid_for_and_another_one_may_be_asked() {
    let mut booth = Booth::called_in(COACH, Situation { challenges: ByTeam::default(), ..situation() });
    let events = booth.does(ask("holding", ""));
    let [Event::Refused(refused)] = events.as_slice() else { panic!("{events:?}") };
    assert_eq!((refused.rule.as_str(), refused.price), ("3.9", Price { timeout: true, challenge: false }));
    assert_eq!(booth.review.phase, Phase::Refused);
    assert!(booth.review.is_over(), "it may end here");
    assert_eq!(booth.refuses(read_back()).to_string(), "the gate refused it");
    booth.does(ask("catch-along-wall", "incomplete"));
    assert_eq!(booth.review.phase, Phase::Admitted);
    booth.does(read_back());
    booth.does(Command::Rule);
    // Two timeouts, one paid for holding, one for the challenge that stood.
    let after = booth.ruling().after;
    assert_eq!(after.timeouts, ByTeam { home: 0, away: 3 });
    assert_eq!(after.challenges.home, Challenges { used: 1, won: 0 });
    assert_eq!(booth.ruling().questions[0].outcome, Outcome::Stands(Why::NotProven));
}

#[test]
fn a_coach_who_paid_their_last_timeout_for_a_refusal_has_none_in_hand() {
    let last = Situation { timeouts: ByTeam { home: 1, away: 3 }, ..situation() };
    let mut booth = Booth::called_in(COACH, last);
    booth.does(ask("holding", ""));
    let events = booth.does(ask("catch-along-wall", "incomplete"));
    let [Event::Refused(refused)] = events.as_slice() else { panic!("{events:?}") };
    assert_eq!(
        (refused.rule.as_str(), refused.because.as_str()),
        ("3.3", "the coach has no timeout in hand")
    );
    assert_eq!(refused.price, Price { timeout: false, challenge: false });
}

#[test]
fn nothing_is_found_on_the_way_before_something_is_asked() {
    let find = || Command::Ask(asked("face-mask", "none", Entry::FoundOnTheWay));
    let broke = Situation { timeouts: ByTeam::default(), ..situation() };
    let mut booth = Booth::called_in(COACH, broke);
    assert_eq!(booth.refuses(find()).instead, "ask the challenged question first");
    booth.does(ask("catch-along-wall", "incomplete"));
    booth.refuses(find());
    let mut booth = Booth::open("catch-along-wall", "incomplete");
    booth.does(find());
    assert_eq!(booth.review.questions.len(), 2);
}

/// 8.4: touchdown with 0:05 left; the knee was down at the 1 with 0:08, then a face mask by the defense.
fn hard_one_4() -> Booth {
    let late = Situation {
        period: 4,
        clock_ms: 14_000,
        next: Next::Scrimmage { down: 2, to_go: Yards::whole(6) },
        spot: Yards::whole(44),
        ..situation()
    };
    let mut booth = Booth::called_in(Initiator::Booth, late);
    booth.does(ask("line-reached", "touchdown"));
    booth.does(read_back());
    booth.does(Command::Ask(asked("face-mask", "none", Entry::FoundOnTheWay)));
    booth.does(mark("down", Some(Yards::whole(49)), Some(8_000)));
    booth.does(mark("forward point", Some(Yards::whole(49)), None));
    booth.does(mark("at the plane", Some(Yards::whole(50)), Some(5_000)));
    booth.does(mark("grasp", None, Some(7_000)));
    for (step, option) in [("plane", "yes"), ("down first", "yes"), ("line to gain", "no")] {
        booth.proves(0, step, option);
    }
    booth
}

#[test]
fn several_questions_have_one_restart_and_a_safety_foul_is_never_moot() {
    let mut booth = hard_one_4();
    for (step, option) in [("grasp", "yes"), ("pull or twist", "yes"), ("before they parted", "defense")] {
        booth.proves(1, step, option);
    }
    booth.does(Command::Rule);
    let ruling = booth.ruling();
    let outcomes: Vec<_> = ruling.questions.iter().map(|found| (found.outcome, found.moot)).collect();
    assert_eq!(outcomes, [(Outcome::Reversed, false), (Outcome::Reversed, false)]);
    let half = Yards::fraction(1, 2);
    assert_eq!(
        (ruling.after.next, ruling.after.spot),
        (Next::Scrimmage { down: 1, to_go: half }, Yards::fraction(99, 2))
    );
    assert_eq!((ruling.after.clock_ms, ruling.after.clock_running), (8_000, false));
    assert_eq!(ruling.won, None);
}

#[test]
fn a_question_about_what_came_after_the_dead_ball_is_moot_and_wins_nothing() {
    // The booth found the knee down first; whether they fumbled later no longer matters.
    let mut booth = hard_one_4();
    booth.does(ask("down-or-fumble", "down"));
    booth.does(mark("ball loose", None, Some(6_000)));
    booth.does(mark("contact", None, Some(6_500)));
    for (step, option) in [("loose", "yes"), ("contact", "no"), ("recovery", "defense")] {
        booth.proves(2, step, option);
    }
    booth.does(mark("recovery", Some(Yards::whole(48)), Some(6_000)));
    booth.does(Command::Rule);
    let moot: Vec<bool> = booth.ruling().questions.iter().map(|found| found.moot).collect();
    // "down" is marked with 8 s left, no later than the dead ball of the first question.
    assert_eq!(moot, [false, false, true]);
    assert_eq!(booth.ruling().after.offense, Team::Home);
    assert_eq!(booth.ruling().after.spot, Yards::whole(49));
}

/// 4.16, 3.3: a fumble that the defense recovered stays its ball when the review leaves the call as it is.
#[test]
fn the_play_that_counts_is_the_one_that_was_read_back() {
    let end = PlayEnd {
        spot: Yards::whole(41),
        clock_ms: Some(276_000),
        dead_by: DeadBy::ChangeOfPossession,
        points: None,
        turnover: true,
        regained: false,
    };
    let mut booth = Booth::called(Initiator::Booth);
    let fumble =
        Asked { ruled: vec![Ruled::Turnover], ..asked("down-or-fumble", "fumble", Entry::Challenged) };
    booth.does(Command::Ask(fumble));
    booth.does(Command::ReadBack(ReadBack { spot: None, clock_ms: Some(276_000), end: Some(end) }));
    booth.does(Command::Rule);
    let after = booth.ruling().after;
    assert_eq!((after.offense, after.spot, after.clock_ms), (Team::Away, Yards::whole(9), 276_000));
    assert_eq!(after.next, Next::Scrimmage { down: 1, to_go: Yards::whole(10) });
    assert!(
        booth.ruling().words.announcement.contains("Millrace Otters ball, first and 10 at the Otters 9.")
    );
    assert_eq!(booth.ruling().words.clock, "Leave the game clock as it is. It starts on the ready signal.");
}

#[test]
fn a_spot_or_a_clock_that_cannot_be_is_not_read_back() {
    let mut booth = Booth::called(COACH);
    booth.does(ask("catch-along-wall", "incomplete"));
    for (spot, clock_ms, because) in [
        (Some(Yards::whole(50)), None, "spot 50 is not on the field"),
        (Some(Yards::ZERO), None, "spot 0 is not on the field"),
        (None, Some(-1), "the clock cannot show"),
        (None, Some(900_001), "the clock cannot show"),
    ] {
        let no = booth.refuses(Command::ReadBack(ReadBack { spot, clock_ms, end: None }));
        assert!(no.because.starts_with(because), "{no}");
        assert_eq!(no.instead, "read back where the ball is put, and its clock");
    }
}
