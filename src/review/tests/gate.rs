//! The gate over the Saltmarsh book: who may ask for what, when and at what price. Section numbers are those of
//! the league's rules.

use review::gate::{Entry, Gate, Initiator, Ruled, Stop, Subject, Unknown, gate};
use rules::book::replay::Price;
use rules::game::situation::{ByTeam, Challenges, Situation, Team};
use std::collections::BTreeSet;
use testing::booth::book;
use testing::events::situation;

const COACH: Initiator = Initiator::Coach(Team::Home);
/// A lost challenge: 3.3 charges the timeout, and a challenge is used.
const LOST: Price = Price { timeout: true, challenge: true };
/// 3.3, not reviewable: timeout charged, challenge kept.
const TIMEOUT: Price = Price { timeout: true, challenge: false };
const FREE: Price = Price { timeout: false, challenge: false };

/// Second period, 4:41; the home coach has two timeouts and a challenge.
fn early() -> Situation {
    Situation { challenges: ByTeam::default(), ..situation() }
}

fn at(period: u8, clock_ms: i64) -> Situation {
    Situation { period, clock_ms, ..early() }
}

fn subject<'a>(name: &'a str, call: &'a str) -> Subject<'a> {
    Subject { name, call, ruled: &[], entry: Entry::Challenged }
}

/// The expected answer of the gate.
enum Wanted {
    /// Allowed, with this at risk.
    In(Price),
    /// Refused by this rule at this price, with this text among what is still possible.
    Out(&'static str, Price, &'static str),
}
use Wanted::{In, Out};

struct Row<'a>(&'static str, Initiator, Situation, Subject<'a>, Wanted);

fn check(rows: Vec<Row<'_>>) {
    let book = book();
    for Row(what, initiator, situation, subject, wanted) in rows {
        let gate = gate(&book, &situation, initiator, Stop::BeforeNextSnap, &subject).expect("known names");
        match (gate, wanted) {
            (Gate::Allowed { at_risk }, In(price)) => assert_eq!(at_risk, price, "{what}"),
            (Gate::Refused(refusal), Out(rule, price, possible)) => {
                assert_eq!((refusal.rule.as_str(), refusal.price), (rule, price), "{what}: {refusal:?}");
                assert!(!refusal.because.is_empty(), "{what}");
                let says = refusal.possible.join("; ");
                assert!(says.contains(possible), "{what}: {says}");
            }
            (gate, In(_) | Out(..)) => panic!("{what}: {gate:?}"),
        }
    }
}

const BOOTH_MAY: &str = "the booth may review it without a challenge";
const COACH_MAY: &str = "a coach may challenge it";

#[test]
fn who_may_ask_follows_section_3_1() {
    let booth = Initiator::Booth;
    let catch = || subject("catch-along-wall", "incomplete");
    let by_ruled = |ruled| Subject { ruled, ..subject("down-or-fumble", "fumble") };
    check(vec![
        Row("a coach, early", COACH, early(), catch(), In(LOST)),
        Row("not the booth, early", booth, early(), catch(), Out("3.1", FREE, COACH_MAY)),
        Row("not the referee, early", Initiator::Referee, early(), catch(), Out("3.1", FREE, COACH_MAY)),
        Row("1:00.000 of the first half", COACH, at(2, 60_000), catch(), Out("3.1", FREE, BOOTH_MAY)),
        Row("1:00.001 of the first half", COACH, at(2, 60_001), catch(), In(LOST)),
        Row("0:00 of the second half", COACH, at(4, 0), catch(), Out("3.1", FREE, BOOTH_MAY)),
        Row("1:00.000 of the second half", booth, at(4, 60_000), catch(), In(FREE)),
        Row("1:00.001 of the second half", booth, at(4, 60_001), catch(), Out("3.1", FREE, COACH_MAY)),
        Row("1:00 of a period that ends no half", COACH, at(1, 60_000), catch(), In(LOST)),
        Row("the same in the third", COACH, at(3, 0), catch(), In(LOST)),
        Row("overtime", COACH, at(5, 600_000), catch(), Out("3.1", FREE, BOOTH_MAY)),
        Row("a second overtime", booth, at(6, 600_000), catch(), In(FREE)),
        Row(
            "a ruled score by the call",
            COACH,
            early(),
            subject("catch-along-wall", "touchdown"),
            Out("3.1", FREE, BOOTH_MAY),
        ),
        Row(
            "a good kick is a ruled score",
            COACH,
            early(),
            subject("kick-good", "good"),
            Out("3.1", FREE, BOOTH_MAY),
        ),
        Row("a denied score is a coach's", COACH, early(), subject("kick-good", "no good"), In(LOST)),
        Row(
            "and not the booth's",
            booth,
            early(),
            subject("kick-good", "no good"),
            Out("3.1", FREE, COACH_MAY),
        ),
        Row("a denied touchdown", COACH, early(), subject("line-reached", "short"), In(LOST)),
        Row("a fumble that the offense recovered", COACH, early(), by_ruled(&[]), In(LOST)),
        Row("a ruled turnover", COACH, early(), by_ruled(&[Ruled::Turnover]), Out("3.1", FREE, BOOTH_MAY)),
        Row("the booth on it", booth, early(), by_ruled(&[Ruled::Turnover]), In(FREE)),
        Row(
            "a score on the same play",
            COACH,
            early(),
            by_ruled(&[Ruled::Score]),
            Out("3.1", FREE, BOOTH_MAY),
        ),
        Row("the booth on safety", booth, early(), subject("face-mask", "none"), In(FREE)),
        Row("a coach on safety, too", COACH, early(), subject("face-mask", "none"), In(LOST)),
        Row(
            "the clock is the booth's (4.26)",
            COACH,
            early(),
            subject("clock", "as called"),
            Out("4.26", FREE, BOOTH_MAY),
        ),
    ]);
}

// PROPERTY: the gate says what the league's rules say
#[test]
fn the_price_follows_section_3_3() {
    let challenges = |used, won| {
        let home = Challenges { used, won };
        Situation { challenges: ByTeam { home, ..ByTeam::default() }, ..early() }
    };
    let timeouts = |home| Situation { timeouts: ByTeam { home, away: 3 }, ..early() };
    let catch = || subject("catch-along-wall", "incomplete");
    let none_left = "no challenge is left";
    check(vec![
        Row(
            "no timeout in hand",
            COACH,
            timeouts(0),
            catch(),
            Out("3.3", FREE, "no challenge without a timeout"),
        ),
        Row("the last timeout", COACH, timeouts(1), catch(), In(LOST)),
        Row(
            "the opponents' timeouts do not help",
            Initiator::Coach(Team::Away),
            timeouts(0),
            catch(),
            In(LOST),
        ),
        Row("one used, none won", COACH, challenges(1, 0), catch(), In(LOST)),
        Row("two used, none won", COACH, challenges(2, 0), catch(), Out("3.3", FREE, none_left)),
        Row("two used, one won", COACH, challenges(2, 1), catch(), Out("3.3", FREE, none_left)),
        Row("two used, both won: a third", COACH, challenges(2, 2), catch(), In(LOST)),
        Row("the third used and lost", COACH, challenges(3, 2), catch(), Out("3.3", FREE, none_left)),
        Row(
            "the third used and won: no fourth",
            COACH,
            challenges(3, 3),
            catch(),
            Out("3.3", FREE, none_left),
        ),
        Row(
            "the booth needs none",
            Initiator::Booth,
            Situation { period: 5, ..timeouts(0) },
            catch(),
            In(FREE),
        ),
    ]);
}

#[test]
fn what_is_never_reviewable_costs_a_timeout_and_keeps_the_challenge() {
    let other = "another question about this play may be asked";
    let no_timeout = Situation { timeouts: ByTeam { home: 0, away: 3 }, ..early() };
    let mut rows = Vec::new();
    for name in ["holding", "block in the back", "force", "spot", "after the play"] {
        rows.push(Row("3.9", COACH, early(), subject(name, ""), Out("3.9", TIMEOUT, other)));
        rows.push(Row(
            "the booth pays nothing",
            Initiator::Booth,
            early(),
            subject(name, ""),
            Out("3.9", FREE, other),
        ));
        rows.push(Row(
            "no timeout, no challenge",
            COACH,
            no_timeout,
            subject(name, ""),
            Out("3.3", FREE, "timeout"),
        ));
        // 3.1 comes first; the booth is not offered what nobody may review.
        rows.push(Row("the last minute", COACH, at(4, 30_000), subject(name, ""), Out("3.1", FREE, other)));
    }
    // 3.9: a wrong count is corrected without price, whoever asks for it and whatever is left.
    for name in ["count of downs", "count of timeouts", "count of challenges"] {
        for situation in [early(), no_timeout, at(4, 30_000)] {
            rows.push(Row("a count", COACH, situation, subject(name, ""), Out("3.9", FREE, other)));
        }
    }
    check(rows);
}

/// 4.1 to 4.26: the questions that say *create*; all others that are about a foul may only confirm or remove.
#[test]
fn a_foul_is_created_only_where_section_4_says_so() {
    let book = book();
    let creating: BTreeSet<&str> =
        ["false-start", "beyond-scrimmage", "roughing-passer", "face-mask", "hands-to-face", "too-many"]
            .into();
    let flag = "a flag that was thrown may be reviewed";
    let mut seen = BTreeSet::new();
    for tree in &book.trees {
        for call in tree.calls.iter().filter(|call| call.no_call) {
            let may = creating.contains(tree.id.as_str());
            seen.extend(may.then_some(tree.id.as_str()));
            let asked = subject(&tree.id, &call.name);
            // Section 15 of the extensions: a blow is created by the booth, and by no challenge.
            let booths = tree.id == "blow-and-answer";
            let wanted = match (may, booths) {
                (true, _) => In(LOST),
                (false, true) => Out("15", TIMEOUT, "the booth may create it without a challenge"),
                (false, false) => Out("3.8", TIMEOUT, flag),
            };
            let on_the_way = Subject { entry: Entry::FoundOnTheWay, ..asked };
            let then = if may || booths { In(FREE) } else { Out("3.8", FREE, flag) };
            check(vec![
                Row("a no-call", COACH, early(), asked, wanted),
                Row("found on the way", COACH, early(), on_the_way, then),
            ]);
        }
        // Any listed foul may be taken away.
        if tree.call("foul").is_some() {
            check(vec![Row("a flag", COACH, early(), subject(&tree.id, "foul"), In(LOST))]);
        }
    }
    assert_eq!(seen, creating);
    // Safety may always be protected, by the booth; coaches are not offered what they may not have.
    check(vec![
        Row("a blow", Initiator::Booth, early(), subject("blow-and-answer", "none"), In(FREE)),
        Row(
            "no safety",
            Initiator::Booth,
            early(),
            subject("illegal-contact", "none"),
            Out("3.1", FREE, flag),
        ),
        Row("overtime", COACH, at(5, 300_000), subject("illegal-contact", "none"), Out("3.1", FREE, flag)),
    ]);
}

#[test]
fn what_is_found_on_the_way_needs_no_right_and_costs_nothing() {
    let found = |name, call| Subject { entry: Entry::FoundOnTheWay, ..subject(name, call) };
    let broke = Situation { timeouts: ByTeam { home: 0, away: 0 }, ..early() };
    check(vec![
        Row("a coach without a timeout", COACH, broke, found("catch-along-wall", "incomplete"), In(FREE)),
        Row(
            "the booth where a coach asks",
            Initiator::Booth,
            early(),
            found("catch-along-wall", "incomplete"),
            In(FREE),
        ),
        Row(
            "a coach where the booth asks",
            COACH,
            at(4, 5_000),
            found("line-reached", "touchdown"),
            In(FREE),
        ),
        Row(
            "never reviewable stays so",
            COACH,
            early(),
            found("holding", ""),
            Out("3.9", FREE, "another question"),
        ),
    ]);
}

#[test]
fn after_the_next_snap_nothing_is_reviewed_and_nothing_is_charged() {
    let book = book();
    for name in ["catch-along-wall", "holding", "face-mask"] {
        for entry in [Entry::Challenged, Entry::FoundOnTheWay] {
            for initiator in [COACH, Initiator::Booth, Initiator::Referee] {
                let call = if name == "face-mask" { "foul" } else { "incomplete" };
                let subject = Subject { entry, ..subject(name, call) };
                let gate = gate(&book, &early(), initiator, Stop::AfterNextSnap, &subject).expect("known");
                let Gate::Refused(refusal) = gate else { panic!("{name}: let in") };
                assert_eq!((refusal.rule.as_str(), refusal.price), ("3.2", FREE), "{name}");
                assert_eq!(refusal.because, "the stop signal came after the next snap");
                assert!(
                    refusal.possible[0].contains("the ruling on the field holds"),
                    "{:?}",
                    refusal.possible
                );
            }
        }
    }
}

#[test]
fn a_name_that_the_book_does_not_have_is_said() {
    let book = book();
    let ask = |name, call| gate(&book, &early(), COACH, Stop::BeforeNextSnap, &subject(name, call));
    assert_eq!(ask("catch", "incomplete"), Err(Unknown::Question("catch".to_owned())));
    let unknown = ask("catch-along-wall", "caught").expect_err("there is no such call");
    assert_eq!(
        unknown.to_string(),
        "the question `catch-along-wall` has no call `caught`: it has complete, incomplete, touchdown"
    );
}
