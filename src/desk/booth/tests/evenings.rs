//! Evenings drawn by chance and held by keys alone, against a second reckoning that shares nothing with the engine.
//!
//! `scripts/evenings.sh` holds many long ones; `cargo test` a few short ones, and every one that ever failed.

mod counts;
mod fouls;
mod hands;
mod meant;
mod plays;
mod reviews;

use crate::keys::{Cap, ctrl, letter, plain, shift};
use counts::Counts;
use fouls::Flags;
use hands::Hands;
use plays::{Occurred, Play};
use reckoning::{Day, Next, SALTMARSH};
use rules::book::{Book, load, shipped};
use testing::dice::Dice;

/// The newest play, as it was entered.
#[derive(Debug, Clone)]
struct Ran {
    before: Day,
    play: Play,
    /// By the play alone.
    played: Day,
    /// With its fouls, if any were called.
    after: Day,
    flagged: bool,
    timeout_since: bool,
}

impl Ran {
    /// A score or a turnover was ruled, and no penalty took it back: the booth's alone (3.1). A kick that the other team
    /// took is no turnover.
    fn booths(&self) -> bool {
        let turned = self.before.next != Next::FreeKick
            && matches!(self.play.what, Occurred::Turnover | Occurred::Returned)
            && self.before.ball != self.after.ball;
        self.before.score != self.after.score || turned
    }

    /// The day after a ruling: what it found otherwise than the crew changes, and what came since the play stays.
    fn taken_over(&self, ruled: Day, now: &Day) -> Day {
        let came = &self.after;
        let clock_ms = if ruled.clock_ms == came.clock_ms { now.clock_ms } else { ruled.clock_ms };
        let running = if ruled.running == came.running { now.running } else { ruled.running };
        Day { clock_ms, running: running && !self.timeout_since, ..ruled }
    }
}

struct Evening {
    hands: Hands,
    dice: Dice,
    day: Day,
    /// `None` once it was ruled on, or nothing was run.
    ran: Option<Ran>,
    book: Book,
    /// Reviews that were asked for in this game.
    asked: u8,
    counts: Counts,
}

/// How long an evening is.
#[derive(Debug, Clone, Copy)]
struct Length {
    games: usize,
    /// The most seconds that a play takes.
    slowest_s: usize,
    /// One play in so many is asked about.
    asked: usize,
}

const SHORT: Length = Length { games: 1, slowest_s: 200, asked: 5 };
const LONG: Length = Length { games: 2, slowest_s: 44, asked: 20 };

/// Evenings that failed once, with the length that they had.
const FAILED: &[(u64, Length)] = &[];

fn book() -> Book {
    let sources = shipped::sources("saltmarsh").expect("it is in the program");
    load::load("saltmarsh", &sources).expect("it is sound")
}

/// Rulings that are taken from the desk as they are.
const NOT_RECKONED: &str = "ruled, and not reckoned";

impl Evening {
    fn new(seed: u64) -> Evening {
        Evening {
            hands: Hands::new(seed),
            dice: Dice::new(seed),
            day: Day::opening(&SALTMARSH, 0, true),
            ran: None,
            book: book(),
            asked: 0,
            counts: Counts::default(),
        }
    }

    fn agrees(&self, about: &str) {
        self.hands.agrees(&self.day, &|| about.to_owned());
    }

    /// Now and then the power fails.
    fn maybe_kill(&mut self) {
        if self.dice.below(60) > 0 {
            return;
        }
        let before = self.hands.situation();
        self.hands.kill();
        assert_eq!(self.hands.situation(), before, "after the power failed");
        self.counts.one("killed");
    }

    fn game(&mut self, number: usize, length: Length) {
        self.hands.open_game(&format!("W01-HK-MO-{number}"));
        let (kickers, east) = (self.dice.below(2), self.dice.below(2) == 0);
        self.day = Day::opening(&SALTMARSH, kickers, east);
        self.hands.press(letter('e'));
        let (who, way) = (["Kites", "Otters"][kickers], if east { "east" } else { "west" });
        self.hands.type_in(&format!("p1 15:00 free x0 ball {who} {way}"));
        (self.ran, self.asked) = (None, 0);
        self.agrees("the opening");
        // Few games drawn by chance are level: now and then the score is put right so that one is.
        let mut level = self.dice.below(3) == 0;
        while !self.over() || level {
            if self.over() {
                level = false;
                self.day.score[0] = self.day.score[1];
                self.hands.press(letter('e'));
                self.hands.type_in(&format!("{0}-{0}", self.day.score[1]));
                self.agrees("a level score");
            } else if self.day.series == 0 && self.day.period_over() {
                self.next_period();
            } else {
                self.play(length);
            }
        }
        self.hands.press(shift(Cap::Letter('n')));
        self.hands.press(ctrl(Cap::Enter));
        assert!(self.hands.desk().card().is_some(), "the game did not end: {:?}", self.day);
        self.counts.one("games");
    }

    fn over(&self) -> bool {
        let level = self.day.score[0] == self.day.score[1];
        self.day.over() || (self.day.period == 4 && self.day.period_over() && !level)
    }

    fn next_period(&mut self) {
        self.hands.press(letter('n'));
        if [2, 4].contains(&self.day.period) {
            let start = self.dice.below(4);
            self.hands.press(plain(Cap::Digit(start as u8 + 1)));
            if self.day.period == 2 {
                self.day.second_half(start / 2, start.is_multiple_of(2));
            } else {
                self.day.overtime(start / 2, start.is_multiple_of(2));
                self.counts.one("games with overtime");
            }
        } else {
            self.hands.press(ctrl(Cap::Enter));
            self.day.next_quarter();
        }
        self.ran = None;
        self.agrees("the next period");
    }

    /// One play, and what may come between it and the next.
    fn play(&mut self, length: Length) {
        let before = self.day.clone();
        let play = self.draw(length);
        // Time that has run out leaves penalties to the next half or not (a difference that is known).
        let flagged = play.clock_ms > 0 && self.dice.below(7) == 0;
        let flags = flagged.then(|| fouls::draw(&mut self.dice, &before, play));
        self.enter(play, flags.as_ref());
        if self.dice.below(40) == 0 {
            // A wrong key: the play is taken back and entered again.
            self.hands.press(plain(Cap::Backspace));
            self.day = before.clone();
            self.agrees("a play taken back");
            self.counts.one("taken back");
            self.enter(play, flags.as_ref());
        }
        self.counts.one("plays");
        let run = !flags.as_ref().is_some_and(Flags::before);
        let mut played = before.clone();
        play.reckon(&mut played);
        let after = self.day.clone();
        self.ran = run.then_some(Ran { before, play, played, after, flagged, timeout_since: false });
        self.maybe_kill();
        self.between();
        // Four to eight reviews a game, one a period or more.
        let late = if self.asked < self.day.period { 3 } else { 1 };
        if self.asked < 8 && self.dice.below(length.asked / late) == 0 {
            if self.dice.below(12) == 0 && self.ran.is_some() {
                self.ask_what_is_closed();
                self.asked += 1;
            } else if self.review() {
                self.ran = None;
                self.asked += 1;
            }
        } else if self.dice.below(4) == 0 {
            self.hands.press(plain(Cap::Space));
        }
    }

    /// What may come between two plays.
    fn between(&mut self) {
        let team = self.dice.below(2);
        if self.dice.below(25) == 0 && self.day.timeouts[team] > 0 {
            self.hands.press(letter(['h', 'a'][team]));
            self.hands.press(ctrl(Cap::Enter));
            self.day.timeout(team);
            self.agrees("a timeout");
            self.counts.one("timeouts");
            if let Some(ran) = &mut self.ran {
                ran.timeout_since = true;
            }
        }
        if self.dice.below(60) == 0 && self.day.clock_ms >= 2000 {
            // The crew puts the clock right.
            self.day.clock_ms -= 2000;
            self.hands.press(letter('e'));
            self.hands.type_in(&hands::clock(self.day.clock_ms));
            self.agrees("a correction");
            self.counts.one("corrected");
        }
        if self.dice.below(120) == 0 {
            self.hands.press(letter('x'));
            self.hands.type_in("the recorder failed");
            self.maybe_kill();
            self.hands.press(letter('x'));
            self.agrees("replay out of service, and back");
            self.counts.one("out of service");
        }
    }

    fn enter(&mut self, play: Play, flags: Option<&Flags>) {
        match flags {
            None => {
                self.hands.press(play.key());
                self.hands.type_in(&play.text());
                play.reckon(&mut self.day);
                self.agrees(&format!("{play:?}"));
            }
            Some(flags) => {
                flags.enter(&mut self.hands, &self.day, play);
                flags.reckon(&mut self.day, play);
                self.agrees(&format!("{flags:?} on {play:?}"));
                self.counts.one("plays with fouls");
            }
        }
    }

    /// The next play. Overtime is not timed.
    fn draw(&mut self, length: Length) -> Play {
        let day = &self.day;
        let fastest = if day.late() { 9 } else { length.slowest_s };
        let seconds = if day.series > 0 { 0 } else { 3 + self.dice.below(fastest) as i64 };
        let clock_ms = (day.clock_ms - 1000 * seconds).max(0);
        plays::draw(&mut self.dice, day, clock_ms)
    }
}

fn hold(seed: u64, length: Length) -> Counts {
    let mut evening = Evening::new(seed);
    for game in 1..=length.games {
        evening.game(game, length);
    }
    evening.hands.verifies();
    std::mem::take(&mut evening.counts)
}

// PROPERTY: evenings drawn by chance and held by keys come to what a second reckoning comes to, in logs that verify
#[test]
fn evenings_held_by_keys_agree_with_a_second_reckoning_and_their_logs_verify() {
    let long = std::env::var("TELLFRAME_EVENINGS").ok();
    let (evenings, length) = match &long {
        Some(games) => (games.parse::<u64>().expect("a number of games").div_ceil(2), LONG),
        None => (10, SHORT),
    };
    // So that several processes can share the work.
    let first = std::env::var("TELLFRAME_FIRST_SEED").map_or(1, |first| first.parse().expect("a seed"));
    let (mut all, mut failed) = (Counts::default(), Vec::new());
    for (seed, length) in FAILED.iter().copied().chain((first..first + evenings).map(|seed| (seed, length))) {
        // One that fails has printed its keys; the others are held all the same.
        match std::panic::catch_unwind(|| hold(seed, length)) {
            Ok(counts) => all.add(&counts),
            Err(_) => failed.push(seed),
        }
    }
    eprintln!("{all}");
    assert!(failed.is_empty(), "evenings that failed, by their seeds: {failed:?} of {length:?}");
    assert!(all.of("plays") > 200 && all.of("ruled") > 10, "{all}");
    // Few enough are taken from the desk as they are.
    assert!(all.of(NOT_RECKONED) * 5 < all.of("ruled"), "{all}");
    if evenings >= 50 {
        // Section 14 of the league's extensions is held by its case plays alone.
        for tree in book().trees.iter().filter(|tree| !tree.cite.starts_with("14.")) {
            assert!(all.of(&format!("ruled: {}", tree.id)) > 0, "no ruling on {}: {all}", tree.id);
        }
    }
}
