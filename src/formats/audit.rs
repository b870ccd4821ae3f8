//! What `audit` answers: figures with their n and interval. What is not defined is `null`.

use schemars::JsonSchema;
use serde::Serialize;
use std::collections::BTreeMap;

/// Everything that the supervisor gets.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Audit {
    /// Questions that were decided; blind re-reviews and reviews cut short before a ruling are not counted.
    pub rulings: u64,
    /// Blind re-reviews: they count in `agreement` and `inconsistent` only.
    pub re_reviews: u64,
    /// Reviews that ended without a ruling.
    pub cut_short: u64,
    /// Records that came again under a known id and were left out.
    pub repeated: u64,
    /// How often each outcome came, by the book's label.
    pub outcomes: BTreeMap<String, Rate>,
    /// The same by what could make a difference.
    pub by: By,
    /// How long reviews take.
    pub tempo: Tempo,
    /// How far a second, blind look agrees with the first.
    pub agreement: Agreement,
    /// Agreement where it can be mended: by tree and by step.
    pub wording: Wording,
    /// Records that do not fit beside each other, or beside their own rules.
    pub inconsistent: Vec<Inconsistent>,
    /// Records whose own edition is not known, so that nothing could be worked out again.
    pub cannot_tell: u64,
    /// Where the same answers lead to another outcome since an edition.
    pub rule_changes: Vec<RuleChange>,
    /// Officials who differ from the others by more than chance.
    pub officials: Officials,
    /// Challenges that a first look at full speed would have answered.
    pub avoidable: Avoidable,
    /// The supervisor's grades.
    pub grades: Grades,
    /// Which cameras the rulings rest on.
    pub angles: BTreeMap<String, Angle>,
    /// What these figures can and cannot say.
    pub caution: &'static str,
}

/// What every audit says of itself.
pub const CAUTION: &str = "The league's published rules prevail, and the official decides. Small samples prove little: \
read every figure with its n and its interval. Grades and figures support training, not punishment.";

/// How often.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct Rate {
    /// How many.
    pub count: u64,
    /// Of how many.
    pub of: u64,
    /// The share.
    pub rate: Option<f64>,
    /// Wilson's 95 % interval of the share.
    pub wilson95: Option<[f64; 2]>,
}

/// Rates and times of groups; a record that does not say is in none.
#[derive(Debug, Clone, PartialEq, Default, Serialize, JsonSchema)]
pub struct By {
    /// By question.
    pub tree: BTreeMap<String, Group>,
    /// By official.
    pub official: BTreeMap<String, Group>,
    /// By week.
    pub week: BTreeMap<u32, Group>,
    /// By who asked.
    pub initiator: BTreeMap<String, Group>,
}

/// One group.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Group {
    /// How many rulings.
    pub rulings: u64,
    /// How often each outcome came.
    pub outcomes: BTreeMap<String, Rate>,
    /// How long its reviews took.
    pub tempo: Times,
}

/// A distribution of durations, from the survival curve.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, JsonSchema)]
pub struct Times {
    /// How many, those cut short among them.
    pub count: u64,
    /// How many of them were cut short.
    pub cut_short: u64,
    /// The median.
    pub median_s: Option<f64>,
    /// Its 95 % interval; an end that the curve does not reach is open.
    pub median_ci95: [Option<f64>; 2],
    /// What nine of ten do not exceed.
    pub p90_s: Option<f64>,
}

/// How long reviews take.
#[derive(Debug, Clone, PartialEq, Default, Serialize, JsonSchema)]
pub struct Tempo {
    /// From the call to the announcement.
    #[serde(flatten)]
    pub times: Times,
    /// The survival curve: time, share that goes on beyond it, Greenwood's standard error (`null` at zero). At most
    /// 2,000 steps, evenly chosen.
    pub survival: Vec<(f64, f64, Option<f64>)>,
    /// The chart of individuals, in the order of the calls; reviews cut short are left out.
    pub control: Control,
    /// From each phase to the next.
    pub phases: Vec<Phase>,
    /// By question and step: the time to settle of the reviews whose ruling rests on it.
    pub steps: Vec<StepTimes>,
    /// How long reviews went on after nothing could change them: time that can be won.
    pub after_settled: AfterSettled,
}

/// The chart of individuals and moving ranges.
#[derive(Debug, Clone, PartialEq, Default, Serialize, JsonSchema)]
pub struct Control {
    /// How many values.
    pub count: u64,
    /// The mean.
    pub center: Option<f64>,
    /// The lower limit as computed; below zero it limits nothing.
    pub lower: Option<f64>,
    /// The upper limit.
    pub upper: Option<f64>,
    /// What stands out: ids, or row numbers from 1 where durations have no ids.
    pub signals: Vec<Id>,
    /// Why each of them does, in the same order: beyond a limit, three of four near one, a run of eight.
    pub because: Vec<&'static str>,
    /// The mean moving range.
    pub range_center: Option<f64>,
    /// The limit of moving ranges.
    pub range_upper: Option<f64>,
    /// What is further from the one before than that.
    pub jumps: Vec<Id>,
}

/// What a point of the chart is called.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(untagged)]
pub enum Id {
    /// A record.
    Record(String),
    /// A row of a table, from 1.
    Row(u64),
}

/// From one phase to the next. What it counts and the three counts of what it leaves out are all reviews.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Phase {
    /// The phase that ends it.
    pub phase: &'static str,
    /// How long it took.
    #[serde(flatten)]
    pub times: Times,
    /// Reviews that had none: no frame was marked before they were settled.
    pub without: u64,
    /// Reviews that were cut short before it began.
    pub cut_before: u64,
    /// Reviews whose records do not say when it began or ended, or say it out of order.
    pub untold: u64,
}

/// Times of the reviews that rest on a step.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct StepTimes {
    /// The question.
    pub tree: String,
    /// The step.
    pub step: String,
    /// How long they took to settle.
    #[serde(flatten)]
    pub times: Times,
}

/// Time after settling.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, JsonSchema)]
pub struct AfterSettled {
    /// Its distribution.
    #[serde(flatten)]
    pub times: Times,
    /// All of it together, in seconds.
    pub total_s: f64,
}

/// Agreement between raters.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, JsonSchema)]
pub struct Agreement {
    /// Pairs of ratings of one item; for two raters the items that both rated.
    pub pairs: u64,
    /// Pairs that agree.
    pub agree: Option<Rate>,
    /// Cohen's kappa; of two raters only.
    pub cohen_kappa: Option<f64>,
    /// Its asymptotic standard error.
    pub cohen_se: Option<f64>,
    /// Its 95 % interval.
    pub cohen_ci95: Option<[f64; 2]>,
    /// Fleiss' kappa, over the items that all raters rated.
    pub fleiss_kappa: Option<f64>,
    /// Its 95 % interval, by the jackknife over items.
    pub fleiss_ci95: Option<[f64; 2]>,
    /// Its distance from chance in standard errors.
    pub fleiss_z: Option<f64>,
    /// How many items all raters rated.
    pub fleiss_items: u64,
    /// Krippendorff's alpha, gaps allowed; above nominal only for numbers.
    pub krippendorff_alpha: Levels<f64>,
    /// Its 95 % intervals, by the jackknife over items.
    pub krippendorff_ci95: Levels<[f64; 2]>,
    /// How many items two raters or more rated.
    pub krippendorff_items: u64,
}

/// A figure at each level of measurement.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, JsonSchema)]
#[schemars(rename = "Levels{T}")]
pub struct Levels<T> {
    /// Names.
    pub nominal: Option<T>,
    /// Ranks.
    pub ordinal: Option<T>,
    /// Differences.
    pub interval: Option<T>,
    /// Ratios.
    pub ratio: Option<T>,
}

/// Agreement by tree and by step.
#[derive(Debug, Clone, PartialEq, Default, Serialize, JsonSchema)]
pub struct Wording {
    /// Of outcomes, by tree.
    pub trees: Vec<Split>,
    /// Of answers, by step; those that split people most come first.
    pub steps: Vec<Split>,
}

/// How far people agree on one thing.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Split {
    /// The tree.
    pub tree: String,
    /// The step; none for the outcome.
    pub step: Option<String>,
    /// The words of the step, where its edition is known.
    pub asks: Option<String>,
    /// Pairs that agree.
    pub agree: Rate,
    /// Krippendorff's alpha, nominal.
    pub alpha: Option<f64>,
    /// Its 95 % interval.
    pub alpha_ci95: Option<[f64; 2]>,
    /// Fisher's exact probability of so many disagreements if it splits people no more than the other steps do.
    pub p: Option<f64>,
    /// What is left of it among so many steps (Holm).
    pub p_adjusted: Option<f64>,
    /// Whether it splits people more than the others by more than chance.
    pub splits: bool,
}

/// Records that do not fit.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Inconsistent {
    /// The tree.
    pub tree: String,
    /// The call on the field.
    pub call: String,
    /// `facts`: the same facts, another ruling; `override`: a reason was given against the rules of proof or time;
    /// `edition`: not what its own edition gives, or another edition gives another ruling.
    pub why: &'static str,
    /// The same in a sentence.
    pub says: &'static str,
    /// Their ids.
    pub records: Vec<String>,
    /// Their outcomes, in the same order.
    pub outcomes: Vec<String>,
}

/// A change of rules that shows in rulings.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct RuleChange {
    /// The tree.
    pub tree: String,
    /// The call on the field.
    pub call: String,
    /// The answers, by step, that both editions were given.
    pub answers: BTreeMap<String, String>,
    /// Each edition that ruled on them.
    pub editions: Vec<Edition>,
}

/// What an edition made of some facts.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Edition {
    /// The edition.
    pub edition: String,
    /// Its usual outcome.
    pub outcome: String,
    /// How many records.
    pub records: u64,
    /// The first and the last week that they come from.
    pub weeks: Option<[u32; 2]>,
}

/// Officials who differ. In at most one season of twenty in which nobody does is anybody named, by each list.
#[derive(Debug, Clone, PartialEq, Default, Serialize, JsonSchema)]
pub struct Officials {
    /// Each official's time against the others' on the same questions.
    pub pace: Vec<Pace>,
    /// Answers that an official gives more often or more seldom than the others.
    pub answers: Vec<Differs>,
    /// How many such comparisons could have said anything.
    pub comparisons: u64,
}

/// An official's time.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Pace {
    /// Who.
    pub official: String,
    /// Reviews that were compared.
    pub count: u64,
    /// The median difference to the others' median on the same question, in seconds.
    pub longer_s: Option<f64>,
    /// Its 95 % interval, from the order of the values alone.
    pub longer_ci95: Option<[f64; 2]>,
    /// The probability of ranks so high if they take no more than a quarter longer.
    pub p: Option<f64>,
    /// The same, adjusted for the number of officials (Holm).
    pub p_adjusted: Option<f64>,
    /// Whether that is more than a quarter longer, by more than chance.
    pub slow: bool,
}

/// An answer that an official gives unlike the others.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Differs {
    /// Who.
    pub official: String,
    /// The tree.
    pub tree: String,
    /// The step.
    pub step: String,
    /// The answer.
    pub answer: String,
    /// How often they give it.
    #[serde(rename = "his")]
    pub own: Rate,
    /// How often the others do.
    pub others: Rate,
    /// Fisher's exact probability, both sides.
    pub p: f64,
    /// The same, adjusted for the number of comparisons.
    pub p_adjusted: f64,
}

/// Challenges that could have been avoided.
#[derive(Debug, Clone, PartialEq, Default, Serialize, JsonSchema)]
pub struct Avoidable {
    /// How many records.
    pub count: u64,
    /// Which.
    pub ids: Vec<String>,
    /// Of the records that were graded for it.
    pub rate: Option<Rate>,
    /// Plain and reversed: the crew missed it.
    pub by_crew: Vec<String>,
    /// Plain and not reversed: there was nothing there.
    pub by_coach: Vec<String>,
    /// Timeouts that coaches lost by such challenges.
    pub timeouts_paid: u64,
    /// By tree.
    pub by_tree: BTreeMap<String, u64>,
    /// By the position of the crew that had the call; records that do not say it are in none.
    pub by_position: BTreeMap<String, u64>,
    /// By week.
    pub by_week: BTreeMap<u32, u64>,
}

/// Counted grades.
#[derive(Debug, Clone, PartialEq, Default, Serialize, JsonSchema)]
pub struct Grades {
    /// Of calls.
    pub calls: BTreeMap<String, Rate>,
    /// Of reviews.
    pub reviews: BTreeMap<String, Rate>,
    /// How many records have a grade of either kind.
    pub graded: u64,
    /// Of how many.
    pub of: u64,
}

/// What a camera was good for.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct Angle {
    /// Rulings with a frame of it marked.
    pub marked: u64,
    /// Of these, where the picture established a finding.
    pub established: Rate,
    /// Rulings with frames of this camera alone.
    pub alone: u64,
    /// Of these, where the picture established nothing: what the angle cost.
    pub alone_unproven: u64,
}

/// Figures alone, beside the place that they have in a whole audit.
#[derive(Debug, Clone, PartialEq, Default, Serialize, JsonSchema)]
pub struct Alone {
    /// The agreement of `--ratings`.
    #[serde(flatten)]
    pub ratings: Option<Agreement>,
    /// The tempo of `--durations`.
    #[serde(flatten)]
    pub durations: Option<TempoAlone>,
    /// The agreement again, where a whole audit has it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub agreement: Option<Agreement>,
    /// The tempo again, where a whole audit has it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub tempo: Option<TempoAlone>,
}

/// What durations alone can say.
#[derive(Debug, Clone, PartialEq, Default, Serialize, JsonSchema)]
pub struct TempoAlone {
    /// Their distribution.
    #[serde(flatten)]
    pub times: Times,
    /// The survival curve.
    pub survival: Vec<(f64, f64, Option<f64>)>,
    /// The chart.
    pub control: Control,
}
