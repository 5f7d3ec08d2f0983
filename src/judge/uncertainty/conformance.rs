//! How probable it is that the true value is inside a range, and in which of four zones the measured one lies. Both are told;
//! no grade is given by the probability.

use super::Uncertainty;
use super::decide::{Decided, Guards, decide};
use crate::quantity::{Band, Number, Side, Value};
use crate::statistics::distribution::{normal_cdf, student_cdf};

/// A value beside one range, its uncertainty counted.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Conformance {
    /// The probability that the true value is inside (JCGM 106:2012, 7): in a normal distribution about the measured one; with
    /// few degrees of freedom in Student's, for the same degrees of freedom as the coverage factor (JCGM 100:2008, G.3, G.4).
    pub probability: f64,
    /// The zone.
    pub zone: Zone,
}

/// The four zones of a range guarded on both sides of its ends, as ILAC-G8:09/2019, 4.2.3 names them. Its closed intervals
/// meet in one value each; there the better zone holds.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug, Hash)]
pub enum Zone {
    /// Inside by the guard or more.
    Pass,
    /// Inside, but by less than the guard.
    ConditionalPass,
    /// Outside, but by no more than the guard.
    ConditionalFail,
    /// Outside by more than the guard.
    Fail,
}

impl Zone {
    /// The words for it.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Zone::Pass => "pass",
            Zone::ConditionalPass => "conditional pass",
            Zone::ConditionalFail => "conditional fail",
            Zone::Fail => "fail",
        }
    }
}

/// A value beside a range; `factor` times the expanded uncertainty is the guard at each end. None where the value is not decided
/// to be inside or outside.
pub(in crate::judge) fn conformance(
    band: &Band,
    value: &Value,
    (at_low, at_high): (Option<&Uncertainty>, Option<&Uncertainty>),
    factor: &Number,
) -> Option<Conformance> {
    let factor = Value::from(factor.clone());
    let guard = |uncertainty: &Uncertainty| uncertainty.expanded_squared().multiply(&factor.squared());
    let guards = Guards { low: at_low.map(guard), high: at_high.map(guard), boundless: false };
    let inside = match band.locate(value) {
        Side::Inside => true,
        Side::Below | Side::Above => false,
        Side::Undecided => return None,
    };
    let zone = match decide(band, value, &guards) {
        Decided::Plainly(Side::Inside) => Zone::Pass,
        Decided::Guarded(_) if inside => Zone::ConditionalPass,
        Decided::Guarded(_) => Zone::ConditionalFail,
        Decided::Plainly(Side::Undecided) => return None,
        Decided::Plainly(_) => Zone::Fail,
    };
    let below = |end: &Value, uncertainty: Option<&Uncertainty>| {
        // The difference is exact, so that nothing is lost of two values that are nearly the same.
        let apart = end.subtract(value).midpoint().to_f64();
        let standard = uncertainty.map_or(0.0, |uncertainty| uncertainty.standard().midpoint().to_f64());
        if standard > 0.0 {
            let freedom = uncertainty.and_then(Uncertainty::freedom_of_factor);
            // Table G.2 ends at a hundred, far within what a binary number holds.
            let student = freedom.and_then(|freedom| student_cdf(apart / standard, freedom as f64));
            student.unwrap_or_else(|| normal_cdf(apart / standard))
        } else if apart >= 0.0 {
            1.0
        } else {
            0.0
        }
    };
    let high = band.high.as_ref().map_or(1.0, |end| below(&end.value, at_high));
    let low = band.low.as_ref().map_or(0.0, |end| below(&end.value, at_low));
    Some(Conformance { probability: (high - low).clamp(0.0, 1.0), zone })
}
