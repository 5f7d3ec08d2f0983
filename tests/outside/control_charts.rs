//! Individuals and moving-range charts against NIST/SEMATECH e-Handbook 6.3.2; sources in `data/control-charts.yaml`.

use super::check_values::{Item, items, number};
use std::cmp::Ordering;
use trochoid::quantity::{Number, Value};
use trochoid::statistics::control::{Run, Test, chart, d2, d4, runs};

fn the(name: &str) -> Item {
    items(include_str!("data/control-charts.yaml")).into_iter().find(|item| item.item == name).unwrap()
}

fn whole(whole: i64) -> Value {
    Value::from(Number::from_integer(whole))
}

fn near(found: &Number, expected: &Number, tolerance: &str) {
    assert!((found - expected).abs() <= number(tolerance), "{found} for {expected}");
}

#[test]
fn constants_for_ranges_of_two() {
    let item = the("chart-constants");
    assert_eq!(item.text("inputs", "n").as_deref(), Some("2"));
    near(&d2().midpoint(), &item.number("expected", "d2"), "0.00000001");
    // A2 = 3 / (d2·√2) for means of two values.
    let root = trochoid::quantity::function::sqrt(&whole(2)).unwrap();
    let a2 = whole(3).divide(&d2().multiply(&root)).unwrap();
    near(&a2.midpoint(), &item.number("expected", "A2"), "0.00000001");
    near(&d4().midpoint(), &number("3.267"), "0.0006");
}

/// The handbook rounds d2 to 1.128 before dividing; its limits are met by doing the same to ours, and missed by less than two
/// thousandths without.
#[test]
fn flow_rate_of_ten_batches() {
    let item = the("individuals-chart");
    let values: Vec<Value> = item.numbers("inputs", "data").into_iter().map(Value::from).collect();
    let chart = chart(&values).unwrap();
    let ranges: Vec<Value> = item.numbers("expected", "ranges").into_iter().map(Value::from).collect();
    assert_eq!(chart.ranges, ranges);
    assert_eq!(chart.centre, Value::from(item.number("expected", "centre")));
    near(&chart.mean_range.midpoint(), &item.number("expected", "mean_range"), "0.00005");
    let printed = Value::from(item.number("inputs", "d2"));
    for (limit, field) in [(&chart.high, "high"), (&chart.low, "low")] {
        let expected = item.number("expected", field);
        let rounded = limit.subtract(&chart.centre).multiply(&d2()).divide(&printed).unwrap().add(&chart.centre);
        near(&rounded.midpoint(), &expected, "0.00005");
        near(&limit.midpoint(), &expected, "0.002");
    }
    assert!(values.iter().all(|value| chart.side(value) == Ordering::Equal));
    assert!(chart.jumps().is_empty() && runs(&values, &chart).is_empty());
}

#[test]
fn one_value_has_no_chart() {
    assert_eq!(chart(&[]), None);
    assert_eq!(chart(&[Value::ONE]), None);
    let same = [Value::ONE, Value::ONE, Value::ONE];
    let flat = chart(&same).unwrap();
    assert_eq!((&flat.low, &flat.high), (&Value::ONE, &Value::ONE));
    assert_eq!(flat.side(&Value::ONE), Ordering::Equal);
    assert!(runs(&same, &flat).is_empty() && !flat.scatters());
    // The same of values that no fraction holds: what is not known to differ is no run close to the centre.
    let root = trochoid::quantity::function::sqrt(&whole(2)).unwrap();
    let roots = vec![root; 20];
    let flat = trochoid::statistics::control::chart(&roots).unwrap();
    assert!(runs(&roots, &flat).is_empty() && !flat.scatters());
    assert!(roots.iter().all(|value| flat.side(value) == Ordering::Equal) && flat.jumps().is_empty());
}

/// A chart with centre 0 and one deviation 1, whatever the values; the moving range is d2.
fn found(values: &[&str]) -> Vec<Run> {
    let mut chart = chart(&[Value::ZERO, Value::ONE]).unwrap();
    chart.centre = Value::ZERO;
    chart.deviation = Value::ONE;
    (chart.low, chart.high) = (whole(-3), whole(3));
    let values: Vec<Value> = values.iter().map(|text| Value::from(number(text))).collect();
    runs(&values, &chart)
}

fn tests(values: &[&str]) -> Vec<(u8, usize, usize, Ordering)> {
    found(values).into_iter().map(|run| (run.test.number(), run.first, run.last, run.side)).collect()
}

/// Each test on the shortest row that shows it, and on one value fewer, which must not.
#[test]
fn each_of_the_eight_tests() {
    use Ordering::{Equal, Greater, Less};
    let rows: [(&str, u8, usize, Ordering); 8] = [
        ("3.1", 1, 0, Greater),
        ("-.1 -.2 -.1 -.9 -.5 -.1 -.2 -.1 -.2", 2, 0, Less),
        ("-.5 -.3 -.1 .2 .3 .4", 3, 0, Greater),
        (".1 -.1 .2 -.2 .1 -.1 .2 -.2 .1 -.1 .2 -.2 .1 -.1", 4, 0, Equal),
        ("2.1 0 2.5", 5, 0, Greater),
        ("-1.1 -1.5 .5 -1.3 -1.4", 6, 0, Less),
        (".1 .2 -.1 .2 .3 -.1 -.2 .1 .9 .8 -.1 .1 .1 -.9 1", 7, 0, Equal),
        ("1.1 -1.2 1.2 -1.3 1.2 -1.1 -1.5 1.9", 8, 0, Equal),
    ];
    for (row, test, first, side) in rows {
        let values: Vec<&str> = row.split(' ').collect();
        assert_eq!(tests(&values), [(test, first, values.len() - 1, side)], "{row}");
        assert_eq!(tests(&values[..values.len() - 1]), [], "{row} without its last");
        assert_eq!(tests(&values[1..]), [], "{row} without its first");
    }
}

#[test]
fn the_edges_belong_inside() {
    assert_eq!(tests(&["3"]), []);
    assert_eq!(tests(&["3.0000000000000000001"]).len(), 1);
    assert_eq!(tests(&["2", "0", "2"]), []);
    // On the centre is on neither side.
    assert_eq!(tests(&["1", "1", "1", "1", "0", "1", "1", "1", "1"]), []);
    // As high as the one before is no rise.
    assert_eq!(tests(&["-.5", "-.3", "-.1", "-.1", ".3", ".4"]), []);
    // None close, but all on one side: the tests of one side say it.
    assert!(tests(&["1.5"; 8]).iter().all(|(test, ..)| *test == 6));
}

#[test]
fn stretches_that_share_values_are_one() {
    let row = ["0.5"; 12];
    assert_eq!(tests(&row), [(2, 0, 11, Ordering::Greater)]);
    assert_eq!(tests(&["4", "4", "-4"]).iter().filter(|(test, ..)| *test == 1).count(), 3);
    let numbers: Vec<u8> = Test::ALL.iter().map(|test| test.number()).collect();
    assert_eq!(numbers, [1, 2, 3, 4, 5, 6, 7, 8]);
}
