//! Means and ranges of groups: their constants against the distribution of the range, their limits against a published
//! example (`data/gauge-study.yaml`).

use super::check_values::{Item, items};
use super::weighing::{float, near};
use std::cmp::Ordering;
use trochoid::quantity::Value;
use trochoid::statistics::control::{constants, d2, d4, subgroups};
use trochoid::statistics::distribution::normal_cdf;

fn item(name: &str) -> Item {
    items(include_str!("data/gauge-study.yaml")).into_iter().find(|item| item.item == name).unwrap()
}

/// The integral of a function from one end to the other by Simpson's rule.
fn integral(from: f64, to: f64, steps: u32, of: impl Fn(f64) -> f64) -> f64 {
    let step = (to - from) / f64::from(steps);
    let weight = |at: u32| match at {
        0 => 1.0,
        at if at == steps => 1.0,
        at if at % 2 == 1 => 4.0,
        _ => 2.0,
    };
    (0..=steps).map(|at| weight(at) * of(from + f64::from(at) * step)).sum::<f64>() * step / 3.0
}

/// The mean and the deviation of the range of so many normal values of deviation one. That the range is at most r has the
/// probability n ∫ φ(x) (Φ(x + r) − Φ(x))ⁿ⁻¹ dx.
fn range(size: i32) -> (f64, f64) {
    let mean = integral(-8.0, 8.0, 800, |x| {
        let below = normal_cdf(x);
        1.0 - (1.0 - below).powi(size) - below.powi(size)
    });
    let at_most = |r: f64| {
        f64::from(size)
            * integral(-8.0, 8.0, 400, |x| {
                (-x * x / 2.0).exp() / std::f64::consts::TAU.sqrt() * (normal_cdf(x + r) - normal_cdf(x)).powi(size - 1)
            })
    };
    let square = integral(0.0, 10.0, 200, |r| 2.0 * r * (1.0 - at_most(r)));
    (mean, (square - mean * mean).sqrt())
}

#[test]
fn every_constant_is_that_of_the_range_of_normal_values() {
    let printed = item("range-chart-constants");
    let column = |field: &str| printed.numbers("expected", field);
    for (at, size) in (2..=10_i32).enumerate() {
        let (mean, deviation) = range(size);
        let found = constants(usize::try_from(size).unwrap()).unwrap();
        let root = f64::from(size).sqrt();
        for (ours, field, true_value) in [
            (found.d2, "d2", mean),
            (found.a2, "A2", 3.0 / (mean * root)),
            (found.low, "D3", (1.0 - 3.0 * deviation / mean).max(0.0)),
            (found.high, "D4", 1.0 + 3.0 * deviation / mean),
        ] {
            let ours = ours as f64 / 1000.0;
            near(ours, column(field)[at].to_f64(), 1e-12, &format!("{field} of {size} as printed"));
            near(ours, true_value, 5.01e-4, &format!("{field} of {size} as integrated"));
        }
    }
    assert_eq!((constants(1), constants(11)), (None, None));
    // Those of two values agree with the chart of individuals.
    near(float(&d2()), range(2).0, 1e-9, "d2");
    near(float(&d4()), 1.0 + 3.0 * range(2).1 / range(2).0, 1e-6, "D4");
}

#[test]
fn the_published_groups_have_their_published_limits() {
    let flow = item("montgomery-xbar-r");
    let groups: Vec<Vec<Value>> =
        flow.table("inputs", "data").into_iter().map(|row| row.into_iter().map(Value::from).collect()).collect();
    assert_eq!(groups.len(), 25);
    let found = subgroups(&groups).unwrap();
    for (ours, field) in [
        (&found.centre, "xbarbar"),
        (&found.mean_range, "Rbar"),
        (&found.low, "xbar_LCL"),
        (&found.high, "xbar_UCL"),
        (&found.range_low, "R_LCL"),
        (&found.range_high, "R_UCL"),
        (&found.deviation, "sigma_hat"),
    ] {
        near(float(ours), flow.number("expected", field).to_f64(), 1e-9, field);
    }
    let printed = flow.numbers("expected", "printed");
    for (ours, printed) in [&found.low, &found.high, &found.range_high].iter().zip(&printed) {
        near(float(ours), printed.to_f64(), 2e-5, "as printed");
    }
    assert!((0..25).all(|at| found.side_of_mean(at).is_eq() && found.side_of_range(at).is_eq()));
    // One group moved away is beyond, and only its mean.
    let mut moved = groups.clone();
    for value in &mut moved[7] {
        *value = value.add(&Value::ONE);
    }
    let found = subgroups(&moved).unwrap();
    let beyond: Vec<usize> = (0..25).filter(|at| found.side_of_mean(*at) == Ordering::Greater).collect();
    assert_eq!(beyond, [7]);
    assert!((0..25).all(|at| found.side_of_range(at).is_eq()));
}

#[test]
fn other_groups_have_no_chart() {
    let group = |size: usize| vec![Value::ONE; size];
    assert_eq!(subgroups(&[]), None);
    assert_eq!(subgroups(&[group(3)]), None, "one group");
    assert_eq!(subgroups(&[group(1), group(1)]), None, "individuals");
    assert_eq!(subgroups(&[group(11), group(11)]), None, "too large");
    assert_eq!(subgroups(&[group(3), group(2)]), None, "two sizes");
}
