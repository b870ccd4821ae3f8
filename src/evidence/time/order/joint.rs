//! The joint distribution of two events and the clock errors of the clips that saw them, given that every mark is
//! right.
//!
//! Given both instants E₁, E₂ in common time, the clips are independent, so their density is a product over the
//! clips: the probability that the clip's clock error let it see what it saw. For a clip whose error is η at the
//! middle of its marks, a mark allows an interval of η, and all its marks the intersection: one difference of Φ.
//! What the drift adds between the clip's own marks is independent of η and averaged by Gauss–Hermite nodes. Then
//! the density of the gap g is the integral of the product over E₁ with E₂ = E₁ + g, by Gauss–Legendre panels that
//! end where an interval begins or ends.
//!
//! Shutter and exposure are exact on a clip with one mark, or with a clock that has no error against the others; on
//! another clip with several marks they are averaged by four nodes each, which moves a probability by less than 1e-3
//! (drawn cameras, `src/evidence/tests/order_evidence.rs`).
//!
//! The error of a clip is taken as the same over one frame interval; the drift's error in it, some 1e-5 of a frame,
//! is left out.

use super::{CONTRADICTS, Clip, Marks, SAME_S, Sight};
use crate::normal;
use crate::time::quadrature::{Bend, NORMAL, Panel, integral, panels};
use crate::time::spread::Spread;

/// Nothing beyond this many sigmas is looked for: 4e-11 lies there.
const REACH: f64 = 6.5;

/// A drift whose error between a clip's own marks is below this share of a frame is left out there: its effect goes
/// with the square.
const NO_DRIFT: f64 = 1e-3;

/// Nodes in widths and weights of the four-point Gauss–Legendre rule for the mean over a uniform error
/// (`numpy.polynomial.legendre.leggauss(4)`, halved).
const SHUTTER: [(f64, f64); 4] = [
    (-0.430_568_155_797_026_3, 0.173_927_422_568_726_93),
    (-0.169_990_521_792_428_13, 0.326_072_577_431_273_07),
    (0.169_990_521_792_428_13, 0.326_072_577_431_273_07),
    (0.430_568_155_797_026_3, 0.173_927_422_568_726_93),
];

/// The distribution of the gap, in seconds.
#[derive(Debug, Clone, PartialEq)]
pub struct Joint {
    panels: Vec<Panel>,
    mass: f64,
}

/// What one mark allows: low < E − error ≤ high, in common time.
#[derive(Debug, Clone, Copy)]
struct Term {
    /// 0 for the first event, 1 for the other.
    event: usize,
    low: f64,
    high: f64,
    /// The mark's clock error is `share` × η + `lever` × ζ.
    share: f64,
    lever: f64,
    /// The standard error of the clip's clock at the mark.
    sigma: f64,
    /// The whole width of the shutter's readout, 0 … readout late.
    readout: f64,
    /// The whole width of what the exposure leaves open.
    exposure: f64,
    /// What shutter and exposure, and for a clip of one mark the clock, add.
    added: Spread,
}

/// The marks of one clip.
#[derive(Debug, Clone)]
struct Tied {
    /// Of η, the clock error in the middle of the marks.
    eta: f64,
    /// Of ζ, the slope's error apart from η: 0 where it changes nothing.
    zeta: f64,
    terms: Vec<Term>,
}

impl Joint {
    /// The distribution for these marks; none where they contradict each other.
    pub fn of(marks: Marks<'_>) -> Option<Joint> {
        let tied = tied(marks);
        if contradict(&tied) {
            return None;
        }
        let [first, then] = [0, 1].map(|event| domain(&tied, event));
        let (low, high) = gaps(&tied, first, then)?;
        let mut ends = Vec::new();
        panels(low, high, &gap_bends(&tied), &mut ends);
        let mut inner = Vec::new();
        let mut bends = Vec::new();
        let density = |gap: f64, inner: &mut Vec<f64>, bends: &mut Vec<Bend>| {
            let (low, high) = (first.0.max(then.0 - gap), first.1.min(then.1 - gap));
            event_bends(&tied, gap, bends);
            panels(low, high, bends, inner);
            let over = inner.windows(2);
            over.map(|ends| integral(ends[0], ends[1], |at| likelihood(&tied, [at, at + gap]))).sum()
        };
        let panels: Vec<Panel> = ends
            .windows(2)
            .map(|ends| Panel::of(ends[0], ends[1], |gap| density(gap, &mut inner, &mut bends)))
            .collect();
        let mass = panels.iter().map(Panel::mass).sum();
        (mass > 0.0).then_some(Joint { panels, mass })
    }

    /// P(gap > at least).
    pub fn above(&self, at_least_s: f64) -> f64 {
        let above = self.panels.iter().map(|panel| panel.mass() - panel.mass_to(at_least_s));
        (above.sum::<f64>() / self.mass).clamp(0.0, 1.0)
    }

    /// Mean and standard deviation.
    pub(crate) fn mean_and_sigma(&self) -> (f64, f64) {
        // Around the middle of what is possible, so that the square loses nothing.
        let ends = self.panels.first().zip(self.panels.last());
        let middle = ends.map_or(0.0, |(first, last)| (first.low() + last.high()) / 2.0);
        let (one, two) = self.panels.iter().fold((0.0, 0.0), |(one, two), panel| {
            let (first, second) = panel.moments(middle);
            (one + first, two + second)
        });
        let away = one / self.mass;
        (middle + away, (two / self.mass - away * away).max(0.0).sqrt())
    }

    /// The gap below which this share of the probability lies, in (0, 1).
    pub fn quantile(&self, share: f64) -> f64 {
        let mut left = share * self.mass;
        for panel in &self.panels {
            let mass = panel.mass();
            if left > mass {
                left -= mass;
                continue;
            }
            let (mut low, mut high) = (panel.low(), panel.high());
            for _ in 0..52 {
                let middle = (low + high) / 2.0;
                if panel.mass_to(middle) < left { low = middle } else { high = middle }
            }
            return (low + high) / 2.0;
        }
        self.panels.last().map_or(0.0, Panel::high)
    }

    /// How probable the marks are, up to a factor that is the same for any further marks on the same events. The sum
    /// over all frames that a further camera could mark is the evidence without it.
    pub fn evidence(&self) -> f64 {
        self.mass
    }
}

/// The marks by clip.
fn tied(marks: Marks<'_>) -> Vec<Tied> {
    let mut by_clip: Vec<(usize, Vec<(usize, &Sight)>)> = Vec::new();
    let firsts = marks.first.iter().map(|sight| (0, sight));
    for (event, sight) in firsts.chain(marks.then.iter().map(|sight| (1, sight))) {
        match by_clip.iter_mut().find(|(clip, _)| *clip == sight.clip) {
            Some((_, sights)) => sights.push((event, sight)),
            None => by_clip.push((sight.clip, vec![(event, sight)])),
        }
    }
    let mut tied: Vec<Tied> =
        by_clip.into_iter().map(|(clip, sights)| Tied::of(&marks.clips[clip], &sights)).collect();
    rest_on_one(&mut tied);
    tied
}

/// Only differences of offsets matter. With one clip, or two without an error of drift, the clip with the most marks
/// is taken as the clock, and the other has the error of both.
fn rest_on_one(tied: &mut [Tied]) {
    let level = |clip: &Tied| {
        clip.zeta == 0.0 && clip.terms.iter().all(|term| term.share == 1.0 && term.sigma == clip.eta)
    };
    if tied.len() > 2 || !tied.iter().all(level) {
        return;
    }
    tied.sort_by_key(|clip| std::cmp::Reverse(clip.terms.len()));
    let both = tied.iter().fold(0.0, |both: f64, clip| both.hypot(clip.eta));
    for (index, clip) in tied.iter_mut().enumerate() {
        clip.set_eta(if index == 0 { 0.0 } else { both });
    }
}

impl Tied {
    fn of(clip: &Clip, sights: &[(usize, &Sight)]) -> Tied {
        let middle = sights.iter().map(|(_, sight)| sight.middle()).sum::<f64>() / sights.len() as f64;
        let eta = clip.sigma_at(middle);
        let slope = clip.drift_sigma_ppm * 1e-6;
        // Offset and slope errors, turned into η and what of the slope is independent of it.
        let (with_eta, zeta) = match eta > 0.0 {
            true => {
                (slope * slope * (middle - clip.offset_at_s) / (eta * eta), slope * clip.offset_sigma_s / eta)
            }
            false => (0.0, 0.0),
        };
        let alone = sights.len() == 1;
        let terms = sights.iter().map(|(event, sight)| {
            let lever = sight.middle() - middle;
            let sigma = clip.sigma_at(sight.middle());
            let clock = if alone { sigma } else { 0.0 };
            Term {
                event: *event,
                low: clip.common(sight.since_s),
                high: clip.common(sight.at_s),
                share: 1.0 + with_eta * lever,
                lever,
                sigma,
                readout: clip.readout_s,
                exposure: clip.exposure_s,
                added: Spread::new(clip.readout_s / 2.0, &[clip.readout_s, clip.exposure_s], clock),
            }
        });
        let mut tied = Tied { eta, zeta, terms: terms.collect() };
        if tied.drifts_between_marks() < NO_DRIFT * tied.narrowest() {
            tied.zeta = 0.0;
            tied.terms.iter_mut().for_each(|term| term.share = 1.0);
        }
        tied
    }

    /// The standard error of the drift between its own marks, the farthest two, in seconds.
    fn drifts_between_marks(&self) -> f64 {
        let (low, high) = self
            .terms
            .iter()
            .fold((0.0, 0.0), |(low, high): (f64, f64), term| (low.min(term.lever), high.max(term.lever)));
        let share = self.terms.iter().fold(0.0, |most: f64, term| most.max((term.share - 1.0).abs()));
        (2.0 * share * self.eta).hypot(self.zeta * (high - low))
    }

    /// The narrowest interval of its marks.
    fn narrowest(&self) -> f64 {
        self.terms.iter().fold(f64::INFINITY, |narrowest, term| narrowest.min(term.high - term.low))
    }

    /// The same marks with another clock error, the same at each.
    fn set_eta(&mut self, eta: f64) {
        self.eta = eta;
        let clock = if self.terms.len() == 1 { eta } else { 0.0 };
        for term in &mut self.terms {
            term.sigma = eta;
            term.added = Spread::new(term.readout / 2.0, &[term.readout, term.exposure], clock);
        }
    }

    /// The probability that this clip saw what it saw, given the events.
    fn likelihood(&self, events: [f64; 2]) -> f64 {
        if let [term] = self.terms.as_slice() {
            return term.alone(events[term.event]);
        }
        if self.zeta == 0.0 {
            return self.given(events, 0.0);
        }
        NORMAL.iter().map(|(node, weight)| weight * self.given(events, node * self.zeta)).sum()
    }

    /// The same, given the slope's own error as well.
    fn given(&self, events: [f64; 2], zeta: f64) -> f64 {
        if self.eta == 0.0 {
            let plain = |term: &Term| term.plain(events[term.event] - term.lever * zeta);
            return self.terms.iter().map(plain).product();
        }
        self.allowed(&self.terms, events, zeta, (f64::NEG_INFINITY, f64::INFINITY))
    }

    /// The mean over the shutters of these marks of the probability of the η that they all allow, within what the
    /// marks before them allow.
    fn allowed(&self, terms: &[Term], events: [f64; 2], zeta: f64, (low, high): (f64, f64)) -> f64 {
        if low >= high {
            return 0.0;
        }
        let Some((term, rest)) = terms.split_first() else {
            return normal::between(low / self.eta, high / self.eta);
        };
        let shutter = term.shutter();
        let one = |late: f64| {
            let at = events[term.event] - term.lever * zeta - late;
            let (from, to) = (at - term.high, at - term.low);
            let share = term.share;
            let ends = if share > 0.0 { (from / share, to / share) } else { (to / share, from / share) };
            self.allowed(rest, events, zeta, (low.max(ends.0), high.min(ends.1)))
        };
        if shutter == 0.0 {
            return one(0.0);
        }
        SHUTTER.iter().map(|(node, weight)| weight * one(term.readout / 2.0 + node * shutter)).sum()
    }
}

impl Term {
    /// The earliest instant that the mark allows at all, without a clock error.
    fn earliest(&self) -> f64 {
        self.low - self.exposure / 2.0
    }

    /// The last instant that the mark allows.
    fn last(&self) -> f64 {
        self.high + self.readout + self.exposure / 2.0
    }

    /// The probability of the mark given its event, where the clip has no other mark.
    fn alone(&self, event: f64) -> f64 {
        if self.readout == 0.0 && self.exposure == 0.0 && self.sigma > 0.0 {
            return normal::between((event - self.high) / self.sigma, (event - self.low) / self.sigma);
        }
        self.plain(event)
    }

    /// The probability of the mark given its event less the clock error.
    fn plain(&self, event: f64) -> f64 {
        if self.added.sigma() == 0.0 {
            return if self.low < event && event <= self.high { 1.0 } else { 0.0 };
        }
        (self.added.below(event - self.low) - self.added.below(event - self.high)).max(0.0)
    }

    /// The width of one uniform with the variance of shutter and exposure together.
    fn shutter(&self) -> f64 {
        self.readout.hypot(self.exposure)
    }

    /// Where the probability of the mark bends, without a clock error: at its ends, shifted by what the shutter does.
    fn corners(&self) -> impl Iterator<Item = f64> {
        let (readout, exposure) = (self.readout, self.exposure);
        let corners: [f64; 4] = match (readout > 0.0, exposure > 0.0) {
            (true, true) => [-exposure, exposure, 2.0 * readout - exposure, 2.0 * readout + exposure]
                .map(|twice| twice / 2.0),
            (true, false) => [0.0, readout, 0.0, readout],
            (false, _) => [-exposure, exposure, -exposure, exposure].map(|twice| twice / 2.0),
        };
        corners.into_iter().flat_map(|shift| [self.low + shift, self.high + shift])
    }
}

fn likelihood(tied: &[Tied], events: [f64; 2]) -> f64 {
    let mut product = 1.0;
    for clip in tied {
        product *= clip.likelihood(events);
        if product == 0.0 {
            break;
        }
    }
    product
}

fn terms(tied: &[Tied]) -> impl Iterator<Item = (usize, &Term)> {
    tied.iter().enumerate().flat_map(|(clip, tied)| tied.terms.iter().map(move |term| (clip, term)))
}

/// The common times at which an event can lie.
fn domain(tied: &[Tied], event: usize) -> (f64, f64) {
    let of_event = terms(tied).filter(|(_, term)| term.event == event);
    of_event.fold((f64::NEG_INFINITY, f64::INFINITY), |(low, high), (_, term)| {
        let reach = REACH * term.sigma;
        (low.max(term.earliest() - reach), high.min(term.last() + reach))
    })
}

/// The gaps that can be: within what each event leaves, and within what each clip that saw both allows. None where
/// nothing is left.
fn gaps(tied: &[Tied], first: (f64, f64), then: (f64, f64)) -> Option<(f64, f64)> {
    let (mut low, mut high) = (then.0 - first.1, then.1 - first.0);
    for clip in tied {
        let of = |event: usize| clip.terms.iter().filter(move |term| term.event == event);
        for (one, other) in of(0).flat_map(|one| of(1).map(move |other| (one, other))) {
            let slack = REACH * apart(clip, one, clip, other);
            low = low.max(other.earliest() - one.last() - slack);
            high = high.min(other.last() - one.earliest() + slack);
        }
    }
    (high - low > SAME_S).then_some((low, high))
}

/// The standard error of the difference of two marks' clock errors.
fn apart(one: &Tied, a: &Term, other: &Tied, b: &Term) -> f64 {
    if std::ptr::eq(one, other) {
        return (one.eta * (a.share - b.share)).hypot(one.zeta * (a.lever - b.lever));
    }
    a.sigma.hypot(b.sigma)
}

/// Whether two marks of one event need an implausible clock error.
fn contradict(tied: &[Tied]) -> bool {
    terms(tied).any(|(clip, a)| {
        terms(tied).filter(|(_, b)| a.event == b.event && !std::ptr::eq(a, *b)).any(|(other, b)| {
            let needed = a.earliest() - b.last();
            let sigma = apart(&tied[clip], a, &tied[other], b);
            needed > -SAME_S && needed >= CONTRADICTS * sigma - SAME_S
        })
    })
}

/// Where the density of the gap bends.
fn gap_bends(tied: &[Tied]) -> Vec<Bend> {
    let of = |event: usize| terms(tied).filter(move |(_, term)| term.event == event);
    let pairs = of(0).flat_map(|one| of(1).map(move |other| (one, other)));
    let bends = pairs.flat_map(|((clip, one), (later, other))| {
        let over = apart(&tied[clip], one, &tied[later], other);
        let ends = one.corners().flat_map(move |one| other.corners().map(move |other| other - one));
        ends.map(move |at| Bend { at, over })
    });
    bends.collect()
}

/// Where the likelihood bends along the first event, for one gap.
fn event_bends(tied: &[Tied], gap: f64, bends: &mut Vec<Bend>) {
    bends.clear();
    for (_, term) in terms(tied) {
        let before = if term.event == 1 { gap } else { 0.0 };
        bends.extend(term.corners().map(|corner| Bend { at: corner - before, over: term.sigma }));
    }
}
