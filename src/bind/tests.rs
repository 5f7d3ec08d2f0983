//! Every value of a record comes into its own slot exactly as it is worth, whatever form it is written in.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::string_slice,
    reason = "a test may stop at the first surprise"
)]

use super::*;
use crate::book::{Member, compile};
use crate::quantity::Number;
use crate::{record, syntax};

mod gauges;
mod mistakes;
mod properties;
mod typed;
mod warmth;

/// An invented machine with every kind of reading there is.
const BOOK: &str = r#"rulebook "Bench" edition 2026-03-01
unit mm = 0.001 m
unit "µm", "μm", um = 0.001 mm
unit in = 25.4 mm
unit g = 0.001 kg
unit degC, "°C" = 1 K zero at 273.15 K
unit degF = 5 / 9 * 1 K zero at 459.67 * 5 / 9 * 1 K
unit "um/m/K" = 0.000001 / (1 K)
class letter = A, B, C, D, E
part engine {
    duty : choice street, race, optional
    end_play : mm, optional
    ratio : number, optional
    coated : yes/no, optional
    label : text, optional
    oil : degC, optional
    derive double_play : mm = 2 * end_play
    part rotor at front, rear {
        expansion 21.5 um/m/K ± 1.5 um/m/K { from common practice }
        mass : kg, optional
        weight_letter : letter, optional
        width at plug_side, coil_side : mm, optional
        side_clearance : mm, optional, 2 readings or more
        bore : mm, optional, exactly 3 readings
        part apex_seal at 1 to 3 { height : mm, optional }
    }
    part housing at front, middle, rear { depth : mm, optional }
}
generation twin "two rotors" {
    fitted housing at front, rear
    largest of rotor.side_clearance limit at most 0.2 mm { from common practice }
    engine.end_play limit at most 0.1 mm { from common practice }
    rotor.mass all the same across rotor { from common practice }
}
generation other "an invented second one" {
}
basis shared "what both have" {
}
"#;

fn book() -> Book {
    let (tree, findings) = syntax::parse(&Source::new("bench.rulebook", BOOK));
    assert_eq!(findings, []);
    let (book, findings) = compile(&[tree]);
    assert_eq!(findings, []);
    book
}

/// Binds a text that is sound YAML.
fn bound(book: &Book, text: &str) -> (Readings, Vec<Finding>) {
    let source = Source::new("record.yaml", text);
    let (sheet, findings) = record::read(&source);
    assert_eq!(findings, [], "for {text:?}");
    bind(book, &sheet.unwrap(), &source)
}

/// Binds the body of a record there is nothing to say about.
fn clean(book: &Book, body: &str) -> Readings {
    let (readings, findings) = bound(book, &format!("generation: twin\n{body}"));
    assert_eq!(findings, [], "for {body:?}");
    readings
}

/// The slot of a path written out as a record's keys: worked out from the book alone, not by the walk under test.
fn slot(book: &Book, path: &str) -> usize {
    for (id, characteristic) in book.characteristics.entries() {
        let part = book.parts.get(characteristic.part);
        for instance in 0..part.instances {
            let mut left = instance;
            let mut positions = Vec::new();
            for part in part.positioned.iter().rev() {
                let many = book.parts.get(*part).positions.len();
                positions.insert(0, u16::try_from(left % many).unwrap());
                left /= many;
            }
            for station in 0..characteristic.slots_each() {
                let named = (!characteristic.stations().is_empty()).then(|| u16::try_from(station).unwrap());
                if book.path(id, &positions, named) == path {
                    return characteristic.slot(instance, station);
                }
            }
        }
    }
    panic!("no slot is called {path}")
}

fn data(book: &Book, readings: &Readings, path: &str) -> Vec<Datum> {
    readings.taken(slot(book, path)).iter().map(|reading| reading.datum.clone()).collect()
}

/// A quantity in base units as a fraction.
fn quantity(numerator: i64, denominator: i64) -> Datum {
    Datum::Quantity(Value::from(Number::ratio(numerator, denominator).unwrap()))
}

#[test]
fn an_inch_is_25_4_millimetres_exactly() {
    // The international inch: NIST SP 811 (2008), Appendix B.6.
    let book = book();
    let inch = clean(&book, "end_play: 1 in");
    let metric = clean(&book, "end_play: 25.4 mm");
    assert_eq!(data(&book, &inch, "end_play"), [quantity(254, 10_000)]);
    assert_eq!(data(&book, &inch, "end_play"), data(&book, &metric, "end_play"));
}

#[test]
fn every_value_comes_into_its_own_slot() {
    let book = book();
    let readings = clean(
        &book,
        "build: K-1
finished: 2026-04-18
duty: race
rotor:
  rear:
    mass: 4.31 kg
    weight_letter: C
    width: { coil_side: 80 mm, plug_side: 79 mm }
    side_clearance: [0.10 mm, 0.11 mm, 0.12 mm]
    apex_seal: { 3: { height: 8 mm }, 1: { height: 7 mm } }
  front: { apex_seal: { 3: { height: 6 mm } } }
housing: { rear: { depth: 5 mm } }
notes: { anything: [goes, { here: yes }] }
",
    );
    assert_eq!(readings.build.as_deref(), Some("K-1"));
    assert_eq!(readings.finished, Date::new(2026, 4, 18));
    assert_eq!(readings.generation, book.generation("twin"));
    let expected: [(&str, &[Datum]); 10] = [
        ("duty", &[Datum::Name(1)]),
        ("rotor.rear.mass", &[quantity(431, 100)]),
        ("rotor.rear.weight_letter", &[Datum::Name(2)]),
        ("rotor.rear.width.plug_side", &[quantity(79, 1000)]),
        ("rotor.rear.width.coil_side", &[quantity(80, 1000)]),
        ("rotor.rear.side_clearance", &[quantity(10, 100_000), quantity(11, 100_000), quantity(12, 100_000)]),
        ("rotor.rear.apex_seal.3.height", &[quantity(8, 1000)]),
        ("rotor.rear.apex_seal.1.height", &[quantity(7, 1000)]),
        ("rotor.front.apex_seal.3.height", &[quantity(6, 1000)]),
        ("housing.rear.depth", &[quantity(5, 1000)]),
    ];
    for (path, values) in expected {
        assert_eq!(data(&book, &readings, path), values, "{path}");
    }
    // And nothing anywhere else.
    let filled: std::collections::BTreeSet<usize> = expected.iter().map(|(path, _)| slot(&book, path)).collect();
    assert_eq!(filled.len(), expected.len());
    for at in 0..book.slot_count {
        let state = if filled.contains(&at) { State::Taken } else { State::Absent };
        assert_eq!(readings.state(at), state, "slot {at}");
    }
    assert_eq!(readings.state(book.slot_count), State::Absent);
    assert_eq!(readings.count(), 12);
}

#[test]
fn numbers_are_taken_as_written_and_never_as_yaml_guesses() {
    // YAML 1.1 takes 012 for ten (octal) and 9:1 for 541 (base sixty): yaml.org/type/int.html. Neither is meant here.
    let book = book();
    for (written, value) in [
        ("012", quantity(12, 1)),
        ("12", quantity(12, 1)),
        (".5", quantity(1, 2)),
        ("9:1", quantity(9, 1)),
        ("9:2", quantity(9, 2)),
        ("'9.0 : 1'", quantity(9, 1)),
        ("-3", quantity(-3, 1)),
        ("+3", quantity(3, 1)),
        ("\" 3 \"", quantity(3, 1)),
    ] {
        let readings = clean(&book, &format!("ratio: {written}"));
        assert_eq!(data(&book, &readings, "ratio"), [value], "{written}");
    }
    for (written, value) in [("no", false), ("yes", true), ("'no'", false)] {
        let readings = clean(&book, &format!("coated: {written}"));
        assert_eq!(data(&book, &readings, "coated"), [Datum::YesNo(value)], "{written}");
    }
    for written in ["NO", "012", "1e3", "a few words", "2026-04-18", "0x1F"] {
        let readings = clean(&book, &format!("label: {written}"));
        assert_eq!(data(&book, &readings, "label"), [Datum::Words], "{written}");
    }
}

#[test]
fn units_of_every_spelling_and_scales_are_exact() {
    let book = book();
    // U+00B5 and U+03BC: both are called micro (The Unicode Standard, 15.0, 7.2).
    for written in ["50 µm", "50 \u{3bc}m", "50um", "0.05 mm", "0.00005 m", "\"50 \\u00b5m\""] {
        let readings = clean(&book, &format!("end_play: {written}"));
        assert_eq!(data(&book, &readings, "end_play"), [quantity(5, 100_000)], "{written}");
    }
    // 0 °C is 273.15 K: BIPM SI Brochure, 9th ed., 2.3.1.
    let readings = clean(&book, "oil: -0.15 °C");
    assert_eq!(data(&book, &readings, "oil"), [quantity(273, 1)]);
    let readings = clean(&book, "end_play: -0.02 mm");
    assert_eq!(data(&book, &readings, "end_play"), [quantity(-2, 100_000)]);
}

#[test]
fn a_reading_may_say_with_what_and_how() {
    let book = book();
    let readings = clean(
        &book,
        "gauges:
  mic: { uncertainty: 2 um, resolution: 1 um, range: 50 to 75 mm, calibrated: 2026-01-12, due: 2027-01-12 }
  bore: { range: [0 mm, 1 in] }
  feeler: { kind: feeler gauge, note: of an invented set }
rotor:
  front:
    mass: { value: 4 kg, gauge: feeler, uncertainty: 2 g, at: 21 degC, note: wet }
    side_clearance:
      value: [{ value: 60.10 mm, gauge: mic, note: first }, 0.11 mm]
      gauge: bore
      at: 20 degC
",
    );
    let [mic, bore, feeler] = readings.gauges.as_slice() else { panic!("{:?}", readings.gauges) };
    let value = |numerator, denominator| Value::from(Number::ratio(numerator, denominator).unwrap());
    assert_eq!((mic.name.as_str(), bore.name.as_str(), feeler.name.as_str()), ("mic", "bore", "feeler"));
    assert_eq!(
        (mic.dimension, bore.dimension, feeler.dimension),
        (Some(Dimension::LENGTH), Some(Dimension::LENGTH), None)
    );
    assert_eq!(mic.uncertainty, Some(Certified::fixed(value(2, 1_000_000))));
    assert_eq!(mic.resolution, Some(value(1, 1_000_000)));
    assert_eq!(mic.range, Some((value(50, 1000), value(75, 1000))));
    assert_eq!(bore.range, Some((value(0, 1), value(254, 10_000))));
    assert_eq!((mic.calibrated, mic.due), (Date::new(2026, 1, 12), Date::new(2027, 1, 12)));
    let [mass] = readings.taken(slot(&book, "rotor.front.mass")) else { panic!() };
    let detail = mass.detail.as_ref().unwrap();
    assert_eq!(mass.gauge, Some(2));
    assert_eq!(detail.uncertainty, Some(Certified::fixed(value(2, 1000))));
    assert_eq!(detail.temperature.as_ref().map(|at| at.value.clone()), Some(value(29_415, 100)));
    assert_eq!(detail.note.as_deref(), Some("wet"));
    // What one reading of a list says itself goes before what is said of all.
    let [first, second] = readings.taken(slot(&book, "rotor.front.side_clearance")) else { panic!() };
    assert_eq!((first.gauge, second.gauge), (Some(0), Some(1)));
    let note = |reading: &Reading| reading.detail.as_ref().and_then(|detail| detail.note.clone());
    assert_eq!((note(first).as_deref(), note(second)), (Some("first"), None));
    for reading in [first, second] {
        assert_eq!(
            reading.detail.as_ref().unwrap().temperature.as_ref().map(|at| at.value.clone()),
            Some(value(29_315, 100))
        );
    }
}

#[test]
fn places_are_those_of_the_value_as_written() {
    let book = book();
    for text in [
        "generation: twin\nend_play: 0.05 mm # µ\n",
        "\u{feff}generation: twin\r\nlabel: µµ\r\nend_play: 0.05 mm\r\n",
        "{ label: µ°·, end_play: 0.05 mm, generation: twin }",
        "{\"generation\": \"twin\", \"label\": \"µ\", \"end_play\": \"0.05 mm\"}",
        "generation: twin\nend_play: { value: '0.05 mm', note: µ }\n",
    ] {
        let (readings, findings) = bound(&book, text);
        assert_eq!(findings, [], "{text:?}");
        let [reading] = readings.taken(slot(&book, "end_play")) else { panic!("{text:?}") };
        assert_eq!(readings.slice(reading.span), "0.05 mm", "{text:?}");
        assert_eq!(reading.datum, quantity(5, 100_000));
    }
}

#[test]
fn unknown_is_not_absent_and_a_bad_value_is_neither() {
    let book = book();
    for path in ["end_play", "ratio", "coated", "label", "duty"] {
        let readings = clean(&book, &format!("{path}: unknown"));
        let State::Unknown(span) = readings.state(slot(&book, path)) else { panic!("{path}") };
        assert_eq!(readings.slice(span), "unknown");
        assert_eq!(readings.taken(slot(&book, path)).len(), 0);
    }
    let readings = clean(&book, "rotor: { front: { width: unknown } }");
    for station in ["plug_side", "coil_side"] {
        let at = slot(&book, &format!("rotor.front.width.{station}"));
        assert!(matches!(readings.state(at), State::Unknown(_)), "{station}");
    }
    let (readings, findings) = bound(&book, "generation: twin\nend_play: 0.05 Mm\nratio: 2\n");
    assert_eq!(findings.len(), 1);
    assert!(matches!(readings.state(slot(&book, "end_play")), State::Unusable(_)));
    assert_eq!(data(&book, &readings, "ratio"), [quantity(2, 1)], "one bad reading hides no other");
}

#[test]
fn what_is_left_empty_is_not_measured_yet() {
    let book = book();
    let all = [
        "build:",
        "finished:",
        "finished:   # the day",
        "gauges:",
        "concessions:",
        "duty:",
        "end_play:",
        "end_play:   # mm",
        "end_play: { value: }",
        "end_play: { value: , note: to be taken warm }",
        "ratio:\ncoated:\nlabel:\noil:",
        "rotor:",
        "rotor:\n  # all of it\nhousing:\n  front:\n    # depth:\n  rear:",
        "rotor: { front: , rear: }",
        "rotor: { front: { width: , side_clearance: , bore: } }",
        "rotor: { front: { width: { plug_side: , coil_side: } } }",
        "rotor: { front: { apex_seal: }, rear: { apex_seal: { 1: , 2: { height: } } } }",
    ];
    for text in all {
        let readings = clean(&book, text);
        assert_eq!(readings.count(), 0, "{text}");
        for slot in 0..book.slot_count {
            assert_eq!(readings.state(slot), State::Absent, "{text}");
        }
        assert_eq!((&readings.build, readings.finished, readings.concessions.len()), (&None, None, 0), "{text}");
    }
    // What stands beside it is read, and a generation is still asked for.
    let readings = clean(&book, "end_play:\nratio: 2\nrotor: { front: , rear: { mass: 4 kg } }");
    assert_eq!(data(&book, &readings, "ratio"), [quantity(2, 1)]);
    assert_eq!(data(&book, &readings, "rotor.rear.mass"), [quantity(4, 1)]);
    let (_, findings) = bound(&book, "generation:\n");
    assert_eq!(findings.len(), 1);
}

#[test]
fn a_wrong_number_of_readings_is_told_and_the_readings_are_kept() {
    let book = book();
    let (readings, findings) = bound(&book, "generation: twin\nrotor: { front: { bore: [1 mm, 2 mm] } }\n");
    assert_eq!(findings.len(), 1);
    assert_eq!(data(&book, &readings, "rotor.front.bore"), [quantity(1, 1000), quantity(2, 1000)]);
    let (readings, findings) = bound(&book, "generation: twin\nend_play: [0.05 mm, 0.06 mm]\n");
    assert_eq!(findings.len(), 1);
    assert!(matches!(readings.state(slot(&book, "end_play")), State::Unusable(_)));
}

#[test]
fn positions_a_generation_lacks_are_left_out_and_another_has_them() {
    let book = book();
    let (readings, findings) = bound(&book, "generation: twin\nhousing: { middle: { depth: 5 mm } }\n");
    assert_eq!(findings.len(), 1);
    assert_eq!(readings.state(slot(&book, "housing.middle.depth")), State::Absent);
    let (readings, findings) = bound(&book, "generation: other\nhousing: { middle: { depth: 5 mm } }\n");
    assert_eq!(findings, []);
    assert_eq!(data(&book, &readings, "housing.middle.depth"), [quantity(5, 1000)]);
}

#[test]
fn concessions_lead_to_their_rows() {
    let book = book();
    let root = book.parts.get(book.root().unwrap());
    let Some(Member::Characteristic(end_play)) = root.member_by_name.get("end_play") else { panic!() };
    let said = "because: why, by: who";
    for (row, instance, station) in [
        ("rotor.front.side_clearance", Some(0), None),
        ("engine.rotor.rear.side_clearance", Some(1), None),
        ("rotor.rear.apex_seal.2.height", Some(4), None),
        ("rotor.rear.width.coil_side", Some(1), Some(1)),
        ("end_play", Some(0), None),
        ("engine.end_play", Some(0), None),
        // The row that compares the positions with each other is at no one of them.
        ("rotor.mass", None, None),
    ] {
        let readings = clean(&book, &format!("concessions:\n  - {{ row: {row}, {said}, until: 2026-09-30 }}\n"));
        let [concession] = readings.concessions.as_slice() else { panic!("{row}") };
        assert_eq!((concession.row.instance, concession.row.station), (instance, station), "{row}");
        assert_eq!((concession.because.as_str(), concession.by.as_str()), ("why", "who"));
        assert_eq!(concession.until, Date::new(2026, 9, 30));
        assert_eq!(readings.slice(concession.row_span), row);
        let leads = row.ends_with("end_play");
        assert_eq!(concession.row.characteristic == *end_play, leads, "{row}");
    }
    // None of these counts.
    for entry in [
        "{ row: end_play, by: who }",
        "{ row: end_play, because: why }",
        "{ row: end_play, because: '', by: who }",
        "{ row: end_play, because: why, by: who, until: soon }",
        "{ row: end_play, because: why, by: who, until: }",
        "{ row: end_play, because: why, by: [who] }",
        "{ row: rotor.side_clearance, because: why, by: who }",
        "{ row: rotor.middle.side_clearance, because: why, by: who }",
        "{ row: end_play.more, because: why, by: who }",
    ] {
        let (readings, findings) = bound(&book, &format!("generation: twin\nconcessions:\n  - {entry}\n"));
        assert_eq!(readings.concessions.len(), 0, "{entry}");
        assert_eq!(findings.len(), 1, "{entry}: {findings:#?}");
    }
}
