//! Readings that move together: JCGM 100:2008, H.2, resistance and reactance from a voltage, a current and an angle read at
//! once, against Table H.3 (`data/uncertainty.yaml`).
//!
//! What several readings share is what one gauge brings to all of them. So the covariance of Table H.2 is written as three
//! gauges, each with an error of its own in each of the three values: the columns of a triangular root of the covariance.

use super::check_values::{Item, items};
use super::weighing::{budgets, float, judged, near, readings, shop};

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
