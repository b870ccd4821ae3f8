//! `tellframe log grade|inquire|appeal|answer|grades`: what the supervisor makes of a record after the game.
//!
//! A grade never changes a ruling, and a later one never erases an earlier one.

use super::{actor, attempt, day, open, opened, refused};
use crate::cli::{Answer, Unable, print, print_json};
use clap::builder::PossibleValuesParser;
use formats::grade::{GradedJson, PlayGradeJson};
use host::data;
use log::exchange::records;
use log::streams::grades;
use log::streams::grades::Done;
use log::streams::play_grades;
use review::grade::fold::Graded;
use review::grade::text;
use review::grade::text::Official;
use review::grade::{Call, Challenged, Event, Grade, Matter, Picture, Reviewed};
use review::play_grade::Event as Play;
use serde_json::json;
use std::path::PathBuf;

/// What every act needs.
#[derive(Debug, clap::Args)]
struct Of {
    /// The record, as `log export` names it; with --play the game
    #[arg(value_name = "RECORD")]
    record: String,
    /// The log, `demo` or `season`; left out: your own
    #[arg(value_name = "LOG")]
    log: Option<PathBuf>,
    /// Your pseudonym in the log
    #[arg(long = "as", value_name = "NAME", default_value = "supervisor")]
    actor: String,
    /// Print the record's grades and letters as JSON
    #[arg(long)]
    json: bool,
}

/// Arguments of `log grade`.
#[derive(Debug, clap::Args)]
#[command(group = clap::ArgGroup::new("grade").required(true).args(["call", "position", "review", "challenge", "poor", "good"]))]
pub(super) struct GradeRecord {
    #[command(flatten)]
    of: Of,
    /// The crew's call
    #[arg(long, value_name = "GRADE", value_parser = possible_values(Call::ALL, Call::word))]
    call: Option<String>,
    /// RECORD is a game: grade the crew's call on this play of it, from 0, which was not reviewed
    #[arg(long, value_name = "N", requires = "call")]
    play: Option<usize>,
    /// Who of the crew had the call, as the league names its positions
    #[arg(long, value_name = "POSITION")]
    position: Option<String>,
    /// The review
    #[arg(long, value_name = "GRADE", value_parser = possible_values(Reviewed::ALL, Reviewed::word))]
    review: Option<String>,
    /// The challenge: plain is what a first look at full speed shows
    #[arg(long, value_name = "GRADE", value_parser = possible_values(Challenged::ALL, Challenged::word))]
    challenge: Option<String>,
    /// The picture: this camera's angle was poor
    #[arg(long, value_name = "CAMERA", requires = "sight_line")]
    poor: Option<String>,
    /// The sight line that the camera lacked
    #[arg(long, value_name = "TEXT", requires = "poor")]
    sight_line: Option<String>,
    /// The picture: every angle was good
    #[arg(long)]
    good: bool,
    /// Why; needed where the same was graded before, and for a poor angle
    #[arg(long, value_name = "TEXT", default_value = "")]
    reason: String,
}

/// Arguments of `log inquire`.
#[derive(Debug, clap::Args)]
pub(super) struct Inquire {
    #[command(flatten)]
    of: Of,
    /// The club that asks
    #[arg(long, value_name = "CLUB")]
    club: String,
    /// What it asks
    #[arg(long, value_name = "TEXT")]
    text: String,
}

/// Arguments of `log appeal`.
#[derive(Debug, clap::Args)]
pub(super) struct Appeal {
    #[command(flatten)]
    of: Of,
    /// The grade of what
    #[arg(long, value_name = "WHAT", value_parser = possible_values(Matter::ALL, Matter::word))]
    grade: String,
    /// Why it should be another
    #[arg(long, value_name = "TEXT")]
    text: String,
}

/// Arguments of `log answer`.
#[derive(Debug, clap::Args)]
pub(super) struct AnswerLetter {
    #[command(flatten)]
    of: Of,
    /// Which letter of the record: inquiries and appeals together, from 1
    #[arg(long, value_name = "N")]
    letter: u32,
    /// The answer
    #[arg(long, value_name = "TEXT")]
    text: String,
}

/// Arguments of `log grades`.
#[derive(Debug, clap::Args)]
pub(super) struct List {
    /// The log, `demo` or `season`; left out: your own
    #[arg(value_name = "LOG")]
    log: Option<PathBuf>,
    /// Only records with a letter that nobody answered
    #[arg(long)]
    open: bool,
    /// Print the result as JSON
    #[arg(long)]
    json: bool,
}

fn possible_values<T: Copy>(all: &[T], word: fn(T) -> &'static str) -> PossibleValuesParser {
    PossibleValuesParser::new(all.iter().map(|one| word(*one)).collect::<Vec<_>>())
}

/// The value of a word that clap has checked already.
fn named<T>(given: &Option<String>, of: fn(&str) -> Option<T>) -> Option<T> {
    given.as_deref().and_then(of)
}

impl GradeRecord {
    pub(super) fn run(&self, folder: &data::Folder) -> Result<Answer, Unable> {
        if let (Some(play), Some(call)) = (self.play, named(&self.call, Call::of)) {
            return self.of.play(folder, Play::Graded { play, call, reason: self.reason.clone() });
        }
        let poor = self.poor.clone().zip(self.sight_line.clone());
        let poor = poor.map(|(camera, sight_line)| Picture::Poor { camera, sight_line });
        let picture = poor.or_else(|| self.good.then_some(Picture::Good)).map(Grade::Picture);
        let grade = named(&self.call, Call::of)
            .map(Grade::Call)
            .or_else(|| self.position.clone().map(Grade::Position))
            .or_else(|| named(&self.review, Reviewed::of).map(Grade::Review))
            .or_else(|| named(&self.challenge, Challenged::of).map(Grade::Challenge))
            .or(picture);
        let grade = grade.ok_or_else(|| Unable::new("there is no grade to write"))?;
        self.of.act(folder, Event::Graded { grade, reason: self.reason.clone() })
    }
}

impl Inquire {
    pub(super) fn run(&self, folder: &data::Folder) -> Result<Answer, Unable> {
        self.of.act(folder, Event::Inquired { club: self.club.clone(), text: self.text.clone() })
    }
}

impl Appeal {
    pub(super) fn run(&self, folder: &data::Folder) -> Result<Answer, Unable> {
        let of = Matter::of(&self.grade);
        let of = of.ok_or_else(|| Unable::new(format!("`{}` is not graded", self.grade)))?;
        self.of.act(folder, Event::Appealed { of, text: self.text.clone() })
    }
}

impl AnswerLetter {
    pub(super) fn run(&self, folder: &data::Folder) -> Result<Answer, Unable> {
        self.of.act(folder, Event::Answered { letter: self.letter, text: self.text.clone() })
    }
}

impl Of {
    /// Writes the event; one that is refused is an answer, and nothing is written.
    fn act(&self, folder: &data::Folder, event: Event) -> Result<Answer, Unable> {
        let actor = actor("--as", &self.actor)?;
        let mut log = opened(self.log.as_deref(), folder)?;
        let known = records::all(log.reader())?;
        if !known.iter().any(|record| record.id == self.record) {
            let path = log.reader().path().display();
            return Err(Unable::new(format!("there is no record `{}` in {path}", self.record))
                .help("`tellframe log export` writes all records with their ids"));
        }
        match grades::act(&mut log, &actor, &attempt("grade")?, &self.record, event)? {
            Done::No(no) => Ok(refused(&[no])),
            Done::Graded(graded) if self.json => print_json(&GradedJson::of(&self.record, &graded)),
            Done::Graded(graded) => print(grades_text(&self.record, &graded).trim_end()),
        }
    }

    /// As `act`, for a play of a game.
    fn play(&self, folder: &data::Folder, event: Play) -> Result<Answer, Unable> {
        let actor = actor("--as", &self.actor)?;
        let mut log = opened(self.log.as_deref(), folder)?;
        if let play_grades::Done::No(no) =
            play_grades::act(&mut log, &actor, &attempt("grade")?, &self.record, event)?
        {
            return Ok(refused(&[no]));
        }
        let grades = play_grades::of(log.reader(), &self.record)?;
        match self.json {
            true => print_json(&json!({"game": self.record, "grades": PlayGradeJson::all(&grades)})),
            false => print(&format!("{}{}", self.record, day::grades(&grades))),
        }
    }
}

impl List {
    pub(super) fn run(&self, folder: &data::Folder) -> Result<Answer, Unable> {
        let all = grades::all(&open(self.log.as_deref(), folder)?)?;
        let waits = |one: &Graded| one.letters.iter().any(|letter| letter.answer.is_none());
        let all = || all.iter().filter(|(_, graded)| !self.open || waits(graded));
        if self.json {
            return print_json(&all().map(|(id, graded)| GradedJson::of(id, graded)).collect::<Vec<_>>());
        }
        match all().map(|(id, graded)| grades_text(id, graded)).collect::<String>() {
            none if none.is_empty() => print("no grades"),
            told => print(told.trim_end()),
        }
    }
}

fn grades_text(record: &str, graded: &Graded) -> String {
    let mut text = format!("{record}\n");
    text::grades(graded, Official::Named).for_each(|grade| text += &format!("  {grade}\n"));
    for (number, letter) in (1..).zip(&graded.letters) {
        text += &format!("  letter {number}: {}\n", text::letter(letter, Official::Named));
        text += &format!("    {}\n", text::answer(letter));
    }
    text
}
