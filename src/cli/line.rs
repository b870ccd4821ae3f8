//! `tellframe line BOOK FILE`: every line of the book for a situation.

use super::{Answer, Unable, books, input};
use formats::line::{LineAt, Lines};
use formats::situation::Situation;
use std::collections::BTreeMap;
use std::path::PathBuf;

/// Arguments of `line`.
#[derive(Debug, clap::Args)]
pub(super) struct Line {
    /// A folder of a rule book, or the name of a built-in one
    #[arg(value_name = "BOOK")]
    book: String,
    /// A situation, as RON or JSON
    #[arg(value_name = "FILE")]
    file: PathBuf,
    /// Print the result as JSON
    #[arg(long)]
    json: bool,
}

impl Line {
    pub(super) fn run(&self) -> Result<Answer, Unable> {
        let book = books::load(&self.book)?;
        let input = input::file::<Situation>(&self.file)?;
        let situation = input.value().under(&book).map_err(|error| input.fault(error.out_of("situation")))?;
        super::note(&input.value().notes(&book));
        let snap = situation.snap(&book.field);
        let figures =
            book.lines.iter().filter_map(|line| Some((&line.name, line.figure(snap, &book.field)?)));
        let lines: BTreeMap<String, LineAt> =
            figures.map(|(name, figure)| (name.clone(), LineAt::from(figure))).collect();
        if self.json {
            return super::print_json(&Lines { lines });
        }
        super::print(&snap.to_string())?;
        for (name, at) in &lines {
            let at = match at {
                LineAt::Across { x } => format!("{} yd from the own goal line", x.0),
                LineAt::Along { y: [near, far] } => format!("along both sides, {} and {} yd", near.0, far.0),
                LineAt::Between { between } => format!("marked: {}", between.join(", ")),
            };
            super::print(&format!("  {name:<18} {at}"))?;
        }
        Ok(Answer::Yes)
    }
}
