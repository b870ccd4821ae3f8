//! A line in the plain form that programs write, read in one pass without a general reader of JSON.
//!
//! A line that is written otherwise, or is no record, is left to serde, which reads the same fields (`slim`) and says
//! what is wrong: a line means the same whichever way it was read.

use super::PHASES;
use super::cursor::Cursor;
use super::slim::{Flagged, Given, Mark, Pairs, Phases, Place, Proof, Slim, Text, Yard, joined};
use crate::wire::case::Who;
use serde::Deserialize;
use serde::de::value::{BorrowedStrDeserializer, Error};
use serde_json::Value;
use std::borrow::Cow;

/// What was found of a line so far; a field that may be null is there even then, so that none is taken twice.
#[derive(Default)]
struct Found<'a> {
    id: Option<Text<'a>>,
    review: Option<Option<Text<'a>>>,
    edition: Option<Text<'a>>,
    book: Option<Option<Text<'a>>>,
    game: Option<Option<Text<'a>>>,
    week: Option<Option<u32>>,
    play: Option<Option<Text<'a>>>,
    initiator: Option<Option<Who>>,
    official: Option<Option<Text<'a>>>,
    situation: Option<Option<Place>>,
    tree: Option<Text<'a>>,
    call: Option<Text<'a>>,
    whistle: Option<Option<Text<'a>>>,
    answers: Option<Pairs<'a, Given<'a>>>,
    proofs: Option<Option<Pairs<'a, Proof<'a>>>>,
    marks: Option<Vec<Mark<'a>>>,
    fouls: Option<Vec<Flagged<'a>>>,
    finding: Option<Option<Text<'a>>>,
    established: Option<Option<bool>>,
    outcome: Option<Text<'a>>,
    moot: Option<bool>,
    won: Option<Option<bool>>,
    called_at: Option<Text<'a>>,
    phases_s: Option<Option<Phases>>,
    duration_s: Option<Option<f64>>,
    cut_short: Option<bool>,
    overrides: Option<Vec<Value>>,
    grade: Option<Value>,
    review_grade: Option<Value>,
    plain: Option<Value>,
    again_of: Option<Option<Text<'a>>>,
}

/// The fields of a line, if it is a record in the plain form.
pub(super) fn slim(line: &[u8]) -> Option<Slim<'_>> {
    let mut cursor = Cursor::new(std::str::from_utf8(line).ok()?);
    let mut found = Found::default();
    cursor.object(|cursor, key| found.take(cursor, key))?;
    if cursor.peek().is_some() { None } else { found.slim() }
}

impl<'a> Found<'a> {
    fn take(&mut self, from: &mut Cursor<'a>, key: &str) -> Option<()> {
        match key {
            "id" => once(&mut self.id, text(from)?),
            "review" => once(&mut self.review, from.or_null(text)?),
            "edition" => once(&mut self.edition, text(from)?),
            "book" => once(&mut self.book, from.or_null(text)?),
            "game" => once(&mut self.game, from.or_null(text)?),
            "week" => {
                once(&mut self.week, from.or_null(|from| from.whole().and_then(|week| week.try_into().ok()))?)
            }
            "play" => once(&mut self.play, from.or_null(text)?),
            "initiator" => once(&mut self.initiator, from.or_null(closed)?),
            "official" => once(&mut self.official, from.or_null(text)?),
            "situation" => once(&mut self.situation, from.or_null(place)?),
            "tree" => once(&mut self.tree, text(from)?),
            "call" => once(&mut self.call, text(from)?),
            "whistle" => once(&mut self.whistle, from.or_null(text)?),
            "answers" => once(&mut self.answers, pairs(from, given)?),
            "proofs" => once(&mut self.proofs, from.or_null(|from| pairs(from, proof))?),
            "marks" => once(&mut self.marks, from.list(mark)?),
            "fouls" => once(&mut self.fouls, from.list(flagged)?),
            "finding" => once(&mut self.finding, from.or_null(text)?),
            "established" => once(&mut self.established, from.or_null(Cursor::boolean)?),
            "outcome" => once(&mut self.outcome, text(from)?),
            "moot" => once(&mut self.moot, from.boolean()?),
            "won" => once(&mut self.won, from.or_null(Cursor::boolean)?),
            "called_at" => once(&mut self.called_at, text(from)?),
            "phases_s" => once(&mut self.phases_s, from.or_null(phases)?),
            "duration_s" => once(&mut self.duration_s, from.or_null(Cursor::number)?),
            "cut_short" => once(&mut self.cut_short, from.boolean()?),
            "overrides" => once(&mut self.overrides, from.list(value)?),
            "grade" => once(&mut self.grade, value(from)?),
            "review_grade" => once(&mut self.review_grade, value(from)?),
            "plain" => once(&mut self.plain, value(from)?),
            "again_of" => once(&mut self.again_of, from.or_null(text)?),
            _ => from.skip(),
        }
    }

    fn slim(self) -> Option<Slim<'a>> {
        Some(Slim {
            id: self.id?,
            review: self.review.flatten(),
            edition: self.edition?,
            book: self.book.flatten(),
            game: self.game.flatten(),
            week: self.week.flatten(),
            play: self.play.flatten(),
            initiator: self.initiator.flatten(),
            official: self.official.flatten(),
            situation: self.situation.flatten(),
            tree: self.tree?,
            call: self.call?,
            whistle: self.whistle.flatten(),
            answers: self.answers?,
            proofs: self.proofs.flatten(),
            marks: self.marks.into_iter().flatten().collect(),
            fouls: self.fouls.into_iter().flatten().collect(),
            finding: self.finding.flatten(),
            established: self.established.flatten(),
            outcome: self.outcome?,
            moot: self.moot.unwrap_or(false),
            won: self.won.flatten(),
            called_at: self.called_at?,
            phases_s: self.phases_s.flatten(),
            duration_s: self.duration_s?,
            cut_short: self.cut_short.unwrap_or(false),
            overrides: self.overrides.into_iter().flatten().collect(),
            grade: self.grade.unwrap_or(Value::Null),
            review_grade: self.review_grade.unwrap_or(Value::Null),
            plain: self.plain.unwrap_or(Value::Null),
            again_of: self.again_of.flatten(),
        })
    }
}

/// Keeps a value; none if there is one already.
fn once<T>(place: &mut Option<T>, value: T) -> Option<()> {
    place.replace(value).is_none().then_some(())
}

fn text<'a>(from: &mut Cursor<'a>) -> Option<Text<'a>> {
    from.string().map(|text| Text(Cow::Borrowed(text)))
}

/// A word of a closed set.
fn closed<'a, T: Deserialize<'a>>(from: &mut Cursor<'a>) -> Option<T> {
    T::deserialize(BorrowedStrDeserializer::<Error>::new(from.string()?)).ok()
}

fn value(from: &mut Cursor<'_>) -> Option<Value> {
    serde_json::from_str(from.raw()?).ok()
}

fn yard(from: &mut Cursor<'_>) -> Option<Yard> {
    if from.peek()? == b'"' { closed(from) } else { from.number().map(Yard) }
}

fn pairs<'a, T>(from: &mut Cursor<'a>, read: impl Fn(&mut Cursor<'a>) -> Option<T>) -> Option<Pairs<'a, T>> {
    let mut pairs = Vec::with_capacity(4);
    from.object(|from, key| {
        pairs.push((Text(Cow::Borrowed(key)), read(from)?));
        Some(())
    })?;
    Some(Pairs(pairs))
}

fn place(from: &mut Cursor<'_>) -> Option<Place> {
    let (mut down, mut to_go, mut spot, mut offense) = (None, None, None, None);
    from.object(|from, key| match key {
        "down" => once(&mut down, from.or_null(|from| from.whole().and_then(|down| down.try_into().ok()))?),
        "to_go" => once(&mut to_go, from.or_null(yard)?),
        "spot" => once(&mut spot, from.or_null(yard)?),
        "offense" => once(&mut offense, from.or_null(closed)?),
        _ => from.skip(),
    })?;
    Some(Place {
        down: down.flatten(),
        to_go: to_go.flatten(),
        spot: spot.flatten(),
        offense: offense.flatten(),
    })
}

fn mark<'a>(from: &mut Cursor<'a>) -> Option<Mark<'a>> {
    let mut camera = None;
    from.object(|from, key| match key {
        "camera" => once(&mut camera, from.or_null(text)?),
        _ => from.skip(),
    })?;
    Some(Mark { camera: camera.flatten() })
}

fn flagged<'a>(from: &mut Cursor<'a>) -> Option<Flagged<'a>> {
    let (mut name, mut by) = (None, None);
    from.object(|from, key| match key {
        "name" => once(&mut name, text(from)?),
        "by" => once(&mut by, closed(from)?),
        _ => from.skip(),
    })?;
    Some(Flagged { name: name?, by: by? })
}

fn proof<'a>(from: &mut Cursor<'a>) -> Option<Proof<'a>> {
    let (mut line, mut x, mut gap_s, mut sigma, mut sigma_s) = (None, None, None, None, None);
    from.object(|from, key| match key {
        "line" => once(&mut line, from.or_null(text)?),
        "x" => once(&mut x, from.or_null(yard)?),
        "gap_s" => once(&mut gap_s, from.or_null(Cursor::number)?),
        "sigma" => once(&mut sigma, from.or_null(Cursor::number)?),
        "sigma_s" => once(&mut sigma_s, from.or_null(Cursor::number)?),
        _ => from.skip(),
    })?;
    Some(Proof {
        line: line.flatten(),
        x: x.flatten(),
        gap_s: gap_s.flatten(),
        sigma: sigma.flatten(),
        sigma_s: sigma_s.flatten(),
    })
}

fn given<'a>(from: &mut Cursor<'a>) -> Option<Given<'a>> {
    if from.peek()? == b'"' {
        return text(from).map(Given);
    }
    from.list(text).map(joined)
}

fn phases(from: &mut Cursor<'_>) -> Option<Phases> {
    let mut reached = [None; PHASES.len()];
    from.object(|from, key| {
        match PHASES.iter().zip(&mut reached).find(|(phase, _)| **phase == key) {
            Some((_, place)) => *place = from.or_null(Cursor::number)?.map(|seconds| seconds as f32),
            None => from.skip()?,
        }
        Some(())
    })?;
    Some(Phases(reached))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::audit::names::Names;
    use crate::audit::row::Row;

    const LINE: &str = r#"{"id":"r-1","review":null,"edition":"ab","week":3,"tree":"inside-line","call":"foul",
        "outcome":"stands","answers":{"toes":"no","facing":["yes","no"]},"called_at":"2026-05-09T21:42:11.204+02:00",
        "duration_s":61.5,"proofs":{"toes":{"line":"alignment line","x":"85/2","sigma":0.04},"facing":{"gap_s":-0.5}},
        "situation":{"down":4,"to_go":1.5,"spot":38.5,"offense":"away"},"marks":[{"camera":"B"},{"x":1}],
        "fouls":[{"name":"holding","by":"home"}],"phases_s":{"settled":44.0,"opened":null,"paused":1},"moot":false,
        "initiator":"coach-home","won":true,"overrides":["why"],"grade":"missed call","plain":true,"new":[1]}"#;

    /// What stands in the place of a piece of the line, besides nothing and what follows it once more.
    const PIECES: [&str; 20] = [
        "null",
        "\"\"",
        "\"yes\"",
        "[]",
        "{}",
        "0",
        "-1",
        "1.50",
        "1e2",
        "\"1/3\"",
        "true",
        ",",
        ":",
        "}",
        "\\u0041",
        "é",
        " ",
        "[\"b\",\"a\",\"b\"]",
        "12345678901234567.25",
        "1e999",
    ];

    #[test]
    fn a_line_means_the_same_whichever_way_it_is_read() {
        let places: Vec<usize> =
            LINE.match_indices(|at: char| r#",:{}[]""#.contains(at)).map(|(at, _)| at).collect();
        let mut read = 0;
        for (number, from) in places.iter().enumerate() {
            for until in places.iter().skip(number).take(5) {
                let (before, after) = (&LINE[..*from], &LINE[*until..]);
                let again = &LINE[*from..*until];
                for piece in PIECES.into_iter().chain(["", &again.repeat(2)]) {
                    let line = format!("{before}{piece}{after}");
                    let Some(slim) = slim(line.as_bytes()) else { continue };
                    let (mut here, mut there) = (Names::default(), Names::default());
                    let by_serde = serde_json::from_str(&line).and_then(|slim| Row::of(slim, &mut there));
                    let plainly = Row::of(slim, &mut here);
                    assert_eq!(plainly.is_ok(), by_serde.is_ok(), "{line}");
                    assert_eq!(plainly.as_ref().ok(), by_serde.as_ref().ok(), "{line}");
                    read += usize::from(plainly.is_ok());
                }
            }
        }
        assert!(read > 1_000, "{read}");
    }

    #[test]
    fn a_line_with_an_escape_or_in_another_form_is_left_to_the_general_reader() {
        assert!(slim(LINE.as_bytes()).is_some());
        for (plain, other) in
            [("r-1", r"r\u002d1"), ("61.5", "6.15e1"), ("\"week\":3", "\"week\":3,\"week\":3")]
        {
            assert!(slim(LINE.replace(plain, other).as_bytes()).is_none(), "{other}");
        }
        assert!(slim(b"{\"id\":\"\xff\"}").is_none() && slim(b"").is_none() && slim(b"[]").is_none());
    }
}
