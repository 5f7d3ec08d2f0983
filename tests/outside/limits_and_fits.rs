//! Limits and fits against ISO 286: sources item by item in `data/limits-and-fits.yaml`. Every limit is asked of the
//! program itself: a book with a range such as `30 mm H7` is compiled, and what it makes of the range is compared.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "a test may stop at the first surprise"
)]

use super::check_values::{Item, items, number};
use std::collections::BTreeMap;
use std::fmt::Write as _;
use trochoid::book::{self, RangeKind};
use trochoid::finding::Code;
use trochoid::judge::{Grade, GradeSet};
use trochoid::quantity::{Number, Value};
use trochoid::shop::{Ask, Shop, shipped};
use trochoid::text::Source;

/// Upper ends of the standard's fine steps of sizes, in millimetres.
const STEPS: [i64; 25] =
    [3, 6, 10, 14, 18, 24, 30, 40, 50, 65, 80, 100, 120, 140, 160, 180, 200, 225, 250, 280, 315, 355, 400, 450, 500];

/// The items of one family; a family that has gone missing is a failure, not a pass.
fn family(name: &str, least: usize) -> Vec<Item> {
    let items: Vec<_> =
        items(include_str!("data/limits-and-fits.yaml")).into_iter().filter(|item| item.item == name).collect();
    assert!(items.len() >= least, "only {} items of {name}", items.len());
    items
}

fn fits() -> Source {
    shipped::book("fits.rulebook").unwrap()
}

/// The shipped table of fits with one piece of text, which must be there once, put another way.
fn spoilt(text: &str, instead: &str) -> Source {
    let fits = fits();
    assert_eq!(fits.text().matches(text).count(), 1, "{text}");
    Source::new("spoilt.rulebook", fits.text().replace(text, instead))
}

/// Classes to ask for: a size in millimetres and a class.
type Asked = Vec<(String, String)>;

/// The shop of a book with one reading and one row for each class asked for, after the table of fits.
fn shop(fits: Source, asked: &Asked) -> Shop {
    let mut readings = String::new();
    let mut rows = String::new();
    for (at, (size, class)) in asked.iter().enumerate() {
        writeln!(readings, "    d{at} : mm").unwrap();
        writeln!(rows, "    pin.d{at} limit {size} mm {class} {{ from memory }}").unwrap();
    }
    let text =
        format!("rulebook \"Asked\" edition 2026-03-01\npart pin {{\n{readings}}}\ngeneration g \"g\" {{\n{rows}}}\n");
    Shop::of_sources(&[shipped::book("units.rulebook").unwrap(), fits, Source::new("asked.rulebook", text)])
}

/// The deviations of each class from its size in micrometres, lower and upper.
fn deviations(fits: Source, asked: &Asked) -> Vec<(Number, Number)> {
    let shop = shop(fits, asked);
    assert!(shop.is_sound(), "{:?}", shop.findings());
    let generation = shop.book.generations.iter().next().unwrap();
    assert_eq!(generation.rows.len(), asked.len());
    let micrometres = |value: &Value| value.is_exact_rational().unwrap().clone() * Number::from_integer(1_000_000);
    let end = |bound: &Option<book::Bound>| {
        let bound = bound.as_ref().unwrap();
        assert!(bound.closed);
        micrometres(&book::evaluate::evaluate(&shop.book, None, &bound.value).unwrap())
    };
    let rows = generation.rows.iter().zip(asked);
    rows.map(|(row, (size, _))| {
        let RangeKind::Band { low, high } = &row.limit.as_ref().unwrap().kind else { panic!("{}", row.path) };
        let size = number(size) * Number::from_integer(1000);
        (end(low) - size.clone(), end(high) - size)
    })
    .collect()
}

/// One class at every one of its steps' upper ends.
fn asked_of(item: &Item) -> (String, Vec<String>, Asked) {
    let class = item.text("inputs", "class").unwrap();
    let steps: Vec<String> = item.text("inputs", "up_to_mm").unwrap().split(' ').map(str::to_string).collect();
    let asked = steps.iter().map(|step| (step.clone(), class.clone())).collect();
    (class, steps, asked)
}

fn numbers(item: &Item, field: &str) -> Vec<Number> {
    item.text("expected", field).unwrap().split(' ').map(number).collect()
}

/// The two ends of a step of sizes, its own and just over the one before.
fn ends(item: &Item) -> [String; 2] {
    let over = item.text("inputs", "over_mm").unwrap();
    [format!("{over}.0001"), item.text("inputs", "up_to_and_including_mm").unwrap()]
}

#[test]
fn grades_as_in_table_1() {
    let mut checked = 0;
    for item in family("iso286-it", 5) {
        for grade in 5..=9 {
            let width = item.number("expected", &format!("IT{grade}_um"));
            for size in ends(&item) {
                let found = deviations(fits(), &vec![(size.clone(), format!("H{grade}"))]);
                assert_eq!(found, [(Number::ZERO, width.clone())], "{size} mm H{grade}");
                checked += 1;
            }
        }
    }
    assert_eq!(checked, 50);
}

#[test]
fn fundamental_deviations_as_in_tables_4_and_5() {
    for item in family("iso286-fundamental-deviation", 5) {
        assert_eq!(item.text("expected", "js").as_deref(), Some("+/- IT/2"));
        let classes = ["f7", "g6", "h6", "p6", "H7", "k4", "k5", "k6", "k7", "js6", "k8"];
        for size in ends(&item) {
            let asked: Asked = classes.iter().map(|class| (size.clone(), (*class).to_string())).collect();
            let found = deviations(fits(), &asked);
            let expected = |name: &str| item.number("expected", name);
            assert_eq!(found[0].1, expected("es_f"), "{size} mm");
            assert_eq!(found[1].1, expected("es_g"), "{size} mm");
            assert_eq!(found[2].1, expected("es_h"), "{size} mm");
            assert_eq!(found[3].0, expected("ei_p"), "{size} mm");
            assert_eq!(found[4].0, expected("EI_H"), "{size} mm");
            for k in &found[5..9] {
                assert_eq!(k.0, expected("ei_k_IT4_to_IT7"), "{size} mm");
            }
            assert_eq!(found[9].0.clone() + found[9].1.clone(), Number::ZERO, "{size} mm js6");
            assert_eq!(
                found[9].1.clone() - found[9].0.clone(),
                found[2].1.clone() - found[2].0.clone(),
                "js6 is as wide as h6"
            );
            assert_eq!(found[10].0, Number::ZERO, "{size} mm k8");
        }
    }
}

#[test]
fn fits_and_their_clearances() {
    let mut kinds: BTreeMap<String, usize> = BTreeMap::new();
    for item in family("iso286-fit", 15) {
        let size = item.text("inputs", "nominal_mm").unwrap();
        let class = |part: &str| (size.clone(), item.text("inputs", part).unwrap());
        let found = deviations(fits(), &vec![class("hole"), class("shaft")]);
        let [(hole_low, hole_high), (shaft_low, shaft_high)] = &found[..] else { panic!() };
        let pair = |name: &str| item.numbers("expected", name);
        assert_eq!(pair("hole_um"), [hole_low.clone(), hole_high.clone()], "{size} mm");
        assert_eq!(pair("shaft_um"), [shaft_low.clone(), shaft_high.clone()], "{size} mm");
        let least = hole_low.clone() - shaft_high.clone();
        let most = hole_high.clone() - shaft_low.clone();
        assert_eq!(least, item.number("expected", "clearance_min_um"), "{size} mm");
        assert_eq!(most, item.number("expected", "clearance_max_um"), "{size} mm");
        let kind = match (least.signum() >= 0, most.signum() <= 0) {
            (true, _) => "clearance",
            (_, true) => "interference",
            _ => "transition",
        };
        assert_eq!(item.text("expected", "kind").as_deref(), Some(kind), "{size} mm");
        *kinds.entry(kind.into()).or_default() += 1;
    }
    assert_eq!(kinds.len(), 3, "{kinds:?}");
}

/// Whole runs of `check`: a part at a limit is good, a tenth of a micrometre outside it is not.
#[test]
fn a_part_a_tenth_of_a_micrometre_outside_a_limit_is_out() {
    let ask = Ask { tell: GradeSet::NONE, rulings: true, as_of: None };
    let mut graded = 0;
    for item in family("iso286-fit", 15) {
        let size = item.number("inputs", "nominal_mm");
        let size_text = item.text("inputs", "nominal_mm").unwrap();
        for (class, limits) in [("hole", "hole_um"), ("shaft", "shaft_um")] {
            let shop = shop(fits(), &vec![(size_text.clone(), item.text("inputs", class).unwrap())]);
            let limits = item.numbers("expected", limits);
            for (limit, outwards) in [(&limits[0], "-0.1"), (&limits[1], "0.1")] {
                for (beyond, expected) in [(Number::ZERO, Grade::Good), (number(outwards), Grade::Out)] {
                    let deviation = (limit.clone() + beyond) * number("0.001");
                    let measured = (size.clone() + deviation).to_decimal(6);
                    let record = Source::new("r.yaml", format!("generation: g\nd0: {measured} mm\n"));
                    let checked = shop.check_source(&record, &ask);
                    assert_eq!(checked.record_errors, 0, "{:?}", checked.findings);
                    let grades: Vec<Grade> = checked.rulings.iter().map(|told| told.grade).collect();
                    assert_eq!(grades, [expected], "{measured} mm in {size_text} mm {class}");
                    graded += 1;
                }
            }
        }
    }
    assert_eq!(graded, 15 * 2 * 4);
}

/// A public table of limit deviations of holes and shafts has three misprints: limits that are not a grade apart.
const MISPRINTS: [(&str, &str); 3] = [("E7", "400"), ("K6", "10"), ("f6", "180")];

#[test]
fn holes_by_rule_and_shafts_as_a_public_table_of_limits_has_them() {
    let (mut compared, mut misprints, mut shifted) = (0, Vec::new(), 0);
    for item in family("iso286-limits", 65) {
        let (class, steps, asked) = asked_of(&item);
        let found = deviations(fits(), &asked);
        let (upper, lower) = (numbers(&item, "upper_um"), numbers(&item, "lower_um"));
        assert_eq!((upper.len(), lower.len()), (steps.len(), steps.len()), "{class}");
        for (at, (low, high)) in found.into_iter().enumerate() {
            if (&low, &high) == (&lower[at], &upper[at]) {
                compared += 1;
                shifted += usize::from(matches!(class.as_bytes()[0], b'K' | b'M' | b'N' | b'P' | b'R'));
            } else {
                misprints.push((class.clone(), steps[at].clone()));
            }
        }
    }
    let known: Vec<(String, String)> =
        MISPRINTS.iter().map(|(class, step)| ((*class).to_string(), (*step).to_string())).collect();
    assert_eq!(misprints, known);
    assert_eq!(compared, 65 * 11 + 3 * 8 - MISPRINTS.len());
    assert!(shifted > 150, "{shifted}");
}

/// What the misprints are is known without the table under test: a class is as wide as its grade.
#[test]
fn the_misprints_contradict_the_grades_of_the_same_table() {
    let items = family("iso286-limits", 65);
    let width = |class: &str, step: &str| {
        let item = items.iter().find(|item| item.text("inputs", "class").as_deref() == Some(class)).unwrap();
        let (_, steps, _) = asked_of(item);
        let at = steps.iter().position(|other| other == step).unwrap();
        numbers(item, "upper_um")[at].clone() - numbers(item, "lower_um")[at].clone()
    };
    for (class, step) in MISPRINTS {
        let whole = format!("H{}", &class[1..]);
        assert_ne!(width(class, step), width(&whole, step), "{class} at {step} mm");
    }
    assert_eq!(width("K6", "18"), width("H6", "18"));
}

/// The whole table of shafts, every step of it, and the grades and j of every step, as two public tables have them.
#[test]
fn shafts_grades_and_j_as_two_public_tables_have_them() {
    for item in family("iso286-shaft", 11) {
        let letter = item.text("inputs", "letter").unwrap();
        let class = format!("{letter}6");
        let steps = item.text("inputs", "up_to_mm").unwrap();
        let asked: Asked = steps.split(' ').map(|step| (step.to_string(), class.clone())).collect();
        assert_eq!(asked.len(), STEPS.len());
        let nearer = |(low, high): (Number, Number)| if letter.as_str() < "h" { high } else { low };
        let found: Vec<Number> = deviations(fits(), &asked).into_iter().map(nearer).collect();
        assert_eq!(found, numbers(&item, "fundamental_um"), "{letter}");
    }
    for item in family("iso286-step", 13) {
        let size = item.text("inputs", "up_to_mm").unwrap();
        let ask = |classes: &[String]| {
            deviations(fits(), &classes.iter().map(|class| (size.clone(), class.clone())).collect::<Asked>())
        };
        let grades = ask(&(3..=12).map(|grade| format!("H{grade}")).collect::<Vec<_>>());
        let widths: Vec<Number> = grades.into_iter().map(|(_, high)| high).collect();
        assert_eq!(widths, numbers(&item, "IT3_to_IT12_um"), "{size} mm");
        let holes = ask(&["J6".into(), "J7".into(), "J8".into()]);
        let upper: Vec<Number> = holes.into_iter().map(|(_, high)| high).collect();
        assert_eq!(upper, numbers(&item, "ES_J6_J7_J8_um"), "{size} mm");
        let shafts = ask(&["j6".into(), "j7".into()]);
        let lower: Vec<Number> = shafts.into_iter().map(|(low, _)| low).collect();
        assert_eq!(lower, numbers(&item, "ei_j6_j7_um"), "{size} mm");
    }
}

/// The special cases for holes that the public table does not reach, one by one. From R2 in `specs/fits.rulebook`.
#[test]
fn holes_in_coarse_grades_and_up_to_3_mm() {
    let expected = [
        // Over 3 mm, coarser than grade 8: N is 0, M and P are mirror images.
        ("25", "N9", (-52, 0)),
        ("25", "N11", (-130, 0)),
        ("25", "M9", (-60, -8)),
        ("25", "P9", (-74, -22)),
        // Up to 3 mm nothing is shifted.
        ("3", "K6", (-6, 0)),
        ("3", "K9", (-25, 0)),
        ("3", "M7", (-12, -2)),
        ("3", "N7", (-14, -4)),
        ("3", "N9", (-29, -4)),
        ("3", "P7", (-16, -6)),
        ("3", "S7", (-24, -14)),
        // M6: over 250 up to 315 mm the standard has -9, where the rule gives -11.
        ("251", "M6", (-41, -9)),
        ("315", "M6", (-41, -9)),
        // Over 400 mm, beyond the public table.
        ("500", "K7", (-45, 18)),
        ("500", "N7", (-80, -17)),
        ("450", "R7", (-166, -103)),
    ];
    let asked: Asked = expected.iter().map(|(size, class, _)| ((*size).to_string(), (*class).to_string())).collect();
    for ((size, class, (low, high)), found) in expected.iter().zip(deviations(fits(), &asked)) {
        assert_eq!(found, (Number::from_integer(*low), Number::from_integer(*high)), "{size} mm {class}");
    }
}

#[test]
fn every_class_in_use_has_limits_at_every_size_one_grade_apart() {
    let mut asked = Asked::new();
    for step in STEPS {
        for grade in 5..=11 {
            for letter in ["d", "e", "f", "g", "h", "js", "k", "m", "n", "p", "r", "s"] {
                asked.push((step.to_string(), format!("{letter}{grade}")));
                // K over 3 mm ends at grade 8.
                if letter != "k" || grade <= 8 {
                    asked.push((step.to_string(), format!("{}{grade}", letter.to_ascii_uppercase())));
                }
            }
        }
    }
    let found = deviations(fits(), &asked);
    let mut of: BTreeMap<(i64, &str), &(Number, Number)> = BTreeMap::new();
    for ((size, class), limits) in asked.iter().zip(&found) {
        of.insert((size.parse().unwrap(), class), limits);
    }
    assert_eq!(of.len(), 25 * (7 * 23 + 4));
    for ((size, class), (low, high)) in &of {
        let split = class.find(|one: char| one.is_ascii_digit()).unwrap();
        let (letters, grade) = class.split_at(split);
        let h = of[&(*size, format!("h{grade}").as_str())];
        assert_eq!(high.clone() - low.clone(), h.1.clone() - h.0.clone(), "{size} mm {class} is as wide as h{grade}");
        match letters {
            "js" | "JS" => assert_eq!(low.clone() + high.clone(), Number::ZERO, "{size} mm {class}"),
            "H" => assert_eq!(*low, Number::ZERO),
            "h" => assert_eq!(*high, Number::ZERO),
            "d" | "e" | "f" | "g" => {
                let hole = of[&(*size, class.to_ascii_uppercase().as_str())];
                assert_eq!(hole.0, Number::ZERO - high.clone(), "{size} mm {class} and its hole");
            }
            _ => {}
        }
        // A step of sizes up, a class is no narrower.
        let before = STEPS.iter().position(|step| step == size).and_then(|at| at.checked_sub(1)).map(|at| STEPS[at]);
        if let Some(smaller) = before.and_then(|step| of.get(&(step, *class))) {
            assert!((high.clone() - low.clone()) >= smaller.1.clone() - smaller.0.clone(), "{size} mm {class}");
        }
    }
    // The exception the shift is made for: hole X7 on h6 fits as H7 on x6 does (ISO 286-1).
    for size in STEPS.into_iter().filter(|size| *size > 3) {
        for letter in ["k", "m", "n", "p", "r", "s"] {
            let hole = of[&(size, format!("{}7", letter.to_ascii_uppercase()).as_str())];
            let shaft = of[&(size, format!("{letter}6").as_str())];
            let (big, small) = (of[&(size, "H7")], of[&(size, "h6")]);
            assert_eq!(hole.0.clone() - small.1.clone(), big.0.clone() - shaft.1.clone(), "{size} mm {letter}");
            assert_eq!(hole.1.clone() - small.0.clone(), big.1.clone() - shaft.0.clone(), "{size} mm {letter}");
        }
    }
}

/// The checks above can fail: a figure of another step, a formula for the table, and 30 mm in the step over 30.
#[test]
fn a_spoilt_table_gives_other_limits() {
    let asked = |size: &str, class: &str| vec![(size.to_string(), class.to_string())];
    let right = |size: &str, class: &str| deviations(fits(), &asked(size, class));
    // 30 mm belongs to the step over 18; a table that ended this step just below gives what a public table prints wrongly.
    let boundary = spoilt("24, 30, 40, 50, 65", "24, 29.9999, 40, 50, 65");
    let whole = |low: i64, high: i64| vec![(Number::from_integer(low), Number::from_integer(high))];
    assert_eq!(right("30", "H7"), whole(0, 21));
    assert_eq!(deviations(boundary, &asked("30", "H7")), whole(0, 25));
    // Grade 7 over 315 up to 400 mm by the formula 16 i, i = 0.45 D^(1/3) + 0.001 D, with D = 355 mm, is 56.6 and not 57.
    let formula = spoilt("46, 46, 46, 52, 52, 57, 57, 63, 63 um", "46, 46, 46, 52, 52, 56.6, 56.6, 63, 63 um");
    assert_eq!(right("400", "H7"), whole(0, 57));
    assert_ne!(deviations(formula, &asked("400", "H7")), whole(0, 57));
    let shifted = spoilt("hole M grade 6", "hole M grade 5");
    assert_eq!(deviations(shifted, &asked("300", "M6")), whole(-43, -11));
}

#[test]
fn sizes_and_classes_that_are_not_in_the_table_are_refused() {
    for (size, class, code) in [
        ("0", "H7", Code::FitSize),
        ("500.0001", "H7", Code::FitSize),
        ("30", "H13", Code::FitUnknown),
        ("30", "H2", Code::FitUnknown),
        ("30", "Q7", Code::FitUnknown),
        ("30", "Js7", Code::FitUnknown),
        ("30", "K9", Code::FitUnknown),
        ("30", "J9", Code::FitUnknown),
        ("30", "j8", Code::FitUnknown),
    ] {
        let shop = shop(fits(), &vec![(size.into(), class.into())]);
        let codes: Vec<Code> = shop.findings().iter().map(|finding| finding.code).collect();
        assert_eq!(codes, [code], "{size} mm {class}: {:?}", shop.findings());
        let finding = &shop.findings()[0];
        let wrong = if code == Code::FitSize { format!("{size} mm") } else { class.to_string() };
        assert_eq!(finding.place.as_ref().unwrap().0.text(), wrong);
    }
}

/// A book that says its sizes in inches, and has its own millimetre, gets the same limits.
#[test]
fn a_size_may_be_in_any_length_unit_and_units_may_be_declared_again() {
    let text = "rulebook \"Own units\" edition 2026-03-01
unit mm = 0.001 m
unit in = 25.4 mm
part pin { a : in\n b : mm }
generation g \"g\" {
    pin.a limit 1 in H7 { from memory }
    pin.b limit 25.4 mm H7 { from memory }
}
";
    let shop = Shop::of_sources(&[shipped::book("units.rulebook").unwrap(), fits(), Source::new("own.rulebook", text)]);
    assert!(shop.is_sound(), "{:?}", shop.findings());
    let ask = Ask { tell: GradeSet::NONE, rulings: true, as_of: None };
    for (measured, expected) in [("25.4", Grade::Good), ("25.421", Grade::Good), ("25.4211", Grade::Out)] {
        let record = format!("generation: g\na: {measured} mm\nb: {measured} mm\n");
        let checked = shop.check_source(&Source::new("r.yaml", record), &ask);
        let grades: Vec<Grade> = checked.rulings.iter().map(|told| told.grade).collect();
        assert_eq!(grades, [expected, expected], "{measured}");
    }
    let clash = text.replace("25.4 mm\npart", "25 mm\npart");
    let shop =
        Shop::of_sources(&[shipped::book("units.rulebook").unwrap(), fits(), Source::new("own.rulebook", clash)]);
    assert!(shop.findings().iter().any(|finding| finding.code == Code::NameTaken), "an inch of 25 mm is another unit");
}
