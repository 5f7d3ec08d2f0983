//! Printed pairs as workshop texts print them: honest ones pass, and the three kinds of misprint are caught.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "a test may stop at the first surprise"
)]

use crate::book::compile;
use crate::finding::{Code, Finding, Severity};
use crate::syntax::parse;
use crate::text::Source;

fn said(row: &str) -> Vec<Finding> {
    let book = format!(
        "rulebook \"t\" edition 2026-03-01\nunit mm = 0.001 m\nunit in = 25.4 mm\nunit N = 1 kg*m/s2\nunit kPa = 1000 kg/m/s2\n\
         unit psi = 0.45359237 * 9.80665 * 1 N / (1 in * 1 in)\nunit degC = 1 K zero at 273.15 K\n\
         unit degF = 5/9 * 1 K zero at 459.67 * 5/9 * 1 K\n\
         constant bore : mm\nchoice making = cast, machined\n\
         part pump {{ gap : mm  pressure : kPa  heat : degC  making : making }}\n\
         generation g \"g\" {{ constant bore = 2 mm\n pump.{row} }}"
    );
    let (tree, findings) = parse(&Source::new("t.rulebook", book));
    assert!(findings.is_empty(), "{findings:?}");
    compile(&[tree]).1
}

fn codes(row: &str) -> Vec<Code> {
    said(row).iter().map(|finding| finding.code).collect()
}

/// The text a finding underlines and the text it points back to.
fn places(finding: &Finding) -> (String, String) {
    (finding.place.as_ref().unwrap().0.text().into(), finding.because[0].0.text().into())
}

/// Pairs of "Engine Workshop Manual (Multi Side Port)", form 1773-1U-03C, revision 6/2008, section 01-50, and of the
/// service manual of the same engine, which round limits inward; compression as "Compression Inspection", 2004, prints it.
#[test]
fn honest_pairs_pass() {
    for row in [
        "gap standard 0.12 to 0.18 mm also 0.0048 to 0.0070 in limit at least 0.10 mm also at least 0.0039 in",
        "gap standard 0.05 to 0.19 mm also 0.0020 to 0.0074 in limit at least 0.05 mm also at least 0.002 in",
        "gap limit at most 0.04 mm also at most 0.0016 in",
        "gap limit 0.042 to 0.077 mm also 0.0017 to 0.0030 in",
        "gap limit at least 4.3 mm also at least 0.17 in",
        "gap limit at least 3.5 mm also at least 0.138 in",
        "gap limit at least 3.8 mm also at least 0.15 in",
        "gap limit below 2.5 mm also below 0.098 in",
        "pressure standard at least 830 kPa also at least 120 psi limit at least 680 kPa also at least 98.6 psi",
        "gap limit 0.065 mm ± 0.005 mm also 0.0026 in ± 0.0002 in",
        "gap limit 2 mm +0.1 -0 also 0.079 in +0.004 -0",
        "heat limit 60 to 70 degC also 140 to 158 degF",
        "heat limit 60 degC ± 5 K also 140 degF ± 5 K",
    ] {
        let said = said(row);
        assert!(said.is_empty(), "{row}: {said:?}");
    }
}

/// The rows of the main bearing in the 2008 workshop manual: millimetres and inches of the two rows are crossed.
#[test]
fn crossed_pairs_are_caught_at_both_ends() {
    let found = said("gap limit 0.045 to 0.085 mm also 0.0022 to 0.0029 in");
    assert_eq!(found.len(), 2, "{found:?}");
    assert!(found.iter().all(|finding| finding.code == Code::PrintedPair && finding.severity == Severity::Warning));
    assert_eq!(places(&found[0]), ("0.0022".into(), "0.045".into()));
    assert_eq!(places(&found[1]), ("0.0029 in".into(), "0.085 mm".into()));
    assert_eq!(found[0].message, "0.045 mm and 0.0022 in are printed as the same, and are not");
    let help = found[0].help.as_ref().unwrap();
    // 0.045 mm is 0.00177 in, and 0.0022 in is 0.05588 mm.
    assert!(help.contains("0.045 mm would print as 0.0018 in, and 0.0022 in as 0.056 mm"), "{help}");
    assert_eq!(codes("gap limit 0.055 to 0.075 mm also 0.0018 to 0.0033 in"), [Code::PrintedPair; 2]);
    // Uncrossed, as the arithmetic has them.
    assert!(codes("gap limit 0.045 to 0.085 mm also 0.0018 to 0.0033 in").is_empty());
    assert!(codes("gap limit 0.055 to 0.075 mm also 0.0022 to 0.0030 in").is_empty());
}

/// The same manual calls the least side clearance a maximum in its table.
#[test]
fn a_maximum_for_a_minimum_is_caught() {
    let found = said("gap limit at least 0.05 mm also at most 0.002 in");
    assert_eq!(found.len(), 1, "{found:?}");
    assert_eq!(found[0].code, Code::PrintedPair);
    assert_eq!(places(&found[0]), ("at most 0.002 in".into(), "at least 0.05 mm".into()));
    assert!(found[0].message.contains("has a minimum"), "{}", found[0].message);
    assert_eq!(codes("gap limit at most 0.05 mm also 0.001 to 0.002 in"), [Code::PrintedPair]);
    assert_eq!(codes("gap limit at least 0.05 mm also above 0.002 in"), [Code::PrintedPair]);
}

/// The same manual prints the least height of the apex spring, 3.5 mm, as 0.148 in.
#[test]
fn a_wrong_digit_is_caught() {
    let found = said("gap limit at least 3.5 mm also at least 0.148 in");
    assert_eq!(found.len(), 1, "{found:?}");
    assert!(found[0].help.as_ref().unwrap().contains("3.5 mm would print as 0.138 in, and 0.148 in as 3.8 mm"));
    assert_eq!(codes("gap limit 0.065 mm ± 0.005 mm also 0.0036 in ± 0.0002 in"), [Code::PrintedPair; 2]);
    assert_eq!(codes("pressure limit at least 680 kPa also at least 96.8 psi"), [Code::PrintedPair]);
}

#[test]
fn zeros_at_the_end_are_digits() {
    // 0.0070 in is 0.1778 mm, less than 0.0001 in off 0.18 mm; 0.007 in need only be within 0.001 in.
    assert!(codes("gap limit at most 0.180 mm also at most 0.0070 in").is_empty());
    assert_eq!(codes("gap limit at most 0.185 mm also at most 0.0070 in"), [Code::PrintedPair]);
    assert!(codes("gap limit at most 0.185 mm also at most 0.007 in").is_empty());
}

#[test]
fn a_pair_is_of_plain_numbers_of_one_dimension() {
    assert_eq!(codes("gap limit at most bore also at most 0.08 in"), [Code::KindMismatch]);
    assert_eq!(codes("gap limit at most 2 mm also at most bore"), [Code::KindMismatch]);
    assert_eq!(codes("making limit cast also cast"), [Code::KindMismatch]);
    assert_eq!(codes("gap limit at most 2 mm also at most 0.29 psi"), [Code::DimensionMismatch]);
    assert_eq!(codes("gap limit at most 2 mm also at most 0.08"), [Code::DimensionMismatch]);
}
