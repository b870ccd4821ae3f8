//! What a play with its fouls comes to, in JSON.

use super::{Read, score_change};
use crate::by_team::SomeOf;
use crate::clock_start::Starts;
use crate::closed_set::words;
use crate::figure::Figure;
use crate::ledger::{Changes, changes};
use crate::situation::{Side, Situation};
use rules::book::Book;
use rules::game::clock::Period;
use rules::game::enforce::basic_spot::Why;
use rules::game::enforce::options::Kind;
use rules::game::enforce::walk_off::{Place, Walked};
use rules::game::enforce::{Carry, Chosen, Done, Ruling, carried};
use rules::game::situation;
use rules::game::situation::{Next, Team};
use schemars::JsonSchema;
use serde::Serialize;

/// What a play with its fouls comes to.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Result {
    /// The next situation.
    pub after: Situation,
    /// How the game clock starts; `null` where it does not run (a try, a free kick, an untimed down, a period over).
    pub clock_starts: Option<Starts>,
    /// Points that the play and its fouls make, by team.
    pub score_change: SomeOf<i32>,
    /// Which choice is taken.
    pub choice: String,
    /// Who chooses.
    pub chooser: Side,
    /// Every legal choice about live fouls, each with what it leads to; the plain rule takes the better one: a game won,
    /// then the score, then what the next situation is worth, then the spot.
    pub options: Vec<OptionJson>,
    /// How the penalties were walked off, in order; places as in the input.
    pub spots: Vec<SpotJson>,
    /// What became of each foul.
    pub fouls: Vec<FateJson>,
    /// Where the free kick after the try is kicked, if a penalty moves it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub free_kick_spot: Option<Figure>,
    /// In overtime: where the other team's next series begins, if a penalty moves it; from its goal line.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub next_series_spot: Option<Figure>,
    /// The half is over, and a penalty is carried to the kick that begins the next one: where that is kicked, by the team
    /// that kicks.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub next_half_kick: Option<SomeOf<Figure>>,
    /// What becomes of the period.
    pub period: PeriodJson,
    /// Time that may run off.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub run_off: Option<RunOffJson>,
    /// What is still needed.
    pub open: Vec<String>,
    /// What of the input changed nothing, or is odd and was taken as it is written.
    pub notes: Vec<String>,
    /// How every number of `after` came about: what changed it, in order, or that it was kept.
    pub why: Changes,
}

/// One legal choice.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[schemars(rename = "Option")]
pub struct OptionJson {
    /// What is chosen.
    pub choice: String,
    /// It is the one that is taken.
    pub taken: bool,
    /// Where it leads.
    pub after: Situation,
    /// How the clock starts.
    pub clock_starts: Option<Starts>,
    /// Points, by team.
    pub score_change: SomeOf<i32>,
    /// Where the free kick after the try is kicked, if a penalty moves it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub free_kick_spot: Option<Figure>,
    /// In overtime: where the other team's next series begins, if a penalty moves it; from its goal line.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub next_series_spot: Option<Figure>,
    /// How its penalties are walked off.
    pub spots: Vec<SpotJson>,
}

/// How one penalty was walked off.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
#[schemars(rename = "Walked")]
pub struct SpotJson {
    /// The penalty's name.
    pub foul: String,
    /// The basic spot.
    pub basic: Figure,
    /// Where it was measured from.
    pub from: Figure,
    /// Why from there.
    pub why: WhyJson,
    /// How far.
    pub walked: Figure,
    /// Where the ball came to lie.
    pub to: Figure,
}

/// What became of a foul.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
#[schemars(rename = "Fate")]
pub struct FateJson {
    /// The penalty's name.
    pub name: String,
    /// Who fouled.
    pub by: Side,
    /// What became of it.
    pub done: DoneJson,
}

words! {
    /// What became of a foul.
    DoneJson = Done {
        /// Accepted and enforced.
        Accepted = "accepted",
        /// Declined, or fallen with another that was accepted.
        Declined = "declined",
        /// Cancelled by a foul of the other team.
        Offset = "offset",
        /// The score counts, and the penalty is dropped.
        ScoreCounts = "score counts",
        /// The score counts, and the penalty is carried to the try or the free kick; or the half is over, and it is carried
        /// to what comes next.
        Carried = "carried",
        /// It can only be fouled while the ball is live; or the game, or the half, was over before it.
        FellAway = "fell away",
    }
}

words! {
    /// Why a penalty is measured from where it is.
    WhyJson = Why {
        /// The previous spot.
        Previous = "previous spot",
        /// The succeeding spot.
        Succeeding = "succeeding spot",
        /// The spot of the foul.
        Spot = "spot of the foul",
        /// The end of the run, or where the ball was lost.
        EndOfRun = "end of the run",
        /// Where a touchback puts the ball.
        Touchback = "touchback",
        /// The goal line.
        GoalLine = "goal line",
        /// The end of the kick.
        EndOfKick = "end of the kick",
        /// Behind the basic spot: three-and-one.
        ThreeAndOne = "three-and-one",
        /// The end of the play.
        EndOfPlay = "end of the play",
        /// So far beyond the previous spot.
        Beyond = "beyond the previous spot",
    }
}

words! {
    /// What becomes of the period.
    PeriodJson = Period {
        /// There is time left, or no clock.
        GoesOn = "goes on",
        /// One more play, untimed.
        Extended = "extended",
        /// The period is over.
        Over = "over",
        /// The half is over.
        HalfOver = "half over",
        /// The game is over.
        GameOver = "game over",
    }
}

/// Time that may run off.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
#[schemars(rename = "RunOff")]
pub struct RunOffJson {
    /// How many seconds.
    pub seconds: u32,
    /// Who may have it.
    pub by: Side,
    /// Whether it is taken; left to the plain rule, a team that is ahead takes it.
    pub taken: bool,
    /// A timeout of the other team saves the time.
    pub saved: bool,
    /// The rule.
    pub rule: String,
}

impl Result {
    /// What it came to, in JSON.
    pub fn of(book: &Book, read: &Read<'_>, ruling: &Ruling) -> Result {
        let option = ruling.option();
        let before = &read.situation;
        let fates = option.done.iter().map(|(number, done)| FateJson {
            name: read.fouls[*number].penalty.name.clone(),
            by: before.team(read.fouls[*number].by).into(),
            done: (*done).into(),
        });
        let choices = ruling.options.iter().enumerate().map(|(number, one)| OptionJson {
            choice: label(book, read, one),
            taken: number == ruling.taken,
            after: (&one.after).into(),
            clock_starts: one.clock_starts.map(Starts::from),
            score_change: score_change(before, &one.after),
            free_kick_spot: one.free_kick.map(Figure),
            next_series_spot: one.next_series.map(Figure),
            spots: spots(read, &one.walked),
        });
        let open = ruling.open.iter().map(|number| {
            let name = &read.fouls[*number].penalty.name;
            format!("`{name}` is measured from where it was: give its `spot`")
        });
        Result {
            after: (&ruling.after).into(),
            clock_starts: ruling.clock_starts.map(Starts::from),
            score_change: score_change(before, &ruling.after),
            choice: label(book, read, option),
            chooser: ruling.chooser.into(),
            options: choices.collect(),
            spots: spots(read, &option.walked),
            fouls: fates.collect(),
            free_kick_spot: option.free_kick.map(Figure),
            next_series_spot: option.next_series.map(Figure),
            next_half_kick: next_half_kick(book, read, ruling),
            period: ruling.period.into(),
            run_off: ruling.run_off.as_ref().map(|run_off| RunOffJson {
                seconds: run_off.rule.seconds,
                by: run_off.chooser.into(),
                taken: run_off.taken,
                saved: run_off.saved,
                rule: run_off.rule.cite.clone(),
            }),
            open: open.collect(),
            notes: read.notes(ruling),
            why: changes(&ruling.ledger(&read.ran, &read.fouls), &[]),
        }
    }
}

/// Where the next half is begun by a kick, by the team that kicks, if a penalty is carried there.
fn next_half_kick(book: &Book, read: &Read<'_>, ruling: &Ruling) -> Option<SomeOf<Figure>> {
    let later = &ruling.option().later;
    if ruling.period != Period::HalfOver || later.is_empty() {
        return None;
    }
    let penalties = || {
        later.iter().map(|number| {
            let foul = &read.fouls[*number];
            (read.situation.team(foul.by), foul.penalty)
        })
    };
    let kicks = |offense| {
        let spot = book.game.free_kick;
        let begun = situation::Situation { offense, next: Next::FreeKick, spot, ..ruling.after };
        Some(Figure(carried(book, begun, penalties()).spot))
    };
    Some(SomeOf { home: kicks(Team::Home), away: kicks(Team::Away) })
}

/// A choice in words.
fn label(book: &Book, read: &Read<'_>, option: &Chosen) -> String {
    let mut words = match option.kind {
        Kind::Play => "the play".to_owned(),
        Kind::Decline => "decline".to_owned(),
        Kind::Offset => "offset".to_owned(),
        Kind::KeepBall => "keep the ball".to_owned(),
        Kind::Repeat => "the down again".to_owned(),
        Kind::ByRule => "by rule".to_owned(),
        Kind::TouchSpot(spot) => format!("the ball where the kickers touched it, {spot}"),
        Kind::Accept(number, place) => {
            let name = &read.fouls[number].penalty.name;
            match place {
                Place::Standard => format!("accept {name}"),
                Place::TackOn => format!("accept {name}, tack on"),
                Place::Beyond => format!("accept {name}, beyond"),
            }
        }
    };
    let moved = option.free_kick.unwrap_or(book.game.free_kick);
    match option.carry {
        Some(Carry::Try) => words.push_str("; on the try"),
        Some(Carry::FreeKick) => words.push_str(&format!("; on the free kick, from the {moved}")),
        Some(Carry::NextSeries) => match option.next_series {
            Some(from) => words.push_str(&format!("; on the next series, from the {from}")),
            None => words.push_str("; on the next series"),
        },
        None => {}
    }
    words
}

fn spots(read: &Read<'_>, walked: &[Walked]) -> Vec<SpotJson> {
    let spot = |walked: &Walked| SpotJson {
        foul: read.fouls[walked.foul].penalty.name.clone(),
        basic: Figure(walked.basic),
        from: Figure(walked.from),
        why: walked.why.into(),
        walked: Figure(walked.distance),
        to: Figure(walked.to),
    };
    walked.iter().map(spot).collect()
}
