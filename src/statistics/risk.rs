//! How often a part that is out of its limits passes, and a part within them does not, for parts that vary in a known way and
//! a measurement that is uncertain (JCGM 106:2012, 7 and 9). Refuses to know what is measured.
//!
//! Binary numbers throughout: this informs, and decides no verdict.

use super::distribution::normal_cdf;

/// Steps of the integration between two places where the integrand bends; Simpson's rule is then right to 10⁻⁹ and better.
const STEPS: u32 = 400;

/// How many deviations of the spread of parts are followed to either side; 10⁻¹⁵ of them lie beyond.
const REACH: f64 = 8.0;

/// An interval; an end without limit is `None`.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Limits {
    /// The lower end.
    pub low: Option<f64>,
    /// The upper end.
    pub high: Option<f64>,
}

impl Limits {
    /// The same with a guard before each end (JCGM 106:2012, 8.3.2).
    #[must_use]
    pub fn guarded(self, guard: f64) -> Limits {
        Limits { low: self.low.map(|low| low + guard), high: self.high.map(|high| high - guard) }
    }

    /// The probability of lying inside, in a normal distribution.
    #[must_use]
    pub fn probability(self, mean: f64, deviation: f64) -> f64 {
        let below = |end: f64| {
            if deviation > 0.0 { normal_cdf((end - mean) / deviation) } else { f64::from(u8::from(end >= mean)) }
        };
        (self.high.map_or(1.0, below) - self.low.map_or(0.0, below)).max(0.0)
    }

    /// Whether a value lies inside.
    #[must_use]
    pub fn holds(self, value: f64) -> bool {
        self.low.is_none_or(|low| value >= low) && self.high.is_none_or(|high| value <= high)
    }
}

/// The risks of all parts together (JCGM 106:2012, 9.4 and 9.5).
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Global {
    /// The probability that a part is out of its limits.
    pub out: f64,
    /// The consumer's risk: that a part is out of its limits and passes.
    pub consumer: f64,
    /// The producer's risk: that a part is within its limits and does not pass.
    pub producer: f64,
}

/// Parts whose true values have a density between two places, measured with the standard uncertainty `u`; what is measured
/// inside `accepted` passes. `bends` are places where the density is not smooth, if any.
#[must_use]
pub fn global(
    density: impl Fn(f64) -> f64,
    (from, to): (f64, f64),
    u: f64,
    (limits, accepted): (Limits, Limits),
    bends: &[f64],
) -> Global {
    let ends = [limits.low, limits.high, accepted.low, accepted.high];
    let mut places: Vec<f64> = ends.into_iter().flatten().chain(bends.iter().copied()).collect();
    // Acceptance changes within a few u of each end: each such stretch has its own steps.
    places.extend(ends.into_iter().flatten().flat_map(|end| [end - REACH * u, end + REACH * u]));
    places.retain(|place| *place > from && *place < to);
    places.extend([from, to]);
    places.sort_unstable_by(f64::total_cmp);
    let mut risks = Global { out: 0.0, consumer: 0.0, producer: 0.0 };
    for (start, end) in places.iter().zip(places.iter().skip(1)) {
        let inside = limits.holds(f64::midpoint(*start, *end));
        let passes = |value: f64| accepted.probability(value, u);
        let all = simpson(&density, (*start, *end));
        let passing = simpson(|value| density(value) * passes(value), (*start, *end));
        if inside {
            risks.producer += all - passing;
        } else {
            risks.out += all;
            risks.consumer += passing;
        }
    }
    risks
}

/// As [`global`], of parts whose true values are normal.
#[must_use]
pub fn global_normal((mean, deviation): (f64, f64), u: f64, limits: Limits, accepted: Limits) -> Global {
    let density = |value: f64| {
        let z = (value - mean) / deviation;
        (-0.5 * z * z).exp() / (deviation * (2.0 * std::f64::consts::PI).sqrt())
    };
    let (from, to) = (mean - REACH * deviation, mean + REACH * deviation);
    // Three deviations to either side, so that the steps are where the parts are.
    let bends = [mean - 3.0 * deviation, mean, mean + 3.0 * deviation];
    global(density, (from, to), u, (limits, accepted), &bends)
}

/// The probability that one part that was measured is out of its limits: the specific consumer's risk if it passed (JCGM
/// 106:2012, 9.3.2), where parts are normal with a mean and a deviation. What is known of the part is then normal about the
/// mean of both, each weighed by the inverse of its variance (7.2.2).
#[must_use]
pub fn specific((mean, deviation): (f64, f64), measured: f64, u: f64, limits: Limits) -> f64 {
    let (parts, own) = (deviation * deviation, u * u);
    if parts + own <= 0.0 {
        return f64::from(u8::from(!limits.holds(measured)));
    }
    let known = (mean * own + measured * parts) / (parts + own);
    1.0 - limits.probability(known, (parts * own / (parts + own)).sqrt())
}

fn simpson(density: impl Fn(f64) -> f64, (from, to): (f64, f64)) -> f64 {
    let step = (to - from) / f64::from(STEPS);
    let weighed = |number: u32| {
        let weight = match number {
            0 | STEPS => 1.0,
            number if number % 2 == 1 => 4.0,
            _ => 2.0,
        };
        weight * density(from + step * f64::from(number))
    };
    (0..=STEPS).map(weighed).sum::<f64>() * step / 3.0
}
