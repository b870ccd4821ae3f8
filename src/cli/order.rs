//! `tellframe order FILE`: which of two events came first, how much time lies between, and how sure that is.

use super::{Answer, Unable, input};
use std::path::PathBuf;
use tellframe::proof::order::{Between, Figures};
use tellframe::proof::say::{in_time, percent};
use tellframe::proof::verdict::Verdict;
use tellframe::wire::order::{Asked, Found, Wrong};

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
        let asked: Asked = input::file(&self.file)?;
        let wrong =
            |wrong: Wrong| Unable { message: format!("{}: {wrong}", self.file.display()), help: wrong.help };
        let between = asked.read().and_then(|read| read.between()).map_err(wrong)?;
        let (at_least_s, standard) = (asked.gap_at_least_s, asked.standard);
        if self.json {
            return super::print_json(&Found::of(&between, at_least_s, standard));
        }
        let Between::Known(gap) = &between else {
            return super::print("the marks contradict each other: no instant satisfies all of them");
        };
        let Figures { mean, sigma, low95, high95 } = gap.figures();
        let probability = gap.above(at_least_s);
        let verdict = standard.map(|standard| told(between.verdict(at_least_s, standard), standard));
        let fact = match at_least_s {
            0.0 => "first before then".to_owned(),
            at_least => format!("then more than {} after first", in_time(at_least)),
        };
        super::print(&format!(
            "{}, {}{}\n95 % between {} and {}, standard error {}",
            tellframe::proof::say::gap("first", "then", mean),
            format_args!("{fact} with {}", percent(probability)),
            verdict.map_or_else(String::new, |verdict| format!(": {verdict}")),
            in_time(low95),
            in_time(high95),
            in_time(sigma),
        ))
    }
}

fn told(verdict: Verdict, standard: f64) -> String {
    let standard = percent(standard);
    match verdict {
        Verdict::Established { .. } => format!("established (the standard is {standard})"),
        Verdict::Refuted { .. } => format!("refuted (the standard is {standard})"),
        Verdict::Inconclusive { .. } => format!("not enough either way (the standard is {standard})"),
        Verdict::Contradiction => "a contradiction".to_owned(),
    }
}
