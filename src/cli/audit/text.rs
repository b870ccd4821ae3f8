//! An audit in words.

use formats::audit::{Agreement, Alone, Audit, Inconsistent, Levels, Rate, Times};
use pages::text;
use std::fmt::Write;

/// Most of a list that is told; the rest is in the report and in the JSON.
const MOST: usize = 12;

/// A whole audit.
pub(super) fn audit(found: &Audit) -> String {
    let mut out = String::new();
    line(
        &mut out,
        format_args!(
            "{} rulings, {} blind re-reviews, {} cut short",
            found.rulings, found.re_reviews, found.cut_short
        ),
    );
    if found.repeated > 0 {
        line(&mut out, format_args!("{} records came again and were left out", found.repeated));
    }
    for (outcome, rate) in &found.outcomes {
        line(&mut out, format_args!("  {outcome}: {}", share(rate)));
    }
    line(&mut out, format_args!("time from call to announcement: {}", times(&found.tempo.times)));
    for phase in found.tempo.phases.iter().filter(|phase| phase.times.count > 0) {
        line(
            &mut out,
            format_args!("  to {}: {}, {}", phase.phase, median_and_most(&phase.times), text::covered(phase)),
        );
    }
    let after = &found.tempo.after_settled;
    line(
        &mut out,
        format_args!("  after it was settled: {}; {:.0} s in all", times(&after.times), after.total_s),
    );
    let signals = found.tempo.control.signals.len();
    line(&mut out, format_args!("  {signals} reviews stand out on the chart"));
    agreement(&mut out, &found.agreement);
    differing(&mut out, found);
    inconsistent(&mut out, &found.inconsistent);
    if found.cannot_tell > 0 {
        line(
            &mut out,
            format_args!(
                "{} rulings could not be worked out again: their edition is not known here",
                found.cannot_tell
            ),
        );
    }
    let avoidable = &found.avoidable;
    line(
        &mut out,
        format_args!(
            "avoidable: {} ({} missed by the crew, {} with nothing there), {} timeouts paid",
            avoidable.count,
            avoidable.by_crew.len(),
            avoidable.by_coach.len(),
            avoidable.timeouts_paid
        ),
    );
    if let Some(positions) = text::by_position(avoidable) {
        line(&mut out, format_args!("  by crew position: {positions}"));
    }
    line(&mut out, format_args!("graded: {} of {}", found.grades.graded, found.grades.of));
    line(&mut out, format_args!("{}", found.caution));
    out
}

/// Steps and officials that differ from the others by more than chance.
fn differing(out: &mut String, found: &Audit) {
    for split in found.wording.steps.iter().filter(|split| split.splits) {
        line(
            out,
            format_args!(
                "the wording of `{}` in {} splits people: {} agree, p = {} among all steps",
                split.step.as_deref().unwrap_or(""),
                split.tree,
                share(&split.agree),
                p(split.p_adjusted)
            ),
        );
    }
    for pace in found.officials.pace.iter().filter(|pace| pace.slow) {
        line(
            out,
            format_args!(
                "{} takes longer: {:+.1} s{}, n = {}, p = {} among all officials",
                pace.official,
                pace.longer_s.unwrap_or(0.0),
                pace.longer_ci95.map_or(String::new(), |[low, high]| format!(" ({low:+.1} to {high:+.1})")),
                pace.count,
                p(pace.p_adjusted)
            ),
        );
    }
    for differs in found.officials.answers.iter().take(MOST) {
        line(
            out,
            format_args!(
                "{} answers `{}` in {} with `{}` {}, the others {}; p = {} among all comparisons",
                differs.official,
                differs.step,
                differs.tree,
                differs.answer,
                share(&differs.his),
                share(&differs.others),
                p(Some(differs.p_adjusted))
            ),
        );
    }
}

/// Figures of tables alone.
pub(super) fn alone(found: &Alone) -> String {
    let mut out = String::new();
    if let Some(ratings) = &found.ratings {
        agreement(&mut out, ratings);
    }
    if let Some(durations) = &found.durations {
        line(&mut out, format_args!("time: {}", times(&durations.times)));
        let control = &durations.control;
        if let (Some(center), Some(lower), Some(upper)) = (control.center, control.lower, control.upper) {
            line(
                &mut out,
                format_args!(
                    "chart: mean {center:.1} s, limits {lower:.1} to {upper:.1} s, {} signals",
                    control.signals.len()
                ),
            );
        }
    }
    out
}

fn line(out: &mut String, text: std::fmt::Arguments<'_>) {
    writeln!(out, "{text}").expect("writing to a string cannot fail");
}

fn share(rate: &Rate) -> String {
    match (rate.rate, rate.wilson95) {
        (Some(share), Some([low, high])) => format!(
            "{} of {}, {:.0} % ({:.0}–{:.0})",
            rate.count,
            rate.of,
            100.0 * share,
            100.0 * low,
            100.0 * high
        ),
        (_, None) | (None, _) => "0 of 0".to_owned(),
    }
}

fn times(times: &Times) -> String {
    if times.count == 0 {
        return "no review was timed".to_owned();
    }
    format!("{}, n = {}, {} of them cut short", median_and_most(times), times.count, times.cut_short)
}

fn median_and_most(times: &Times) -> String {
    let reached = |time: Option<String>| time.unwrap_or_else(|| "not reached".to_owned());
    let [low, high] = times.median_ci95.map(|end| end.map_or("…".to_owned(), |end| format!("{end:.1}")));
    format!(
        "median {}, nine of ten within {}",
        reached(times.median_s.map(|median| format!("{median:.1} s ({low}–{high})"))),
        reached(times.p90_s.map(|seconds| format!("{seconds:.1} s")))
    )
}

fn p(p: Option<f64>) -> String {
    match p {
        Some(p) if p < 0.0005 => "< 0.0005".to_owned(),
        Some(p) => format!("{p:.4}"),
        None => "not known".to_owned(),
    }
}

fn agreement(out: &mut String, found: &Agreement) {
    if found.pairs == 0 {
        return line(out, format_args!("agreement: nothing was rated twice"));
    }
    let agree = found.agree.as_ref().map_or(String::new(), share);
    line(out, format_args!("agreement: {} pairs, {agree} agree", found.pairs));
    let Agreement { cohen_kappa, cohen_ci95, fleiss_kappa, fleiss_ci95, krippendorff_alpha, .. } = found;
    figure(out, "Cohen's kappa", *cohen_kappa, *cohen_ci95);
    figure(out, "Fleiss' kappa", *fleiss_kappa, *fleiss_ci95);
    let Levels { nominal, ordinal, interval, ratio } = krippendorff_alpha;
    let ends = &found.krippendorff_ci95;
    figure(out, "Krippendorff's alpha, nominal", *nominal, ends.nominal);
    figure(out, "Krippendorff's alpha, ordinal", *ordinal, ends.ordinal);
    figure(out, "Krippendorff's alpha, interval", *interval, ends.interval);
    figure(out, "Krippendorff's alpha, ratio", *ratio, ends.ratio);
}

fn figure(out: &mut String, name: &str, value: Option<f64>, ci95: Option<[f64; 2]>) {
    if let Some(value) = value {
        let ends = ci95.map_or("no interval".to_owned(), |[low, high]| format!("{low:.3} to {high:.3}"));
        line(out, format_args!("  {name}: {value:.3} ({ends})"));
    }
}

fn inconsistent(out: &mut String, found: &[Inconsistent]) {
    if found.is_empty() {
        return line(out, format_args!("nothing inconsistent was found"));
    }
    line(out, format_args!("inconsistent: {}", found.len()));
    for one in found.iter().take(MOST) {
        let named: Vec<String> = one
            .records
            .iter()
            .zip(&one.outcomes)
            .take(4)
            .map(|(id, outcome)| format!("{id} {outcome}"))
            .collect();
        let more = one.records.len().saturating_sub(4);
        let more = if more > 0 { format!(" and {more} more") } else { String::new() };
        line(
            out,
            format_args!(
                "  {} called {}, {}: {}: {}{more}",
                one.tree,
                one.call,
                one.why,
                one.says,
                named.join(", ")
            ),
        );
    }
    if found.len() > MOST {
        line(out, format_args!("  and {} more: in the report and in the JSON", found.len() - MOST));
    }
}
