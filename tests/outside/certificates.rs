//! Uncertainties as certificates give them, against the examples of JCGM 100:2008 (`data/uncertainty.yaml` says which are
//! quoted from memory): the certificate's own factor or coverage, a share of the reading, a width that grows with it.

use super::check_values::{Item, items};
use super::weighing::{float, near, number, only, readings, shop};
use trochoid::judge::uncertainty::Budget;

fn item(name: &str) -> Item {
    items(include_str!("data/uncertainty.yaml")).into_iter().find(|item| item.item == name).unwrap()
}

/// One length of so many millimetres by one gauge: its budget.
fn measured(gauge: &str, length: &str) -> Budget {
    let shop = shop(
        "rulebook \"One\" edition 2026-03-01
unit mm = 0.001 m
unit um = 0.001 mm
part block {
    width : mm
}
generation g \"one\" {
    block.width limit at most 1000 mm
}
",
    );
    let record = format!("generation: g\ngauges:\n  one: {{ {gauge} }}\nwidth: {{ value: {length} mm, gauge: one }}\n");
    only(&shop, &readings(&shop, &record)).1
}

/// The standard uncertainty, in micrometres.
fn standard(gauge: &str, length: &str) -> f64 {
    float(&measured(gauge, length).uncertainty.standard()) * 1e6
}

/// 4.3.3, 4.3.4: three standard deviations, and 99 %.
#[test]
fn a_certificate_is_copied_as_it_stands() {
    let three = item("gum-433-certificate");
    let (width, k) = (three.text("inputs", "stated").unwrap(), three.text("inputs", "k").unwrap());
    let u = three.number("expected", "u").to_f64();
    near(standard(&format!("uncertainty: {width} um, k: {k}"), "100"), u, 1e-9, "240 at three standard deviations");
    let most = item("gum-434-certificate-99");
    let width = most.text("inputs", "U").unwrap();
    let u = most.number("expected", "u").to_f64();
    // The clause takes 2.58 where the quantile is 2.5758.
    near(standard(&format!("uncertainty: {width} um, coverage: 99 %"), "100"), u, 0.1, "129 at 99 %");
    near(standard(&format!("uncertainty: {width} um, k: 2.58"), "100"), u, 1e-9, "129 at 2.58");
}

/// H.1.3.1, H.1.3.2: an end gauge's certificate and a comparator's, the random part from six repeats.
#[test]
fn the_certificates_of_the_end_gauge_example_give_what_is_printed() {
    let end = item("gum-h131-end-gauge-certificate");
    let (width, k) = (end.text("inputs", "U_um").unwrap(), end.text("inputs", "k").unwrap());
    let budget = measured(&format!("uncertainty: {width} um, k: {k}, degrees_of_freedom: 18"), "50");
    near(float(&budget.uncertainty.standard()) * 1e6, end.number("expected", "u_um").to_f64(), 1e-12, "the standard");
    assert_eq!(budget.uncertainty.degrees_of_freedom, Some(number("18")));
    for name in ["gum-h132-comparator-random", "gum-h132-comparator-systematic"] {
        let item = item(name);
        let width = item.text("inputs", "U_um").unwrap();
        let says = match item.text("inputs", "k") {
            Some(k) => format!("k: {k}"),
            None => {
                let nu = item.text("inputs", "nu").unwrap();
                format!("coverage: {}, degrees_of_freedom: {nu}", item.text("inputs", "coverage").unwrap())
            }
        };
        let found = standard(&format!("uncertainty: {width} um, {says}"), "50") * 1e3;
        near(found, item.number("expected", "u_nm").to_f64(), 1e-4, name);
        near(found, item.number("expected", "printed").to_f64(), 0.05, name);
    }
}

/// Tables G.1 and G.2: the factor for a coverage probability. An uncertainty of k micrometres is then 1 µm.
#[test]
fn a_coverage_probability_has_the_factor_of_the_tables() {
    let normal = item("gum-g13-normal-factors");
    for (percent, k) in normal.numbers("inputs", "percent").iter().zip(normal.numbers("expected", "k")) {
        let gauge = format!("uncertainty: {} um, coverage: {} %", k.to_decimal(3), percent.to_text(4));
        near(standard(&gauge, "50"), 1.0, 5e-4, &gauge);
    }
    let student = item("gum-tg2-student-95");
    for (nu, k) in student.numbers("inputs", "nu").iter().zip(student.numbers("expected", "k")) {
        let nu = nu.to_text(0);
        let gauge = format!("uncertainty: {} um, coverage: 95 %, degrees_of_freedom: {nu}", k.to_decimal(2));
        near(standard(&gauge, "50") * k.to_f64(), k.to_f64(), 5e-3 * k.to_f64(), &gauge);
    }
}

/// 4.3.7, Example 2: so much of the reading and so much of the range, anywhere within. Lengths here: the law is the same.
#[test]
fn a_share_of_the_reading_counts_at_the_reading() {
    let volt = item("gum-437-voltmeter");
    let reading = volt.number("inputs", "reading").to_f64() * 1000.0;
    let k = volt.text("inputs", "factor").unwrap();
    let gauge = format!("uncertainty: 2 um + 14 um/m, k: {k}");
    let found = standard(&gauge, &format!("{reading:.3}"));
    near(found, volt.number("expected", "u_uV").to_f64(), 1e-6, "u");
    near(found, volt.number("expected", "printed").to_f64(), 0.05, "u as printed");
    // The same as parts of a million, and as per cent.
    near(standard(&format!("uncertainty: 2 um + 0.0014 %, k: {k}"), &format!("{reading:.3}")), found, 1e-12, "in %");
    // 4 % of 50 is 2, of 100 it is 4: half of that with k = 2.
    near(standard("uncertainty: 4 %", "50"), 1000.0, 1e-9, "4 % of 50 mm");
    near(standard("uncertainty: 4 %", "100"), 2000.0, 1e-9, "4 % of 100 mm");
}

/// A + L/K as certificates of length gauges print it.
#[test]
fn a_width_that_grows_with_the_length_is_a_plus_l_over_k() {
    let item = item("length-gauge-a-plus-l-over-k");
    let (a, k) = (item.text("inputs", "A_um").unwrap(), item.text("inputs", "K").unwrap());
    for (length, expected) in item.numbers("inputs", "L_mm").iter().zip(item.numbers("expected", "U_um")) {
        let length = length.to_text(3);
        let found = standard(&format!("uncertainty: \"({a} + L/{k}) um, L in mm\""), &length) * 2.0;
        near(found, expected.to_f64(), 1e-9, &length);
    }
}

/// What two readings by one torque wrench share is a share of each: it cancels in a ratio, and not in a difference.
#[test]
fn a_common_share_cancels_in_a_ratio() {
    let budget = |value: &str| {
        let shop = shop(&format!(
            "rulebook \"Two\" edition 2026-03-01
unit mm = 0.001 m
part block {{
    one : mm
    other : mm
    derive {value}
}}
generation g \"two\" {{
    block.made limit at most 1000 {}
}}
",
            if value.contains('/') { "" } else { "mm" }
        ));
        let record = "generation: g
gauges:
  one: { uncertainty: 4 % }
one: { value: 60 mm, gauge: one }
other: { value: 40 mm, gauge: one }
";
        float(&only(&shop, &readings(&shop, record)).1.uncertainty.standard())
    };
    near(budget("made : number = one / other"), 0.0, 1e-15, "a ratio");
    near(budget("made : mm = one - other"), 0.02 * 0.020, 1e-15, "2 % of the difference");
    near(budget("made : mm = one + other"), 0.02 * 0.100, 1e-15, "2 % of the sum");
}

/// 4.3.7, Example 2, and H.1.3.1 beside the reading itself: the same as from a gauge, but each reading has an error of its own.
#[test]
fn a_reading_may_say_a_certificate_itself() {
    let shop = shop(
        "rulebook \"Two\" edition 2026-03-01
unit mm = 0.001 m
unit um = 0.001 mm
part block {
    one : mm
    other : mm
    derive apart : mm = one - other
}
generation g \"two\" {
    block.apart limit at most 1000 mm
}
",
    );
    let standard = |says: &str, (one, other): (&str, &str)| {
        let record =
            format!("generation: g\none: {{ value: {one} mm, {says} }}\nother: {{ value: {other} mm, {says} }}\n");
        float(&only(&shop, &readings(&shop, &record)).1.uncertainty.standard()) * 1e6
    };
    let end = item("gum-h131-end-gauge-certificate");
    let (width, k) = (end.text("inputs", "U_um").unwrap(), end.text("inputs", "k").unwrap());
    let u = end.number("expected", "u_um").to_f64();
    let found = standard(&format!("uncertainty: {width} um, k: {k}, degrees_of_freedom: 18"), ("50", "50"));
    near(found, 2_f64.sqrt() * u, 1e-12, "two by certificates of their own");
    let volt = item("gum-437-voltmeter");
    let k = volt.text("inputs", "factor").unwrap();
    let metres = volt.number("inputs", "reading").to_f64() * 1000.0;
    let found = standard(&format!("uncertainty: 2 um + 14 um/m, k: {k}"), (&format!("{metres:.3}"), "0"));
    // The other is read at nothing, where 2 µm are left of it.
    let other = 2.0 / k.parse::<f64>().unwrap();
    near(found.powi(2) - other.powi(2), volt.number("expected", "u_uV").to_f64().powi(2), 1e-4, "the voltmeter");
}
