//! Published plays and lists on replay, run against the college book.
//!
//! The tables in `published/` name the source of every row. A row is run, or it stands here with the reason why it
//! cannot be; none is dropped. The printed label and our outcome are two things: `outcome_of` says which goes with
//! which.

use field::exact::Yards;
use formats::case::CasePlay;
use formats::case::expect::differences;
use formats::case::result::Result as CaseResult;
use formats::read::{Form, read};
use review::case::play;
use review::gate::{Entry, Gate, Initiator, Stop, Subject, gate};
use rules::book::Book;
use rules::book::load::load;
use rules::book::shipped;
use rules::game::situation::{ByTeam, End, Next, Situation, Team};
use std::collections::{BTreeMap, BTreeSet};

const PLAYS: &str = include_str!("../../../tests/published/replay.tsv");
const CASES: &str = include_str!("../../../tests/published/ncaa-replay/cases.ron");
const LISTS: &str = include_str!("../../../tests/published/reviewable.tsv");

/// Rows of `replay.tsv` that the book cannot run.
const NOT_RUN: [(&str, &str); 0] = [];

fn college() -> Book {
    let sources = shipped::sources("college").expect("the book is inside the program");
    load("college", &sources).unwrap_or_else(|faults| {
        let lines: Vec<String> = faults.iter().map(|fault| fault.line(&sources)).collect();
        panic!("{}", lines.join("\n"))
    })
}

/// The rows of a table below its header, their cells by column.
fn rows(table: &str) -> Vec<BTreeMap<&str, &str>> {
    let mut lines = table.lines();
    let header: Vec<&str> = lines.next().expect("a header").split('\t').collect();
    lines
        .filter(|line| !line.is_empty())
        .map(|line| header.iter().copied().zip(line.split('\t')).collect())
        .collect()
}

/// Our outcome for a printed one; `None` where the row is about something else than an outcome.
///
/// A foul that the review makes overturns a no-call, and a call adjusted in spot or time is overturned, too. Two
/// rows correct or check what the crew has without changing its call: our label for that is "confirmed".
fn outcome_of(id: &str, printed: &str) -> Option<&'static [&'static str]> {
    match (id, printed) {
        ("LG-2", _) | ("TM-4", "half over") => Some(&["confirmed"]),
        (_, "stands/confirmed") => Some(&["stands", "confirmed"]),
        (_, "stands") => Some(&["stands"]),
        (_, "created" | "foul created" | "adjusted" | "time restored") => Some(&["overturned"]),
        (_, "none" | "ignored" | "-") => None,
        (_, printed) if printed.starts_with("overturned") => Some(&["overturned"]),
        (_, printed) if printed.starts_with("confirmed") => Some(&["confirmed"]),
        (id, printed) => panic!("{id}: no outcome of ours is known for `{printed}`"),
    }
}

// PROPERTY: the college book agrees with the published plays
#[test]
fn the_college_book_agrees_with_every_published_play_that_can_be_run() {
    let book = college();
    let cases: Vec<CasePlay> = read(CASES, Form::Ron).expect("case plays");
    let rows = rows(PLAYS);
    let row_of = |case: &CasePlay| {
        let id = case.id.split_once(" ").map_or(case.id.as_str(), |(id, _)| id).to_owned();
        rows.iter().find(|row| row["id"] == id).unwrap_or_else(|| panic!("no row {id}"))
    };
    let mut wrong = Vec::new();
    let mut run = BTreeSet::new();
    for written in &cases {
        let row = row_of(written);
        run.insert(row["id"]);
        let case = written.read(&book).unwrap_or_else(|error| panic!("{}: {error}", written.id));
        let played = play(&book, &case).expect("its names are the book's");
        let result = CaseResult::of(&book, &case, &played);
        let differing = differences(&written.expect, &result);
        wrong.extend(differing.into_iter().map(|line| format!("{}: {line}", written.id)));
        // What the row prints, beside what the case expects. A second half of a row may turn out otherwise.
        let halves = written.id.contains(' ');
        let reviewed = matches!(played.gate, Gate::Allowed { .. });
        if !halves && reviewed != (row["reviewable"] == "Y") {
            wrong.push(format!("{}: reviewable is printed as {}", written.id, row["reviewable"]));
        }
        if let (false, true, Some(printed)) = (halves, reviewed, outcome_of(row["id"], row["outcome"]))
            && !result.outcomes.iter().all(|outcome| printed.contains(&outcome.as_str()))
        {
            wrong.push(format!("{}: {:?} is printed as {}", written.id, result.outcomes, row["outcome"]));
        }
    }
    let listed: BTreeSet<&str> = NOT_RUN.iter().map(|(id, _)| *id).collect();
    let missing: Vec<&str> =
        rows.iter().map(|row| row["id"]).filter(|id| !run.contains(id) && !listed.contains(id)).collect();
    println!("replay.tsv: {} of {} rows run, {} differ", run.len(), rows.len(), wrong.len());
    for (id, reason) in NOT_RUN {
        println!("  not run: {id}: {reason}");
    }
    assert_eq!(missing, Vec::<&str>::new(), "rows that are neither run nor listed");
    assert_eq!(wrong, Vec::<String>::new());
}

/// A subject put to the gate: question or closed subject, call, and whether a review may begin.
type Asked = (&'static str, &'static str, bool);

/// What each row of the lists about this code means in the book, by year and item; the booth asks.
const LISTED: [(&str, &str, &[Asked]); 22] = [
    (
        "2006",
        "scoring play / ball breaking goal plane",
        &[("goal-line", "short", true), ("goal-line", "touchdown", true)],
    ),
    (
        "2006",
        "complete, incomplete, intercepted (anywhere)",
        &[("catch", "complete", true), ("catch", "incomplete", true), ("catch", "intercepted", true)],
    ),
    (
        "2006",
        "carrier or receiver ruled inbounds",
        &[("stepped-out", "ran on", true), ("ruled out of bounds", "", false)],
    ),
    (
        "2006",
        "loose ball recovery in or out of bounds; touching a line",
        &[("loose-ball", "offense", true), ("loose-ball", "out of bounds", true)],
    ),
    ("2006", "touched by ineligible or by defence", &[("illegal-touching", "foul", true)]),
    ("2006", "passer fumble", &[("pass-or-fumble", "fumble", true)]),
    (
        "2006",
        "forward pass/handing beyond line or after change",
        &[("pass-beyond", "none", true), ("forward-handing", "none", true)],
    ),
    ("2006", "forward v backward from behind line", &[("pass-direction", "backward", true)]),
    ("2006", "runner ruled not down", &[("runner-down", "ran on", true)]),
    ("2006", "progress to line to gain", &[("line-to-gain", "short", true)]),
    (
        "2013",
        "TD or safety; safety by penalty only for listed fouls",
        &[
            ("own-end-zone", "safety", true),
            ("safety by a foul", "", false),
            ("grounding-goal-line", "safety", true),
        ],
    ),
    (
        "2013",
        "FG over/under bar or in/out below top of upright",
        &[("kick-at-goal", "good", true), ("kick-at-goal", "no good", true)],
    ),
    (
        "2020s",
        "touched by any player or official, and where v LOS",
        &[("pass-touched", "foul", true), ("pass-crossed", "foul", true)],
    ),
    (
        "2020s",
        "forward/backward; incomplete only if out or clear recovery",
        &[("pass-direction", "incomplete", true)],
    ),
    ("2020s", "ball ruled dead, clear recovery in continuing action", &[("runner-down", "down", true)]),
    ("2020s", "advance after fair-catch signal", &[("advance-after-signal", "return", true)]),
    (
        "2020s",
        "targeting called: all parts; booth may create",
        &[("targeting", "targeting", true), ("targeting", "none", true)],
    ),
    ("2020s", "player count in live ball", &[("player-count", "foul", true), ("player-count", "none", true)]),
    ("2020s", "under 2:00 overturn: status and time", &[("late-clock", "ran", true)]),
    (
        "2020s",
        "kick team block early; pass or kick past NZ; illegal touching; 12 men",
        &[
            ("early-block", "none", true),
            ("pass-beyond", "none", true),
            ("kick-beyond", "none", true),
            ("illegal-touching", "none", true),
            ("player-count", "none", true),
        ],
    ),
    (
        "2020s",
        "most other fouls; spot of foul; marking errors",
        &[
            ("holding", "", false),
            ("a foul that is not listed", "", false),
            ("spot of a foul", "", false),
            ("penalty marking", "", false),
        ],
    ),
    (
        "2020s",
        "carrier ruled out (except TD / clear loose ball recovery)",
        &[
            ("ruled out of bounds", "", false),
            ("goal-line", "short", true),
            ("loose-ball", "out of bounds", true),
        ],
    ),
];

/// Rows of the lists about this code that the gate does not decide, and where they are checked instead, or why not.
const ELSEWHERE: [(&str, &str, &str); 13] = [
    ("2005", "upheld / reversed (early wording)", "an edition that the book is not"),
    ("2006", "one challenge; second only if first won; timeout needed", "CH-4 and CH-7 of replay.tsv"),
    ("2006", "indisputable video evidence", "the standard, below"),
    ("2009", "egregious error incl. clock, reviewable or not", "an edition that the book is not"),
    ("2012", "confirm / reverse / let stand", "the labels, below"),
    (
        "2013",
        "stop if reasonable evidence of error + reviewable + competitive impact",
        "the booth's own judgement before a stop; no data",
    ),
    ("2020", "review should end within 2:00 (guideline)", "the guide, below"),
    ("2020", "half end: three seconds needed if next start on ready", "TM-3 and TM-4 of replay.tsv"),
    ("2020s", "10 s off if right ruling would not stop clock", "TM-6 of replay.tsv"),
    ("2020s", "restore at quarter end; Q4 margin 8 or less", "TM-5 of replay.tsv and the test below"),
    ("2020s", "number of down in same series", "the language of books has no effect that sets a down"),
    ("2020s", "beyond all doubt by indisputable video; targeting excepted", "the test about doubt, below"),
    ("n/s", "booth-made foul kinds", "the test about fouls, below"),
];

fn situation() -> Situation {
    Situation {
        period: 2,
        clock_ms: 90_000,
        clock_running: true,
        play_clock_s: None,
        next: Next::Scrimmage { down: 1, to_go: Yards::whole(10) },
        offense: Team::Home,
        attacks: End::East,
        spot: Yards::whole(30),
        score: ByTeam { home: 14, away: 14 },
        timeouts: ByTeam { home: 3, away: 3 },
        challenges: ByTeam::default(),
    }
}

fn allowed(book: &Book, at: &Situation, by: Initiator, (name, call, _): Asked) -> bool {
    let subject = Subject { name, call, ruled: &[], entry: Entry::Challenged };
    let answer = gate(book, at, by, Stop::BeforeNextSnap, &subject).expect("names of the book");
    matches!(answer, Gate::Allowed { .. })
}

#[test]
fn what_the_lists_call_reviewable_passes_the_gate_and_nothing_else() {
    let book = college();
    let rows = rows(LISTS);
    let ours: Vec<_> = rows.iter().filter(|row| row["code"] == "NCAA").collect();
    let mut run = 0;
    for row in &ours {
        let (year, item) = (row["year"], row["item"]);
        let found = LISTED.iter().find(|(of, what, _)| (*of, *what) == (year, item));
        let elsewhere = ELSEWHERE.iter().any(|(of, what, _)| (*of, *what) == (year, item));
        let Some((_, _, asked)) = found else {
            assert!(elsewhere, "{year} {item}: neither run nor listed");
            continue;
        };
        run += 1;
        assert!(!elsewhere, "{year} {item}: listed twice");
        let first = asked.first().expect("something is asked");
        assert_eq!(first.2, row["reviewable"] == "Y", "{year} {item}");
        for asked in *asked {
            assert_eq!(
                allowed(&book, &situation(), Initiator::Booth, *asked),
                asked.2,
                "{year} {item}: {asked:?}"
            );
        }
    }
    println!("reviewable.tsv: {run} of {} rows of this code put to the gate", ours.len());
    for (year, item, reason) in ELSEWHERE {
        println!("  not put to the gate: {year} {item}: {reason}");
    }
    assert_eq!(run, LISTED.len());
}

#[test]
fn time_is_put_back_late_in_the_fourth_quarter_only_within_one_score() {
    let book = college();
    for (period, away, may) in [(4, 22, true), (4, 23, false), (2, 44, true), (3, 44, true)] {
        let at = Situation { period, score: ByTeam { home: 14, away }, ..situation() };
        assert_eq!(
            allowed(&book, &at, Initiator::Booth, ("period-end", "over", may)),
            may,
            "{period} {away}"
        );
    }
}

#[test]
fn eight_kinds_of_foul_are_the_booths_to_make_without_a_word_of_the_crew() {
    let book = college();
    let announced = ["pass-touched", "kick-tipped"];
    let made: Vec<&str> =
        book.trees.iter().filter(|tree| tree.creates_foul).map(|tree| tree.id.as_str()).collect();
    assert_eq!(made.iter().filter(|id| !announced.contains(id)).count(), 8, "{made:?}");
    let coach = Initiator::Coach(Team::Home);
    assert!(!allowed(&book, &situation(), coach, ("targeting", "none", false)), "not by a challenge");
    assert!(allowed(&book, &situation(), coach, ("player-count", "none", true)));
}

#[test]
fn labels_standard_and_guide_are_those_of_the_code() {
    let replay = college().replay;
    let labels =
        (replay.labels.confirmed.as_str(), replay.labels.stands.as_str(), replay.labels.reversed.as_str());
    assert_eq!(labels, ("confirmed", "stands", "overturned"));
    assert_eq!(replay.standard.says, "indisputable video evidence");
    assert_eq!((replay.limits.to_ruling_s, replay.limits.guide_s), (None, Some(120)));
    assert_eq!((replay.coach.challenges, replay.coach.extra_after_won), (1, Some(1)));
}
