//! The words of a ruling: what the referee announces, what the clock operator and the chain crew do.

use super::ruling::{Question, Ruling};
use super::stance::{Outcome, Why};
use crate::book::Book;
use crate::book::exact::Yards;
use crate::book::wording::fill;
use crate::game::enforce::Done;
use crate::game::situation::{ByTeam, ClockStart, Next, Situation, Team};

/// What is said after a ruling, and to whom.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Words {
    /// The announcement.
    pub announcement: String,
    /// For the clock operator.
    pub clock: String,
    /// For the chain crew.
    pub chains: String,
}

/// How the teams are called.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Names {
    /// In an announcement: "Harbour Kites".
    pub teams: ByTeam<String>,
    /// In a spot: "Kites".
    pub short: ByTeam<String>,
}

impl Default for Names {
    fn default() -> Names {
        let plain = ByTeam { home: "Home".to_owned(), away: "Visitors".to_owned() };
        Names { teams: plain.clone(), short: plain }
    }
}

/// The words for a ruling.
pub fn words(
    book: &Book,
    names: &Names,
    at_snap: &Situation,
    questions: &[Question<'_>],
    ruling: &Ruling<'_>,
) -> Words {
    let restart = &ruling.restart;
    let mut sentences: Vec<String> = Vec::new();
    for (question, decided) in questions.iter().zip(&ruling.questions) {
        if !decided.moot {
            sentences.push(outcome(book, question, decided.outcome, decided.finding));
        }
    }
    for foul in restart.fouls.iter().filter(|foul| matches!(foul.done, Done::Accepted | Done::Carried)) {
        if let Some(penalty) = book.penalties.get(&foul.name) {
            let places = [("foul", penalty.says.as_str()), ("team", names.teams.of(foul.by))];
            sentences.push(fill(&book.wording.foul, &places));
        }
    }
    if let (Some(seconds), Some(wording)) = (restart.run_off_s, &book.wording.run_off) {
        sentences.push(fill(wording, &[("seconds", &seconds.to_string())]));
    }
    sentences.push(next(book, names, &restart.after));
    if ruling.won.is_some() {
        let team = at_snap_coach(ruling, at_snap, &restart.after);
        let wording = if ruling.price.timeout { &book.wording.charged } else { &book.wording.not_charged };
        if let Some(team) = team {
            sentences.push(fill(wording, &[("team", names.teams.of(team))]));
        }
    }
    Words {
        announcement: sentences.join(" "),
        clock: clock(book, at_snap, restart.after.clock_ms, restart.clock_starts),
        chains: chains(book, names, &restart.after),
    }
}

/// Whose challenge it was: the team whose count of challenges went up.
fn at_snap_coach(ruling: &Ruling<'_>, before: &Situation, after: &Situation) -> Option<Team> {
    ruling.won?;
    let used = |situation: &Situation, team| situation.challenges.of(team).used;
    [Team::Home, Team::Away].into_iter().find(|team| used(after, *team) > used(before, *team))
}

fn outcome(book: &Book, question: &Question<'_>, outcome: Outcome, finding: Option<usize>) -> String {
    let call = question.tree.calls[question.call].says.as_str();
    let says = finding.map(|index| question.tree.findings[index].says.as_str());
    let wording = &book.wording;
    match outcome {
        Outcome::Confirmed => match says {
            Some(finding) => fill(&wording.confirmed, &[("call", call), ("finding", finding)]),
            None => fill(&wording.stands, &[("call", call), ("reason", &wording.not_proven)]),
        },
        Outcome::Reversed => {
            fill(&wording.reversed, &[("call", call), ("finding", says.unwrap_or("the call was wrong"))])
        }
        Outcome::Stands(why) => {
            let stance = question.stance(book);
            let bar = finding.and_then(|index| stance.bar(index));
            let reason = match why {
                Why::NotProven => wording.not_proven.clone(),
                Why::NotShared => wording.not_shared.clone(),
                Why::LeftToReferee => match says {
                    Some(says) => format!("{says}. {}", fill(&wording.left_to_referee, &[])),
                    None => wording.left_to_referee.clone(),
                },
                Why::Barred => match (says, bar) {
                    (Some(says), Some(bar)) => format!("{says}, and {}", bar.because),
                    (_, Some(bar)) => bar.because.clone(),
                    (_, None) => wording.not_shared.clone(),
                },
            };
            fill(&wording.stands, &[("call", call), ("reason", &reason)])
        }
    }
}

fn next(book: &Book, names: &Names, after: &Situation) -> String {
    let team = names.teams.of(after.offense).as_str();
    match after.next {
        Next::Scrimmage { down, to_go } => fill(
            &book.wording.next_down,
            &[
                ("team", team),
                ("down", ordinal(down)),
                ("distance", &distance(book, after, to_go)),
                ("spot", &spot(book, names, after, after.spot)),
            ],
        ),
        Next::Try => fill(&book.wording.next_try, &[("team", team)]),
        Next::FreeKick => fill(&book.wording.next_free_kick, &[("team", team)]),
    }
}

fn clock(book: &Book, at_snap: &Situation, clock_ms: i64, starts: Option<ClockStart>) -> String {
    let starts = match starts {
        Some(ClockStart::Snap) => &book.wording.on_snap,
        Some(ClockStart::Ready) => &book.wording.on_ready,
        None => &book.wording.untimed,
    };
    if clock_ms == at_snap.clock_ms {
        return fill(&book.wording.clock_as_is, &[("starts", starts)]);
    }
    fill(&book.wording.clock, &[("clock", &clock_text(clock_ms)), ("starts", starts)])
}

fn chains(book: &Book, names: &Names, after: &Situation) -> String {
    match after.next {
        Next::Scrimmage { down, to_go } => fill(
            &book.wording.chains,
            &[
                ("down", ordinal(down)),
                ("distance", &distance(book, after, to_go)),
                ("spot", &spot(book, names, after, after.spot)),
                ("line", &spot(book, names, after, after.spot + to_go)),
            ],
        ),
        Next::Try | Next::FreeKick => book.wording.chains_off.clone(),
    }
}

/// "first", "second"; plain numbers beyond what any game has.
fn ordinal(down: u8) -> &'static str {
    match down {
        1 => "first",
        2 => "second",
        3 => "third",
        4 => "fourth",
        5 => "fifth",
        _ => "next",
    }
}

fn distance(book: &Book, after: &Situation, to_go: Yards) -> String {
    if after.spot + to_go >= book.field.length { "goal".to_owned() } else { to_go.to_string() }
}

/// A spot as the crew says it: the team whose half it is, and the yard line.
pub fn spot(book: &Book, names: &Names, situation: &Situation, spot: Yards) -> String {
    let length = book.field.length;
    let half = length.half();
    if spot == half {
        return half.to_string();
    }
    if spot >= length {
        return "goal line".to_owned();
    }
    let (team, yards) =
        if spot < half { (situation.offense, spot) } else { (situation.offense.other(), length - spot) };
    format!("{} {yards}", names.short.of(team))
}

/// `4:41`, or `4:41.3` where tenths matter.
pub fn clock_text(clock_ms: i64) -> String {
    let (minutes, rest) = (clock_ms / 60_000, clock_ms % 60_000);
    let (seconds, tenths) = (rest / 1000, rest % 1000 / 100);
    if tenths == 0 { format!("{minutes}:{seconds:02}") } else { format!("{minutes}:{seconds:02}.{tenths}") }
}
