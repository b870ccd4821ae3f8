//! `tellframe case BOOK FILE…`: runs case plays against a book.

use super::{Answer, Unable, books, input};
use formats::case::CasePlay;
use formats::case::expect::differences;
use formats::case::result::Result as CaseResult;
use review::case::play;
use rules::book::Book;
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
    result: CaseResult,
}

impl Case {
    pub(super) fn run(&self) -> Result<Answer, Unable> {
        let book = books::load(&self.book)?;
        let mut ran = Vec::new();
        for (name, case) in self.cases()? {
            ran.push(run(&book, &name, &case)?);
        }
        let differing = ran.iter().filter(|ran| !ran.agrees).count();
        let answer = if differing == 0 { Answer::Yes } else { Answer::No };
        if self.json {
            super::print_json(&ran)?;
            return Ok(answer);
        }
        for ran in ran.iter().filter(|ran| !self.quiet || !ran.agrees) {
            println!("{} {}", if ran.agrees { "agrees " } else { "DIFFERS" }, ran.id);
            ran.differences.iter().for_each(|line| println!("          {line}"));
        }
        println!("{} cases, {differing} differ", ran.len());
        Ok(answer)
    }

    /// Every case play of the arguments, with the name of its file.
    fn cases(&self) -> Result<Vec<(String, CasePlay)>, Unable> {
        let mut cases = Vec::new();
        if self.files.is_empty() {
            for file in books::read(&self.book)?.sources.files() {
                if file.path.starts_with(rules::book::edition::CASES) {
                    let form = input::form(Path::new(&file.path));
                    let read = input::list(&file.text, &file.path, form)?;
                    cases.extend(read.into_iter().map(|case| (file.path.clone(), case)));
                }
            }
            return Ok(cases);
        }
        for path in &self.files {
            for file in files_of(path)? {
                let name = file.display().to_string();
                let read = input::list(&input::text(&file)?, &name, input::form(&file))?;
                cases.extend(read.into_iter().map(|case| (name.clone(), case)));
            }
        }
        Ok(cases)
    }
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

fn run(book: &Book, name: &str, written: &CasePlay) -> Result<Ran, Unable> {
    let wrong = |error: String| Unable::new(format!("{name}: case \"{}\": {error}", written.id));
    let case = written.read(book).map_err(|error| wrong(error.to_string()))?;
    let played = play(book, &case).map_err(|error| wrong(error.to_string()))?;
    let result = CaseResult::of(book, &case, &played);
    let differences = differences(&written.expect, &result);
    Ok(Ran {
        id: written.id.clone(),
        source: written.source.clone(),
        agrees: differences.is_empty(),
        differences,
        result,
    })
}
