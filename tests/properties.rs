//! `docs/properties.md`: what the tests hold, said by the tests themselves.
//!
//! A line `// PROPERTY: …` above a test puts it on the page. After a change write the page anew with
//! `TELLFRAME_WRITE=1 cargo test --test behaviour properties`.

use crate::tidy::{Text, sources};
use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::path::Path;

const PAGE: &str = "docs/properties.md";
const MARK: &str = "// PROPERTY: ";

const HEAD: &str = "# Properties

Properties of tellframe, and the tests that check them. The page is generated from the lines `// PROPERTY:` above the tests
(`tests/properties.rs`), and a test fails if it is out of date. Random cases come from a fixed seed
(`tests/support/lib.rs`), so a test gives the same result every day.
";

/// Where a file belongs: its crate, or the program where it lies under `tests`, `src/cli` or `src/main.rs`.
fn part(path: &str) -> &str {
    match path.split('/').collect::<Vec<_>>()[..] {
        ["src", "cli", ..] | ["tests", ..] => "the program",
        ["src", name, _, ..] => name,
        _ => "the program",
    }
}

/// The marked tests of a file: what holds, and `path::test`.
fn marked(file: &Text) -> Vec<(String, String)> {
    let mut found = Vec::new();
    let mut waiting: Vec<&str> = Vec::new();
    for line in file.text.lines().map(str::trim_start) {
        if let Some(property) = line.strip_prefix(MARK) {
            waiting.push(property.trim());
        } else if let Some(rest) = line.strip_prefix("fn ") {
            let name: String = rest.chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect();
            let test = format!("{}::{name}", file.path);
            found.extend(waiting.drain(..).map(|property| (property.to_owned(), test.clone())));
        }
    }
    found
}

/// The page that the tests come to.
fn page(files: &[Text]) -> String {
    let mut parts: BTreeMap<&str, BTreeMap<String, Vec<String>>> = BTreeMap::new();
    for file in files {
        for (property, test) in marked(file) {
            parts.entry(part(&file.path)).or_default().entry(property).or_default().push(test);
        }
    }
    let mut page = HEAD.to_owned();
    for (part, properties) in parts {
        let _ = write!(page, "\n## {part}\n\n| property | held by |\n| --- | --- |\n");
        for (property, tests) in properties {
            let tests: Vec<String> = tests.iter().map(|test| format!("`{test}`")).collect();
            let _ = writeln!(page, "| {property} | {} |", tests.join(", "));
        }
    }
    page
}

#[test]
fn the_page_of_properties_is_what_the_tests_say() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let expected = page(&sources(root));
    if std::env::var_os("TELLFRAME_WRITE").is_some() {
        std::fs::write(root.join(PAGE), &expected).expect("the page can be written");
    }
    let stands = std::fs::read_to_string(root.join(PAGE)).expect("the page is there");
    let differs = expected.lines().zip(stands.lines()).find(|(expected, stands)| expected != stands);
    assert!(
        expected == stands,
        "{PAGE} is not what the tests say ({differs:?}): TELLFRAME_WRITE=1 cargo test --test behaviour properties"
    );
}

#[test]
fn a_marked_test_stands_on_the_page_with_its_path() {
    let text =
        "    // PROPERTY: it holds\n    #[test]\n    fn it_holds() {}\n    #[test]\n    fn another() {}\n";
    let files = [
        Text::new("src/log/tests/wal.rs", text),
        Text::new("tests/tidy.rs", "// PROPERTY: tidy\nfn it() {}"),
    ];
    let rows = "\n## log\n\n| property | held by |\n| --- | --- |\n| it holds | `src/log/tests/wal.rs::it_holds` |\n\n## the program\n\n| property | held by |\n| --- | --- |\n| tidy | `tests/tidy.rs::it` |\n";
    assert_eq!(page(&files), format!("{HEAD}{rows}"));
}
