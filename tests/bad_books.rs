//! Every defect that a rule book can have: where it is shown, in which words, and what help is given.
//!
//! `tests/bad-books/base` is a sound book. Each file beside it is one defect: the lines that it changes in the
//! base (`-` for what stands there once, `+` for what is written instead; `new` and `gone` for whole files), an
//! empty line, and the whole output.

use proptest::prelude::*;
use rules::book::defect::{Defect, Kind};
use rules::book::load::load;
use rules::book::shipped;
use rules::book::text::{Source, Sources, Span};
use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;
use testing::repeatable;

type Files = BTreeMap<String, String>;

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/bad-books")
}

fn read(path: &Path) -> String {
    fs::read_to_string(path).unwrap_or_else(|error| panic!("{}: {error}", path.display()))
}

fn base() -> Files {
    let named = |name: &str| (name.to_owned(), read(&folder().join("base").join(name)));
    ["book.ron", "catch.ron", "start.ron", "words/en.ron"].map(named).into()
}

fn sources(files: &Files) -> Sources {
    let source = |(path, text): (&String, &String)| Source { path: path.clone(), text: text.clone() };
    Sources::new(files.iter().map(source).collect())
}

/// Every defect in the form of the examples.
fn report(files: &Files) -> String {
    let sources = sources(files);
    let place = |at: Span| match sources.files().get(at.file) {
        Some(file) => format!("{}:{}", file.path, sources.position(at)),
        None => "no file".to_owned(),
    };
    let mut said = String::new();
    for defect in load("base", &sources).err().into_iter().flatten() {
        let Defect { kind, at, message, beside, help } = &defect;
        let mut line = |text: String| writeln!(said, "{text}").expect("a string takes every text");
        line(format!("{}: {}: {message}", place(*at), kind.name()));
        beside.iter().for_each(|(at, says)| line(format!("  beside {}: {says}", place(*at))));
        help.iter().for_each(|help| line(format!("help: {help}")));
    }
    said
}

/// The base with the changes of one example.
fn changed(name: &str, changes: &str) -> Files {
    let mut files = base();
    let mut file = String::new();
    let (mut was, mut now) = (Vec::new(), Vec::new());
    let mut lines = changes.lines().peekable();
    while let Some(line) = lines.next() {
        match line.split_once(' ') {
            Some(("-", text)) => was.push(text),
            Some(("+", text)) => now.push(text),
            Some(("gone", path)) => assert!(files.remove(path).is_some(), "{name}: {path} is in the base"),
            Some(("new", path)) => {
                file = path.to_owned();
                files.insert(path.to_owned(), String::new());
            }
            _ => file = line.to_owned(),
        }
        let more = |next: &&str| next.starts_with("+ ") || next.starts_with("- ") && now.is_empty();
        if lines.peek().is_some_and(more) || was.is_empty() && now.is_empty() {
            continue;
        }
        let text = files.get_mut(&file).unwrap_or_else(|| panic!("{name}: {file} is in the base"));
        let (old, new) = (was.join("\n"), now.join("\n"));
        assert!(old.is_empty() || text.matches(&old).count() == 1, "{name}: `{old}` stands there once");
        *text = if old.is_empty() { new } else { text.replace(&old, &new) };
        (was, now) = (Vec::new(), Vec::new());
    }
    files
}

// PROPERTY: every defect of a book is shown in its place
// PROPERTY: every kind of fault is shown in its place, with its words
#[test]
fn every_defect_is_shown_in_its_place_and_in_words_for_a_rules_person() {
    let mut wrong = String::new();
    let mut names = Vec::new();
    for entry in fs::read_dir(folder()).expect("the folder of examples") {
        let path = entry.expect("an example").path();
        let Some(name) = path.file_name().and_then(|name| name.to_str()?.strip_suffix(".txt")) else {
            continue;
        };
        names.push(name.to_owned());
        let example = read(&path);
        let (changes, expected) = example.split_once("\n\n").expect("an empty line before what is said");
        let found = report(&changed(name, changes));
        if found.trim_end() != expected.trim_end() {
            write!(wrong, "\n== {name}\nexpected:\n{expected}found:\n{found}").expect("a string");
        }
    }
    assert!(wrong.is_empty(), "{wrong}");
    for kind in Kind::ALL {
        let shown = names.iter().any(|name| name.starts_with(kind.name()));
        assert!(shown, "tests/bad-books has no example of `{}`", kind.name());
    }
}

#[test]
fn check_prints_a_path_that_opens_a_count_and_no_colours_into_a_pipe() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut files = base();
    let broken = files["catch.ron"].replace("yes: Step(\"down first\")", "yes: Step(\"down frist\")");
    files.insert("catch.ron".to_owned(), broken);
    files.insert("start.ron".to_owned(), String::new());
    fs::create_dir(folder.path().join("words")).expect("a folder of words");
    for (path, text) in &files {
        fs::write(folder.path().join(path), text).expect("written");
    }
    fs::write(folder.path().join("start.ron"), b"Tree(\xff").expect("written");
    let run = |json: bool| {
        let mut command = Command::new(env!("CARGO_BIN_EXE_tellframe"));
        command.arg("check").arg(folder.path()).args(json.then_some("--json"));
        let done = command.output().expect("it runs");
        assert_eq!(done.status.code(), Some(1));
        assert!(done.stderr.is_empty(), "{}", String::from_utf8_lossy(&done.stderr));
        String::from_utf8(done.stdout).expect("text")
    };
    let (printed, shown) = (run(false), folder.path().display());
    assert!(printed.contains(&format!("--> {shown}/catch.ron:15:18\n")), "{printed}");
    assert!(printed.contains("this is not readable text"), "{printed}");
    assert!(printed.ends_with(&format!("{shown}: 2 faults in 2 files\n")), "{printed}");
    assert!(!printed.contains('\u{1b}'), "{printed}");
    let json: serde_json::Value = serde_json::from_str(&run(true)).expect("JSON");
    let defect = &json["books"][0]["faults"][0];
    assert_eq!(
        (&defect["file"], &defect["line"], &defect["column"]),
        (&"catch.ron".into(), &15.into(), &18.into())
    );
    assert_eq!(defect["help"], "did you mean `down first`?");
}

#[test]
fn the_base_of_the_examples_is_sound() {
    assert_eq!(report(&base()), "");
}

/// The only defect of the base with this text as `catch.ron`.
fn only_fault(text: &str) -> String {
    let mut files = base();
    files.insert("catch.ron".to_owned(), text.to_owned());
    let said = report(&files);
    let defects: Vec<&str> = said.lines().filter(|line| !line.starts_with("help")).collect();
    assert_eq!(defects.len(), 1, "{defects:?}");
    defects[0].to_owned()
}

#[test]
fn a_file_that_is_no_book_has_one_clear_fault() {
    let deep = format!("Tree({}", "[".repeat(100_000));
    let rubbish: String = (0..4_000_u32).filter_map(|byte| char::from_u32(byte * 7_919 % 256)).collect();
    for (text, said) in [
        ("", "catch.ron:1:1: syntax: the file is empty"),
        ("  // nothing\n", "catch.ron:1:1: syntax: the file is empty"),
        ("\u{fffd}\u{fffd}", "catch.ron:1:1: syntax: this is not readable text"),
        (rubbish.as_str(), "catch.ron:1:1: syntax: this is not readable text"),
        (deep.as_str(), "catch.ron:1:45: syntax: brackets are nested too deep"),
        (
            &" ".repeat(10_000_000),
            "catch.ron:1:1: too-many: the file has 10000000 bytes, and a file of a book has at most 1000000",
        ),
    ] {
        assert_eq!(only_fault(text), said);
    }
}

#[test]
fn line_ends_of_any_editor_and_signs_of_any_language_are_read() {
    let catch = &base()["catch.ron"];
    for text in [
        catch.replace('\n', "\r\n"),
        format!("\u{feff}{catch}"),
        catch.replace("Firm control", "Fester Griff, 确实, наверняка"),
    ] {
        let mut files = base();
        files.insert("catch.ron".to_owned(), text.clone());
        assert_eq!(report(&files), "");
        // The place of a defect behind it is the same as ever.
        files
            .insert("catch.ron".to_owned(), text.replace("no: Find(\"incomplete\"),", "no: Find(\"drop\"),"));
        let said = report(&files);
        assert!(said.starts_with("catch.ron:15:42: unknown-name: there is no finding `drop`"), "{said}");
        assert!(said.contains("catch.ron:21:40: unknown-name: there is no finding `drop`"), "{said}");
    }
}

/// Edits as by hand: something removed, repeated or replaced.
fn mutate(text: &str, edits: &[(prop::sample::Index, u8, usize)]) -> String {
    const PUT: [&str; 12] = ["", "(", ")", "\"", "[", "}", ",", ":", "\u{201c}", "\\", "-1", "\r\n"];
    let mut letters: Vec<char> = text.chars().collect();
    for (at, what, length) in edits {
        let at = at.index(letters.len());
        let end = (at + length).min(letters.len());
        let taken: String = letters[at..end].iter().collect();
        let put = PUT[usize::from(*what) % PUT.len()];
        let new = if *what > 200 { taken.repeat(2) } else { put.to_owned() };
        letters.splice(at..end, new.chars());
    }
    letters.into_iter().collect()
}

proptest! {
    #![proptest_config(repeatable(300))]

    #[test]
    fn a_damaged_book_is_refused_or_read_and_never_a_panic(
        which in any::<prop::sample::Index>(),
        edits in prop::collection::vec((any::<prop::sample::Index>(), any::<u8>(), 0_usize..30), 1..5),
    ) {
        let shipped = shipped::sources("saltmarsh").expect("it ships");
        let mut files = shipped.files().to_vec();
        files.retain(|file| !file.path.starts_with("cases/"));
        let file = which.index(files.len());
        files[file].text = mutate(&files[file].text, &edits);
        let sources = Sources::new(files);
        let defects: Vec<Defect> = load("saltmarsh", &sources).err().into_iter().flatten().collect();
        prop_assert!(defects.len() < 200, "{} faults", defects.len());
        for defect in &defects {
            let spans = defect.beside.iter().map(|(at, _)| *at).chain([defect.at]);
            for at in spans {
                let text = &sources.files().get(at.file).expect("a file of the book").text;
                prop_assert!(text.get(at.start..at.end).is_some(), "{:?} of {}", at, defect.line(&sources));
            }
            let leaks = defect.message.contains('\u{1}') || defect.message.contains("Expected");
            prop_assert!(!leaks, "{}", defect.message);
        }
    }
}
