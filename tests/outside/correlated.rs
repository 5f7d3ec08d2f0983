//! Readings that move together: JCGM 100:2008, H.2, resistance and reactance from a voltage, a current and an angle read at
//! once, against Table H.3 (`data/uncertainty.yaml`).
//!
//! It is written in two ways. What several readings share is what one gauge brings to all of them: three gauges, each with an
//! error of its own in each of the three values, the columns of a triangular root of the covariance. And as it is printed: three
//! gauges, each with the coefficients to the others that its certificate states.

use super::check_values::{Item, items};
use super::weighing::{budgets, float, judged, near, readings, shop, told};
use trochoid::judge::Grade;

fn item(name: &str) -> Item {
    items(include_str!("data/uncertainty.yaml")).into_iter().find(|item| item.item == name).unwrap()
}

/// The deviations of the means, and the triangular root of their covariance, from the readings of Table H.2.
fn root(lists: &[Vec<f64>; 3]) -> ([f64; 3], [[f64; 3]; 3]) {
    let count = lists[0].len() as f64;
    let mean = [0, 1, 2].map(|at: usize| lists[at].iter().sum::<f64>() / count);
    let covariance = |one: usize, other: usize| {
        let products = lists[one].iter().zip(&lists[other]).map(|(a, b)| (a - mean[one]) * (b - mean[other]));
        products.sum::<f64>() / (count * (count - 1.0))
    };
    let mut root = [[0.0_f64; 3]; 3];
    for row in 0..3 {
        for column in 0..=row {
            let before: f64 = (0..column).map(|at| root[row][at] * root[column][at]).sum();
            root[row][column] = if row == column {
                (covariance(row, row) - before).sqrt()
            } else {
                (covariance(row, column) - before) / root[column][column]
            };
        }
    }
    (mean, root)
}

/// A decimal with a sign before it, as it stands in a sum.
fn term(factor: f64, unit: &str, name: &str) -> String {
    format!(" {} {:.15} * {name}{unit}", if factor < 0.0 { "-" } else { "+" }, factor.abs())
}

/// What R, X, Z and their sums by pairs come to, each with its standard uncertainty. `together`, the three errors are each
/// one gauge's, common to its readings; else every reading has its own.
fn impedance(together: bool) -> Vec<(f64, f64)> {
    let item = item("gum-h2-type-a");
    let list = |field: &str, scale: f64| item.numbers("inputs", field).iter().map(|it| it.to_f64() * scale).collect();
    let (mean, root) = root(&[list("V", 1.0), list("I_mA", 1e-3), list("phi_rad", 1.0)]);
    let sum = |row: usize, letter: &str, unit: &str| -> String {
        (0..=row).map(|column| term(root[row][column], unit, &format!("e{column}{letter}"))).collect()
    };
    let shop = shop(&format!(
        "rulebook \"Impedance\" edition 2026-03-01
part set {{
    voltage : number
    current : number
    phase : rad
    e0v : rad
    e0i : rad
    e1i : rad
    e0p : rad
    e1p : rad
    e2p : rad
    derive v : number = voltage{}
    derive i : number = current{}
    derive p : rad = phase{}
    derive r : number = v / i * cos(p)
    derive x : number = v / i * sin(p)
    derive z : number = v / i
    derive rx : number = r + x
    derive rz : number = r + z
    derive xz : number = x + z
}}
generation g \"five at once\" {{
    set.r limit at most 1000
    set.x limit at most 1000
    set.z limit at most 1000
    set.rx limit at most 1000
    set.rz limit at most 1000
    set.xz limit at most 1000
}}
",
        sum(0, "v", " / (1 rad)"),
        sum(1, "i", " / (1 rad)"),
        sum(2, "p", "")
    ));
    let mut record = "generation: g\ngauges:\n".to_owned();
    for column in 0..3 {
        record.push_str(&format!("  g{column}: {{ uncertainty: 2 rad }}\n"));
    }
    record.push_str(&format!("voltage: {:.12}\ncurrent: {:.12}\nphase: {:.12} rad\n", mean[0], mean[1], mean[2]));
    for name in ["e0v", "e0i", "e1i", "e0p", "e1p", "e2p"] {
        let by = if together { format!("gauge: g{}", &name[1..2]) } else { "uncertainty: 2 rad".to_owned() };
        record.push_str(&format!("{name}: {{ value: 0 rad, {by} }}\n"));
    }
    let found = budgets(&shop, &readings(&shop, &record));
    found
        .iter()
        .map(|(ruling, budget)| (judged(ruling), float(&budget.as_ref().unwrap().uncertainty.standard())))
        .collect()
}

#[test]
fn a_resistance_from_readings_that_move_together_is_as_printed() {
    let item = item("gum-h2-combined");
    let expected = |field: &str| item.number("expected", field).to_f64();
    let found = impedance(true);
    assert_eq!(found.len(), 6);
    for ((value, standard), name) in found.iter().zip(["R", "X", "Z"]) {
        near(*value, expected(name), 6e-4, name);
        // Table H.3 works on with rounded figures: 0.2956 stands there as 0.295.
        near(*standard, expected(&format!("u_{name}")), 1e-3, &format!("u({name})"));
    }
    // The variance of a sum of two gives what they have in common.
    let pairs = [(0, 1), (0, 2), (1, 2)].into_iter().zip(["r_RX", "r_RZ", "r_XZ"]);
    for (at, ((one, other), name)) in (3..).zip(pairs) {
        let (a, b, both) = (found[one].1, found[other].1, found[at].1);
        let r = (both * both - a * a - b * b) / (2.0 * a * b);
        near(r, expected(name), 6e-4, name);
    }
}

/// Each with an error of its own, R would be 2.7 times as uncertain: the covariance is not a refinement.
#[test]
fn without_what_they_share_the_resistance_is_far_too_uncertain() {
    let expected = |field: &str| item("gum-h2-combined").number("expected", field).to_f64();
    let apart = impedance(false)[0].1;
    near(apart, expected("u_R_without_covariance"), 5e-4, "u(R) apart");
    assert!((2.7..2.8).contains(&(apart / impedance(true)[0].1)));
}

/// The three quantities by a gauge each, that state how they are correlated: what R, X, Z and their sums by pairs come to, each with
/// its standard uncertainty.
fn stated(means: [&str; 3], standards: [&str; 3], [vi, vp, ip]: [&str; 3]) -> Vec<(f64, f64)> {
    let shop = shop(
        "rulebook \"Impedance\" edition 2026-03-01
unit V = 1 kg * 1 m * 1 m / (1 s * 1 s * 1 s * 1 A)
unit mA = 0.001 A
part set {
    voltage : V
    current : A
    phase : rad
    derive r : V/A = voltage / current * cos(phase)
    derive x : V/A = voltage / current * sin(phase)
    derive z : V/A = voltage / current
    derive rx : V/A = r + x
    derive rz : V/A = r + z
    derive xz : V/A = x + z
}
generation g \"five at once\" {
    set.r limit at most 1000 V/A
    set.x limit at most 1000 V/A
    set.z limit at most 1000 V/A
    set.rx limit at most 1000 V/A
    set.rz limit at most 1000 V/A
    set.xz limit at most 1000 V/A
}
",
    );
    let record = format!(
        "generation: g
gauges:
  volt: {{ uncertainty: {} V, k: 1, correlated: {{ amp: {vi} }} }}
  amp: {{ uncertainty: {} mA, k: 1 }}
  angle: {{ uncertainty: {} rad, k: 1, correlated: {{ amp: {ip}, volt: {vp} }} }}
voltage: {{ value: {} V, gauge: volt }}
current: {{ value: {} mA, gauge: amp }}
phase: {{ value: {} rad, gauge: angle }}
",
        standards[0], standards[1], standards[2], means[0], means[1], means[2]
    );
    let found = budgets(&shop, &readings(&shop, &record));
    found
        .iter()
        .map(|(ruling, budget)| (judged(ruling), float(&budget.as_ref().unwrap().uncertainty.standard())))
        .collect()
}

/// Table H.2 as it is printed, through the program, against Table H.3 as it is printed.
#[test]
fn the_coefficients_of_table_h2_give_table_h3() {
    let found = stated(["4.9990", "19.6610", "1.04446"], ["0.0032", "0.0095", "0.00075"], ["-0.36", "0.86", "-0.65"]);
    for ((value, standard), (printed, u, half)) in
        found.iter().zip([(127.732, 0.071, 0.001_5), (219.847, 0.295, 0.001_5), (254.260, 0.236, 0.001_5)])
    {
        near(*value, printed, 0.0006, "as printed");
        near(*standard, u, half, "its uncertainty, from figures rounded as printed: terms cancel");
    }
}

/// The same by unrounded figures, against the unrounded results, and against the sum of 5.2.2 written out here.
#[test]
fn stated_coefficients_give_the_sum_of_the_guide() {
    let item = item("gum-h2-type-a");
    let list = |field: &str| -> Vec<f64> { item.numbers("inputs", field).iter().map(|it| it.to_f64()).collect() };
    let lists = [list("V"), list("I_mA"), list("phi_rad")];
    let (mean, root) = root(&lists);
    let covariance = |one: usize, other: usize| (0..3).map(|at| root[one][at] * root[other][at]).sum::<f64>();
    let standard = [0, 1, 2].map(|at| covariance(at, at).sqrt());
    let r = |one: usize, other: usize| covariance(one, other) / (standard[one] * standard[other]);
    let text = |value: f64| format!("{value:.15}");
    let (means, standards) = (mean.map(text), standard.map(text));
    let coefficients = [r(0, 1), r(0, 2), r(1, 2)].map(text);
    let found = stated(
        [&means[0], &means[1], &means[2]],
        [&standards[0], &standards[1], &standards[2]],
        [&coefficients[0], &coefficients[1], &coefficients[2]],
    );
    let expected = self::item("gum-h2-combined");
    for ((_, standard), name) in found.iter().zip(["R", "X", "Z"]) {
        near(*standard, expected.number("expected", &format!("u_{name}")).to_f64(), 1e-3, name);
    }
    let pairs = [(0, 1), (0, 2), (1, 2)].into_iter().zip(["r_RX", "r_RZ", "r_XZ"]);
    for (at, ((one, other), name)) in (3..).zip(pairs) {
        let (a, b, both) = (found[one].1, found[other].1, found[at].1);
        near((both * both - a * a - b * b) / (2.0 * a * b), expected.number("expected", name).to_f64(), 6e-4, name);
    }
    // By hand: R = V/I cos φ, X = V/I sin φ, Z = V/I, with I in amperes.
    let (v, i, p) = (mean[0], mean[1] / 1e3, mean[2]);
    let by = [
        [p.cos() / i, -v * p.cos() / (i * i) / 1e3, -v / i * p.sin()],
        [p.sin() / i, -v * p.sin() / (i * i) / 1e3, v / i * p.cos()],
        [1.0 / i, -v / (i * i) / 1e3, 0.0],
    ];
    for (by, (_, standard)) in by.iter().zip(&found) {
        let mut sum = 0.0;
        for one in 0..3 {
            for other in 0..3 {
                sum += by[one] * by[other] * covariance(one, other);
            }
        }
        near(*standard, sum.sqrt(), 1e-9 * sum.sqrt(), "5.2.2");
    }
}

/// Two gauges with U = 2 µm each: of a sum, U is 2.83 µm if they are independent, 4 µm if wholly correlated, and nothing if wholly
/// correlated the other way. A value 3.5 µm inside its limit is settled or not accordingly, also by the first estimate.
#[test]
fn a_guard_band_counts_what_is_correlated() {
    let shop = shop(
        "rulebook \"Two\" edition 2026-03-01
unit mm = 0.001 m
unit um = 0.001 mm
part block {
    one : mm
    other : mm
    derive both : mm = one + other
}
generation g \"two\" {
    block.both limit at most 20.0035 mm
}
house \"Lapwing Pumps\" { judge by guard band 1 U }
",
    );
    let grade = |says: &str, value: &str| {
        told(
            &shop,
            &format!(
                "generation: g\ngauges:\n  g1: {{ uncertainty: 2 um{says} }}\n  g2: {{ uncertainty: 2 um }}\n\
                 one: {{ value: 10 mm, gauge: g1 }}\nother: {{ value: {value} mm, gauge: g2 }}\n"
            ),
        )
        .grade
    };
    let stated = |r: &str| format!(", correlated: {{ g2: {r} }}");
    assert_eq!(grade("", "10"), Grade::Good);
    assert_eq!(grade(&stated("0.5"), "10"), Grade::Good, "U is 3.46 µm");
    assert_eq!(grade(&stated("0.6"), "10"), Grade::Unsettled, "U is 3.58 µm");
    assert_eq!(grade(&stated("1"), "10"), Grade::Unsettled);
    assert_eq!(grade(&stated("-1"), "10.0035"), Grade::Good, "U is nothing, and the limit belongs to the range");
    assert_eq!(grade("", "10.0035"), Grade::Unsettled);
}
