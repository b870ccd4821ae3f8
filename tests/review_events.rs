//! The life of a review: commands in, events or a "no" out, and the state is their fold.

use crate::support::challenge::{Challenge, stamp};
use crate::support::events::situation;
use crate::support::repeatable;
use proptest::prelude::*;
use std::sync::LazyLock;
use tellframe::book::exact::Yards;
use tellframe::book::tree::Looks;
use tellframe::game::play::{Choice, Flag};
use tellframe::game::situation::Team;
use tellframe::proof::mark::{Basis, Mark};
use tellframe::proof::verdict::Verdict;
use tellframe::review::decide::{Command, No, decide, questions};
use tellframe::review::event::{Answered, Asked, Called, Event, Look, Marked, ReadBack, Snapshot};
use tellframe::review::fold::{Phase, Review, Stamped, fold};
use tellframe::review::gate::{Entry, Initiator, Stop};
use tellframe::review::ruling::rule;
use tellframe::review::stance::Outcome;

/// Loaded once: a property holds many reviews under it.
static CHALLENGE: LazyLock<Challenge> = LazyLock::new(Challenge::demo);

/// A review being held in memory.
struct Held {
    review: Review,
    at_ms: u64,
}

impl Held {
    fn new() -> Held {
        Held { review: Review::default(), at_ms: 0 }
    }

    fn act(&mut self, command: Command) -> Result<Vec<Event>, No> {
        self.at_ms += 500;
        let now = stamp(self.at_ms);
        let events = decide(CHALLENGE.desk(), &self.review, command, &now)?;
        for event in &events {
            self.review.apply(Stamped { at: now.clone(), event: event.clone() });
        }
        Ok(events)
    }

    fn all(&mut self, commands: impl IntoIterator<Item = Command>) {
        for command in commands {
            let said = format!("{command:?}");
            if let Err(no) = self.act(command) {
                panic!("{said}: {no}; {}", no.instead);
            }
        }
    }

    fn snapshot(&self) -> &Snapshot {
        self.review.ruling.as_ref().expect("it is ruled")
    }
}

fn called(initiator: Initiator) -> Command {
    Command::Challenge(Called {
        game: "W01-HK-MO".to_owned(),
        week: Some(1),
        play: "Q2 4:41 4&1.5".to_owned(),
        initiator,
        stop: Stop::BeforeNextSnap,
        situation: situation(),
    })
}

fn ask(tree: &str, call: &str) -> Command {
    Command::Ask(Asked {
        tree: tree.to_owned(),
        call: call.to_owned(),
        whistle: None,
        ruled: Vec::new(),
        entry: Entry::Challenged,
    })
}

fn read_back() -> Command {
    Command::ReadBack(ReadBack { spot: Some(Yards::fraction(77, 2)), clock_ms: Some(277_400) })
}

fn look(step: &str, kind: Looks, reason: Option<&str>) -> Command {
    Command::Look(Look {
        question: 0,
        step: step.to_owned(),
        camera: "near side".to_owned(),
        kind,
        reason: reason.map(str::to_owned),
    })
}

fn mark(moment: &str) -> Command {
    Command::Mark(Marked {
        mark: Mark {
            moment: moment.to_owned(),
            camera: "near side".to_owned(),
            timecode: "00:41:17;04".parse().expect("a timecode"),
        },
        x: Some(Yards::whole(45)),
        clock_ms: Some(278_000),
    })
}

fn answer(step: &str, options: &[&str], basis: Basis, reason: Option<&str>) -> Command {
    Command::Answer(Answered {
        question: 0,
        step: step.to_owned(),
        options: options.iter().map(|option| (*option).to_owned()).collect(),
        basis,
        reason: reason.map(str::to_owned),
    })
}

fn yes(step: &str) -> Command {
    answer(step, &["yes"], Basis::Attested, None)
}

/// A review that is open on a question.
fn open(tree: &str, call: &str) -> Held {
    let mut held = Held::new();
    held.all([called(Initiator::Coach(Team::Home)), ask(tree, call), read_back()]);
    held
}

#[test]
fn nothing_is_answered_before_the_call_is_read_back() {
    let mut held = Held::new();
    assert!(held.act(ask("catch-beyond-wall", "incomplete")).is_err(), "nobody asked for a review");
    held.all([called(Initiator::Coach(Team::Home)), ask("catch-beyond-wall", "incomplete")]);
    let no = held.act(look("inside", Looks::FullSpeed, None)).expect_err("not read back");
    assert!(no.instead.contains("read back"), "{}", no.instead);
    held.all([read_back(), look("inside", Looks::FullSpeed, None)]);
    assert_eq!(held.review.phase, Phase::Open);
}

#[test]
fn a_clear_answer_needs_the_look_and_the_marks_that_the_step_asks_for() {
    let mut held = open("catch-beyond-wall", "incomplete");
    let no = held.act(yes("inside")).expect_err("no look yet");
    assert!(no.because.contains("frame by frame") && no.reason_carries, "{no}");
    held.all([look("inside", Looks::FullSpeed, None)]);
    assert!(held.act(yes("inside")).is_err(), "the step asks for another kind of look");
    held.all([look("inside", Looks::FrameByFrame, None)]);
    let no = held.act(yes("inside")).expect_err("no mark yet");
    assert!(no.because.contains("leaves the field"), "{no}");
    held.all([answer("inside", &["yes", "no"], Basis::Attested, None)]);
    held.all([answer("inside", &["no"], Basis::Attested, None)]);
    held.all([mark("leaves the field"), yes("inside")]);
    assert!(held.review.overrides().is_empty(), "nothing was overridden");
}

#[test]
fn an_answer_without_proof_is_possible_only_with_a_reason_and_the_ruling_shows_it() {
    let mut held = open("catch-beyond-wall", "incomplete");
    let blank = answer("inside", &["no"], Basis::Attested, Some("  "));
    assert!(held.act(blank).is_err(), "a blank reason is none");
    held.all([answer("inside", &["no"], Basis::Attested, Some("seen live from the booth"))]);
    held.all([Command::Rule]);
    let overrides = &held.snapshot().overrides;
    assert_eq!(overrides.len(), 1);
    assert_eq!(overrides[0].reason, "seen live from the booth");
    assert!(overrides[0].what.contains("inside"));
}

#[test]
fn force_and_intent_are_looked_at_at_full_speed() {
    let mut held = open("false-start", "foul");
    let no = held.act(look("abrupt", Looks::Slow, None)).expect_err("3.7");
    assert!(no.because.contains("full speed") && no.reason_carries);
    held.all([look("abrupt", Looks::Slow, Some("the only angle was recorded slow"))]);
    assert_eq!(held.review.overrides().len(), 1);
    held.all([look("abrupt", Looks::FullSpeed, Some("not needed"))]);
    assert_eq!(held.review.overrides().len(), 1, "a reason that carries nothing is not kept");
}

#[test]
fn an_answer_against_a_measurement_needs_a_reason() {
    let computed = |verdict| Basis::Computed(verdict);
    for (verdict, option, may) in [
        (Verdict::Established { probability: 0.995 }, "yes", true),
        (Verdict::Established { probability: 0.995 }, "no", false),
        (Verdict::Refuted { probability: 0.004 }, "yes", false),
        (Verdict::Refuted { probability: 0.004 }, "no", true),
        (Verdict::Inconclusive { probability: 0.9 }, "yes", false),
        (Verdict::Contradiction, "no", false),
    ] {
        let mut held = open("catch-beyond-wall", "incomplete");
        let given = held.act(answer("control first", &[option], computed(verdict), None));
        assert_eq!(given.is_ok(), may, "{verdict:?} {option}");
        let mut held = open("catch-beyond-wall", "incomplete");
        let reasoned = answer("control first", &[option], computed(verdict), Some("another angle"));
        held.all([reasoned, answer("control first", &["yes", "no"], computed(verdict), None)]);
    }
}

#[test]
fn past_the_time_limit_only_a_reason_carries_an_answer_and_a_ruling_is_always_possible() {
    let mut held = open("catch-beyond-wall", "incomplete");
    held.all([look("inside", Looks::FrameByFrame, None)]);
    // 3.6: 90 s from the first look to the ruling.
    held.at_ms += 89_000;
    held.all([answer("inside", &["yes", "no"], Basis::Attested, None)]);
    held.at_ms += 2_000;
    let no = held.act(answer("control", &["no"], Basis::Attested, None)).expect_err("too late");
    assert!(no.because.contains("90 s"), "{no}");
    held.all([answer("control", &["no"], Basis::Attested, Some("the feed came late")), Command::Rule]);
    assert_eq!(held.snapshot().overrides.len(), 1);
}

#[test]
fn a_challenge_is_withdrawn_before_the_first_look_or_not_at_all() {
    let mut held = open("catch-beyond-wall", "incomplete");
    held.all([Command::Withdraw]);
    assert_eq!(held.review.phase, Phase::Withdrawn);
    assert!(held.act(look("inside", Looks::FullSpeed, None)).is_err(), "it is over");

    let mut held = open("catch-beyond-wall", "incomplete");
    held.all([look("inside", Looks::FullSpeed, None)]);
    let no = held.act(Command::Withdraw).expect_err("section 7");
    assert!(no.because.contains("rule 7"), "{no}");

    let mut held = Held::new();
    held.all([called(Initiator::Booth), ask("face-mask", "none")]);
    assert!(held.act(Command::Withdraw).is_err(), "nobody challenged");
}

#[test]
fn taking_back_is_an_event_and_reaches_one_act_after_the_other() {
    let mut held = open("catch-beyond-wall", "incomplete");
    held.all([look("inside", Looks::FrameByFrame, None), mark("leaves the field"), yes("inside")]);
    assert_eq!(held.review.answers().len(), 1);
    held.all([Command::Undo]);
    assert_eq!((held.review.answers().len(), held.review.marks().count()), (0, 1));
    held.all([Command::Undo]);
    assert_eq!(held.review.marks().count(), 0);
    assert!(held.act(Command::Undo).is_err(), "a look stays");
    assert_eq!(held.review.looks().count(), 1);
    assert_eq!(held.review.events().len(), 8, "what was taken back is kept");
}

#[test]
fn a_revised_answer_replaces_the_one_before_and_taking_it_back_restores_that() {
    let mut held = open("catch-beyond-wall", "incomplete");
    held.all([look("inside", Looks::FrameByFrame, None), mark("leaves the field"), yes("inside")]);
    held.all([answer("inside", &["no"], Basis::Attested, None), Command::Undo]);
    let answers = held.review.answers();
    assert_eq!(answers[&(0, "inside")].options, ["yes"]);
}

#[test]
fn a_refused_question_is_an_event_and_another_may_be_asked() {
    let mut held = Held::new();
    held.all([called(Initiator::Coach(Team::Home)), ask("holding", "")]);
    assert_eq!(held.review.phase, Phase::Refused);
    assert!(held.review.refused[0].price.timeout, "3.3: the timeout is charged");
    held.all([ask("catch-beyond-wall", "incomplete"), read_back()]);
    assert_eq!(held.review.phase, Phase::Open);
    assert!(held.act(ask("catch-beyond-wall", "incomplete")).is_err(), "asked already");
}

#[test]
fn the_restart_is_read_back_before_the_announcement_and_then_it_is_over() {
    let mut held = open("catch-beyond-wall", "incomplete");
    held.all([Command::Rule]);
    assert_eq!(held.snapshot().questions[0].label, "stands");
    assert!(held.act(Command::Announce).is_err(), "read it back first");
    assert!(held.act(Command::Undo).is_err(), "a ruling stays");
    held.all([Command::ReadBackRestart, Command::Announce]);
    assert!(held.review.is_over());
    assert!(held.act(Command::CutShort { reason: "late".to_owned() }).is_err());
}

#[test]
fn a_review_ends_without_a_ruling_only_with_a_reason() {
    let mut held = open("catch-beyond-wall", "incomplete");
    assert!(held.act(Command::CutShort { reason: " ".to_owned() }).is_err());
    held.all([Command::CutShort { reason: "the feed is gone".to_owned() }]);
    assert_eq!(held.review.phase, Phase::CutShort);
}

#[test]
fn a_ruling_waits_for_the_marks_that_its_restart_needs() {
    let mut held = open("catch-beyond-wall", "incomplete");
    for (step, moment) in [("inside", "leaves the field"), ("control", "control")] {
        held.all([look(step, Looks::FrameByFrame, None), mark(moment), yes(step)]);
    }
    for step in ["control first", "survives"] {
        held.all([answer(step, &["yes"], Basis::Attested, Some("the wall camera was down"))]);
    }
    held.all([answer("crossing", &["complete"], Basis::Attested, Some("the wall camera was down"))]);
    let no = held.act(Command::Rule).expect_err("where did he cross?");
    assert!(no.because.contains("crosses the wall") || no.because.contains("touches down"), "{no}");
    held.all([mark("crosses the wall"), mark("touches down"), Command::Rule]);
    let snapshot = held.snapshot();
    assert_eq!(snapshot.questions[0].outcome, Outcome::Reversed);
    assert_eq!(snapshot.after.spot, Yards::whole(45));
    assert_eq!(snapshot.won, Some(true));
}

#[test]
fn settled_is_stamped_once_and_the_first_time() {
    let mut held = open("catch-beyond-wall", "incomplete");
    held.all([look("inside", Looks::FrameByFrame, None)]);
    let events = held.act(answer("inside", &["no"], Basis::Attested, None)).expect("seen");
    assert!(events.contains(&Event::Settled));
    let stamped = held.review.times.settled.clone();
    held.all([Command::Undo]);
    let events = held.act(answer("inside", &["no"], Basis::Attested, None)).expect("seen");
    assert_eq!(events.len(), 1);
    assert_eq!(held.review.times.settled, stamped);
}

/// Commands with real and with bogus names.
fn commands() -> impl Strategy<Value = Command> {
    let word = |words: &'static [&'static str]| prop::sample::select(words);
    let trees = word(&["catch-beyond-wall", "face-mask", "down-or-fumble", "holding", "nothing"]);
    let calls = word(&["incomplete", "none", "foul", "down", "complete", ""]);
    let steps = word(&["inside", "control", "survives", "crossing", "grasp", "loose", "recovery", "nothing"]);
    let options = prop::collection::vec(word(&["yes", "no", "complete", "touchdown", "nothing"]), 0..3);
    let moments = word(&["control", "leaves the field", "touches down", "crosses the wall", "end of play"]);
    let reasons = prop::option::of(word(&["because", " "]));
    let kinds = word(&["full", "slow", "frame"]);
    let speed = |kind: &str| match kind {
        "full" => Looks::FullSpeed,
        "slow" => Looks::Slow,
        _ => Looks::FrameByFrame,
    };
    prop_oneof![
        1 => Just(called(Initiator::Coach(Team::Home))),
        1 => Just(called(Initiator::Booth)),
        4 => (trees, calls).prop_map(|(tree, call)| ask(tree, call)),
        3 => Just(read_back()),
        4 => (steps.clone(), kinds, reasons.clone())
            .prop_map(move |(step, kind, reason)| look(step, speed(kind), reason)),
        4 => moments.prop_map(mark),
        8 => (steps, options, reasons)
            .prop_map(|(step, options, reason)| answer(step, &options, Basis::Attested, reason)),
        2 => Just(Command::Undo),
        1 => Just(Command::Flag(vec![Flag {
            name: "face mask".to_owned(),
            by: tellframe::book::effect::Part::Defense,
            spot: Some(Yards::whole(40)),
            dead: false,
            clock_ms: None,
        }])),
        1 => Just(Command::Choose { penalty: "face mask".to_owned(), choice: Choice::Decline }),
        1 => Just(Command::Withdraw),
        2 => Just(Command::Rule),
        1 => Just(Command::ReadBackRestart),
        1 => Just(Command::Announce),
        1 => Just(Command::CutShort { reason: "because".to_owned() }),
    ]
}

proptest! {
    #![proptest_config(repeatable(2_000))]

    #[test]
    fn any_commands_leave_a_state_that_refolds_to_itself(
        random in prop::collection::vec(commands(), 0..40), begun in any::<bool>(),
    ) {
        let mut held = if begun { open("catch-beyond-wall", "incomplete") } else { Held::new() };
        for command in random {
            let before = held.review.clone();
            match held.act(command) {
                Ok(events) => {
                    prop_assert!(!events.is_empty());
                    prop_assert!(held.review.phase >= before.phase || before.phase == Phase::Refused);
                    prop_assert!(held.review.looks().count() >= before.looks().count());
                }
                Err(no) => {
                    prop_assert_eq!(&held.review, &before, "a no changes nothing");
                    prop_assert!(!no.because.is_empty() && !no.instead.is_empty());
                }
            }
        }
        prop_assert_eq!(&fold(held.review.events().iter().cloned()), &held.review);
        for kept in held.review.overrides() {
            prop_assert!(!kept.reason.trim().is_empty());
        }
        if let (Some(snapshot), Some(called)) = (&held.review.ruling, &held.review.called) {
            let book = &CHALLENGE.book;
            let asked = questions(book, &held.review);
            let again = rule(book, called.situation, called.initiator, &asked, &held.review.play());
            prop_assert_eq!(&again.restart.after, &snapshot.after);
            let outcomes: Vec<Outcome> = snapshot.questions.iter().map(|found| found.outcome).collect();
            let now: Vec<Outcome> = again.questions.iter().map(|decided| decided.outcome).collect();
            prop_assert_eq!(outcomes, now);
        }
    }
}
