//! The fields of a line that the audit reads, borrowed from the line.

use super::cursor::Cursor;
use super::{Measured, OR, Phases};
use crate::sample::interner::{Name, Names};
use field::exact::Yards;
use formats::case::{PartJson, Who};
use formats::record::times;
use formats::situation::Side;
use rules::book::effect::Part;
use rules::book::line::Snap;
use rules::game::situation::Team;
use serde::Deserialize;
use serde::de::{self, Deserializer, Error as _, Visitor};
use serde_json::{Error, Value};
use std::borrow::Cow;
use std::fmt;

/// A text that is borrowed from the line, unless it has escapes.
type Text<'a> = Cow<'a, str>;

/// The fields of a line that are read; what is `null` is not there.
#[derive(Default)]
pub(super) struct Slim<'a> {
    pub(super) id: Option<Text<'a>>,
    pub(super) review: Option<Text<'a>>,
    pub(super) edition: Option<Name>,
    pub(super) book: Option<Name>,
    pub(super) game: Option<Name>,
    pub(super) week: Option<u32>,
    pub(super) play: Option<Text<'a>>,
    pub(super) initiator: Option<Who>,
    pub(super) official: Option<Name>,
    /// As it is written.
    pub(super) situation: Option<&'a str>,
    pub(super) tree: Option<Name>,
    pub(super) call: Option<Name>,
    pub(super) whistle: Option<Name>,
    /// As they are written.
    pub(super) answers: Option<&'a str>,
    /// The values of these three are in [`Room`].
    fouls: Option<()>,
    proofs: Option<()>,
    marks: Option<()>,
    pub(super) finding: Option<Name>,
    pub(super) established: Option<bool>,
    pub(super) outcome: Option<Name>,
    pub(super) moot: Option<bool>,
    pub(super) won: Option<bool>,
    pub(super) called_at: Option<Text<'a>>,
    pub(super) phases_s: Option<Phases>,
    /// It may be `null`, but not left out.
    pub(super) duration_s: Option<Option<f64>>,
    pub(super) cut_short: Option<bool>,
    pub(super) overrides: Option<Vec<Value>>,
    pub(super) grade: Option<Name>,
    pub(super) crew_position: Option<Name>,
    pub(super) review_grade: Option<Name>,
    pub(super) plain: Option<Value>,
    pub(super) again_of: Option<Text<'a>>,
}

/// The lists of a line, in buffers that are reused for the next.
#[derive(Debug, Default)]
pub(super) struct Room {
    pub(super) flags: Vec<(Name, PartJson)>,
    pub(super) measured: Vec<Measured>,
    /// The cameras of the marks, each once.
    pub(super) cameras: Vec<Name>,
}

impl Room {
    fn clear(&mut self) {
        self.flags.clear();
        self.measured.clear();
        self.cameras.clear();
    }
}

impl<'a> Slim<'a> {
    /// The fields of a line; its names are interned in `names`, its lists put into `room`.
    ///
    /// # Errors
    /// The line is no JSON, or a field is not what it should be, or comes twice.
    pub(super) fn read(line: &'a str, names: &mut Names, room: &mut Room) -> Result<Slim<'a>, Error> {
        let (mut slim, mut at) = (Slim::default(), Cursor::of(line));
        room.clear();
        let mut record = at.object()?;
        while let Some(field) = at.field(&mut record)? {
            let taken = slim.take(&field, &mut at, names, room);
            taken.map_err(|error| Error::custom(format_args!("field `{field}`: {error}")))?;
        }
        at.end()?;
        Ok(slim)
    }

    fn take(
        &mut self,
        field: &str,
        at: &mut Cursor<'a>,
        names: &mut Names,
        room: &mut Room,
    ) -> Result<(), Error> {
        match field {
            "duration_s" => once(&mut self.duration_s, seconds(at)?),
            _ if !at.there()? => Ok(()),
            "id" => once(&mut self.id, at.text()?),
            "review" => once(&mut self.review, at.text()?),
            "edition" => once(&mut self.edition, name(at, names)?),
            "book" => once(&mut self.book, name(at, names)?),
            "game" => once(&mut self.game, name(at, names)?),
            "week" => once(&mut self.week, at.value()?),
            "play" => once(&mut self.play, at.text()?),
            "initiator" => once(&mut self.initiator, at.value()?),
            "official" => once(&mut self.official, name(at, names)?),
            "situation" => once(&mut self.situation, at.written()?),
            "tree" => once(&mut self.tree, name(at, names)?),
            "call" => once(&mut self.call, name(at, names)?),
            "whistle" => once(&mut self.whistle, name(at, names)?),
            "fouls" => once(&mut self.fouls, flags(at, names, &mut room.flags)?),
            "answers" => once(&mut self.answers, at.written()?),
            "proofs" => once(&mut self.proofs, measured(at, names, &mut room.measured)?),
            "marks" => once(&mut self.marks, cameras(at, names, &mut room.cameras)?),
            "finding" => once(&mut self.finding, name(at, names)?),
            "established" => once(&mut self.established, at.truth()?),
            "outcome" => once(&mut self.outcome, name(at, names)?),
            "moot" => once(&mut self.moot, at.truth()?),
            "won" => once(&mut self.won, at.truth()?),
            "called_at" => once(&mut self.called_at, at.text()?),
            "phases_s" => once(&mut self.phases_s, Phases::read(at)?),
            "cut_short" => once(&mut self.cut_short, at.truth()?),
            "overrides" => once(&mut self.overrides, at.value()?),
            "grade" => once(&mut self.grade, grade(at, names)?),
            "crew_position" => once(&mut self.crew_position, name(at, names)?),
            "review_grade" => once(&mut self.review_grade, grade(at, names)?),
            "plain" => once(&mut self.plain, at.value()?),
            "again_of" => once(&mut self.again_of, at.text()?),
            _ => at.pass_over(),
        }
    }
}

fn once<T>(field: &mut Option<T>, value: T) -> Result<(), Error> {
    match field.replace(value) {
        None => Ok(()),
        Some(_) => Err(Error::custom("it comes twice")),
    }
}

fn name(at: &mut Cursor<'_>, names: &mut Names) -> Result<Name, Error> {
    at.text().map(|text| names.intern(&text))
}

/// Seconds that may be `null`.
pub(super) fn seconds(at: &mut Cursor<'_>) -> Result<Option<f64>, Error> {
    at.there()?.then(|| times::time(at.value()?)).transpose()
}

/// A grade is a text; any other value counts as it is written.
fn grade(at: &mut Cursor<'_>, names: &mut Names) -> Result<Name, Error> {
    match at.is_text() {
        true => name(at, names),
        false => at.value::<Value>().map(|value| names.intern(&value.to_string())),
    }
}

fn flags(at: &mut Cursor<'_>, names: &mut Names, all: &mut Vec<(Name, PartJson)>) -> Result<(), Error> {
    let mut list = at.list()?;
    while at.item(&mut list)? {
        let (mut penalty, mut by, mut flag) = (None, None, at.object()?);
        while let Some(field) = at.field(&mut flag)? {
            match &*field {
                "name" => penalty = Some(name(at, names)?),
                "by" => by = Some(at.value()?),
                _ => at.pass_over()?,
            }
        }
        all.push(penalty.zip(by).ok_or_else(|| Error::custom("a flag needs its name and the team"))?);
    }
    Ok(())
}

/// On whom a flag is; one on the home team or the visitors needs the offense to be known.
pub(super) fn flag_on(by: PartJson, offense: Option<Side>) -> Option<Part> {
    match by {
        PartJson::Offense | PartJson::Defense => Some(by.part(Team::Home)),
        PartJson::Home | PartJson::Away => Some(by.part(offense?.into())),
    }
}

fn cameras(at: &mut Cursor<'_>, names: &mut Names, all: &mut Vec<Name>) -> Result<(), Error> {
    let mut marks = at.list()?;
    while at.item(&mut marks)? {
        let mut mark = at.object()?;
        while let Some(field) = at.field(&mut mark)? {
            if field != "camera" {
                at.pass_over()?;
            } else if at.there()? {
                let camera = name(at, names)?;
                all.extend(Some(camera).filter(|camera| !all.contains(camera)));
            }
        }
    }
    Ok(())
}

/// The proofs that are measurements.
fn measured(at: &mut Cursor<'_>, names: &mut Names, all: &mut Vec<Measured>) -> Result<(), Error> {
    let mut proofs = at.object()?;
    while let Some(step) = at.field(&mut proofs)? {
        if !at.there()? {
            continue;
        }
        let (mut line, mut place, mut gap, mut sigmas) = (None, None, None, [None; 2]);
        let mut proof = at.object()?;
        while let Some(field) = at.field(&mut proof)? {
            match &*field {
                _ if !at.there()? => {}
                "line" => line = Some(name(at, names)?),
                "x" => place = Some(at.value::<Yard>()?.0),
                "gap_s" => gap = Some(at.value()?),
                "sigma" => sigmas[0] = Some(at.value()?),
                "sigma_s" => sigmas[1] = Some(at.value()?),
                _ => at.pass_over()?,
            }
        }
        let sigma = sigmas[0].or(sigmas[1]).filter(|sigma: &f64| sigma.is_finite() && *sigma >= 0.0);
        if let Some((value, sigma)) = place.or(gap).zip(sigma) {
            all.push(Measured { step: names.intern(&step), line, value, sigma });
        }
    }
    Ok(())
}

/// Step and answer, each as one text: an option, or the options in order joined by [`OR`]. What is `null` is no answer.
///
/// # Errors
/// They are no answers.
pub(super) fn answers(written: &str) -> Result<Vec<(Text<'_>, Text<'_>)>, Error> {
    let (mut all, mut at) = (Vec::new(), Cursor::of(written));
    let mut answers = at.object()?;
    while let Some(step) = at.field(&mut answers)? {
        if !at.there()? {
            continue;
        }
        let answer = if at.is_text() {
            at.text()?
        } else {
            let mut options: Vec<String> = at.value()?;
            options.sort();
            options.dedup();
            Cow::Owned(options.join(&OR.to_string()))
        };
        all.push((step, answer));
    }
    Ok(all)
}

/// What is read of a situation: what lines depend on.
#[derive(Default)]
pub(super) struct Place {
    down: Option<u8>,
    to_go: Option<Yard>,
    spot: Option<Yard>,
    pub(super) offense: Option<Side>,
}

impl Place {
    pub(super) fn read(written: &str) -> Result<Place, Error> {
        let (mut place, mut at) = (Place::default(), Cursor::of(written));
        let mut situation = at.object()?;
        while let Some(field) = at.field(&mut situation)? {
            match &*field {
                _ if !at.there()? => {}
                "down" => place.down = Some(at.value()?),
                "to_go" => place.to_go = Some(at.value()?),
                "spot" => place.spot = Some(at.value()?),
                "offense" => place.offense = Some(at.value()?),
                _ => at.pass_over()?,
            }
        }
        Ok(place)
    }

    /// The snap, if all of it is known.
    pub(super) fn snap(&self) -> Option<Snap> {
        let exact = |yard: Option<Yard>| Yards::from_f64(yard?.0).ok();
        Some(Snap { down: self.down?, to_go: exact(self.to_go)?, spot: exact(self.spot)? })
    }
}

/// A length: a number, or a fraction as a string.
#[derive(Clone, Copy)]
struct Yard(f64);

impl<'de> Deserialize<'de> for Yard {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Yard, D::Error> {
        struct Length;
        impl Visitor<'_> for Length {
            type Value = Yard;
            fn expecting(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
                out.write_str("a length in yards, such as 38.5 or \"85/3\"")
            }
            fn visit_f64<E: de::Error>(self, value: f64) -> Result<Yard, E> {
                Ok(Yard(value))
            }
            fn visit_i64<E: de::Error>(self, value: i64) -> Result<Yard, E> {
                Ok(Yard(value as f64))
            }
            fn visit_u64<E: de::Error>(self, value: u64) -> Result<Yard, E> {
                Ok(Yard(value as f64))
            }
            fn visit_str<E: de::Error>(self, value: &str) -> Result<Yard, E> {
                value.parse::<Yards>().map(|yards| Yard(yards.as_f64())).map_err(E::custom)
            }
        }
        from.deserialize_any(Length)
    }
}
