//! The laws of bands.
#![allow(clippy::unwrap_used, reason = "a test may stop at the first surprise")]

use super::{Band, End, Side};
use crate::quantity::{Number, Value, function};
use proptest::prelude::*;

fn value(text: &str) -> Value {
    Value::from(Number::parse(text).unwrap())
}

#[test]
fn an_end_counts_where_it_is_closed() {
    let band = Band::between(value("19.980"), value("20.020"));
    // Both are exactly at their end; binary floating point puts them outside.
    assert_eq!(band.locate(&value("19.976").add(&value("0.004"))), Side::Inside);
    assert_eq!(band.locate(&value("20.024").subtract(&value("0.004"))), Side::Inside);
    assert_eq!(band.locate(&value("20.0200000000000000000000000001")), Side::Above);
    assert_eq!(Band::above(value("1")).locate(&value("1")), Side::Below);
    assert_eq!(Band::below(value("1")).locate(&value("1")), Side::Above);
    assert_eq!(Band::at_least(value("1")).locate(&value("1")), Side::Inside);
    assert_eq!(Band::at_most(value("1")).locate(&value("1")), Side::Inside);
    assert_eq!(Band::default().locate(&value("1")), Side::Inside);
}

#[test]
fn how_far_in_or_out_is_told_from_the_nearer_end() {
    let band = Band::between(value("2"), value("5"));
    assert_eq!(band.margin(&value("4")), Some(value("1")));
    assert_eq!(band.margin(&value("2")), Some(Value::ZERO));
    assert_eq!(band.margin(&value("6")), None);
    assert_eq!(band.distance(&value("6")), Some(value("1")));
    assert_eq!(band.distance(&value("1.5")), Some(value("0.5")));
    assert_eq!(band.distance(&value("3")), None);
    assert_eq!(band.width(), Some(value("3")));
    assert_eq!(Band::at_least(value("2")).width(), None);
    assert_eq!(Band::at_least(value("2")).margin(&value("7")), Some(value("5")));
    assert_eq!(Band::above(value("2")).distance(&value("2")), Some(Value::ZERO));
}

#[test]
fn what_is_not_known_closely_enough_is_undecided() {
    let root = function::sqrt(&value("2")).unwrap();
    let two = root.multiply(&root);
    assert_eq!(Band::at_most(value("2")).locate(&two), Side::Undecided);
    assert_eq!(Band::between(value("2"), value("3")).locate(&two), Side::Undecided);
    assert_eq!(Band::between(value("0"), value("1")).locate(&two), Side::Above);
    assert_eq!(Band::between(value("1.9"), value("2.1")).locate(&two), Side::Inside);
    assert!(!Band::between(two.clone(), value("2")).is_empty());
    assert_eq!(Band::at_most(value("2")).holds(&Band::at_most(two.clone())), None);
    assert_eq!(Band::at_most(value("2")).overlaps(&Band::at_least(two)), None);
}

/// A band with ends on a small grid, any of them missing, open or closed.
fn bands() -> impl Strategy<Value = Band> {
    let end = || proptest::option::of((-6..6_i64, any::<bool>()));
    (end(), end()).prop_map(|(low, high)| {
        let end = |(at, closed)| End { value: Value::from(Number::from_integer(at)), closed };
        Band { low: low.map(end), high: high.map(end) }
    })
}

/// Every half step of the grid and past it: enough to tell any two such bands apart.
fn grid() -> impl Iterator<Item = Value> {
    (-16..=16).map(|half| Value::from(Number::ratio(half, 2).unwrap()))
}

proptest! {
    #[test]
    fn bands_agree_with_their_members(outer in bands(), inner in bands()) {
        let inside = |band: &Band, value: &Value| band.locate(value) == Side::Inside;
        prop_assert_eq!(outer.is_empty(), !grid().any(|value| inside(&outer, &value)));
        let held = grid().all(|value| !inside(&inner, &value) || inside(&outer, &value));
        prop_assert_eq!(outer.holds(&inner), Some(held));
        let shared = grid().any(|value| inside(&inner, &value) && inside(&outer, &value));
        prop_assert_eq!(outer.overlaps(&inner), Some(shared));
        prop_assert_eq!(outer.overlaps(&inner), inner.overlaps(&outer));
        for value in grid() {
            prop_assert_eq!(outer.distance(&value).is_some(), !inside(&outer, &value));
            if let Some(margin) = outer.margin(&value) {
                // A step of the margin to either side stays within the closed band.
                for moved in [value.add(&margin), value.subtract(&margin)] {
                    prop_assert!(outer.low.as_ref().is_none_or(|end| moved.compare(&end.value).unwrap().is_ge()));
                    prop_assert!(outer.high.as_ref().is_none_or(|end| moved.compare(&end.value).unwrap().is_le()));
                }
            }
        }
    }
}
