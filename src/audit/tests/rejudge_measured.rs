//! What was measured, judged again: thousands of close orders, gaps and places, measured by the library as a desk
//! does, kept as records keep them, and judged under the same edition, another standard, another limit, another line.
//!
//! The expected values come from the whole distribution; the outcome of an answer is read off the rules.

use audit::rejudge::{Facts, Judged, judge};
use evidence::place::camera::Camera;
use evidence::place::homography::{Calibration, Landmark, Optics};
use evidence::place::lens::Lens;
use evidence::place::measure::{Click, Distance, Line, locate};
use evidence::place::point::{Ground, Pixel, Space};
use evidence::time::order::{Between, Clip, Gap, Mark, Marks, Sight, between};
use evidence::verdict::Verdict;
use rules::book::Book;
use serde_json::{Value, json};
use testing::challenge::edition;
use testing::dice::Dice;

fn standard(established: f64) -> Book {
    edition(&[("book.ron", "established: 0.99", &format!("established: {established}"))])
}

/// The outcome under another edition; `None` where it cannot be decided.
fn outcome(new: &Book, old: Option<&Book>, record: &Value) -> Option<String> {
    let facts: Facts = serde_json::from_value(record.clone()).expect("a record");
    match judge(new, old, &facts) {
        Judged::Same { .. } => Some(record["outcome"].as_str().expect("a text").to_owned()),
        Judged::Flips(flip) => Some(flip.now),
        Judged::CannotTell(_) => None,
    }
}

/// A question with one measured step, and the outcomes that its verdicts lead to.
struct Question {
    tree: &'static str,
    call: &'static str,
    step: &'static str,
    others: &'static [(&'static str, &'static str)],
    established: &'static str,
    refuted: &'static str,
}

/// Control before touching down is a catch, so the call is reversed; after it, incomplete as called (rule 4.14).
const ORDER: Question = Question {
    tree: "catch-beyond-wall",
    call: "incomplete",
    step: "control first",
    others: &[("inside", "yes"), ("control", "yes"), ("survives", "yes"), ("crossing", "complete")],
    established: "reversed",
    refuted: "confirmed",
};

/// Still for half a second is no foul, so the call is reversed; else the foul is as called (rule 4.6).
const GAP: Question = Question {
    tree: "linebacker-moving",
    call: "foul",
    step: "still",
    others: &[("linebacker", "yes")],
    established: "reversed",
    refuted: "confirmed",
};

/// Toes on the line or outside are no foul; inside, and facing nobody, the foul is as called (rule 4.3).
const PLACE: Question = Question {
    tree: "inside-line",
    call: "foul",
    step: "toes",
    others: &[("facing", "no")],
    established: "reversed",
    refuted: "confirmed",
};

impl Question {
    fn outcome(&self, verdict: Verdict) -> &'static str {
        match verdict {
            Verdict::Established { .. } => self.established,
            Verdict::Refuted { .. } => self.refuted,
            Verdict::Inconclusive { .. } | Verdict::Contradiction => "stands",
        }
    }

    /// A record of it, ruled by this verdict. The lines hang on 4th and 1.5 at the 38.5.
    fn record(&self, edition: &Book, verdict: Verdict, mut proof: Value, marks: &Value) -> Value {
        let measured = match verdict {
            Verdict::Established { .. } => "yes",
            Verdict::Refuted { .. } => "no",
            Verdict::Inconclusive { .. } | Verdict::Contradiction => "unclear",
        };
        let mut answers: serde_json::Map<String, Value> =
            self.others.iter().map(|(step, answer)| ((*step).to_owned(), json!(answer))).collect();
        answers.insert(self.step.to_owned(), json!(measured));
        proof["attested"] = json!(false);
        proof["verdict"] = json!(verdict.word());
        proof["probability"] = json!(verdict.probability());
        json!({
            "id": "r-1", "edition": edition.edition.to_string(), "tree": self.tree, "call": self.call,
            "situation": {"period": 2, "clock_s": 281.3, "clock_running": true, "offense": "home",
                "attacks": "east", "down": 4, "to_go": 1.5, "spot": 38.5,
                "score": {"home": 20, "away": 14}, "timeouts": {"home": 2, "away": 3},
                "challenges": {"home": {"used": 1, "won": 1}, "away": {"used": 0, "won": 0}}},
            "answers": answers, "proofs": {self.step: proof}, "marks": marks,
            "outcome": self.outcome(verdict), "called_at": "2026-05-09T19:42:11.204Z", "duration_s": 61.0
        })
    }
}

/// Marks of two moments about `apart_s` apart, on one camera or several, one mark a moment or more.
fn marked(dice: &mut Dice, apart_s: f64) -> Option<(Gap, Vec<&'static str>)> {
    let rates = ["60000/1001", "30", "50", "240"];
    let clip = |dice: &mut Dice| Clip {
        rate: Some(rates[dice.below(4)].parse().expect("a rate")),
        offset_s: dice.between(-1.0, 1.0),
        offset_sigma_s: [0.0, 0.001, 0.004, 0.02][dice.below(4)],
        readout_s: [0.0, 0.0, 0.01][dice.below(3)],
        exposure_s: [0.0, 0.0, 0.004][dice.below(3)],
        ..Clip::default()
    };
    let clips: Vec<Clip> = (0..=dice.below(2)).map(|_| clip(dice)).collect();
    let event = 10.0 + dice.unit();
    let mut moments = Vec::new();
    let mut sights: [Vec<Sight>; 2] = [Vec::new(), Vec::new()];
    for (moment, at) in [(0, event), (1, event + apart_s)] {
        let all = dice.below(6) == 0;
        let only = dice.below(clips.len());
        for (number, clip) in clips.iter().enumerate().filter(|(number, _)| all || *number == only) {
            let rate = clip.rate.expect("a rate").as_f64();
            let own = clip.own(at + dice.normal(clip.offset_sigma_s));
            let frame = (own * rate).ceil() as u64;
            sights[moment].push(clip.sight(number, Mark::Frame(frame)).expect("a mark"));
            moments.push(if moment == 0 { "first" } else { "then" });
        }
    }
    let [first, then] = &sights;
    match between(Marks { clips: &clips, first, then }).expect("clips and marks that can be") {
        Between::Known(gap) => Some((gap, moments)),
        Between::Contradiction => None,
    }
}

/// The proof of a time, as a record has it.
fn timed(gap: &Gap, kind: &str, (first, then): (&str, &str)) -> Value {
    let figures = gap.figures();
    json!({"kind": kind, "first": first, "then": then, "gap_s": figures.mean, "sigma_s": figures.sigma})
}

fn marks(moments: &[&str], (first, then): (&str, &str)) -> Value {
    let mark = |moment: &&str| {
        let moment = if *moment == "first" { first } else { then };
        json!({"moment": moment, "camera": "near side", "timecode": "00:41:17:22", "exact": true})
    };
    moments.iter().map(mark).collect()
}

const CONTROL: (&str, &str) = ("control", "touches down");
const STILL: (&str, &str) = ("last movement of a foot", "snap");

// PROPERTY: a measurement keeps its verdict under its own edition; under another it gets the verdict of the whole distribution, or none
#[test]
fn a_close_order_stays_under_its_edition_and_another_standard_asks_the_whole_distribution() {
    let own = edition(&[]);
    let others = [0.75, 0.9, 0.95, 0.999].map(|established| (established, standard(established)));
    let mut dice = Dice::new(18);
    let mut decided = 0;
    for number in 0..2000 {
        let apart_s = dice.normal(0.025);
        let Some((gap, moments)) = marked(&mut dice, apart_s) else { continue };
        let probability = gap.above(0.0);
        let verdict = Verdict::of(probability, 0.99);
        decided += usize::from(!matches!(verdict, Verdict::Inconclusive { .. }));
        let record = ORDER.record(&own, verdict, timed(&gap, "order", CONTROL), &marks(&moments, CONTROL));
        for old in [Some(&own), None] {
            let told = outcome(&own, old, &record);
            assert_eq!(told.as_deref(), Some(ORDER.outcome(verdict)), "{number}: {record}");
        }
        for (established, book) in &others {
            let anew = ORDER.outcome(Verdict::of(probability, *established));
            let told = outcome(book, Some(&own), &record);
            assert_eq!(told.as_deref(), Some(anew), "{number} under {established}: {record}");
        }
    }
    assert!((500..1600).contains(&decided), "{decided} are decided: they are not close");
}

/// Where the limit moves, the record has the gap and its error, but not its distribution: the outcome is what the
/// distribution gives, or it is not told.
// PROPERTY: a measurement keeps its verdict under its own edition; under another it gets the verdict of the whole distribution, or none
#[test]
fn a_gap_under_another_limit_is_told_as_the_whole_distribution_says_or_not_at_all() {
    let own = edition(&[]);
    let limits = [0.4, 0.47, 0.49, 0.51, 0.6].map(|limit: f64| {
        let now = format!("at_least_s: {limit}");
        (limit, edition(&[("linebacker-moving.ron", "at_least_s: 0.5", &now)]))
    });
    let mut dice = Dice::new(19);
    let (mut told, mut untold) = (0, 0);
    for number in 0..500 {
        let apart_s = 0.5 + dice.normal(0.03);
        let Some((gap, moments)) = marked(&mut dice, apart_s) else { continue };
        let verdict = Verdict::of(gap.above(0.5), 0.99);
        let mut proof = timed(&gap, "gap", STILL);
        proof["at_least_s"] = json!(0.5);
        let record = GAP.record(&own, verdict, proof, &marks(&moments, STILL));
        assert_eq!(outcome(&own, Some(&own), &record).as_deref(), Some(GAP.outcome(verdict)), "{number}");
        for (limit, book) in &limits {
            let anew = GAP.outcome(Verdict::of(gap.above(*limit), 0.99));
            for old in [Some(&own), None] {
                match outcome(book, old, &record) {
                    Some(outcome) => {
                        assert_eq!(outcome, anew, "{number} at {limit}: {record}");
                        told += 1;
                    }
                    None => untold += 1,
                }
            }
            let figures = gap.figures();
            let far = (figures.mean - limit).abs() > 4.0 * figures.sigma;
            let says = outcome(book, Some(&own), &record);
            assert!(!far || says.is_some(), "{number} at {limit}, far off: {record}");
        }
    }
    assert!(untold > 0 && told > 4 * untold, "{told} told, {untold} not");
}

/// A toe on the ground as a camera sees it, high or so low that first order does not hold, against a line across the
/// field.
fn measured(dice: &mut Dice, line_x: f64) -> Option<(Ground, [Distance; 2])> {
    let (height, reach_yd) =
        if dice.below(2) == 0 { (dice.between(0.4, 0.9), 4.0) } else { (dice.between(6.0, 12.0), 0.4) };
    let lens = Lens { focal_px: 1400.0, center: Pixel::new(960.0, 540.0), k1: 0.0, k2: 0.0 };
    let (from, toward) = (Space::new(dice.between(-12.0, 5.0), 13.0, height), Space::new(40.0, 13.0, 0.0));
    let camera = Camera::look_at(from, toward, 0.0, lens)?;
    let mut landmarks = Vec::new();
    for x in [15.0, 25.0, 45.0] {
        for y in [3.0, 13.0, 23.0] {
            let at = camera.project(Space::new(x, y, 0.0))?;
            let image = Pixel::new(at.x + dice.normal(1.0), at.y + dice.normal(1.0));
            landmarks.push(Landmark { image, field: Ground::new(x, y) });
        }
    }
    let calibration = Calibration::fit(&landmarks, 1.0, Optics::Known(lens)).ok()?;
    let toe = camera.project(Space::new(line_x + dice.normal(reach_yd), dice.between(5.0, 22.0), 0.0))?;
    let image = Pixel::new(toe.x + dice.normal(1.0), toe.y + dice.normal(1.0));
    let located = locate(&calibration, Click { image, sigma_px: 1.0 }).ok()?;
    let distance = |x: f64| {
        let line = Line::new([Ground::new(x, 0.0), Ground::new(x, 27.0)], Ground::new(60.0, 13.0));
        located.distance_to(&line.expect("a line"), &calibration)
    };
    let both = [distance(40.0), distance(41.0)];
    both.iter().all(|distance| distance.sigma_yd.is_finite()).then_some((located.place, both))
}

// PROPERTY: a measurement keeps its verdict under its own edition; under another it gets the verdict of the whole distribution, or none
#[test]
fn a_place_stays_under_its_edition_and_is_measured_against_a_line_that_moved() {
    let own = edition(&[]);
    let others = [0.9, 0.999].map(|established| (established, standard(established)));
    // From the 38.5 with 1.5 to go the line is at the 40; now at the 41.
    let moved = edition(&[(
        "book.ron",
        "When(all: [Down(4), ToGo(at_most: 2)], at: LineToGain, goes_first: true)",
        "When(all: [Down(4), ToGo(at_most: 2)], at: BeyondScrimmage(yards: 2.5), goes_first: true)",
    )]);
    let mut dice = Dice::new(20);
    // First those whose error is lopsided, then those of first order: how many are decided, and how many are not.
    let (mut told, mut untold) = ([0, 0], [0, 0]);
    for number in 0..600 {
        let line_x = [40.0, 40.5, 41.0][dice.below(3)];
        let Some((place, [distance, now])) = measured(&mut dice, line_x) else { continue };
        let verdict = distance.verdict(0.99);
        let proof =
            json!({"kind": "position", "line": "alignment line", "x": place.x, "sigma": distance.sigma_yd});
        let marks =
            json!([{"moment": "snap", "camera": "high end", "timecode": "00:41:17:22", "exact": true}]);
        let record = PLACE.record(&own, verdict, proof, &marks);
        assert_eq!(
            outcome(&own, Some(&own), &record).as_deref(),
            Some(PLACE.outcome(verdict)),
            "{number}: {record}"
        );
        for (established, book) in &others {
            let anew = PLACE.outcome(distance.verdict(*established));
            assert_eq!(outcome(book, Some(&own), &record).as_deref(), Some(anew), "{number} {established}");
        }
        match outcome(&moved, Some(&own), &record) {
            Some(outcome) => {
                assert_eq!(outcome, PLACE.outcome(now.verdict(0.99)), "{number}: {record} {now:?}");
                told[usize::from(distance.first_order)] += 1;
            }
            None => untold[usize::from(distance.first_order)] += 1,
        }
    }
    // With a lopsided error a moved line is decided only where the probability that was kept still decides.
    assert!(told[0] > 5 && told[1] > 20 * untold[1], "{told:?} told, {untold:?} not");
}
