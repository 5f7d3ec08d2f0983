//! The formulas of the shipped books against published values and against numerical integration that shares nothing
//! with them.
//!
//! Sources: K. Yamamoto, Rotary Engine, 1981, chapter 2 (headings; 105 / 15 / 80 mm give 654.7 cm³), and the derived values
//! of `data/trochoid-geometry.yaml`, each marked there.

use super::check_values::{Item, items};
use std::f64::consts::PI;
use trochoid::book::evaluate::evaluate;
use trochoid::book::{Expression, ExpressionKind};
use trochoid::quantity::{Number, Value};
use trochoid::shop::Shop;
use trochoid::text::{Source, Span};

/// A formula of the shipped books at arguments in base units.
pub(super) fn formula(shop: &Shop, name: &str, arguments: &[Value]) -> Value {
    let place = Source::new("test", "").place(Span::default());
    let (id, _) = shop.book.formulas.entries().find(|(_, formula)| *formula.name == *name).unwrap();
    let arguments = arguments
        .iter()
        .map(|value| Expression { kind: ExpressionKind::Quantity(value.clone()), place: place.clone() })
        .collect();
    evaluate(&shop.book, None, &Expression { kind: ExpressionKind::Formula(id, arguments), place }).unwrap()
}

pub(super) fn length(number: &Number) -> Value {
    Value::from(number * &Number::parse("0.001").unwrap())
}

/// A value in a unit of so many base units, as a float for comparing.
pub(super) fn in_units(value: &Value, per_base: f64) -> f64 {
    let enclosure = value.enclosure();
    let width = (&enclosure.high - &enclosure.low).to_f64().abs();
    let middle = value.midpoint().to_f64();
    assert!(width <= 1e-30 * middle.abs().max(1e-9), "the enclosure is {width} wide");
    middle * per_base
}

pub(super) fn close(found: f64, expected: f64, relative: f64) -> bool {
    (found - expected).abs() <= relative * expected.abs()
}

struct Engine {
    e: Number,
    r: Number,
    b: Number,
}

impl Engine {
    fn of(item: &Item) -> Engine {
        Engine {
            e: item.number("inputs", "e_mm"),
            r: item.number("inputs", "R_mm"),
            b: item.text("inputs", "b_mm").map_or(Number::ONE, |text| Number::parse(&text).unwrap()),
        }
    }
}

fn engines() -> Vec<(Item, Engine)> {
    let all = items(include_str!("data/trochoid-geometry.yaml"));
    let engines: Vec<_> = all
        .into_iter()
        .filter(|item| item.item == "trochoid-ideal-flank")
        .map(|item| {
            let engine = Engine::of(&item);
            (item, engine)
        })
        .collect();
    assert!(engines.len() >= 8);
    engines
}

#[test]
fn displacement_least_area_ratio_and_leaning_come_out_as_published() {
    let shop = Shop::shipped();
    for (item, Engine { e, r, b }) in engines() {
        let (e, r, b) = (length(&e), length(&r), length(&b));
        let expected = |field: &str| item.number("expected", field).to_f64();
        let swept = in_units(&formula(&shop, "chamber_displacement", &[e.clone(), r.clone(), b]), 1e6);
        assert!(close(swept, expected("V_H_cm3"), 1e-10), "{swept}");
        let least = in_units(&formula(&shop, "least_chamber_area", &[e.clone(), r.clone()]), 1e6);
        assert!(close(least, expected("A_min_mm2"), 1e-10), "{least}");
        let ratio = in_units(&formula(&shop, "ideal_ratio", &[e.clone(), r.clone()]), 1.0);
        assert!(close(ratio, expected("ideal_compression_ratio"), 1e-10), "{ratio}");
        let leaning = in_units(&formula(&shop, "most_leaning", &[e, r]), 180.0 / PI);
        assert!(close(leaning, expected("max_leaning_deg"), 1e-10), "{leaning}");
        if let Some(printed) = item.text("expected", "printed_V_H_cm3") {
            assert!((swept - printed.parse::<f64>().unwrap()).abs() <= 0.05);
        }
    }
}

/// The housing curve x = e cos α + R cos(α/3), y = e sin α + R sin(α/3), and its derivative by α.
pub(super) fn curve(e: f64, r: f64, alpha: f64) -> ((f64, f64), (f64, f64)) {
    let (a, t) = (alpha, alpha / 3.0);
    (
        (e * a.cos() + r * t.cos(), e * a.sin() + r * t.sin()),
        (-e * a.sin() - r / 3.0 * t.sin(), e * a.cos() + r / 3.0 * t.cos()),
    )
}

/// Area between the housing and the chord of two neighbouring apexes when the rotor stands at an angle, by Simpson's rule
/// over the housing curve: the chamber of a rotor with straight flanks, whose swing from least to most is the displacement.
fn swept_numerically(e: f64, r: f64) -> f64 {
    let area = |start: f64| {
        // Apexes are 2π of α apart on the curve; Green's theorem along the arc, then back along the chord.
        let steps = 20_000;
        let h = 2.0 * PI / f64::from(steps);
        let f = |alpha: f64| {
            let ((x, y), (dx, dy)) = curve(e, r, alpha);
            (x * dy - y * dx) / 2.0
        };
        let sum: f64 = (0..=steps)
            .map(|step| {
                let weight = match step {
                    0 => 1.0,
                    step if step == steps => 1.0,
                    step if step % 2 == 1 => 4.0,
                    _ => 2.0,
                };
                weight * f(start + f64::from(step) * h)
            })
            .sum();
        let ((x0, y0), _) = curve(e, r, start);
        let ((x1, y1), _) = curve(e, r, start + 2.0 * PI);
        sum * h / 3.0 + (x1 * y0 - y1 * x0) / 2.0
    };
    let areas: Vec<f64> = (0..720).map(|step| area(f64::from(step) * PI / 120.0)).collect();
    areas.iter().copied().fold(f64::MIN, f64::max) - areas.iter().copied().fold(f64::MAX, f64::min)
}

#[test]
fn displacement_and_leaning_agree_with_numerical_integration() {
    let shop = Shop::shipped();
    for (e, r, b) in [(15, 105, 80), (11, 80, 60), (20, 140, 100)] {
        let number = |of: i64| length(&Number::from_integer(of));
        let swept = in_units(&formula(&shop, "chamber_displacement", &[number(e), number(r), number(b)]), 1e6);
        let (ef, rf, bf) = (e as f64, r as f64, b as f64);
        let numeric = swept_numerically(ef, rf) * bf / 1000.0;
        assert!(close(swept, numeric, 1e-6), "{swept} and {numeric}");
        // The angle between the rotor's radius to the apex and the normal of the curve there, at its largest.
        let leaning = in_units(&formula(&shop, "most_leaning", &[number(e), number(r)]), 1.0);
        let most = (0..=200_000)
            .map(|step| {
                let alpha = f64::from(step) * 6.0 * PI / 200_000.0;
                let (_, (dx, dy)) = curve(ef, rf, alpha);
                let (nx, ny) = (dy, -dx);
                let (ax, ay) = ((alpha / 3.0).cos(), (alpha / 3.0).sin());
                ((nx * ax + ny * ay) / nx.hypot(ny)).clamp(-1.0, 1.0).acos()
            })
            .fold(0.0, f64::max);
        assert!(close(leaning, most, 1e-7), "{leaning} and {most}");
    }
}

#[test]
fn a_recess_counts_at_the_largest_volume_too() {
    let shop = Shop::shipped();
    let mut checked = 0;
    for item in
        items(include_str!("data/trochoid-geometry.yaml")).iter().filter(|item| item.item == "trochoid-with-recess")
    {
        let Engine { e, r, b } = Engine::of(item);
        let (e, r, b) = (length(&e), length(&r), length(&b));
        let recess = Value::from(&item.number("inputs", "recess_cm3") * &Number::parse("0.000001").unwrap());
        let swept = formula(&shop, "chamber_displacement", &[e.clone(), r.clone(), b.clone()]);
        let left = formula(&shop, "least_chamber_area", &[e, r]).multiply(&b).add(&recess);
        let ratio = in_units(&formula(&shop, "compression_ratio", &[swept.clone(), left.clone()]), 1.0);
        assert!(close(ratio, item.number("expected", "effective_compression_ratio").to_f64(), 1e-9), "{ratio}");
        // The recess in the denominator only.
        let wrong = swept.add(&left).subtract(&recess).divide(&left).unwrap().midpoint().to_f64();
        assert!(close(wrong, item.number("expected", "wrong_if_recess_only_in_denominator").to_f64(), 1e-9), "{wrong}");
        assert!(!close(wrong, ratio, 1e-3));
        checked += 1;
    }
    assert!(checked >= 6);
}

#[test]
fn the_unbalance_left_in_a_rotor_follows_its_grade_and_speed() {
    // ISO 21940-11:2016: U = 1000 G m / ω; 25 kg at 8000 per minute and G 6.3 give 188 g·mm (computed), G 2.5 gives 75.
    let shop = Shop::shipped();
    let speed = shop.book.units.resolve("rpm").unwrap().to_base(&Number::from_integer(8000));
    for (grade, expected) in [("6.3", 188.0), ("2.5", 74.6)] {
        let grade = Value::from(&Number::parse(grade).unwrap() * &Number::parse("0.001").unwrap());
        let mass = Value::from(Number::from_integer(25));
        let found = in_units(&formula(&shop, "permissible_unbalance", &[grade, mass, speed.clone()]), 1e6);
        assert!((found - expected).abs() < 0.5, "{found}");
    }
}
