//! Hands at a desk: every key and every typed line is remembered, and printed where the evening fails.

use super::super::desk::Desk;
use crate::booth::{Message, card};
use crate::keys::{Cap, Chord, plain};
use log::store::location::Location;
use log::store::verify::{Trust, Verdict, verify};
use reckoning::{Day, Next, YARD};
use rules::game::situation::{self, End, Situation, Team};
use tempfile::TempDir;

pub(super) struct Hands {
    /// `None` only while the desk is closed and opened again.
    desk: Option<Desk>,
    seed: u64,
    pressed: Vec<String>,
    _folder: TempDir,
}

impl Drop for Hands {
    fn drop(&mut self) {
        if std::thread::panicking() {
            eprintln!("the evening of seed {}, by keys:\n{}", self.seed, self.pressed.join("  "));
        }
    }
}

impl Hands {
    pub(super) fn new(seed: u64) -> Hands {
        let folder = tempfile::tempdir().expect("a folder");
        let desk = Desk::over(Location::at(folder.path()), None, 0);
        Hands { desk: Some(desk), seed, pressed: Vec::new(), _folder: folder }
    }

    pub(super) fn desk(&self) -> &Desk {
        self.desk.as_ref().expect("the desk is open")
    }

    fn desk_mut(&mut self) -> &mut Desk {
        self.desk.as_mut().expect("the desk is open")
    }

    pub(super) fn press(&mut self, chord: Chord) {
        self.pressed.push(chord.to_string());
        self.desk_mut().press(chord);
    }

    /// Types into the open line, without submitting it.
    pub(super) fn write(&mut self, text: &str) {
        self.pressed.push(format!("\u{201c}{text}\u{201d}"));
        let (typed, _) = self.desk().line();
        self.desk_mut().send(typed(text.to_owned()));
    }

    /// Types into the open line, and submits it.
    pub(super) fn type_in(&mut self, text: &str) {
        self.write(text);
        self.press(plain(Cap::Enter));
    }

    /// The power fails, and the desk is opened again.
    pub(super) fn kill(&mut self) {
        self.pressed.push("KILLED".to_owned());
        self.desk = self.desk.take().map(Desk::reopened);
    }

    /// Fills in the card of a game and passes the checklist.
    pub(super) fn open_game(&mut self, game: &str) {
        assert!(self.desk().card().is_some(), "no card is open");
        let lines =
            [game, "1", "Harbour Kites, Kites", "Millrace Otters", "", "near side, low wall, high end"];
        for (line, text) in lines.into_iter().enumerate() {
            self.pressed.push(format!("\u{201c}{text}\u{201d}"));
            self.desk_mut().send(Message::Card(card::Message::Typed(line, text.to_owned())));
        }
        self.press(plain(Cap::Enter));
        assert!(self.desk().card().is_none(), "the card of {game} was not taken");
        for item in 1..=5 {
            self.press(plain(Cap::Digit(item)));
        }
        self.press(plain(Cap::Enter));
    }

    pub(super) fn situation(&self) -> Situation {
        self.desk().in_game().game.situation()
    }

    /// What the desk shows is what was reckoned.
    pub(super) fn agrees(&self, day: &Day, about: &dyn Fn() -> String) {
        let shown = read(&self.situation(), day);
        assert!(
            shown == *day,
            "{}:\n the desk says {}\n the reckoning  {}",
            about(),
            in_words(&shown),
            in_words(day)
        );
    }

    pub(super) fn verifies(&self) {
        let verdict = verify(&self.desk().unverified(), &Trust::OwnKeys, None).expect("it can be read");
        assert!(matches!(verdict, Verdict::Whole(_)), "{verdict:?}");
    }
}

/// A situation of the desk in the figures of the reckoning; league and possessions of overtime are this day's.
pub(super) fn read(at: &Situation, day: &Day) -> Day {
    let parts = |yards: field::exact::Yards| {
        let (over, under) = yards.parts();
        assert!(YARD % under == 0, "{yards} is no whole number of parts");
        over * (YARD / under)
    };
    let each = |of: &dyn Fn(Team) -> u8| [of(Team::Home), of(Team::Away)];
    Day {
        league: day.league,
        period: at.period,
        clock_ms: at.clock_ms,
        // At 0:00 it runs no more; a ruling at 0:00 still says how it would start.
        running: at.clock_running && at.clock_ms > 0,
        next: match at.next {
            situation::Next::Scrimmage { down, to_go } => Next::Down { down, to_go: parts(to_go) },
            situation::Next::Try => Next::Try,
            situation::Next::FreeKick => Next::FreeKick,
        },
        ball: usize::from(at.offense == Team::Away),
        east: at.attacks == End::East,
        spot: parts(at.spot),
        score: [at.score.home, at.score.away],
        timeouts: each(&|team| *at.timeouts.of(team)),
        challenges: each(&|team| at.challenges.of(team).used),
        won: each(&|team| at.challenges.of(team).won),
        series: day.series,
    }
}

fn in_words(day: &Day) -> String {
    let Day { period, clock_ms, running, next, ball, east, spot, score, timeouts, challenges, won, .. } = day;
    let spot = *spot as f64 / YARD as f64;
    let next = match next {
        Next::Down { down, to_go } => format!("{down} and {}", *to_go as f64 / YARD as f64),
        Next::Try | Next::FreeKick => format!("{next:?}"),
    };
    let clock = format!("{} {}", clock(*clock_ms), if *running { "runs" } else { "waits" });
    format!(
        "p{period} {clock}, {next} at {spot}, ball {ball}, east {east}, {score:?}, timeouts {timeouts:?}, \
         challenges {challenges:?}, won {won:?}"
    )
}

/// A spot as it is typed: a figure of the offense's frame.
pub(super) fn spot(at: i64) -> String {
    let half = if at % YARD == 0 { "" } else { ".5" };
    let sign = if at < 0 { "-" } else { "" };
    format!("x{sign}{}{half}", at.abs() / YARD)
}

/// A clock as it is typed.
pub(super) fn clock(ms: i64) -> String {
    format!("{}:{:02}", ms / 60_000, ms / 1000 % 60)
}
