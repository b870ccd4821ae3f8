//! `tellframe check BOOK…`: proves rule books sound.

use super::{Answer, Unable, books, checked_output, defects};
use host::output::Output;
use rules::book::defect::nearest;
use rules::book::tree::Tree;
use rules::book::{Book, diagram, load};
use std::io::IsTerminal;
use std::path::PathBuf;

/// Arguments of `check`.
#[derive(Debug, clap::Args)]
pub(super) struct Check {
    /// Folders of rule books, or names of built-in ones
    #[arg(required = true, value_name = "BOOK")]
    books: Vec<String>,
    /// Draw the questions of a sound book into this file
    #[arg(long, value_name = "FILE.svg")]
    diagram: Option<PathBuf>,
    /// Write over FILE if it is there; never over a log, a key, a database or a rule book
    #[arg(long, requires = "diagram")]
    force: bool,
    /// Draw only the question with this id
    #[arg(long, value_name = "ID", requires = "diagram")]
    tree: Option<String>,
    /// Print the result as JSON
    #[arg(long)]
    json: bool,
}

impl Check {
    pub(super) fn run(&self) -> Result<Answer, Unable> {
        if self.diagram.is_some() && self.books.len() > 1 {
            return Err(Unable::new("one drawing holds one book").help("name a single BOOK with --diagram"));
        }
        let drawing = checked_output(self.diagram.as_deref(), self.force)?;
        let mut answer = Answer::Yes;
        let mut results = Vec::new();
        for argument in &self.books {
            let named = books::read(argument)?;
            let found = match load::load(&named.id, &named.sources) {
                Ok(book) => {
                    if let Some(drawing) = &drawing {
                        self.draw(&book, drawing)?;
                    }
                    if !self.json {
                        let steps: usize = book.trees.iter().map(|tree| tree.steps.len()).sum();
                        let questions = book.trees.len();
                        println!(
                            "{argument}: sound; {questions} questions, {steps} steps, edition {}",
                            book.edition
                        );
                    }
                    results.push(serde_json::json!({
                        "book": argument, "edition": book.edition.to_string(), "faults": [],
                    }));
                    continue;
                }
                Err(found) => found,
            };
            answer = Answer::No;
            if !self.json {
                let colours = std::io::stdout().is_terminal();
                super::put(&format!(
                    "{}{argument}: {}",
                    defects::text(&found, &named.sources, argument, colours),
                    defects::summary(&found)
                ))?;
            }
            results.push(serde_json::json!({
                "book": argument, "edition": null, "faults": defects::json(&found, &named.sources),
            }));
        }
        if self.json {
            println!("{}", serde_json::json!({"books": results}));
        }
        Ok(answer)
    }

    fn draw(&self, book: &Book, drawing: &Output) -> Result<(), Unable> {
        let trees: Vec<&Tree> = match &self.tree {
            None => book.trees.iter().collect(),
            Some(id) => vec![book.tree(id).ok_or_else(|| {
                let known = book.trees.iter().map(|tree| tree.id.as_str());
                Unable::new(format!("the book has no question `{id}`")).help(nearest(id, known))
            })?],
        };
        Ok(drawing.write_bytes(diagram::svg(&book.name, &trees).as_bytes())?)
    }
}
