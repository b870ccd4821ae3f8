//! What an answer needs before it counts: its look, the marks of its proof, and a reason if something speaks against
//! it.

use evidence::mark::{Basis, Measurement, Quantity};
use evidence::time::order::{Clip, Mark, Marks, between};
use evidence::verdict::Verdict;
use review::answer::{offered, timed};
use review::decide::Command;
use review::event::{Answered, Override};
use rules::book::tree::Looks;
use testing::booth::{Booth, answer, answered, look, mark};

fn with_reason(answered: Answered, reason: &str) -> Command {
    Command::Answer(Answered { reason: Some(reason.to_owned()), ..answered })
}

fn computed(step: &str, options: &[&str], verdict: Verdict) -> Answered {
    Answered { basis: Basis::Computed(verdict.into()), ..answered(0, step, options) }
}

/// The kind of look belongs to the step (3.7), and so does what is to be marked.
#[test]
fn an_answer_needs_its_look_and_the_marks_of_its_proof() {
    for (tree, call, step, kind, other, moments) in [
        ("catch-along-wall", "incomplete", "control", Looks::FrameByFrame, Looks::Slow, vec!["control"]),
        (
            "catch-along-wall",
            "incomplete",
            "wall first",
            Looks::FrameByFrame,
            Looks::FullSpeed,
            vec!["ball on the wall", "control"],
        ),
        (
            "catch-along-wall",
            "incomplete",
            "clear of the wall",
            Looks::FrameByFrame,
            Looks::Slow,
            vec!["release", "after the landing"],
        ),
        (
            "catch-along-wall",
            "incomplete",
            "out after the catch",
            Looks::Slow,
            Looks::FrameByFrame,
            vec!["dead ball"],
        ),
        ("line-reached", "short", "line to gain", Looks::FrameByFrame, Looks::Slow, vec!["forward point"]),
        (
            "linebacker-moving",
            "foul",
            "still",
            Looks::FrameByFrame,
            Looks::Slow,
            vec!["last movement of a foot", "snap"],
        ),
        ("three-down", "foul", "down", Looks::FrameByFrame, Looks::Slow, vec!["snap"]),
        ("roughing-passer", "foul", "force", Looks::FullSpeed, Looks::FullSpeed, vec![]),
    ] {
        let mut booth = Booth::open(tree, call);
        let known = booth.book.tree(tree).expect("it is there");
        let step_of = |name: &str| known.step(name).map(|index| known.steps[index].clone());
        let Some(known) = step_of(step) else {
            panic!("{tree} has {:?}", known.steps.iter().map(|step| &step.name).collect::<Vec<_>>())
        };
        assert_eq!((known.looks, known.proof.moments()), (kind, moments.clone()), "{tree}/{step}");
        let yes = answer(0, step, &["yes"]);
        if other != kind {
            booth.does(look(0, step, other, None));
        }
        let no = booth.refuses(yes.clone());
        assert!(no.because.starts_with(&format!("`{step}` has not been looked at")), "{no}");
        assert!(no.reason_carries);
        booth.does(look(0, step, kind, None));
        for (number, moment) in moments.iter().enumerate() {
            let no = booth.refuses(yes.clone());
            let missing = moments[number..].join(", ");
            assert_eq!(no.to_string(), format!("`{step}` is not marked: {missing}"), "{tree}");
            booth.does(mark(moment, None, None));
        }
        booth.does(yes);
        assert!(booth.review.overrides().is_empty());
    }
}

#[test]
fn an_answer_that_no_mark_can_show_needs_only_its_look_and_unclear_needs_nothing() {
    let mut booth = Booth::open("catch-goal-line", "incomplete");
    booth.does(answer(0, "plane", &["yes", "no"]));
    booth.refuses(answer(0, "down first", &["no"]));
    booth.does(look(0, "down first", Looks::FrameByFrame, None));
    booth.does(answer(0, "down first", &["no"]));
    assert_eq!(
        booth.refuses(answer(0, "down first", &["yes"])).to_string(),
        "`down first` is not marked: down, at the plane"
    );
}

#[test]
fn a_step_at_full_speed_refuses_a_slow_look_without_a_reason_and_shows_it_with_one() {
    let mut booth = Booth::open("roughing-passer", "foul");
    for kind in [Looks::Slow, Looks::FrameByFrame] {
        for reason in [None, Some(" ")] {
            let no = booth.refuses(look(0, "force", kind, reason));
            assert_eq!(no.to_string(), "`force` is judged at full speed");
            assert!(no.reason_carries);
        }
    }
    booth.does(look(0, "force", Looks::Slow, Some("the arm hides it at speed")));
    let shown = vec![Override {
        what: "the look at `force`".to_owned(),
        reason: "the arm hides it at speed".to_owned(),
    }];
    assert_eq!(booth.review.overrides(), shown);
    // It does not replace the look that the step asks for.
    assert!(booth.refuses(answer(0, "force", &["yes"])).because.contains("not been looked at at full speed"));
    // A reason where none is needed is not kept.
    booth.does(look(0, "force", Looks::FullSpeed, Some("for fun")));
    booth.does(look(0, "hit", Looks::Slow, Some("for fun")));
    assert_eq!(booth.review.overrides(), shown);
}

#[test]
fn an_answer_against_a_measurement_needs_a_reason_and_the_ruling_shows_it() {
    let established = Verdict::Established { probability: 0.995 };
    let refuted = Verdict::Refuted { probability: 0.004 };
    let open = Verdict::Inconclusive { probability: 0.7 };
    let both: &[&str] = &["yes", "no"];
    for (verdict, with, against) in [
        (
            established,
            vec![&["yes"][..]],
            vec![(&["no"][..], "establishes `yes` (0.995)"), (both, "establishes `yes`")],
        ),
        (refuted, vec![&["no"][..]], vec![(&["yes"][..], "refutes `yes` (0.004)"), (both, "refutes `yes`")]),
        (open, vec![both], vec![(&["yes"][..], "is inconclusive (0.700)"), (&["no"][..], "is inconclusive")]),
        (
            Verdict::Contradiction,
            vec![both],
            vec![(&["yes"][..], "contradict each other"), (&["no"][..], "contradict")],
        ),
    ] {
        let mut booth = Booth::open("catch-along-wall", "incomplete");
        for options in with {
            booth.does(Command::Answer(computed("wall first", options, verdict)));
        }
        for (options, because) in against {
            let no = booth.refuses(Command::Answer(computed("wall first", options, verdict)));
            assert!(no.because.contains(because) && no.reason_carries, "{no}");
            booth.does(with_reason(computed("wall first", options, verdict), "the far camera is cut"));
            booth.does(Command::Undo);
        }
        let last = computed("wall first", &["yes"], Verdict::Contradiction);
        booth.does(with_reason(last, "seen at the low wall"));
        booth.does(Command::Rule);
        let shown = Override {
            what: "the answer to `wall first`: yes".to_owned(),
            reason: "seen at the low wall".to_owned(),
        };
        assert_eq!(booth.ruling().overrides, [shown]);
    }
}

fn order(first: &str, then: &str, gap_s: f64) -> Option<Quantity> {
    Some(Quantity::Order { first: first.to_owned(), then: then.to_owned(), gap_s, sigma_s: 0.006 })
}

fn wall_first(options: &[&str], verdict: Verdict, of: Option<Quantity>) -> Answered {
    let basis = Basis::Computed(Measurement { verdict, of });
    Answered { basis, ..answered(0, "wall first", options) }
}

/// A measurement supersedes a person's answer: one against it needs a reason, one that agrees rests on it.
// PROPERTY: a measurement supersedes what a person says
#[test]
fn a_persons_answer_gives_way_to_the_measurement() {
    let of = order("ball on the wall", "control", 0.031);
    let verdict = Verdict::Established { probability: 0.995 };
    let mut booth = Booth::open("catch-along-wall", "incomplete");
    booth.does(Command::Answer(wall_first(&["yes"], verdict, of.clone())));
    let no = booth.refuses(answer(0, "wall first", &["no"]));
    assert_eq!(no.to_string(), "the measurement establishes `yes` (0.995)");
    assert!(no.reason_carries);
    // No look or mark is needed again, and the answer rests on the measurement.
    booth.does(answer(0, "wall first", &["yes"]));
    let stands = booth.review.answers()[&(0, "wall first")].clone();
    assert_eq!(stands.basis, Basis::Computed(Measurement { verdict, of }));
    booth.does(with_reason(answered(0, "wall first", &["no"]), "the clip is of another play"));
    assert_eq!(booth.review.overrides().len(), 1);
    assert_eq!(booth.review.answers()[&(0, "wall first")].basis, Basis::Attested);
    // Once every measurement is taken back, a person's answer needs look and marks again.
    (0..3).for_each(|_| drop(booth.does(Command::Undo)));
    assert!(booth.refuses(answer(0, "wall first", &["yes"])).because.contains("has not been looked at"));
}

/// The verdict follows the book's standard (3.5), whatever verdict the command claims.
#[test]
fn a_measurement_counts_under_the_standard_of_the_book() {
    let mut booth = Booth::open("catch-along-wall", "incomplete");
    let of = order("ball on the wall", "control", 0.012);
    let generous = Verdict::Established { probability: 0.979 };
    let no = booth.refuses(Command::Answer(wall_first(&["yes"], generous, of.clone())));
    assert_eq!(no.to_string(), "the measurement is inconclusive (0.979)");
    booth.does(Command::Answer(wall_first(&["yes", "no"], generous, of)));
}

#[test]
fn what_was_measured_must_be_what_the_step_asks_for() {
    let verdict = Verdict::Established { probability: 0.995 };
    for of in [
        order("control", "ball on the wall", 0.031),
        order("ball on the wall", "control", f64::NAN),
        Some(Quantity::Position { line: "alignment line".to_owned(), x: 40.0, sigma: 0.1 }),
    ] {
        let mut booth = Booth::open("catch-along-wall", "incomplete");
        let no = booth.refuses(Command::Answer(wall_first(&["yes"], verdict, of)));
        assert_eq!(no.to_string(), "what was measured is not what `wall first` asks for");
    }
}

/// Order steps ask for "before", gap steps for their own time; other steps are not timed.
#[test]
fn marks_become_the_measurement_that_a_step_asks_for() {
    let booth = Booth::open("catch-along-wall", "incomplete");
    let clips = [Clip { rate: "50".parse().ok(), ..Clip::default() }];
    let sight = |frame| [clips[0].sight(0, Mark::Frame(frame)).expect("a mark")];
    let (first, then) = (sight(100), sight(120));
    let between = between(Marks { clips: &clips, first: &first, then: &then }).expect("marks that can be");
    let of = |tree: &str, step: &str| {
        let tree = booth.book.tree(tree).expect("it is there");
        timed(&booth.book, &tree.steps[tree.step(step).expect("the step")], &between)
    };
    let order = of("catch-along-wall", "wall first").expect("an order");
    assert!(matches!(order.verdict, Verdict::Established { .. }));
    let Some(Quantity::Order { first, then, gap_s, sigma_s }) = order.of else { panic!("{order:?}") };
    assert_eq!((first.as_str(), then.as_str()), ("ball on the wall", "control"));
    // 20 frames of 1/50 s; JCGM 100, 4.3.7: T/sqrt(6).
    assert!((gap_s - 0.4).abs() < 1e-12 && (sigma_s - 0.02 / 6_f64.sqrt()).abs() < 1e-12);
    let gap = of("linebacker-moving", "still").expect("a gap");
    assert!(matches!(gap.verdict, Verdict::Refuted { .. }), "{gap:?}");
    assert!(matches!(gap.of, Some(Quantity::Gap { at_least_s, .. }) if at_least_s == 0.5), "{gap:?}");
    assert_eq!(of("line-reached", "line to gain"), None);
}

#[test]
fn the_answer_offered_is_that_of_the_verdict() {
    let booth = Booth::open("catch-along-wall", "incomplete");
    let tree = booth.book.tree("catch-along-wall").expect("it is there");
    let step = &tree.steps[tree.step("wall first").expect("the step")];
    for (verdict, options) in [
        (Verdict::Established { probability: 0.995 }, vec!["yes"]),
        (Verdict::Refuted { probability: 0.004 }, vec!["no"]),
        (Verdict::Inconclusive { probability: 0.979 }, vec!["yes", "no"]),
        (Verdict::Contradiction, vec!["yes", "no"]),
    ] {
        assert_eq!(offered(step, verdict), options);
    }
}

#[test]
fn what_is_seen_or_judged_is_not_measured() {
    let verdict = Verdict::Established { probability: 1.0 };
    for (tree, step) in [("roughing-passer", "force"), ("roughing-passer", "hit")] {
        let mut booth = Booth::open(tree, "foul");
        let no = booth.refuses(Command::Answer(computed(step, &["yes"], verdict)));
        assert_eq!(no.to_string(), format!("`{step}` is seen or judged, not measured"));
        assert!(!no.reason_carries);
    }
}

/// 3.6: 90 s from the first look to the ruling.
#[test]
fn past_the_limit_an_answer_needs_a_reason_and_shows_it() {
    let mut booth = Booth::open("catch-along-wall", "incomplete");
    booth.at_ms = 20_000;
    booth.does(look(0, "control", Looks::FrameByFrame, None));
    booth.does(mark("control", None, None));
    booth.at_ms = 110_000;
    booth.does(answer(0, "control", &["yes"]));
    booth.at_ms = 110_001;
    let no = booth.refuses(answer(0, "control", &["no"]));
    assert_eq!(no.to_string(), "the limit of 90 s from the first look is reached: rule on what is proven");
    booth.does(with_reason(answered(0, "control", &["no"]), "the picture came late"));
    assert_eq!(booth.review.overrides().len(), 1);
    booth.does(Command::Rule);
    assert_eq!(booth.ruling().overrides[0].reason, "the picture came late");
}

#[test]
fn an_override_that_was_revised_or_taken_back_is_not_shown() {
    let mut booth = Booth::open("catch-along-wall", "incomplete");
    booth.does(with_reason(answered(0, "control", &["yes"]), "seen live"));
    assert_eq!(booth.review.overrides().len(), 1);
    booth.proves(0, "control", "yes");
    assert_eq!(booth.review.overrides(), []);
    booth.does(with_reason(answered(0, "survives", &["yes"]), "seen live"));
    booth.does(Command::Undo);
    assert_eq!(booth.review.overrides(), []);
}
