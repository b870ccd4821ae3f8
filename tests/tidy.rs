//! What the compiler cannot hold: lengths, words, docs, where files are made, and names in the documents.
//!
//! Every rule is a function from texts to violations, so that each is tried on a text that breaks it. What
//! clippy can hold (functions of at most 70 lines and five parameters) stands in `clippy.toml`.

use std::fs;
use std::path::Path;

/// What stands nowhere: under which paths, what, and why.
const BANNED: [(&[&str], &[&str], &str); 5] = [
    (
        &["src", "tests", "benches"],
        &["mod util", "Manager", "todo!(", "unimplemented!(", "_v2", "#[ignore", "unwrap_or_default()"],
        "say what it is, finish it, or handle what failed",
    ),
    (
        &["src/field", "src/rules", "src/evidence", "src/review", "src/formats"],
        &["std::fs", "std::net", "std::env", "std::process", "getrandom", "rusqlite"],
        "this crate is pure: it takes values and gives values",
    ),
    (
        &[
            "src/field",
            "src/rules",
            "src/evidence",
            "src/review",
            "src/formats",
            "src/scene",
            "src/season",
            "src/log",
            "src/audit",
            "src/pages",
            "src/cli",
        ],
        &["Instant::", "time::Instant", "SystemTime", "Utc::now", "Local::now"],
        "only `src/host/clock.rs` reads a clock; a crate is given the time",
    ),
    (&LIBRARY, &["println!", "print!(", "dbg!("], "a library never talks to the user"),
    (
        &["src/cli", "src/desk", "src/audit", "src/pages", "src/main"],
        &["rusqlite", "SELECT ", "INSERT "],
        "SQL belongs to the log",
    ),
];

/// Where files are made in the program: only there a person's or the window's file is written. The trace (`src/cli/trace.rs`)
/// is written by the crate that turns its files over, into a folder of its own.
const MAKES_FILES: &str = "src/host/output";

/// The crates that never talk to the user. Those that write files have writers of their own: the log its
/// database, footage its small pictures.
const LIBRARY: [&str; 11] = [
    "src/field",
    "src/rules",
    "src/evidence",
    "src/footage",
    "src/review",
    "src/formats",
    "src/log",
    "src/audit",
    "src/pages",
    "src/scene",
    "src/season",
];

/// What makes a file or a folder, or gives one a name.
const MAKERS: [&str; 10] = [
    "create_dir",
    "File::create",
    "File::options",
    "OpenOptions",
    "create_new",
    "fs::write",
    "fs::copy",
    "fs::rename",
    "hard_link",
    "symlink(",
];

/// The crates under `src`, from the ground up.
const CRATES: [&str; 13] = [
    "field", "rules", "evidence", "footage", "review", "formats", "log", "audit", "pages", "scene", "season",
    "host", "desk",
];

/// The most lines of a file.
const END: usize = 600;

/// The most lines of the second reckoning of a game, its examples left out: it stays so plain that it can be read at once.
const RECKONING: usize = 400;

/// Files that may be longer, with the reason.
const LONGER: [(&str, &str); 0] = [];

/// The documents whose names of files and tests must be true.
const DOCUMENTS: &[&str] = &[
    "README.md",
    "DEVELOPERS.md",
    "docs/audit.md",
    "docs/certificate.md",
    "docs/commands.md",
    "docs/coverage.md",
    "docs/decisions.md",
    "docs/discretion.md",
    "docs/enforce.md",
    "docs/footage.md",
    "docs/log.md",
    "docs/log-files.md",
    "docs/log-attacks.md",
    "docs/performance.md",
    "docs/place-as-evidence.md",
    "docs/properties.md",
    "docs/rule-books.md",
    "docs/synthetic-plays.md",
    "docs/time-as-evidence.md",
];

/// One file: its path from the root of the project, with `/`, and its text.
pub(crate) struct Text {
    pub(crate) path: String,
    pub(crate) text: String,
}

impl Text {
    pub(crate) fn new(path: &str, text: &str) -> Text {
        Text { path: path.to_owned(), text: text.to_owned() }
    }

    /// Lines of code with their numbers from 1; comments left out.
    fn code(&self) -> impl Iterator<Item = (usize, &str)> {
        self.text.lines().enumerate().map(|(index, line)| (index + 1, line)).filter(|(_, line)| {
            let line = line.trim_start();
            !line.starts_with("//")
        })
    }

    fn says(&self, line: usize, what: &str) -> String {
        format!("{}:{line}: {what}", self.path)
    }
}

// PROPERTY: files are made in one place
// PROPERTY: the house keeps its arrows, lengths and words
#[test]
fn the_house_is_tidy() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let files = sources(root);
    let mut found: Vec<String> = Vec::new();
    for file in &files {
        found.extend(reexports(file));
        found.extend(length(file));
        found.extend(docs(file));
        // This file names what it bans; a build script talks to cargo.
        if file.path != "tests/tidy.rs" && !file.path.ends_with("/build.rs") {
            found.extend(banned(file));
        }
    }
    found.extend(undeclared(&files));
    found.extend(files_made(&files));
    let manifest = fs::read_to_string(root.join("tests/reckoning/Cargo.toml")).expect("it has a manifest");
    found.extend(reckoned_apart(&manifest, &files));
    for name in CRATES {
        let manifest = format!("src/{name}/Cargo.toml");
        let text = fs::read_to_string(root.join(&manifest)).expect("each crate has a manifest");
        if !text.contains("[lints]\nworkspace = true") {
            found.push(format!("{manifest}: does not take the lints of the workspace"));
        }
    }
    for document in DOCUMENTS {
        let text = fs::read_to_string(root.join(document)).expect("the document is there");
        found.extend(untrue(&Text::new(document, &text), root));
    }
    assert!(found.is_empty(), "{} violations:\n{}", found.len(), found.join("\n"));
}

/// The Rust files of the project, in the order of their paths.
pub(crate) fn sources(root: &Path) -> Vec<Text> {
    let mut files = Vec::new();
    for folder in ["src", "tests", "benches"] {
        collect(root, folder, &mut files);
    }
    files
}

fn collect(root: &Path, folder: &str, files: &mut Vec<Text>) {
    for entry in fs::read_dir(root.join(folder)).expect("the folder is there") {
        let entry = entry.expect("it can be listed");
        let path = format!("{folder}/{}", entry.file_name().to_string_lossy());
        if entry.path().is_dir() {
            collect(root, &path, files);
        } else if path.ends_with(".rs") {
            files.push(Text::new(&path, &fs::read_to_string(entry.path()).expect("it is text")));
        }
    }
    files.sort_by(|a, b| a.path.cmp(&b.path));
}

/// Whether a folder holds tests, a file a behaviour: the root's, or those of a crate.
fn is_tests(folder: &str) -> bool {
    folder == "tests" || folder.starts_with("src/") && folder.split('/').nth(2) == Some("tests")
}

/// Whether a file is this module, or lies in it.
fn under(path: &str, module: &str) -> bool {
    let is_test = is_tests(path.rsplit_once('/').map_or("", |(folder, _)| folder));
    if module.starts_with("src/") && is_test {
        return false;
    }
    path.strip_prefix(module).is_some_and(|rest| rest.is_empty() || rest.starts_with(['/', '.']))
}

/// A crate that hands on another crate as its own: who uses a type names the crate that has it.
fn reexports(file: &Text) -> Vec<String> {
    let of_another = |line: &str| {
        let path = line.strip_prefix("pub use ")?;
        let first = path.trim_start_matches("::").split("::").next()?;
        CRATES.contains(&first).then(|| first.to_owned())
    };
    if !file.path.starts_with("src/") {
        return Vec::new();
    }
    let found = file.code().filter_map(|(number, line)| Some((number, of_another(line)?)));
    found.map(|(number, name)| file.says(number, &format!("re-exports the crate `{name}`"))).collect()
}

/// Files that are made in the program elsewhere than in the one place for it. What a test sets up is no matter.
fn files_made(files: &[Text]) -> Vec<String> {
    let of_tests: Vec<String> = files.iter().flat_map(test_modules).collect();
    let mut found = Vec::new();
    for file in files {
        let module = file.path.trim_end_matches(".rs");
        let is_elsewhere =
            under(&file.path, MAKES_FILES) || LIBRARY.iter().any(|layer| under(&file.path, layer));
        let is_test = is_tests(file.path.rsplit_once('/').map_or("", |(folder, _)| folder));
        if !file.path.starts_with("src/")
            || is_test
            || is_elsewhere
            || of_tests.iter().any(|tests| under(module, tests))
        {
            continue;
        }
        for (number, line) in file.code().take_while(|(_, line)| *line != "mod tests {") {
            for maker in MAKERS.iter().filter(|maker| line.contains(**maker)) {
                found.push(file.says(number, &format!("`{maker}`: only `src/host/output.rs` makes files")));
            }
        }
    }
    found
}

/// The modules that a file declares for tests alone: `src/desk/booth/whole`.
fn test_modules(file: &Text) -> Vec<String> {
    let folder = match file.path.as_str() {
        "src/main.rs" => "src",
        path => path.trim_end_matches(".rs").trim_end_matches("/lib"),
    };
    let lines: Vec<&str> = file.text.lines().collect();
    let declared = lines.windows(2).filter(|pair| pair[0] == "#[cfg(test)]");
    let module = |line: &'_ str| {
        line.trim_start_matches("pub(crate) ").strip_prefix("mod ")?.strip_suffix(';').map(str::to_owned)
    };
    let names = declared.filter_map(|pair| module(pair[1]));
    names.map(|name| format!("{folder}/{name}")).collect()
}

/// What the second reckoning of a game (`tests/reckoning`) uses, and whether it is still short: it is worth something as
/// long as it shares nothing with what it is held against.
fn reckoned_apart(manifest: &str, files: &[Text]) -> Vec<String> {
    let tables = manifest
        .split("\n[")
        .filter(|table| table.split(']').next().is_some_and(|name| name.contains("dependencies")));
    let used = tables
        .flat_map(|table| table.lines().skip(1))
        .filter(|line| !line.trim().is_empty() && !line.starts_with('#'));
    let mut found: Vec<String> =
        used.map(|line| format!("tests/reckoning/Cargo.toml: `{line}`: it may use nothing")).collect();
    let own = |file: &&Text| {
        file.path.starts_with("tests/reckoning/") && file.path != "tests/reckoning/examples.rs"
    };
    let lines: usize = files.iter().filter(own).map(|file| file.text.lines().count()).sum();
    if lines > RECKONING {
        found.push(format!("tests/reckoning: {lines} lines; {RECKONING} is the end"));
    }
    found
}

fn length(file: &Text) -> Vec<String> {
    let lines = file.text.lines().count();
    let listed = LONGER.iter().any(|(path, _)| *path == file.path);
    if lines > END && !listed {
        return vec![file.says(lines, &format!("{lines} lines; {END} is the end: divide it"))];
    }
    Vec::new()
}

/// Words that add nothing to a name.
const SMALL: [&str; 12] = ["a", "an", "the", "of", "its", "it", "is", "this", "that", "one", "and", "in"];

/// Public items of a library without a doc, and docs of one line that only repeat the name below them. Fields and
/// variants need none. The docs of `formats`, of a play's truth and of the command
/// line are texts of the schemas and of the help.
fn docs(file: &Text) -> Vec<String> {
    let lines: Vec<&str> = file.text.lines().map(str::trim).collect();
    let is_library = LIBRARY.iter().any(|library| under(&file.path, library));
    let is_text = ["src/formats", "src/cli", "src/scene/truth"].iter().any(|text| under(&file.path, text));
    let mut found = Vec::new();
    for (at, line) in lines.iter().enumerate().filter(|(_, line)| !line.starts_with("//")) {
        let above = doc_above(&lines[..at]);
        let is_item = line.strip_prefix("pub ").is_some_and(|item| {
            ["fn ", "struct ", "enum ", "trait ", "const ", "type "].iter().any(|kind| item.starts_with(kind))
                && !item.contains('$')
        });
        if is_library && is_item && above.is_empty() {
            found.push(file.says(at + 1, "a public item has a doc: what a caller cannot see"));
        }
        if let ([doc], false) = (above.as_slice(), is_text)
            && repeats(doc, line)
        {
            found.push(file.says(at, "this doc only repeats the name"));
        }
    }
    found
}

/// The lines of doc at the end of `lines`, with attributes between them and the item, also those of several lines.
fn doc_above<'a>(lines: &[&'a str]) -> Vec<&'a str> {
    let (mut doc, mut in_attribute) = (Vec::new(), false);
    for line in lines.iter().rev() {
        if in_attribute || line.ends_with(")]") || line.starts_with("#[") {
            in_attribute = !line.starts_with("#[");
        } else if line.starts_with("///") {
            doc.push(*line);
        } else {
            break;
        }
    }
    doc
}

/// Whether every word of a doc stands in the name of the item.
fn repeats(doc: &str, item: &str) -> bool {
    let kinds = ["pub", "crate", "super", "fn", "struct", "enum", "trait", "const", "type"];
    let mut names = item.split(|c: char| !c.is_alphanumeric() && c != '_').filter(|word| !word.is_empty());
    let Some(name) = names.find(|word| !kinds.contains(word)) else { return false };
    let mut spaced = String::new();
    for letter in name.chars() {
        if letter.is_uppercase() {
            spaced.push('_');
        }
        spaced.extend(letter.to_lowercase());
    }
    let name: Vec<&str> = spaced.split('_').filter(|word| !word.is_empty()).collect();
    let doc = doc.trim_start_matches('/').to_lowercase();
    let mut words = doc.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty());
    words.all(|word| SMALL.contains(&word) || name.contains(&word))
}

fn banned(file: &Text) -> Vec<String> {
    let mut found = Vec::new();
    for (modules, words, why) in BANNED {
        if !modules.iter().any(|module| under(&file.path, module)) {
            continue;
        }
        for (number, line) in file.code() {
            for word in words.iter().filter(|word| line.contains(**word)) {
                found.push(file.says(number, &format!("`{word}`: {why}")));
            }
        }
    }
    found
}

/// Files that no `mod` declares, and test files that `tests/main.rs` lists without saying what they are about.
fn undeclared(files: &[Text]) -> Vec<String> {
    let mut found = Vec::new();
    for file in files {
        let Some((folder, name)) = file.path.trim_end_matches(".rs").rsplit_once('/') else { continue };
        if matches!(folder, "benches")
            || matches!(name, "mod" | "lib" | "main")
            || file.path.ends_with("/build.rs")
        {
            continue;
        }
        let parents: Vec<String> = match folder {
            "src" => vec!["src/main.rs".to_owned()],
            "tests/support" | "tests/reckoning" => vec![format!("{folder}/lib.rs")],
            root if is_tests(root) => vec![format!("{root}/main.rs")],
            root if CRATES.iter().any(|name| root == format!("src/{name}")) => {
                vec![format!("{folder}/lib.rs")]
            }
            _ => vec![format!("{folder}.rs"), format!("{folder}/mod.rs")],
        };
        let declares = |line: &str| {
            let line = line.trim_start_matches("pub(crate) ").trim_start_matches("pub(super) ");
            line.trim_start_matches("pub ").starts_with(&format!("mod {name};"))
        };
        let line = files
            .iter()
            .filter(|parent| parents.contains(&parent.path))
            .flat_map(|parent| parent.text.lines())
            .find(|line| declares(line));
        match line {
            None => found.push(file.says(1, &format!("no `mod {name};` in {}", parents.join(" or ")))),
            Some(line) if is_tests(folder) && !line.contains("; // ") => {
                found.push(file.says(1, &format!("listed in {folder}/main.rs without what it is about")));
            }
            Some(_) => {}
        }
    }
    found
}

/// Names in backticks that are paths (`src/rules/book.rs`) or tests (`src/review/tests/settling.rs::a_name`) and are not there.
fn untrue(document: &Text, root: &Path) -> Vec<String> {
    let mut found = Vec::new();
    for (index, line) in document.text.lines().enumerate() {
        for name in line.split('`').skip(1).step_by(2) {
            let (path, test) = name.split_once("::").unwrap_or((name, ""));
            let first = path.split('/').next().expect("a split has a first part");
            let is_path = !path.contains([' ', '<', '…'])
                && (path.contains('/') && root.join(first).exists()
                    || [".rs", ".md", ".toml"].iter().any(|ending| path.ends_with(ending)));
            if !is_path {
                continue;
            }
            match fs::read_to_string(root.join(path)) {
                Ok(text) if test.is_empty() || text.contains(&format!("fn {test}(")) => {}
                Err(_) if test.is_empty() && root.join(path).exists() => {}
                Ok(_) | Err(_) => found.push(document.says(index + 1, &format!("there is no `{name}`"))),
            }
        }
    }
    found
}

/// Each rule on a text that breaks it, beside one that keeps it.
#[test]
fn what_is_not_tidy_is_found_with_its_place() {
    let on = |rule: fn(&Text) -> Vec<String>, path, text| rule(&Text::new(path, text)).join("; ");
    for (rule, path, text, expected) in [
        (reexports as fn(&Text) -> Vec<String>, "src/log/lib.rs", "pub use self::error::Error;", ""),
        (
            reexports,
            "src/log/lib.rs",
            "\npub use review::Command;",
            "src/log/lib.rs:2: re-exports the crate `review`",
        ),
        (
            banned,
            "src/review/fold.rs",
            "// Instant::now\nlet now = Instant::now();",
            "src/review/fold.rs:2: `Instant::`: only `src/host/clock.rs` reads a clock; a crate is given the time",
        ),
        (banned, "src/host/clock.rs", "let now = Instant::now(); println!();", ""),
        (length, "src/rules/book.rs", "one line", ""),
        (
            docs,
            "src/log/entry.rs",
            "/// Lines of the file.\npub fn read() {}\nstruct Own {\n    own: u8,\n}",
            "",
        ),
        (
            docs,
            "src/log/entry.rs",
            "/// Of another.\nenum Of {}\n#[error(\"{0}\",\n    x = 1)]\npub struct Entry;",
            "src/log/entry.rs:5: a public item has a doc: what a caller cannot see",
        ),
        (
            docs,
            "src/log/entry.rs",
            "enum Act {\n    /// A timeout taken.\n    #[default]\n    TimeoutTaken,",
            "src/log/entry.rs:3: this doc only repeats the name",
        ),
        (docs, "src/formats/audit.rs", "    /// The rate.\n    rate: f64,", ""),
    ] {
        assert_eq!(on(rule, path, text), expected, "{path}: {text}");
    }
    let long = "\n".repeat(END + 1);
    assert_eq!(
        on(length, "src/rules/book.rs", &long),
        "src/rules/book.rs:601: 601 lines; 600 is the end: divide it"
    );
}

#[test]
fn a_reckoning_that_uses_something_or_grows_is_found() {
    let file = |lines: usize| [Text::new("tests/reckoning/lib.rs", &"\n".repeat(lines))];
    let plain = "[package]\nname = \"a\"\n\n# Nothing.\n[dependencies]\n\n[lints]\nworkspace = true\n";
    assert_eq!(reckoned_apart(plain, &file(RECKONING)), Vec::<String>::new());
    let uses = plain.replace("[dependencies]\n", "[dev-dependencies]\nrules.workspace = true\n");
    assert_eq!(
        reckoned_apart(&uses, &file(RECKONING + 1)),
        [
            "tests/reckoning/Cargo.toml: `rules.workspace = true`: it may use nothing",
            "tests/reckoning: 401 lines; 400 is the end"
        ]
    );
}

#[test]
fn a_file_that_is_made_elsewhere_is_found_and_what_a_test_sets_up_is_not() {
    let write = "    std::fs::write(path, text)?;\n";
    let files = [
        Text::new("src/cli/check.rs", write),
        Text::new("src/desk/settings.rs", &format!("fn keep() {{}}\n#[cfg(test)]\nmod tests {{\n{write}")),
        Text::new("src/desk/booth.rs", "#[cfg(test)]\nmod whole;\nmod post;\n"),
        Text::new("src/desk/booth/whole.rs", write),
        Text::new("src/desk/booth/post.rs", "use x;\n    let file = std::fs::File::create(&path);\n"),
        Text::new("src/host/output/part.rs", write),
        Text::new("src/log/store/log.rs", write),
        Text::new("tests/outputs.rs", write),
    ];
    let expected = [
        "src/cli/check.rs:1: `fs::write`: only `src/host/output.rs` makes files",
        "src/desk/booth/post.rs:2: `File::create`: only `src/host/output.rs` makes files",
    ];
    assert_eq!(files_made(&files), expected);
}

#[test]
fn a_file_that_nothing_declares_and_a_name_that_nothing_has_are_found() {
    let files = [
        Text::new("src/rules/lib.rs", "pub mod book;"),
        Text::new("src/rules/book.rs", "mod line;"),
        Text::new("src/rules/book/line.rs", ""),
        Text::new("src/rules/book/lost.rs", ""),
        Text::new("tests/main.rs", "mod said; // what it is about\nmod unsaid;"),
        Text::new("tests/said.rs", ""),
        Text::new("tests/unsaid.rs", ""),
    ];
    let expected = [
        "src/rules/book/lost.rs:1: no `mod lost;` in src/rules/book.rs or src/rules/book/mod.rs",
        "tests/unsaid.rs:1: listed in tests/main.rs without what it is about",
    ];
    assert_eq!(undeclared(&files), expected);
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let text = "`src/main.rs`, `cargo test`, `a/b`\n`src/nothing.rs` `tests/tidy.rs::the_house_is_tidy` `tests/tidy.rs::no_test`";
    let expected = ["D.md:2: there is no `src/nothing.rs`", "D.md:2: there is no `tests/tidy.rs::no_test`"];
    assert_eq!(untrue(&Text::new("D.md", text), root), expected);
}
