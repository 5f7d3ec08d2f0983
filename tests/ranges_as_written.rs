//! Ranges as drawings and tables print them: deviations on one side, a size below nought, degrees of a scale, torques as wrenches
//! are marked. Each end is held by a value worked out here, in another unit where there is one: at the end it is inside, and
//! a last digit further it is out.
//!
//! Sources: limit deviations of one sign, such as those of the shaft fields `f` and `p`, ISO 286-1:2010, 3.2.5 and figure 8
//! (from memory, unverified); t/°F = 1.8 t/°C + 32, and a pound-force foot of 0.3048 m × 0.453 592 37 kg × 9.806 65 m/s2 =
//! 1.355 817 948 331 400 4 N·m, NIST SP 811 (2008), B.8.

use trochoid::finding::Code;
use trochoid::judge::{Grade, GradeSet};
use trochoid::shop::{Ask, Shop};
use trochoid::text::Source;

fn book(row: &str) -> String {
    format!(
        "rulebook \"Ranges\" edition 2026-03-01
unit mm = 0.001 m
unit in = 25.4 mm
unit degC = 1 K zero at 273.15 K
unit degF = 5 / 9 * 1 K zero at 459.67 * 5 / 9 * 1 K
unit J = 1 kg*m2/s2
unit \"N*m\", Nm = 1 J/rad
unit \"ft-lb\", \"ft*lbf\" = 0.3048 * 0.45359237 * 9.80665 * 1 N*m
unit \"in-lb\" = 1 ft-lb / 12
part pump {{
    heat   : degC, may be negative, optional
    pin    : mm, optional
    offset : mm, may be negative, optional
    bolt   : N*m, optional
    screw  : in-lb, optional
}}
generation small \"an invented pump\" {{
    {row} {{ from memory }}
}}
"
    )
}

fn shop(row: &str) -> Shop {
    let shop = Shop::of_sources(&[Source::new("ranges.rulebook", book(row))]);
    assert!(shop.is_sound(), "{row}: {:#?}", shop.findings());
    shop
}

fn grade(shop: &Shop, reading: &str) -> Grade {
    let ask = Ask { tell: GradeSet::NOT_GOOD, rulings: true, as_of: None };
    let checked = shop.check_source(&Source::new("P-1.yaml", format!("generation: small\n{reading}\n")), &ask);
    assert_eq!(checked.record_errors, 0, "{reading}: {:#?}", checked.findings);
    checked.grade.unwrap()
}

#[test]
fn every_end_is_where_it_is_written() {
    for (row, inside, outside) in [
        ("pump.heat limit at most -5 degC", &["-5 degC", "23 degF"][..], &["-4.9 degC", "23.1 degF", "5 degC"][..]),
        (
            "pump.heat limit -10 to -5 degC",
            &["-10 degC", "14 degF", "-5 degC"],
            &["-10.1 degC", "13.9 degF", "-4.9 degC"],
        ),
        ("pump.heat limit above -5 degC", &["-4.9 degC"], &["-5 degC", "23 degF"]),
        ("pump.heat limit 20 ± 2 degC", &["18 degC", "64.4 degF", "22 degC", "71.6 degF"], &["64.3 degF", "71.7 degF"]),
        ("pump.heat limit 68 degF ± 9 degF", &["15 degC", "25 degC"], &["14.9 degC", "25.1 degC"]),
        ("pump.heat limit 20 degC ± 2 K", &["18 degC", "22 degC"], &["17.9 degC", "22.1 degC"]),
        ("pump.heat limit 20 degC +5 -2", &["18 degC", "25 degC"], &["17.9 degC", "25.1 degC"]),
        ("pump.heat limit -20 degC +5 -2", &["-22 degC", "-15 degC"], &["-22.1 degC", "-14.9 degC"]),
        ("pump.pin limit 80 mm -0 +0.02", &["80 mm", "80.02 mm"], &["79.999 mm", "80.021 mm"]),
        ("pump.pin limit 80 mm +0.02 -0", &["80 mm", "80.02 mm"], &["79.999 mm", "80.021 mm"]),
        ("pump.pin limit 80 mm +0.01 +0.03", &["80.01 mm", "80.03 mm"], &["80.009 mm", "80.031 mm", "80 mm"]),
        ("pump.pin limit 80 mm +0.03 +0.01", &["80.01 mm", "80.03 mm"], &["80.009 mm", "80.031 mm", "80 mm"]),
        ("pump.pin limit 80 mm -0.01 -0.03", &["79.97 mm", "79.99 mm"], &["79.969 mm", "79.991 mm", "80 mm"]),
        ("pump.pin limit 1 in -0.001 +0.002 in", &["25.3746 mm", "25.4508 mm"], &["25.3745 mm", "25.4509 mm"]),
        ("pump.offset limit -0.05 mm ± 0.01", &["-0.06 mm", "-0.04 mm"], &["-0.061 mm", "-0.039 mm", "0.05 mm"]),
        ("pump.offset limit -0.05 mm +0.02 -0.01", &["-0.06 mm", "-0.03 mm"], &["-0.061 mm", "-0.029 mm"]),
        ("pump.offset limit at most -0.05 mm", &["-0.05 mm"], &["-0.049 mm", "0 mm"]),
        (
            "pump.bolt limit 20 to 22 ft-lb",
            &["27.116358966628008 N*m", "29.8279948632908088 N*m", "20 ft-lb"],
            &["27.116358966628007 N*m", "29.8279948632908089 N*m"],
        ),
        ("pump.screw limit at most 24 in-lb", &["2 ft-lb", "2.7116358966628008 N*m"], &["2.7116358966628009 N*m"]),
    ] {
        let shop = shop(row);
        let name = row.split([' ', '.']).nth(1).unwrap();
        for value in inside {
            assert_eq!(grade(&shop, &format!("{name}: {value}")), Grade::Good, "{value} in {row}");
        }
        for value in outside {
            assert_eq!(grade(&shop, &format!("{name}: {value}")), Grade::Out, "{value} in {row}");
        }
    }
}

/// The one layout keeps them as they are, and what it writes means the same.
#[test]
fn tidying_leaves_them_as_written() {
    for range in [
        "-0.05 mm +0.02 -0.01",
        "80 mm -0 +0.02",
        "80 mm +0.01 +0.03",
        "-20 degC +5 -2",
        "20 ± 2 degC",
        "20 to 22 ft-lb",
        "at most -5 degC",
    ] {
        let text = book(&format!("pump.pin limit {range}"));
        let source = Source::new("ranges.rulebook", text);
        let tidied = trochoid::tidy::tidy(&source).unwrap();
        assert!(tidied.contains(&format!("limit {range} {{")), "{range}: {tidied}");
    }
}

/// A minus between two values has blanks, or what follows it would belong to the unit; a path and a number never do.
#[test]
fn a_minus_that_touches_a_name_is_asked_about() {
    let with = |derived: &str| {
        let text = book("pump.pin limit at most 3 mm");
        let text = text.replace("    screw ", &format!("    derive left : mm = {derived}\n    screw "));
        Shop::of_sources(&[Source::new("ranges.rulebook", text)])
    };
    let shop = with("2 mm-pin");
    let finding = shop.findings().iter().find(|finding| finding.code == Code::UnitUnknown).unwrap();
    assert_eq!(finding.help.as_deref(), Some("put spaces around a minus: `mm - pin`"));
    for sound in ["2 mm - pin", "2 mm-1 mm", "2 mm-abs(pin)", "pin-2 mm", "2 mm-pump.pin"] {
        let shop = with(sound);
        assert!(
            !shop.findings().iter().any(|finding| finding.code == Code::UnitUnknown),
            "{sound}: {:?}",
            shop.findings()
        );
    }
}
