//! The texts of a ruling: what the referee announces, what the clock operator and the chain crew do.

use super::event::Texts;
use super::ruling::{Question, Ruling};
use super::stance::{Outcome, Why};
use field::Field;
use field::exact::Yards;
use rules::book::Book;
use rules::book::wording::fill;
use rules::game::enforce::{Done, Enforced};
use rules::game::situation::{ByTeam, ClockStart, Next, Situation, Team};

/// Team names.
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

/// The texts for a ruling; `clock_ms` is what the game clock shows until somebody sets it.
pub fn texts(
    book: &Book,
    names: &Names,
    clock_ms: i64,
    questions: &[Question<'_>],
    ruling: &Ruling<'_>,
) -> Texts {
    let restart = &ruling.restart;
    let offense = ruling.offense;
    let mut sentences: Vec<String> = Vec::new();
    for (question, decided) in questions.iter().zip(&ruling.questions) {
        if !decided.moot {
            sentences.push(outcome(book, question, decided.outcome, decided.finding));
        }
    }
    sentences.extend(fouls(book, names, offense, &restart.fouls));
    if restart.after.clock_ms != clock_ms {
        sentences.push(fill(&book.wording.new_time, &[("clock", &clock_text(restart.after.clock_ms))]));
    }
    if let (Some(seconds), Some(wording)) = (restart.run_off_s, &book.wording.run_off) {
        sentences.push(fill(wording, &[("seconds", &seconds.to_string())]));
    }
    sentences.push(next(book, names, &restart.after));
    sentences.extend(price(book, names, ruling));
    Texts {
        announcement: sentences.iter().map(|sentence| capital(sentence)).collect::<Vec<_>>().join(" "),
        clock: clock(book, clock_ms, restart.after.clock_ms, restart.clock_starts),
        chains: capital(&chains(book, names, &restart.after)),
    }
}

/// What the challenge costs the coach, in the book's words; `None` where no coach challenged.
pub fn price(book: &Book, names: &Names, ruling: &Ruling<'_>) -> Option<String> {
    let team = ruling.coach?;
    let wording = if ruling.price.timeout { &book.wording.charged } else { &book.wording.not_charged };
    Some(fill(wording, &[("team", names.teams.of(team))]))
}

/// One sentence for each foul that counts or is declined, and one for all that offset.
fn fouls(book: &Book, names: &Names, offense: Team, fouls: &[Enforced]) -> Vec<String> {
    let mut sentences = Vec::new();
    for foul in fouls {
        let sentence = match foul.done {
            Done::Accepted | Done::Carried => &book.wording.foul,
            Done::Declined => &book.wording.declined,
            // Another sentence covers it: the score, or the dead ball.
            Done::ScoreCounts | Done::FellAway => continue,
            Done::Offset if sentences.contains(&book.wording.offset) => continue,
            Done::Offset => &book.wording.offset,
        };
        let side = if foul.by == offense { "offense" } else { "defense" };
        let says = book.penalties.get(&foul.name).map_or(foul.name.as_str(), |penalty| &penalty.says);
        sentences.push(fill(sentence, &[("foul", says), ("side", side), ("team", names.teams.of(foul.by))]));
    }
    sentences
}

/// Announced of a disqualified player where the book has no wording of its own.
const DISQUALIFIED: &str = "{player}, {team}, is disqualified.";

/// What is announced of a player of this team who is disqualified, in the book's words: `player` as "linebacker 54".
pub fn disqualified(book: &Book, names: &Names, team: Team, player: &str) -> String {
    let says = book.wording.disqualified.as_deref().unwrap_or(DISQUALIFIED);
    capital(&fill(says, &[("player", player), ("team", names.teams.of(team))]))
}

/// A sentence with a capital first letter.
pub fn capital(sentence: &str) -> String {
    let mut letters = sentence.chars();
    letters.next().map_or(String::new(), |first| first.to_uppercase().chain(letters).collect())
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
                    Some(says) => format!("{says}. {}", capital(&wording.left_to_referee)),
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

/// How play resumes, in the book's words.
pub fn next(book: &Book, names: &Names, after: &Situation) -> String {
    let team = names.teams.of(after.offense).as_str();
    match after.next {
        Next::Scrimmage { down, to_go } => fill(
            &book.wording.next_down,
            &[
                ("team", team),
                ("down", ordinal(down)),
                ("distance", &distance(book, after, to_go)),
                ("spot", &spot(&book.field, names, after, after.spot)),
            ],
        ),
        Next::Try => fill(&book.wording.next_try, &[("team", team)]),
        Next::FreeKick => fill(&book.wording.next_free_kick, &[("team", team)]),
    }
}

/// What the clock operator does, in the book's words; `shown_ms` is what the clock shows until somebody sets it.
pub fn clock(book: &Book, shown_ms: i64, clock_ms: i64, starts: Option<ClockStart>) -> String {
    let starts = match starts {
        Some(ClockStart::Snap) => &book.wording.on_snap,
        Some(ClockStart::Ready) => &book.wording.on_ready,
        None => &book.wording.untimed,
    };
    if clock_ms == shown_ms {
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
                ("spot", &spot(&book.field, names, after, after.spot)),
                ("line", &spot(&book.field, names, after, after.spot + to_go)),
            ],
        ),
        Next::Try | Next::FreeKick => book.wording.chains_off.clone(),
    }
}

/// "first" to "fifth", then "next".
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

/// A spot in the crew's form: the team whose half it is in, and the yard line.
pub fn spot(field: &Field, names: &Names, situation: &Situation, spot: Yards) -> String {
    let length = field.length;
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
