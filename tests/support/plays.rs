//! Random plays with fouls: any course that hands the ball on consistently, from a seed.

use field::exact::Yards;
use rules::book::Book;
use rules::book::effect::Part;
use rules::book::penalty::Penalty;
use rules::game::course::{Act, Course, Ended, Foul, Stage};
use rules::game::situation::{ByTeam, End, Next, Situation, Team};

/// A generator of numbers that gives the same every time (splitmix64, Steele and others 2014).
pub struct Numbers(pub u64);

impl Numbers {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        mixed ^ (mixed >> 31)
    }

    /// A number below `under`.
    pub fn below(&mut self, under: u64) -> u64 {
        self.next() % under
    }

    fn one_in(&mut self, of: u64) -> bool {
        self.below(of) == 0
    }

    fn of<T: Copy>(&mut self, list: &[T]) -> T {
        list[self.below(list.len() as u64) as usize]
    }

    /// A place from `low` up to `high`, in sixths of a yard.
    fn place(&mut self, low: Yards, high: Yards) -> Yards {
        let step = self.below(7) as i64;
        let (over, under) = (high - low).parts();
        let share = Yards::fraction(over * self.below(1000) as i64, under * 1000);
        let (whole, of) = (low + share).parts();
        let place = Yards::whole(whole.div_euclid(of)) + Yards::fraction(step, 6);
        place.max(low).min(high)
    }
}

/// A random situation of this book.
pub fn situation(book: &Book, numbers: &mut Numbers) -> Situation {
    let length = book.field.length;
    let one = Yards::whole(1);
    let spot = numbers.place(one, length - one);
    let (next, spot) = match numbers.below(8) {
        0 => (Next::Try, length - book.game.try_spot),
        1 => (Next::FreeKick, book.game.free_kick),
        _ => {
            let down = 1 + numbers.below(u64::from(book.game.downs)) as u8;
            let to_go = numbers.place(one, book.game.to_gain + book.game.to_gain).min(length - spot);
            (Next::Scrimmage { down, to_go }, spot)
        }
    };
    Situation {
        period: 1 + numbers.below(6) as u8,
        clock_ms: 1000 * (1 + numbers.below(900)) as i64,
        clock_running: numbers.one_in(2),
        play_clock_s: None,
        next,
        offense: numbers.of(&[Team::Home, Team::Away]),
        attacks: numbers.of(&[End::East, End::West]),
        spot,
        score: ByTeam { home: numbers.below(40) as u16, away: numbers.below(40) as u16 },
        timeouts: ByTeam { home: numbers.below(4) as u8, away: numbers.below(4) as u8 },
        challenges: ByTeam::default(),
    }
}

/// A random course of a play from there.
pub fn course(book: &Book, at_snap: &Situation, numbers: &mut Numbers) -> Course {
    let (low, high) = (-book.field.end_zone, book.field.length + book.field.end_zone);
    let mut stages = Vec::new();
    let (mut by, mut at) = (Part::Offense, at_snap.spot);
    let mut loose = at_snap.next == Next::FreeKick;
    if loose {
        let to = numbers.place(at, high);
        stages.push(Stage::plain(Act::Kick, by, at, to));
        at = to;
    }
    for _ in 0..1 + numbers.below(6) {
        let to = numbers.place(low, high);
        let mut next = if loose {
            // Somebody picks it up.
            by = if numbers.one_in(2) { by.other() } else { by };
            Stage {
                momentum: numbers.one_in(9),
                own_fumble: numbers.one_in(4),
                ..Stage::plain(Act::Run, by, at, to)
            }
        } else {
            let acts = [Act::Run, Act::Pass, Act::BackwardPass, Act::Fumble, Act::Kick, Act::GoalKick];
            Stage::plain(numbers.of(&acts), by, at, to)
        };
        if next.act.is_kick() {
            next.touched = numbers.one_in(3);
            next.touch_spot = numbers.one_in(4).then(|| numbers.place(low, high));
        }
        next.impetus = numbers.one_in(12).then_some(by.other());
        loose = next.act != Act::Run;
        at = to;
        stages.push(next);
    }
    let last = stages[stages.len() - 1].act;
    let ended = match last {
        Act::Run => numbers.of(&[Ended::Down, Ended::OutOfBounds]),
        Act::Pass => numbers.of(&[Ended::Incomplete, Ended::Whistle]),
        Act::BackwardPass | Act::Fumble | Act::Kick => {
            numbers.of(&[Ended::Dead, Ended::OutOfBounds, Ended::Whistle])
        }
        Act::GoalKick => numbers.of(&[Ended::Dead, Ended::Good]),
    };
    Course { stages, ended }
}

/// Random fouls around a play of `stages` stages.
pub fn fouls<'b>(book: &'b Book, stages: usize, numbers: &mut Numbers) -> Vec<Foul<'b>> {
    let penalties: Vec<&Penalty> = book.penalties.values().collect();
    let (low, high) = (-book.field.end_zone, book.field.length + book.field.end_zone);
    let mut fouls = Vec::new();
    for _ in 0..numbers.below(4) {
        let penalty = numbers.of(&penalties);
        let by = penalty.by.unwrap_or(numbers.of(&[Part::Offense, Part::Defense]));
        let spot = (!numbers.one_in(6)).then(|| numbers.place(low, high));
        let during = numbers.below(stages.max(1) as u64) as usize;
        fouls.push(Foul {
            penalty,
            by,
            spot,
            during,
            dead: numbers.one_in(5),
            tactic: None,
            flagrant: false,
            before_ready: false,
        });
    }
    fouls
}
