//! The unbalance that may stay in a rotor: the shipped formula, and how it is split over two planes, against published and
//! derived values (`data/balance.yaml`, each with its source there; the turbine is quoted from memory).
//!
//! ISO 21940-11:2016: e_per · Ω = G, so that U = e_per · m = G · m / Ω.

use super::check_values::{Item, items};
use super::shipped_geometry::{close, formula, in_units};
use super::weighing::{judged, near, number, readings, shop, verdict};
use std::f64::consts::PI;
use trochoid::quantity::{Number, Value};
use trochoid::shop::Shop;

fn all(name: &str) -> Vec<Item> {
    let all: Vec<Item> =
        items(include_str!("data/balance.yaml")).into_iter().filter(|item| item.item == name).collect();
    assert!(!all.is_empty(), "{name}");
    all
}

/// g·mm in kg·m.
const GRAM_MILLIMETRES: f64 = 1e6;

/// What the shipped formula allows, in g·mm: the grade in mm/s, the mass in kg, the speed in revolutions a minute.
fn allowed(shop: &Shop, grade: &Number, mass: &Number, speed: &Number) -> f64 {
    let thousandth = number("0.001");
    // A revolution a minute is π/30 rad/s.
    let turn = Value::pi().multiply(&Value::from(speed.clone())).divide(&Value::from(number("30"))).unwrap();
    let arguments = [Value::from(grade * &thousandth), Value::from(mass.clone()), turn];
    in_units(&formula(shop, "permissible_unbalance", &arguments), GRAM_MILLIMETRES)
}

#[test]
fn the_shipped_formula_gives_the_derived_values() {
    let shop = Shop::shipped();
    let cases = all("balance-derived");
    assert_eq!(cases.len(), 9);
    for case in cases {
        let [grade, mass, speed] = ["G", "mass_kg", "rpm"].map(|field| case.number("inputs", field));
        let found = allowed(&shop, &grade, &mass, &speed);
        let expected = |field: &str| case.number("expected", field).to_f64();
        assert!(close(found, expected("U_per_g_mm"), 1e-9), "{found}");
        // By the mass it is the eccentricity, g·mm/kg being µm; by that and the angular speed it is the grade again.
        let eccentricity = found / mass.to_f64();
        assert!(close(eccentricity, expected("e_per_um"), 1e-9), "{eccentricity}");
        assert!(close(eccentricity * expected("omega") / 1000.0, grade.to_f64(), 1e-9));
        // A checker that takes revolutions a minute for radians a second is off by π/30.
        assert!(!close(found * PI / 30.0, expected("U_per_g_mm"), 0.5));
    }
}

#[test]
fn the_formula_has_the_constants_of_the_trade() {
    let shop = Shop::shipped();
    let one = Number::ONE;
    let metric = all("constant-9549")[0].number("expected", "constant").to_f64();
    assert!(close(allowed(&shop, &one, &one, &one), metric, 1e-11));
    assert!(close(metric, 9549.3, 1e-6), "as the trade rounds it");
    let constant = &all("constant-6.015")[0];
    let imperial = allowed(&shop, &one, &number("0.45359237"), &one) / (28.349_523_125 * 25.4);
    assert!(close(imperial, constant.number("expected", "constant").to_f64(), 1e-11), "{imperial}");
    near(imperial, constant.number("expected", "printed").to_f64(), 0.0005, "as printed");
}

/// Grades are proportional: 40 is 6.349 times 6.3, and not the next grade's 2.5 times.
#[test]
fn the_formula_is_proportional_in_everything() {
    let shop = Shop::shipped();
    let case = &all("grades-are-proportional")[0];
    let (mass, speed) = (case.number("inputs", "mass_kg"), case.number("inputs", "rpm"));
    let of = |grade: &str, mass: &Number, speed: &Number| allowed(&shop, &number(grade), mass, speed);
    let ratio = of("40", &mass, &speed) / of("6.3", &mass, &speed);
    assert!(close(ratio, case.number("expected", "ratio_G40_G6_3").to_f64(), 1e-11), "{ratio}");
    assert!(close(of("40", &mass, &speed), 10.0 * of("4", &mass, &speed), 1e-11));
    assert!(close(of("6.3", &(&mass * &number("3")), &speed), 3.0 * of("6.3", &mass, &speed), 1e-11));
    assert!(close(of("6.3", &mass, &(&speed * &number("4"))), of("6.3", &mass, &speed) / 4.0, 1e-11));
}

/// A rotor with two planes, the same formula written in the rule language: a record's grade, mass, speed and places of the
/// planes give what each may keep. Each plane takes the share of the other's distance from the centre of mass.
fn planes(record: &str) -> Vec<f64> {
    let shop = shop(
        "rulebook \"Two planes\" edition 2026-03-01
unit mm = 0.001 m
unit g = 0.001 kg
unit lb = 0.45359237 kg
unit rpm = 2 * pi * 1 rad / 60 s
formula permissible(grade: mm/s, mass: kg, speed: rpm) : g*mm = grade * mass / radians(speed)
part turbine {
    grade : mm/s
    mass  : kg
    speed : rpm
    to_a  : mm
    to_b  : mm
    derive whole : g*mm = permissible(grade, mass, speed)
    derive at_a : g*mm = whole * to_b / (to_a + to_b)
    derive at_b : g*mm = whole * to_a / (to_a + to_b)
}
generation g \"two planes\" {
    turbine.whole limit at least 0 g*mm
    turbine.at_a limit at least 0 g*mm
    turbine.at_b limit at least 0 g*mm
}
",
    );
    let verdict = verdict(&shop, &readings(&shop, record));
    verdict.rulings.iter().map(|ruling| judged(ruling) * GRAM_MILLIMETRES).collect()
}

#[test]
fn the_turbine_is_as_printed() {
    let turbine = &all("iso21940-annex-turbine")[0];
    let input = |field: &str| turbine.text("inputs", field).unwrap();
    let found = planes(&format!(
        "generation: g\ngrade: {} mm/s\nmass: {} kg\nspeed: {} rpm\nto_a: {} mm\nto_b: {} mm\n",
        input("G"),
        input("mass_kg"),
        input("rpm"),
        input("L_A_mm"),
        input("L_B_mm")
    ));
    assert_eq!(input("L_mm"), "2400", "the planes lie on either side");
    let printed = turbine.numbers("expected", "printed_kg_mm");
    for ((found, field), printed) in found.iter().zip(["U_per_g_mm", "U_perA", "U_perB"]).zip(&printed) {
        assert!(close(*found, turbine.number("expected", field).to_f64(), 1e-9), "{field}: {found}");
        near(found / 1000.0, printed.to_f64(), 0.06, "as printed in kg·mm");
    }
    assert_eq!(found.len(), 3);
    assert!(close(found[1] + found[2], found[0], 1e-12), "the planes together");
}

#[test]
fn a_table_of_the_trade_is_as_printed() {
    let rows = all("unbalance-table");
    assert_eq!(rows.len(), 5);
    for row in rows {
        let found = planes(&format!(
            "generation: g\ngrade: {} mm/s\nmass: {} lb\nspeed: {} rpm\nto_a: 100 mm\nto_b: 100 mm\n",
            row.text("inputs", "G").unwrap(),
            row.text("inputs", "weight_lb").unwrap(),
            row.text("inputs", "rpm").unwrap()
        ));
        assert_eq!(row.text("inputs", "planes").unwrap(), "2");
        let ounce_inches = found[1] / (28.349_523_125 * 25.4);
        assert!(close(found[1], row.number("expected", "U_per_plane_g_mm").to_f64(), 1e-9), "{}", found[1]);
        assert!(close(ounce_inches, row.number("expected", "U_per_plane_oz_in").to_f64(), 1e-9), "{ounce_inches}");
        let (printed, within) =
            (row.number("expected", "printed_oz_in").to_f64(), row.number("tolerance", "printed_abs"));
        near(ounce_inches, printed, within.to_f64(), "as printed");
    }
}
