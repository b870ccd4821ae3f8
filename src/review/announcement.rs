//! The words of a ruling: for the public, for the crew, for the log.
//!
//! A referee speaks to a hall: whole yards and seconds, one reason a call, in the order of [`public`]. What only the crew
//! needs, and exact figures, are in the texts for the crew and for the log. Every sentence is the book's.

mod crew;
mod fouls;
mod public;

use super::event::Texts;
use super::ruling::{Question, Ruling};
use field::Field;
use field::exact::Yards;
use rules::book::Book;
use rules::book::words::{Say, Words};
use rules::game::situation::{ByTeam, ClockStart, Situation, Team};

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

/// What is said in one language.
#[derive(Clone, Copy)]
struct Speaker<'a> {
    book: &'a Book,
    words: &'a Words,
    names: &'a Names,
}

/// A ruling to speak of.
#[derive(Clone, Copy)]
struct Spoken<'a, 'b> {
    questions: &'a [Question<'b>],
    ruling: &'a Ruling<'b>,
    /// What the game clock shows until somebody sets it.
    shown_ms: i64,
}

impl<'a> Speaker<'a> {
    /// In the book's first language, in which the crew is told.
    fn first(book: &'a Book, names: &'a Names) -> Speaker<'a> {
        Speaker { book, words: book.first_words(), names }
    }

    fn say(self, say: Say, places: &[(&str, &str)]) -> String {
        self.words.say(say, places)
    }

    fn team(self, team: Team) -> &'a str {
        self.names.teams.of(team)
    }
}

/// The texts for a ruling; `shown_ms` is what the game clock shows until somebody sets it.
pub fn texts(
    book: &Book,
    names: &Names,
    shown_ms: i64,
    questions: &[Question<'_>],
    ruling: &Ruling<'_>,
) -> Texts {
    let spoken = Spoken { questions, ruling, shown_ms };
    let public = |words| Speaker { book, words, names }.public(spoken);
    let first = Speaker::first(book, names);
    let restart = &ruling.restart;
    Texts {
        announcement: book.words.iter().map(public).collect::<Vec<_>>().join("\n"),
        crew: first.crew(spoken),
        clock: clock(book, shown_ms, restart.after.clock_ms, restart.clock_starts),
        chains: first.chains(&restart.after),
        log: first.log(spoken),
    }
}

/// What the challenge costs the coach, in the book's words; `None` where no coach challenged.
pub fn price(book: &Book, names: &Names, ruling: &Ruling<'_>) -> Option<String> {
    Speaker::first(book, names).price(ruling)
}

/// What is announced of a player of this team who is disqualified, in the book's words: `player` as "linebacker 54".
pub fn disqualified(book: &Book, names: &Names, team: Team, player: &str) -> String {
    let places = [("player", player), ("team", names.teams.of(team))];
    capital(&book.first_words().say(Say::Disqualified, &places))
}

/// How play resumes, as it is announced.
pub fn next(book: &Book, names: &Names, after: &Situation) -> String {
    Speaker::first(book, names).next(after)
}

/// How play resumes, with the exact distance and spot: for those who decide, not for the public.
pub fn next_exactly(book: &Book, names: &Names, after: &Situation) -> String {
    Speaker::first(book, names).next_exactly(after)
}

/// What the clock operator does; `shown_ms` is what the clock shows until somebody sets it.
pub fn clock(book: &Book, shown_ms: i64, clock_ms: i64, starts: Option<ClockStart>) -> String {
    let words = book.first_words();
    let starts = start(words, starts);
    if clock_ms == shown_ms {
        return words.say(Say::LeaveClock, &[("starts", &starts)]);
    }
    words.say(Say::SetClock, &[("clock", &clock_text(clock_ms)), ("starts", &starts)])
}

/// How the clock starts.
fn start(words: &Words, starts: Option<ClockStart>) -> String {
    let say = match starts {
        Some(ClockStart::Snap) => Say::OnSnap,
        Some(ClockStart::Ready) => Say::OnReady,
        None => Say::Untimed,
    };
    words.say(say, &[])
}

/// A sentence with a capital first letter.
pub fn capital(sentence: &str) -> String {
    let mut letters = sentence.chars();
    letters.next().map_or(String::new(), |first| first.to_uppercase().chain(letters).collect())
}

/// A spot in the crew's form: the team whose half it is in, and the exact yard line.
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
