//! What readings say of their own uncertainty: what each form comes to, and what is wrong with others.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "a test may stop at the first surprise"
)]

use super::super::{Readings, bind};
use crate::book::Book;
use crate::finding::Code::{self, *};
use crate::finding::Finding;
use crate::quantity::{Number, Value};
use crate::record;
use crate::text::Source;

fn book() -> Book {
    let text = "rulebook \"Pump\" edition 2026-03-01
unit mm = 0.001 m
unit um = 0.001 mm
unit \"um/m\" = 0.000001
unit degC = 1 K zero at 273.15 K
unit N = 1 kg * 1 m / (1 s * 1 s)
unit J = 1 N * 1 m
unit \"N*m\" = 1 J/rad
plausible gauges mm : 0.5 um to 0.2 mm { from common practice }
part pump {
    width : mm, 1 reading or more
    torque : N*m
    flow : number
    oil : degC
    sealed : yes/no
}
generation small \"an invented pump\" {
    each of pump.width limit at most 1000 mm
}
";
    let source = Source::new("pump.rulebook", text);
    let (tree, _) = crate::syntax::parse(&source);
    let (book, findings) = crate::book::compile(&[tree]);
    assert!(findings.iter().all(|finding| !finding.is_error()), "{findings:#?}");
    book
}

fn bound(book: &Book, line: &str) -> (Readings, Vec<Finding>) {
    let source = Source::new("r.yaml", format!("generation: small\n{line}\n"));
    let (sheet, findings) = record::read(&source);
    assert_eq!(findings, [], "{line}");
    bind(book, &sheet.unwrap(), &source)
}

/// The standard uncertainty of every reading, squared; `None` of those that say none.
fn variances(line: &str) -> Vec<Option<Value>> {
    let book = book();
    let (readings, findings) = bound(&book, line);
    assert_eq!(findings, [], "{line}");
    let variance = |reading: &super::super::Reading| {
        let crate::book::Datum::Quantity(value) = &reading.datum else { panic!("{line}") };
        Some(reading.detail.as_ref()?.uncertainty.as_ref()?.variance_at(value))
    };
    readings.all().map(variance).collect()
}

/// So many parts of a power of ten, squared.
fn squared(numerator: i64, denominator: i64) -> Option<Value> {
    Some(Value::from(Number::ratio(numerator, denominator).unwrap()).squared())
}

#[test]
fn a_readings_own_uncertainty_has_the_forms_of_a_certificate() {
    for (line, expected) in [
        ("width: { value: 100 mm, uncertainty: 2 um }", squared(1, 1_000_000)),
        ("width: { value: 100 mm, uncertainty: 3 um, k: 3 }", squared(1, 1_000_000)),
        // 2 µm and 3 µm for each metre are 2.3 µm at 100 mm.
        ("width: { value: 100 mm, uncertainty: 2 um + 3 um/m }", squared(115, 100_000_000)),
        ("width: { value: 90 mm, uncertainty: \"(2 + L/300) um, L in mm\", k: 2.3 }", squared(1, 1_000_000)),
        ("torque: { value: 50 N*m, uncertainty: 4 % }", squared(1, 1)),
        ("torque: { value: -50 N*m, uncertainty: 4 % of the reading }", squared(1, 1)),
        ("torque: { value: 50 N*m, uncertainty: 0.5 N*m + 1 %, k: 2 }", squared(1, 2)),
        ("flow: { value: 8, uncertainty: 0.1 + 5 % }", squared(1, 4)),
        ("flow: { value: 8, uncertainty: 0.5 }", squared(1, 4)),
        ("oil: { value: 80 degC, uncertainty: 0.5 degC, k: 2.5 }", squared(1, 5)),
    ] {
        assert_eq!(variances(line), [expected], "{line}");
    }
    let [Some(by_coverage)] =
        &variances("width: { value: 100 mm, uncertainty: 2.570581 um, coverage: 95 %, degrees_of_freedom: 5 }")[..]
    else {
        panic!()
    };
    let standard = by_coverage.midpoint().to_f64().sqrt();
    // Student's t for 95 % and 5 degrees of freedom is 2.570582 (any table), cut off at six places.
    assert!((standard - 1e-6).abs() < 1e-12, "{standard}");
}

#[test]
fn a_factor_goes_with_the_uncertainty_it_is_written_beside() {
    let list = "width: { value: [100 mm, { value: 101 mm, uncertainty: 2 um }, { value: 102 mm, k: 6 }], uncertainty: 6 um, k: 3 }";
    assert_eq!(variances(list), [squared(2, 1_000_000), squared(1, 1_000_000), squared(1, 1_000_000)]);
}

#[test]
fn what_is_no_uncertainty_of_a_reading_is_said_where_it_stands() {
    for (line, code, underlined) in [
        ("width: { value: 100 mm, uncertainty: four % }", NumberUnreadable, "four %"),
        ("width: { value: 100 mm, uncertainty: 0 % }", NumberUnreadable, "0 %"),
        ("width: { value: 100 mm, uncertainty: 100 % }", NumberUnreadable, "100 %"),
        ("width: { value: 100 mm, uncertainty: 2 + 1 % }", UnitMissing, "2 + 1 %"),
        ("width: { value: 100 mm, uncertainty: 2 um + L/300 }", UnitMissing, "2 um + L/300"),
        ("width: { value: 100 mm, uncertainty: 2 % of range }", ShapeWrong, "2 % of range"),
        ("width: { value: 100 mm, uncertainty: 2 N*m + 1 % }", DimensionWrong, "2 N*m + 1 %"),
        ("width: { value: 100 mm, uncertainty: 2 N*m }", DimensionWrong, "N*m"),
        ("torque: { value: 9 N*m, uncertainty: 2 um + 1 N*m + 1 % }", GaugeDimension, "2 um + 1 N*m + 1 %"),
        ("oil: { value: 80 degC, uncertainty: 4 % }", ShapeWrong, "4 %"),
        ("sealed: { value: yes, uncertainty: 4 % }", ShapeWrong, "4 %"),
        ("width: { value: 100 mm, uncertainty: 2 um, k: 0 }", NumberUnreadable, "0"),
        ("width: { value: 100 mm, uncertainty: 2 um, coverage: 95 }", NumberUnreadable, "95"),
        ("width: { value: 100 mm, k: 2.13 }", ShapeWrong, "2.13"),
        ("width: { value: [100 mm, 101 mm], coverage: 95 % }", ShapeWrong, "95 %"),
        ("width: { value: 100 mm, degrees_of_freedom: 5 }", ShapeWrong, "5"),
        ("width: { value: [100 mm, 101 mm], uncertainty: 2 um, k: 21.3 }", GaugeImplausible, "21.3"),
        ("width: { value: 100 mm, uncertainty: 4 % }", GaugeImplausible, "4 %"),
    ] {
        let book = book();
        let (readings, findings) = bound(&book, line);
        let [finding] = findings.as_slice() else { panic!("{line}: {findings:#?}") };
        let wanted: (Code, &str) = (code, underlined);
        assert_eq!((finding.code, finding.place.as_ref().unwrap().0.text()), wanted, "{line}");
        assert!(finding.help.is_some(), "{line}");
        let known =
            |reading: &super::super::Reading| reading.detail.as_ref().is_some_and(|it| it.uncertainty.is_some());
        assert!(!readings.all().any(known), "{line}");
    }
}

#[test]
fn whoever_confirms_a_value_confirms_its_uncertainty() {
    for says in ["uncertainty: 2 um, k: 21.3", "uncertainty: 4 %"] {
        let found = variances(&format!("width: {{ value: 100 mm, {says}, confirmed: invented }}"));
        assert!(found[0].is_some(), "{says}");
    }
}
