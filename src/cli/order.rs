//! `tellframe order FILE`: which of two events came first, how much time lies between, and how sure that is.

use super::{Answer, Unable, input};
use evidence::text;
use evidence::time::angle::{Event, Help, Standard, further_marks};
use evidence::time::order::{Between, Figures, Marks};
use evidence::verdict::Verdict;
use formats::order::{Asked, Found, Read};
use std::path::PathBuf;

/// Arguments of `order`.
#[derive(Debug, clap::Args)]
pub(super) struct Order {
    /// Clips and the marks of two events on them, as RON or JSON
    #[arg(value_name = "FILE")]
    file: PathBuf,
    /// Print the result as JSON
    #[arg(long)]
    json: bool,
}

impl Order {
    pub(super) fn run(&self) -> Result<Answer, Unable> {
        let input = input::file::<Asked>(&self.file)?;
        let asked = input.value();
        let read = asked.read().map_err(|error| input.fault(error))?;
        let between = read.between().map_err(|error| input.fault(error))?;
        if self.json {
            return super::print_json(&Found::of(&between, asked.gap_at_least_s, asked.standard));
        }
        super::print(&comparison(asked, &read, &between))
    }
}

fn comparison(asked: &Asked, read: &Read, between: &Between) -> String {
    let at_least_s = asked.gap_at_least_s;
    let Between::Known(gap) = between else {
        return text::order(("first", "then"), 0.0, at_least_s, Verdict::Contradiction, 1.0);
    };
    let Figures { mean, sigma, low95, high95 } = gap.figures();
    let mut lines = Vec::new();
    match asked.standard {
        Some(standard) => {
            let verdict = between.verdict(at_least_s, standard);
            lines.push(text::order(("first", "then"), mean, at_least_s, verdict, standard));
        }
        None => lines.push(format!(
            "{}, before by more than {} with {}",
            text::gap("first", "then", mean),
            text::in_time(at_least_s),
            text::percent(gap.above(at_least_s))
        )),
    }
    let [low, high, sigma] = [low95, high95, sigma].map(text::in_time);
    lines.push(format!("from first to then {low} to {high} (95 %), standard error {sigma}"));
    if let Some(established) = asked.standard
        && let Verdict::Inconclusive { .. } = between.verdict(at_least_s, established)
    {
        let marks = Marks { clips: &read.clips, first: &read.first, then: &read.then };
        let helps = further_marks(marks, Standard { at_least_s, established }).into_iter().flatten();
        lines.extend(helps.take(3).map(|help| helpful(read, &help)));
    }
    lines.join("\n")
}

fn helpful(read: &Read, help: &Help) -> String {
    let event = match help.event {
        Event::First => "first",
        Event::Then => "then",
    };
    let clip = read.names.get(help.clip).map_or("", String::as_str);
    format!(
        "a mark of {event} on `{clip}` would settle it with {}, and leave a standard error of {}",
        text::percent(help.settles),
        text::in_time(help.sigma_s)
    )
}
