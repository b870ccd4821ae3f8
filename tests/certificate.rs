//! Certificates, checked by a program in another language that was written from the page alone: what it settles
//! from the rules' text is what the engine ruled.
//!
//! Python 3 must be installed: without it these tests fail, unless `TELLFRAME_WITHOUT_PYTHON=1` says that nobody
//! expects them to run. `TELLFRAME_CERTIFICATES=1000` checks a thousand random reviews.

use crate::program::Data;
use audit::certificate::certificate;
use evidence::mark::{Basis, Mark};
use field::exact::Yards;
use log::chain::edition::RuleText;
use log::chain::entry::Act;
use log::chain::label::{Actor, CommandId, ReviewId};
use log::chain::sign::PublicKey;
use log::store::log::Log;
use log::streams::reviews::{Done, Session};
use log::streams::session::Attempt;
use review::announcement::Names;
use review::decide::{Command, Desk};
use review::event::{Answered, Asked, Called, Marked, ReadBack};
use review::gate::{Entry, Initiator, Stop};
use review::stamp::Stamp;
use rules::book::effect::Part;
use rules::book::tree::{Set, Tree};
use rules::book::{Book, load, shipped};
use rules::game::play::{Flag, PlayEnd};
use std::collections::BTreeSet;
use std::path::Path;
use std::process::{Command as Process, Output};
use testing::challenge::{Challenge, stamp};
use testing::logs::{act, key};

pub(crate) const CHECKER: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/checker/check_certificate.py");
/// In the default run; each review of about 20 entries takes Python a fifth of a second.
const REVIEWS: u64 = 12;

/// What the checker says of a file; nothing where nobody expects Python.
fn checked(file: &Path) -> Option<Output> {
    python(CHECKER, &[&file.display().to_string()])
}

/// What a program in Python says; nothing where nobody expects Python.
pub(crate) fn python(program: &str, arguments: &[&str]) -> Option<Output> {
    match Process::new("python3").arg(program).args(arguments).output() {
        Ok(output) => Some(output),
        Err(_) if std::env::var_os("TELLFRAME_WITHOUT_PYTHON").is_some() => {
            println!("not run: TELLFRAME_WITHOUT_PYTHON is set and there is no python3");
            None
        }
        Err(error) => panic!("python3: {error}; install it, or set TELLFRAME_WITHOUT_PYTHON=1"),
    }
}

pub(crate) fn text(output: &Output) -> String {
    String::from_utf8_lossy(&[output.stdout.clone(), output.stderr.clone()].concat()).into_owned()
}

/// The verdicts alone, one line a certificate.
fn verdicts(output: &Output) -> String {
    String::from_utf8_lossy(&output.stdout).into_owned()
}

/// How a good certificate's line ends where the checker does not get the key that the league publishes.
pub(crate) fn good(key: &PublicKey) -> String {
    format!(": good, if {key} is the key that the league publishes")
}

/// Choices from a number: xorshift64 (Marsaglia 2003).
struct Dice(u64);

impl Dice {
    fn below(&mut self, count: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        usize::try_from(self.0 % count as u64).expect("below a usize")
    }

    fn one_in(&mut self, count: usize) -> bool {
        self.below(count) == 0
    }
}

/// A random review over a log: any answers, in any order, some taken back; what came of it.
struct Random<'a> {
    book: &'a Book,
    names: Names,
    log: &'a mut Log,
    session: Session,
    dice: Dice,
    acts: u64,
    /// How often the machine was restarted, at which act last, and by how much its wall clock has been slow since.
    boots: u64,
    booted: u64,
    slow_ms: i64,
}

impl Random<'_> {
    fn act(&mut self, command: Command) -> bool {
        self.acts += 1;
        let id = CommandId::new(format!("{}/{}", self.session.id(), self.acts)).expect("a label");
        let attempt = Attempt { command: id, at: self.now() };
        let desk = Desk { book: self.book, names: &self.names, day: None };
        let done = self.session.act(self.log, desk, &attempt, command).expect("written");
        matches!(done, Done::Events(_))
    }

    /// Acts follow each other by half a second; now and then the machine is restarted in between.
    fn now(&mut self) -> Stamp {
        if self.dice.one_in(12) {
            (self.boots, self.booted) = (self.boots + 1, self.acts);
            self.slow_ms = [0, 1_500, 90_000][self.dice.below(3)];
        }
        let at = stamp(self.acts * 500);
        let boot_ms = at.boot_ms - self.booted * 500;
        Stamp { utc_ms: at.utc_ms - self.slow_ms, boot_ms, boot: format!("boot-{}", self.boots) }
    }

    /// Announced, or cut short, or neither yet.
    fn ends(&mut self) {
        match self.dice.below(4) {
            0 => {}
            1 => {
                self.act(Command::CutShort { reason: "the power was gone".to_owned() });
            }
            _ => {
                self.act(Command::ReadBackRestart);
                self.act(Command::Announce);
            }
        }
    }

    /// Whether it came to a ruling.
    fn held(&mut self) -> bool {
        let mut situation = testing::events::situation();
        situation.spot = Yards::whole(30);
        let (game, play, week) = ("W01-MO-HK".to_owned(), "Q2 4:41".to_owned(), Some(1));
        let initiator =
            [Initiator::Referee, Initiator::Booth, Initiator::Coach(situation.offense)][self.dice.below(3)];
        let stop = Stop::BeforeNextSnap;
        self.act(Command::Challenge(Called { game, week, play, initiator, stop, situation }));
        for _ in 0..6 {
            let tree = &self.book.trees[self.dice.below(self.book.trees.len())];
            let call = tree.calls[self.dice.below(tree.calls.len())].name.clone();
            let whistle = self.dice.one_in(3).then(|| "whistle".to_owned());
            let entry = match self.session.review().questions.len() {
                0 => Entry::Challenged,
                _ => [Entry::Challenged, Entry::FoundOnTheWay][self.dice.below(2)],
            };
            self.act(Command::Ask(Asked { tree: tree.id.clone(), call, whistle, ruled: Vec::new(), entry }));
            if !self.session.review().questions.is_empty() && !self.dice.one_in(4) {
                break;
            }
        }
        let end = PlayEnd {
            spot: Yards::whole(35),
            clock_ms: Some(275_000),
            dead_by: rules::book::effect::DeadBy::Down,
            points: None,
            turnover: false,
            regained: false,
        };
        let read_back = ReadBack { spot: Some(Yards::whole(35)), clock_ms: Some(275_000), end: Some(end) };
        if !self.act(Command::ReadBack(read_back)) {
            return false;
        }
        self.flags();
        for number in 0..self.session.review().questions.len() {
            self.answers(number);
        }
        self.rules()
    }

    /// A flag of each foul that the trees can state, on one team or the other.
    fn flags(&mut self) {
        let book = self.book;
        let flags: Vec<Flag> = book
            .penalties
            .values()
            .map(|penalty| Flag {
                name: penalty.name.clone(),
                by: penalty.by.unwrap_or([Part::Offense, Part::Defense][self.dice.below(2)]),
                spot: Some(Yards::whole(31)),
                dead: false,
                clock_ms: None,
            })
            .collect();
        self.act(Command::Flag(flags));
    }

    fn answers(&mut self, question: usize) {
        let book = self.book;
        let asked = &self.session.review().questions[question].tree;
        let tree: &Tree = book.tree(asked).expect("it was asked");
        for _ in 0..2 * tree.steps.len() {
            let step = &tree.steps[self.dice.below(tree.steps.len())];
            // Mostly one option, sometimes some, sometimes all.
            let set = match self.dice.below(6) {
                0 => step.every(),
                1 => Set::one(self.dice.below(step.options.len()))
                    .with(Set::one(self.dice.below(step.options.len()))),
                _ => Set::one(self.dice.below(step.options.len())),
            };
            let options = set.iter().map(|option| step.options[option].name.clone()).collect();
            let (step, reason) = (step.name.clone(), Some("as seen".to_owned()));
            self.act(Command::Answer(Answered { question, step, options, basis: Basis::Attested, reason }));
            if self.dice.one_in(8) {
                self.act(Command::Undo);
            }
        }
    }

    /// Rules; where the restart is open, with every moment marked.
    fn rules(&mut self) -> bool {
        if self.act(Command::Rule) {
            return true;
        }
        let steps = self.book.trees.iter().flat_map(|tree| &tree.steps).flat_map(|step| step.proof.moments());
        let moments: BTreeSet<&str> = steps.chain(self.book.moments.keys().map(String::as_str)).collect();
        for moment in moments {
            let timecode = "00:41:17:22".parse().expect("a timecode");
            let mark = Mark { moment: moment.to_owned(), camera: "near side".to_owned(), timecode };
            let x = Some(Yards::whole(32));
            self.act(Command::Mark(Marked {
                mark,
                x,
                clock_ms: Some(274_000),
                shot: None,
                scoreboard: None,
            }));
        }
        self.act(Command::Rule)
    }
}

/// Certificates of `count` random reviews of both books, one a line.
pub(crate) fn certificates(count: u64) -> String {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("log.sqlite");
    let mut log = Log::create(&path, key(7), Act { review: None, ..act() }).expect("made");
    let books: Vec<(Book, RuleText)> = ["saltmarsh", "college"]
        .map(|name| {
            let sources = shipped::sources(name).expect("it is in the program");
            (load::load(name, &sources).expect("it is sound"), RuleText::of(name, &sources))
        })
        .into();
    let (mut lines, mut certified) = (String::new(), 0);
    for seed in 1.. {
        if certified == count {
            break;
        }
        assert!(seed < 20 * count, "too few reviews come to a ruling");
        let dice = Dice(seed.wrapping_mul(0x9e37_79b9_7f4a_7c15));
        let (book, rules) = &books[usize::try_from(seed % 2).expect("0 or 1")];
        let id = ReviewId::new(format!("r-{seed}")).expect("a label");
        let actor = Actor::new("booth-07").expect("a label");
        let session = Session::start(&log, id.clone(), actor, rules.clone()).expect("started");
        let names = Names::default();
        let (log, acts, boots, booted, slow_ms) = (&mut log, 0, 0, 0, 0);
        let mut random = Random { book, names, log, session, dice, acts, boots, booted, slow_ms };
        if random.held() {
            random.ends();
            certified += 1;
            lines += &certificate(log.reader(), &key(7), &id).expect("it was ruled");
            lines.push('\n');
        }
    }
    lines
}

// PROPERTY: a checker that shares no code with the engine rules alike
#[test]
fn a_checker_written_from_the_page_finds_every_random_ruling_as_the_engine_does() {
    let count = std::env::var("TELLFRAME_CERTIFICATES").ok().and_then(|text| text.parse().ok());
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("certificates.jsonl");
    let count = count.unwrap_or(REVIEWS);
    std::fs::write(&file, certificates(count)).expect("written");
    let Some(output) = checked(&file) else { return };
    let (said, good) = (verdicts(&output), good(&key(7).public()));
    let bad: Vec<&str> = said.lines().filter(|line| !line.ends_with(&good)).collect();
    assert!(output.status.success() && bad.is_empty(), "{}", bad.join("\n"));
    assert_eq!(said.lines().count() as u64, count);
}

/// A certificate whose text was changed and signed anew by the desk's own key.
fn changed(line: &str, was: &str, now: &str) -> String {
    let (text, _) = line
        .strip_prefix(r#"{"certificate":"#)
        .and_then(|rest| rest.rsplit_once(r#","key":"#))
        .expect("a certificate");
    assert!(text.contains(was), "the certificate does not say {was}: {text}");
    let text = text.replace(was, now);
    let signature = key(7).sign(format!("tellframe certificate 2\n{text}").as_bytes());
    format!(r#"{{"certificate":{text},"key":"{}","signature":"{signature}"}}"#, key(7).public())
}

/// By hand: called at 0, the machine restarted before the call was read back at 5.2 s with a wall clock that is two
/// seconds slow; announced at 71.5 s.
// PROPERTY: a checker finds a wrong time across a restart of the machine, even a signed one
#[test]
fn the_times_of_a_review_across_a_restart_of_the_machine_are_checked_even_where_the_desk_signed_others() {
    let (folder, challenge) = (tempfile::tempdir().expect("a folder"), Challenge::demo());
    let mut log =
        Log::create(&folder.path().join("log.sqlite"), key(7), Act { review: None, ..act() }).expect("made");
    let mut session = challenge.start(&log, "r-1");
    for (number, (command, at_ms)) in challenge.commands().into_iter().enumerate() {
        let same = stamp(at_ms);
        let at = match at_ms < 5_200 {
            true => same,
            false => Stamp { utc_ms: same.utc_ms - 2_000, boot_ms: at_ms, boot: "boot-2".to_owned() },
        };
        let attempt = Attempt { command: testing::challenge::command_id(&session, number), at };
        let done = session.act(&mut log, challenge.desk(), &attempt, command).expect("written");
        assert!(matches!(done, Done::Events(_)), "{done:?}");
    }
    let good = certificate(log.reader(), &key(7), &ReviewId::new(session.id()).expect("a label"))
        .expect("it was ruled");
    let every = r#""by_wall_clock":["opened","first look","first mark","settled","ruled","announced"]"#;
    let lines = [
        good.clone(),
        changed(&good, every, r#""by_wall_clock":[]"#),
        changed(&good, r#""duration_s":69.5"#, r#""duration_s":71.5"#),
        changed(&good, r#""opened":3.2"#, r#""opened":null"#),
        changed(&good, r#""cut_short":false"#, r#""cut_short":true"#),
    ];
    let file = folder.path().join("certificates.jsonl");
    std::fs::write(&file, lines.join("\n")).expect("written");
    let Some(output) = checked(&file) else { return };
    let said = verdicts(&output);
    let says: Vec<&str> = said.lines().filter_map(|line| line.splitn(3, ':').nth(2)).collect();
    let wanted = [
        "good, if ",
        "records[0].by_wall_clock: ",
        "records[0].duration_s: 71.5, the events give 69.5",
        "records[0].phases_s.opened: ",
        "records[0].cut_short: true, the events give false",
    ];
    let alike = says.len() == wanted.len()
        && says.iter().zip(wanted).all(|(says, wanted)| says.trim_start().starts_with(wanted));
    assert!(alike, "{said}");
}

// PROPERTY: a changed certificate is found
#[test]
fn the_command_certifies_a_ruling_and_every_change_of_the_file_is_found() {
    let (data, challenge) = (Data::new(), Challenge::demo());
    let location = log::store::location::Location::at(data.folder.path());
    let key = log::chain::sign::Key::create(&location.key()).expect("written");
    let published = key.public();
    let mut log = Log::create(&location.log(), key, Act { review: None, ..act() }).expect("made");
    let mut session = challenge.start(&log, "r-1");
    challenge.play(&mut log, &mut session, &challenge.commands(), 0);
    let mut session = challenge.start(&log, "r-2");
    challenge.play(&mut log, &mut session, &challenge.commands()[..7], 0);
    drop(log);
    let file = data.file("certificate.json");
    let path = file.display().to_string();
    let ran = data.run(&["log", "certify", "r-1", "--out", &path]);
    assert_eq!((ran.status, ran.out.starts_with("r-1 certified by ")), (0, true), "{}{}", ran.out, ran.err);
    let good = std::fs::read_to_string(&file).expect("written");
    assert_eq!(data.run(&["log", "certify", "r-1"]).out, good, "without --out it goes to stdout");
    for (review, says) in [("r-2", "the review `r-2` has no ruling"), ("r-3", "there is no review `r-3`")] {
        let ran = data.run(&["log", "certify", review]);
        assert_eq!((ran.status, ran.out.as_str()), (2, ""));
        assert!(ran.err.contains(says), "{}", ran.err);
    }
    let flips =
        serde_json::from_str::<serde_json::Value>(&good).expect("JSON")["certificate"]["flips"].clone();
    // A proven catch: any one of the answers before the last, changed, would leave the call.
    let one_each = [["inside"], ["control"], ["control first"], ["survives"]];
    assert_eq!(flips, serde_json::json!([one_each]));
    let mut lines = good.clone();
    let changes = [
        ("reversed", "confirmed"),
        ("Control before any part", "Control before any  part"),
        ("\\\"options\\\":[\\\"yes\\\"]", "\\\"options\\\":[\\\"no\\\"]"),
        ("\"flips\":[[[\"inside\"]", "\"flips\":[[[\"crossing\"]"),
        ("booth-07", "booth-08"),
    ];
    for (was, now) in changes {
        assert!(good.contains(was), "the certificate does not say {was}");
        lines += &good.replacen(was, now, 1);
    }
    std::fs::write(&file, lines).expect("written");
    let Some(output) = checked(&file) else { return };
    let (said, good) = (verdicts(&output), self::good(&published));
    let found: Vec<bool> = said.lines().map(|line| line.ends_with(&good)).collect();
    assert_eq!(
        (found, output.status.code()),
        (vec![true, false, false, false, false, false], Some(1)),
        "{said}"
    );
}
