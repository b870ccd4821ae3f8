//! The announcement for every question, call and finding, and the texts for the clock operator and the chain crew.
//!
//! People read `tests/announcements.txt`, as a referee would say it. When the words change on purpose,
//! `TELLFRAME_ACCEPT=1 cargo test announcements` writes it again; read the difference before you commit it.

use field::exact::Yards;
use review::announcement::{Names, texts};
use review::gate::{Entry, Initiator};
use review::ruling::{Question, rule};
use review::settle::Answers;
use rules::book::effect::{DeadBy, Effect, Fouler, Part, Points};
use rules::book::load::load;
use rules::book::tree::{AfterWhistle, OnCall, Set, Target, Tree};
use rules::book::{Book, shipped};
use rules::game::play::{Flag, Moment, Play, PlayEnd};
use rules::game::situation::{ByTeam, Next, Situation, Team};
use std::fmt::Write as _;
use std::path::Path;
use testing::events::situation;

/// Answers that lead from a step to a finding and nowhere else.
fn path(tree: &Tree, step: usize, finding: usize) -> Option<Vec<(usize, usize)>> {
    tree.steps[step].options.iter().enumerate().find_map(|(option, choice)| match choice.to {
        Target::Find(found) => (found == finding).then(|| vec![(step, option)]),
        Target::Step(next) => path(tree, next, finding).map(|mut rest| {
            rest.insert(0, (step, option));
            rest
        }),
    })
}

/// A play with every moment marked at one place, and the flags that the question can be about.
fn play(book: &Book, tree: &Tree) -> Play {
    let mut play = Play::default();
    let moments = tree.steps.iter().flat_map(|step| step.proof.moments());
    for moment in moments.map(str::to_owned).chain(book.moments.keys().cloned()) {
        let place = Moment { x: Some(Yards::whole(42)), clock_ms: Some(275_000) };
        play.moments.insert(moment, place);
    }
    // The crew put the ball a yard and a half short of the marks, and had a second less.
    for moment in ["as ruled", "end of play"] {
        let place = Moment { x: Some(Yards::fraction(81, 2)), clock_ms: Some(AS_RULED_MS) };
        play.moments.insert(moment.to_owned(), place);
    }
    let called = |effect: &Effect| match effect {
        Effect::Foul { name, by: Fouler::Called, .. } => Some(name.clone()),
        _ => None,
    };
    for name in tree.calls.iter().flat_map(|call| &call.result).filter_map(called) {
        play.flags.push(Flag {
            name,
            by: Part::Defense,
            spot: Some(Yards::whole(41)),
            dead: false,
            clock_ms: None,
        });
    }
    play
}

/// The crew's game clock.
const AS_RULED_MS: i64 = 274_000;

/// How the play ended, where the finding says who has the ball: at 40.5, where the crew put it.
fn end(finding: &str) -> Option<PlayEnd> {
    let held = finding.contains("recovered") || finding.contains("caught");
    let turnover = held && finding.contains("defense");
    let points = (held && finding.contains("end zone")).then_some((Points::Touchdown, Part::Offense));
    let dead_by = if turnover { DeadBy::ChangeOfPossession } else { DeadBy::Down };
    let (spot, clock_ms) = (Yards::fraction(81, 2), Some(AS_RULED_MS));
    (turnover || points.is_some()).then_some(PlayEnd {
        spot,
        clock_ms,
        dead_by,
        points,
        turnover,
        regained: false,
    })
}

fn third_and_two() -> Situation {
    let next = Next::Scrimmage { down: 3, to_go: Yards::whole(2) };
    Situation { next, spot: Yards::whole(39), ..situation() }
}

fn entry(book: &Book, tree: &Tree, call: usize, finding: usize, whistled: bool) -> Option<String> {
    let names = Names {
        teams: ByTeam { home: "Harbour Kites".to_owned(), away: "Millrace Otters".to_owned() },
        short: ByTeam { home: "Kites".to_owned(), away: "Otters".to_owned() },
    };
    let mut answers = Answers::none(tree);
    for (step, option) in path(tree, tree.start, finding)? {
        answers.set(step, Set::one(option));
    }
    let play = Play { end: end(&tree.findings[finding].name), ..play(book, tree) };
    let question = Question {
        tree,
        call,
        whistle: whistled.then(|| "whistle".to_owned()),
        ruled: Vec::new(),
        entry: Entry::Challenged,
        flag_on: None,
        answers,
    };
    let questions = [question];
    let coach = Initiator::Coach(Team::Home);
    let ruling = rule(book, third_and_two(), coach, &questions, &play);
    let words = texts(book, &names, AS_RULED_MS, &questions, &ruling);
    let mut text = String::new();
    let whistle = if whistled { ", whistled" } else { "" };
    let (call, finding) = (&tree.calls[call].name, &tree.findings[finding].name);
    writeln!(text, "{}: {call}{whistle} → {finding}", tree.id).ok()?;
    for line in [&words.announcement, &words.clock, &words.chains] {
        writeln!(text, "    {line}").ok()?;
    }
    for open in &ruling.restart.open {
        writeln!(text, "    open: {open}").ok()?;
    }
    Some(text)
}

fn table() -> String {
    let mut names = shipped::names();
    names.sort_unstable();
    names.into_iter().map(of_book).collect()
}

fn of_book(name: &str) -> String {
    let sources = shipped::sources(name).expect("it ships");
    let book = load(name, &sources).expect("it is sound");
    let mut table = format!("# {}\n", book.name);
    for tree in &book.trees {
        for call in 0..tree.calls.len() {
            for (index, finding) in tree.findings.iter().enumerate() {
                table.extend(entry(&book, tree, call, index, false));
                let after = match finding.on.get(&call) {
                    Some(OnCall::Changes { whistled, .. }) => whistled.as_ref(),
                    Some(OnCall::Agrees { .. } | OnCall::AgreesIfOn { .. } | OnCall::Barred(_)) | None => {
                        None
                    }
                };
                match after {
                    Some(AfterWhistle::Changes(_) | AfterWhistle::Barred(_)) => {
                        table.extend(entry(&book, tree, call, index, true));
                    }
                    None => {}
                }
            }
        }
    }
    table
}

// PROPERTY: what is announced changes only on purpose
#[test]
fn every_ruling_is_announced_as_it_stands_in_the_table() {
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tests/announcements.txt");
    let table = table();
    if std::env::var_os("TELLFRAME_ACCEPT").is_some() {
        std::fs::write(&file, &table).expect("the table can be written");
    }
    let stored = std::fs::read_to_string(&file).expect("the table is there");
    let differs: Vec<String> = table
        .lines()
        .zip(stored.lines().chain(std::iter::repeat("")))
        .enumerate()
        .filter(|(_, (now, then))| now != then)
        .map(|(line, (now, then))| format!("line {}:\n  is   {now}\n  was  {then}", line + 1))
        .take(10)
        .collect();
    assert!(
        differs.is_empty(),
        "the words have changed; read them, and if they are meant: TELLFRAME_ACCEPT=1 cargo test announcements\n{}",
        differs.join("\n")
    );
    assert_eq!(table.lines().count(), stored.lines().count(), "the table has lines that nothing gives");
}
