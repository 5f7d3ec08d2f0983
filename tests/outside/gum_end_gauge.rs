//! An end gauge calibrated against a standard of its length: JCGM 100:2008, H.1, written as a rulebook and a record, with the
//! standard uncertainties, degrees of freedom and results printed there (`data/uncertainty.yaml`).
//!
//! A record says expanded uncertainties (k = 2), so each stands there doubled.

use super::check_values::{Item, items};
use super::weighing::{float, judged, near, only, readings, shop};
use trochoid::judge::uncertainty::{Budget, Influence};
use trochoid::statistics::coverage;

const BOOK: &str = "rulebook \"An end gauge\" edition 2026-03-01
unit mm = 0.001 m
unit nm = 0.000001 mm
unit \"um/m/K\" = 0.000001 / (1 K)
part end_gauge {
    reference : nm            # the length of the standard
    apart : nm                # how much longer the gauge was found
    difference : um/m/K       # by how much the two expand differently
    temperature : K           # of the bed, less 20 °C
    coefficient : um/m/K
    temperature_apart : K     # between the two
    derive length : nm = reference + apart - reference * (difference * temperature + coefficient * temperature_apart)
}
generation g \"an end gauge of 50 mm\" {
    end_gauge.length limit 49 to 51 mm
}
";

const RECORD: &str = "generation: g
gauges:
  certificate: { uncertainty: 50 nm }
  comparator: { uncertainty: 19.4 nm }
  difference: { uncertainty: 1.16 um/m/K }
  thermometer: { uncertainty: 0.82 K }
  handbook: { uncertainty: 2.4 um/m/K }
  thermocouple: { uncertainty: 0.058 K }
reference: { value: 50000623 nm, gauge: certificate }
apart: { value: 215 nm, gauge: comparator }
difference: { value: 0 um/m/K, gauge: difference }
temperature: { value: -0.1 K, gauge: thermometer }
coefficient: { value: 11.5 um/m/K, gauge: handbook }
temperature_apart: { value: 0 K, gauge: thermocouple }
";

/// Degrees of freedom of the gauges, in their order; none as H.1 gives none, where they are without end.
const FREEDOM: [Option<&str>; 6] = [Some("18"), Some("25.6"), Some("50"), None, None, Some("2")];

fn item(name: &str) -> Item {
    items(include_str!("data/uncertainty.yaml")).into_iter().find(|item| item.item == name).unwrap()
}

fn expected(name: &str, field: &str) -> f64 {
    item(name).number("expected", field).to_f64()
}

fn end_gauge() -> (f64, Budget) {
    let shop = shop(BOOK);
    let mut readings = readings(&shop, RECORD);
    for (gauge, freedom) in readings.gauges.iter_mut().zip(FREEDOM) {
        gauge.degrees_of_freedom = freedom.map(super::weighing::number);
    }
    let (ruling, budget) = only(&shop, &readings);
    (judged(&ruling), budget)
}

#[test]
fn the_length_and_its_standard_uncertainty_are_as_printed() {
    let (length, budget) = end_gauge();
    near(length * 1e9, expected("gum-h1-estimate", "y"), 1e-6, "the length in nm");
    let standard = float(&budget.uncertainty.standard()) * 1e9;
    near(standard, expected("gum-h1-uc-first-order", "uc"), 1e-6, "u(l) in nm");
    near(standard, expected("gum-h1-uc-first-order", "printed"), 0.5, "u(l) as printed");
    assert!(!budget.uncertainty.incomplete);
}

#[test]
fn every_contribution_is_as_printed() {
    let (_, budget) = end_gauge();
    let contribution = |gauge: u16| {
        let line = budget.lines.iter().find(|line| line.influence == Influence::Calibration(gauge));
        line.map_or(0.0, |line| float(&line.contribution) * 1e9)
    };
    // H.1.4: 25 nm, 9.7 nm, 2.9 nm, 16.6 nm (which prints 16.675 cut off), in the order of `FREEDOM`.
    near(contribution(0), 25.0, 1e-6, "the standard");
    near(contribution(1), 9.7, 1e-6, "the comparison");
    near(contribution(2), 2.900_036_134, 1e-6, "the expansions' difference");
    // Their factors are estimated as nothing, so that these do not count in first order.
    near(contribution(3), 0.0, 1e-12, "the temperature of the bed");
    near(contribution(4), 0.0, 1e-12, "the expansion");
    near(contribution(5), 16.675_207_770_5, 1e-6, "the temperatures' difference");
    // The largest first, and the shares come to one.
    let sizes: Vec<f64> = budget.lines.iter().map(|line| float(&line.contribution)).collect();
    assert!(sizes.windows(2).all(|pair| pair[0] >= pair[1]), "{sizes:?}");
    let shares: f64 = budget.lines.iter().map(|line| float(line.share.as_ref().unwrap())).sum();
    near(shares, 1.0, 1e-12, "the shares");
}

#[test]
fn the_effective_degrees_of_freedom_are_as_printed() {
    let (_, budget) = end_gauge();
    let freedom = budget.uncertainty.degrees_of_freedom.clone().unwrap();
    near(freedom.to_f64(), expected("gum-h1-nu-eff", "nu_eff"), 1e-6, "effective degrees of freedom");
    // H.1.6 truncates to 16; Table G.2 has 2.17 there for 95.45 %.
    near(freedom.to_f64().floor(), expected("gum-h1-nu-eff", "truncated"), 1e-9, "cut off");
    assert_eq!(budget.uncertainty.factor, super::weighing::number("2.17"));
}

/// H.1.7: with the terms of second order u(l) is 34 nm. The law of propagation does not give it, here or there: what a
/// product of two estimates of nothing adds is not seen. The program claims the first order only.
#[test]
fn the_second_order_is_not_in_it_and_how_much_that_is() {
    let (_, budget) = end_gauge();
    let first = float(&budget.uncertainty.standard()) * 1e9;
    let terms = [50_000_623.0 * 5.8e-7 * 0.41, 50_000_623.0 * 1.2e-6 * 0.029];
    let second = terms.iter().fold(first * first, |sum, term| sum + term * term).sqrt();
    near(second, expected("gum-h1-uc-second-order", "uc2"), 1e-6, "u(l) with the second order");
    near(second, expected("gum-h1-uc-second-order", "printed"), 0.5, "u(l) as printed in H.1.7");
    assert!(second - first > 2.0, "first order {first}, second {second}");
}

/// H.1.3.2: the comparison's own uncertainty, of five readings, of the comparator at random and of it as a whole.
#[test]
fn the_comparison_is_combined_as_printed() {
    let shop = shop(
        "rulebook \"A comparison\" edition 2026-03-01
unit nm = 0.000000001 m
part comparison {
    mean : nm
    random : nm
    systematic : nm
    derive apart : nm = mean + random + systematic
}
generation g \"a comparison\" {
    comparison.apart limit at most 1000 nm
}
",
    );
    let record = "generation: g
gauges:
  one: { uncertainty: 11.6 nm }
  two: { uncertainty: 7.8 nm }
  three: { uncertainty: 13.4 nm }
mean: { value: 215 nm, gauge: one }
random: { value: 0 nm, gauge: two }
systematic: { value: 0 nm, gauge: three }
";
    let mut readings = readings(&shop, record);
    for (gauge, freedom) in readings.gauges.iter_mut().zip(item("gum-h1-d-combined").numbers("inputs", "nu")) {
        gauge.degrees_of_freedom = Some(freedom);
    }
    let (_, budget) = only(&shop, &readings);
    near(float(&budget.uncertainty.standard()) * 1e9, expected("gum-h1-d-combined", "u_c"), 1e-9, "u(d) in nm");
    let freedom = budget.uncertainty.degrees_of_freedom.unwrap();
    near(freedom.to_f64(), expected("gum-h1-d-combined", "nu_eff"), 1e-9, "its degrees of freedom");
    // 25.4: Table G.2 is entered at 25.
    assert_eq!(Some(budget.uncertainty.factor), coverage::factor(Some(&super::weighing::number("25"))));
}
