//! What is announced, and what the clock operator and the chain crew are told: a table for a person to read.
//!
//! `tests/announcements.txt` is a snapshot. It proves that the words have not changed unseen; whether they are
//! the right ones, a reader who knows the game has to say.

use crate::support::booth::{book, names};
use crate::support::rulings::{Found, every_finding};
use std::fmt::Write;
use tellframe::book::Book;
use tellframe::book::effect::Part;
use tellframe::book::exact::Yards;
use tellframe::book::penalty::Penalty;
use tellframe::game::play::{Flag, Moment, Play};
use tellframe::game::situation::{ByTeam, Challenges, End, Next, Situation, Team};
use tellframe::review::gate::{Gate, Initiator, Stop, Subject, gate};
use tellframe::review::ruling::{Question, flag_on, rule};
use tellframe::review::words::words;

const TABLE: &str = include_str!("announcements.txt");
/// Set to 1, the test writes the table anew instead of comparing it.
const ACCEPT: &str = "TELLFRAME_ACCEPT_ANNOUNCEMENTS";

/// Second and eight at the offense's 20, 10:00 in the first; at the goal line second and goal at the 6.
fn at_snap(tree: &str) -> Situation {
    let near_goal = ["catch-goal-line", "line-reached", "kick-good"].contains(&tree);
    let (to_go, spot) = if near_goal { (6, 44) } else { (8, 20) };
    Situation {
        period: 1,
        clock_ms: 600_000,
        clock_running: true,
        play_clock_s: None,
        next: Next::Scrimmage { down: 2, to_go: Yards::whole(to_go) },
        offense: Team::Home,
        attacks: End::East,
        spot: Yards::whole(spot),
        score: ByTeam { home: 20, away: 14 },
        timeouts: ByTeam { home: 3, away: 3 },
        challenges: ByTeam { home: Challenges::default(), away: Challenges::default() },
    }
}

/// The crew's spot 4 yards on at 9:50; every moment 4.5 yards on at 9:51. A flag where the call is one.
fn play(book: &Book, finding: usize, question: &Question<'_>, at_snap: &Situation) -> Play {
    let mut play = Play::default();
    let moment = Moment { x: Some(at_snap.spot + Yards::fraction(9, 2)), clock_ms: Some(591_000) };
    let steps = question.tree.steps.iter().flat_map(|step| step.proof.moments());
    for name in steps.chain(book.moments.keys().map(String::as_str)) {
        play.moments.insert(name.to_owned(), moment);
    }
    if question.tree.findings[finding].name.contains("end zone") {
        play.moments.insert("spot of the foul".to_owned(), Moment { x: Some(Yards::whole(51)), ..moment });
    }
    let crew = Moment { x: Some(at_snap.spot + Yards::whole(4)), clock_ms: Some(590_000) };
    for name in ["as ruled", "end of play"] {
        play.moments.insert(name.to_owned(), crew);
    }
    let called = question.tree.calls[question.call].name.starts_with("foul");
    let mine = |penalty: &&Penalty| penalty.cite == question.tree.cite;
    for penalty in book.penalties.values().filter(mine).filter(|_| called) {
        let (name, by) = (penalty.name.clone(), penalty.by.unwrap_or(Part::Defense));
        play.flags.push(Flag { name, by, spot: play.moments["spot of the foul"].x, dead: false });
    }
    play
}

/// Three lines for one question: a coach's where he may ask, else the booth's.
fn spoken(book: &Book, finding: usize, question: &Question<'_>) -> String {
    let at_snap = at_snap(&question.tree.id);
    let call = &question.tree.calls[question.call];
    let (name, ruled, entry) = (question.tree.id.as_str(), question.ruled.as_slice(), question.entry);
    let subject = Subject { name, call: &call.name, ruled, entry };
    let by = |initiator| gate(book, &at_snap, initiator, Stop::BeforeNextSnap, &subject).expect("known");
    let coach = Initiator::Coach(Team::Away);
    let initiator = match (by(coach), by(Initiator::Booth)) {
        (Gate::Allowed { .. }, _) => coach,
        (_, Gate::Allowed { .. }) => Initiator::Booth,
        (Gate::Refused(refusal), Gate::Refused(_)) => {
            return format!("    refused (rule {}): {}\n", refusal.rule, refusal.because);
        }
    };
    let play = play(book, finding, question, &at_snap);
    let question = Question { flag_on: flag_on(question.tree, &play.flags), ..question.clone() };
    let ruling = rule(book, at_snap, initiator, std::slice::from_ref(&question), &play);
    let said = words(book, &names(), 590_000, &[question], &ruling);
    let mut lines =
        format!("    {}\n    clock: {}\n    chains: {}\n", said.announcement, said.clock, said.chains);
    for open in &ruling.restart.open {
        writeln!(lines, "    open: {open}").expect("a string grows");
    }
    if ruling.restart.discretion {
        lines.push_str("    the referee decides\n");
    }
    lines
}

/// A block a question, call and finding; with the whistle only where it changes the words.
fn table() -> String {
    let book = book();
    let mut table = String::new();
    let mut before = String::new();
    for Found { finding, question } in every_finding(&book) {
        let lines = spoken(&book, finding, &question);
        if question.whistle.is_some() && lines == before {
            continue;
        }
        let whistle = if question.whistle.is_some() { ", whistled" } else { "" };
        let Question { tree, call, .. } = &question;
        let (call, found) = (&tree.calls[*call].name, &tree.findings[finding].name);
        write!(table, "{}: called {call}{whistle}, found {found}\n{lines}\n", tree.id)
            .expect("a string grows");
        before = lines;
    }
    table
}

#[test]
fn the_words_of_every_ruling_are_those_that_somebody_read() {
    let table = table();
    if std::env::var_os(ACCEPT).is_some_and(|set| set == "1") {
        let path = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/announcements.txt");
        std::fs::write(path, &table).expect("the folder can be written");
        return;
    }
    let differs = TABLE.lines().zip(table.lines()).enumerate().find(|(_, (read, now))| read != now);
    let first = differs.map_or(String::new(), |(line, (read, now))| {
        format!("line {}:\n  was {read}\n  now {now}\n", line + 1)
    });
    assert!(
        TABLE == table,
        "the words of a ruling changed; {first}read the difference as a referee would; if it is right, accept it:\n  \
         {ACCEPT}=1 cargo test --test behaviour announcements"
    );
}
