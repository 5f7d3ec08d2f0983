//! Exact numbers against a second arbitrary-precision library, and the boundary cases a verdict hangs on.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::string_slice,
    reason = "a test may stop at the first surprise"
)]

use super::{Form, Number, NumberErrorKind, ten};
use dashu::integer::{IBig, UBig};
use dashu::rational::RBig;
use num_bigint::BigInt;
use num_integer::Integer;
use num_traits::ToPrimitive;
use proptest::prelude::*;

fn number(text: &str) -> Number {
    Number::parse(text).unwrap_or_else(|error| panic!("{text}: {error:?}"))
}

/// The oracle's number for one of ours.
fn oracle(number: &Number) -> RBig {
    match number.parts() {
        Some((above, below)) => RBig::from_parts(IBig::from(above), UBig::try_from(below).unwrap()),
        None => {
            let (above, below) = number.big_parts();
            let big = |number: &BigInt| number.to_string().parse::<IBig>().unwrap();
            RBig::from_parts(big(&above), UBig::try_from(big(&below)).unwrap())
        }
    }
}

/// Held in the first form that fits it, in lowest terms: what `==` and hashing rely on.
fn is_canonical(number: &Number) -> bool {
    match &number.0 {
        Form::Decimal { units, places } => *places <= 18 && (*places == 0 || units % 10 != 0),
        Form::Ratio(ratio) => {
            let super::Ratio { numerator, denominator } = &**ratio;
            let ends = (1..=18).any(|places| {
                ten(places) % denominator == 0 && numerator.checked_mul(ten(places) / denominator).is_some()
            });
            *denominator > 1 && numerator.unsigned_abs().gcd(&denominator.unsigned_abs()) == 1 && !ends
        }
        Form::Big(fraction) => {
            fraction.denominator > BigInt::ZERO
                && fraction.numerator.gcd(&fraction.denominator) == BigInt::from(1)
                && (fraction.numerator.to_i64().is_none() || fraction.denominator.to_i64().is_none())
        }
    }
}

/// A small generator with a fixed seed (SplitMix64: Steele, Lea, Flood, *Fast Splittable Pseudorandom Number
/// Generators*, 2014), so that a failure comes back.
struct Dice(u64);

impl Dice {
    fn roll(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        mixed ^ (mixed >> 31)
    }

    fn below(&mut self, end: u64) -> u64 {
        self.roll() % end
    }

    /// Mostly readings and factors, now and then the edges of 64 bits.
    fn number(&mut self) -> Number {
        let size = self.below(9) as u32;
        let units = self.below(10_u64.pow(size + 1)) as i64;
        let sign = if self.below(4) == 0 { -1 } else { 1 };
        match self.below(16) {
            0 => Number::ratio(sign * units, 1 + self.below(2_000) as i64).unwrap(),
            1 => {
                let edge = if sign < 0 { i64::MIN } else { i64::MAX };
                Number::decimal(edge - sign * self.below(3) as i64, 18 * self.below(2) as u8)
            }
            2 => Number::decimal(sign * (self.roll() >> 1) as i64, self.below(19) as u8),
            _ => Number::decimal(sign * units, self.below(7) as u8),
        }
    }
}

#[test]
fn a_million_random_expressions_agree_with_a_second_library() {
    let mut dice = Dice(20);
    let mut compared = 0_u32;
    let mut operations = 0_u32;
    while compared < 1_000_000 {
        let mut left = dice.number();
        let mut left_oracle = oracle(&left);
        for _ in 0..=dice.below(2) {
            let right = dice.number();
            let right_oracle = oracle(&right);
            (left, left_oracle) = match dice.below(4) {
                0 => (&left + &right, left_oracle + right_oracle),
                1 => (&left - &right, left_oracle - right_oracle),
                2 => (&left * &right, left_oracle * right_oracle),
                _ if right.is_zero() => {
                    assert_eq!(left.checked_div(&right), None);
                    continue;
                }
                _ => (left.checked_div(&right).unwrap(), left_oracle / right_oracle),
            };
            operations += 1;
            assert!(oracle(&left) == left_oracle, "{left:?} is not {left_oracle}");
            assert!(is_canonical(&left), "{left:?}");
        }
        let limit = dice.number();
        assert_eq!(left.cmp(&limit), left_oracle.cmp(&oracle(&limit)), "{left:?} against {limit:?}");
        compared += 1;
    }
    assert!(operations > 1_000_000);
}

/// A tree of operations over literals, each of which both libraries evaluate.
#[derive(Clone, Debug)]
enum Tree {
    Literal(i64, u8),
    Third(i64, i64),
    Join(u8, Box<Tree>, Box<Tree>),
}

fn trees() -> impl Strategy<Value = Tree> {
    let leaf = prop_oneof![
        (any::<i64>(), 0..=18_u8).prop_map(|(units, places)| Tree::Literal(units, places)),
        (-200_000..200_000_i64, 0..=4_u8).prop_map(|(units, places)| Tree::Literal(units, places)),
        (any::<i64>(), 1..i64::MAX).prop_map(|(above, below)| Tree::Third(above, below)),
    ];
    leaf.prop_recursive(5, 24, 2, |inner| {
        (0..4_u8, inner.clone(), inner)
            .prop_map(|(join, left, right)| Tree::Join(join, Box::new(left), Box::new(right)))
    })
}

fn evaluate(tree: &Tree) -> Option<(Number, RBig)> {
    Some(match tree {
        Tree::Literal(units, places) => (
            Number::decimal(*units, *places),
            RBig::from_parts(IBig::from(*units), UBig::from(10_u8).pow(usize::from(*places))),
        ),
        Tree::Third(above, below) => {
            (Number::ratio(*above, *below)?, RBig::from_parts(IBig::from(*above), UBig::try_from(*below).unwrap()))
        }
        Tree::Join(join, left, right) => {
            let ((left, left_oracle), (right, right_oracle)) = (evaluate(left)?, evaluate(right)?);
            match join {
                0 => (left + right, left_oracle + right_oracle),
                1 => (left - right, left_oracle - right_oracle),
                2 => (left * right, left_oracle * right_oracle),
                _ => (left.checked_div(&right)?, left_oracle / right_oracle),
            }
        }
    })
}

/// Whole numbers of many lengths, of both signs.
fn long_whole() -> impl Strategy<Value = BigInt> {
    (prop::collection::vec(any::<u32>(), 0..8), any::<bool>()).prop_map(|(digits, negative)| {
        let whole = BigInt::from_slice(num_bigint::Sign::Plus, &digits);
        if negative { -whole } else { whole }
    })
}

/// What stands below a line: powers of two and five, and anything else.
fn below() -> impl Strategy<Value = BigInt> {
    let other = prop_oneof![2 => Just(1_u128), 1 => 1_u128..1_000, 1 => 1_u128..];
    (0_u32..200, 0_u32..20, other)
        .prop_map(|(twos, fives, other)| (BigInt::from(5).pow(fives) * BigInt::from(other)) << twos)
}

proptest! {
    #[test]
    fn a_quotient_is_the_floor_a_second_library_gives(above in long_whole(), below in below(), shift in -300_i64..300) {
        let whole = |number: &BigInt| number.to_string().parse::<IBig>().unwrap();
        let two = |power: i64| IBig::from(1) << usize::try_from(power.max(0)).unwrap();
        let fraction = RBig::from_parts(whole(&above) * two(shift), UBig::try_from(whole(&below) * two(-shift)).unwrap());
        prop_assert_eq!(whole(&super::bounds::quotient(above, below, shift)), fraction.floor());
    }

    #[test]
    fn expression_trees_agree_with_a_second_library(left in trees(), right in trees()) {
        if let (Some((left, left_oracle)), Some((right, right_oracle))) = (evaluate(&left), evaluate(&right)) {
            prop_assert!(is_canonical(&left), "{:?}", left);
            prop_assert!(oracle(&left) == left_oracle);
            prop_assert_eq!(left.cmp(&right), left_oracle.cmp(&right_oracle));
            prop_assert_eq!(left == right, left_oracle == right_oracle);
            let far = left_oracle.to_f64().value();
            let near = left.to_f64();
            prop_assert!((near - far).abs() <= far.abs() * 1e-14, "{} against {}", near, far);
        }
    }

    #[test]
    fn whatever_is_printed_is_read_back(units in any::<i64>(), places in 0..=18_u8, more in 0..=12_u32) {
        let written = Number::decimal(units, places);
        prop_assert_eq!(&number(&written.to_string()), &written);
        prop_assert_eq!(&number(&written.to_decimal(u32::from(places) + more)), &written);
    }

    #[test]
    fn printing_is_half_even_rounding_to_a_power_of_ten(tree in trees(), places in 0..=24_u32) {
        if let Some((value, _)) = evaluate(&tree) {
            let step = Number::from_integer(10).power(-(places as i8)).unwrap();
            let (above, below) = value.round_to(&step).unwrap().big_parts();
            let units: BigInt = above * BigInt::from(10).pow(places);
            let printed = value.to_decimal(places).replace('.', "").parse::<BigInt>().unwrap();
            prop_assert_eq!(printed * below, units);
        }
    }

    #[test]
    fn rounding_moves_by_half_a_step_at_most(tree in trees(), step in 1..1_000_i64) {
        if let Some((value, _)) = evaluate(&tree) {
            let step = Number::decimal(step, 3);
            let rounded = value.round_to(&step).unwrap();
            prop_assert!(rounded.checked_div(&step).unwrap().is_integer());
            let moved = (&rounded - &value).abs() * Number::from_integer(2);
            prop_assert!(moved <= step);
            if moved == step {
                let half = rounded.checked_div(&(&step * &Number::from_integer(2))).unwrap();
                prop_assert!(half.is_integer(), "a tie went to the odd multiple");
            }
        }
    }

    #[test]
    fn any_text_is_read_or_refused_without_a_stop(text in "\\PC*") {
        if let Ok((_, taken)) = Number::parse_prefix(&text) {
            prop_assert!(taken > 0 && text.is_char_boundary(taken));
        }
        if let Err(error) = Number::parse(&text) {
            prop_assert!(error.at <= text.len());
            prop_assert!(error.mended.is_none_or(|mended| Number::parse(&mended).is_ok()));
        }
    }

    #[test]
    fn number_like_text_is_read_or_mended_to_what_is_read(text in "[-+]?[0-9_,.'eEx ]{0,24}") {
        if let Err(error) = Number::parse(&text) {
            prop_assert!(error.at <= text.len());
            prop_assert!(error.mended.is_none_or(|mended| Number::parse(&mended).is_ok()));
        }
    }

    #[test]
    fn long_literals_agree_with_a_second_library(whole in "[0-9]{1,40}", after in "[0-9]{1,20}") {
        let read = number(&format!("-{whole}.{after}"));
        let units: IBig = format!("-{whole}{after}").parse().unwrap();
        prop_assert!(oracle(&read) == RBig::from_parts(units, UBig::from(10_u8).pow(after.len())));
        prop_assert!(is_canonical(&read));
    }
}

#[test]
fn values_at_their_limit_stay_at_their_limit() {
    // Each of these is wrong in binary floating point.
    assert_eq!(number("19.980") + number("0.004"), number("19.984"));
    assert_eq!(number("20.020") - number("0.004"), number("20.016"));
    assert!(number("2.00") - number("1.95") <= number("0.05"));
    assert_eq!(number("0.1") * number("25.4"), number("2.54"));
    assert_eq!(number("0.1") + number("0.2"), number("0.3"));
    let third = Number::ratio(1, 3).unwrap();
    assert_eq!(&third + &third + &third, Number::ONE);
    assert_eq!(third.decimal_places(), None);
    assert!(third > number("0.333333333333333333333333333333"));
    assert!(third < number("0.333333333333333333333333333334"));
    assert_eq!(number("79.9995").to_decimal(3), "80.000");
    assert_eq!(number("79.9985").to_decimal(3), "79.998");
}

#[test]
fn equal_numbers_are_alike_however_written() {
    for (left, right) in [("2.50", "2.5"), ("+5", "5.000"), ("-0", "0"), ("-0.0", "0"), (".5", "0.5"), ("012", "12")] {
        assert_eq!(number(left), number(right));
    }
    assert_eq!(Number::ratio(-6, -4), Some(number("1.5")));
    assert_eq!(Number::ratio(i64::MIN, i64::MIN), Some(Number::ONE));
    assert_eq!(Number::ratio(1, 0), None);
    // 2^63 fits no signed 64 bits: out to the big form and back again.
    let edge = -Number::from_integer(i64::MIN);
    assert_eq!(edge.to_string(), "9223372036854775808");
    assert_eq!(-&edge, Number::from_integer(i64::MIN));
    assert_eq!(&edge - &Number::ONE, Number::from_integer(i64::MAX));
}

#[test]
fn powers_follow_their_rule() {
    assert_eq!(number("1.5").power(3), Some(number("3.375")));
    assert_eq!(number("-2").power(-3), Some(number("-0.125")));
    assert_eq!(Number::ZERO.power(0), Some(Number::ONE));
    assert_eq!(Number::ZERO.power(-1), None);
    let base = number("1.07");
    assert_eq!(base.power(i8::MIN).unwrap() * base.power(127).unwrap() * base, Number::ONE);
}

#[test]
fn printing_has_exactly_the_places_asked_for() {
    for (text, places, printed) in [
        ("0", 3, "0.000"),
        ("-0.0004", 3, "0.000"),
        ("-0.0005", 3, "0.000"),
        ("-0.0015", 3, "-0.002"),
        ("0.5", 0, "0"),
        ("1.5", 0, "2"),
        ("-12.345", 1, "-12.3"),
        ("7", 2, "7.00"),
        ("9999999999999999999.95", 1, "10000000000000000000.0"),
    ] {
        assert_eq!(number(text).to_decimal(places), printed, "{text} to {places}");
    }
    assert_eq!(Number::ratio(2, 3).unwrap().to_text(4), "0.6667");
    assert_eq!(number("1.2500").to_text(4), "1.25");
    assert_eq!(number("1.23456").to_text(4), "1.2346");
    assert_eq!(number("0.1").to_decimal(u32::MAX).len(), 1_002);
}

#[test]
fn text_that_is_no_number_is_refused_with_what_was_meant() {
    use NumberErrorKind::*;
    let sixty = "1".repeat(60);
    assert_eq!(number(&sixty).to_string(), sixty);
    let long = format!("{sixty}1");
    for (text, kind, at, mended) in [
        ("", Empty, 0, None),
        ("  ", Empty, 0, None),
        (long.as_str(), TooLong, 60, None),
        ("1e3", Exponent, 1, Some("1000")),
        ("-1.5E-3", Exponent, 4, Some("-0.0015")),
        ("1e400", Exponent, 1, None),
        ("0x1F", Hexadecimal, 1, Some("31")),
        ("0b101", Hexadecimal, 1, Some("5")),
        ("1_000", Separator, 1, Some("1000")),
        ("1 000", Separator, 1, Some("1000")),
        ("1'000.5", Separator, 1, Some("1000.5")),
        ("12,345.6", Separator, 2, Some("12345.6")),
        ("1,234,567", Separator, 1, Some("1234567")),
        ("1,5", DecimalComma, 1, Some("1.5")),
        ("0,125", DecimalComma, 1, Some("0.125")),
        ("1,000", DecimalComma, 1, None),
        ("1.234,5", DecimalComma, 5, Some("1234.5")),
        ("７９．８６", FullWidth, 0, Some("79.86")),
        ("7９.86", FullWidth, 1, Some("79.86")),
        ("1.2.3", PointTwice, 3, None),
        ("\u{2212}5", NotANumber, 0, Some("-5")),
        ("5.", NotANumber, 1, Some("5")),
        ("79.86mm", NotANumber, 5, None),
        ("nan", NotANumber, 0, None),
        (".inf", NotANumber, 0, None),
        ("--5", NotANumber, 1, None),
        ("9:1", NotANumber, 1, None),
    ] {
        let error = Number::parse(text).expect_err(text);
        assert_eq!((error.kind, error.at, error.mended.as_deref()), (kind, at, mended), "{text}");
    }
}

#[test]
fn a_number_before_a_unit_is_taken_alone() {
    for (text, value, taken) in [
        ("79.86mm", "79.86", 5),
        ("-5 K", "-5", 2),
        ("3.µm", "3", 1),
        ("1..5", "1", 1),
        ("2e", "2", 1),
        ("5, 6", "5", 1),
        ("0bar", "0", 1),
    ] {
        assert_eq!(Number::parse_prefix(text), Ok((number(value), taken)), "{text}");
    }
    assert_eq!(Number::parse_prefix("1e3 mm").unwrap_err().kind, NumberErrorKind::Exponent);
    assert_eq!(Number::parse_prefix("1,5 mm").unwrap_err().mended.as_deref(), Some("1.5"));
}

#[test]
fn a_number_stays_small_enough_to_copy() {
    assert!(size_of::<Number>() <= 16);
}
