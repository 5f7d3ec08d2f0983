//! Lengths brought to 20 °C, against values worked out elsewhere: through a rulebook, a shop's gauges and a record.
//!
//! Sources: ISO 1:2022, clause 3 (the reference temperature is 20 °C), with the exact and the linear form worked out to
//! fourteen digits in `data/thermal-expansion.yaml`; a coefficient for each degree Fahrenheit, printed by a table of
//! materials, in the same file.

use super::check_values::{Item, items};
use trochoid::bind::{Readings, bind, bind_with, gauges};
use trochoid::book::Datum;
use trochoid::judge::{Grade, GradeSet};
use trochoid::quantity::Number;
use trochoid::record;
use trochoid::shop::{Ask, Shop};
use trochoid::text::Source;

const DATA: &str = include_str!("data/thermal-expansion.yaml");

fn cases(name: &str) -> Vec<Item> {
    items(DATA).into_iter().filter(|item| item.item == name).collect()
}

fn shop(expansion: &str, limit: &str) -> Shop {
    let book = format!(
        "rulebook \"Warm\" edition 2026-03-01
use shipped \"units.rulebook\"
unit degR = 5 / 9 * 1 K
part machine {{
    part body at 1 to 2 {{
        expansion {expansion} {{ from common practice }}
        width : mm, optional
    }}
}}
generation one \"warm\" {{
    body.width limit {limit} {{ from common practice }}
}}
"
    );
    let units = trochoid::shop::shipped::book("units.rulebook").unwrap();
    let shop = Shop::of_sources(&[units, Source::new("warm.rulebook", book)]);
    assert!(shop.is_sound(), "{:?}", shop.findings());
    shop
}

/// Binds a record with a shop's list of gauges.
fn measured(shop: &Shop, list: &str, record: &str) -> Readings {
    let list = Source::new("gauges.yaml", list);
    let (sheet, said) = record::read(&list);
    assert!(said.is_empty(), "{said:?}");
    let (gauges, said) = gauges(&shop.book, &sheet.unwrap(), &list);
    assert!(said.is_empty(), "{said:?}");
    let source = Source::new("r.yaml", record);
    let (sheet, said) = record::read(&source);
    assert!(said.is_empty(), "{said:?}");
    let (readings, said) = bind_with(&shop.book, &sheet.unwrap(), &source, &gauges);
    assert!(said.is_empty(), "{said:?}");
    readings
}

/// The one reading of the first body, in millimetres.
fn millimetres(shop: &Shop, readings: &Readings) -> Number {
    let reading = (0..shop.book.slot_count).flat_map(|slot| readings.taken(slot)).next().unwrap();
    let Datum::Quantity(value) = &reading.datum else { panic!("{reading:?}") };
    value.is_exact_rational().expect("nothing is rounded") * &Number::from_integer(1000)
}

fn fahrenheit(celsius: &Number) -> Number {
    celsius * &Number::ratio(9, 5).unwrap() + Number::from_integer(32)
}

fn text(number: &Number) -> String {
    number.to_text(30)
}

#[test]
fn lengths_come_to_20_degrees_as_the_exact_form_says() {
    let cases = cases("length-to-20C");
    assert_eq!(cases.len(), 5);
    let mut corrected = 0;
    for case in &cases {
        let input = |field| case.number("inputs", field);
        let (part_at, gauge_at) = (input("part_temp"), input("gauge_temp"));
        let coefficient = text(&input("alpha_part"));
        let length = text(&input("L_read_mm"));
        let list = format!("mic: {{ expansion: {} um/m/K ± 1 um/m/K }}\n", text(&input("alpha_gauge")));
        let record = |part_at: String, gauge_at: String| {
            format!(
                "generation: one\nbody: {{ 1: {{ width: {{ value: {length} mm, gauge: mic, at: {part_at}, gauge_at: {gauge_at} }} }} }}\n"
            )
        };
        let expected = case.number("expected", "L20_exact_mm");
        let tolerance = case.number("tolerance", "abs_mm");
        let shop_of = |limit: &str| shop(&format!("{coefficient} um/m/K ± 1 um/m/K"), limit);
        let shop = shop_of("at least 0 mm");
        let celsius = record(format!("{} degC", text(&part_at)), format!("{} degC", text(&gauge_at)));
        let found = millimetres(&shop, &measured(&shop, &list, &celsius));
        assert!((&found - &expected).abs() <= tolerance, "{length} mm comes to {}", text(&found));
        // Which would be seen if it were left at the linear form.
        let linear = case.number("expected", "L20_linear_mm");
        let correction = case.number("expected", "correction_um");
        if !correction.is_zero() {
            assert!((&found - &linear).abs() > tolerance, "{length} mm is told from the linear form");
            corrected += 1;
        }
        // The correction is given to eight digits.
        let micrometres = (&found - &input("L_read_mm")) * Number::from_integer(1000);
        let off = (&micrometres - &correction).abs();
        assert!(off <= Number::ratio(1, 1_000_000).unwrap(), "{length} mm is corrected by {}", text(&micrometres));
        // The same temperatures on the other scale: 27 °C is 80.6 °F (NIST SP 811 (2008), B.8).
        let other =
            record(format!("{} degF", text(&fahrenheit(&part_at))), format!("{} degF", text(&fahrenheit(&gauge_at))));
        assert_eq!(millimetres(&shop, &measured(&shop, &list, &other)), found, "{length} mm");
        // And it is what is judged: a limit a billionth of a millimetre to either side tells the grades apart.
        let source = Source::new("r.yaml", format!("gauges: {{ {} }}\n{celsius}", list.trim()));
        for (limit, grade) in [(&expected - &tolerance, Grade::Good), (&expected + &tolerance, Grade::Out)] {
            let ask = Ask { tell: GradeSet::NOT_GOOD, rulings: true, as_of: None };
            let checked = shop_of(&format!("at least {} mm", text(&limit))).check_source(&source, &ask);
            let told = checked.rulings.iter().find(|told| told.path == "body.1.width").unwrap();
            assert_eq!(told.grade, grade, "{length} mm against {}", text(&limit));
            let value = told.value.as_deref().unwrap();
            assert!(value.starts_with(&format!("{length} mm at {} degC, ", text(&part_at))), "{value}");
            assert!(value.ends_with(" mm at 20 degC"), "{value}");
        }
    }
    assert_eq!(corrected, 4);
}

#[test]
fn a_coefficient_for_each_degree_fahrenheit_is_the_same_coefficient() {
    let cases = cases("unit-check-F");
    let [case] = cases.as_slice() else { panic!("{} cases", cases.len()) };
    let per_kelvin = case.number("inputs", "alpha_per_K");
    let million = Number::from_integer(1_000_000);
    for (field, allowed) in [
        ("per_degF", case.number("tolerance", "rel") * case.number("expected", "per_degF")),
        ("printed", case.number("tolerance", "printed_abs")),
    ] {
        // A difference of one degree Fahrenheit is 5/9 K: NIST SP 811 (2008), B.8.
        let written = text(&(case.number("expected", field) * million.clone()));
        let expansion = format!("{written} um/m/degR ± 1 um/m/degR");
        let shop = shop(&expansion, "at least 0 mm");
        let source =
            Source::new("r.yaml", format!("generation: one\ngauges: {{ mic: {{ expansion: {expansion} }} }}\n"));
        let (sheet, _) = record::read(&source);
        let (readings, said) = bind(&shop.book, &sheet.unwrap(), &source);
        assert!(said.is_empty(), "{said:?}");
        let of_gauge = readings.gauges[0].expansion.clone().unwrap();
        let body = shop.book.parts.iter().find(|part| &*part.name == "body").unwrap();
        let of_part = body.expansion.clone().unwrap();
        assert_eq!(of_gauge, (of_part.coefficient.clone(), of_part.half_width.clone()), "both are read alike");
        let off = (of_part.coefficient.is_exact_rational().unwrap() * &Number::ratio(5, 9).unwrap())
            - per_kelvin.clone() * Number::ratio(5, 9).unwrap();
        assert!(off.abs() <= allowed, "{field}: {}", text(&off));
    }
}
