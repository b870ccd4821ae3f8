//! `tellframe precedent near FILE [LOG]`: which precedents are near a case, why, and how each differs.

use crate::cli::{Answer, Unable, input, print, print_json};
use formats::precedent::{Case, NearJson, NearResult};
use host::data;
use review::precedent::near;
use review::precedent::text;
use std::path::PathBuf;

/// Arguments of `precedent near`.
#[derive(Debug, clap::Args)]
pub(super) struct Near {
    /// The case, RON or JSON: see `tellframe schema near`
    #[arg(value_name = "FILE")]
    case: PathBuf,
    /// The log, `demo` or `season`; left out: your own
    #[arg(value_name = "LOG")]
    log: Option<PathBuf>,
    /// Show so many
    #[arg(long, value_name = "N", default_value_t = 5)]
    most: usize,
    /// Print the result as JSON
    #[arg(long)]
    json: bool,
}

impl Near {
    pub(super) fn run(&self, folder: &data::Folder) -> Result<Answer, Unable> {
        let case: Case = input::file(&self.case)?.into_value();
        let (_, precedents) = super::read(self.log.as_deref(), folder)?;
        let (week, words) = (case.week, case.words.clone());
        let near = precedents.near(&case.into(), &words, week)?;
        let near = &near[..near.len().min(self.most)];
        if self.json {
            print_json(&NearResult { near: near.iter().map(NearJson::from).collect() })?;
        } else if near.is_empty() {
            print("no precedents")?;
        } else {
            near.iter().try_for_each(|one| print(&nearness_text(one, week)).map(|_| ()))?;
            print(
                "a precedent is not a rule: the league's published rules prevail, and the referee decides",
            )?;
        }
        Ok(if near.is_empty() { Answer::No } else { Answer::Yes })
    }
}

fn nearness_text(near: &near::Near<'_>, week: Option<u32>) -> String {
    let (precedent, proposal) = (near.precedent, &near.precedent.proposal);
    // A later decision may have changed it since.
    let status = precedent.in_force(week).map_or(precedent.status(), |decision| decision.status);
    let recurs = if near.recurs { "its facts recur here" } else { "its facts do not recur here" };
    let in_force = || format!("{}, {recurs}", text::status(status));
    let standing = near.rests.clone().unwrap_or_else(in_force);
    let mut text = format!(
        "{:.3}  {}  {}: {} (rule {}); {standing}",
        f64::from(near.nearness) / 1000.0,
        precedent.id,
        proposal.title,
        proposal.remedy,
        proposal.rule,
    );
    let why: Vec<&str> = near.why.iter().map(String::as_str).collect();
    // That it is not in force stands in the first line.
    let differs = near.differs.iter().filter(|part| Some(*part) != near.rests.as_ref());
    let differs: Vec<&str> = differs.map(String::as_str).collect();
    for (word, parts) in [("near", why), ("differs", differs)] {
        if !parts.is_empty() {
            text += &format!("\n       {word}: {}", parts.join("; "));
        }
    }
    text
}
