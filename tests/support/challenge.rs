//! The demo's challenges, as commands with their times.

use evidence::mark::Shot;
use formats::read::{Form, read};
use formats::script::Script;
use log::chain::edition::RuleText;
use log::chain::label::{Actor, CommandId, ReviewId};
use log::store::log::Log;
use log::streams::reviews::{Done, Session};
use log::streams::session::Attempt;
use review::announcement::Names;
use review::decide::{Command, Desk, decide};
use review::event::Event;
use review::fold::{Review, Stamped};
use review::stamp::Stamp;
use rules::book::shipped;
use rules::book::text::{Source, Sources};
use rules::book::{Book, load};

/// The script with the book that it is played under.
pub struct Challenge {
    pub book: Book,
    pub names: Names,
    pub rules: RuleText,
    pub script: Script,
}

/// 2026-05-09T19:42:11.204Z, from `date -u -d 2026-05-09T19:42:11Z +%s`.
pub const CALLED_MS: i64 = 1_778_355_731_204;

pub fn saltmarsh() -> Sources {
    shipped::sources("saltmarsh").expect("it is in the program")
}

/// The shipped book with some texts replaced: file, what stands there, what is written instead.
pub fn edition(replaced: &[(&str, &str, &str)]) -> Book {
    let mut files: Vec<Source> = saltmarsh().files().to_vec();
    for (path, was, now) in replaced {
        let file = files.iter_mut().find(|file| file.path == *path).expect("the file is there");
        assert!(file.text.contains(was), "{path} does not say `{was}`");
        file.text = file.text.replace(was, now);
    }
    load::load("saltmarsh", &Sources::new(files)).unwrap_or_else(|faults| panic!("{faults:?}"))
}

impl Challenge {
    /// The demo's first, of a catch over the wall.
    pub fn demo() -> Challenge {
        Challenge::of(include_str!("../../demo/challenge.ron"))
    }

    /// The demo's second, of toes at the alignment line.
    pub fn alignment() -> Challenge {
        Challenge::of(include_str!("../../demo/alignment.ron"))
    }

    fn of(script: &str) -> Challenge {
        let script: Script = read(script, Form::Ron).expect("the demo's script is sound");
        let book = load::load("saltmarsh", &saltmarsh()).expect("it is sound");
        let rules = RuleText::of("saltmarsh", &saltmarsh());
        Challenge { book, names: script.game.names(), rules, script }
    }

    pub fn desk(&self) -> Desk<'_> {
        Desk { book: &self.book, names: &self.names, day: None }
    }

    pub fn official(&self) -> Actor {
        Actor::new(self.script.official.clone()).expect("a label")
    }

    /// All commands, with seconds from the challenge in milliseconds: each as it is in the review that those before it
    /// come to.
    pub fn commands(&self) -> Vec<(Command, u64)> {
        let mut review = Review::default();
        let mut commands = Vec::new();
        for timed in &self.script.acts {
            let command = self.script.command(&self.book, &review, &timed.act).expect("it can be spelt");
            let at_ms = (timed.at_s * 1000.0).round() as u64;
            let at = stamp(at_ms);
            let events = decide(self.desk(), &review, command.clone(), &at);
            for event in events.unwrap_or_else(|no| panic!("{command:?}: {no}; {}", no.instead)) {
                review.apply(Stamped { at: at.clone(), event });
            }
            commands.push((command, at_ms));
        }
        commands
    }

    pub fn start(&self, log: &Log, id: &str) -> Session {
        let id = ReviewId::new(id).expect("a label");
        Session::start(log, id, self.official(), self.rules.clone()).expect("started")
    }

    /// Plays all of it as a review with this id.
    pub fn rule(&self, log: &mut Log, id: &str) -> Session {
        let mut session = self.start(log, id);
        self.play(log, &mut session, &self.commands(), 0);
        session
    }

    /// Plays `commands` from number `from` on; returns all events.
    pub fn play(
        &self,
        log: &mut Log,
        session: &mut Session,
        commands: &[(Command, u64)],
        from: usize,
    ) -> Vec<Event> {
        let mut events = Vec::new();
        for (number, (command, at_ms)) in commands.iter().enumerate().skip(from) {
            let attempt = Attempt { command: command_id(session, number), at: stamp(*at_ms) };
            match session.act(log, self.desk(), &attempt, command.clone()).expect("written") {
                Done::Events(new) => events.extend(new),
                Done::No(no) => panic!("command {number}: {no}; {}", no.instead),
            }
        }
        events
    }
}

pub fn command_id(session: &Session, number: usize) -> CommandId {
    CommandId::new(format!("{}/{number}", session.id())).expect("a label")
}

/// `after_ms` milliseconds after the challenge, within one boot.
pub fn stamp(after_ms: u64) -> Stamp {
    let utc_ms = CALLED_MS + i64::try_from(after_ms).expect("a short time");
    Stamp { utc_ms, boot_ms: 81_234 + after_ms, boot: "boot-1".to_owned() }
}

/// Frame 120 of a clip of 60000/1001 pictures a second, proven exact, without a still.
pub fn shot() -> Shot {
    Shot {
        clip_sha256: "c".repeat(64),
        frame: 120,
        pts: 120_120,
        time_base: (1, 60_000),
        sha256: "f".repeat(64),
        exact: true,
        still: None,
    }
}
