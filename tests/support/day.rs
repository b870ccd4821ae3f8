//! The day of one game of the invented league: its card, commands, events of every kind.

use super::challenge::{Challenge, stamp};
use field::exact::Yards;
use log::chain::label::CommandId;
use log::store::log::Log;
use log::streams::days::{DaySession, Done};
use log::streams::session::Attempt;
use proptest::prelude::*;
use review::announcement::Names;
use review::day::{By, Camera, Command, Duty, Early, Ending, Event, GameCard, Opened};
use review::fold::{Stamped, fold};
use rules::book::effect::Part;
use rules::game::advance::fouls::{Called, Decision, Fouled, Player, When};
use rules::game::advance::{Advance, Did, Start, Tried, opening};
use rules::game::enforce::Carry;
use rules::game::enforce::options::Kind;
use rules::game::enforce::walk_off::Place;
use rules::game::play::Choice;
use rules::game::situation::{ByTeam, End, Situation, Team};

pub fn card(game: &str) -> GameCard {
    let of = |home: &str, away: &str| ByTeam { home: home.to_owned(), away: away.to_owned() };
    let camera = |name: &str, sees: &str, timecode: Option<&str>| Camera {
        name: name.to_owned(),
        sees: sees.to_owned(),
        timecode: timecode.map(str::to_owned),
    };
    GameCard {
        game: game.to_owned(),
        week: Some(3),
        names: Names { teams: of("Harbour Kites", "Millrace Otters"), short: of("Kites", "Otters") },
        venue: "the Old Ropeworks".to_owned(),
        cameras: vec![
            camera("near side", "half the field", Some("house")),
            camera("far corner", "the east end zone", None),
        ],
        duties: vec![Duty { duty: "booth".to_owned(), who: "booth-07".to_owned() }],
    }
}

/// The opening kick, by the home team toward the east.
pub fn kickoff(challenge: &Challenge) -> Situation {
    opening(&challenge.book, Start { team: Team::Home, attacks: End::East })
}

pub fn play(did: Did, clock_s: i64) -> Command {
    Command::Advance(Advance { did, clock_ms: clock_s * 1000 })
}

/// A desk's day, opened, with `commands` done.
pub fn session(log: &mut Log, challenge: &Challenge, commands: &[Command]) -> DaySession {
    let mut session = DaySession::start(log, challenge.official(), challenge.rules.clone()).expect("started");
    act(log, challenge, &mut session, "open", Command::Open(card("W03-HK-MO")));
    for (number, command) in commands.iter().enumerate() {
        act(log, challenge, &mut session, &format!("d-{number}"), command.clone());
    }
    session
}

/// Carries out one command that must be accepted.
pub fn act(
    log: &mut Log,
    challenge: &Challenge,
    session: &mut DaySession,
    id: &str,
    command: Command,
) -> Vec<Event> {
    match tried(log, challenge, session, id, command) {
        Done::Events(events) => events,
        Done::No(no) => panic!("{id}: {no}; {}", no.instead),
    }
}

pub fn tried(
    log: &mut Log,
    challenge: &Challenge,
    session: &mut DaySession,
    id: &str,
    command: Command,
) -> Done {
    session.act(log, &challenge.book, &attempt(id), command).expect("it can be written")
}

pub fn attempt(id: &str) -> Attempt {
    Attempt { command: CommandId::new(id).expect("a label"), at: stamp(0) }
}

/// One event of each kind; every word of a closed set stands in one of them.
pub fn every_kind() -> Vec<Event> {
    let opened = Opened {
        card: card("W03-HK-MO"),
        book: "saltmarsh".to_owned(),
        edition: "ab".repeat(32),
        checklist: vec!["cameras".to_owned(), "radio".to_owned()],
    };
    let to = super::events::situation();
    let ends = [Ending::Ruled, Ending::Refused, Ending::Withdrawn, Ending::CutShort];
    let ended = |(number, how): (usize, Ending)| Event::ReviewEnded {
        review: format!("r-{number}"),
        how,
        to: (number % 2 == 0).then_some(to),
    };
    let mut all = vec![
        Event::Opened(Box::new(opened)),
        Event::Checked { item: "radio".to_owned(), done: true },
        Event::Moved { to, by: By::Set },
        Event::Moved { to, by: By::Correction { reason: Some("third down was counted twice".to_owned()) } },
        Event::Moved { to, by: By::Correction { reason: None } },
        Event::Moved { to, by: By::Timeout(Team::Away) },
        Event::Moved { to, by: By::Period },
        Event::Undone { act: 4 },
        Event::Looked { play: 2 },
        Event::ReviewBegan { review: "r-0".to_owned(), play: 3 },
        Event::OutOfService { reason: "no power".to_owned(), words: "Replay is out of service.".to_owned() },
        Event::BackInService { words: "Replay is back in service.".to_owned() },
        Event::Closed,
        Event::Reopened { reason: "closed by mistake".to_owned() },
    ];
    all.extend(ends.into_iter().enumerate().map(ended));
    let by_play = |did| Event::Moved { to, by: By::Play(Advance { did, clock_ms: 281_300 }) };
    all.extend(every_did().into_iter().map(by_play));
    all.extend(at_the_desk());
    let with_fouls = [Did::Down { at: Yards::fraction(77, 2) }, Did::Nothing].map(fouls);
    all.extend(with_fouls.map(|fouled| Event::Moved { to, by: By::Fouls(Box::new(fouled)) }));
    all.extend(of_form_3().map(|by| Event::Moved { to, by }));
    all
}

/// A play with fouls that has every word of a foul and a decision; before the snap where no play was run.
pub fn fouls(did: Did) -> Fouled {
    let called = |penalty: &str, by, when| Called {
        penalty: penalty.to_owned(),
        by,
        spot: None,
        when,
        sent_off: None,
        player: None,
    };
    let before = did == Did::Nothing;
    let play = Advance { did, clock_ms: 281_300 };
    if before {
        let decided = vec![
            Decision::Live(Kind::Play),
            Decision::Live(Kind::Repeat),
            Decision::Live(Kind::Accept(0, Place::TackOn)),
            Decision::Live(Kind::Accept(0, Place::Beyond)),
            Decision::Live(Kind::TouchSpot(Yards::fraction(85, 3))),
            Decision::Live(Kind::ByRule),
            Decision::Carried(Carry::FreeKick),
            Decision::RunOff(true),
        ];
        let fouls = vec![called("false start", Part::Offense, When::Before)];
        return Fouled { play, fouls, decided };
    }
    let sent_off = Player { position: "linebacker".to_owned(), number: Some(54) };
    let unknown = Player { position: "runner".to_owned(), number: None };
    let at = Some(Yards::fraction(41, 2));
    Fouled {
        play,
        fouls: vec![
            Called { spot: at, ..called("holding", Part::Offense, When::Live) },
            Called { sent_off: Some(sent_off), ..called("face mask", Part::Defense, When::Return) },
            Called { sent_off: Some(unknown), ..called("blow", Part::Defense, When::After) },
        ],
        decided: vec![
            Decision::Live(Kind::Accept(0, Place::Standard)),
            Decision::Live(Kind::Decline),
            Decision::Live(Kind::Offset),
            Decision::Live(Kind::KeepBall),
            Decision::Foul { foul: 2, choice: Choice::Accept },
            Decision::Foul { foul: 2, choice: Choice::Decline },
            Decision::Carried(Carry::Try),
            Decision::RunOff(false),
        ],
    }
}

/// A ball that changed hands twice, and a foul whose player is named and stays.
fn of_form_3() -> [By; 3] {
    let regained = || Did::Regained { at: Yards::fraction(77, 2) };
    let player = Some(Player { position: "linebacker".to_owned(), number: Some(54) });
    let mut named = fouls(Did::Down { at: Yards::fraction(77, 2) });
    named.fouls.truncate(1);
    named.decided.truncate(1);
    named.fouls[0].player = player;
    let mut twice = fouls(regained());
    twice.fouls.truncate(1);
    twice.decided.truncate(1);
    let play = By::Play(Advance { did: regained(), clock_ms: 281_300 });
    [play, By::Fouls(Box::new(twice)), By::Fouls(Box::new(named))]
}

/// How a game ends early, and what changes at the desk.
fn at_the_desk() -> Vec<Event> {
    let corrected = |reason: Option<&str>| Event::CardCorrected {
        from: Box::new(card("W03-HK-MO")),
        to: Box::new(GameCard { venue: "Kiln Yard Hall".to_owned(), ..card("W03-HK-MO") }),
        reason: reason.map(str::to_owned),
    };
    let ended = |how| Event::EndedEarly {
        how,
        score: ByTeam { home: 20, away: 14 },
        reason: "the lights failed".to_owned(),
        words: "The game ends here.".to_owned(),
    };
    vec![
        ended(Early::Forfeit(Team::Away)),
        ended(Early::Suspended),
        ended(Early::Called),
        corrected(Some("misread")),
        corrected(None),
        Event::HandedOver { from: Some("booth-07".to_owned()), to: "booth-11".to_owned() },
        Event::HandedOver { from: None, to: "booth-11".to_owned() },
        Event::CameraLost { camera: "far corner".to_owned(), reason: "no signal".to_owned() },
        Event::CameraBack { camera: "far corner".to_owned() },
    ]
}

fn every_did() -> Vec<Did> {
    let at = Yards::fraction(77, 2);
    let mut all = vec![
        Did::Down { at },
        Did::OutOfBounds { at },
        Did::Incomplete,
        Did::Touchdown { by: Part::Offense },
        Did::Touchdown { by: Part::Defense },
        Did::FieldGoal { good: true },
        Did::FieldGoal { good: false },
        Did::Safety,
        Did::Kicked { to: Yards::fraction(85, 3) },
        Did::Touchback,
        Did::Turnover { at },
        Did::KickKept { at },
        Did::Again,
    ];
    all.extend([Tried::Kick, Tried::Run, Tried::Failed, Tried::Returned].map(Did::Tried));
    all
}

/// Any command at all; many of them are refused.
pub fn commands(challenge: &Challenge) -> impl Strategy<Value = Command> + use<> {
    let kickoff = kickoff(challenge);
    let spot = (-80i64..600).prop_map(|tenths| Yards::fraction(tenths, 10));
    let dids: Vec<Did> = every_did().into_iter().chain([Did::Regained { at: Yards::ZERO }]).collect();
    let did = (prop::sample::select(dids), spot).prop_map(|(did, spot)| match did {
        Did::Regained { .. } => Did::Regained { at: spot },
        Did::Down { .. } => Did::Down { at: spot },
        Did::Kicked { .. } => Did::Kicked { to: spot },
        Did::Turnover { .. } => Did::Turnover { at: spot },
        other => other,
    });
    let clock = prop::sample::select(vec![0i64, 1_000, 60_000, 300_000, 899_000, 900_000]);
    let advance = (did, clock).prop_map(|(did, clock_ms)| Command::Advance(Advance { did, clock_ms }));
    let start = Start { team: Team::Away, attacks: End::West };
    let ended = |number: usize| Command::EndReview {
        review: format!("r-{number}"),
        ended: Box::new(fold([Stamped { at: stamp(0), event: review::event::Event::Withdrawn }])),
    };
    let teams = prop::sample::select(vec![Team::Home, Team::Away]);
    let downs = (1u8..5).prop_map(move |down| {
        let next = rules::game::situation::Next::Scrimmage { down, to_go: Yards::whole(10) };
        let situation = Situation { next, spot: Yards::whole(20), ..kickoff };
        Command::Correct { situation, reason: None }
    });
    prop_oneof![
        8 => advance,
        2 => Just(Command::Undo),
        2 => Just(Command::Set(kickoff)),
        2 => downs,
        1 => teams.prop_map(Command::Timeout),
        1 => prop::sample::select(vec![None, Some(start)]).prop_map(Command::NextPeriod),
        2 => (0usize..9).prop_map(|play| Command::Looked { play }),
        2 => (0usize..3, 0usize..9).prop_map(|(id, play)| Command::Review { review: format!("r-{id}"), play }),
        2 => (0usize..3).prop_map(ended),
        1 => Just(Command::Check { item: "radio".to_owned(), done: true }),
        1 => Just(Command::OutOfService { reason: "no power".to_owned() }),
        1 => Just(Command::BackInService),
        1 => Just(Command::Close),
        1 => prop::sample::select(vec![Early::Forfeit(Team::Home), Early::Suspended, Early::Called])
            .prop_map(|how| Command::EndEarly { how, reason: "the lights failed".to_owned() }),
        1 => Just(Command::HandOver { who: "booth-11".to_owned() }),
        1 => Just(Command::CameraLost { camera: "far corner".to_owned(), reason: "no signal".to_owned() }),
        1 => Just(Command::CameraBack { camera: "far corner".to_owned() }),
        1 => Just(Command::CorrectCard {
            card: Box::new(GameCard { venue: "Kiln Yard Hall".to_owned(), ..card("W03-HK-MO") }),
            reason: None,
        }),
        1 => Just(Command::Reopen { reason: "a mistake".to_owned() }),
        1 => Just(Command::Open(card("another"))),
    ]
}
