//! What gauges state about each other: which pairs, which mistakes, and what cannot be.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test may stop at the first surprise")]

use super::super::{Gauges, Readings, bind_with, gauges};
use super::Correlations;
use crate::book::Book;
use crate::finding::Code::{self, *};
use crate::finding::Finding;
use crate::quantity::Number;
use crate::record;
use crate::text::Source;

fn book() -> Book {
    let text = "rulebook \"Pump\" edition 2026-03-01
unit mm = 0.001 m
unit um = 0.001 mm
part pump {
    gap : mm
    width : mm
    depth : mm
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

fn listed(text: &str) -> (Gauges, Vec<Finding>) {
    let source = Source::new("gauges.yaml", text);
    let (sheet, findings) = record::read(&source);
    assert_eq!(findings, [], "{text}");
    gauges(&book(), &sheet.unwrap(), &source)
}

/// A record of three readings by `a`, `b` and `c`.
fn bound(shop: &Gauges, head: &str) -> (Readings, Vec<Finding>) {
    let text = format!(
        "finished: 2026-05-01\ngeneration: small\n{head}gap: {{ value: 0.1 mm, gauge: a }}\nwidth: {{ value: 9 mm, gauge: b }}\ndepth: {{ value: 8 mm, gauge: c }}\n"
    );
    let source = Source::new("r.yaml", text);
    let (sheet, findings) = record::read(&source);
    assert_eq!(findings, []);
    bind_with(&book(), &sheet.unwrap(), &source, shop)
}

fn tenths(number: i64) -> Number {
    Number::ratio(number, 10).unwrap()
}

fn said(findings: &[Finding]) -> Vec<(Code, &str)> {
    findings.iter().map(|finding| (finding.code, finding.place.as_ref().unwrap().0.text())).collect()
}

#[test]
fn a_coefficient_holds_for_both_whichever_states_it() {
    for text in [
        "a: { uncertainty: 2 um, correlated: { b: 0.6 } }\nb: { uncertainty: 2 um }\nc: { uncertainty: 2 um }\n",
        "a: { uncertainty: 2 um }\nb: { uncertainty: 2 um, correlated: { a: 0.6 } }\nc: { uncertainty: 2 um }\n",
        "a: { uncertainty: 2 um, correlated: { b: 0.6 } }\nb: { uncertainty: 2 um, correlated: { a: 0.60 } }\nc: { uncertainty: 2 um, correlated: { b: 0 } }\n",
    ] {
        let (shop, findings) = listed(text);
        assert_eq!(findings, [], "{text}");
        let (readings, findings) = bound(&shop, "");
        assert_eq!(findings, [], "{text}");
        assert_eq!(readings.correlations(), Correlations { pairs: vec![(0, 1, tenths(6))], possible: true }, "{text}");
    }
}

#[test]
fn what_cannot_be_is_said_where_it_stands_and_the_uncertainty_does_not_count() {
    for (a, b, c, expected) in [
        ("b: 1.1", "", "", (NumberUnreadable, "1.1")),
        ("b: -1.01", "", "", (NumberUnreadable, "-1.01")),
        ("b: much", "", "", (NumberUnreadable, "much")),
        ("b: 60 %", "", "", (NumberUnreadable, "60 %")),
        ("a: 0.5", "", "", (ShapeWrong, "a")),
        ("b: 0.6", "a: 0.5", "", (GaugeCorrelation, "0.5")),
        ("b: 0.6", "a: -0.6", "", (GaugeCorrelation, "-0.6")),
        // 1 + 2·0.9·0.9·0 − 0.81 − 0.81 is below zero.
        ("b: 0.9", "c: 0.9", "", (GaugeCorrelation, "0.9")),
        ("b: 0.9", "c: 0.9", "a: -0.9", (GaugeCorrelation, "0.9")),
    ] {
        let one = |name: &str, says: &str| {
            let says = if says.is_empty() { String::new() } else { format!(", correlated: {{ {says} }}") };
            format!("{name}: {{ uncertainty: 2 um{says} }}\n")
        };
        let list = [one("a", a), one("b", b), one("c", c)].concat();
        let (shop, findings) = listed(&list);
        assert_eq!(said(&findings), [expected], "{list}");
        assert!(findings.iter().all(|finding| finding.help.is_some()), "{list}");
        assert!(bound(&shop, "").0.gauges.iter().any(|gauge| gauge.uncertainty.is_none()), "{list}");
        // The same where the record lists them itself.
        let own: String = list.lines().map(|line| format!("  {line}\n")).collect();
        let (readings, findings) = bound(&Gauges::default(), &format!("gauges:\n{own}"));
        assert_eq!(said(&findings), [expected], "{own}");
        assert!(readings.gauges.iter().any(|gauge| gauge.uncertainty.is_none()), "{own}");
    }
    let list = "a: { uncertainty: 2 um, correlated: 0.6 }\nb: { uncertainty: 2 um }\n";
    assert_eq!(said(&listed(list).1), [(ShapeWrong, "0.6")]);
    let list = "a: { resolution: 2 um, correlated: { b: 0.6 } }\nb: { uncertainty: 2 um }\n";
    assert_eq!(said(&listed(list).1), [(ShapeWrong, "correlated")]);
    // What is just possible is: 0.6 and 0.8 at a right angle.
    let list = "a: { uncertainty: 2 um, correlated: { b: 0.6, c: 0.8 } }\nb: { uncertainty: 2 um }\nc: { uncertainty: 2 um }\n";
    assert_eq!(listed(list).1, []);
}

#[test]
fn a_gauge_that_nobody_lists_is_said() {
    let (_, findings) =
        listed("mic-1: { uncertainty: 2 um, correlated: { mic-3: 0.6 } }\nmic-2: { uncertainty: 2 um }\n");
    assert_eq!(said(&findings), [(GaugeUnknown, "0.6")]);
    let (shop, _) = listed("b: { uncertainty: 2 um }\nc: { uncertainty: 2 um }\n");
    let own = "gauges:\n  a: { uncertainty: 2 um, correlated: { b: 0.6, d: 0.1 } }\n";
    let (readings, findings) = bound(&shop, own);
    assert_eq!(said(&findings), [(GaugeUnknown, "0.1")]);
    assert_eq!(readings.correlations().pairs, [(0, 1, tenths(6))], "a record's own gauge with one of the shop's");
}

#[test]
fn each_calibration_states_its_own() {
    let list = "a:
  - { uncertainty: 2 um, calibrated: 2025-01-12, correlated: { b: 0.6 } }
  - { uncertainty: 2 um, calibrated: 2027-01-12, correlated: { b: 0.7 } }
b:
  - { uncertainty: 2 um, calibrated: 2025-01-12, correlated: { a: 0.6 } }
  - { uncertainty: 2 um, calibrated: 2027-01-12 }
c: { uncertainty: 2 um }
";
    let (shop, findings) = listed(list);
    assert_eq!(findings, []);
    assert_eq!(bound(&shop, "").0.correlations().pairs, [(0, 1, tenths(6))]);
    // On the day after, the earlier of one stands beside the later of the other.
    let (_, findings) = listed(&list.replace(
        "b:\n  - { uncertainty: 2 um, calibrated: 2025-01-12",
        "b:\n  - { uncertainty: 2 um, calibrated: 2025-01-13",
    ));
    assert_eq!(findings, []);
    let (_, findings) = listed(&list.replace("calibrated: 2027-01-12 }", "calibrated: 2028-01-12 }"));
    assert_eq!(said(&findings), [(GaugeCorrelation, "0.6")]);
}
