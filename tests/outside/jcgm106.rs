//! The probability that a true value is inside, against the examples of JCGM 106:2012 (quoted from memory there where
//! `data/decision-rules.yaml` says so), as a rulebook and a record make it.
//!
//! The ball bearing and the resistor of clause 9 need the spread of a whole process: see `risk.rs`.

use super::check_values::{Item, items};
use super::weighing::{checked, near, number, shop, told};
use trochoid::finding::Code;
use trochoid::judge::uncertainty::Zone;
use trochoid::judge::{Grade, TierWeighed};
use trochoid::quantity::Number;
use trochoid::shop::Shop;
use trochoid::statistics::distribution::{normal_cdf, normal_quantile};

fn all(name: &str) -> Vec<Item> {
    let all: Vec<Item> =
        items(include_str!("data/decision-rules.yaml")).into_iter().filter(|item| item.item == name).collect();
    assert!(!all.is_empty(), "{name}");
    all
}

/// One quantity and its limit.
fn judged_by(limit: &str, house: &str) -> Shop {
    shop(&format!(
        "rulebook \"Probability\" edition 2026-03-01
unit mm = 0.001 m
unit kPa = 1000 kg/m/s2
unit cSt = 0.000001 m2/s
unit \"km/h\" = 1000 m / (3600 s)
part thing {{
    size : mm, optional, may be negative
    pressure : kPa, optional
    viscosity : cSt, optional
    speed : km/h, optional
}}
generation g \"probability\" {{
    thing.{limit}
}}
{house}
"
    ))
}

/// The probability told of one reading.
fn probability(limit: &str, reading: &str) -> f64 {
    let told = told(&judged_by(limit, ""), &format!("generation: g\n{reading}\n"));
    told.uncertainty.unwrap().limit.unwrap().probability.parse().unwrap()
}

/// Four places are told.
const TOLD: f64 = 0.000_05;

#[test]
fn one_limit() {
    // A Zener diode, −5.47 V of at most −5.40 V, with 0.05 V; millimetres here, since the tool knows no volt.
    let zener = &all("jcgm106-zener")[0];
    let found = probability("size limit at most -5.40 mm", "size: { value: -5.47 mm, uncertainty: 0.10 mm }");
    near(found, zener.number("expected", "p_c").to_f64(), TOLD, "the diode");
    near(found, zener.number("expected", "printed_p_c").to_f64(), 0.005, "the diode as printed");
    near(normal_cdf(1.4), zener.number("expected", "p_c").to_f64(), 1e-9, "all places of the diode");
    // A metal container that has to hold 490 kPa and burst at 509.7 kPa, with 8.6 kPa.
    let container = &all("jcgm106-container")[0];
    let found = probability("pressure limit at least 490 kPa", "pressure: { value: 509.7 kPa, uncertainty: 17.2 kPa }");
    near(found, container.number("expected", "p_c").to_f64(), TOLD, "the container");
    near(found, container.number("expected", "printed_p_c").to_f64(), 0.005, "the container as printed");
}

#[test]
fn two_limits() {
    // The viscosity of an oil, 13.6 mm²/s of 12.5 to 16.3, with 1.8.
    let oil = &all("jcgm106-oil")[0];
    let reading = "viscosity: { value: 13.6 cSt, uncertainty: 3.6 cSt }";
    let found = probability("viscosity limit 12.5 to 16.3 cSt", reading);
    near(found, oil.number("expected", "p_c").to_f64(), TOLD, "the oil");
    near(found, oil.number("expected", "printed_p_c").to_f64(), 0.005, "the oil as printed");
    // Its measurement capability index, the width over 4 u, is what the program wants to be 4 or more.
    near(oil.number("expected", "Cm").to_f64(), 3.8 / 7.2, 1e-9, "the capability index");
    let checked = checked(&judged_by("viscosity limit 12.5 to 16.3 cSt", ""), &format!("generation: g\n{reading}\n"));
    let coarse = checked.findings.iter().find(|finding| finding.code == Code::GaugeCoarse).unwrap();
    assert!(coarse.message.contains("0.5 : 1"), "{}", coarse.message);
}

#[test]
fn table_1_by_its_own_distances() {
    let rows = all("jcgm106-table1-z");
    assert_eq!(rows.len(), 3);
    for row in rows {
        let wanted = row.number("inputs", "conformance_probability").to_f64();
        let z = row.number("expected", "z");
        near(normal_quantile(wanted).unwrap(), z.to_f64(), 1e-9, "z");
        near(z.to_f64(), row.number("expected", "printed").to_f64(), 0.006, "z as printed");
        // With u = 1 µm, z µm inside either limit.
        for (limit, value) in [
            ("size limit at most 10 mm", number("10") - &z * &number("0.001")),
            ("size limit at least 10 mm", number("10") + &z * &number("0.001")),
        ] {
            let reading = format!("size: {{ value: {} mm, uncertainty: 0.002 mm }}", value.to_text(20));
            near(probability(limit, &reading), wanted, 1e-9, limit);
        }
    }
}

/// 8.3.3: a driver is fined only where the speed is over 100 km/h with a probability of 0.999; the radar has 2 % of the
/// speed. Guarded by z(0.999)/2 times U that is a guard band here, and the speed acted on is as printed.
#[test]
fn a_guarded_rejection_acts_where_printed() {
    let radar = &all("jcgm106-radar-guarded-rejection")[0];
    let factor = normal_quantile(radar.number("inputs", "p").to_f64()).unwrap() / 2.0;
    let acted_on = radar.number("expected", "limit_acted_on").to_f64();
    near(100.0 / (1.0 - factor * 0.04), acted_on, 1e-6, "the speed acted on");
    near(acted_on, radar.number("expected", "printed").to_f64(), 0.5, "as printed");
    let house = format!("house \"Radar\" {{\n    judge by guard band {factor:.12}\n}}\n");
    let shop = judged_by("speed limit at most 100 km/h", &house);
    let grade = |speed: f64| {
        let record =
            format!("generation: g\nspeed: {{ value: {speed:.9} km/h, uncertainty: {:.9} km/h }}\n", speed * 0.04);
        let told = told(&shop, &record);
        let limit = told.uncertainty.unwrap().limit.unwrap();
        (told.grade, limit.zone, limit.probability)
    };
    assert_eq!(grade(acted_on + 1e-6), (Grade::Out, Zone::Fail, "0.0010".to_string()));
    assert_eq!(grade(acted_on - 1e-6), (Grade::Unsettled, Zone::ConditionalFail, "0.0010".to_string()));
    assert_eq!(grade(100.0), (Grade::Unsettled, Zone::ConditionalPass, "0.5000".to_string()));
}

/// A limit and one reading by a gauge with u = 1 µm and so many degrees of freedom, so many standard uncertainties inside.
fn by_student(freedom: &str, t: &Number, rule: &str) -> TierWeighed {
    let value = number("10") - t * &number("0.001");
    let record = format!(
        "generation: g\ngauges:\n  mic: {{ uncertainty: 0.002 mm, degrees_of_freedom: {freedom} }}\n\
         size: {{ value: {} mm, gauge: mic }}\n",
        value.to_text(20)
    );
    let house = format!("house \"Few\" {{\n    judge by {rule}\n}}\n");
    told(&judged_by("size limit at most 10 mm", &house), &record).uncertainty.unwrap().limit.unwrap()
}

/// NIST TN 1297, Table B.1, which is JCGM 100:2008, Table G.2, recomputed to eight digits: a value inside by t for a
/// probability on both sides is inside a limit with that and half of what is left.
#[test]
fn few_degrees_of_freedom_are_those_of_students_t() {
    let columns = [("90", 0.95), ("95", 0.975), ("95.45", 0.977_249_868), ("99", 0.995)];
    let mut held = 0;
    let table = items(include_str!("data/degrees-of-freedom.yaml"));
    for item in table.into_iter().filter(|item| item.item == "tn1297-table-b1") {
        let nu = item.text("inputs", "nu").unwrap();
        // Of six columns the first and the last are not 0.9999 at most, or are those of one deviation.
        for ((column, expected), t) in columns.iter().zip(&item.numbers("expected", "t")[1..5]) {
            let found: f64 = by_student(&nu, t, "guard band").probability.parse().unwrap();
            near(found, *expected, TOLD, &format!("{nu} degrees of freedom, {column} %"));
            held += 1;
        }
    }
    assert_eq!(held, 28);
    // As printed in Table G.2: t(95.45 %) = 13.97 for one degree of freedom, 2.65 for five.
    for (nu, t) in [("1", "13.97"), ("2", "4.53"), ("5", "2.65"), ("10", "2.28"), ("20", "2.13")] {
        let at = by_student(nu, &number(t), "guard band");
        assert_eq!(at.zone, Zone::Pass, "by U exactly, with {nu} degrees of freedom");
        near(at.probability.parse().unwrap(), 0.977_249_868, 0.000_5, nu);
    }
}

/// For one and for two degrees of freedom the distribution has closed forms: 1/2 + atan(t)/π, and 1/2 + t/(2 √(2 + t²))
/// (Abramowitz and Stegun, 26.7.1 and 26.7.2, from memory). What is nearer than U is never told as nearly certain.
#[test]
fn a_conditional_pass_is_never_over_0_9999() {
    for t in ["0.5", "4", "9", "13.9"] {
        let at = by_student("1", &number(t), "guard band");
        let x: f64 = t.parse().unwrap();
        near(at.probability.parse().unwrap(), 0.5 + x.atan() / std::f64::consts::PI, TOLD, t);
        assert_eq!(at.zone, Zone::ConditionalPass);
        let at: f64 = by_student("2", &number(t), "guard band").probability.parse().unwrap();
        near(at, 0.5 + x / (2.0 * (2.0 + x * x).sqrt()), TOLD, t);
    }
    // Nine standard uncertainties inside, with one degree of freedom: 0.965 and no more.
    near(by_student("1", &number("9"), "guard band").probability.parse().unwrap(), 0.965, 0.000_5, "nine");
    // As far outside the limit.
    let outside = by_student("1", &number("-9"), "guard band");
    assert_eq!(outside.zone, Zone::ConditionalFail);
    near(outside.probability.parse().unwrap(), 0.035, 0.000_5, "nine outside");
}

#[test]
fn a_probability_is_never_told_as_a_certainty() {
    let told = |value: &str| {
        let record = format!("generation: g\nsize: {{ value: {value} mm, uncertainty: 0.002 mm }}\n");
        told(&judged_by("size limit at most 10 mm", ""), &record).uncertainty.unwrap().limit.unwrap().probability
    };
    // 3.8 and 3.6 standard deviations: Q = 0.0000723 and 0.000159 (Abramowitz and Stegun, table 26.1, from memory).
    assert_eq!(told("9.9962"), "over 0.9999");
    assert_eq!(told("9.9964"), "0.9998");
    assert_eq!(told("10.0036"), "0.0002");
    assert_eq!(told("10.0038"), "under 0.0001");
}
