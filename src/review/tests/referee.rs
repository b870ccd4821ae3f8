//! The referee's own ruling on any play of the day: whether or not there was a flag, and whether or not another play was
//! run since; fouls that nobody called; players who are disqualified.

use field::exact::Yards;
use proptest::prelude::*;
use review::announcement::Names;
use review::day::Command as DayCommand;
use review::day::fold::Day;
use review::discretion::decide::decide;
use review::discretion::disqualify::{announced, causes};
use review::discretion::fold::{Discretion, Phase};
use review::discretion::options::{Met, offers};
use review::discretion::origin::{asked, of_day, taken_over};
use review::discretion::{
    Cause, Command, Disqualified, Fact, Matter, Opened, Profit, Stamped, Started, text,
};
use review::precedent::pattern::Pattern;
use rules::book::effect::Part;
use rules::game::advance::Did;
use rules::game::play::Flag;
use rules::game::situation::{Next, Team};
use testing::challenge::{Challenge, stamp};
use testing::day::{card, commands, kickoff, play};
use testing::repeatable;

const STANDS: &str = "the play stands, no foul";

fn yd(yards: i64) -> Yards {
    Yards::whole(yards)
}

fn act(challenge: &Challenge, day: &mut Day, command: DayCommand) -> bool {
    let decided = review::day::decide::decide(&challenge.book, day, command);
    let done = decided.is_ok();
    for event in decided.into_iter().flatten() {
        day.apply(review::day::Stamped { at: stamp(0), event });
    }
    done
}

/// The home team kicks off to the visitors' 15; they run to their 21, second and 4, with 14:20.
fn begun(challenge: &Challenge) -> Day {
    let mut day = Day::default();
    for command in [
        DayCommand::Open(card("W03-HK-MO")),
        DayCommand::Set(kickoff(challenge)),
        play(Did::Kicked { to: yd(35) }, 893),
        play(Did::Down { at: yd(21) }, 860),
    ] {
        assert!(act(challenge, &mut day, command));
    }
    day
}

/// A coach asks about a blow during the run that nobody flagged.
fn blow(challenge: &Challenge, day: &Day) -> Opened {
    let opened = of_day(&challenge.book, day, 1).expect("it was run");
    asked(&challenge.book, opened, "blow-and-answer", None).expect("the book leaves it open")
}

fn decided(challenge: &Challenge, ruling: &mut Discretion, command: Command) -> Result<(), String> {
    for event in decide(&challenge.book, ruling, command).map_err(|no| no.because)? {
        ruling.apply(Stamped { at: stamp(0), event });
    }
    Ok(())
}

fn choose(remedy: &str) -> Command {
    Command::Choose { remedy: remedy.to_owned(), reason: None }
}

/// A ruling with everything but the remedy, the words and the signature; `at_risk` was seen to first.
fn weighed(challenge: &Challenge, opened: Opened, at_risk: Option<&str>) -> Discretion {
    let mut ruling = Discretion::default();
    let hurt = at_risk.map(|who| Command::Risk { someone: Some(who.to_owned()) });
    let others = [
        Command::Risk { someone: None },
        Command::State(Fact { name: "blow".to_owned(), says: "to the chest".to_owned(), mark: None }),
        Command::Unreached { because: "nobody flagged it".to_owned() },
        Command::Profit(Profit { started: Started::Defense, rewards: false }),
        Command::Lean { rule: "5".to_owned() },
    ];
    for command in [Command::Open(Box::new(opened))].into_iter().chain(hurt).chain(others) {
        decided(challenge, &mut ruling, command).expect("it fits");
    }
    ruling
}

/// Chosen, announced, read back and signed.
fn signed(challenge: &Challenge, mut ruling: Discretion, remedy: &str) -> Discretion {
    let words = [remedy.to_owned()].into_iter();
    let names = Names::default();
    let words = words.chain(announced(&challenge.book, &names, &ruling.disqualified));
    let word = Command::Word { words: words.collect::<Vec<_>>().join(" ") };
    for command in [choose(remedy), word, Command::ReadBack, Command::Sign] {
        decided(challenge, &mut ruling, command).expect("it fits");
    }
    ruling
}

fn linebacker(team: Team, cause: Cause) -> Disqualified {
    Disqualified { team, position: "linebacker".to_owned(), number: Some(54), cause }
}

fn for_a_blow() -> Cause {
    Cause::Foul("blow".to_owned())
}

/// League rules 1 and 4.22, worked by hand. As it is: second and 4 at 21. The down again: first and 10 at 15. A foul of
/// the offense: half of 21 is 10.5, less than 15, so second and 14.5 at 10.5. One of the defense: half of the 29 to the
/// goal line is 14.5, so first and 10 at 35.5. One of each in their order: from 10.5 all of 15, first and 10 at 25.5.
// PROPERTY: a play without a flag is brought like any other, and only the fouls of the book are created
#[test]
fn a_play_that_nobody_flagged_is_brought_with_its_question() {
    let mut challenge = Challenge::demo();
    let day = begun(&challenge);
    let opened = blow(&challenge, &day);
    let matter = opened.matter.as_ref().expect("a question was asked");
    assert_eq!((matter.call.as_str(), matter.findings.len()), ("none", 0));
    let pattern = Pattern::of_opened(&challenge.book, &opened);
    assert_eq!(pattern.question.as_deref(), Some("blow-and-answer"), "near precedents are found by it");
    let half = |halves| Yards::fraction(halves, 2);
    let told = |challenge: &Challenge| {
        let offers = offers(&challenge.book, &opened);
        assert!(offers.iter().all(|offer| offer.needs.is_empty()));
        let told = offers.into_iter().map(|offer| {
            let Next::Scrimmage { down, to_go } = offer.after.next else { panic!("{offer:?}") };
            (offer.name, down, to_go, offer.after.spot, offer.meets)
        });
        told.collect::<Vec<_>>()
    };
    let expected = |meets: Vec<Met>| {
        [
            (STANDS.to_owned(), 2, yd(4), yd(21), vec![]),
            ("the down is played again".to_owned(), 1, yd(10), yd(15), vec![]),
            ("a blow by one side, the offense".to_owned(), 2, half(29), half(21), meets.clone()),
            ("a blow by one side, the defense".to_owned(), 1, yd(10), half(71), meets.clone()),
            ("a blow by each side".to_owned(), 1, yd(10), half(51), meets),
        ]
    };
    assert_eq!(told(&challenge), expected(Vec::new()));
    let ruling =
        signed(&challenge, weighed(&challenge, opened.clone(), None), "a blow by one side, the defense");
    assert_eq!(taken_over(&day, &ruling).expect("the ball is moved").spot, half(71));
    // A book that names no such foul lets none be created, whatever the reason.
    challenge.book.discretion.as_mut().expect("it has one").may_create.clear();
    assert_eq!(told(&challenge), expected(vec![Met::Creates("blow".to_owned())]));
    let reason = Some("everyone saw it".to_owned());
    let remedy = "a blow by each side".to_owned();
    let no = decided(
        &challenge,
        &mut weighed(&challenge, opened.clone(), None),
        Command::Choose { remedy, reason },
    );
    let because = no.expect_err("it may not");
    assert!(because.starts_with("it would create `blow`, a foul that nobody called"), "{because}");
    signed(&challenge, weighed(&challenge, opened, None), STANDS);
}

/// Nothing may be created here: what was called is not created, on the side it was called on.
#[test]
fn a_foul_that_was_called_is_not_created() {
    let mut challenge = Challenge::demo();
    challenge.book.discretion.as_mut().expect("it has one").may_create.clear();
    let created = |call: &str, flag: Option<Part>| {
        let mut opened = blow(&challenge, &begun(&challenge));
        let flag =
            flag.map(|by| Flag { name: "blow".to_owned(), by, spot: None, dead: true, clock_ms: None });
        opened.ground.flags = flag.into_iter().collect();
        opened.matter = opened.matter.map(|matter| Matter { call: call.to_owned(), ..matter });
        let offers = offers(&challenge.book, &opened).into_iter();
        let created = offers.filter(|offer| offer.meets.contains(&Met::Creates("blow".to_owned())));
        created.map(|offer| offer.name).collect::<Vec<_>>()
    };
    let (offense, defense) = ("a blow by one side, the offense", "a blow by one side, the defense");
    let both = "a blow by each side";
    assert_eq!(created("none", None), [offense, defense, both]);
    assert_eq!(created("foul on one", Some(Part::Defense)), [offense, both]);
    assert_eq!(created("foul on both", None), [""; 0]);
    assert_eq!(created("foul on one", None), [""; 0], "the call does not say on whom");
}

#[test]
fn only_a_question_that_the_book_leaves_open_is_brought_without_a_review() {
    let challenge = Challenge::demo();
    let opened = of_day(&challenge.book, &begun(&challenge), 1).expect("it was run");
    let no = |question: &str, call: Option<&str>| {
        asked(&challenge.book, opened.clone(), question, call).expect_err("it does not fit").because
    };
    assert_eq!(no("face-mask", None), "the book decides `face-mask` itself (rule 4.11)");
    assert_eq!(no("blow", None), "there is no question `blow`");
    assert_eq!(no("blow-and-answer", Some("foul")), "there is no call `foul`");
    let both =
        asked(&challenge.book, opened.clone(), "blow-and-answer", Some("foul on both")).expect("it fits");
    assert_eq!(both.matter.expect("it is asked").call, "foul on both");
}

/// Two plays ago: nothing of it is enforced any more, and the game goes on from where it is. A player can still be
/// disqualified for it.
#[test]
fn a_play_before_the_last_one_can_be_brought_and_moves_nothing() {
    let challenge = Challenge::demo();
    let mut day = begun(&challenge);
    let opened = blow(&challenge, &day);
    let open = signed(&challenge, weighed(&challenge, opened, None), "the down is played again");
    assert!(taken_over(&day, &open).is_some());
    assert!(act(&challenge, &mut day, play(Did::Down { at: yd(30) }, 820)));
    assert_eq!(taken_over(&day, &open), None, "the next play was snapped before it was signed");
    let opened = blow(&challenge, &day);
    let found = offers(&challenge.book, &opened);
    let told: Vec<_> = found.iter().map(|offer| (offer.name.as_str(), Some(offer.after))).collect();
    assert_eq!(told, [(STANDS, day.situation())]);
    let mut ruling = weighed(&challenge, opened, None);
    let players = vec![linebacker(Team::Home, for_a_blow())];
    decided(&challenge, &mut ruling, Command::Disqualify { players }).expect("it is in question");
    assert_eq!(taken_over(&day, &signed(&challenge, ruling, STANDS)), None);
}

/// A linebacker of the home team struck a blow that nobody flagged; the book names it, and someone at risk.
// PROPERTY: a player is disqualified only for what the book names and the play gives
#[test]
fn a_player_is_disqualified_within_the_limits_of_the_book() {
    let mut challenge = Challenge::demo();
    let day = begun(&challenge);
    let named = |players: Vec<Disqualified>| Command::Disqualify { players };
    let one = |cause: Cause| named(vec![linebacker(Team::Home, cause)]);
    let mut early = Discretion::default();
    decided(&challenge, &mut early, Command::Open(Box::new(blow(&challenge, &day)))).expect("it opens");
    assert_eq!(decided(&challenge, &mut early, one(for_a_blow())), Err("safety comes first".to_owned()));
    let foul = |name: &str| one(Cause::Foul(name.to_owned()));
    let person = Disqualified { position: "A. Person".to_owned(), ..linebacker(Team::Home, for_a_blow()) };
    let twice = vec![linebacker(Team::Home, for_a_blow()), linebacker(Team::Home, for_a_blow())];
    let mut ruling = weighed(&challenge, blow(&challenge, &day), None);
    for (command, because) in [
        (named(Vec::new()), "no player is named"),
        (named(vec![person]), "there is no position `A. Person`"),
        (named(twice), "the linebacker 54 of the home team is named twice"),
        (foul("false start"), "nobody is disqualified for `false start` (rule 5)"),
        (foul("face mask"), "no `face mask` by the home team is called or in question"),
        (one(Cause::Risk), "nobody was said to be at risk"),
    ] {
        assert_eq!(decided(&challenge, &mut ruling, command), Err(because.to_owned()));
    }
    assert_eq!(ruling.disqualified, []);
    assert_eq!(causes(&challenge.book, &ruling, Team::Home), [for_a_blow()]);
    let hurt = weighed(&challenge, blow(&challenge, &day), Some("the runner"));
    assert_eq!(causes(&challenge.book, &hurt, Team::Away), [for_a_blow(), Cause::Risk]);
    // Without a question there is no foul; a flag makes one, but none that its team cannot commit.
    let mut opened = of_day(&challenge.book, &day, 1).expect("it was run");
    assert_eq!(causes(&challenge.book, &weighed(&challenge, opened.clone(), None), Team::Home), []);
    let name = "roughing the passer".to_owned();
    opened.ground.flags =
        vec![Flag { name: name.clone(), by: Part::Defense, spot: None, dead: false, clock_ms: None }];
    let flagged = weighed(&challenge, opened, None);
    assert_eq!(causes(&challenge.book, &flagged, Team::Home), [Cause::Foul(name)]);
    assert_eq!(causes(&challenge.book, &flagged, Team::Away), []);
    // A book without such a rule lets nobody be disqualified.
    challenge.book.discretion.as_mut().expect("it has one").disqualification = None;
    let because = "the book `saltmarsh` lets the referee disqualify nobody";
    assert_eq!(decided(&challenge, &mut ruling, one(for_a_blow())), Err(because.to_owned()));
    assert_eq!(causes(&challenge.book, &hurt, Team::Home), []);
}

// PROPERTY: a disqualification changes no number of the situation, and the announcement names it
#[test]
fn a_disqualification_goes_with_any_remedy_and_changes_no_number() {
    let challenge = Challenge::demo();
    let day = begun(&challenge);
    let opened = blow(&challenge, &day);
    let names = day.opened.as_ref().expect("it is open").card.names.clone();
    for offer in offers(&challenge.book, &opened) {
        let without = signed(&challenge, weighed(&challenge, opened.clone(), None), &offer.name);
        let mut ruling = weighed(&challenge, opened.clone(), None);
        let players = vec![linebacker(Team::Home, for_a_blow())];
        decided(&challenge, &mut ruling, Command::Disqualify { players: players.clone() }).expect("it fits");
        let ruling = signed(&challenge, ruling, &offer.name);
        let (with, plain) =
            (ruling.signed.as_ref().expect("signed"), without.signed.as_ref().expect("signed"));
        assert_eq!((with.after, with.clock_starts), (plain.after, plain.clock_starts), "{}", offer.name);
        assert_eq!(taken_over(&day, &ruling), taken_over(&day, &without), "{}", offer.name);
        assert_eq!(with.disqualified, players);
        let says = format!("{}; disqualified: linebacker 54 of the home team, for `blow`", offer.name);
        assert_eq!(text::remedy(with), says);
        assert_eq!(text::remedy(plain), offer.name);
        let says = format!("{}; disqualified: linebacker of the defense, for `blow`", offer.name);
        assert_eq!(text::remedy_of_precedent(&opened, with), says);
    }
    let mut ruling = weighed(&challenge, opened, None);
    let mut then = |command| decided(&challenge, &mut ruling, command);
    let players = vec![linebacker(Team::Home, for_a_blow())];
    let sentences = announced(&challenge.book, &names, &players);
    assert_eq!(sentences, ["Linebacker 54, Harbour Kites, is disqualified."]);
    let word = |words: &str| Command::Word { words: words.to_owned() };
    for command in [choose(STANDS), word("The play stands."), Command::ReadBack] {
        then(command).expect("it fits");
    }
    then(Command::Disqualify { players }).expect("it fits");
    assert_eq!(then(Command::Sign), Err("it has not been read back".to_owned()));
    let unnamed = "the announcement does not name a player who is disqualified";
    assert_eq!(then(Command::ReadBack), Err(unnamed.to_owned()));
    then(word(&format!("The play stands. {}", sentences[0]))).expect("it fits");
    then(Command::ReadBack).expect("it names the player");
    // Taken back, nobody is disqualified.
    then(Command::Disqualify { players: Vec::new() }).expect("there is somebody to take back");
    then(Command::ReadBack).expect("nobody is to be named");
    then(Command::Sign).expect("it was read back");
    assert_eq!((ruling.phase, ruling.signed.expect("signed").disqualified), (Phase::Signed, Vec::new()));
}

proptest! {
    #![proptest_config(repeatable(24))]

    /// However the day went, and whatever the play was: kick, try, score, one that a ruling decided.
    // PROPERTY: any play of the day can be brought to the referee, and the day goes on as it is if the play stands
    #[test]
    fn any_play_of_a_day_can_be_brought_and_stand(
        commands in prop::collection::vec(commands(&Challenge::demo()), 1..60)
    ) {
        let challenge = Challenge::demo();
        let mut day = Day::default();
        act(&challenge, &mut day, DayCommand::Open(card("W03-HK-MO")));
        for command in commands {
            act(&challenge, &mut day, command);
        }
        for number in 0..day.plays.len() {
            let opened = of_day(&challenge.book, &day, number).expect("the play is there");
            let opened = asked(&challenge.book, opened, "blow-and-answer", None).expect("it is left open");
            let ruling = signed(&challenge, weighed(&challenge, opened.clone(), None), STANDS);
            prop_assert_eq!(ruling.signed.as_ref().map(|signed| signed.after), day.situation());
            prop_assert_eq!(taken_over(&day, &ruling), None);
            for offer in offers(&challenge.book, &opened) {
                let moved = offer.after.possible(&challenge.book.field, &challenge.book.game);
                prop_assert!(!offer.needs.is_empty() || moved.is_ok(), "{:?}", offer);
            }
        }
        prop_assert_eq!(of_day(&challenge.book, &day, day.plays.len()), None);
    }
}
