//! Welch's test against the library `scipy` 1.17.1: `data/statistics_library.json`, written by the script beside it.

use super::check_values::number;
use super::student::{figure, library};
use trochoid::quantity::{Number, Value};
use trochoid::statistics::welch::compare;

fn whole(whole: i64) -> Value {
    Value::from(Number::from_integer(whole))
}

fn values(list: &serde_json::Value) -> Vec<Value> {
    list.as_array().unwrap().iter().map(|one| Value::from(number(one.as_str().unwrap()))).collect()
}

#[test]
fn the_difference_of_two_groups_agrees() {
    let library = library();
    let groups = library["welch"].as_array().unwrap();
    assert!(groups.len() >= 6);
    let mut unlike_pooled = 0;
    for entry in groups {
        let found = compare(&values(&entry["first"]), &values(&entry["second"])).unwrap();
        // The library works in binary numbers: of the set around a million it keeps ten digits fewer.
        for (found, field, relative) in
            [(found.t.midpoint().to_f64(), "t", 1e-6), (found.freedom.to_f64(), "freedom", 1e-7), (found.p, "p", 1e-6)]
        {
            let expected = figure(entry, field);
            assert!(
                (found - expected).abs() <= relative * expected.abs(),
                "{field}: {found} for {expected} of {entry}"
            );
        }
        unlike_pooled += u32::from((found.freedom.to_f64() - figure(entry, "pooled_freedom")).abs() > 0.5);
    }
    // With one spread for both groups, the degrees of freedom would be other ones.
    assert!(unlike_pooled >= 4);
}

#[test]
fn by_hand() {
    // 1 to 4 and 4 to 7: means 2.5 and 5.5, variances 5/3 each; error² = 5/6, and six degrees of freedom.
    let row = |range: std::ops::RangeInclusive<i64>| range.map(whole).collect::<Vec<Value>>();
    let found = compare(&row(1..=4), &row(4..=7)).unwrap();
    assert_eq!(found.difference, whole(3));
    assert_eq!(found.freedom, 6.into());
    let back = compare(&row(4..=7), &row(1..=4)).unwrap();
    assert_eq!((back.difference, back.p.to_bits()), (whole(-3), found.p.to_bits()));
}

#[test]
fn too_little_to_weigh_is_not_weighed() {
    let one = [Value::ONE];
    let same = [Value::ONE, Value::ONE];
    let other = [Value::ZERO, Value::ZERO];
    assert_eq!(compare(&one, &[Value::ONE, Value::ZERO]), None);
    assert_eq!(compare(&[], &[]), None);
    assert_eq!(compare(&same, &other), None);
    // A spread in one group is enough.
    assert_eq!(compare(&same, &[Value::ONE, Value::ZERO]).unwrap().freedom, 1.into());
}
