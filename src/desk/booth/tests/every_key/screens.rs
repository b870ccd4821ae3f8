//! Every screen of the booth that an official can reach, for tests that press every key on each.
//!
//! A screen is a log that is prepared once, and the keys that lead on from there. Tests press keys over a copy of it.

use crate::booth::post::Begin;
use crate::booth::tests::desk::{Desk, stamp};
use crate::booth::tests::discretion::exchange;
use crate::booth::{Message, brought, challenge, penalties, pictures, referee, screen};
use crate::keys::{Cap, Chord, ctrl, letter, plain, shift};
use log::chain::entry::Entry;
use log::store::location::Location;
use review::decide::Command;
use review::fold::Phase;
use review::gate::Gate;
use std::path::Path;

/// What a log holds before the keys of a screen.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub(in crate::booth) enum Base {
    Nothing,
    /// An admitted challenge, its call not read back yet.
    ReadBack,
    Open,
    /// An open review with a first answer.
    Started,
    /// An open review with every step answered.
    Walked,
    Ruled,
    ReadyToAnnounce,
    Announced,
    Withdrawn,
    CutShort,
    /// Refused by the gate at the price of a timeout.
    Refused,
    Between,
    /// At the end of the first period.
    QuarterOver,
    /// A team chooses who kicks next.
    HalfOver,
    /// The fourth period has run out, and a team is ahead.
    GameOver,
    /// The game was suspended; no game is open.
    Suspended,
    /// A review that the book leaves to the referee.
    Exchange,
}

/// A screen: its log and the keys that open it.
pub(in crate::booth) struct Screen {
    pub name: &'static str,
    pub base: Base,
    opens: fn(&mut Desk),
    /// A line is open on it.
    pub line: bool,
}

const fn screen(name: &'static str, base: Base, opens: fn(&mut Desk)) -> Screen {
    Screen { name, base, opens, line: false }
}

const fn line(name: &'static str, base: Base, opens: fn(&mut Desk)) -> Screen {
    Screen { name, base, opens, line: true }
}

fn digit(number: u8) -> Chord {
    plain(Cap::Digit(number))
}

const ENTER: Chord = plain(Cap::Enter);

pub(in crate::booth) const SCREENS: &[Screen] = &[
    screen("an empty card", Base::Nothing, |_| {}),
    screen("the checklist", Base::Between, |desk| desk.press(plain(Cap::F(2)))),
    screen("between plays", Base::Between, |_| {}),
    line("a play", Base::Between, |desk| desk.press(letter('d'))),
    line("a correction", Base::Between, |desk| desk.press(letter('e'))),
    line("out of service", Base::Between, |desk| desk.press(letter('x'))),
    screen("back in service", Base::Between, |desk| {
        desk.press(letter('x'));
        // Where it was out of service already, that has put it back.
        if desk.screen().line().is_none() {
            desk.press(letter('x'));
        }
        desk.type_in("the recorder failed");
    }),
    line("which penalty", Base::Between, |desk| desk.press(letter('p'))),
    screen("on whom", Base::Between, |desk| holding(desk, 0)),
    screen("when it was", Base::Between, |desk| holding(desk, 1)),
    line("where it was", Base::Between, |desk| holding(desk, 2)),
    screen("the fouls so far", Base::Between, |desk| holding(desk, 3)),
    line("who is disqualified for a foul", Base::Between, |desk| {
        holding(desk, 3);
        desk.press(letter('x'));
    }),
    screen("what the play did", Base::Between, |desk| holding(desk, 4)),
    line("where the play ended", Base::Between, |desk| holding(desk, 5)),
    screen("what the teams choose", Base::Between, |desk| holding(desk, 6)),
    screen("a play with its fouls", Base::Between, |desk| holding(desk, 7)),
    screen("the fouls that stand", Base::Walked, |desk| {
        desk.press(letter('f'));
        desk.type_in("face mask, d");
        desk.press_all(&[plain(Cap::Escape), ENTER, letter('p')]);
    }),
    screen("a timeout", Base::Between, |desk| desk.press(letter('h'))),
    screen("the end of a period", Base::QuarterOver, |desk| desk.press(letter('n'))),
    screen("the end of the game", Base::GameOver, |desk| desk.press(shift(Cap::Letter('n')))),
    screen("the end of a game with time left", Base::Between, |desk| desk.press(shift(Cap::Letter('n')))),
    line("why the game ends early", Base::Between, |desk| {
        desk.press_all(&[shift(Cap::Letter('n')), digit(3)]);
    }),
    screen("the early end of the game", Base::Between, suspended),
    screen("the games of the log", Base::Suspended, |desk| desk.press(plain(Cap::F(3)))),
    line("which question a play is brought with", Base::Between, |desk| desk.press(shift(Cap::Letter('r')))),
    screen("which call a play is brought with", Base::Between, |desk| {
        desk.press(shift(Cap::Letter('r')));
        desk.send(Message::Brought(brought::Message::Typed("blow".to_owned())));
        desk.press(ENTER);
    }),
    screen("at the desk", Base::Between, |desk| desk.press(plain(Cap::F(4)))),
    screen("at the desk during a review", Base::Open, |desk| desk.press(plain(Cap::F(4)))),
    line("who takes over", Base::Between, |desk| desk.press_all(&[plain(Cap::F(4)), letter('w')])),
    line("why a camera is out", Base::Between, |desk| desk.press_all(&[plain(Cap::F(4)), digit(1)])),
    screen("the card put right", Base::Between, |desk| desk.press_all(&[plain(Cap::F(4)), letter('c')])),
    screen("who begins the period", Base::HalfOver, |desk| desk.press(letter('n'))),
    screen("who challenges", Base::Between, |desk| desk.press(letter('c'))),
    line("which question", Base::Between, |desk| desk.press_all(&[letter('c'), digit(1)])),
    screen("which call", Base::Between, |desk| desk.press_all(&[letter('c'), digit(1), ENTER])),
    screen("which call, at a price", Base::Between, |desk| {
        price(desk);
        desk.press(ENTER);
    }),
    screen("refused", Base::Refused, |_| {}),
    screen("leaving a refused challenge", Base::Refused, |desk| desk.press(plain(Cap::Escape))),
    line("another question after a refusal", Base::Refused, |desk| desk.press(ENTER)),
    line("the call is read back", Base::ReadBack, |_| {}),
    screen("the walk", Base::Open, |_| {}),
    screen("the walk, answered", Base::Walked, |_| {}),
    line("the call is read back again", Base::Walked, |desk| desk.press(shift(Cap::Letter('b')))),
    line("a mark", Base::Walked, |desk| desk.press(letter('m'))),
    line("a typed mark", Base::Walked, |desk| desk.press(shift(Cap::Letter('m')))),
    line("a flag", Base::Walked, |desk| desk.press(letter('f'))),
    line("clips", Base::Walked, |desk| desk.press(letter('o'))),
    line("the clock", Base::Walked, |desk| desk.press(letter('r'))),
    line("a reason", Base::Started, |desk| desk.press(letter('y'))),
    line("the end of a review", Base::Open, |desk| desk.press(letter('x'))),
    screen("the end of a review, as typed", Base::Open, |desk| {
        desk.press(letter('x'));
        desk.type_in("the recorder failed");
    }),
    screen("landmarks", Base::Walked, |desk| {
        desk.in_game_mut().pictures.act(pictures::Act::Calibrate, &[]);
    }),
    line("another question", Base::Walked, |desk| desk.press(letter('q'))),
    screen("the call of another question", Base::Walked, |desk| desk.press_all(&[letter('q'), ENTER])),
    screen("the ruling", Base::Walked, |desk| desk.press(ENTER)),
    line("the restart put right", Base::Walked, |desk| desk.press_all(&[ENTER, letter('e')])),
    screen("signed", Base::Ruled, |_| {}),
    screen("read back", Base::ReadyToAnnounce, |_| {}),
    screen("announced", Base::Announced, |_| {}),
    screen("withdrawn", Base::Withdrawn, |_| {}),
    screen("cut short", Base::CutShort, |_| {}),
    screen("the log of the game", Base::Between, |desk| desk.press(plain(Cap::F(3)))),
    screen("a ruling of the log", Base::Between, |desk| desk.press_all(&[plain(Cap::F(3)), ENTER])),
    screen("safety first", Base::Exchange, |desk| desk.press_all(&[ENTER, letter('r')])),
    line("who is at risk", Base::Exchange, |desk| desk.press_all(&[ENTER, letter('r'), letter('y')])),
    screen("the referee weighs", Base::Exchange, weighed),
    line("a fact", Base::Exchange, |desk| desk.press_all(&[ENTER, letter('r'), letter('n'), letter('f')])),
    line("who is disqualified", Base::Exchange, |desk| {
        desk.press_all(&[ENTER, letter('r'), letter('n'), letter('d')]);
    }),
    line("the end of their ruling", Base::Exchange, |desk| {
        desk.press_all(&[ENTER, letter('r'), letter('n'), letter('x')]);
        desk.send(Message::Referee(referee::Message::Typed("called by mistake".to_owned())));
    }),
    screen("their ruling is read back", Base::Exchange, ready),
    screen("their ruling is signed", Base::Exchange, |desk| {
        ready(desk);
        desk.press(ctrl(Cap::Enter));
    }),
    line("a precedent's title", Base::Exchange, |desk| {
        ready(desk);
        desk.press_all(&[ctrl(Cap::Enter), letter('p')]);
    }),
];

/// Holding by the offense at its 10, on a run to its 14: the first `steps` steps of entering it.
fn holding(desk: &mut Desk, steps: usize) {
    desk.press(letter('p'));
    desk.send(Message::Penalties(penalties::Message::Typed("holding".to_owned())));
    desk.press(ENTER);
    let rest: [fn(&mut Desk); 7] = [
        |desk| desk.press(digit(1)),
        |desk| desk.press(digit(1)),
        |desk| desk.type_in("x10"),
        |desk| desk.press(ENTER),
        |desk| desk.press(letter('d')),
        |desk| desk.type_in("x14"),
        |desk| desk.press(digit(1)),
    ];
    rest.iter().take(steps).for_each(|step| step(desk));
}

/// The game is to be suspended, with its reason given.
fn suspended(desk: &mut Desk) {
    desk.press_all(&[shift(Cap::Letter('n')), digit(3)]);
    desk.type_in("the lights failed");
}

/// Answers safety, why and profit, and selects a remedy.
fn weighed(desk: &mut Desk) {
    desk.press_all(&[ENTER, letter('r'), letter('n'), letter('b')]);
    desk.type_in("it has no finding for one exchange");
    desk.press_all(&[digit(1), letter('y'), plain(Cap::Down)]);
}

/// Does all that the referee's signature needs.
fn ready(desk: &mut Desk) {
    weighed(desk);
    desk.press(ENTER);
    desk.type_in("a foul would pay the side that began it");
    desk.press(letter('l'));
    desk.type_in("5");
    desk.press(letter('w'));
    desk.type_in("The play stands. Nobody is sent off.");
    desk.press(letter('k'));
}

/// Selects a question that the gate would refuse at the price of a timeout.
fn price(desk: &mut Desk) {
    desk.press_all(&[letter('c'), digit(1)]);
    desk.send(Message::Challenge(challenge::Message::Typed("holding".to_owned())));
    let screen::Screen::Challenge(open) = desk.screen() else { panic!("on {}", desk.title()) };
    let refused = matches!(open.gate(), Some(Gate::Refused(refusal)) if refusal.price.timeout);
    assert!(refused, "{:?}", open.gate());
}

fn done(desk: &mut Desk, commands: &[Command]) {
    for command in commands {
        desk.ms += 500;
        let now = stamp(desk.ms);
        let (post, in_game) = desk.post_and_game();
        in_game.game.act(post, command.clone(), &now).expect("it fits");
    }
}

/// Ends a review that is over.
fn ended(desk: &mut Desk) {
    desk.ms += 500;
    let now = stamp(desk.ms);
    let (post, in_game) = desk.post_and_game();
    in_game.game.end_review(post, &now).expect("it is over");
}

const RULED: [Command; 3] = [Command::Rule, Command::ReadBackRestart, Command::Announce];

impl Base {
    /// Makes the log in an empty folder.
    pub(in crate::booth) fn make(self, folder: &Path) {
        let cut_short = Command::CutShort { reason: "the recorder failed".to_owned() };
        let mut desk = match self {
            Base::Nothing => return,
            Base::Exchange => exchange(folder),
            _ => Desk::new(folder),
        };
        match self {
            Base::Nothing | Base::ReadBack | Base::Exchange => {}
            Base::Open => desk.type_in("o11.5 4:37.4"),
            Base::Started => {
                desk.type_in("o11.5 4:37.4");
                desk.step('a', "411704", 'y');
            }
            Base::Walked => desk.walk(),
            Base::Withdrawn | Base::CutShort => {
                desk.type_in("o11.5 4:37.4");
                let how = if self == Base::Withdrawn { Command::Withdraw } else { cut_short };
                done(&mut desk, &[how]);
            }
            Base::Ruled | Base::ReadyToAnnounce | Base::Announced => {
                desk.walk();
                let count = if self == Base::Ruled { 1 } else { 2 + usize::from(self == Base::Announced) };
                done(&mut desk, &RULED[..count]);
            }
            Base::Between | Base::QuarterOver | Base::HalfOver | Base::GameOver | Base::Suspended => {
                desk.walk();
                done(&mut desk, &RULED);
                ended(&mut desk);
            }
            Base::Refused => {
                desk.walk();
                done(&mut desk, &RULED);
                ended(&mut desk);
                refused(&mut desk);
            }
        }
        match self {
            Base::QuarterOver => over(&mut desk, "p1 0:00"),
            Base::HalfOver => over(&mut desk, "p2 0:00"),
            Base::GameOver => over(&mut desk, "p4 0:00"),
            Base::Suspended => {
                desk.settle();
                suspended(&mut desk);
                desk.press(ctrl(Cap::Enter));
            }
            _ => {}
        }
    }
}

/// A challenge of the home coach that costs a timeout.
fn refused(desk: &mut Desk) {
    desk.settle();
    price(desk);
    let now = stamp(desk.ms);
    let screen::Screen::Challenge(open) = desk.screen() else { panic!("on {}", desk.title()) };
    let (play, who, stop) = open.begins();
    let book = &desk.in_game().game.book;
    let asked = open.asked(book).expect("a question is pointed at");
    let (post, in_game) = desk.post_and_game();
    in_game.game.begin(post, Begin { play, who, stop, asked }, &now).expect("it is written");
    assert_eq!(in_game.game.review().map(|review| review.phase), Some(Phase::Refused));
}

/// Ends a period.
fn over(desk: &mut Desk, at: &str) {
    desk.settle();
    desk.press(letter('e'));
    desk.type_in(at);
}

impl Screen {
    /// The screen over a copy of its log: from the folder `made` into this empty one.
    pub(in crate::booth) fn open(&self, made: &Path, folder: &Path) -> Desk {
        for file in std::fs::read_dir(made).expect("it can be read") {
            let file = file.expect("a file");
            if file.file_type().expect("its kind").is_file() {
                std::fs::copy(file.path(), folder.join(file.file_name())).expect("it can be copied");
            }
        }
        let mut desk = Desk::over(Location::at(folder), None, 3_600_000);
        (self.opens)(&mut desk);
        desk
    }

    /// The same screen again at a desk that has written nothing since: faster than opening a desk.
    pub(in crate::booth) fn again(&self, desk: &mut Desk) {
        desk.settle();
        (self.opens)(desk);
    }
}

impl Desk {
    /// The kinds of the entries after this one; for a moved game, also by what.
    pub(in crate::booth) fn written_after(&self, entry: u64) -> Vec<String> {
        let stored = self.reader().entries(entry + 1).expect("it can be read");
        stored.iter().map(|stored| kind(&stored.entry().expect("an entry"))).collect()
    }

    pub(in crate::booth) fn entries(&self) -> u64 {
        self.reader().tip().expect("it can be read").entries
    }
}

fn kind(entry: &Entry) -> String {
    let by = &entry.body["by"];
    let by = by.as_str().or_else(|| by.as_object()?.keys().next().map(String::as_str));
    match (entry.kind.as_str(), by) {
        (kind @ "day.moved", Some(by)) => format!("{kind} {by}"),
        (kind, _) => kind.to_owned(),
    }
}
