//! Looks and answers: what a step asks for before an answer to it counts.
//!
//! A measurement supersedes a person's answer to the same step; its verdict follows the book's standard. An answer that
//! contradicts it, lacks its look or marks, or comes past the limit needs a reason, which the ruling shows.

use super::event::{Answered, Look};
use super::fold::Review;
use super::known::{known_step, possible};
use super::marking;
use super::refusal::{Refusal, no, unknown};
use super::stamp::Stamp;
use evidence::mark::{Basis, Measurement, Quantity};
use evidence::time::order::{Between, Figures};
use evidence::verdict::Verdict;
use rules::book::Book;
use rules::book::tree::{Looks, Proof, Set, Step};

/// The step's options with these names; unknown names are left out.
pub(super) fn options(step: &Step, names: &[String]) -> Set {
    let known = names.iter().filter_map(|name| step.option(name));
    known.fold(Set::EMPTY, |set, option| set.with(Set::one(option)))
}

pub(super) fn step<'b>(
    book: &'b Book,
    review: &Review,
    question: usize,
    name: &str,
) -> Result<&'b Step, Refusal> {
    let Some(asked) = review.questions.get(question) else {
        return no(format!("there is no question {question}"), "questions count from 0, in play order");
    };
    let Some(tree) = book.tree(&asked.tree) else {
        return unknown("question", &asked.tree, book.trees.iter().map(|tree| tree.id.as_str()));
    };
    match tree.step(name) {
        Some(step) => Ok(&tree.steps[step]),
        None => unknown("step", name, tree.steps.iter().map(|step| step.name.as_str())),
    }
}

/// Force and intent are judged at full speed: slow motion makes an act look more intentional.
pub(super) fn look(book: &Book, review: &Review, look: Look) -> Result<Look, Refusal> {
    let step = step(book, review, look.question, &look.step)?;
    let needed = step.looks == Looks::FullSpeed && look.kind != Looks::FullSpeed;
    if needed && !given(look.reason.as_ref()) {
        return Err(Refusal {
            because: format!("`{}` is judged at full speed", step.name),
            instead: "look at full speed, or give a reason".to_owned(),
            reason_carries: true,
        });
    }
    let reason = look.reason.filter(|_| needed);
    Ok(Look { reason, ..look })
}

fn given(reason: Option<&String>) -> bool {
    reason.is_some_and(|reason| !reason.trim().is_empty())
}

/// The answer with its basis checked, or the objection to it.
pub(super) fn answer(
    book: &Book,
    review: &Review,
    answered: Answered,
    now: &Stamp,
) -> Result<Answered, Refusal> {
    let step = step(book, review, answered.question, &answered.step)?;
    if answered.options.is_empty() {
        return no(
            format!("the answer to `{}` is empty", step.name),
            "answer with all options for `unclear`",
        );
    }
    if let Some(wrong) = answered.options.iter().find(|name| step.option(name).is_none()) {
        return unknown("answer", wrong, step.options.iter().map(|choice| choice.name.as_str()));
    }
    if let Some((known, why)) = known_step(book, review, answered.question, step) {
        let given = options(step, &answered.options);
        let alone = known.answers.len() == 1;
        if given.and(known.answers).is_empty() || alone && given != known.answers {
            return no(
                format!("`{}` is not asked. {}", step.name, crate::announcement::capital(&why)),
                format!(
                    "it is {}; where that is wrong, put the situation or the read-back right",
                    possible(step, known)
                ),
            );
        }
        if alone {
            return Ok(Answered { reason: None, basis: Basis::Attested, ..answered });
        }
    }
    let answered = match answered.basis {
        Basis::Computed(measured) => {
            marking::rests(review, answered.question, step, &measured)?;
            let basis = Basis::Computed(counted(book, step, measured)?);
            Answered { basis, ..answered }
        }
        Basis::Attested => agreeing(review, step, answered),
    };
    let objection = objection(book, review, step, &answered, now);
    match objection {
        Some(objection) if !given(answered.reason.as_ref()) => Err(Refusal {
            because: objection,
            instead: "prove it, answer unclear, or give a reason: the ruling will show it".to_owned(),
            reason_carries: true,
        }),
        // Without an objection there is nothing to override, so the reason is dropped.
        Some(_) => Ok(answered),
        None => Ok(Answered { reason: None, ..answered }),
    }
}

/// Checks that the measurement is of what the step asks for, and holds its verdict to the book's standard.
fn counted(book: &Book, step: &Step, measured: Measurement) -> Result<Measurement, Refusal> {
    let name = &step.name;
    let fits = match (&measured.of, &step.proof) {
        (_, Proof::Judgement | Proof::Seen { .. }) => {
            return no(format!("`{name}` is seen or judged, not measured"), "answer it as a person");
        }
        (None, _) => true,
        (Some(Quantity::Order { first, then, .. }), Proof::Order { first: one, then: other }) => {
            (first, then) == (one, other)
        }
        (
            Some(Quantity::Gap { first, then, at_least_s, .. }),
            Proof::Gap { first: one, then: other, at_least_s: asked },
        ) => (first, then) == (one, other) && at_least_s == asked,
        (Some(Quantity::Position { line, .. }), Proof::Position { line: asked, .. }) => line == asked,
        (Some(Quantity::Order { .. } | Quantity::Gap { .. } | Quantity::Position { .. }), _) => false,
    };
    if !fits || measured.of.as_ref().is_some_and(|of| !of.is_possible()) {
        return no(
            format!("what was measured is not what `{name}` asks for"),
            format!("measure its {}, with the moments and the line that the step names", step.proof.kind()),
        );
    }
    let verdict = measured.verdict.under(book.replay.standard.established);
    Ok(Measurement { verdict, ..measured })
}

/// A person's answer that agrees with the measurement gets the measurement as its basis.
fn agreeing(review: &Review, step: &Step, answered: Answered) -> Answered {
    match review.measured(answered.question, &step.name) {
        Some(measured) if against(measured.verdict, step, options(step, &answered.options)).is_none() => {
            Answered { basis: Basis::Computed(measured.clone()), ..answered }
        }
        Some(_) | None => answered,
    }
}

/// The time between two events as a measurement for a step that asks for an order or a gap, under the book's
/// standard; `None` for any other step.
pub fn timed(book: &Book, step: &Step, between: &Between) -> Option<Measurement> {
    let at_least = match &step.proof {
        Proof::Order { .. } => 0.0,
        Proof::Gap { at_least_s, .. } => *at_least_s,
        Proof::Seen { .. }
        | Proof::Position { .. }
        | Proof::Count { .. }
        | Proof::Never { .. }
        | Proof::Judgement => return None,
    };
    let verdict = between.verdict(at_least, book.replay.standard.established);
    let figures = match between {
        Between::Known(gap) => Some(gap.figures()),
        Between::Contradiction => None,
    };
    let of = figures.and_then(|Figures { mean: gap_s, sigma: sigma_s, .. }| match &step.proof {
        Proof::Order { first, then } => {
            Some(Quantity::Order { first: first.clone(), then: then.clone(), gap_s, sigma_s })
        }
        Proof::Gap { first, then, at_least_s } => Some(Quantity::Gap {
            first: first.clone(),
            then: then.clone(),
            at_least_s: *at_least_s,
            gap_s,
            sigma_s,
        }),
        Proof::Seen { .. }
        | Proof::Position { .. }
        | Proof::Count { .. }
        | Proof::Never { .. }
        | Proof::Judgement => None,
    });
    Some(Measurement { verdict, of })
}

/// The options that a measurement leaves: the one that the step states, all others, or all of them.
pub fn offered(step: &Step, verdict: Verdict) -> Vec<String> {
    let names =
        |from: usize, to: usize| step.options[from..to].iter().map(|option| option.name.clone()).collect();
    match verdict {
        Verdict::Established { .. } => names(0, 1),
        Verdict::Refuted { .. } => names(1, step.options.len()),
        Verdict::Inconclusive { .. } | Verdict::Contradiction => names(0, step.options.len()),
    }
}

/// The objection to an answer: the limit, a measurement, missing looks or marks.
fn objection(book: &Book, review: &Review, step: &Step, answered: &Answered, now: &Stamp) -> Option<String> {
    let limits = &book.replay.limits;
    if let (Some(limit), Some(first)) = (limits.to_ruling_s, &review.times.first_look)
        && now.since(first).is_some_and(|elapsed| elapsed.ms() > u64::from(limit) * 1000)
    {
        return Some(format!(
            "the limit of {limit} s from the first look is reached: rule on what is proven"
        ));
    }
    let set = options(step, &answered.options);
    let measured = match &answered.basis {
        Basis::Computed(measured) => Some(measured),
        Basis::Attested => review.measured(answered.question, &step.name),
    };
    if let Some(measured) = measured {
        return against(measured.verdict, step, set);
    }
    if set == step.every() {
        return None;
    }
    let looked = |look: &&Look| {
        look.question == answered.question && look.step == step.name && look.kind == step.looks
    };
    if !review.looks().any(|look| looked(&look)) {
        return Some(format!("`{}` has not been looked at {}", step.name, step.looks.text()));
    }
    if set.within(step.unmarked) {
        return None;
    }
    let marked = |moment: &str| review.marks().any(|marked| marked.mark.moment == moment);
    let missing: Vec<&str> = step.proof.moments().into_iter().filter(|moment| !marked(moment)).collect();
    (!missing.is_empty()).then(|| format!("`{}` is not marked: {}", step.name, missing.join(", ")))
}

/// The objection from a measurement. The first option of a step is the one that its proof states.
fn against(verdict: Verdict, step: &Step, set: Set) -> Option<String> {
    let says_so = set.has(0) && set.len() == 1;
    let unclear = set == step.every();
    match verdict {
        Verdict::Established { probability } if !says_so => {
            Some(format!("the measurement establishes `{}` ({probability:.3})", step.options[0].name))
        }
        Verdict::Refuted { probability } if set.has(0) => {
            Some(format!("the measurement refutes `{}` ({probability:.3})", step.options[0].name))
        }
        Verdict::Inconclusive { .. } | Verdict::Contradiction if unclear => None,
        Verdict::Inconclusive { probability } => {
            Some(format!("the measurement is inconclusive ({probability:.3})"))
        }
        Verdict::Contradiction => Some("the marks contradict each other".to_owned()),
        Verdict::Established { .. } | Verdict::Refuted { .. } => None,
    }
}
