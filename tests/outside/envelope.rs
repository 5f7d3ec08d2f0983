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

/// A point of the wall and its derivative, by the angle of the curve.
type Curve<'a> = &'a dyn Fn(f64) -> ((f64, f64), (f64, f64));

/// The housing of an eccentricity and a radius.
struct Wall<'a> {
    e: f64,
    r: f64,
    curve: Curve<'a>,
}

/// How far the wall is from the rotor's centre, in a direction of the rotor, when the shaft stands at an angle.
fn to_wall(wall: &Wall<'_>, shaft: f64, direction: f64) -> f64 {
    let Wall { e, r, curve } = wall;
    let (across, along) = (direction + shaft / 3.0).sin_cos();
    let (centre_x, centre_y) = (e * shaft.cos(), e * shaft.sin());
    // The point of the curve that lies in that direction, by Newton's method from the one that would if e were nothing.
    let mut at = 3.0 * direction + shaft;
    for _ in 0..40 {
        let ((x, y), (dx, dy)) = curve(at);
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
    chamber_in(&Wall { e, r, curve: &|at| curve(e, r, at) })
}

/// The same where the wall stands outside the curve by `shift`, measured along its normal.
fn shifted_chamber(e: f64, r: f64, shift: f64) -> (f64, f64) {
    let outside = |at: f64| {
        let (point, (dx, dy)) = curve(e, r, at);
        let speed = dx.hypot(dy);
        // The second derivative, written down from the curve; the normal turns by the cross product over the speed squared.
        let (a, t) = (at, at / 3.0);
        let (bend_x, bend_y) = (-e * a.cos() - r / 9.0 * t.cos(), -e * a.sin() - r / 9.0 * t.sin());
        let turn = (dx * bend_y - dy * bend_x) / speed.powi(2);
        let longer = 1.0 + shift * turn / speed;
        ((point.0 + shift * dy / speed, point.1 - shift * dx / speed), (dx * longer, dy * longer))
    };
    chamber_in(&Wall { e, r: r + shift, curve: &outside })
}

fn chamber_in(wall: &Wall<'_>) -> (f64, f64) {
    let r = wall.r;
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
        let walls: Vec<f64> = shafts.iter().map(|shaft| to_wall(wall, *shaft, step as f64 * width)).collect();
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

/// What brute force counts too much: it cuts the chamber at the rotor's radii to the tips, a little beside the lines of contact.
const BESIDE: f64 = 5e-4;

/// A housing outside its curve by 2 or 3 mm: 38.55 and 38.90 cm³ of 80 mm width, where the curve itself leaves 37.88.
#[test]
fn the_shifted_chamber_agrees_with_brute_force() {
    let shop = Shop::shipped();
    let mut ratios = Vec::new();
    for (shift, volume) in [(0, 37.876), (2, 38.551), (3, 38.900)] {
        for (e, outer, b) in [(15, 105, 80.0), (11, 80, 60.0), (20, 140, 100.0)] {
            let (least, largest) = shifted_chamber(e as f64, (outer - shift) as f64, shift as f64);
            let arguments = [e, outer - shift, shift].map(|side: i64| length(&Number::from_integer(side)));
            let found = in_units(&formula(&shop, "shifted_chamber_area", &arguments), 1e6);
            assert!(close(found, least, BESIDE), "{shift} mm, e = {e} mm: {found} and {least}");
            let ratio = in_units(&formula(&shop, "shifted_ratio", &arguments), 1.0);
            assert!(close(ratio, largest / least, BESIDE), "{shift} mm, e = {e} mm: {ratio} and {}", largest / least);
            if e == 15 {
                assert!((found * b / 1e3 - volume).abs() < 0.001, "{shift} mm: {} cm3", found * b / 1e3);
                ratios.push(format!("{ratio:.3}"));
                // Leaving the shift out is refused.
                let plain = [e, outer].map(|side: i64| length(&Number::from_integer(side)));
                let plain = in_units(&formula(&shop, "least_chamber_area", &plain), 1e6);
                assert_eq!(close(plain, least, BESIDE), shift == 0);
            }
        }
    }
    assert_eq!(ratios, ["18.286", "17.975", "17.819"]);
}

/// The difference of the two lengths itself, from an independent integration: the housing from seal to seal by its own speed, and
/// the flank by the points at which the housing touches it, found as the nearest wall in each direction.
#[test]
fn what_the_shift_adds_is_housing_less_flank() {
    let shop = Shop::shipped();
    for (e, r) in [(15.0, 103.0), (15.0, 102.0), (10.0, 60.0), (10.0, 95.0)] {
        let wall = Wall { e, r, curve: &|at| curve(e, r, at) };
        const DIRECTIONS: usize = 300;
        let reach = |direction: f64| {
            // The nearest wall over a turn of the rotor, by thirds from a first look.
            let at = |shaft: f64| to_wall(&wall, shaft, direction);
            let step = 6.0 * PI / 360.0;
            let first = (0..360).min_by(|a, b| at(*a as f64 * step).total_cmp(&at(*b as f64 * step))).unwrap() as f64;
            let (mut low, mut high) = ((first - 1.0) * step, (first + 1.0) * step);
            for _ in 0..60 {
                let (one, other) = (low + (high - low) / 3.0, high - (high - low) / 3.0);
                if at(one) < at(other) { high = other } else { low = one }
            }
            at((low + high) / 2.0)
        };
        let points: Vec<(f64, f64)> = (0..=DIRECTIONS)
            .map(|step| {
                let direction = step as f64 * 2.0 * PI / 3.0 / DIRECTIONS as f64;
                let reach = reach(direction);
                (reach * direction.cos(), reach * direction.sin())
            })
            .collect();
        let chords = |step: usize| -> f64 {
            let ends = points.iter().step_by(step);
            ends.clone().zip(ends.skip(1)).map(|(a, b)| (a.0 - b.0).hypot(a.1 - b.1)).sum()
        };
        // Chords are short by their square: Richardson's extrapolation.
        let flank = chords(1) + (chords(1) - chords(2)) / 3.0;
        let steps = 20_000;
        let housing: f64 = (0..steps)
            .map(|step| {
                let at = PI / 2.0 + (f64::from(step) + 0.5) * 2.0 * PI / f64::from(steps);
                let (_, (dx, dy)) = curve(e, r, at);
                dx.hypot(dy) * 2.0 * PI / f64::from(steps)
            })
            .sum();
        let side = |of: f64| length(&Number::parse(&of.to_string()).unwrap());
        let with = formula(&shop, "shifted_chamber_area", &[side(e), side(r), side(1.0)]);
        let added = in_units(&with.subtract(&formula(&shop, "least_chamber_area", &[side(e), side(r)])), 1e6);
        assert!(close(added, housing - flank, 1e-3), "e = {e}, R = {r}: {added} and {}", housing - flank);
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
