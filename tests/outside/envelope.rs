//! The chamber found by brute force, sharing nothing with the shipped formulas; and the shipped formulas spoilt in the
//! well-known ways, which the same check must refuse.
//!
//! The rotor is all that stays inside the housing while it turns: in each direction from its centre it reaches as far as
//! the nearest housing wall it ever meets there (the inner envelope). The chamber is what lies between it and the wall.

use super::check_values::items;
use super::shipped_geometry::{close, curve, formula, in_units, length};
use std::f64::consts::PI;
use trochoid::quantity::Number;
use trochoid::shop::{Shop, shipped};
use trochoid::text::Source;

/// How far the wall is from the rotor's centre, in a direction of the rotor, when the shaft stands at an angle.
fn to_wall(e: f64, r: f64, shaft: f64, direction: f64) -> f64 {
    let (across, along) = (direction + shaft / 3.0).sin_cos();
    let (centre_x, centre_y) = (e * shaft.cos(), e * shaft.sin());
    // The point of the curve that lies in that direction, by Newton's method from the one that would if e were nothing.
    let mut at = 3.0 * direction + shaft;
    for _ in 0..40 {
        let ((x, y), (dx, dy)) = curve(e, r, at);
        let (x, y) = (x - centre_x, y - centre_y);
        let beside = along * y - across * x;
        if beside.abs() < 1e-11 * r {
            let distance = along * x + across * y;
            assert!(distance > 0.0, "the wall lies behind");
            return distance;
        }
        at -= beside / (along * dy - across * dx);
    }
    panic!("no wall at shaft angle {shaft} in direction {direction}");
}

/// The chamber's side area at its least and at its largest, in the square of the unit of `e` and `r`.
fn chamber(e: f64, r: f64) -> (f64, f64) {
    const DIRECTIONS: usize = 240;
    const SHAFT: usize = 720;
    let shafts: Vec<f64> = (0..SHAFT).map(|step| step as f64 * 6.0 * PI / SHAFT as f64).collect();
    let width = 2.0 * PI / 3.0 / DIRECTIONS as f64;
    let mut swept = vec![0.0; SHAFT];
    let mut rotor = 0.0;
    for step in 0..=DIRECTIONS {
        // Simpson's rule over the third of a turn from one apex to the next.
        let weight = match step {
            0 | DIRECTIONS => 1.0,
            odd if odd % 2 == 1 => 4.0,
            _ => 2.0,
        } * width
            / 3.0;
        let walls: Vec<f64> = shafts.iter().map(|shaft| to_wall(e, r, *shaft, step as f64 * width)).collect();
        for (sum, wall) in swept.iter_mut().zip(&walls) {
            *sum += weight * wall * wall / 2.0;
        }
        let nearest = (0..SHAFT).min_by(|a, b| walls[*a].total_cmp(&walls[*b])).unwrap();
        // Between the angles tried, the nearest is where a parabola through three of them is lowest.
        let (before, at, after) = (walls[(nearest + SHAFT - 1) % SHAFT], walls[nearest], walls[(nearest + 1) % SHAFT]);
        let bend = before - 2.0 * at + after;
        let reach = if bend > 1e-9 * r { at - (before - after).powi(2) / (8.0 * bend) } else { at };
        rotor += weight * reach * reach / 2.0;
    }
    let least = swept.iter().copied().fold(f64::MAX, f64::min);
    let largest = swept.iter().copied().fold(f64::MIN, f64::max);
    (least - rotor, largest - rotor)
}

/// Eccentricity and radius in millimetres.
const ENGINES: [(i64, i64); 3] = [(15, 105), (11, 80), (20, 140)];

/// How close brute force comes to the truth, as a part of the least area.
const CLOSE: f64 = 1e-5;

/// Whether the formulas of a shop agree with brute force: least area, and ratio.
fn agrees(shop: &Shop) -> (bool, bool) {
    let mut agreed = (true, true);
    for (e, r) in ENGINES {
        let (least, largest) = chamber(e as f64, r as f64);
        let arguments = [length(&Number::from_integer(e)), length(&Number::from_integer(r))];
        agreed.0 &= close(in_units(&formula(shop, "least_chamber_area", &arguments), 1e6), least, CLOSE);
        agreed.1 &= close(in_units(&formula(shop, "ideal_ratio", &arguments), 1.0), largest / least, CLOSE);
    }
    agreed
}

/// The shipped units and parts, with one piece of text, which must be there once, put another way.
fn spoilt(right: &str, wrong: &str) -> Shop {
    let parts = shipped::book("parts.rulebook").unwrap();
    assert_eq!(parts.text().matches(right).count(), 1, "{right}");
    let parts = Source::new("parts.rulebook", parts.text().replace(right, wrong));
    let shop = Shop::of_sources(&[shipped::book("units.rulebook").unwrap(), parts]);
    assert!(shop.is_sound(), "{:?}", shop.findings());
    shop
}

#[test]
fn least_area_and_ratio_agree_with_brute_force() {
    assert_eq!(agrees(&Shop::shipped()), (true, true));
}

#[test]
fn brute_force_refuses_the_well_known_wrong_formulas() {
    const AREA: &str = "pi / 3 * e^2 + 2 * e * r";
    assert_eq!(agrees(&spoilt(AREA, AREA)), (true, true), "the books compiled alone are the shipped ones");
    let arguments = [15, 105].map(|side| length(&Number::from_integer(side)));
    // πe² for (π/3)e², and radians turned once more under the cosine: each with the ratio it is known by (the design's, and the check value's).
    for (right, wrong, known) in [
        (AREA, "pi * e^2 + 2 * e * r", 9.66),
        ("cos(most_leaning(e, r))", "cos(pi / 180 * most_leaning(e, r))", 11.5286),
    ] {
        let shop = spoilt(right, wrong);
        let ratio = in_units(&formula(&shop, "ideal_ratio", &arguments), 1.0);
        assert!((ratio - known).abs() < 0.01, "{wrong}: {ratio}");
        assert_eq!(agrees(&shop), (false, false), "{wrong}");
    }
}

#[test]
fn displacement_takes_the_radius_with_the_parallel_shift() {
    let shop = Shop::shipped();
    let mut checked = 0;
    for item in
        items(include_str!("data/trochoid-geometry.yaml")).iter().filter(|item| item.item == "trochoid-parallel-offset")
    {
        let input = |field: &str| item.number("inputs", field);
        let swept = |radius: &Number| {
            let arguments = [length(&input("e_mm")), length(radius), length(&input("b_mm"))];
            in_units(&formula(&shop, "chamber_displacement", &arguments), 1e6)
        };
        let exact = item.number("expected", "exact_swept_cm3").to_f64();
        let without = input("R_generating_mm");
        // The short formula is right to a tenth of a percent, and only with the shift.
        assert!(close(swept(&(&without + &input("a_mm"))), exact, 1e-3));
        assert!(!close(swept(&without), exact, 1e-3));
        assert!(close(swept(&without), item.number("expected", "ignoring_offset_cm3").to_f64(), 1e-9));
        checked += 1;
    }
    assert_eq!(checked, 2);
}

#[test]
fn a_recess_left_out_of_the_largest_volume_is_refused() {
    let (right, wrong) = (Shop::shipped(), spoilt("= (swept + left) / left", "= swept / left"));
    let mut checked = 0;
    for item in
        items(include_str!("data/trochoid-geometry.yaml")).iter().filter(|item| item.item == "trochoid-with-recess")
    {
        let input = |field: &str| item.number("inputs", field).to_f64();
        let (least, largest) = chamber(input("e_mm"), input("R_mm"));
        let (least, largest) = (least * input("b_mm") / 1e3, largest * input("b_mm") / 1e3);
        let recess = input("recess_cm3");
        let volume = |cubic_centimetres: f64| {
            let number = Number::parse(&format!("{cubic_centimetres:.9}")).unwrap();
            trochoid::quantity::Value::from(&number * &Number::parse("0.000001").unwrap())
        };
        let arguments = [volume(largest - least), volume(least + recess)];
        let ratio = |shop: &Shop| in_units(&formula(shop, "compression_ratio", &arguments), 1.0);
        let known = (largest + recess) / (least + recess);
        assert!(close(ratio(&right), known, CLOSE) && !close(ratio(&wrong), known, CLOSE));
        assert!(close(known, item.number("expected", "effective_compression_ratio").to_f64(), CLOSE), "{known}");
        let (left, stated) = (largest / (least + recess), "wrong_if_recess_only_in_denominator");
        assert!(close(left, item.number("expected", stated).to_f64(), CLOSE) && !close(left, known, CLOSE));
        checked += 1;
    }
    assert!(checked >= 6);
}
