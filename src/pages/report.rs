//! The supervisor's report: one page of HTML that holds everything it shows, for paper and for a phone.
//!
//! Its headings are the questions that a supervisor asks; every figure stands with its n and its interval. It names
//! records and, unless numbers were asked for, officials by their pseudonyms; it proposes training and nothing else.

mod figure;
mod measured;
mod people;
mod plot;
mod precedents;
mod ruling;
mod stills;
mod style;
mod times;

use crate::text;
use crate::text::RecordText;
use audit::figures::facts::AllFacts;
use audit::figures::tempo::{Timed, timed};
use audit::sample::Sample;
use audit::sample::editions::Editions;
use audit::sample::row::Row;
use formats::audit::Audit;
use log::Error;
use log::store::reader::Reader;
use maud::{DOCTYPE, Markup, PreEscaped, html};
use review::announcement::capital;
use std::collections::{BTreeMap, BTreeSet};

/// What the page shows besides the figures.
#[derive(Debug, Default)]
pub struct Source {
    titles: BTreeMap<String, String>,
    /// The records that the figures name.
    records: BTreeMap<String, RecordText>,
    /// Reviews in the order of their calls.
    timed: Vec<Timed>,
    weeks: Option<[u32; 2]>,
    /// The stills of the records that are shown, where their log has them.
    stills: stills::Stills,
    /// The points that were placed in the pictures of the logs' reviews.
    measured: measured::Places,
    precedents: Vec<precedents::PrecedentRow>,
}

/// Most reviews on the chart: the newest ones.
const ON_CHART: usize = 400;

impl Source {
    /// What a page of these figures shows; officials under the names that `shown` gives them. Stills, measured places and
    /// precedents come from the logs.
    ///
    /// # Errors
    /// [`Error`] if a log cannot be read.
    pub fn of(
        sample: &Sample,
        editions: &Editions,
        found: &Audit,
        shown: &BTreeMap<String, String>,
        logs: &[Reader],
    ) -> Result<Source, Error> {
        let named: BTreeSet<&str> = found
            .inconsistent
            .iter()
            .flat_map(|found| found.records.iter().take(ruling::SHOWN))
            .chain(&found.avoidable.ids)
            .map(String::as_str)
            .collect();
        let facts = AllFacts::of(sample, editions);
        let rows = sample.rows.iter().enumerate().filter(|(_, row)| named.contains(row.id()));
        let record =
            |(at, row): (usize, &Row)| (row.id().to_owned(), text::record(sample, &facts, at, shown));
        let timed = timed(sample);
        let first = timed.len().saturating_sub(ON_CHART);
        let weeks = sample.rows.iter().filter_map(|row| row.week);
        let title = |tree: &String| Some((tree.clone(), editions.tree(tree)?.title.clone()));
        Ok(Source {
            titles: found.by.tree.keys().filter_map(title).collect(),
            records: rows.map(record).collect(),
            timed: timed[first..].to_vec(),
            weeks: weeks.clone().min().zip(weeks.max()).map(|(first, last)| [first, last]),
            stills: stills::Stills::of(found, logs)?,
            measured: measured::Places::of(logs)?,
            precedents: precedents::of(sample, &facts, logs)?,
        })
    }

    fn title<'a>(&'a self, tree: &'a str) -> &'a str {
        self.titles.get(tree).map_or(tree, String::as_str)
    }
}

/// The whole report as one HTML document that refers to nothing outside itself.
pub fn page(found: &Audit, source: &Source) -> String {
    let title = source.weeks.map_or("The reviews".to_owned(), |weeks| capital(&text::weeks(weeks)));
    let page: Markup = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { (title) ": what the reviews say" }
                style { (PreEscaped(style::STYLE)) }
            }
            body {
                header {
                    h1 { (title) }
                    p.lead { (ruling::lead(found)) }
                    p.caution { (found.caution) }
                }
                main {
                    (ruling::outcomes(found))
                    (ruling::consistency(found, source))
                    (ruling::changes(found, source))
                    (measured::places(source))
                    (times::tempo(found, source))
                    (people::wording(found, source))
                    (people::officials(found))
                    (people::avoidable(found, source))
                    (people::angles(found))
                    (people::grades(found))
                    (people::training(found, source))
                    (precedents::section(&source.precedents))
                    (notes(found, source))
                }
            }
        }
    };
    page.into_string()
}

fn notes(found: &Audit, source: &Source) -> Markup {
    html! {
        section {
            h2 { "How is this page to be read?" }
            p {
                "Intervals hold 95 %. Shares have Wilson's interval; times come from the survival curve, in which a review \
                 that was cut short counts as long as it lasted; agreement has the jackknife's interval over plays. "
                "An official is named only by a test that keeps the chance of naming anybody at all, where nobody differs, \
                 below one in twenty; so is a step. What is not named is not proven to be alike: small samples prove little."
            }
            p {
                "A signal on the chart is a question about a review. The league's published rules prevail; grades support \
                 training, not punishment."
            }
            @if found.cannot_tell > 0 {
                p { (found.cannot_tell) " rulings could not be worked out again, because the text of their edition is not here." }
            }
            @if source.stills.left_out > 0 {
                p { (source.stills.left_out) " stills were left out, so that the page stays small; `tellframe log show REVIEW --html FILE` shows them." }
            }
            @if found.repeated > 0 {
                p { (found.repeated) " records came more than once and count once." }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use audit::figures::figures;

    fn report(records: &str) -> String {
        let mut sample = Sample::default();
        audit::sample::read::json_lines(&mut sample, "x", records.as_bytes(), |_| {}).expect("records");
        let editions = Editions::of(&sample, &[]).expect("no log to read");
        let found = figures(&sample, &editions);
        let source = Source::of(&sample, &editions, &found, &BTreeMap::new(), &[]).expect("no log to read");
        page(&found, &source)
    }

    #[test]
    fn a_page_without_records_says_so_and_holds_no_figure() {
        let page = report("");
        assert!(page.contains("no rulings") && page.contains("not punishment"), "{page}");
        assert!(!page.contains("NaN") && !page.contains("inf"), "{page}");
    }

    // PROPERTY: the report fetches nothing and shows texts as texts
    #[test]
    fn texts_of_records_are_texts_and_nothing_is_fetched() {
        let line = |id: &str, outcome: &str| {
            format!(
                "{{\"id\":\"{id}\",\"edition\":\"e\",\"tree\":\"<t>\",\"call\":\"c\",\"answers\":{{\"s\":\"<script>\"}},\
                 \"outcome\":\"{outcome}\",\"called_at\":\"2026-05-09T19:42:11Z\",\"duration_s\":40,\"week\":3}}\n"
            )
        };
        let page = report(&(line("a", "stands") + &line("b", "reversed")));
        assert!(page.contains("&lt;script&gt;") && !page.contains("<script>"), "{page}");
        assert!(page.contains("Week 3"));
        let fetched = ["href=", "src=", "url("].iter().any(|word| page.contains(word));
        assert!(!fetched, "the page must hold everything it shows");
    }
}
