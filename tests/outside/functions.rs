//! Roots, angles and π against published digits, and the geometry of the trochoid against independent values.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "a test may stop at the first surprise"
)]

use super::check_values::{Item, items, number};
use trochoid::quantity::{Enclosure, Number, Value, function};

fn value(text: &str) -> Value {
    Value::from(number(text))
}

fn whole(whole: i64) -> Value {
    Value::from(Number::from_integer(whole))
}

/// The digits are cut off, not rounded: the value lies between them and one more in the last place.
fn holds_digits(value: &Value, digits: &str) {
    let Enclosure { low, high } = value.enclosure();
    let places = digits.split_once('.').map_or(0, |(_, after)| after.len());
    let last = Number::from_integer(10).power(-i8::try_from(places).unwrap()).unwrap();
    let cut = number(digits);
    let (floor, ceiling) = if digits.starts_with('-') { (&cut - &last, cut) } else { (cut.clone(), &cut + &last) };
    assert!(floor <= low && high <= ceiling, "{digits}: between {low:?} and {high:?}");
    is_narrow(value);
}

/// At least 40 significant digits are known, and it is an enclosure at all.
fn is_narrow(value: &Value) {
    let Enclosure { low, high } = value.enclosure();
    let least = low.abs().min(high.abs());
    assert!(low < high, "an irrational value cannot be one fraction: {low:?}");
    assert!((&high - &low) <= least * number("1e-40"), "too wide: from {low} to {high}");
}

/// Digits as in Abramowitz and Stegun, *Handbook of Mathematical Functions*, 1964, tables 1.1 (constants), 4.6 (sines,
/// cosines of radians, 23 places), 4.9 (tangents) and 4.14 (inverse functions): quoted from memory and carried on to 40
/// places with an independent arbitrary-precision library.
#[test]
fn enclosures_hold_published_digits() {
    holds_digits(&Value::pi(), "3.1415926535897932384626433832795028841971");
    holds_digits(&function::sqrt(&whole(2)).unwrap(), "1.4142135623730950488016887242096980785696");
    holds_digits(&function::sqrt(&whole(3)).unwrap(), "1.7320508075688772935274463415058723669428");
    for (angle, sine) in [
        ("0.1", "0.0998334166468281523068141984106220269899"),
        ("0.5", "0.4794255386042030002732879352155713880818"),
        ("1", "0.8414709848078965066525023216302989996225"),
        ("-1", "-0.8414709848078965066525023216302989996225"),
        ("100", "-0.5063656411097587936565576104597854320650"),
    ] {
        holds_digits(&function::sin(&value(angle)), sine);
    }
    for (angle, cosine) in [
        ("0.5", "0.8775825618903727161162815826038296519916"),
        ("1", "0.5403023058681397174009366074429766037323"),
        ("-1", "0.5403023058681397174009366074429766037323"),
        ("1.6", "-0.0291995223012887262057704629464985244448"),
    ] {
        holds_digits(&function::cos(&value(angle)), cosine);
    }
    holds_digits(&function::tan(&whole(1)).unwrap(), "1.5574077246549022305069748074583601730872");
    holds_digits(&function::atan(&value("0.5")), "0.4636476090008061162142562314612144020285");
    holds_digits(&function::asin(&value("0.1")).unwrap(), "0.1001674211615597963455231794526933185686");
    holds_digits(&function::asin(&value("0.9")).unwrap(), "1.1197695149986341866866770558453996158951");
    holds_digits(&function::acos(&value("0.3")).unwrap(), "1.2661036727794991112593187304122222751440");
}

#[test]
fn plain_angles_are_exact() {
    let degrees = |degrees: i64| whole(degrees).multiply(&Value::pi()).divide(&whole(180)).unwrap();
    let half = value("0.5");
    for (angle, sine, cosine) in [
        (0, Some(whole(0)), Some(whole(1))),
        (30, Some(half.clone()), None),
        (60, None, Some(half.clone())),
        (90, Some(whole(1)), Some(whole(0))),
        (150, Some(half.clone()), None),
        (180, Some(whole(0)), Some(whole(-1))),
        (-30, Some(half.negate()), None),
        (270, Some(whole(-1)), Some(whole(0))),
        (-240, None, Some(half.negate())),
        (720, Some(whole(0)), Some(whole(1))),
    ] {
        if let Some(sine) = sine {
            assert_eq!(function::sin(&degrees(angle)), sine, "{angle}°");
        }
        if let Some(cosine) = cosine {
            assert_eq!(function::cos(&degrees(angle)), cosine, "{angle}°");
        }
    }
    assert_eq!(function::tan(&degrees(45)), Some(whole(1)));
    assert_eq!(function::tan(&degrees(-45)), Some(whole(-1)));
    assert_eq!(function::tan(&degrees(90)), None);
    assert_eq!(function::asin(&half), Some(degrees(30)));
    assert_eq!(function::asin(&whole(-1)), Some(degrees(-90)));
    assert_eq!(function::asin(&value("1.0000000001")), None);
    assert_eq!(function::acos(&half.negate()), Some(degrees(120)));
    assert_eq!(function::acos(&whole(-2)), None);
    assert_eq!(function::atan(&whole(-1)), degrees(-45));
    assert_eq!(function::sqrt(&value("2.25")), Some(value("1.5")));
    assert_eq!(function::sqrt(&Value::pi().multiply(&Value::pi())), Some(Value::pi()));
    assert_eq!(function::sqrt(&whole(-1)), None);
}

/// From very small to very large, the digits stay; the identities tie the functions to one another.
#[test]
fn enclosures_stay_narrow_everywhere() {
    let meets = |left: &Value, right: &Value| left.compare(right).is_none_or(std::cmp::Ordering::is_eq);
    for text in ["1e-50", "1e-31", "1e-29", "0.0003", "0.7", "0.999999999999", "2", "3.14159", "1e15", "7.9e55"] {
        let x = value(text);
        let (sine, cosine) = (function::sin(&x), function::cos(&x));
        is_narrow(&sine);
        is_narrow(&function::atan(&x));
        is_narrow(&function::sqrt(&x.multiply(&Value::pi())).unwrap());
        let one = sine.multiply(&sine).add(&cosine.multiply(&cosine));
        assert!(meets(&one, &whole(1)), "sin² + cos² of {text}");
        // Past 10^48 the arctangent cannot be told from a right angle, which has no tangent.
        match function::tan(&function::atan(&x)) {
            Some(tangent) => assert!(meets(&tangent, &x), "tan(atan({text}))"),
            None => assert!(x.compare(&value("1e45")).unwrap().is_gt(), "tan(atan({text}))"),
        }
        if let Some(angle) = function::asin(&x) {
            is_narrow(&angle);
            assert!(meets(&function::sin(&angle), &x), "sin(asin({text}))");
            let other = function::acos(&x).unwrap();
            is_narrow(&other);
            assert!(meets(&angle.add(&other).multiply(&whole(2)), &Value::pi()), "asin + acos of {text}");
        }
    }
    // Close to a zero of the sine (355 is 3e-5 past 113 half turns), and past where range reduction goes.
    is_narrow(&function::sin(&whole(355)));
    let huge = function::sin(&value("1e120").power(10).unwrap()).enclosure();
    assert_eq!((huge.low, huge.high), (Number::from_integer(-1), Number::ONE));
}

/// The chamber of an engine whose rotor flank is the inner envelope: least area, area swept by a chamber, and the
/// largest leaning angle. Formulas: Yamamoto, *Rotary Engine*, 1981, ch. 2; the values were integrated numerically.
struct Chamber {
    least: Value,
    swept: Value,
    leaning: Value,
}

impl Chamber {
    fn new(item: &Item) -> Chamber {
        let [radius, eccentricity] = ["R_mm", "e_mm"].map(|field| Value::from(item.number("inputs", field)));
        let product = |left: &Value, right: &Value| left.multiply(right);
        let square = |value: &Value| value.multiply(value);
        let leaning = function::asin(&product(&whole(3), &eccentricity).divide(&radius).unwrap()).unwrap();
        let both = product(&eccentricity, &radius);
        let swept = product(&product(&whole(3), &function::sqrt(&whole(3)).unwrap()), &both);
        let third = whole(3);
        let least = product(&Value::pi(), &square(&eccentricity))
            .divide(&third)
            .unwrap()
            .add(&product(&product(&whole(2), &both), &function::cos(&leaning)))
            .add(&product(
                &product(&whole(2), &square(&radius))
                    .divide(&whole(9))
                    .unwrap()
                    .add(&product(&whole(4), &square(&eccentricity))),
                &leaning,
            ))
            .subtract(&swept.divide(&whole(2)).unwrap());
        Chamber { least, swept, leaning }
    }

    /// In cm³, for a chamber of the item's width.
    fn volumes(&self, item: &Item) -> (Value, Value) {
        let width = Value::from(item.number("inputs", "b_mm")).divide(&whole(1_000)).unwrap();
        (self.least.multiply(&width), self.swept.multiply(&width))
    }
}

/// The value as close to the expected one as the file demands, and known far more closely than that.
fn close(item: &Item, field: &str, value: &Value) {
    let expected = item.number("expected", field);
    let Enclosure { low, high } = value.enclosure();
    let allowed = match item.text("tolerance", "rel") {
        Some(relative) => number(&relative) * expected.abs(),
        None => item.number("tolerance", "abs"),
    };
    assert!((&high - &low) < &allowed * &number("1e-20"), "{field} is hardly known: {low} to {high}");
    assert!((low - &expected).abs() <= allowed, "{} {field}: {high}, not {expected}", item.item);
    assert!((high - &expected).abs() <= allowed, "{} {field}, not {expected}", item.item);
}

/// The chamber over a rotor with straight sides: no engine's, but the one whose areas are in print. Formula: Ansdale.
fn straight_flank(item: &Item) {
    let [radius, eccentricity] = ["R_mm", "e_mm"].map(|field| Value::from(item.number("inputs", field)));
    let root = function::sqrt(&whole(3)).unwrap();
    let square = radius.multiply(&radius);
    let triple = whole(3).multiply(&eccentricity).multiply(&eccentricity);
    let middle = square
        .add(&triple)
        .multiply(&Value::pi())
        .divide(&whole(3))
        .unwrap()
        .subtract(&root.multiply(&square).divide(&whole(4)).unwrap());
    let half = value("1.5").multiply(&root).multiply(&eccentricity).multiply(&radius);
    let (least, largest) = (middle.subtract(&half), middle.add(&half));
    close(item, "A_min_mm2", &least);
    close(item, "A_max_mm2", &largest);
    close(item, "ratio", &largest.divide(&least).unwrap());
}

/// A housing drawn parallel to the trochoid, as the apex seal's round tip needs it: the chamber gains the distance times
/// the difference of the longest and the shortest arc between two apexes.
fn parallel_offset(item: &Item) {
    let [radius, eccentricity, offset, width] =
        ["R_generating_mm", "e_mm", "a_mm", "b_mm"].map(|field| Value::from(item.number("inputs", field)));
    let volume = |radius: &Value| {
        let area = whole(3).multiply(&function::sqrt(&whole(3)).unwrap()).multiply(&eccentricity).multiply(radius);
        area.multiply(&width).divide(&whole(1_000)).unwrap()
    };
    let longer = arc(&radius, &eccentricity, 0).subtract(&arc(&radius, &eccentricity, 90));
    let gained = offset.multiply(&longer).multiply(&width).divide(&whole(1_000)).unwrap();
    let exact = volume(&radius).add(&gained);
    close(item, "exact_swept_cm3", &exact);
    close(item, "approx_R_plus_a_cm3", &volume(&radius.add(&offset)));
    close(item, "ignoring_offset_cm3", &volume(&radius));
    // Left out, the offset costs more than 2 % of the displacement: the check above would not pass without it.
    assert!(gained.compare(&exact.multiply(&value("0.02"))).unwrap().is_gt());
}

/// The length of the trochoid between two apexes, whose middle stands at a rotor angle in degrees: the integral of
/// √(R² + 9e² + 6eR·cos 2α) over 120°, by Romberg's rule (Abramowitz and Stegun, 25.4) with 64 parts.
fn arc(radius: &Value, eccentricity: &Value, middle: i64) -> Value {
    const LEVELS: u32 = 6;
    let parts = 1_i64 << LEVELS;
    let triple = whole(3).multiply(eccentricity);
    let squares = radius.multiply(radius).add(&triple.multiply(&triple));
    let twice = whole(2).multiply(&triple).multiply(radius);
    let turn = |degrees: Value| degrees.multiply(&Value::pi()).divide(&whole(180)).unwrap();
    let speeds: Vec<Value> = (0..=parts)
        .map(|part| {
            let along = whole(120 * part).divide(&whole(parts)).unwrap().add(&whole(middle - 60));
            function::sqrt(&squares.add(&twice.multiply(&function::cos(&turn(whole(2).multiply(&along)))))).unwrap()
        })
        .collect();
    let by_trapezia = |level: u32| {
        let step = 1 << (LEVELS - level);
        let ends = speeds[0].add(&speeds[speeds.len() - 1]).divide(&whole(2)).unwrap();
        let inside = speeds.iter().step_by(step).skip(1).take((1 << level) - 1);
        inside.fold(ends, |sum, speed| sum.add(speed)).multiply(&turn(whole(120))).divide(&whole(1 << level)).unwrap()
    };
    let mut row: Vec<Value> = (0..=LEVELS).map(by_trapezia).collect();
    let mut four = whole(1);
    while row.len() > 1 {
        four = four.multiply(&whole(4));
        let below = four.subtract(&whole(1));
        row = row.windows(2).map(|two| four.multiply(&two[1]).subtract(&two[0]).divide(&below).unwrap()).collect();
    }
    row.remove(0)
}

fn in_degrees(angle: &Value) -> Value {
    angle.multiply(&whole(180)).divide(&Value::pi()).unwrap()
}

#[test]
fn trochoid_geometry() {
    let mut seen = std::collections::BTreeMap::<String, u32>::new();
    for item in items(include_str!("data/trochoid-geometry.yaml")) {
        *seen.entry(item.item.clone()).or_default() += 1;
        let input = |field: &str| Value::from(item.number("inputs", field));
        match item.item.as_str() {
            "trochoid-straight-flank" => {
                straight_flank(&item);
                continue;
            }
            "trochoid-parallel-offset" => {
                parallel_offset(&item);
                continue;
            }
            _ => {}
        }
        let chamber = Chamber::new(&item);
        match item.item.as_str() {
            "trochoid-ideal-flank" => {
                let (least, swept) = chamber.volumes(&item);
                close(&item, "A_min_mm2", &chamber.least);
                close(&item, "A_max_mm2", &chamber.least.add(&chamber.swept));
                close(&item, "V_min_cm3", &least);
                close(&item, "V_H_cm3", &swept);
                close(&item, "ideal_compression_ratio", &least.add(&swept).divide(&least).unwrap());
                close(&item, "max_leaning_deg", &in_degrees(&chamber.leaning));
            }
            "trochoid-with-recess" => {
                let (least, swept) = chamber.volumes(&item);
                let least = least.add(&input("recess_cm3"));
                close(&item, "effective_compression_ratio", &least.add(&swept).divide(&least).unwrap());
            }
            "trochoid-recess-for-target" => {
                let (least, swept) = chamber.volumes(&item);
                let ratio = input("target_CR");
                let largest = least.add(&swept);
                let recess = largest.subtract(&ratio.multiply(&least)).divide(&ratio.subtract(&whole(1))).unwrap();
                close(&item, "recess_cm3", &recess);
            }
            "trochoid-leaning-angle" => {
                let twice = input("rotor_angle_deg").multiply(&Value::pi()).divide(&whole(90)).unwrap();
                let triple = input("e_mm").multiply(&whole(3));
                let across = triple.multiply(&function::sin(&twice));
                let along = input("R_mm").add(&triple.multiply(&function::cos(&twice)));
                close(&item, "leaning_deg", &in_degrees(&function::atan(&across.divide(&along).unwrap())));
            }
            "trochoid-volume-vs-shaft-angle" => {
                let (least, swept) = chamber.volumes(&item);
                let angle = input("shaft_deg_from_min").multiply(&Value::pi()).divide(&whole(270)).unwrap();
                let half = swept.divide(&whole(2)).unwrap();
                let volume = least.add(&half).subtract(&half.multiply(&function::cos(&angle)));
                close(&item, "V_cm3", &volume);
            }
            "trochoid-mutant-degrees-bug" => {
                let ratio = chamber.least.add(&chamber.swept).divide(&chamber.least).unwrap();
                close(&item, "right_ratio", &ratio);
            }
            other => panic!("no check for {other}"),
        }
    }
    let seen: Vec<_> = seen.into_iter().collect();
    let counts: Vec<_> = seen.iter().map(|(name, count)| (name.as_str(), *count)).collect();
    assert_eq!(
        counts,
        [
            ("trochoid-ideal-flank", 9),
            ("trochoid-leaning-angle", 5),
            ("trochoid-mutant-degrees-bug", 1),
            ("trochoid-parallel-offset", 2),
            ("trochoid-recess-for-target", 3),
            ("trochoid-straight-flank", 1),
            ("trochoid-volume-vs-shaft-angle", 6),
            ("trochoid-with-recess", 6),
        ]
    );
}
