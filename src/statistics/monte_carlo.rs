//! The distribution of a value by the Monte Carlo method of JCGM 101:2008, clauses 7 and 8: its mean, its deviation, its
//! coverage intervals, and the test of a first-order result against them. Refuses to know what the value is of.
//!
//! Binary numbers throughout: this informs, and decides no verdict.

use super::draw::Draws;

/// How many values are drawn. An end of a 95 % interval is then known to about 0.6 % of the standard uncertainty, which is
/// near the smallest tolerance of two digits (0.5 %). The million that 7.2.1 counts on would take five times as long while
/// somebody waits, and the adaptive procedure (7.9) would ask for more than that for most tolerances of two digits; how well
/// the ends are known is counted in the test instead.
pub const DRAWS: usize = 200_000;

/// Parts the draws are cut into, to see how far their ends scatter (7.9.4 takes parts of 10,000 as well).
const PARTS: usize = 20;

/// What every run starts from: the number of the document.
pub const SEED: u64 = 101;

/// The values drawn.
#[derive(Clone, PartialEq, Debug)]
pub struct Drawn {
    /// In the order they were drawn, without those that have no answer.
    drawn: Vec<f64>,
    /// The same, rising.
    sorted: Vec<f64>,
    /// How many draws had no answer.
    pub without_answer: usize,
}

/// A coverage interval.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Interval {
    /// The lower end.
    pub low: f64,
    /// The upper end.
    pub high: f64,
}

/// A first-order interval beside that of the draws (8.1).
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Compared {
    /// How far the lower ends lie apart.
    pub low: f64,
    /// How far the upper ends lie apart.
    pub high: f64,
    /// The largest distance at which the first-order result holds, δ.
    pub tolerance: f64,
    /// Twice the standard deviation of the less certain end of the draws.
    pub uncertain: f64,
}

impl Compared {
    /// Whether the first-order result holds: neither end is further away than the tolerance, as far as the draws tell.
    #[must_use]
    pub fn holds(&self) -> bool {
        self.low.max(self.high) <= self.tolerance + self.uncertain
    }
}

/// Draws a value [`DRAWS`] times; `once` gives one, not finite where there is no answer.
pub fn run(mut once: impl FnMut(&mut Draws) -> f64) -> Drawn {
    let mut draws = Draws::of(SEED);
    let drawn: Vec<f64> = (0..DRAWS).map(|_| once(&mut draws)).filter(|value| value.is_finite()).collect();
    let mut sorted = drawn.clone();
    sorted.sort_unstable_by(f64::total_cmp);
    Drawn { without_answer: DRAWS.saturating_sub(drawn.len()), drawn, sorted }
}

impl Drawn {
    /// The mean (7.6).
    #[must_use]
    pub fn mean(&self) -> f64 {
        self.drawn.iter().sum::<f64>() / self.drawn.len() as f64
    }

    /// The standard deviation (7.6).
    #[must_use]
    pub fn deviation(&self) -> f64 {
        let mean = self.mean();
        let squares: f64 = self.drawn.iter().map(|value| (value - mean) * (value - mean)).sum();
        (squares / (self.drawn.len() as f64 - 1.0)).sqrt()
    }

    /// The interval with the same probability below it as above (7.7.1); `None` where too few draws have an answer.
    #[must_use]
    pub fn symmetric(&self, coverage: f64) -> Option<Interval> {
        symmetric(&self.sorted, coverage)
    }

    /// The shortest of all intervals of that probability (5.3.4, 7.7.2); `None` where too few draws have an answer.
    #[must_use]
    pub fn shortest(&self, coverage: f64) -> Option<Interval> {
        let inside = inside(self.sorted.len(), coverage)?;
        let ends = self.sorted.iter().zip(self.sorted.iter().skip(inside));
        let all = ends.map(|(low, high)| Interval { low: *low, high: *high });
        all.min_by(|one, other| (one.high - one.low).total_cmp(&(other.high - other.low)))
    }

    /// A first-order interval beside the symmetric one of the draws; `standard` is its standard uncertainty, of which
    /// `digits` digits count. `None` where too few draws have an answer, and of no uncertainty at all.
    #[must_use]
    pub fn compare(&self, first_order: Interval, coverage: f64, standard: f64, digits: i32) -> Option<Compared> {
        let here = self.symmetric(coverage)?;
        let parts: Vec<Interval> = self
            .drawn
            .chunks(DRAWS / PARTS)
            .filter_map(|part| {
                let mut part = part.to_vec();
                part.sort_unstable_by(f64::total_cmp);
                symmetric(&part, coverage)
            })
            .collect();
        let scatter = |end: fn(&Interval) -> f64| {
            let count = parts.len() as f64;
            let mean = parts.iter().map(end).sum::<f64>() / count;
            let squares: f64 = parts.iter().map(|part| (end(part) - mean).powi(2)).sum();
            2.0 * (squares / (count * (count - 1.0))).sqrt()
        };
        Some(Compared {
            low: (first_order.low - here.low).abs(),
            high: (first_order.high - here.high).abs(),
            tolerance: tolerance(standard, digits)?,
            uncertain: scatter(|part| part.low).max(scatter(|part| part.high)),
        })
    }
}

/// The numerical tolerance δ of a standard uncertainty of which `digits` digits count: half of one in the last of them (7.9.2).
/// `None` unless it is finite and above nought.
#[must_use]
pub fn tolerance(standard: f64, digits: i32) -> Option<f64> {
    (standard.is_finite() && standard > 0.0).then(|| {
        let last = |of: f64| 10_f64.powi(of.log10().floor() as i32 - digits + 1);
        // 0.0999 of two digits is 0.10: what is rounded up to the next power of ten has its last digit one place higher.
        let rounded = (standard / last(standard)).round() * last(standard);
        last(rounded * (1.0 + f64::EPSILON)) / 2.0
    })
}

/// How many steps lie between the ends of an interval among so many values (7.7.2).
fn inside(count: usize, coverage: f64) -> Option<usize> {
    let inside = (count as f64 * coverage + 0.5).floor();
    (inside >= 1.0 && inside < count as f64).then_some(inside as usize)
}

fn symmetric(sorted: &[f64], coverage: f64) -> Option<Interval> {
    let inside = inside(sorted.len(), coverage)?;
    let below = (sorted.len() - inside) / 2;
    let first = below.saturating_sub(1);
    Some(Interval { low: *sorted.get(first)?, high: *sorted.get(first + inside)? })
}
