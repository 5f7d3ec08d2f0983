//! Exponentials, logarithms and significant digits against published digits, another library and the rounding of others.

use super::check_values::number;
use dashu::float::DBig;
use std::str::FromStr;
use trochoid::quantity::{Enclosure, Number, Value, function};

fn value(text: &str) -> Value {
    Value::from(number(text))
}

/// The digits are cut off, not rounded: the value lies between them and one more in the last place; and 40 digits are known.
fn holds_digits(value: &Value, digits: &str) {
    let Enclosure { low, high } = value.enclosure();
    let places = digits.split_once('.').map_or(0, |(_, after)| after.len());
    let last = Number::from_integer(10).power(-i8::try_from(places).unwrap()).unwrap();
    let cut = number(digits);
    let (floor, ceiling) = if digits.starts_with('-') { (&cut - &last, cut) } else { (cut.clone(), &cut + &last) };
    assert!(floor <= low && high <= ceiling, "{digits}: between {low} and {high}");
    is_narrow(value, "1e-40");
}

fn is_narrow(value: &Value, relative: &str) {
    let Enclosure { low, high } = value.enclosure();
    let least = low.abs().min(high.abs());
    assert!(low < high, "an irrational value cannot be one fraction: {low:?}");
    assert!((&high - &low) <= least * number(relative), "too wide: from {low} to {high}");
}

/// The constants are those of the On-Line Encyclopedia of Integer Sequences: e A001113, √e A019774, 1/e A068985, e² A072334, e¹⁰
/// A096789 does not go so far, ln 2 A002162, ln 3 A002391, ln 5 A016628, ln 7 A016630, ln 10 A002392. The others are the
/// arguments of Abramowitz and Stegun, *Handbook of Mathematical Functions*, 1964, tables 4.2 and 4.4, carried on to more places by
/// libmpdec 2.5 (correctly rounded).
#[test]
fn enclosures_hold_published_digits() {
    for (x, digits) in [
        ("1", "2.7182818284590452353602874713526624977572"),
        ("0.5", "1.6487212707001281468486507878141635716537"),
        ("-1", "0.3678794411714423215955237701614608674458"),
        ("2", "7.3890560989306502272304274605750078131803"),
        ("0.1", "1.1051709180756476248117078264902466682245"),
        ("2.5", "12.182493960703473438070175951167966183182"),
        ("10", "22026.465794806716516957900645284244366353"),
        ("-0.001", "0.9990004998333749916680553571676559747023"),
        ("100", "26881171418161354484126255515800135873611118.7737"),
    ] {
        holds_digits(&function::exp(&value(x)), digits);
    }
    for (x, digits) in [
        ("2", "0.6931471805599453094172321214581765680755"),
        ("3", "1.0986122886681096913952452369225257046474"),
        ("5", "1.6094379124341003746007593332261876395256"),
        ("7", "1.9459101490553133051053527434431797296370"),
        ("10", "2.3025850929940456840179914546843642076011"),
        ("0.5", "-0.6931471805599453094172321214581765680755"),
        ("100", "4.6051701859880913680359829093687284152022"),
        ("1.001", "0.000999500333083533166809398920535011460755062"),
        ("0.9999", "-0.000100005000333358335333500014286964396835397"),
    ] {
        holds_digits(&function::ln(&value(x)).unwrap(), digits);
    }
    assert_eq!(function::exp(&Value::ZERO), Value::ONE);
    assert_eq!(function::ln(&Value::ONE), Some(Value::ZERO));
    for none in ["0", "-1", "-1e-30"] {
        assert_eq!(function::ln(&value(none)), None, "{none}");
    }
    // Of what may be nought there is none: √2 squared, less two.
    let two = function::sqrt(&value("2")).unwrap().squared();
    assert_eq!(function::ln(&two.subtract(&value("2"))), None);
}

/// A second library of long numbers, to 46 digits: over many sizes both ways.
#[test]
fn enclosures_are_those_of_another_library() {
    const DIGITS: usize = 50;
    let long = |text: &str| DBig::from_str(text).unwrap().with_precision(DIGITS).value();
    let held = |found: &Value, expected: &DBig, of: &str| {
        // No number is read that is longer than 60 characters.
        let text: String = expected.to_string().chars().take(60).collect();
        let expected = number(&text);
        let Enclosure { low, high } = found.enclosure();
        // What the other library and that cut leave out.
        let slack = expected.abs() * number("1e-46");
        assert!(low - &slack <= expected && expected <= high + &slack, "{of}: {expected}");
    };
    let mut seen = 0;
    let mut digits = 1_000_003_u64;
    for power in -9..=4 {
        for _ in 0..12 {
            // Any digits will do: those of a multiplicative generator.
            digits = digits * 48_271 % 2_147_483_647;
            let text = format!("{}.{:09}", digits % 9 + 1, digits % 1_000_000_000);
            let ten = Number::from_integer(10).power(power).unwrap();
            let exact = number(&text) * ten;
            let written = exact.to_text(40);
            let ln = function::ln(&Value::from(exact.clone())).unwrap();
            held(&ln, &long(&written).ln(), &format!("ln {written}"));
            is_narrow(&ln, "1e-40");
            if power <= 0 {
                for (x, written) in [(exact.clone(), written.clone()), (-exact.clone(), format!("-{written}"))] {
                    let exp = function::exp(&Value::from(x));
                    held(&exp, &long(&written).exp(), &format!("exp {written}"));
                    is_narrow(&exp, "1e-40");
                }
            }
            seen += 1;
        }
    }
    assert_eq!(seen, 14 * 12);
}

/// Back and forth, very large and very small: the identities hold, and nothing is taken for known beyond the ends.
#[test]
fn exponential_and_logarithm_undo_each_other() {
    let meets = |left: &Value, right: &Value| left.compare(right).is_none_or(std::cmp::Ordering::is_eq);
    for text in
        ["1e-60", "1e-31", "1e-29", "0.0003", "0.7", "0.999999999999", "1.4", "2", "3.14159", "1000", "20000", "27000"]
    {
        let x = value(text);
        let there = function::exp(&x);
        let back = function::ln(&there).unwrap();
        assert!(meets(&back, &x), "{text}");
        assert!(meets(&there.multiply(&function::exp(&x.negate())), &Value::ONE), "{text}");
        let doubled = function::ln(&x.multiply(&x)).unwrap();
        assert!(meets(&doubled, &function::ln(&x).unwrap().multiply(&value("2"))), "{text}");
    }
    // Past what is followed nothing is known, but that nothing is below nought where it is small.
    for far in ["40000", "1e9", "1e120"] {
        let x = value(far);
        assert_eq!(function::exp(&x).compare(&value("1e120")), None, "{far}");
        let Enclosure { low, high } = function::exp(&x.negate()).enclosure();
        assert!(low.signum() >= 0 && high < number("1e-120"), "{far}");
    }
    // ln(1 + t) for t too small for the series in fixed point.
    let one = value("1").add(&value("1e-40"));
    let Enclosure { low, high } = function::ln(&one).unwrap().enclosure();
    // 10⁻⁴⁰ less half of its square.
    let middle = number("1e-40") - number("5e-81");
    assert!(&middle - &number("1e-87") < low && high < &middle + &number("1e-87"), "{low} to {high}");
}

/// Rounding to significant digits. The first group are those of NIST SP 811 (2008), B.7.1, and of ISO 80000-1:2009, Annex B (the
/// ties to the even digit), quoted from memory; then cases at the ends of a power of ten, where binary numbers go wrong.
#[test]
fn significant_digits_are_those_of_the_rules() {
    for (x, digits, rounded) in [
        ("6.9749515", "3", "6.97"),
        ("6.9749515", "4", "6.975"),
        ("6.974951", "4", "6.975"),
        ("6.9749", "3", "6.97"),
        ("6.975", "3", "6.98"),
        ("6.965", "3", "6.96"),
        ("12.25", "3", "12.2"),
        ("12.35", "3", "12.4"),
        ("1225", "3", "1220"),
        ("1235", "3", "1240"),
        ("0.99951", "3", "1"),
        ("0.9995", "3", "1"),
        ("0.9985", "3", "0.998"),
        ("9.995", "3", "10"),
        ("99.95", "3", "100"),
        ("99.949", "3", "99.9"),
        ("100.5", "3", "100"),
        ("101.5", "3", "102"),
        ("-2.5", "1", "-2"),
        ("-3.5", "1", "-4"),
        ("0.000012345", "2", "0.000012"),
        ("0", "5", "0"),
        ("1234567890.5", "10", "1234567890"),
    ] {
        let found = value(x).significant(&value(digits)).unwrap();
        assert_eq!(found, value(rounded), "{x} to {digits}");
    }
    for digits in ["0", "41", "-1", "2.5"] {
        assert_eq!(value("1.5").significant(&value(digits)), None, "{digits}");
    }
    // As Rust's own formatting rounds where there is no tie: an odd 17th digit is none.
    let mut chance = 12_345_u64;
    for _ in 0..2_000 {
        chance = chance * 48_271 % 2_147_483_647;
        let exact = format!("{}.{:09}1e{}", chance % 9 + 1, chance, i64::try_from(chance % 21).unwrap() - 10);
        let digits = chance % 7 + 1;
        let expected = format!("{:.*e}", usize::try_from(digits).unwrap() - 1, exact.parse::<f64>().unwrap());
        let found = value(&exact).significant(&value(&digits.to_string())).unwrap();
        assert_eq!(found, value(&expected), "{exact} to {digits}");
    }
    // π to five digits is exact, and what lies on a tie stays open.
    assert_eq!(Value::pi().significant(&value("5")), Some(value("3.1416")));
    let near = function::sqrt(&value("2")).unwrap().squared().multiply(&value("1.25")).divide(&value("2")).unwrap();
    let Enclosure { low, high } = near.significant(&value("2")).unwrap().enclosure();
    assert!(low == number("1.2") && high >= number("1.2"), "{low} to {high}");
}
