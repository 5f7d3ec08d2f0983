//! The arithmetic a rebuilder does on paper, done by the shipped books on records: displacement, ratio and recess, sliding
//! speed, clearances, the spacer to fit, compression, balance, and ranges printed in two units.
//!
//! Sources: `data/trochoid-geometry.yaml` (each value marked there); the catalogue's 491, 573 and 654 cm³ and the tables of
//! clearance volume and sliding speed, worked out apart from the program by the textbook's formulas (K. Yamamoto, Rotary
//! Engine, 1981, chapter 2) and rounded as printed here; the misprints of an engine workshop manual of 2008; two
//! compression tests published by owners (2008 and 2024).

use super::check_values::items;
use super::shipped_geometry::{close, formula, in_units, length};
use super::weighing::{RULINGS, checked, near, number};
use trochoid::finding::Code;
use trochoid::judge::{Grade, RulingReport};
use trochoid::quantity::{Number, Value};
use trochoid::shop::{Checked, Shop, shipped};
use trochoid::text::Source;

/// What is said of a path, by the one row that applies beside its outer limit.
pub(super) fn told<'a>(checked: &'a Checked, path: &str) -> &'a RulingReport {
    let mut rows = checked.rulings.iter().filter(|told| told.path == path && !told.outer);
    let row = rows.next().unwrap_or_else(|| {
        panic!("{path} among {:?}", checked.rulings.iter().map(|told| &told.path).collect::<Vec<_>>())
    });
    assert!(rows.next().is_none(), "two rows for {path}");
    row
}

pub(super) fn grade(checked: &Checked, path: &str) -> Grade {
    told(checked, path).grade
}

/// The number a value is told as; its unit must be this one.
pub(super) fn value(checked: &Checked, path: &str, unit: &str) -> f64 {
    let text = told(checked, path).value.as_deref().unwrap_or_else(|| panic!("{path} has no value"));
    let (number, found) =
        text.trim_start_matches('≈').trim().split_once(' ').unwrap_or((text.trim_start_matches('≈'), ""));
    assert_eq!(found.replace('·', "*"), unit, "{path}: {text}");
    number.replace('−', "-").parse().unwrap_or_else(|_| panic!("{path}: {text}"))
}

fn millimetres(text: &str) -> Value {
    length(&number(text))
}

fn revolutions(shop: &Shop, speed: i64) -> Value {
    shop.book.units.resolve("rpm").unwrap().to_base(&Number::from_integer(speed))
}

/// Width of the housing in millimetres, displacement of a chamber in cm³ by the textbook's formula, and as catalogues cut or
/// round it.
const GENERATIONS: [(&str, i64, f64, f64); 12] = [
    ("carbon_6mm", 60, 491.04, 491.0),
    ("symmetrical", 70, 572.88, 573.0),
    ("narrow_3mm", 70, 572.88, 573.0),
    ("lighter_3mm", 70, 572.88, 573.0),
    ("wide_3mm", 80, 654.72, 654.0),
    ("wide_3mm_low", 80, 654.72, 654.0),
    ("cast_2mm", 80, 654.72, 654.0),
    ("cast_2mm_deep", 80, 654.72, 654.0),
    ("boosted_2mm", 80, 654.72, 654.0),
    ("light_2mm", 80, 654.72, 654.0),
    ("squared_2mm", 80, 654.72, 654.0),
    ("side_exhaust", 80, 654.72, 654.0),
];

#[test]
fn every_generations_housing_comes_out_at_the_catalogues_displacement() {
    let shop = Shop::shipped();
    let named = shop.book.generations.iter().filter(|generation| !generation.basis).count();
    assert_eq!(named, GENERATIONS.len(), "every shipped generation is checked");
    for (generation, width, volume_by_hand, catalogue) in GENERATIONS {
        let housing = |width: f64| {
            let width = format!("{{ plug_side: {width} mm, b: {width} mm, c: {width} mm, d: {width} mm }}");
            checked(&shop, &format!("generation: {generation}\nhousing: {{ front: {{ width: {width} }} }}\n"))
        };
        let right = housing(width as f64);
        let volume = value(&right, "housing.front.displacement", "cm³");
        near(volume, volume_by_hand, 0.006, generation);
        assert!([volume.floor(), volume.round()].contains(&catalogue), "{volume}");
        assert_eq!(grade(&right, "housing.front.displacement"), Grade::Good, "{generation}");
        // A tenth of a millimetre is 0.82 cm³ and passes; near the end of what a housing can be, it no longer does.
        let wider = value(&housing(width as f64 + 0.1), "housing.front.displacement", "cm³");
        near(wider - volume, 0.82, 0.01, "a tenth of a millimetre");
        assert_eq!(grade(&housing(width as f64 + 0.28), "housing.front.displacement"), Grade::Out, "{generation}");
    }
}

/// Clearance volume by ratio, for 491, 573 and 654 cm³.
const LEFT: [(&str, [f64; 3]); 6] = [
    ("8.5", [65.5, 76.4, 87.3]),
    ("9.0", [61.4, 71.6, 81.8]),
    ("9.2", [59.9, 69.9, 79.8]),
    ("9.4", [58.5, 68.2, 77.9]),
    ("9.7", [56.4, 65.9, 75.3]),
    ("10.0", [54.6, 63.7, 72.7]),
];

#[test]
fn the_recess_for_a_ratio_is_as_tabled_and_gives_the_ratio_again() {
    let shop = Shop::shipped();
    let (e, r) = (millimetres("15"), millimetres("105"));
    for (ratio, volumes) in LEFT {
        for (width, left) in ["60", "70", "80"].into_iter().zip(volumes) {
            let swept = formula(&shop, "chamber_displacement", &[e.clone(), r.clone(), millimetres(width)]);
            let least = formula(&shop, "least_chamber_area", &[e.clone(), r.clone()]).multiply(&millimetres(width));
            let arguments = [swept.clone(), least.clone(), Value::from(number(ratio))];
            let recess = formula(&shop, "recess_for_ratio", &arguments);
            let found = in_units(&recess.add(&least), 1e6);
            near(found, left, 0.06, ratio);
            let again = in_units(&formula(&shop, "compression_ratio", &[swept, least.add(&recess)]), 1.0);
            assert!(close(again, ratio.parse().unwrap(), 1e-12), "{again}");
        }
    }
}

#[test]
fn the_recess_for_a_ratio_comes_out_as_derived_elsewhere() {
    let shop = Shop::shipped();
    let mut seen = 0;
    for item in items(include_str!("data/trochoid-geometry.yaml"))
        .iter()
        .filter(|item| item.item == "trochoid-recess-for-target")
    {
        let input = |field: &str| length(&item.number("inputs", field));
        let (e, r, b) = (input("e_mm"), input("R_mm"), input("b_mm"));
        let swept = formula(&shop, "chamber_displacement", &[e.clone(), r.clone(), b.clone()]);
        let least = formula(&shop, "least_chamber_area", &[e, r]).multiply(&b);
        let arguments = [swept, least, Value::from(item.number("inputs", "target_CR"))];
        let recess = in_units(&formula(&shop, "recess_for_ratio", &arguments), 1e6);
        let expected = item.number("expected", "recess_cm3").to_f64();
        assert!(close(recess, expected, 1e-10), "{recess} and {expected}");
        seen += 1;
    }
    assert_eq!(seen, 3);
}

/// A whole engine's recesses for the ratio of each generation: what a recess tells of the generation.
#[test]
fn a_filled_recess_tells_the_ratio_and_the_generation() {
    let shop = Shop::shipped();
    let record = |generation: &str, volume: &str| {
        let width = "{ plug_side: 80 mm, b: 80 mm, c: 80 mm, d: 80 mm }";
        format!(
            "generation: {generation}\nhousing: {{ front: {{ width: {width} }} }}\n\
             rotor: {{ front: {{ face: {{ 1: {{ recess: {volume} }} }} }} }}\n"
        )
    };
    let recess = |shop: &Shop, generation: &str, volume: &str| checked(shop, &record(generation, volume));
    let path = "rotor.front.face.1.ratio_as_measured";
    // The tabled clearance volumes less the chamber's own 38.55 cm³, the equidistant shift of 2 mm counted.
    for (generation, ratio, volume) in [
        ("cast_2mm_deep", 8.5, 87.3),
        ("boosted_2mm", 9.0, 81.8),
        ("light_2mm", 9.7, 75.3),
        ("side_exhaust", 10.0, 72.7),
    ] {
        let volume = format!("{:.2} cm3", volume - 38.551);
        let found = recess(&shop, generation, &volume);
        near(value(&found, path, ""), ratio, 0.01, generation);
        assert_eq!(grade(&found, path), Grade::Good, "{generation}");
    }
    // Nine tenths of a cubic centimetre either way are a tenth of a ratio: 9.30 and 9.50 about 9.4.
    for (more, ratio) in [(0.9, 9.30), (-0.9, 9.50)] {
        let found = recess(&shop, "cast_2mm", &format!("{:.3} cm3", 654.715 / 8.4 - 38.551 + more));
        near(value(&found, path, ""), ratio, 0.005, "nine tenths of a cubic centimetre");
    }
    let other = shop.check_source(&Source::new("r.yaml", record("light_2mm", "43.29 cm3")), &RULINGS);
    assert!(other.contradicted, "a recess tells the generation");
    assert_eq!(grade(&other, path), Grade::Out, "a recess of 9.0 is not the 9.7 engine's");
    // πe² for (π/3)e²: the same recess is then said to give 6.5, which no engine of the family has.
    let books = [
        "units.rulebook",
        "parts.rulebook",
        "plausible.rulebook",
        "rework.rulebook",
        "family.rulebook",
        "cast_2mm.rulebook",
    ];
    let books = books.map(|name| {
        let book = shipped::book(name).unwrap();
        let text = book.text().replace("pi / 3 * e^2 + 2 * e * r", "pi * e^2 + 2 * e * r");
        assert_eq!(text == book.text(), name != "parts.rulebook");
        Source::new(name, text)
    });
    let spoilt = recess(&Shop::of_sources(&books), "cast_2mm", "39.39 cm3");
    near(value(&spoilt, path, ""), 1.0 + 654.715 / (39.39 + 38.551 + 37.699), 0.01, "the trap");
    assert_eq!(grade(&spoilt, path), Grade::Out);
    assert_eq!(grade(&recess(&shop, "cast_2mm", "39.39 cm3"), path), Grade::Good);
}

/// Every recess that a telltale gives "by the formula" is what comes out for the generation itself: with its own width and
/// shift, and the chamber by brute force in `envelope`. They are printed to a tenth.
#[test]
fn what_is_said_to_be_by_the_formula_is() {
    let shop = Shop::shipped();
    let mut said = 0;
    for generation in shop.book.generations.iter().filter(|generation| !generation.basis) {
        let constant = |name: &str| {
            let (id, _) = shop.book.constants.entries().find(|(_, constant)| *constant.name == *name).unwrap();
            generation.constants[id.index()].as_ref().unwrap().value.midpoint().to_f64() * 1e3
        };
        let [e, outer, shift, b] =
            ["eccentricity", "generating_radius", "equidistant_shift", "chamber_width"].map(constant);
        let swept = 3.0 * 3.0_f64.sqrt() * e * outer * b / 1e3;
        // By the shift, from the lengths integrated apart from the program: 37.876, 38.551 and 38.900 cm³ at 80 mm.
        assert_eq!((e, outer), (15.0, 105.0));
        let least = [37.876, f64::NAN, 38.551, 38.900][shift as usize] * b / 80.0;
        for telltale in &generation.telltales {
            let text = telltale.place.source.text();
            let line = text[telltale.place.span.range().start..].lines().next().unwrap();
            let Some((_, words)) =
                line.split_once("from memory \"").filter(|(_, words)| words.contains("by the formula"))
            else {
                continue;
            };
            for part in words.replace(" by the formula", "").split(" and ").filter(|part| part.contains(" cm3 at ")) {
                let (volume, ratio) = part.split_once(" cm3 at ").unwrap();
                let (volume, ratio): (f64, f64) =
                    (volume.parse().unwrap(), ratio.split(',').next().unwrap().parse().unwrap());
                near(swept / (ratio - 1.0) - least, volume, 0.051, &format!("{} at {ratio}", generation.name));
                said += 1;
            }
        }
    }
    // Nine in the books, and those that generations take over from others.
    assert!(said >= 11, "{said}");
}

/// Sliding speed of an apex seal in m/s, most and least, by shaft speed, for e = 15 mm and R = 105 mm.
const SLIDING: [(i64, f64, f64); 5] =
    [(6500, 34.0, 13.6), (7000, 36.7, 14.7), (8000, 41.9, 16.8), (9000, 47.1, 18.8), (10000, 52.4, 20.9)];

#[test]
fn apex_seals_slide_as_fast_as_tabled_and_never_stop() {
    let shop = Shop::shipped();
    for (speed, most, least) in SLIDING {
        let arguments = [millimetres("15"), millimetres("105"), revolutions(&shop, speed)];
        near(in_units(&formula(&shop, "fastest_sliding", &arguments), 1.0), most, 0.05, "most");
        near(in_units(&formula(&shop, "slowest_sliding", &arguments), 1.0), least, 0.05, "least");
    }
}

#[test]
fn the_line_of_contact_travels_across_the_tip_as_worked_out() {
    let shop = Shop::shipped();
    for (radius, shift, leaning, travel) in [("103", "2", 25.91, 0.87), ("102", "3", 26.18, 1.32)] {
        let arguments = [millimetres("15"), millimetres(radius)];
        let degrees = in_units(&formula(&shop, "most_leaning", &arguments), 180.0 / std::f64::consts::PI);
        near(degrees, leaning, 0.005, "leaning");
        let arguments = [millimetres(shift), millimetres("15"), millimetres(radius)];
        near(in_units(&formula(&shop, "contact_travel", &arguments), 1e3), travel, 0.006, "travel");
    }
}

const SETS: [(&str, [f64; 5], f64); 2] = [
    ("boosted_2mm", [8.00, 8.02, 8.04, 8.06, 8.08], 0.055),
    ("side_exhaust", [7.985, 8.005, 8.025, 8.045, 8.065], 0.065),
];

/// Every spacer of the set is tried on paper: end play grows by what the spacer is thicker. The nearest to the aim wins.
#[test]
fn the_spacer_to_fit_is_the_one_that_comes_nearest_the_middle_of_the_band() {
    let shop = Shop::shipped();
    let mut tried = 0;
    for (generation, set, aim) in SETS {
        for has in set {
            for play in ["0.003", "0.021", "0.033", "0.101", "0.118", "0.141", "0.152"] {
                let record = format!("generation: {generation}\nend_play: {play} mm\nspacer_thickness: {has} mm\n");
                let found = checked(&shop, &record);
                let play: f64 = play.parse().unwrap();
                let miss = |spacer: f64| (play + spacer - has - aim).abs();
                let best = set.into_iter().min_by(|one, other| miss(*one).total_cmp(&miss(*other))).unwrap();
                near(value(&found, "spacer_change", "mm"), best - has, 1e-9, &record);
                // The set may have no better one than the one that is in: then it is ground, and the row is silent.
                let silent = (best - has).abs() < 1e-9;
                assert_eq!(grade(&found, "spacer_change") == Grade::Good, silent, "{record}");
                tried += 1;
            }
        }
    }
    assert_eq!(tried, 70);
    let inside = checked(&shop, "generation: side_exhaust\nend_play: 0.06 mm\nspacer_thickness: 7.985 mm\n");
    assert!(inside.rulings.iter().all(|told| told.path != "spacer_change"), "an end play in its band asks for nothing");
}

/// Inches and millimetres in one record; differences as on paper.
#[test]
fn clearances_are_differences_of_the_readings_that_count() {
    let shop = Shop::shipped();
    let found = checked(
        &shop,
        "generation: narrow_3mm
duty: street
housing: { front: { width: { plug_side: 2.7580 in, b: 70.00 mm, c: 70.02 mm, d: 69.99 mm } } }
rotor:
  front:
    width: [69.90 mm, 69.91 mm]
    bearing_bore: [74.044 mm, 74.050 mm]
    apex_seal: { 1: { length: 69.90 mm }, 2: { length: 69.76 mm }, 3: { length: 69.70 mm } }
eccentric: { front: { journal: [73.985 mm, 73.980 mm] } }
main_bearing: { front: { bore: [43.040 mm, 43.036 mm], journal: [42.980 mm, 42.978 mm] } }
",
    );
    let plug_side = 2.758 * 25.4;
    for (path, expected, wanted) in [
        ("housing.front.narrowing", plug_side - 69.99, Grade::Out),
        ("rotor.front.side_clearance", plug_side - 69.91, Grade::Good),
        ("rotor.front.bearing_clearance", 74.050 - 73.980, Grade::Good),
        ("rotor.front.apex_seal.1.end_clearance", plug_side - 69.90, Grade::Good),
        ("rotor.front.apex_seal.2.end_clearance", plug_side - 69.76, Grade::Worn),
        ("rotor.front.apex_seal.3.end_clearance", plug_side - 69.70, Grade::Out),
        ("main_bearing.front.clearance", 43.040 - 42.978, Grade::Good),
    ] {
        near(value(&found, path, "mm"), expected, 1e-6, path);
        assert_eq!(grade(&found, path), wanted, "{path}");
    }
}

/// A compression test of six faces in their units.
fn compression(shop: &Shop, generation: &str, more: &str, faces: [[&str; 3]; 2]) -> Checked {
    let rotor = |[one, two, three]: [&str; 3]| {
        format!(
            "{{ face: {{ 1: {{ compression: {one} }}, 2: {{ compression: {two} }}, 3: {{ compression: {three} }} }} }}"
        )
    };
    let [front, rear] = faces.map(rotor);
    checked(shop, &format!("generation: {generation}\n{more}rotor: {{ front: {front}, rear: {rear} }}\n"))
}

/// Both tests as their owners published them, a blog of 2024 and a forum of 2008, against the manual of the side exhaust engine.
#[test]
fn published_compression_tests_fail_where_they_should() {
    let shop = Shop::shipped();
    let tired =
        compression(&shop, "side_exhaust", "", [["581 kPa", "556 kPa", "554 kPa"], ["393 kPa", "392 kPa", "347 kPa"]]);
    for rotor in ["front", "rear"] {
        for face in 1..=3 {
            assert_eq!(grade(&tired, &format!("rotor.{rotor}.face.{face}.compression")), Grade::Out);
        }
    }
    for (rotor, spread) in [("front", 27.0), ("rear", 46.0)] {
        let path = format!("rotor.{rotor}.compression_spread");
        near(value(&tired, &path, "kPa"), spread, 1e-9, &path);
        assert_eq!(grade(&tired, &path), Grade::Good, "all faces are down alike");
    }
    // Between the rotors, the means: 1691/3 less 1132/3.
    near(value(&tired, "compression_gap", "kPa"), 559.0 / 3.0, 0.01, "between the rotors");
    assert_eq!(grade(&tired, "compression_gap"), Grade::Out);

    let dead =
        compression(&shop, "side_exhaust", "", [["117 psi", "110 psi", "112 psi"], ["102 psi", "100 psi", "0 psi"]]);
    // 120 psi is as new, 98.6 psi the least.
    for face in ["front.face.1", "front.face.2", "front.face.3", "rear.face.1", "rear.face.2"] {
        assert_eq!(grade(&dead, &format!("rotor.{face}.compression")), Grade::Worn, "{face}");
    }
    assert_eq!(grade(&dead, "rotor.rear.face.3.compression"), Grade::Out);
    assert_eq!(grade(&dead, "rotor.front.compression_spread"), Grade::Good, "7 psi");
    assert_eq!(grade(&dead, "rotor.rear.compression_spread"), Grade::Out, "102 psi");
}

/// The example shop's own table: 0.955 of the pressure at 225 rpm, straight lines between its points.
#[test]
fn pressures_as_read_are_judged_at_the_speed_they_were_read_at() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/kestrel/books");
    let books = ["kestrel.rulebook"]
        .map(|name| trochoid::disk::read_source(&folder.join(name), trochoid::disk::MOST_RECORD_BYTES).unwrap());
    let mut sources: Vec<Source> = shipped::names().into_iter().filter_map(shipped::book).collect();
    sources.extend(books);
    let shop = Shop::of_sources(&sources);
    assert!(shop.is_sound(), "{:#?}", shop.findings());
    for (speed, share) in [("225", 0.955), ("250", 1.0), ("237.5", 0.9775), ("290", 1.058)] {
        let least = 590.0 * share;
        for (pressure, wanted) in
            [(least - 0.1, Grade::Out), (least + 0.1, Grade::Worn), (690.0 * share + 0.1, Grade::Good)]
        {
            let pressure = format!("{pressure:.3} kPa");
            let cranking = format!("compression_test: {{ cranking_speed: {speed} rpm }}\n");
            let face = pressure.as_str();
            let found = compression(&shop, "kestrel_as_read", &cranking, [[face; 3]; 2]);
            assert_eq!(grade(&found, "rotor.front.face.1.compression"), wanted, "{pressure} at {speed} rpm");
        }
    }
}

/// 25 kg at 8000 per minute: G 6.3 leaves 188 g·mm and G 2.5 75 g·mm. At 15 mm, 12.5 g between the rotors uses up the one
/// and 5 g the other.
#[test]
fn the_difference_of_the_rotors_comes_to_a_balance_grade_at_the_redline() {
    let shop = Shop::shipped();
    let pair = |duty: &str, grams: f64| {
        checked(
            &shop,
            &format!(
                "generation: boosted_2mm\nduty: {duty}\nredline: 8000 rpm\nbalance: {{ rotating_mass: 25 kg }}\n\
                 rotor: {{ front: {{ mass: 4300 g }}, rear: {{ mass: {} g }} }}\n",
                4300.0 + grams
            ),
        )
    };
    let angular = 8000.0 * std::f64::consts::TAU / 60.0;
    for (duty, grams, wanted) in [
        ("street", 12.5, Grade::Good),
        ("street", 12.6, Grade::Out),
        ("race", 4.9, Grade::Good),
        ("race", 5.0, Grade::Out),
    ] {
        let found = pair(duty, grams);
        let by_hand = grams * 15.0 * angular / 25.0 / 1000.0;
        assert!(close(value(&found, "pair_grade", "mm/s"), by_hand, 1e-3), "{by_hand}");
        assert_eq!(grade(&found, "pair_grade"), wanted, "{duty}, {grams} g");
    }
    // The pair's own tolerances: 10 g on the street, 2 g in a race.
    for (duty, grams, wanted) in [
        ("street", 10.0, Grade::Good),
        ("street", 10.1, Grade::Out),
        ("race", 2.0, Grade::Good),
        ("race", 2.1, Grade::Out),
    ] {
        assert_eq!(grade(&pair(duty, grams), "mass_gap"), wanted, "{duty}, {grams} g");
    }
}

/// Rows as a workshop manual of 2008 prints them: the inches of its two main bearing rows are crossed, and 3.5 mm of spring
/// stand beside 0.148 in.
#[test]
fn crossed_and_misprinted_inches_are_found() {
    let said = |range: &str| {
        let book = format!(
            "rulebook \"Printed\" edition 2026-03-01\nunit mm = 0.001 m\nunit in = 25.4 mm\n\
             part bearing {{ clearance : mm }}\n\
             generation one \"one\" {{ bearing.clearance limit {range} {{ from common practice }} }}\n"
        );
        let shop = Shop::of_sources(&[Source::new("printed.rulebook", book)]);
        assert!(shop.is_sound(), "{:?}", shop.findings());
        shop.findings().iter().filter(|finding| finding.code == Code::PrintedPair).count()
    };
    assert_eq!(said("0.045 to 0.085 mm also 0.0022 to 0.0029 in"), 2, "both ends are the other row's");
    assert_eq!(said("0.055 to 0.075 mm also 0.0018 to 0.0033 in"), 2, "both ends are the other row's");
    assert_eq!(said("0.045 to 0.085 mm also 0.0018 to 0.0033 in"), 0);
    assert_eq!(said("0.055 to 0.075 mm also 0.0022 to 0.0029 in"), 0);
    assert_eq!(said("at least 3.5 mm also at least 0.148 in"), 1);
    assert_eq!(said("at least 3.5 mm also at least 0.138 in"), 0);
    // Makers round a least value up and a most value down, so that the inches are never the wider range.
    for range in ["0.12 to 0.18 mm also 0.0048 to 0.0070 in", "0.05 to 0.19 mm also 0.0020 to 0.0074 in"] {
        assert_eq!(said(range), 0, "{range}");
    }
    // No pair of the shipped books disagrees.
    assert!(Shop::shipped().findings().iter().all(|finding| finding.code != Code::PrintedPair));
}
