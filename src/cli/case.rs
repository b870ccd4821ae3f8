//! `tellframe case BOOK FILE…`: runs case plays against a book.

use super::input::Input;
use super::{Answer, Unable, books, input};
use formats::case::CasePlay;
use formats::case::expect::differences;
use formats::case::result::Result as CaseResult;
use formats::error::Error;
use review::case::play;
use rules::book::Book;
use rules::shown::{shown, visible};
use std::path::{Path, PathBuf};

/// Arguments of `case`.
#[derive(Debug, clap::Args)]
pub(super) struct Case {
    /// A folder of a rule book, or the name of a built-in one
    #[arg(value_name = "BOOK")]
    book: String,
    /// Files of case plays, RON or JSON, or folders of them; left out: the book's own
    #[arg(value_name = "FILE")]
    files: Vec<PathBuf>,
    /// Print the results as JSON, one array
    #[arg(long)]
    json: bool,
    /// Print only the cases that differ, and the count
    #[arg(short, long)]
    quiet: bool,
}

#[derive(serde::Serialize)]
struct Ran {
    id: String,
    source: Option<String>,
    agrees: bool,
    differences: Vec<String>,
    /// What of it means nothing, or is odd.
    notes: Vec<String>,
    result: CaseResult,
}

impl Case {
    pub(super) fn run(&self) -> Result<Answer, Unable> {
        let book = books::load(&self.book)?;
        let mut ran = Vec::new();
        for input in self.inputs()? {
            for (index, case) in input.value().iter().enumerate() {
                ran.push(run(&book, case).map_err(|error| input.fault(error.item(index)))?);
            }
        }
        if ran.is_empty() {
            return Err(Unable::new("there is no case play to run")
                .help("name a file of case plays, or a folder of such files that end in .ron or .json"));
        }
        let differing = ran.iter().filter(|ran| !ran.agrees).count();
        let answer = if differing == 0 { Answer::Yes } else { Answer::No };
        if self.json {
            super::print_json(&ran)?;
            return Ok(answer);
        }
        let mut said = Vec::new();
        for ran in ran.iter().filter(|ran| !self.quiet || !ran.agrees) {
            said.extend(lines(ran));
        }
        let open = ran.iter().filter(|ran| !ran.result.open.is_empty()).count();
        let open = if open == 0 { String::new() } else { format!(", {open} open") };
        said.push(format!("{} cases, {differing} differ{open}", ran.len()));
        super::print(&said.join("\n"))?;
        Ok(answer)
    }

    /// Every case play of the arguments, by file.
    fn inputs(&self) -> Result<Vec<Input<Vec<CasePlay>>>, Unable> {
        let mut inputs = Vec::new();
        if self.files.is_empty() {
            for file in books::read(&self.book)?.sources.files() {
                if file.path.starts_with(rules::book::edition::CASES) {
                    inputs.push(input::list(&file.text, &file.path, input::form(Path::new(&file.path)))?);
                }
            }
            return Ok(inputs);
        }
        for path in &self.files {
            for file in files_of(path)? {
                let name = file.display().to_string();
                inputs.push(input::list(&input::text(&file)?, &name, input::form(&file))?);
            }
        }
        Ok(inputs)
    }
}

/// What a case came to: whether it agrees, whether its restart still needs something, and what is odd.
fn lines(ran: &Ran) -> Vec<String> {
    let verdict = match (ran.agrees, ran.result.open.is_empty()) {
        (false, _) => "DIFFERS",
        (true, true) => "agrees ",
        (true, false) => "open   ",
    };
    let mut lines = vec![format!("{verdict} {}", shown(&ran.id))];
    let under = |line: &str| format!("          {}", visible(line));
    lines.extend(ran.differences.iter().map(|line| under(line)));
    if ran.agrees {
        lines.extend(ran.result.open.iter().map(|open| under(&format!("as expected, open: {open}"))));
    }
    lines.extend(ran.notes.iter().map(|note| under(&format!("note: {note}"))));
    lines
}

fn files_of(path: &Path) -> Result<Vec<PathBuf>, Unable> {
    if !path.is_dir() {
        return Ok(vec![path.to_owned()]);
    }
    let unreadable = |error: std::io::Error| Unable::unreadable(path, &error);
    let mut files = Vec::new();
    for entry in std::fs::read_dir(path).map_err(unreadable)? {
        let file = entry.map_err(unreadable)?.path();
        if file.extension().is_some_and(|ending| ending == "ron" || ending == "json") {
            files.push(file);
        }
    }
    files.sort();
    Ok(files)
}

fn run(book: &Book, written: &CasePlay) -> Result<Ran, Error> {
    let case = written.read(book)?;
    let played = play(book, &case).map_err(Error::new)?;
    let result = CaseResult::of(book, &case, &played);
    let differences = differences(&written.expect, &result);
    Ok(Ran {
        id: written.id.clone(),
        source: written.source.clone(),
        agrees: differences.is_empty(),
        differences,
        notes: written.notes(book),
        result,
    })
}
