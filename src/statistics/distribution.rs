//! The normal and Student's distributions: probabilities and quantiles as binary numbers, for tables and tests only.
//!
//! The outside library was checked against 40 digits: its normal probabilities are right to 9·10⁻¹¹ of themselves, its
//! normal quantiles to 10⁻¹⁵, its Student probabilities below the middle to 2·10⁻¹³; its Student quantiles lose digits
//! far out above the middle (10⁻⁶ of the value at p = 0.9999999 with one degree of freedom). Quantiles are therefore
//! sought below the middle, where no probability is lost beside one, and improved by Newton's method.

use statrs::distribution::{Continuous, ContinuousCDF, Normal, StudentsT};

/// Newton's method doubles the right digits of a quantile that has nine with each step.
const NEWTON_STEPS: usize = 2;

/// The probability that a normal variable with mean 0 and deviation 1 is at most `z`.
#[must_use]
pub fn normal_cdf(z: f64) -> f64 {
    Normal::standard().cdf(z)
}

/// What a normal variable with mean 0 and deviation 1 is below with probability `p`; `None` unless 0 < `p` < 1.
#[must_use]
pub fn normal_quantile(p: f64) -> Option<f64> {
    (p > 0.0 && p < 1.0).then(|| Normal::standard().inverse_cdf(p))
}

/// What Student's t with `nu` degrees of freedom is below with probability `p`; `None` unless 0 < `p` < 1 and `nu` > 0.
#[must_use]
pub fn student_quantile(p: f64, nu: f64) -> Option<f64> {
    if !(p > 0.0 && p < 1.0) {
        return None;
    }
    if p > 0.5 { student_below(1.0 - p, nu).map(|t| -t) } else { student_below(p, nu) }
}

/// What Student's t is further from zero than with probability `alpha` on both sides together: above zero. `None` unless
/// 0 < `alpha` < 1 and `nu` > 0.
#[must_use]
pub fn student_two_sided(alpha: f64, nu: f64) -> Option<f64> {
    (alpha > 0.0 && alpha < 1.0).then(|| student_below(alpha / 2.0, nu).map(|t| -t))?
}

/// The probability that Student's t with `nu` degrees of freedom is at most `t`; `None` unless `nu` > 0.
#[must_use]
pub fn student_cdf(t: f64, nu: f64) -> Option<f64> {
    let beyond = student_two_sided_p(t, nu)? / 2.0;
    Some(if t > 0.0 { 1.0 - beyond } else { beyond })
}

/// The quantile of a probability of at most one half.
fn student_below(p: f64, nu: f64) -> Option<f64> {
    if nu.is_nan() || nu <= 0.0 {
        return None;
    }
    if nu.is_infinite() {
        return normal_quantile(p);
    }
    let student = StudentsT::new(0.0, 1.0, nu).ok()?;
    let mut t = student.inverse_cdf(p);
    for _ in 0..NEWTON_STEPS {
        let slope = student.pdf(t);
        let step = (student.cdf(t) - p) / slope;
        if step.is_finite() && step.abs() < t.abs() {
            t -= step;
        }
    }
    t.is_finite().then_some(t)
}

/// The probability that Student's t with `nu` degrees of freedom is at least as far from zero as `t`; `None` unless
/// `nu` > 0.
#[must_use]
pub fn student_two_sided_p(t: f64, nu: f64) -> Option<f64> {
    if t.is_nan() || nu.is_nan() || nu <= 0.0 {
        return None;
    }
    if nu.is_infinite() {
        return Some(2.0 * normal_cdf(-t.abs()));
    }
    Some((2.0 * StudentsT::new(0.0, 1.0, nu).ok()?.cdf(-t.abs())).min(1.0))
}
