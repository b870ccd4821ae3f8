//! Marks of two events in JSON, and the time between them.

use super::error::Error;
use evidence::time::order;
use evidence::time::order::{Between, Clip, Figures, Mark, Marks, Sight};
use evidence::time::rate::Rate;
use evidence::verdict::Verdict;
use rules::book::defect::nearest;
use rules::shown::shown;
use schemars::JsonSchema;
use serde::de::value::{MapAccessDeserializer, SeqAccessDeserializer};
use serde::de::{MapAccess, SeqAccess, Visitor};
use serde::{Deserialize, Deserializer, Serialize};
use std::collections::BTreeMap;
use std::fmt;

/// Clips, and the marks of two events on them.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Asked {
    /// The clips, by the names that the marks use.
    pub clips: BTreeMap<String, ClipJson>,
    /// The event that comes first if the answer is yes: one mark, or one on each of several cameras.
    pub first: Many,
    /// The other event.
    pub then: Many,
    /// By how many seconds it must come first.
    #[serde(default)]
    pub gap_at_least_s: f64,
    /// The probability that establishes it, more than 0.5 and at most 1; left out: no verdict.
    #[serde(default)]
    pub standard: Option<f64>,
}

/// One clip: its rate and its clock. What is left out is 0.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[schemars(rename = "Clip")]
#[serde(deny_unknown_fields)]
pub struct ClipJson {
    /// Pictures a second, `N` or `N/D`; left out where it varies.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rate: Option<String>,
    /// Common time of the clip's instant 0, in seconds.
    #[serde(default)]
    pub offset_s: f64,
    /// The standard error of the offset.
    #[serde(default)]
    pub offset_sigma_s: f64,
    /// How much faster common time runs than the clip, in millionths.
    #[serde(default)]
    pub drift_ppm: f64,
    /// The standard error of the drift.
    #[serde(default)]
    pub drift_sigma_ppm: f64,
    /// The instant of the clip at which its offset was measured: from there the drift's error grows.
    #[serde(default)]
    pub offset_at_s: f64,
    /// Rolling shutter: from the first row of a picture to the last, in seconds.
    #[serde(default)]
    pub readout_s: f64,
    /// How long each row is exposed, in seconds.
    #[serde(default)]
    pub exposure_s: f64,
}

/// One mark, or several of one event.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[serde(untagged)]
pub enum Many {
    /// One.
    One(MarkOn),
    /// The same event on several cameras.
    List(Vec<MarkOn>),
}

impl<'de> Deserialize<'de> for Many {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Many, D::Error> {
        struct OneOrList;
        impl<'de> Visitor<'de> for OneOrList {
            type Value = Many;
            fn expecting(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
                out.write_str("a mark such as {\"clip\": \"end\", \"frame\": 1204}, or a list of them,")
            }
            fn visit_map<A: MapAccess<'de>>(self, map: A) -> Result<Many, A::Error> {
                MarkOn::deserialize(MapAccessDeserializer::new(map)).map(Many::One)
            }
            fn visit_seq<A: SeqAccess<'de>>(self, list: A) -> Result<Many, A::Error> {
                Vec::deserialize(SeqAccessDeserializer::new(list)).map(Many::List)
            }
        }
        from.deserialize_any(OneOrList)
    }
}

/// The first frame of a clip that shows an event.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[schemars(rename = "Mark")]
#[serde(deny_unknown_fields)]
pub struct MarkOn {
    /// The clip's name.
    pub clip: String,
    /// Its number, from 0; a mark is never frame 0.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub frame: Option<u64>,
    /// Instead of a number: its instant, in seconds of the clip.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at_s: Option<f64>,
    /// And the instant of the frame before it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub since_s: Option<f64>,
}

/// What the marks say.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Found {
    /// P(then − first > `gap_at_least_s`); `null` where the marks contradict each other.
    pub probability: Option<f64>,
    /// The time from the first event to the other; `null` where the marks contradict each other.
    pub gap_s: Option<GapJson>,
    /// established, refuted, inconclusive or contradiction; `null` without a standard.
    pub verdict: Option<String>,
}

/// A time with its errors, in seconds.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
#[schemars(rename = "Gap")]
pub struct GapJson {
    /// The mean; positive where `then` came later.
    pub mean: f64,
    /// The standard deviation.
    pub sigma: f64,
    /// The lower end of the central interval of 95 %.
    pub low95: f64,
    /// The upper end.
    pub high95: f64,
}

/// An input with its names resolved.
#[derive(Debug, Clone, PartialEq)]
pub struct Read {
    pub names: Vec<String>,
    pub clips: Vec<Clip>,
    pub first: Vec<Sight>,
    pub then: Vec<Sight>,
}

impl Asked {
    /// The marks, once everything has been looked up.
    ///
    /// # Errors
    /// [`Error`] with the place of the first fault.
    pub fn read(&self) -> Result<Read, Error> {
        let wrong = |at: &str, what: &str| Error::new(what).within(at);
        if !self.gap_at_least_s.is_finite() {
            return Err(wrong("gap_at_least_s", "it must be a finite number of seconds"));
        }
        if self.standard.is_some_and(|standard| !(standard > 0.5 && standard <= 1.0)) {
            return Err(wrong("standard", "a standard is more than 0.5 and at most 1"));
        }
        let names: Vec<String> = self.clips.keys().cloned().collect();
        let clip = |(name, clip): (&String, &ClipJson)| {
            clip.read().map_err(|error| error.within(name).within("clips"))
        };
        let clips = self.clips.iter().map(clip).collect::<Result<Vec<Clip>, Error>>()?;
        let marks = |at: &str, many: &Many| many.read(&names, &clips).map_err(|error| error.within(at));
        let (first, then) = (marks("first", &self.first)?, marks("then", &self.then)?);
        Ok(Read { names, clips, first, then })
    }
}

impl Read {
    /// The time between the events.
    ///
    /// # Errors
    /// [`Error`] if an event has no mark.
    pub fn between(&self) -> Result<Between, Error> {
        let marks = Marks { clips: &self.clips, first: &self.first, then: &self.then };
        let at = if self.first.is_empty() { "first" } else { "then" };
        order::between(marks).map_err(|error| Error::new(error).within(at))
    }
}

impl ClipJson {
    fn read(&self) -> Result<Clip, Error> {
        let rate = self.rate.as_deref().map(str::parse::<Rate>).transpose();
        let rate = rate.map_err(|error| Error::new(error).within("rate"))?;
        let ClipJson { offset_s, offset_sigma_s, drift_ppm, drift_sigma_ppm, offset_at_s, .. } = *self;
        let ClipJson { readout_s, exposure_s, .. } = *self;
        let clip = Clip {
            rate,
            offset_s,
            offset_sigma_s,
            drift_ppm,
            drift_sigma_ppm,
            offset_at_s,
            readout_s,
            exposure_s,
        };
        clip.possible().map_err(Error::new)?;
        Ok(clip)
    }
}

impl Many {
    fn read(&self, names: &[String], clips: &[Clip]) -> Result<Vec<Sight>, Error> {
        match self {
            Many::One(mark) => Ok(vec![mark.read(names, clips)?]),
            Many::List(marks) => {
                let one = |(index, mark): (usize, &MarkOn)| {
                    mark.read(names, clips).map_err(|error| error.item(index))
                };
                marks.iter().enumerate().map(one).collect()
            }
        }
    }
}

impl MarkOn {
    fn read(&self, names: &[String], clips: &[Clip]) -> Result<Sight, Error> {
        let Some(index) = names.iter().position(|name| *name == self.clip) else {
            return Err(Error::new(format!("there is no clip `{}`", shown(&self.clip)))
                .help(nearest(&self.clip, names.iter().map(String::as_str)))
                .within("clip"));
        };
        let mark = match (self.frame, self.since_s, self.at_s) {
            (Some(frame), None, None) => Mark::Frame(frame),
            (None, Some(since_s), Some(at_s)) => Mark::Instants { since_s, at_s },
            (Some(_), _, _) | (None, _, _) => {
                return Err(Error::new("a mark has either `frame`, or both `at_s` and `since_s`"));
            }
        };
        clips[index].sight(index, mark).map_err(Error::new)
    }
}

impl Found {
    /// What the marks say, under a standard if there is one.
    pub fn of(between: &Between, at_least_s: f64, standard: Option<f64>) -> Found {
        let verdict = match between {
            Between::Contradiction => Some(Verdict::Contradiction),
            Between::Known(_) => standard.map(|standard| between.verdict(at_least_s, standard)),
        };
        let (probability, gap_s) = match between {
            Between::Known(gap) => (Some(gap.above(at_least_s)), Some(gap.figures().into())),
            Between::Contradiction => (None, None),
        };
        Found { probability, gap_s, verdict: verdict.map(|verdict| verdict.word().to_owned()) }
    }
}

impl From<Figures> for GapJson {
    fn from(figures: Figures) -> GapJson {
        let Figures { mean, sigma, low95, high95 } = figures;
        GapJson { mean, sigma, low95, high95 }
    }
}
