//! What is said of every question, call and finding: to the public, to the crew, to the log.
//!
//! People read `tests/announcements.txt`, as a referee would say it. When the words change on purpose,
//! `TELLFRAME_ACCEPT=1 cargo test announcements` writes it again; read the difference before you commit it.

use field::exact::Yards;
use review::announcement::{Names, capital, clock_text, next, texts};
use review::event::Texts;
use review::gate::{Entry, Initiator};
use review::ruling::{Question, rule};
use review::settle::Answers;
use review::stance::{Outcome, Why};
use rules::book::effect::{DeadBy, Effect, Fouler, Part, Points};
use rules::book::load::load;
use rules::book::penalty::Distance;
use rules::book::tree::{OnCall, Set, Target, Tree};
use rules::book::{Book, shipped};
use rules::game::apply::Restart;
use rules::game::enforce::Done;
use rules::game::play::{Flag, Moment, Play, PlayEnd};
use rules::game::situation::{ByTeam, Next, Situation, Team};
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

/// How the play ended as it was called, at 40.5, where the crew put the ball; where no call of the question is a turnover,
/// as the finding says who has it.
fn end(tree: &Tree, call: usize, finding: &str) -> Option<PlayEnd> {
    let says = tree.calls.iter().any(|call| call.turnover);
    let held = !says && (finding.contains("recovered") || finding.contains("caught"));
    let called = &tree.calls[call];
    let turnover = called.turnover || held && finding.contains("defense");
    let points = (called.score && says || held && finding.contains("end zone"))
        .then_some((Points::Touchdown, if turnover { Part::Defense } else { Part::Offense }));
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

/// A ruling with its words.
struct Said {
    title: String,
    words: Texts,
    outcome: Outcome,
    restart: Restart,
    coach_pays: bool,
}

fn names() -> Names {
    Names {
        teams: ByTeam { home: "Harbour Kites".to_owned(), away: "Millrace Otters".to_owned() },
        short: ByTeam { home: "Kites".to_owned(), away: "Otters".to_owned() },
    }
}

fn said(book: &Book, tree: &Tree, call: usize, finding: usize, whistled: bool) -> Option<Said> {
    let mut answers = Answers::none(tree);
    for (step, option) in path(tree, tree.start, finding)? {
        answers.set(step, Set::one(option));
    }
    let play = Play { end: end(tree, call, &tree.findings[finding].name), ..play(book, tree) };
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
    let words = texts(book, &names(), AS_RULED_MS, &questions, &ruling);
    let whistle = if whistled { ", whistled" } else { "" };
    let (call, finding) = (&tree.calls[call].name, &tree.findings[finding].name);
    Some(Said {
        title: format!("{}: {call}{whistle} → {finding}", tree.id),
        words,
        outcome: ruling.questions[0].outcome,
        coach_pays: ruling.price.timeout,
        restart: ruling.restart,
    })
}

/// The ruling in the table: what the public, the crew, the clock operator and the chain crew hear, what the log keeps.
fn entry(said: &Said) -> String {
    let Said { title, words, restart, .. } = said;
    let mut text = format!("{title}\n");
    for (who, line) in [
        ("public", &words.announcement),
        ("crew", &words.crew),
        ("clock", &words.clock),
        ("chains", &words.chains),
        ("log", &words.log),
    ] {
        text += &format!("    {who}: {line}\n");
    }
    for open in &restart.open {
        text += &format!("    open: {open}\n");
    }
    text
}

fn table() -> String {
    let mut names = shipped::names();
    names.sort_unstable();
    names.into_iter().map(of_book).collect()
}

fn shipped_book(name: &str) -> Book {
    load(name, &shipped::sources(name).expect("it ships")).expect("it is sound")
}

fn of_book(name: &str) -> String {
    let book = shipped_book(name);
    format!("# {}\n", book.name) + &every(&book).iter().map(|(_, said)| entry(said)).collect::<String>()
}

/// Every question, call and finding of a book, and again after a whistle where that makes a difference: the tree, the
/// call and the finding, and what is said.
fn every(book: &Book) -> Vec<((&Tree, usize, usize), Said)> {
    let mut all = Vec::new();
    for tree in &book.trees {
        for call in 0..tree.calls.len() {
            for (index, finding) in tree.findings.iter().enumerate() {
                let mut add = |whistled| {
                    let said = said(book, tree, call, index, whistled);
                    all.extend(said.map(|said| ((tree, call, index), said)));
                };
                add(false);
                if let Some(OnCall::Changes { whistled: Some(_), .. }) = finding.on.get(&call) {
                    add(true);
                }
            }
        }
    }
    all
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

fn sentences(text: &str) -> Vec<&str> {
    text.split_inclusive(". ").map(str::trim).collect()
}

/// Words that deny; `no-call` is a thing, and denies nothing.
const DENY: [&str; 8] = ["no", "not", "never", "none", "nobody", "neither", "nor", "without"];

fn denials(sentence: &str) -> usize {
    let words =
        sentence.split_whitespace().map(|word| word.trim_matches([',', '.', ';', ':']).to_lowercase());
    words.filter(|word| DENY.contains(&word.as_str()) || word.ends_with("n't")).count()
}

// PROPERTY: an announcement is short, says nothing twice and denies at most once a sentence
#[test]
fn an_announcement_can_be_spoken_to_a_hall() {
    for name in shipped::names() {
        let book = shipped_book(name);
        for (_, Said { title, words, restart, .. }) in every(&book) {
            let said = sentences(&words.announcement);
            let fouls =
                restart.fouls.iter().map(|foul| capital(book.first_words().penalty(&book, &foul.name)));
            let penalties: Vec<String> = fouls.map(|foul| format!("{foul}, ")).collect();
            let spoken: usize = said
                .iter()
                .filter(|sentence| !penalties.iter().any(|foul| sentence.starts_with(foul)))
                .map(|sentence| sentence.split_whitespace().count())
                .sum();
            assert!(spoken <= 45, "{name} {title}: {spoken} words: {}", words.announcement);
            for (index, sentence) in said.iter().enumerate() {
                assert!(!said[..index].contains(sentence), "{name} {title} says twice: {sentence}");
                let most =
                    usize::from(!["reversed", "overturned"].iter().any(|word| sentence.contains(word)));
                assert!(denials(sentence) <= most, "{name} {title} denies twice: {sentence}");
                assert!(sentence.ends_with('.') && !sentence.contains("  "), "{name} {title}: {sentence}");
                let first = sentence.chars().next();
                assert!(first.is_some_and(|letter| !letter.is_lowercase()), "{name} {title}: {sentence}");
            }
        }
    }
}

// PROPERTY: reason, penalty, score, ball, down, distance, clock and timeout are in every announcement that they apply to
#[test]
fn an_announcement_has_everything_that_a_crew_gives() {
    for name in shipped::names() {
        let book = shipped_book(name);
        for ((tree, call, finding), said) in every(&book) {
            let Said { title, words, outcome, restart, coach_pays } = said;
            let text = words.announcement.as_str();
            let has = |what: &str| assert!(text.contains(what), "{name} {title}: `{what}` is not in: {text}");
            let first = book.first_words();
            has(&first.call(tree, call));
            match outcome {
                Outcome::Confirmed | Outcome::Reversed => has(first.finding(tree, finding)),
                Outcome::Stands(Why::NotProven | Why::NotShared) => has("The pictures are too unclear"),
                Outcome::Stands(Why::Barred) => has("do not allow a change"),
                Outcome::Stands(Why::LeftToReferee) => {}
            }
            has(if coach_pays { "Timeout charged to" } else { "will keep the timeout" });
            if outcome == Outcome::Stands(Why::LeftToReferee) {
                has("is left to the referee's judgment");
                continue;
            }
            for foul in restart.fouls.iter().filter(|foul| foul.done == Done::Accepted) {
                has(first.penalty(&book, &foul.name));
                let kick = restart.ledger.at_snap.next == Next::FreeKick;
                assert!(!kick, "the play of these rulings is no free kick");
                has(if foul.by == Team::Home { "offense" } else { "defense" });
                let penalty = &book.penalties[&foul.name];
                assert_eq!(text.contains("number ___"), !penalty.team_foul, "{name} {title}: {text}");
                if penalty.distance_by(restart.ledger.at_snap.part(foul.by)) != Distance::Yards(Yards::ZERO) {
                    let yards = ["yard", "half the distance"].iter().any(|word| text.contains(word));
                    assert!(yards, "{name} {title}: no yards in: {text}");
                }
                if penalty.first_down && foul.by != Team::Home && restart.after.offense == Team::Home {
                    has("automatic first down");
                }
                if penalty.loss_of_down && foul.by == Team::Home {
                    has("loss of down");
                }
            }
            let (ruled, found) = (points(&tree.calls[call].result), scored(tree, call, finding));
            if outcome == Outcome::Reversed && restart.open.is_empty() {
                let word = |points| match points {
                    Points::Touchdown => "ouchdown",
                    Points::FieldGoal => "field goal",
                    Points::Safety => "afety",
                };
                if let Some(points) = found.filter(|_| ruled != found) {
                    has(word(points));
                }
                let named = tree.calls[call].score;
                if ruled.is_some() && !named && restart.after.score == restart.ledger.at_snap.score {
                    has("does not count");
                }
            }
            has(names().teams.of(restart.after.offense));
            if let Next::Scrimmage { down, .. } = restart.after.next {
                has(&format!("ball, {} and ", first.down(down)));
            }
            if book.game.in_whole_seconds(restart.after.clock_ms) != book.game.in_whole_seconds(AS_RULED_MS) {
                has(&clock_text(book.game.in_whole_seconds(restart.after.clock_ms)));
            }
        }
    }
}

/// The points that a finding gives, where it changes the call.
fn scored(tree: &Tree, call: usize, finding: usize) -> Option<Points> {
    let Some(OnCall::Changes { effects, whistled: None, .. }) = tree.findings[finding].on.get(&call) else {
        return None;
    };
    points(effects)
}

fn points(effects: &[Effect]) -> Option<Points> {
    effects.iter().find_map(|effect| match effect {
        Effect::Score { points, .. } => Some(*points),
        _ => None,
    })
}

// PROPERTY: the shipped books have words for every call, finding and penalty
#[test]
fn nothing_in_a_shipped_book_is_without_words() {
    for name in shipped::names() {
        let book = shipped_book(name);
        for words in &book.words {
            assert_eq!(words.unsaid(&book), Vec::<String>::new(), "{name}, {}", words.language);
        }
    }
}

/// From a spot, a distance and a clock to what is said.
#[test]
fn fractions_of_yards_and_seconds_are_for_the_crew_alone() {
    let book = shipped_book("saltmarsh");
    let yards = |text: &str| text.parse::<Yards>().expect("a figure");
    for (spot, to_go, said) in [
        ("40.5", "0.5", "fourth and half a yard at the Otters 10."),
        ("40.6", "0.2", "fourth and inches at the Otters 9."),
        ("25", "10", "fourth and 10 at midfield."),
        ("24.7", "9.7", "fourth and 10 at midfield."),
        ("12.4", "1.4", "fourth and 1 at the Kites 12."),
        ("48", "2", "fourth and goal at the Otters 2."),
        ("49.5", "0.5", "fourth and goal inside the Otters 1."),
        ("0.4", "9.6", "fourth and 10 inside the Kites 1."),
    ] {
        let scrimmage = Next::Scrimmage { down: 4, to_go: yards(to_go) };
        let after = Situation { next: scrimmage, spot: yards(spot), offense: Team::Home, ..situation() };
        let text = next(&book, &names(), &after);
        assert_eq!(text, format!("Harbour Kites ball, {said}"), "{spot}, {to_go}");
    }
}

// PROPERTY: the documents list every sentence of a language with its places
#[test]
fn the_documents_list_every_sentence_of_a_book() {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../../docs/announcements.md");
    let page = std::fs::read_to_string(path).expect("the page is there");
    let file = concat!(env!("CARGO_MANIFEST_DIR"), "/../../decision-trees/saltmarsh/words/en.ron");
    let words = std::fs::read_to_string(file).expect("the words are there");
    let (sentences, _) = words.split_once("\n    },").expect("sentences come first");
    let named = sentences.lines().filter_map(|line| line.strip_prefix("        \"")?.split_once("\": \""));
    let mut count = 0;
    for (name, sentence) in named {
        let row = page.lines().find(|line| line.starts_with(&format!("| `{name}` |")));
        let row = row.unwrap_or_else(|| panic!("docs/announcements.md has no `{name}`"));
        for place in sentence.split('{').skip(1).filter_map(|rest| rest.split('}').next()) {
            assert!(row.contains(&format!("`{{{place}}}`")), "`{{{place}}}` of `{name}`");
        }
        count += 1;
    }
    assert_eq!(count, page.lines().filter(|line| line.starts_with("| `")).count());
}
