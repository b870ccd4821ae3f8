//! The text of an edition as the log keeps it: its rule files as one canonical JSON text.
//!
//! ```json
//! {"book": "saltmarsh", "files": {"book.ron": "…", "inside-line.ron": "…"}}
//! ```
//!
//! From it the edition's hash can be worked out again, by `book::edition`, and every old ruling be replayed
//! under the very rules that it was made with. Case plays are no rules and are left out; line ends are LF.

use crate::chain::canonical;
use crate::chain::hash::Hash;
use rules::book::defect::Defect;
use rules::book::edition::{Edition, is_rule};
use rules::book::text::{Source, Sources};
use rules::book::{Book, load};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// The rules of one edition of one book.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RuleText {
    book: String,
    sources: Sources,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Written {
    book: String,
    files: BTreeMap<String, String>,
}

/// A text that is not an edition's.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("not the text of a rule book's edition: {0}")]
pub struct RuleTextError(String);

impl RuleText {
    /// The rules among the files of the book of this short name.
    pub fn of(book: &str, sources: &Sources) -> RuleText {
        let lf = |file: &Source| Source { path: file.path.clone(), text: file.text.replace("\r\n", "\n") };
        let files = sources.files().iter().filter(|file| is_rule(file)).map(lf).collect();
        RuleText { book: book.to_owned(), sources: Sources::new(files) }
    }

    /// Reads a stored text.
    ///
    /// # Errors
    /// [`RuleTextError`] for a text of another shape.
    pub fn read(text: &str) -> Result<RuleText, RuleTextError> {
        let Written { book, files } = serde_json::from_str(text).map_err(|e| RuleTextError(e.to_string()))?;
        let files = files.into_iter().map(|(path, text)| Source { path, text }).collect();
        Ok(RuleText { book, sources: Sources::new(files) })
    }

    /// The text to store.
    pub fn text(&self) -> String {
        let file = |file: &Source| (file.path.clone(), file.text.clone());
        let written =
            Written { book: self.book.clone(), files: self.sources.files().iter().map(file).collect() };
        let value = serde_json::to_value(written).expect("texts are JSON");
        let bytes = canonical::bytes(&value).expect("there is no number in it");
        String::from_utf8(bytes).expect("canonical JSON is UTF-8")
    }

    /// The book's short name.
    pub fn book(&self) -> &str {
        &self.book
    }

    /// The text of one of its files.
    pub fn file(&self, path: &str) -> Option<&str> {
        self.sources.files().iter().find(|file| file.path == path).map(|file| file.text.as_str())
    }

    /// The edition that these files are.
    pub fn edition(&self) -> Edition {
        Edition::of(&self.sources)
    }

    /// The edition's hash.
    pub fn hash(&self) -> Hash {
        Hash::from(*self.edition().as_bytes())
    }

    /// The book, checked.
    ///
    /// # Errors
    /// The faults that this program finds in it.
    pub fn load(&self) -> Result<Book, Vec<Defect>> {
        load::kept(&self.book, &self.sources)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::chain::entry::{Act, Beside, NewEntry};
    use crate::chain::label::{Actor, CommandId, Kind};
    use crate::chain::sign::Key;
    use crate::store::log::Log;
    use crate::store::unverified::Unverified;
    use crate::store::verify::{Trust, Verdict, verify};
    use review::stamp::Stamp;
    use rules::book::shipped;
    use serde_json::json;

    #[test]
    fn the_stored_text_gives_the_edition_and_the_book_again() {
        let sources = shipped::sources("saltmarsh").expect("it is in the program");
        let rules = RuleText::of("saltmarsh", &sources);
        let read = RuleText::read(&rules.text()).expect("its own text");
        assert_eq!(read, rules);
        assert_eq!(read.edition(), Edition::of(&sources));
        assert_eq!(read.load().expect("it is sound").edition, Edition::of(&sources));
        assert!(!rules.text().contains("\"cases/"));
    }

    #[test]
    fn what_is_no_edition_is_refused() {
        for text in ["", "the book", "{}", r#"{"book": "x", "files": {"a.ron": 3}}"#] {
            assert!(RuleText::read(text).is_err(), "{text}");
        }
    }

    /// Such an entry cannot be made with `edition_stored`; another program could write it.
    #[test]
    fn a_text_of_another_edition_is_found() {
        let folder = tempfile::tempdir().expect("a folder");
        let at = Stamp { utc_ms: 0, boot_ms: 0, boot: "b-1".to_owned() };
        let act = Act { actor: Actor::new("booth-07").expect("a label"), review: None, at };
        let path = folder.path().join("log.sqlite");
        let mut log = Log::create(&path, Key::from_seed(&[7; 32]), act.clone()).expect("made");
        let sources = shipped::sources("saltmarsh").expect("it is in the program");
        let (claimed, text) = (Hash::of(b"x"), RuleText::of("saltmarsh", &sources).text());
        let body = json!({"edition": claimed.to_string(), "text": Hash::of(text.as_bytes()).to_string()});
        let kind = Kind::new("edition stored").expect("a label");
        let beside = vec![Beside::Edition { edition: claimed, text }];
        let head = log.reader().tip().expect("read").head;
        let command = CommandId::new("c-1").expect("a label");
        log.append(head, &command, &[NewEntry { kind, act, number: None, body, beside }]).expect("appended");
        let unverified = Unverified::open(&path).expect("a log");
        let Ok(Verdict::Broken(broken)) = verify(&unverified, &Trust::OwnKeys, None) else {
            panic!("the text is that of another edition")
        };
        assert_eq!(
            broken.to_string(),
            format!("entry 2 is not borne out: the text of the edition {claimed} is that of another one")
        );
    }
}
