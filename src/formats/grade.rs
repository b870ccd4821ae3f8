//! A graded record in JSON: the grades that stand and those before them, letters and their answers.

use chrono::{DateTime, SecondsFormat};
use review::grade::fold::{Given, Graded, Letter};
use review::grade::{Grade, Picture};
use review::play_grade;
use review::play_grade::fold::PlayGrades;
use review::stamp::Stamp;
use schemars::JsonSchema;
use serde::Serialize;

/// A record as it was graded.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct GradedJson {
    /// The record's id.
    pub record: String,
    /// The grade of the call that stands.
    pub grade: Option<String>,
    /// Which position of the crew had the call, as it stands.
    pub crew_position: Option<String>,
    /// The grade of the review that stands.
    pub review_grade: Option<String>,
    /// Whether a first look at full speed would have shown it.
    pub plain: Option<bool>,
    /// Every grade, in order.
    pub grades: Vec<GradeJson>,
    /// Every letter, in order; `log answer` takes its place from 1.
    pub letters: Vec<LetterJson>,
}

/// One grade.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct GradeJson {
    /// Of the `call`, the `position` of the crew that had it, the `review`, the `challenge` or the `picture`.
    pub of: &'static str,
    /// How.
    pub says: String,
    /// The camera with the poor angle.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub camera: Option<String>,
    /// The sight line that it lacked.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sight_line: Option<String>,
    /// Why; empty where nothing was written.
    pub reason: String,
    /// The pseudonym of the grader.
    pub by: String,
    /// When, in UTC.
    pub at: String,
    /// A later grade took its place.
    pub superseded: bool,
}

/// What a club or an official wrote.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct LetterJson {
    /// `club` or `official`.
    pub from: &'static str,
    /// The club.
    pub club: Option<String>,
    /// The grade of what is appealed.
    pub of: Option<&'static str>,
    /// What it says.
    pub text: String,
    /// The pseudonym of who wrote it down.
    pub by: String,
    /// When, in UTC.
    pub at: String,
    /// The answer, if there is one.
    pub answer: Option<AnswerJson>,
}

/// The answer to a letter.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct AnswerJson {
    /// What it says.
    pub text: String,
    /// By whom.
    pub by: String,
    /// When, in UTC.
    pub at: String,
}

/// A grade of the crew's call on a play that was not reviewed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct PlayGradeJson {
    /// The play's number in the game, from 0.
    pub play: usize,
    pub grade: &'static str,
    /// Why; empty where nothing was written.
    pub reason: String,
    /// The pseudonym of the grader.
    pub by: String,
    /// When, in UTC.
    pub at: String,
    /// A later grade took its place.
    pub superseded: bool,
}

impl PlayGradeJson {
    /// Every grade of a game's plays, in order.
    pub fn all(grades: &PlayGrades) -> Vec<PlayGradeJson> {
        let one = |(given, superseded): (&play_grade::fold::Given, bool)| PlayGradeJson {
            play: given.play,
            grade: given.call.word(),
            reason: given.reason.clone(),
            by: given.by.clone(),
            at: utc(&given.at),
            superseded,
        };
        grades.superseded().map(one).collect()
    }
}

impl GradedJson {
    /// A record in this form.
    pub fn of(record: &str, graded: &Graded) -> GradedJson {
        let grades = graded.grades.iter().enumerate();
        GradedJson {
            record: record.to_owned(),
            grade: graded.call().map(|call| call.word().to_owned()),
            crew_position: graded.position().map(str::to_owned),
            review_grade: graded.review().map(|review| review.word().to_owned()),
            plain: graded.plain(),
            grades: grades.map(|(number, given)| grade(given, graded.superseded(number))).collect(),
            letters: graded.letters.iter().map(letter).collect(),
        }
    }
}

fn grade(given: &Given, superseded: bool) -> GradeJson {
    let poor = match &given.grade {
        Grade::Picture(Picture::Poor { camera, sight_line }) => Some((camera.clone(), sight_line.clone())),
        Grade::Picture(Picture::Good)
        | Grade::Call(_)
        | Grade::Position(_)
        | Grade::Review(_)
        | Grade::Challenge(_) => None,
    };
    let (camera, sight_line) = poor.unzip();
    GradeJson {
        of: given.grade.matter().word(),
        says: given.grade.text(),
        camera,
        sight_line,
        reason: given.reason.clone(),
        by: given.by.clone(),
        at: utc(&given.at),
        superseded,
    }
}

fn letter(letter: &Letter) -> LetterJson {
    let answer = letter.answer.as_ref();
    LetterJson {
        from: letter.from.word(),
        club: letter.club.clone(),
        of: letter.of.map(|of| of.word()),
        text: letter.text.clone(),
        by: letter.by.clone(),
        at: utc(&letter.at),
        answer: answer.map(|a| AnswerJson { text: a.text.clone(), by: a.by.clone(), at: utc(&a.at) }),
    }
}

/// RFC 3339; empty for a time outside the calendar.
fn utc(at: &Stamp) -> String {
    let at = DateTime::from_timestamp_millis(at.utc_ms);
    at.map_or(String::new(), |at| at.to_rfc3339_opts(SecondsFormat::Millis, true))
}
