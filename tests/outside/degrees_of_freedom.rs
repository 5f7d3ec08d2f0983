//! Type A evaluation and the Welch-Satterthwaite formula against the examples of JCGM 100:2008 and others.
//!
//! Sources item by item in `data/degrees-of-freedom.yaml`.

use super::check_values::{Item, items, number};
use trochoid::quantity::{Number, Value};
use trochoid::statistics::coverage::effective_freedom;
use trochoid::statistics::sample;

fn the(name: &str) -> Item {
    let text = include_str!("data/degrees-of-freedom.yaml");
    items(text).into_iter().find(|item| item.item == name).unwrap_or_else(|| panic!("no {name}"))
}

fn square(number: &Number) -> Value {
    Value::from(number * number)
}

fn near(found: &Number, expected: &Number, relative: &str) {
    assert!((found - expected).abs() <= expected.abs() * number(relative), "{found} for {expected}");
}

/// Standard uncertainties with their degrees of freedom, as parts of a variance.
fn parts(uncertainties: &[Number], freedom: &[Option<Number>]) -> Vec<(Value, Option<Number>)> {
    assert_eq!(uncertainties.len(), freedom.len());
    uncertainties.iter().map(square).zip(freedom.iter().cloned()).collect()
}

#[test]
fn g_4_1() {
    let item = the("gum-g41-welch-satterthwaite");
    let freedom: Vec<_> = item.numbers("inputs", "nu").into_iter().map(Some).collect();
    let found = effective_freedom(&parts(&item.numbers("inputs", "rel_u_percent"), &freedom)).unwrap();
    near(&found, &item.number("expected", "nu_eff"), "1e-9");
    near(&found, &item.numbers("expected", "printed")[1], "0.003");
    // The squares left out, as they are in the wrong variant, give another number.
    let wrong: Vec<_> = item.numbers("inputs", "rel_u_percent").into_iter().map(Value::from).zip(freedom).collect();
    assert!((effective_freedom(&wrong).unwrap() - found).abs() > number("0.5"));
}

#[test]
fn infinite_degrees_of_freedom_weigh_above_the_line_only() {
    let item = the("ws-engr224");
    let found = effective_freedom(&parts(&item.numbers("inputs", "u"), &[Some(9.into()), None])).unwrap();
    near(&found, &item.number("expected", "nu_eff"), "1e-10");
    assert_eq!(effective_freedom(&parts(&item.numbers("inputs", "u"), &[None, None])), None);
    assert_eq!(effective_freedom(&[]), None);
    assert_eq!(effective_freedom(&[(Value::ZERO, Some(9.into())), (Value::ONE, None)]), None);
    assert_eq!(effective_freedom(&[(Value::ONE, Some(Number::ZERO))]), Some(Number::ZERO));
    assert_eq!(effective_freedom(&[(Value::ONE, Some(7.into()))]), Some(7.into()));
}

#[test]
fn h_1_gauge_block() {
    let item = the("gum-h1-d-combined");
    let freedom: Vec<_> = item.numbers("inputs", "nu").into_iter().map(Some).collect();
    let found = effective_freedom(&parts(&item.numbers("inputs", "u"), &freedom)).unwrap();
    near(&found, &item.number("expected", "nu_eff"), "1e-10");

    // H.1.6: each contribution is the sensitivity times the uncertainty: 1, 1, ls·θ and ls·αs.
    let item = the("gum-h1-nu-eff");
    let of = |name: &str| item.numbers("inputs", name);
    let (ls, d) = (of("ls"), of("d"));
    // dα weighs by θ = −0.1 °C; θ and αs by dα and dθ, which are zero.
    let contributions = [
        (square(&ls[1]), Some(ls[2].clone())),
        (square(&d[1]), Some(d[2].clone())),
        (square(&(&ls[0] * number("0.1") * number("5.8e-7"))), Some(50.into())),
        (square(&(&ls[0] * number("1.15e-5") * number("0.029"))), Some(2.into())),
    ];
    let found = effective_freedom(&contributions).unwrap();
    near(&found, &item.number("expected", "nu_eff"), "1e-9");
    assert!((found.to_f64() - 16.7).abs() <= 0.1 && found.to_decimal(0) == "17");
    // Truncated, not rounded: 16 (H.1.6).
    assert_eq!(trochoid::statistics::coverage::factor(Some(&found)), Some(number("2.17")));
}

#[test]
fn type_a_of_twenty_temperatures() {
    let item = the("gum-443-type-a");
    let readings: Vec<Value> = item.numbers("inputs", "readings").into_iter().map(Value::from).collect();
    assert_eq!(sample::mean(&readings), Some(Value::from(item.number("expected", "mean"))));
    near(&sample::deviation(&readings).unwrap().midpoint(), &item.number("expected", "s"), "1e-11");
    near(&sample::deviation_of_mean(&readings).unwrap().midpoint(), &item.number("expected", "u"), "1e-11");
    // n in place of n − 1 gives 1.451, not the 1.489 in print.
    assert_eq!(sample::deviation(&readings).unwrap().midpoint().to_decimal(3), "1.489");
}

#[test]
fn h_2_voltage_current_and_phase() {
    let item = the("gum-h2-type-a");
    let (means, uncertainties) = (item.numbers("expected", "mean"), item.numbers("expected", "u_mean"));
    for (index, (field, scale)) in [("V", "1"), ("I_mA", "0.001"), ("phi_rad", "1")].into_iter().enumerate() {
        let readings: Vec<Value> =
            item.numbers("inputs", field).into_iter().map(|one| Value::from(one * number(scale))).collect();
        assert_eq!(readings.len(), 5);
        near(&sample::mean(&readings).unwrap().midpoint(), &means[index], "1e-12");
        near(&sample::deviation_of_mean(&readings).unwrap().midpoint(), &uncertainties[index], "1e-11");
    }
}
