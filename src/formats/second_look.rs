//! A sheet of ruled questions to be answered again, blind: what the first official was asked, and nothing of what they
//! answered.

use super::case::FlagJson;
use super::case::expect::Partial;
use super::error::Error;
use super::record::Record;
use super::settle::{Answer, read};
use review::settle::Answers;
use rules::book::tree::Tree;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// A sheet.
#[derive(Debug, Clone, PartialEq, Deserialize, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Sheet {
    /// Its name: the log knows by it what was drawn.
    pub sheet: String,
    /// What to do with it.
    pub how: String,
    /// The questions.
    pub reviews: Vec<AgainJson>,
}

/// What to do with a sheet.
pub const HOW: &str = "Look at each play and write into `answer` one of the step's options, several in brackets where \
    they are still possible, or unclear; leave empty what need not be answered. Speak with nobody about it before \
    you are done. The league's published rules prevail, and no ruling is changed by this.";

/// One question to be answered again.
#[derive(Debug, Clone, PartialEq, Deserialize, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(rename = "Again")]
pub struct AgainJson {
    /// Its number on the sheet, from 1; it says nothing of the review.
    pub number: u32,
    /// The tree's id.
    pub tree: String,
    /// The question, as the book prints it.
    pub asks: String,
    /// The rule to cite.
    pub rule: String,
    /// The situation before the play.
    pub situation: Partial,
    /// The call on the field.
    pub call: String,
    /// The moment of a whistle that came before.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub whistle: Option<String>,
    /// The crew's flags of the play.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub fouls: Vec<FlagJson>,
    /// Where the play can be seen: the pictures that the first look stopped at, without what it saw in them.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub pictures: Vec<PictureJson>,
    /// The steps, in the order of the book.
    pub steps: Vec<StepJson>,
}

/// A picture of the play.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Deserialize, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(rename = "SheetPicture")]
pub struct PictureJson {
    /// The camera.
    pub camera: String,
    /// What stands in the picture.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub timecode: Option<String>,
    /// SHA-256 of the clip's file, where the picture was marked in a clip.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub clip_sha256: Option<String>,
    /// The frame of that clip, from 0.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub frame: Option<u64>,
}

/// One step to be answered.
#[derive(Debug, Clone, PartialEq, Deserialize, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(rename = "SheetStep")]
pub struct StepJson {
    /// The step.
    pub step: String,
    /// What it asks.
    pub asks: String,
    /// What makes a good answer, where the question alone does not say it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
    /// What can be answered, besides `unclear`.
    pub options: Vec<String>,
    /// The answer; empty where there is none.
    pub answer: Answer,
}

impl AgainJson {
    /// What a sheet says of a record: nothing that its official said, or that says who they are.
    pub fn blind(number: u32, tree: &Tree, record: &Record, pictures: Vec<PictureJson>) -> AgainJson {
        let steps = tree.steps.iter().map(|step| StepJson {
            step: step.name.clone(),
            asks: step.ask.clone(),
            note: step.note.clone(),
            options: step.options.iter().map(|choice| choice.name.clone()).collect(),
            answer: Answer::One(String::new()),
        });
        AgainJson {
            number,
            tree: tree.id.clone(),
            asks: tree.title.clone(),
            rule: tree.cite.clone(),
            situation: record.situation.as_ref().map_or_else(Partial::default, |at| at.known.clone()),
            call: record.call.clone(),
            whistle: record.whistle.clone(),
            fouls: record.fouls.iter().map(|flag| flag.known.clone()).collect(),
            pictures,
            steps: steps.collect(),
        }
    }

    /// The answers that were filled in.
    pub fn filled(&self) -> Vec<&StepJson> {
        let empty = |answer: &Answer| match answer {
            Answer::One(option) => option.trim().is_empty(),
            Answer::Some(options) => options.is_empty(),
        };
        self.steps.iter().filter(|step| !empty(&step.answer)).collect()
    }

    /// The answers that were filled in, as the review knows them.
    ///
    /// # Errors
    /// Every step or option that is not known, in the order of the sheet.
    pub fn answers(&self, tree: &Tree) -> Result<Answers, Vec<Error>> {
        let pair = |step: &StepJson| (step.step.clone(), step.answer.clone());
        let filled: Vec<(String, Answer)> = self.filled().into_iter().map(pair).collect();
        let one = |pair: &(String, Answer)| read(tree, &BTreeMap::from([pair.clone()])).err();
        let wrong: Vec<Error> = filled.iter().filter_map(one).collect();
        if !wrong.is_empty() {
            return Err(wrong);
        }
        read(tree, &filled.into_iter().collect()).map_err(|wrong| vec![wrong])
    }
}
