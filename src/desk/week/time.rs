//! Where the seconds went: the chart of the reviews, the phases, the slowest steps, who takes longer.

use super::chart::{self, Chart};
use super::line::{Line, Of};
use super::see::See;
use crate::theme::Palette;
use crate::widget::{card, label};
use audit::figures::tempo::timed;
use formats::audit::{Id, Pace, Times};
use iced::widget::{Column, column, row, space};
use iced::{Element, Length};
use pages::text as words;

/// The chart, and the tables below it.
#[derive(Debug, Clone)]
pub(crate) struct Time {
    lead: Vec<String>,
    chart: Chart,
    phases: Vec<[String; 3]>,
    /// How many reviews each phase covers, and why the others are missing.
    covered: Vec<String>,
    steps: Vec<[String; 3]>,
}

/// Number of steps listed: the slowest ones.
const STEPS: usize = 6;
/// With fewer reviews a step's median means nothing.
const LEAST: u64 = 5;
/// How the reason ends if a single review stands out.
const BEYOND: &str = "beyond a limit";
/// Number of reviews on the chart: the newest ones.
const ON_CHART: usize = 400;

/// First who takes longer, then the reviews that stand out.
pub(super) fn lines(see: &See<'_>) -> Vec<Line> {
    let slow = see.found.officials.pace.iter().filter(|pace| pace.slow).map(slow);
    let control = &see.found.tempo.control;
    let signals = control.signals.iter().zip(&control.because).filter_map(|(id, because)| {
        let Id::Record(id) = id else { return None };
        let row = see.held.record(id)?;
        let seconds = row.duration_s.map_or(String::new(), |took| format!("{} s: ", words::rounded(took)));
        Some(Line {
            head: see.held.title(see.held.sample.text(row.tree)).to_owned(),
            under: format!("{seconds}{because}"),
            look: false,
            of: Of::Record(id.clone()),
        })
    });
    let mut signals: Vec<Line> = signals.collect();
    // A run lists each of its reviews. Single reviews that took too long come first.
    signals.sort_by_key(|line| !line.under.ends_with(BEYOND));
    slow.chain(signals).collect()
}

fn slow(pace: &Pace) -> Line {
    let longer = words::with_interval(pace.longer_s, pace.longer_ci95, 0);
    let p = words::probability(pace.p_adjusted);
    Line {
        head: format!("{} takes longer", pace.official),
        under: format!("{longer} s than the others on the same questions, n {}, p among all {p}", pace.count),
        look: true,
        of: Of::Itself,
    }
}

/// The chart and tables, with the selected review.
pub(super) fn time(see: &See<'_>, pointed: Option<&Of>) -> Time {
    let sample = &see.held.sample;
    let mut timed = timed(sample);
    if let Some(week) = see.week {
        let of_week = |id: &str| see.held.record(id).is_some_and(|row| row.week == Some(week));
        timed.retain(|one| of_week(&one.id));
    }
    let timed = timed.split_off(timed.len().saturating_sub(ON_CHART));
    let tempo = &see.found.tempo;
    let pointed = match pointed {
        Some(Of::Record(id)) => timed.iter().position(|one| one.id == *id),
        Some(_) | None => None,
    };
    let after = &tempo.after_settled;
    let mut lead = vec![format!(
        "median {}, nine of ten within {}, n {}",
        words::median(&tempo.times),
        words::nine_of_ten(&tempo.times),
        tempo.times.count
    )];
    if after.times.count > 0 {
        lead.push(format!(
            "after the ruling was already decided: median {}, {} minutes in total",
            words::median(&after.times),
            words::rounded(after.total_s / 60.0)
        ));
    }
    let line = |name: String, times: &Times| [name, words::median(times), words::nine_of_ten(times)];
    let phases = || tempo.phases.iter().filter(|phase| phase.times.count > 0);
    let covered = phases().map(|phase| format!("to {}: {}", phase.phase, words::covered(phase)));
    let covered = covered.collect();
    let phases = phases().map(|phase| line(format!("to {}", phase.phase), &phase.times));
    let mut steps: Vec<_> = tempo.steps.iter().filter(|step| step.times.count >= LEAST).collect();
    steps
        .sort_by(|a, b| b.times.median_s.partial_cmp(&a.times.median_s).unwrap_or(std::cmp::Ordering::Equal));
    let steps = steps.into_iter().take(STEPS);
    let steps = steps.map(|step| line(see.held.asks(&step.tree, &step.step).to_owned(), &step.times));
    Time {
        lead,
        chart: Chart::of(&timed, &tempo.control, pointed),
        phases: phases.collect(),
        covered,
        steps: steps.collect(),
    }
}

pub(super) fn view<'a, M: Clone + 'a>(time: &'a Time, palette: &'static Palette) -> Element<'a, M> {
    let mut parts = column![label::ask("Seconds from the call to the announcement", palette.ink)].spacing(10);
    for line in &time.lead {
        parts = parts.push(label::plain(line.as_str(), palette.ink));
    }
    let tables = row![
        table(["phase", "median, 95 %", "nine of ten"], &time.phases, palette),
        table(["slowest steps, to settle", "median, 95 %", "nine of ten"], &time.steps, palette)
    ]
    .spacing(32);
    let note = "Dot: a review. Bar below it: time after it was settled. Ring: stands out by the chart's rules; a question about the review, not about a person.";
    parts
        .push(chart::view(&time.chart, palette))
        .push(label::small(note, palette.muted))
        .push(card::divide(palette))
        .push(tables)
        .push(label::small(COVERED, palette.muted))
        .extend(time.covered.iter().map(|line| label::small(line.as_str(), palette.muted).into()))
        .into()
}

/// How to read the phases.
const COVERED: &str = "Together the phases are a review's time. One that is settled without a mark is timed from the first look; a mark that only its restart needs belongs to the time to the ruling.";

fn table<'a, M: 'a>(
    heads: [&'static str; 3],
    rows: &'a [[String; 3]],
    palette: &'static Palette,
) -> Column<'a, M> {
    let [name, median, most] = heads;
    let line = |name, median, most| row![name, space().width(8), median, most].spacing(8);
    let cell = |words, width| label::small(words, palette.muted).width(width);
    let mut lines = column![line(
        cell(name, Length::Fill),
        cell(median, Length::Fixed(MEDIAN)),
        cell(most, Length::Fixed(MOST))
    )]
    .spacing(5)
    .width(Length::Fill);
    for [name, median, most] in rows {
        let cell = |words: &'a String, width| label::small(words.as_str(), palette.ink).width(width);
        lines = lines.push(line(
            cell(name, Length::Fill),
            cell(median, Length::Fixed(MEDIAN)),
            cell(most, Length::Fixed(MOST)),
        ));
    }
    lines
}

const MEDIAN: f32 = 120.0;
const MOST: f32 = 90.0;
