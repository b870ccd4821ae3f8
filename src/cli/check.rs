//! `tellframe check BOOK…`: proves rule books sound.

use super::{Answer, Unable, books, faults};
use std::io::IsTerminal;
use tellframe::book::load;

/// Arguments of `check`.
#[derive(Debug, clap::Args)]
pub(super) struct Check {
    /// Folders of rule books, or names of built-in ones
    #[arg(required = true, value_name = "BOOK")]
    books: Vec<String>,
    /// Print the result as JSON
    #[arg(long)]
    json: bool,
}

impl Check {
    pub(super) fn run(&self) -> Result<Answer, Unable> {
        let mut answer = Answer::Yes;
        let mut results = Vec::new();
        for argument in &self.books {
            let named = books::read(argument)?;
            let found = match load::load(&named.id, &named.sources) {
                Ok(book) => {
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
                super::print(&format!(
                    "{}{argument}: {}",
                    faults::text(&found, &named.sources, argument, colours),
                    faults::summary(&found)
                ))?;
            }
            results.push(serde_json::json!({
                "book": argument, "edition": null, "faults": faults::json(&found, &named.sources),
            }));
        }
        if self.json {
            println!("{}", serde_json::json!({"books": results}));
        }
        Ok(answer)
    }
}
