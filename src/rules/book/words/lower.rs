//! A file of words, checked: every sentence is there, every place in it is one that will be filled, every name is one of
//! the book.

use super::say::ALL;
use super::{Said, WORDS, Words};
use crate::book::defect::{Defect, Kind, nearest};
use crate::book::lower::report_doubles;
use crate::book::penalty::Penalty;
use crate::book::spanned::{Entries, InFile, Later, Spanned};
use crate::book::tree::Tree;
use serde::Deserialize;
use std::collections::BTreeMap;

/// English sentences for a book that brings none.
const PLAIN: &str = include_str!("plain.ron");

/// The names of a book that its words may speak of; `None` for words of any book.
#[derive(Clone, Copy)]
pub(in crate::book) struct Named<'b> {
    pub trees: &'b [Tree],
    pub penalties: &'b BTreeMap<String, Penalty>,
}

#[derive(Debug, Deserialize)]
#[serde(rename = "Words", deny_unknown_fields)]
struct RawWords<'a> {
    #[serde(borrow)]
    sentences: Entries<'a>,
    #[serde(borrow)]
    downs: Later<'a>,
    #[serde(borrow, default)]
    questions: Entries<'a>,
    #[serde(borrow, default)]
    penalties: Entries<'a>,
}

#[derive(Debug, Deserialize)]
#[serde(rename = "Said", deny_unknown_fields)]
struct RawSaid<'a> {
    #[serde(borrow, default)]
    calls: Entries<'a>,
    #[serde(borrow, default)]
    findings: Entries<'a>,
}

/// The words of a book that brings none.
pub(in crate::book) fn plain() -> Option<Words> {
    words("words/en.ron", InFile { file: 0, text: PLAIN }, None, &mut Vec::new())
}

/// The words of one file; `path` is inside the book's folder.
pub(in crate::book) fn words<'a>(
    path: &str,
    file: InFile<'a>,
    named: Option<Named<'_>>,
    defects: &mut Vec<Defect>,
) -> Option<Words> {
    let raw = file.parse::<RawWords<'a>>(file.text, defects)?;
    let mut reader = Reader { file, defects };
    let sentences = reader.sentences(&raw.sentences);
    let downs = file.parse(raw.downs.0, reader.defects);
    let mut questions = BTreeMap::new();
    report_doubles(&raw.questions, "question", file, reader.defects);
    for entry in &raw.questions.0 {
        let tree = named.map(|named| named.trees.iter().find(|tree| tree.id == entry.key.value));
        if let Some(None) = tree {
            let known = named.iter().flat_map(|named| named.trees).map(|tree| tree.id.as_str());
            reader.unknown(&entry.key, "question", known);
        }
        let Some(said) = file.parse::<RawSaid<'a>>(entry.value, reader.defects) else { continue };
        let tree = tree.flatten();
        let calls = tree.map(|tree| tree.calls.iter().map(|call| call.name.as_str()).collect());
        let findings = tree.map(|tree| tree.findings.iter().map(|found| found.name.as_str()).collect());
        let said = Said {
            calls: reader.texts(&said.calls, "call", calls),
            findings: reader.texts(&said.findings, "finding", findings),
        };
        questions.insert(entry.key.value.clone(), said);
    }
    let known = named.map(|named| named.penalties.keys().map(String::as_str).collect());
    let penalties = reader.texts(&raw.penalties, "penalty", known);
    let language = path.strip_prefix(WORDS).and_then(|name| name.strip_suffix(".ron")).unwrap_or(path);
    Some(Words { language: language.to_owned(), sentences: sentences?, downs: downs?, questions, penalties })
}

/// One file, with the defects found in it.
struct Reader<'a, 'd> {
    file: InFile<'a>,
    defects: &'d mut Vec<Defect>,
}

impl<'a> Reader<'a, '_> {
    /// All sentences; `None` if one is missing.
    fn sentences(&mut self, entries: &Entries<'a>) -> Option<BTreeMap<super::Say, String>> {
        let names = ALL.iter().map(|spoken| spoken.name).collect();
        let mut texts = self.texts(entries, "sentence", Some(names));
        let mut sentences = BTreeMap::new();
        for spoken in &ALL {
            let Some(entry) = entries.0.iter().find(|entry| entry.key.value == spoken.name) else {
                let at = entries.0.first().map_or(self.file.text, |entry| entry.key.text);
                let message = format!("the sentence `{}` is missing", spoken.name);
                let help = match spoken.places {
                    [] => format!("add `\"{}\": \"…\"`", spoken.name),
                    places => {
                        let places: Vec<String> = places.iter().map(|place| format!("{{{place}}}")).collect();
                        let places = places.join(", ");
                        format!("add `\"{}\": \"…\"`; it can have the places {places}", spoken.name)
                    }
                };
                self.defects.push(Defect::new(Kind::Syntax, self.file.span(at), message).help(help));
                continue;
            };
            let Some(text) = texts.remove(spoken.name) else { continue };
            for place in places_of(&text) {
                if !spoken.places.contains(&place) {
                    let message = format!("there is nothing to put at `{{{place}}}` in this sentence");
                    let defect = Defect::new(Kind::UnknownName, self.file.span(entry.value), message);
                    self.defects.push(defect.help(nearest(place, spoken.places.iter().copied())));
                }
            }
            sentences.insert(spoken.say, text);
        }
        (sentences.len() == ALL.len()).then_some(sentences)
    }

    /// Texts by names, which must be among the known ones.
    fn texts(
        &mut self,
        entries: &Entries<'a>,
        what: &str,
        known: Option<Vec<&str>>,
    ) -> BTreeMap<String, String> {
        report_doubles(entries, what, self.file, self.defects);
        let mut texts = BTreeMap::new();
        for entry in &entries.0 {
            if let Some(known) = known.as_ref().filter(|known| !known.contains(&entry.key.value.as_str())) {
                self.unknown(&entry.key, what, known.iter().copied());
            }
            if let Some(text) = self.file.parse::<String>(entry.value, self.defects) {
                texts.insert(entry.key.value.clone(), text);
            }
        }
        texts
    }

    fn unknown<'n>(&mut self, key: &Spanned<'_, String>, what: &str, known: impl Iterator<Item = &'n str>) {
        let message = format!("there is no {what} `{}`", key.value);
        let help = nearest(&key.value, known);
        self.defects.push(Defect::new(Kind::UnknownName, self.file.span(key.text), message).help(help));
    }
}

/// The names in braces of a sentence, in its order.
fn places_of(sentence: &str) -> impl Iterator<Item = &str> {
    sentence.split('{').skip(1).filter_map(|rest| rest.split_once('}').map(|(place, _)| place))
}
