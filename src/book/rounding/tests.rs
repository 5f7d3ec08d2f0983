//! What a range lets through once values are rounded, against rounding one value after the other.

#![allow(clippy::unwrap_used, reason = "a test may stop at the first surprise")]

use super::*;
use crate::quantity::{Dimension, Side};
use crate::text::{Source, Span};
use proptest::prelude::*;

fn number(above: i64, below: i64) -> Number {
    Number::ratio(above, below).unwrap()
}

fn value(above: i64, below: i64) -> Value {
    Value::from(number(above, below))
}

fn rounding(step: Value, zero: Value) -> Rounding {
    Rounding { step, zero, place: Source::new("b", "").place(Span::default()) }
}

/// The nearest multiple of `step` by trying each from -400 to 400: no arithmetic of the library's own but a difference.
/// All in units of `step / denominator`.
fn by_trying(value: i64, step: i64) -> i64 {
    (-400..=400)
        .min_by_key(|multiple| ((value - multiple * step).abs(), multiple % 2 != 0))
        .map(|multiple| multiple * step)
        .unwrap()
}

proptest! {
    /// Ends, values and steps are whole numbers of some small unit, with steps both odd and even in it, so that many values
    /// stand exactly halfway and many ends exactly on a multiple.
    #[test]
    fn what_is_let_through_is_what_rounds_into_the_band(
        low in proptest::option::of((-60_i64..60, any::<bool>())),
        width in proptest::option::of((0_i64..40, any::<bool>())),
        step in 1_i64..13,
        fine in 1_i64..30,
        zero in -20_i64..20,
    ) {
        let end = |(at, closed): (i64, bool)| End { value: value(at + zero, fine), closed };
        let from = low.map_or(0, |(at, _)| at);
        let band = Band { low: low.map(end), high: width.map(|(width, closed)| end((from + width, closed))) };
        let rounding = rounding(value(step, fine), value(zero, fine));
        let accepts = rounding.accepts(&band).unwrap();
        for at in -120_i64..120 {
            let rounded = value(by_trying(at, step) + zero, fine);
            let taken = value(at + zero, fine);
            prop_assert_eq!(rounding.round(&taken), rounded.clone());
            prop_assert_eq!(
                accepts.locate(&taken) == Side::Inside,
                band.locate(&rounded) == Side::Inside,
                "{} of {} in {:?} gives {:?}", at, step, band, accepts
            );
        }
        prop_assert!(accepts.is_empty() || rounding.accepts_at_most(&band).holds(&accepts) == Some(true));
    }
}

#[test]
fn a_tie_belongs_to_the_even_multiple() {
    // Worked by hand after ISO 80000-1:2009, Annex B, rule A: 0.095 goes to 0.10, which is ten steps and even; 0.085 goes to
    // 0.08, and 0.105 to 0.10.
    let hundredth = rounding(value(1, 100), Value::ZERO);
    let even = hundredth.accepts(&Band::at_least(value(10, 100))).unwrap();
    assert_eq!(even, Band::at_least(value(95, 1000)));
    let odd = hundredth.accepts(&Band::at_least(value(9, 100))).unwrap();
    assert_eq!(odd, Band::above(value(85, 1000)));
    let at_most = hundredth.accepts(&Band::at_most(value(10, 100))).unwrap();
    assert_eq!(at_most, Band::at_most(value(105, 1000)));
    // An end that itself does not count: above 0.10 begins at 0.11, which is odd.
    assert_eq!(hundredth.accepts(&Band::above(value(10, 100))).unwrap(), Band::above(value(105, 1000)));
}

#[test]
fn no_multiple_between_the_ends_is_an_empty_band() {
    let tenth = rounding(value(1, 10), Value::ZERO);
    assert!(tenth.accepts(&Band::between(value(11, 100), value(19, 100))).unwrap().is_empty());
    assert!(!tenth.accepts(&Band::between(value(11, 100), value(20, 100))).unwrap().is_empty());
}

#[test]
fn a_scale_counts_from_its_own_zero() {
    let celsius = Unit { zero: Some(value(27_315, 100)), ..Unit::new("°C", Dimension::TEMPERATURE, Value::ONE) };
    let place = Source::new("b", "").place(Span::default());
    let whole = Rounding::new(Value::ONE, Some(&celsius), place);
    // 80.4 °C is 353.55 K: to whole kelvin from absolute zero it would come out at 80.85 °C.
    assert_eq!(whole.round(&value(35_355, 100)), value(35_315, 100));
}

#[test]
fn ends_with_a_power_of_pi_have_their_multiple_too() {
    // 180/π degrees a radian: half a right angle is 0.785… rad, and to tenths of a radian the first multiple is 0.8.
    let quarter = Value::pi().divide(&value(4, 1)).unwrap();
    let tenth = rounding(value(1, 10), Value::ZERO);
    assert_eq!(tenth.accepts(&Band::at_least(quarter.clone())).unwrap(), Band::at_least(value(75, 100)));
    // In steps of π/8 it stands on a multiple, exactly: two steps, and even.
    let eighths = rounding(Value::pi().divide(&value(8, 1)).unwrap(), Value::ZERO);
    let from = Value::pi().multiply(&value(3, 16));
    assert_eq!(eighths.accepts(&Band::at_least(quarter)).unwrap(), Band::at_least(from));
}
