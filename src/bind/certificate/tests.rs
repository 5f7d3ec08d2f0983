//! Certificates as people copy them: what each form comes to, and what is wrong with others.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "a test may stop at the first surprise"
)]

use super::super::{Certified, Gauge};
use crate::book::Book;
use crate::finding::Code::{self, *};
use crate::finding::Finding;
use crate::quantity::{Number, Value};
use crate::record;
use crate::text::Source;

fn book() -> Book {
    let text = "rulebook \"Pump\" edition 2026-03-01
unit mm = 0.001 m
unit um, \"µm\" = 0.001 mm
unit \"um/m\" = 0.000001
unit N = 1 kg * 1 m / (1 s * 1 s)
unit J = 1 N * 1 m
unit \"N*m\", Nm = 1 J/rad
part pump {
    gap : mm
}
generation small \"an invented pump\" {
    pump.gap limit at most 0.15 mm
}
";
    let source = Source::new("pump.rulebook", text);
    let (tree, _) = crate::syntax::parse(&source);
    let (book, findings) = crate::book::compile(&[tree]);
    assert!(findings.iter().all(|finding| !finding.is_error()), "{findings:#?}");
    book
}

/// The one gauge of a list, and what is said of it.
fn gauge(entry: &str) -> (Option<Gauge>, Vec<Finding>) {
    let source = Source::new("gauges.yaml", format!("one: {{ {entry} }}\n"));
    let (sheet, findings) = record::read(&source);
    assert_eq!(findings, [], "{entry}");
    let (gauges, findings) = super::super::gauges(&book(), &sheet.unwrap(), &source);
    (gauges.on(None).next().cloned(), findings)
}

fn certified(entry: &str) -> Certified {
    let (gauge, findings) = gauge(entry);
    assert_eq!(findings, [], "{entry}");
    gauge.and_then(|gauge| gauge.uncertainty).unwrap_or_else(|| panic!("{entry}"))
}

fn value(numerator: i64, denominator: i64) -> Value {
    Value::from(Number::ratio(numerator, denominator).unwrap())
}

#[test]
fn what_grows_with_the_reading_is_read_exactly() {
    let micrometres = |numerator: i64, denominator: i64| value(numerator, denominator * 1_000_000);
    for (text, fixed, share) in [
        ("4 %", Value::ZERO, value(1, 25)),
        ("4%", Value::ZERO, value(1, 25)),
        ("4 % of the reading", Value::ZERO, value(1, 25)),
        ("± 0.5 % of reading", Value::ZERO, value(1, 200)),
        ("2 um + 3 um/m", micrometres(2, 1), value(3, 1_000_000)),
        ("0.2 N*m + 1 %", value(1, 5), value(1, 100)),
        ("1 % + 0.2 N*m", value(1, 5), value(1, 100)),
        // As certificates of length print it: in micrometres, the length in millimetres.
        ("(2 + L/300) um, L in mm", micrometres(2, 1), value(1, 300_000)),
        ("(2 + L/300) µm (L in mm)", micrometres(2, 1), value(1, 300_000)),
        ("2 um + L/300 (L in mm)", micrometres(2, 1), value(1, 300_000)),
        ("(0.5 + 4 L) um, L in m", micrometres(1, 2), value(4, 1_000_000)),
        ("(0.5 + 1.5*L/1000) um, L in mm", micrometres(1, 2), value(15, 10_000_000)),
        ("2 um", micrometres(2, 1), Value::ZERO),
    ] {
        let found = certified(&format!("uncertainty: \"{text}\""));
        assert_eq!((found.fixed, found.share), (fixed, share), "{text}");
        assert_eq!(found.factor, Number::from_integer(2), "{text}");
    }
    let at = certified("uncertainty: \"(2 + L/300) um, L in mm\"").at(&value(75, 1000));
    assert_eq!(at, micrometres(9, 4), "2 + 75/300 is 2.25");
    // The same below zero: an uncertainty has no sign.
    assert_eq!(certified("uncertainty: 4 %").at(&value(-50, 1)), value(2, 1));
}

#[test]
fn a_factor_is_as_the_certificate_says() {
    let factor = |entry: &str| certified(entry).factor.to_f64();
    assert_eq!(certified("uncertainty: 2 um, k: 2.13").factor, Number::ratio(213, 100).unwrap());
    // Quantiles of the normal distribution and of Student's t, as any table has them to so many places.
    for (entry, expected) in [
        ("uncertainty: 2 um, coverage: 95 %", 1.959_963),
        ("uncertainty: 2 um, coverage: 0.95", 1.959_963),
        ("uncertainty: 2 um, coverage: 99 %", 2.575_829),
        ("uncertainty: 2 um, coverage: 95 %, degrees_of_freedom: 5", 2.570_581),
        ("uncertainty: 2 um, degrees_of_freedom: 9, coverage: 99 %", 3.249_835),
        ("uncertainty: 2 um, degrees_of_freedom: 9", 2.0),
        // What is written itself stands before what follows from it.
        ("uncertainty: 2 um, coverage: 95 %, k: 2", 2.0),
    ] {
        let found = factor(entry);
        assert!((found - expected).abs() < 1.5e-6, "{entry}: {found}");
    }
    let two = certified("uncertainty: 2 um, k: 2.5").doubled_at(&Value::ZERO);
    assert_eq!(two, value(16, 10_000_000), "with k = 2 it is 1.6 µm");
}

#[test]
fn what_is_no_uncertainty_is_said_where_it_stands() {
    for (entry, code, underlined) in [
        ("uncertainty: '%'", NumberUnreadable, "%"),
        ("uncertainty: four %", NumberUnreadable, "four %"),
        ("uncertainty: -4 %", NumberUnreadable, "-4 %"),
        ("uncertainty: 0 %", NumberUnreadable, "0 %"),
        ("uncertainty: 100 %", NumberUnreadable, "100 %"),
        ("uncertainty: 2 um + -3 um/m", NumberUnreadable, "2 um + -3 um/m"),
        ("uncertainty: 2 um + ", UnitUnknown, "um +"),
        ("uncertainty: 2 um + L/300", UnitMissing, "2 um + L/300"),
        ("uncertainty: 2 + 1 %", UnitMissing, "2 + 1 %"),
        ("uncertainty: \"(2 + L/0) um, L in mm\"", NumberUnreadable, "(2 + L/0) um, L in mm"),
        ("uncertainty: \"(2 + L/300) um, L in ell\"", UnitUnknown, "(2 + L/300) um, L in ell"),
        ("uncertainty: \"(2 + L/300 um, L in mm\"", ShapeWrong, "(2 + L/300 um, L in mm"),
        ("uncertainty: \"(2 + L/300) um, L in N*m\"", GaugeDimension, "(2 + L/300) um, L in N*m"),
        ("uncertainty: 2 um + 1 N*m + 1 %", GaugeDimension, "2 um + 1 N*m + 1 %"),
        ("uncertainty: 2 % of full scale", ShapeWrong, "2 % of full scale"),
        ("uncertainty: 2 % of range", ShapeWrong, "2 % of range"),
        ("uncertainty: 4 %, k: 0", NumberUnreadable, "0"),
        ("uncertainty: 4 %, k: -2", NumberUnreadable, "-2"),
        ("uncertainty: 4 %, k: two", NumberUnreadable, "two"),
        ("uncertainty: 2 um, coverage: 95", NumberUnreadable, "95"),
        ("uncertainty: 2 um, coverage: 100 %", NumberUnreadable, "100 %"),
        ("uncertainty: 2 um, coverage: 40 %", NumberUnreadable, "40 %"),
        ("k: 2.13", ShapeWrong, "2.13"),
        ("coverage: 95 %, resolution: 1 um", ShapeWrong, "95 %"),
        ("degrees_of_freedom: 5, resolution: 1 um", ShapeWrong, "5"),
    ] {
        let (gauge, findings) = gauge(entry);
        let [finding] = findings.as_slice() else { panic!("{entry}: {findings:#?}") };
        let wanted: (Code, &str) = (code, underlined);
        assert_eq!((finding.code, finding.place.as_ref().unwrap().0.text()), wanted, "{entry}");
        assert!(finding.help.is_some(), "{entry}");
        assert_eq!(gauge.unwrap().uncertainty, None, "{entry}");
    }
}

#[test]
fn a_factor_that_no_certificate_has_does_not_count_until_somebody_confirms_it() {
    for entry in ["uncertainty: 2 um, k: 21.3", "uncertainty: 4 %, k: 0.213"] {
        let (found, findings) = gauge(entry);
        let [finding] = findings.as_slice() else { panic!("{entry}: {findings:#?}") };
        assert_eq!(finding.code, GaugeImplausible, "{entry}");
        let found = found.unwrap();
        assert!(found.implausible && found.uncertainty.is_none(), "{entry}");
        let (found, findings) = gauge(&format!("{entry}, confirmed: invented"));
        assert_eq!(findings, [], "{entry}");
        assert!(found.unwrap().uncertainty.is_some(), "{entry}");
    }
}
