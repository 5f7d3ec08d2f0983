//! Rows that pick or gather for themselves, and units that are no plain lengths: the same uncertainty as by hand.

use crate::outside::weighing::{budgets, float, near, readings, shop};
use std::f64::consts::PI;

/// The standard uncertainty of every ruling, in base units; nothing where nothing is uncertain.
fn standards(book: &str, record: &str) -> Vec<f64> {
    let shop = shop(book);
    budgets(&shop, &readings(&shop, record))
        .into_iter()
        .map(|(_, budget)| budget.map_or(0.0, |budget| float(&budget.uncertainty.standard())))
        .collect()
}

#[test]
fn a_row_with_a_word_of_its_own_is_as_unsure_as_what_it_judges() {
    let book = "rulebook \"Words\" edition 2026-03-01
unit mm = 0.001 m
unit um = 0.001 mm
part machine {
    part fit at left, right {
        width : mm, 2 readings or more
        height at a, b : mm
    }
}
generation g \"words\" {
    each of fit.left.width limit at most 100 mm
    mean of fit.left.width limit at most 100 mm
    sum of fit.left.width limit at most 100 mm
    smallest of fit.left.width limit at most 100 mm
    largest of fit.left.width limit at most 100 mm
    spread of fit.left.width limit at most 100 mm
    count of fit.left.width limit at most 100
    fit.left.height.b limit at most 100 mm
    spread of fit.left.height limit at most 100 mm
    mean of fit.left.height limit at most 100 mm
}
";
    // Calibration 6 µm and 10 µm expanded; a resolution of 6 µm is √3 µm standard; the last says 4 µm for itself.
    let record = "generation: g
gauges:
  one: { uncertainty: 6 um, resolution: 6 um }
  two: { uncertainty: 10 um }
fit:
  left:
    width: [{ value: 10.00 mm, gauge: one }, { value: 10.05 mm, gauge: one }, { value: 10.13 mm, gauge: two }]
    height: { a: { value: 5.00 mm, gauge: two }, b: { value: 5.20 mm, uncertainty: 4 um } }
  right:
    width: [10 mm, 10 mm]
    height: { a: 5 mm, b: 5 mm }
";
    let found = standards(book, record);
    let one = 3_f64.hypot(3_f64.sqrt());
    // In the sum the two by the first gauge share 3 µm, and each has a resolution of its own; the scatter of the three,
    // s² = 4,300 µm², comes with it, as n·s².
    let scatter = 3.0 * 4_300.0;
    let sum = (36.0_f64 + 2.0 * 3.0 + 25.0 + scatter).sqrt();
    let spread = one.hypot(5.0);
    let expected =
        [one, one, 5.0, sum / 3.0, sum, one, 5.0, spread, 0.0, 2.0, 2_f64.hypot(5.0), 2_f64.hypot(5.0) / 2.0];
    assert_eq!(found.len(), expected.len());
    for (number, (found, expected)) in found.iter().zip(expected).enumerate() {
        near(found * 1e6, expected, 1e-9, &format!("ruling {number}"));
    }
}

#[test]
fn angles_speeds_and_temperatures_are_weighed_in_their_own_units() {
    let book = "rulebook \"Units\" edition 2026-03-01
unit mm = 0.001 m
unit deg = pi / 180 * 1 rad
unit rpm = 2 * pi * 1 rad / 60 s
unit degC = 1 K zero at 273.15 K
unit degF = 5 / 9 * 1 K zero at 459.67 * 5 / 9 * 1 K
part machine {
    lean : deg
    radius : mm
    speed : rpm
    hot : degC
    cold : degF
    derive across : mm = radius * sin(lean)
    derive sliding : m/s = radians(speed) * radius
    derive warmer : K = hot - cold
}
generation g \"units\" {
    machine.across limit at most 100 mm
    machine.sliding limit at most 100 m/s
    machine.warmer limit at most 100 K
}
";
    let record = "generation: g
gauges:
  protractor: { uncertainty: 0.1 deg, resolution: 0.05 deg }
  counter: { uncertainty: 20 rpm }
lean: { value: 30 deg, gauge: protractor }
radius: { value: 50 mm, uncertainty: 0.04 mm }
speed: { value: 6000 rpm, gauge: counter }
hot: { value: 85.0 degC, uncertainty: 0.6 K }
cold: { value: 68.0 degF, uncertainty: 0.8 K }
";
    let found = standards(book, record);
    let degree = PI / 180.0;
    let lean = (0.05 * degree).hypot(0.05 * degree / 12_f64.sqrt());
    let (turn, turn_off) = (6000.0 * PI / 30.0, 10.0 * PI / 30.0);
    let expected = [
        (0.5 * 0.02e-3_f64).hypot(0.05 * (30.0 * degree).cos() * lean),
        (turn * 0.02e-3).hypot(0.05 * turn_off),
        0.3_f64.hypot(0.4),
    ];
    assert_eq!(found.len(), expected.len());
    for (found, expected) in found.iter().zip(expected) {
        near(*found, expected, 1e-12 * expected, "a value in its own units");
    }
}
