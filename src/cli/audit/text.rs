//! An audit in words.

use formats::audit::{Agreement, Alone, Audit, Inconsistent, Levels, Rate, Times};
use pages::text;

/// Most items of a list; the rest is in the report and in the JSON.
const MOST: usize = 12;

/// A whole audit.
pub(super) fn audit(found: &Audit) -> String {
    let Audit { rulings, re_reviews, cut_short, .. } = found;
    let mut lines = vec![format!("{rulings} rulings, {re_reviews} blind re-reviews, {cut_short} cut short")];
    if found.repeated > 0 {
        lines.push(format!("{} duplicate records were left out", found.repeated));
    }
    lines.extend(found.outcomes.iter().map(|(outcome, rate)| format!("  {outcome}: {}", share(rate))));
    tempo(&mut lines, found);
    agreement(&mut lines, &found.agreement);
    differing(&mut lines, found);
    inconsistent(&mut lines, &found.inconsistent);
    if found.cannot_tell > 0 {
        let count = found.cannot_tell;
        lines.push(format!("{count} rulings could not be worked out again: their edition is not known here"));
    }
    let avoidable = &found.avoidable;
    lines.push(format!(
        "avoidable: {} ({} missed by the crew, {} with nothing there), {} timeouts paid",
        avoidable.count,
        avoidable.by_crew.len(),
        avoidable.by_coach.len(),
        avoidable.timeouts_paid
    ));
    lines.extend(text::by_position(avoidable).map(|positions| format!("  by crew position: {positions}")));
    lines.push(format!("graded: {} of {}", found.grades.graded, found.grades.of));
    lines.push(found.caution.to_owned());
    lines.join("\n")
}

fn tempo(lines: &mut Vec<String>, found: &Audit) {
    let tempo = &found.tempo;
    lines.push(format!("time from call to announcement: {}", times(&tempo.times)));
    for phase in tempo.phases.iter().filter(|phase| phase.times.count > 0) {
        let (times, covered) = (median_and_most(&phase.times), text::covered(phase));
        lines.push(format!("  to {}: {times}, {covered}", phase.phase));
    }
    let after = &tempo.after_settled;
    lines.push(format!("  after it was settled: {}; {:.0} s in all", times(&after.times), after.total_s));
    lines.push(format!("  {} reviews stand out on the chart", tempo.control.signals.len()));
}

/// Steps and officials that differ from the others by more than chance.
fn differing(lines: &mut Vec<String>, found: &Audit) {
    for split in found.wording.steps.iter().filter(|split| split.splits) {
        lines.push(format!(
            "the wording of `{}` in {} splits people: {} agree, p = {} among all steps",
            split.step.as_deref().unwrap_or(""),
            split.tree,
            share(&split.agree),
            p(split.p_adjusted)
        ));
    }
    for pace in found.officials.pace.iter().filter(|pace| pace.slow) {
        lines.push(format!(
            "{} takes longer: {:+.1} s{}, n = {}, p = {} among all officials",
            pace.official,
            pace.longer_s.unwrap_or(0.0),
            pace.longer_ci95.map_or(String::new(), |[low, high]| format!(" ({low:+.1} to {high:+.1})")),
            pace.count,
            p(pace.p_adjusted)
        ));
    }
    for differs in found.officials.answers.iter().take(MOST) {
        lines.push(format!(
            "{} answers `{}` in {} with `{}` {}, the others {}; p = {} among all comparisons",
            differs.official,
            differs.step,
            differs.tree,
            differs.answer,
            share(&differs.own),
            share(&differs.others),
            p(Some(differs.p_adjusted))
        ));
    }
}

/// Figures of tables alone.
pub(super) fn alone(found: &Alone) -> String {
    let mut lines = Vec::new();
    if let Some(ratings) = &found.ratings {
        agreement(&mut lines, ratings);
    }
    if let Some(durations) = &found.durations {
        lines.push(format!("time: {}", times(&durations.times)));
        let control = &durations.control;
        if let (Some(center), Some(lower), Some(upper)) = (control.center, control.lower, control.upper) {
            let signals = control.signals.len();
            lines.push(format!(
                "chart: mean {center:.1} s, limits {lower:.1} to {upper:.1} s, {signals} signals"
            ));
        }
    }
    lines.join("\n")
}

fn share(rate: &Rate) -> String {
    match rate.rate {
        Some(_) => format!("{}, {}", text::counted(rate), text::share(rate)),
        None => text::counted(rate),
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

fn agreement(lines: &mut Vec<String>, found: &Agreement) {
    if found.pairs == 0 {
        return lines.push("agreement: nothing was rated twice".to_owned());
    }
    let agree = found.agree.as_ref().map_or(String::new(), share);
    lines.push(format!("agreement: {} pairs, {agree} agree", found.pairs));
    let Agreement { cohen_kappa, cohen_ci95, fleiss_kappa, fleiss_ci95, krippendorff_alpha, .. } = *found;
    let Levels { nominal, ordinal, interval, ratio } = krippendorff_alpha;
    let ends = found.krippendorff_ci95;
    for (name, value, ci95) in [
        ("Cohen's kappa", cohen_kappa, cohen_ci95),
        ("Fleiss' kappa", fleiss_kappa, fleiss_ci95),
        ("Krippendorff's alpha, nominal", nominal, ends.nominal),
        ("Krippendorff's alpha, ordinal", ordinal, ends.ordinal),
        ("Krippendorff's alpha, interval", interval, ends.interval),
        ("Krippendorff's alpha, ratio", ratio, ends.ratio),
    ] {
        if value.is_some() {
            lines.push(format!("  {name}: {}", text::with_interval(value, ci95, 3)));
        }
    }
}

fn inconsistent(lines: &mut Vec<String>, found: &[Inconsistent]) {
    if found.is_empty() {
        return lines.push("nothing inconsistent was found".to_owned());
    }
    lines.push(format!("inconsistent: {}", found.len()));
    for one in found.iter().take(MOST) {
        let records = one.records.iter().zip(&one.outcomes).take(4);
        let records: Vec<String> = records.map(|(id, outcome)| format!("{id} {outcome}")).collect();
        let more = one.records.len().saturating_sub(4);
        let more = if more > 0 { format!(" and {more} more") } else { String::new() };
        let Inconsistent { tree, call, why, says, .. } = one;
        lines.push(format!("  {tree} called {call}, {why}: {says}: {}{more}", records.join(", ")));
    }
    if found.len() > MOST {
        lines.push(format!("  and {} more: in the report and in the JSON", found.len() - MOST));
    }
}
