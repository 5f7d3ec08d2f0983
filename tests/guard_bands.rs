//! Guard bands from end to end: every grade against one worked out here from the exact uncertainty, and a bound that depends on
//! the record against the same rule written as a difference.

use trochoid::judge::uncertainty::{Zone, budget};
use trochoid::judge::{self, GradeSet, RulingReport};
use trochoid::quantity::{Number, Value};
use trochoid::shop::{Ask, Shop};
use trochoid::text::Source;
use trochoid::{bind, record};

const ASK: Ask = Ask { tell: GradeSet::NOT_GOOD, rulings: true, as_of: None };

fn shop(rule: &str) -> Shop {
    let shop = Shop::of_sources(&[Source::new(
        "book.rulebook",
        format!(
            "rulebook \"Guards\" edition 2026-01-01
unit mm = 0.001 m
unit um = 0.001 mm
part pump {{
    a : mm
    b : mm
    c : mm
    derive gap : mm = a - b
}}
generation g \"guards\" {{
    pump.gap standard 0.06 to 0.08 mm limit 0.05 to 0.10 mm {{ from memory }}
    pump.a   standard b + 0.06 mm to b + 0.08 mm limit b + 0.05 mm to b + 0.10 mm {{ from memory }}
    pump.c   limit at most 0.1 mm {{ from memory }}
}}
house \"Kestrel Rotary\" {{ {rule} }}
"
        ),
    )]);
    assert!(shop.is_sound(), "{:?}", shop.findings());
    shop
}

fn record(a: i64, c: i64, (gauge_a, gauge_b): (&str, &str)) -> Source {
    Source::new(
        "build.yaml",
        format!(
            "generation: g\ngauges:\n  fine: {{ uncertainty: 4 um, resolution: 1 um }}\n  coarse: {{ uncertainty: 12 um }}\n\
             a: {{ value: {}.{:04} mm, gauge: {gauge_a} }}\nb: {{ value: 10.000 mm, gauge: {gauge_b} }}\n\
             c: {{ value: 0.{c:04} mm, gauge: fine }}\n",
            a / 10_000,
            a % 10_000,
        ),
    )
}

fn ruling(shop: &Shop, source: &Source, path: &str) -> RulingReport {
    let checked = shop.check_source(source, &ASK);
    checked.rulings.into_iter().find(|told| told.path == path).unwrap()
}

#[test]
fn a_bound_that_depends_on_the_record_is_weighed_like_the_difference() {
    for rule in ["judge by guard band", "judge by guard band 0.83 U", "judge by simple acceptance"] {
        let shop = shop(rule);
        let mut seen = std::collections::BTreeSet::new();
        for gauges in [("fine", "coarse"), ("coarse", "fine"), ("fine", "fine"), ("coarse", "coarse")] {
            for a in (100_300..101_300).step_by(7) {
                let source = record(a, 500, gauges);
                let (gap, bound) = (ruling(&shop, &source, "gap"), ruling(&shop, &source, "a"));
                assert_eq!(gap.grade, bound.grade, "{rule}\n{}", source.text());
                let probability =
                    |told: &RulingReport| told.uncertainty.as_ref().map(|it| (it.limit.clone(), it.standard.clone()));
                // By one gauge whose resolution says nothing the difference is exact, and only the value itself is not.
                if gauges != ("coarse", "coarse") {
                    assert_eq!(probability(&gap), probability(&bound), "{rule}\n{}", source.text());
                }
                seen.insert(gap.grade.word());
            }
        }
        let expected: &[&str] =
            if rule.contains("simple") { &["good", "out", "worn"] } else { &["good", "out", "unsettled", "worn"] };
        assert_eq!(seen.into_iter().collect::<Vec<_>>(), expected, "{rule}");
    }
}

/// Where a value lies to an upper end, from the definition, with the exact uncertainty of its budget.
#[test]
fn every_value_is_decided_as_its_exact_uncertainty_says() {
    for (rule, factor) in
        [("judge by guard band", "1"), ("judge by guard band 0.83 U", "0.83"), ("judge by guard band 3 U", "3")]
    {
        let shop = shop(rule);
        let mut zones = std::collections::BTreeMap::new();
        for c in 800..1_200 {
            let source = record(100_700, c, ("fine", "fine"));
            let (sheet, _) = record::read(&source);
            let (readings, _) = bind::bind(&shop.book, &sheet.unwrap(), &source);
            let plan = shop.plan(readings.generation.unwrap()).unwrap();
            let verdict = judge::judge(&shop.book, plan, &readings);
            let told = ruling(&shop, &source, "c");
            let place =
                verdict.rulings.iter().position(|ruling| plan.checks[ruling.check].row.path.as_ref() == "pump.c");
            let exact = budget(&shop.book, plan, &readings, &verdict.rulings[place.unwrap()]).unwrap();
            // g² = (factor U)², against (0.1 mm - c)², in metres.
            let factor = Value::from(Number::parse(factor).unwrap());
            let guard = exact.uncertainty.expanded_squared().multiply(&factor).multiply(&factor);
            let inward = Value::from(Number::ratio(1_000 - c, 10_000_000).unwrap());
            let far = inward.multiply(&inward).compare(&guard).unwrap();
            let inside = c <= 1_000;
            let expected = match (inside, far) {
                (true, std::cmp::Ordering::Less) => Zone::ConditionalPass,
                (true, _) => Zone::Pass,
                (false, std::cmp::Ordering::Greater) => Zone::Fail,
                (false, _) => Zone::ConditionalFail,
            };
            let weighed = told.uncertainty.unwrap();
            assert_eq!(weighed.limit.unwrap().zone, expected, "{rule}, c = 0.{c:04} mm");
            let grade = match expected {
                Zone::Pass => "good",
                Zone::Fail => "out",
                _ => "unsettled",
            };
            assert_eq!(told.grade.word(), grade, "{rule}, c = 0.{c:04} mm");
            assert_eq!(weighed.settled_by.is_some(), grade == "unsettled");
            *zones.entry(expected).or_insert(0) += 1;
        }
        assert_eq!(zones.len(), 4, "{zones:?}");
    }
}
