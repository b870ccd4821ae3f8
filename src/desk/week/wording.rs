//! Which wording splits people, and who answers differently from the others.

use super::line::{Line, Of};
use super::see::See;
use super::tracks::{Drawn, Track, Tracks};
use formats::audit::{Differs, Split};
use pages::text;
use std::collections::BTreeMap;

/// Number of steps drawn.
const DRAWN: usize = 14;

fn step(split: &Split) -> &str {
    split.step.as_deref().unwrap_or("the outcome")
}

fn asks(split: &Split) -> &str {
    split.asks.as_deref().unwrap_or(step(split))
}

/// First the steps that were answered twice, those with the most disagreement first, then who answers differently.
pub(super) fn lines(see: &See<'_>) -> Vec<Line> {
    let steps = splits(see).map(|split| Line {
        head: asks(split).to_owned(),
        under: format!("{}: {} agree", see.held.title(&split.tree), text::counted(&split.agree)),
        look: split.splits,
        of: Of::Step(split.tree.clone(), step(split).to_owned()),
    });
    steps.chain(see.found.officials.answers.iter().map(|one| differs(see, one))).collect()
}

/// Second looks are few, so those of all weeks are taken together.
fn splits<'a>(see: &See<'a>) -> impl Iterator<Item = &'a Split> {
    see.held.found.wording.steps.iter()
}

fn differs(see: &See<'_>, one: &Differs) -> Line {
    Line {
        head: format!("{} answers differently", one.official),
        under: format!(
            "{} \"{}\": {}; the others: {}; p among all {}",
            see.held.asks(&one.tree, &one.step),
            one.answer,
            text::counted(&one.own),
            text::counted(&one.others),
            text::probability(Some(one.p_adjusted))
        ),
        look: true,
        of: Of::Itself,
    }
}

/// All steps, and how the selected one was answered.
pub(super) fn tracks(see: &See<'_>, pointed: Option<&Of>) -> Option<Tracks> {
    let agreement = &see.held.found.agreement;
    if agreement.pairs == 0 && see.found.officials.answers.is_empty() {
        return None;
    }
    let of = |split: &Split| Of::Step(split.tree.clone(), step(split).to_owned());
    let at = splits(see).position(|split| pointed == Some(&of(split))).unwrap_or(0);
    let tracks = splits(see).skip((at + 1).saturating_sub(DRAWN)).take(DRAWN).map(|split| Track {
        words: asks(split).to_owned(),
        figure: format!("alpha {}", text::with_interval(split.alpha, split.alpha_ci95, 2)),
        drawn: Drawn { value: split.alpha, ci95: split.alpha_ci95, look: split.splits },
        pointed: pointed == Some(&of(split)),
    });
    let says = match pointed {
        Some(Of::Step(tree, name)) => contradicted(see, tree, name),
        Some(_) | None => Vec::new(),
    };
    Some(Tracks {
        title: "Which wording splits people",
        from: format!(
            "{} pairs of a review and its blind second look agree in the outcome; Krippendorff's alpha {}",
            agreement.agree.as_ref().map_or("no".to_owned(), text::counted),
            text::with_interval(agreement.krippendorff_alpha.nominal, agreement.krippendorff_ci95.nominal, 2)
        ),
        tracks: tracks.collect(),
        says,
        note: "In accent: more disagreement than at the other steps, by more than chance among all of them. Fix the wording before blaming anyone. \
               Small samples prove little; figures support training, not punishment.",
    })
}

/// The first official's answers with the second's, most frequent first.
fn contradicted(see: &See<'_>, tree: &str, name: &str) -> Vec<String> {
    let (sample, facts) = (&see.held.sample, &see.held.facts);
    let mut pairs: BTreeMap<(String, String), usize> = BTreeMap::new();
    for &(one, other) in sample.again() {
        if sample.text(sample.rows[one].tree) != tree {
            continue;
        }
        let answer = |row: usize| {
            let path = facts.of_row(row).path.iter();
            path.filter(|(step, _)| sample.text(*step) == name)
                .map(|(_, says)| says.replace('|', " or "))
                .next()
        };
        if let (Some(first), Some(second)) = (answer(one), answer(other)) {
            *pairs.entry((first, second)).or_insert(0) += 1;
        }
    }
    let mut pairs: Vec<_> = pairs.into_iter().collect();
    pairs.sort_by(|a, b| b.1.cmp(&a.1).then(a.0.cmp(&b.0)));
    pairs
        .into_iter()
        .map(|((first, second), count)| format!("{count} ×  first {first}, again {second}"))
        .collect()
}
