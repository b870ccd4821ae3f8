//! The referee's own ruling and what becomes of it: safety first, the bounds of the book, the effect on the game,
//! held over a log, proposed, decided, verified, erased.

use field::exact::Yards;
use log::chain::entry::{Act, NewEntry};
use log::chain::label::{Actor, Kind};
use log::forms;
use log::store::log::Log;
use log::store::verify::Trust;
use log::streams::discretions;
use log::streams::discretions::{DiscretionSession, Done};
use log::streams::precedents;
use log::streams::precedents::{Precedents, id_of, proposal};
use log::streams::session::Attempt;
use review::discretion::decide::{Missing, missing};
use review::discretion::fold::{Discretion, Phase, fold};
use review::discretion::options::{Met, offers};
use review::discretion::{
    Cause, Command, Disqualified, Event, Fact, Ground, Matter, Opened, Profit, Since, Stamped, Started,
};
use review::precedent::fold::Status;
use review::precedent::pattern::Pattern;
use review::precedent::{Command as Decision, Condition, Weeks};
use rules::book::effect::{DeadBy, Part, Points};
use rules::game::play::PlayEnd;
use rules::game::situation::{Next, Situation, Team};
use serde_json::json;
use testing::challenge::{Challenge, stamp};
use testing::logs::{Desk, append, command};

/// Second and 6 at the own 22, seven minutes to go in the third period.
fn situation(challenge: &Challenge) -> Situation {
    let mut at = testing::day::kickoff(challenge);
    (at.period, at.clock_ms, at.spot) = (3, 432_000, Yards::whole(22));
    at.next = Next::Scrimmage { down: 2, to_go: Yards::whole(6) };
    at
}

/// Two punches of one exchange that the offense began: ruled a foul on both, the play over at 26 with 7:05.
fn exchange(challenge: &Challenge) -> Opened {
    let end = PlayEnd {
        spot: Yards::whole(26),
        clock_ms: Some(425_000),
        dead_by: DeadBy::Down,
        points: None,
        turnover: false,
        regained: false,
    };
    let fact = |name: &str, says: &str| Fact { name: name.to_owned(), says: says.to_owned(), mark: None };
    Opened {
        game: "W02-HK-TP".to_owned(),
        week: Some(2),
        play: "Q3 7:12 2&6".to_owned(),
        review: None,
        matter: Some(Matter {
            question: "blow-and-answer".to_owned(),
            call: "foul on both".to_owned(),
            findings: vec!["exchange begun by the offense".to_owned()],
        }),
        book: challenge.book.id.clone(),
        edition: challenge.book.edition.to_string(),
        ground: Ground {
            situation: situation(challenge),
            end: Some(end),
            flags: Vec::new(),
            moments: Vec::new(),
            since: None,
        },
        facts: vec![fact("who struck", "both"), fact("first blow", "yes")],
    }
}

/// Everything up to the signature, for the play as it was run.
fn commands(opened: Opened) -> Vec<Command> {
    vec![
        Command::Open(Box::new(opened)),
        Command::Risk { someone: None },
        Command::State(Fact { name: "bench".to_owned(), says: "nobody left it".to_owned(), mark: None }),
        Command::Unreached { because: "it has no finding for one exchange".to_owned() },
        Command::Profit(Profit { started: Started::Offense, rewards: true }),
        Command::Choose {
            remedy: "the play stands, no foul".to_owned(),
            reason: Some("it would pay the side that began it".to_owned()),
        },
        Command::Lean { rule: "5".to_owned() },
        Command::Word { words: "The play stands. There is no foul.".to_owned() },
        Command::ReadBack,
        Command::Sign,
    ]
}

fn decided(challenge: &Challenge, ruling: &Discretion, command: Command) -> Result<Vec<Event>, String> {
    let decided = review::discretion::decide::decide(&challenge.book, ruling, command);
    decided.map_err(|no| no.because)
}

/// The ruling after these commands, each of which is accepted.
fn after(challenge: &Challenge, commands: &[Command]) -> Discretion {
    let mut ruling = Discretion::default();
    for command in commands {
        for event in
            decided(challenge, &ruling, command.clone()).unwrap_or_else(|no| panic!("{command:?}: {no}"))
        {
            ruling.apply(Stamped { at: stamp(0), event });
        }
    }
    ruling
}

fn no(challenge: &Challenge, before: &[Command], command: Command) -> String {
    decided(challenge, &after(challenge, before), command).expect_err("it does not fit")
}

// PROPERTY: nothing is decided before it is said that nobody is at risk
#[test]
fn nothing_is_decided_before_it_is_said_that_nobody_is_at_risk() {
    let challenge = Challenge::demo();
    let all = commands(exchange(&challenge));
    let hurt = Command::Risk { someone: Some("the runner".to_owned()) };
    for command in &all[2..] {
        assert_eq!(no(&challenge, &all[..1], command.clone()), "safety comes first");
        let at_risk = [all[0].clone(), hurt.clone()];
        assert_eq!(no(&challenge, &at_risk, command.clone()), "someone is at risk");
        let again = [all[0].clone(), all[1].clone(), hurt.clone()];
        assert_eq!(no(&challenge, &again, command.clone()), "someone is at risk");
    }
    let safe = after(&challenge, &[all[0].clone(), hurt, all[1].clone()]);
    assert_eq!((safe.phase, safe.at_risk), (Phase::Weighing, vec!["the runner".to_owned()]));
    let nobody = Command::Risk { someone: Some(" ".to_owned()) };
    assert_eq!(no(&challenge, &all[..1], nobody), "who is at risk is missing");
}

#[test]
fn a_ruling_lacks_what_it_lacks_and_is_signed_only_as_it_was_read_back() {
    let challenge = Challenge::demo();
    let all = commands(exchange(&challenge));
    let of = |count: usize| missing(&challenge.book, &after(&challenge, &all[..count]));
    let every = [Missing::Because, Missing::Profit, Missing::Choice, Missing::Rule, Missing::Words];
    assert_eq!(of(2), every, "the facts of the review are there");
    for (count, left) in [(3, 0), (4, 1), (5, 2), (6, 3), (7, 4), (8, 5)] {
        assert_eq!(of(count), every[left..], "after command {count}");
    }
    assert_eq!(no(&challenge, &all[..7], Command::ReadBack), "the announcement is empty");
    assert_eq!(no(&challenge, &all[..8], Command::Sign), "it has not been read back");
    let mut changed = all[..9].to_vec();
    changed.push(Command::Lean { rule: "4.22".to_owned() });
    assert_eq!(no(&challenge, &changed, Command::Sign), "it has not been read back");
    let signed = after(&challenge, &all);
    let ruling = signed.signed.as_ref().expect("it is signed");
    assert_eq!((ruling.rule.as_str(), ruling.remedy.as_str()), ("5", "the play stands, no foul"));
    assert_eq!(no(&challenge, &all, all[4].clone()), "it is signed");
    assert_eq!(fold(signed.events().iter().cloned()), signed, "the state is the fold of its events");
    let empty = Opened { matter: None, facts: Vec::new(), ..exchange(&challenge) };
    let open = after(&challenge, &commands(empty)[..2]);
    assert_eq!(missing(&challenge.book, &open).first(), Some(&Missing::Facts));
}

/// League rules 1, 4.22 and 5, worked by hand. The play: from 22 to 26 with 6 to go, so third and 2. A foul of the
/// offense after it: half of 26 is 13, less than 15, so 13 yards back, third and 15. One of the defense: half of the 24
/// to the goal line at 50 is 12, so on to 38, first and 10. One of each, in their order, the offense first: from 13 all
/// of 15 on to 28, first and 10. The down again: second and 6 at 22.
// PROPERTY: every remedy of the referee leads where the rules say
#[test]
fn every_remedy_leads_where_the_rules_say_and_meets_the_bounds_of_the_book() {
    let challenge = Challenge::demo();
    let shortens = || vec![Met::Shortens("blow".to_owned())];
    let expected = [
        ("the play stands, no foul", 3, 2, 26, shortens()),
        ("the down is played again", 2, 6, 22, shortens()),
        ("a blow by one side, the offense", 3, 15, 13, shortens()),
        ("a blow by one side, the defense", 1, 10, 38, shortens()),
        ("a blow by each side", 1, 10, 28, Vec::new()),
    ];
    let found = offers(&challenge.book, &exchange(&challenge));
    let told: Vec<_> = found
        .iter()
        .map(|offer| {
            let Next::Scrimmage { down, to_go } = offer.after.next else { panic!("{offer:?}") };
            (offer.name.as_str(), i64::from(down), to_go, offer.after.spot, offer.meets.clone())
        })
        .collect();
    let expected = expected
        .map(|(name, down, to_go, spot, meets)| (name, down, Yards::whole(to_go), Yards::whole(spot), meets));
    assert_eq!(told, expected);
    assert!(found.iter().all(|offer| offer.needs.is_empty()));
}

#[test]
fn a_safety_foul_is_shortened_only_with_a_reason_and_no_score_is_created_at_all() {
    let challenge = Challenge::demo();
    let all = commands(exchange(&challenge));
    let choose = |reason: Option<&str>| Command::Choose {
        remedy: "the play stands, no foul".to_owned(),
        reason: reason.map(str::to_owned),
    };
    let without = "it would shorten `blow`, a foul that protects a player (rule 5)";
    assert_eq!(no(&challenge, &all[..5], choose(None)), without);
    assert_eq!(no(&challenge, &all[..5], choose(Some("  "))), without);
    assert!(decided(&challenge, &after(&challenge, &all[..5]), choose(Some("so"))).is_ok());
    let kept = Command::Choose { remedy: "a blow by each side".to_owned(), reason: None };
    assert!(decided(&challenge, &after(&challenge, &all[..5]), kept).is_ok(), "it keeps both fouls");
    // A try that a remedy would turn into points: the crew had the ball short, a catch by the other call is a touchdown.
    let mut opened = exchange(&challenge);
    opened.matter = Some(Matter {
        question: "catch-goal-line".to_owned(),
        call: "incomplete".to_owned(),
        findings: vec!["touchdown".to_owned()],
    });
    let score = PlayEnd {
        points: Some((Points::Touchdown, Part::Offense)),
        ..opened.ground.end.expect("it has one")
    };
    opened.ground.end = Some(score);
    let scoring: Vec<String> = offers(&challenge.book, &opened)
        .into_iter()
        .filter(|offer| offer.meets.contains(&Met::Score))
        .map(|offer| offer.name)
        .collect();
    assert!(!scoring.is_empty(), "a touchdown is among the calls of that question");
    let begun = after(&challenge, &commands(opened)[..2]);
    for remedy in scoring {
        let choose = Command::Choose { remedy, reason: Some("he nearly had it".to_owned()) };
        let because = decided(&challenge, &begun, choose).expect_err("no reason carries it");
        assert!(because.contains("create a score") || because.contains("not complete"), "{because}");
    }
}

#[test]
fn a_book_without_such_a_rule_gives_the_referee_none() {
    let challenge = Challenge::demo();
    let sources = rules::book::shipped::sources("college").expect("it is in the program");
    let college = rules::book::load::load("college", &sources).expect("it is sound");
    let open = Command::Open(Box::new(exchange(&challenge)));
    let no = review::discretion::decide::decide(&college, &Discretion::default(), open);
    let because = no.expect_err("it has none").because;
    assert_eq!(because, "the book `college` gives the referee no ruling of their own");
}

fn referee() -> Actor {
    Actor::new("referee-02").expect("a label")
}

fn attempt(name: &str) -> Attempt {
    Attempt { command: command(name), at: stamp(0) }
}

fn hold(log: &mut Log, challenge: &Challenge, id: &str, commands: &[Command]) -> Discretion {
    let mut session = DiscretionSession::named(log, id.to_owned(), referee()).expect("it can be held");
    for (number, command) in commands.iter().enumerate() {
        let attempt = attempt(&format!("{id} {number}"));
        match session.act(log, &challenge.book, &attempt, command.clone()).expect("it can be written") {
            Done::Events(events) => assert!(!events.is_empty()),
            Done::No(no) => panic!("{command:?}: {no}"),
        }
    }
    session.ruling().clone()
}

fn propose(log: &mut Log, challenge: &Challenge, id: &str) {
    let ruling = discretions::Held::one(log.reader(), id).expect("read").expect("it is there").ruling();
    let pattern = Pattern::of(&challenge.book, &ruling).expect("it is open");
    let proposed = proposal(id, "two punches of one exchange", &ruling, pattern).expect("it is signed");
    decide(log, id, Decision::Propose(Box::new(proposed))).expect("it fits");
}

fn decide(log: &mut Log, id: &str, command: Decision) -> Result<(), String> {
    let name = format!("decision {}", log.reader().tip().expect("read").entries);
    let actor = Actor::new("supervisor-01").expect("a label");
    match precedents::act(log, &actor, &attempt(&name), &id_of(id), command).expect("it can be written") {
        precedents::Done::Events(_) => Ok(()),
        precedents::Done::No(no) => Err(no.because),
    }
}

/// A ruling between plays with a disqualified player, beside one from before either could be: each body keeps to the
/// oldest form that can hold it, and reads as what was written.
// PROPERTY: a ruling without what later forms added is stored as it always was
#[test]
fn a_disqualified_player_is_kept_in_the_signature_and_other_bodies_stay_as_they_were() {
    let (desk, challenge) = (Desk::with_notes(0), Challenge::demo());
    let mut log = desk.open();
    let plain = commands(exchange(&challenge));
    let mut opened = exchange(&challenge);
    opened.ground.since = Some(Since { play: 4, coming: 5, now: situation(&challenge) });
    let linebacker = Disqualified {
        team: Team::Away,
        position: "linebacker".to_owned(),
        number: Some(54),
        cause: Cause::Foul("blow".to_owned()),
    };
    let mut late = commands(opened);
    late.insert(6, Command::Disqualify { players: vec![linebacker.clone()] });
    late[8] = Command::Word { words: "The play stands. Linebacker 54 is disqualified.".to_owned() };
    hold(&mut log, &challenge, "d-1", &plain);
    let held = hold(&mut log, &challenge, "d-2", &late);
    assert_eq!(held.signed.as_ref().map(|signed| signed.disqualified.clone()), Some(vec![linebacker]));
    let of = |id: &str| {
        let held = discretions::Held::one(log.reader(), id).expect("read").expect("it is there");
        let entries = held.events.iter().map(|(number, _)| {
            let stored = log.reader().entries(*number).expect("read").remove(0);
            stored.entry().expect("it is read")
        });
        let told = entries.map(|entry| (entry.kind.as_str().to_owned(), entry.body.clone()));
        (held.ruling(), told.collect::<Vec<_>>())
    };
    let (_, bodies) = of("d-1");
    for (kind, body) in &bodies {
        assert_eq!(body["form"], 1, "{kind}");
        assert!(body.get("disqualified").is_none() && body["ground"].get("since").is_none(), "{kind}");
    }
    let (read, bodies) = of("d-2");
    assert_eq!(read, held, "it reads as it was written");
    let body = |kind: &str| &bodies.iter().find(|(of, _)| of == kind).expect("it is there").1;
    let player = json!([{"team": "away", "position": "linebacker", "number": 54, "cause": {"foul": "blow"}}]);
    let disqualified = body("discretion.disqualified");
    assert_eq!(disqualified, &json!({"form": 2, "ruling": "d-2", "players": player}));
    let signed = body("discretion.signed");
    assert_eq!((&signed["form"], &signed["disqualified"]), (&json!(2), &player));
    let since = &body("discretion.opened")["ground"]["since"];
    assert_eq!((&since["play"], &since["coming"]), (&json!(4), &json!(5)));
    assert_eq!(body("discretion.opened")["form"], 2);
    assert_eq!(body("discretion.chosen")["form"], 1);
    // As a precedent it names the position and the side: home was the offense.
    propose(&mut log, &challenge, "d-2");
    let precedents = Precedents::read(log.reader()).expect("read");
    let remedy = "the play stands, no foul; disqualified: linebacker of the defense, for `blow`";
    assert_eq!(precedents.one("p-2").expect("it is there").proposal.remedy, remedy);
    drop(log);
    assert!(desk.verdict(&Trust::OwnKeys, None).starts_with("whole"));
}

/// The desk is killed after every command, restarted, and given its last command again.
// PROPERTY: a desk killed while the referee rules goes on where it was
#[test]
fn a_desk_killed_while_the_referee_rules_goes_on_where_it_was() {
    let (desk, challenge) = (Desk::with_notes(0), Challenge::demo());
    let all = commands(exchange(&challenge));
    for count in 1..=all.len() {
        let mut log = desk.open();
        let once = hold(&mut log, &challenge, "d-1", &all[..count]);
        assert_eq!(once, hold(&mut log, &challenge, "d-1", &all[..count]), "given again after {count}");
        drop(log);
        let log = desk.open();
        let left = DiscretionSession::left(&log, "W02-HK-TP", None, referee()).expect("read");
        assert_eq!(left.is_some(), count < all.len(), "signed, it is not left over");
        let held = discretions::Held::one(log.reader(), "d-1").expect("read").expect("it is there");
        assert_eq!((held.ruling(), held.events.len()), (once, count));
    }
    assert_eq!(desk.verdict(&Trust::OwnKeys, None), format!("whole, {} entries", 1 + all.len()));
}

#[test]
fn a_precedent_is_proposed_approved_narrowed_and_withdrawn_each_with_a_reason() {
    let (desk, challenge) = (Desk::with_notes(0), Challenge::demo());
    let mut log = desk.open();
    let weeks = |from, until| Weeks { from, until };
    let approve = |from, until, reason: &str| Decision::Approve {
        weeks: weeks(from, until),
        reason: reason.to_owned(),
    };
    let narrow = |fact: &str, is: &str| Decision::Narrow {
        weeks: weeks(5, None),
        reason: "so".to_owned(),
        only: vec![Condition { fact: fact.to_owned(), is: is.to_owned() }],
    };
    let all = commands(exchange(&challenge));
    hold(&mut log, &challenge, "d-1", &all[..9]);
    assert_eq!(decide(&mut log, "d-1", approve(3, None, "so")), Err("nothing was proposed".to_owned()));
    hold(&mut log, &challenge, "d-1", &all);
    propose(&mut log, &challenge, "d-1");
    for (command, because) in [
        (approve(3, None, " "), "the decision has no reason"),
        (approve(3, Some(2), "so"), "week 2 comes before week 3"),
        (narrow("helmet", "off"), "there is no fact `helmet`"),
        (narrow("down", "3"), "`down` is 2 in the precedent itself, not 3"),
    ] {
        assert_eq!(decide(&mut log, "d-1", command), Err(because.to_owned()));
    }
    let status =
        |log: &Log| Precedents::read(log.reader()).expect("read").one("p-1").expect("it is there").status();
    for (command, expected) in [
        (approve(3, None, "so"), Status::Approved),
        (narrow("down", "2"), Status::Narrowed),
        (Decision::Withdraw { from: 9, reason: "so".to_owned() }, Status::Withdrawn),
    ] {
        decide(&mut log, "d-1", command).expect("it fits");
        assert_eq!(status(&log), expected);
    }
    let withdrawn = decide(&mut log, "d-1", Decision::Withdraw { from: 9, reason: "so".to_owned() });
    assert_eq!(withdrawn, Err("it is withdrawn already".to_owned()));
    drop(log);
    assert!(desk.verdict(&Trust::OwnKeys, None).starts_with("whole"));
}

// PROPERTY: an erased text is found no more
#[test]
fn near_precedents_are_found_by_what_the_referee_wrote_until_it_is_erased() {
    let (desk, challenge) = (Desk::with_notes(0), Challenge::demo());
    let mut log = desk.open();
    let all = commands(exchange(&challenge));
    for id in ["d-1", "d-2"] {
        let mut all = all.clone();
        if id == "d-2" {
            all[2] = Command::State(Fact {
                name: "helmet".to_owned(),
                says: "it was thrown over the wall".to_owned(),
                mark: None,
            });
        }
        hold(&mut log, &challenge, id, &all);
        propose(&mut log, &challenge, id);
    }
    let case = Pattern::of_opened(&challenge.book, &exchange(&challenge));
    let near = |log: &Log, words: &str| {
        let precedents = Precedents::read(log.reader()).expect("read");
        let near = precedents.near(&case, words, Some(4)).expect("asked");
        near.iter().map(|near| near.precedent.id.clone()).collect::<Vec<_>>()
    };
    assert_eq!(near(&log, ""), ["p-1", "p-2"], "alike but for the words");
    assert_eq!(near(&log, "he throws his helmets over walls"), ["p-2", "p-1"]);
    // Erased beside the chain, it is found no more, and the log still verifies.
    let held = discretions::Held::one(log.reader(), "d-2").expect("read").expect("it is there");
    let (entry, _) = held.events[2];
    let stored = &log.reader().entries(entry).expect("read")[0];
    let hash = stored.entry().expect("it is read").blobs[0];
    let act = Act { actor: referee(), review: None, at: stamp(0) };
    append(&mut log, "erase", &[NewEntry::erased(act, hash).expect("made")]);
    let held = discretions::Held::one(log.reader(), "d-2").expect("read").expect("it is there").ruling();
    assert_eq!(held.facts.last().map(|fact| fact.says.as_str()), Some(forms::ERASED));
    let precedents = Precedents::read(log.reader()).expect("read");
    let near = precedents.near(&case, "thrown over the wall", None).expect("asked");
    assert!(near.iter().all(|near| !near.why.iter().any(|why| why.contains("thrown"))), "{near:?}");
    drop(log);
    assert!(desk.verdict(&Trust::OwnKeys, None).starts_with("whole"));
}

#[test]
fn entries_that_do_not_hang_together_are_named_by_verify() {
    let proposed = json!({
        "form": 1, "precedent": "p-1", "ruling": "d-1", "game": "g", "title": "0".repeat(64), "remedy": "r", "rule": "5",
        "pattern": {"question": null, "call": null, "findings": [], "facts": {}, "at_risk": null, "started": null,
            "rewards": null, "down": null, "late": null},
    });
    for (kind, body, says) in [
        (
            "discretion.read",
            json!({"form": 1, "ruling": "d-1", "precedent": "p-1"}),
            "was not opened before it",
        ),
        ("discretion.read", json!({"form": 1, "precedent": "p-1"}), "it does not say its ruling"),
        ("discretion.danced", json!({"form": 1, "ruling": "d-1"}), "cannot be read"),
        ("precedent.proposed", proposed, "which nobody signed before"),
        (
            "precedent.withdrawn",
            json!({"form": 1, "precedent": "p-1", "from": 3, "reason": "0".repeat(64)}),
            "was not proposed before it",
        ),
    ] {
        let desk = Desk::with_notes(1);
        let mut log = desk.open();
        let act = Act { actor: referee(), review: None, at: stamp(0) };
        append(
            &mut log,
            "odd",
            &[NewEntry::new(act, Kind::new(kind).expect("a label"), body).expect("made")],
        );
        drop(log);
        let verdict = desk.verdict(&Trust::OwnKeys, None);
        assert!(verdict.contains("entry 3") && verdict.contains(says), "{kind}: {verdict}");
    }
}
