//! The value of a ruling with everything it follows drawn by its distribution: whether the first-order result is good enough
//! (JCGM 101:2008, clause 8), and the interval where it is not. Refuses to decide anything: it is shown, and nothing is graded by it.
//!
//! The value is calculated as the plan has it, in binary numbers, for each set of draws. Calibrations and what readings state
//! are normal, or Student's t where their degrees of freedom are said, and correlated as certificates state it; a resolution, a temperature and an expansion are
//! rectangular; repeats are Student's t (JCGM 101:2008, 6.4).

mod joint;
mod model;

use super::{Influence, Memory, Weighing};
use crate::bind::Readings;
use crate::book::{Book, Datum};
use crate::judge::Ruling;
use crate::judge::evaluate::Bench;
use crate::plan::Plan;
use crate::statistics::distribution::{normal_quantile, student_quantile};
use crate::statistics::draw::Shape;
use crate::statistics::monte_carlo::{self, Compared, Interval};
use model::Model;

/// The coverage probability of the document's examples.
pub const COVERAGE: f64 = 0.95;

/// Digits of the standard uncertainty that count: as many as `explain` shows.
pub const DIGITS: i32 = 2;

/// What the draws of a value say of its first-order result. Base units, in binary numbers.
#[derive(Clone, PartialEq, Debug)]
pub struct Simulated {
    /// The interval of the first-order result; `None` where it has none, for want of a derivative.
    pub first_order: Option<Interval>,
    /// The interval of the draws, with the same probability below it as above; `None` where some draws have no answer.
    pub interval: Option<Interval>,
    /// Both beside each other; `None` where one is lacking.
    pub compared: Option<Compared>,
    /// The mean of the draws.
    pub mean: f64,
    /// Their standard deviation.
    pub deviation: f64,
    /// How many of [`monte_carlo::DRAWS`] had no answer.
    pub without_answer: usize,
}

impl Simulated {
    /// Whether the first-order result is good enough.
    #[must_use]
    pub fn holds(&self) -> bool {
        match (&self.compared, &self.interval) {
            (Some(compared), _) => compared.holds(),
            // Nothing moves it, whatever is drawn.
            (None, Some(interval)) => interval.high - interval.low <= 0.0,
            (None, None) => false,
        }
    }
}

/// What the draws of a ruling's value say; `None` where it is not a quantity, nothing in it is uncertain as far as anybody said,
/// or the first-order result is exact: a sum of what is normal.
#[must_use]
pub fn simulate(book: &Book, plan: &Plan, readings: &Readings, ruling: &Ruling) -> Option<Simulated> {
    let Some(Datum::Quantity(value)) = &ruling.value else { return None };
    let bench = Bench::new(plan, readings);
    let memory = Memory::default();
    let weighing = Weighing { book, bench: &bench, memory: &memory };
    let subject = &plan.checks.get(ruling.check)?.subject;
    let mut model = Model::of(&weighing, subject, ruling.reading)?;
    let drawn = monte_carlo::run(|draws| model.once(draws));
    let uncertainty = weighing.uncertainty(&weighing.subject(subject, ruling.reading));
    let first_order = uncertainty.as_ref().and_then(|uncertainty| {
        let standard = uncertainty.standard().midpoint().to_f64();
        let upper = f64::midpoint(1.0, COVERAGE);
        let factor = match uncertainty.freedom_of_factor() {
            // Table G.2 ends at a hundred.
            Some(freedom) => student_quantile(upper, freedom as f64)?,
            None => normal_quantile(upper)?,
        };
        let (value, half) = (value.midpoint().to_f64(), factor * standard);
        Some((Interval { low: value - half, high: value + half }, standard))
    });
    let all = drawn.without_answer == 0;
    let compared = first_order
        .filter(|_| all)
        .and_then(|(interval, standard)| drawn.compare(interval, COVERAGE, standard, DIGITS));
    // A first-order result of nothing at all has no digits: whatever the draws show is more.
    Some(Simulated {
        first_order: first_order.map(|(interval, _)| interval),
        interval: drawn.symmetric(COVERAGE).filter(|_| all),
        compared,
        mean: drawn.mean(),
        deviation: drawn.deviation(),
        without_answer: drawn.without_answer,
    })
}

/// The distribution of an influence about what is known.
fn shape(weighing: &Weighing<'_>, influence: Influence) -> Shape {
    let standard = weighing.variance_of(influence).midpoint().to_f64().sqrt();
    match influence {
        Influence::GaugeExpansion(_)
        | Influence::PartExpansion(_)
        | Influence::Temperature(_)
        | Influence::Resolution(..) => Shape::Rectangular(3.0_f64.sqrt() * standard),
        Influence::Calibration(_) | Influence::Stated(..) | Influence::Repeats(_) => {
            match weighing.freedom_of(influence).map(|freedom| freedom.to_f64()) {
                Some(freedom) if freedom > 0.0 => Shape::Student { scale: standard, freedom },
                _ => Shape::Normal(standard),
            }
        }
    }
}
