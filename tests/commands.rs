//! The examples of `docs/commands.md`, run: what the page shows is what the program prints.
//!
//! A block that is marked `console` holds commands (`$ tellframe …`) and what each prints, messages included.
//! A line `…` stands for any lines, a `…` within a line for any text: what changes with every edition of a book.
//! After a command `$ echo $?` shows its exit status; without it, it is 0.

use std::path::Path;
use std::process::Command;

/// The page, from the root of the project.
const PAGE: &str = "docs/commands.md";

/// One command of a block, with what the page says it prints.
#[derive(Debug, PartialEq)]
struct Example {
    line: usize,
    command: String,
    output: Vec<String>,
    status: i32,
}

fn examples(text: &str) -> Vec<Example> {
    let mut found: Vec<Example> = Vec::new();
    let (mut inside, mut asks_status) = (false, false);
    for (index, line) in text.lines().enumerate() {
        if line.starts_with("```") {
            inside = line == "```console";
            asks_status = false;
            continue;
        }
        if !inside {
            continue;
        }
        if line == "$ echo $?" {
            asks_status = true;
        } else if let Some(command) = line.strip_prefix("$ ") {
            let command = command.to_owned();
            found.push(Example { line: index + 1, command, output: Vec::new(), status: 0 });
            asks_status = false;
        } else if let Some(last) = found.last_mut() {
            if asks_status {
                last.status = line.parse().expect("an exit status is a number");
            } else {
                last.output.push(line.to_owned());
            }
        }
    }
    found
}

/// Whether the lines printed are those shown, where `…` stands for any.
fn shown(printed: &[&str], output: &[String]) -> bool {
    match output.split_first() {
        None => printed.is_empty(),
        Some((first, rest)) if first == "…" => {
            (0..=printed.len()).any(|skip| shown(&printed[skip..], rest))
        }
        Some((first, rest)) => printed
            .split_first()
            .is_some_and(|(line, later)| alike(line.trim_end(), first) && shown(later, rest)),
    }
}

/// Whether a line is the one shown, where `…` stands for any text.
fn alike(line: &str, shown: &str) -> bool {
    match shown.split_once('…') {
        None => line == shown,
        Some((begins, later)) => line.strip_prefix(begins).is_some_and(|rest| {
            rest.char_indices().map(|(at, _)| at).chain([rest.len()]).any(|at| alike(&rest[at..], later))
        }),
    }
}

// PROPERTY: the page of commands shows what the program prints
#[test]
fn the_examples_of_the_commands_print_what_the_page_shows() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let text = std::fs::read_to_string(root.join(PAGE)).expect("the page is there");
    let examples = examples(&text);
    assert!(!examples.is_empty(), "the page shows no command");
    let data = tempfile::tempdir().expect("a folder");
    let mut wrong = Vec::new();
    for Example { line, command, output, status } in examples {
        let mut words = command.split_whitespace();
        assert_eq!(words.next(), Some("tellframe"), "{PAGE}:{line}: an example runs tellframe");
        let run = Command::new(env!("CARGO_BIN_EXE_tellframe"))
            .arg("--data")
            .arg(data.path())
            .args(words)
            .current_dir(root)
            .output()
            .expect("the program starts");
        let printed = String::from_utf8([run.stderr, run.stdout].concat()).expect("it prints text");
        let lines: Vec<&str> = printed.lines().collect();
        if !shown(&lines, &output) || run.status.code() != Some(status) {
            wrong.push(format!("{PAGE}:{line}: `{command}` ends with {} and prints:\n{printed}", run.status));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn examples_are_read_with_their_output_and_status() {
    let text = "$ not this\n```console\n$ tellframe check nothing\nerror: no\n\n$ echo $?\n2\n$ tellframe line\n```\n";
    let expected = [
        Example {
            line: 3,
            command: "tellframe check nothing".to_owned(),
            output: vec!["error: no".to_owned(), String::new()],
            status: 2,
        },
        Example { line: 8, command: "tellframe line".to_owned(), output: Vec::new(), status: 0 },
    ];
    assert_eq!(examples(text), expected);
    let output = |lines: &[&str]| lines.iter().map(|line| (*line).to_owned()).collect::<Vec<_>>();
    assert!(shown(&["a", "b", "c"], &output(&["a", "…", "c"])));
    assert!(shown(&["a"], &output(&["a", "…"])));
    assert!(!shown(&["a", "b"], &output(&["a"])));
    assert!(!shown(&["a"], &output(&["…", "b"])));
    assert!(shown(&["sound; 26 questions, edition 4a"], &output(&["sound; … questions, edition …"])));
    assert!(!shown(&["sound; 26 steps"], &output(&["sound; … questions"])));
}
