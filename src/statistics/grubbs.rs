//! Grubbs' test for the one value that stands apart from the rest; refuses to judge three values or fewer.
//!
//! F. E. Grubbs, 'Procedures for detecting outlying observations in samples', *Technometrics* 11 (1969); critical values as
//! in the NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.5.17.1.

use super::distribution::student_quantile;
use super::sample::{count, departures};
use crate::quantity::{Number, Value};
use std::cmp::Ordering;

/// Whether one value stands apart.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum Verdict {
    /// Three values or fewer: of three the statistic cannot exceed 2/√3 = 1.1547 whatever they are, so passing them would say
    /// nothing.
    TooFew,
    /// No value stands apart.
    Together,
    /// One does.
    Apart {
        /// Which.
        index: usize,
        /// Its distance from the mean over the standard deviation.
        statistic: f64,
        /// What the statistic exceeds.
        critical: f64,
    },
}

/// Whether a value on either side may stand apart, or only on one side settled beforehand.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Sided {
    /// Only the largest, or only the smallest.
    One,
    /// Whichever is further from the mean.
    Two,
}

/// The fewest values that are looked at.
pub const FEWEST: usize = 4;

/// Decimal places of a critical value when it meets an exact statistic.
const PLACES: usize = 12;

/// What the statistic of `n` values exceeds by chance with probability `alpha`; `None` for fewer than three values, or
/// unless 0 < `alpha` < 1.
#[must_use]
pub fn critical(n: usize, alpha: f64, sided: Sided) -> Option<f64> {
    if n < 3 || !(alpha > 0.0 && alpha < 1.0) {
        return None;
    }
    let n = n as f64;
    let tail = match sided {
        Sided::One => alpha / n,
        Sided::Two => alpha / (2.0 * n),
    };
    let t = student_quantile(tail, n - 2.0)?;
    Some((n - 1.0) / n.sqrt() * (t * t / (n - 2.0 + t * t)).sqrt())
}

/// Whether the value furthest from the mean stands apart from the rest, on either side, at the level `alpha`.
///
/// The square of the statistic is exact and compared with the square of the critical value to twelve decimal places.
#[must_use]
pub fn apart(values: &[Value], alpha: f64) -> Verdict {
    if values.len() < FEWEST {
        return Verdict::TooFew;
    }
    test(values, alpha).unwrap_or(Verdict::Together)
}

/// `None` where all values are the same.
fn test(values: &[Value], alpha: f64) -> Option<Verdict> {
    let distances: Vec<Value> = departures(values)?.iter().map(Value::absolute).collect();
    let mut furthest = (0, distances.first()?);
    for (index, distance) in distances.iter().enumerate() {
        if distance.compare(furthest.1) == Some(Ordering::Greater) {
            furthest = (index, distance);
        }
    }
    let squares = distances.iter().fold(Value::ZERO, |sum, distance| sum.add(&distance.multiply(distance)));
    let variance = squares.divide(&count(values.len() - 1))?;
    let squared = furthest.1.multiply(furthest.1).divide(&variance)?;
    let critical = critical(values.len(), alpha, Sided::Two)?;
    let limit = Number::parse(&format!("{critical:.PLACES$}")).ok()?;
    Some(match squared.compare(&Value::from(&limit * &limit)) {
        Some(Ordering::Greater) => {
            Verdict::Apart { index: furthest.0, statistic: squared.midpoint().to_f64().sqrt(), critical }
        }
        _ => Verdict::Together,
    })
}
