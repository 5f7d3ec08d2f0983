//! The gauges of a record and of its shop: which calibration counts, and what is said of those that were used.

use super::*;
use crate::finding::Code::{self, *};

/// Reads a shop's list.
fn list(book: &Book, text: &str) -> (Gauges, Vec<Finding>) {
    let source = Source::new("gauges.yaml", text);
    let (sheet, findings) = record::read(&source);
    assert_eq!(findings, [], "for {text:?}");
    super::super::gauges(book, &sheet.unwrap(), &source)
}

/// Binds a record of the generation `twin` with a list there is nothing to say of.
fn measured(book: &Book, shop: &str, body: &str) -> (Readings, Vec<Finding>) {
    let (gauges, findings) = list(book, shop);
    assert_eq!(findings, [], "for {shop:?}");
    let source = Source::new("record.yaml", format!("generation: twin\n{body}"));
    let (sheet, findings) = record::read(&source);
    assert_eq!(findings, [], "for {body:?}");
    bind_with(book, &sheet.unwrap(), &source, &gauges)
}

/// Each finding as its code, the file and text it underlines, and its message.
fn told(findings: &[Finding]) -> Vec<(Code, String, String)> {
    let told = |finding: &Finding| {
        let (place, _) = finding.place.as_ref().unwrap();
        (finding.code, format!("{}: {}", place.source.name(), place.text()), finding.message.clone())
    };
    findings.iter().map(told).collect()
}

fn value(numerator: i64, denominator: i64) -> Value {
    Value::from(Number::ratio(numerator, denominator).unwrap())
}

fn width(numerator: i64, denominator: i64) -> Certified {
    Certified::fixed(value(numerator, denominator))
}

#[test]
fn every_figure_of_a_gauge_is_read() {
    let book = book();
    let (readings, findings) = measured(
        &book,
        "mic: { uncertainty: 2 um, resolution: 1 um, range: 0 to 25 mm, expansion: 11.5 um/m/K ± 1 um/m/K, \
         degrees_of_freedom: 9, calibrated: 2026-01-12, due: 2027-01-12, kind: micrometer, note: invented }\n\
         thermometer: { uncertainty: 0.9 degF, range: -20 to 120 degC, expansion: 12 +/- 2 um/m/K }\n\
         unused: { uncertainty: 1 kg }\n",
        "finished: 2026-02-01\nend_play: { value: 0.05 mm, gauge: mic }\noil: { value: 80 degC, gauge: thermometer }\n",
    );
    assert_eq!(findings, []);
    // Only what is used comes along.
    let [mic, thermometer] = readings.gauges.as_slice() else { panic!("{:?}", readings.gauges) };
    assert_eq!(mic.dimension, Some(Dimension::LENGTH));
    assert_eq!(mic.uncertainty, Some(width(2, 1_000_000)));
    assert_eq!(mic.resolution, Some(value(1, 1_000_000)));
    assert_eq!(mic.range, Some((value(0, 1), value(25, 1000))));
    assert_eq!(mic.expansion, Some((value(115, 10_000_000), value(1, 1_000_000))));
    assert_eq!(mic.degrees_of_freedom, Some(Number::from_integer(9)));
    assert_eq!((mic.calibrated, mic.due), (Date::new(2026, 1, 12), Date::new(2027, 1, 12)));
    assert_eq!(mic.place.source.name(), "gauges.yaml");
    assert!(mic.place.text().starts_with("mic: {"), "{}", mic.place.text());
    // Its range is of temperatures, its uncertainty a difference of them: one thing.
    assert_eq!(thermometer.dimension, Some(Dimension::TEMPERATURE));
    assert_eq!(thermometer.uncertainty, Some(width(1, 2)), "0.9 degF, on a scale, are half a kelvin wide");
    assert_eq!(thermometer.range, Some((value(25_315, 100), value(39_315, 100))));
    assert_eq!(thermometer.expansion, Some((value(12, 1_000_000), value(2, 1_000_000))));
    let [reading] = readings.taken(slot(&book, "end_play")) else { panic!() };
    assert_eq!(readings.gauge_of(reading).map(|gauge| gauge.name.as_str()), Some("mic"));
}

#[test]
fn an_uncertainty_of_a_temperature_may_be_written_on_its_scale() {
    let book = book();
    let half = || width(1, 2);
    for width in ["0.5 degC", "0.5 K", "0.9 degF"] {
        let body = format!("oil: {{ value: 80 degC, uncertainty: {width} }}");
        let (readings, findings) = measured(&book, "{}", &body);
        assert_eq!(findings, [], "{width}");
        let detail = readings.taken(slot(&book, "oil"))[0].detail.as_ref().unwrap();
        assert_eq!(detail.uncertainty, Some(half()), "{width}");
    }
}

#[test]
fn the_last_calibration_before_the_build_counts() {
    let book = book();
    let shop = "mic:
  - { uncertainty: 3 um, calibrated: 2026-01-12 }
  - { uncertainty: 1 um, calibrated: 2024-01-12 }
  - { uncertainty: 2 um, calibrated: 2025-01-12 }
";
    for (finished, micrometres) in [
        ("finished: 2024-01-12", 1),
        ("finished: 2025-01-11", 1),
        ("finished: 2025-01-12", 2),
        ("finished: 2026-01-11", 2),
        ("finished: 2030-01-01", 3),
        // A day nobody knows is taken to be after every day that is written down.
        ("", 3),
    ] {
        let body = format!("{finished}\nend_play: {{ value: 0.05 mm, gauge: mic }}");
        let (readings, findings) = measured(&book, shop, &body);
        assert_eq!(findings, [], "{finished}");
        assert_eq!(readings.gauges[0].uncertainty, Some(width(micrometres, 1_000_000)), "{finished}");
        // A record may list several itself.
        let own = shop.replace("\n  -", "\n    -");
        let (readings, findings) = measured(&book, "{}", &format!("gauges:\n  {own}{body}"));
        assert_eq!(findings, [], "{finished}");
        assert_eq!(readings.gauges[0].uncertainty, Some(width(micrometres, 1_000_000)), "{finished}");
    }
    let (readings, findings) = measured(&book, shop, "finished: 2024-01-11\nend_play: { value: 0.05 mm, gauge: mic }");
    assert_eq!(readings.gauges[0].uncertainty, Some(width(1, 1_000_000)), "the first, where none was before");
    let message =
        "gauge mic was calibrated on 2024-01-12, 1 day after the build was finished; 1 reading was taken with it";
    assert_eq!(told(&findings), [(GaugeDates, "record.yaml: 0.05 mm".into(), message.into())]);
}

#[test]
fn a_gauge_of_the_record_stands_before_one_of_the_shop() {
    let book = book();
    let (readings, findings) = measured(
        &book,
        "mic: { uncertainty: 2 um, resolution: 1 um }\nother: { uncertainty: 2 um }\n",
        "gauges: { mic: { uncertainty: 5 um } }\nend_play: { value: 0.05 mm, gauge: mic }\n\
         rotor: { front: { side_clearance: { value: [0.1 mm, 0.1 mm], gauge: other } } }",
    );
    assert_eq!(findings, []);
    let names: Vec<&str> = readings.gauges.iter().map(|gauge| gauge.name.as_str()).collect();
    assert_eq!(names, ["mic", "other"]);
    assert_eq!(readings.gauges[0].uncertainty, Some(width(5, 1_000_000)));
    assert_eq!(readings.gauges[0].resolution, None, "the whole entry is the record's");
}

#[test]
fn a_gauge_past_its_day_is_told_once_with_its_readings() {
    let book = book();
    let shop = "mic: { uncertainty: 2 um, due: 2026-02-10 }\nidle: { due: 2020-01-01 }\n";
    let body = "end_play: { value: 0.05 mm, gauge: mic }\n\
        rotor: { front: { side_clearance: { value: [0.1 mm, 0.1 mm], gauge: mic } } }\n";
    let (_, findings) = measured(&book, shop, &format!("finished: 2026-05-01\n{body}"));
    // February had 28 days: 18 + 31 + 30 + 1.
    let message = "gauge mic was due for calibration on 2026-02-10, 80 days before the build was finished; \
        3 readings were taken with it";
    assert_eq!(told(&findings), [(GaugeOverdue, "record.yaml: 0.05 mm".into(), message.into())]);
    let (due, label) = &findings[0].because[0];
    assert_eq!((due.source.name(), due.text(), label.as_str()), ("gauges.yaml", "2026-02-10", "due here"));
    // On the day itself it still holds, and without a day nobody knows.
    for head in ["finished: 2026-02-10\n", ""] {
        let (_, findings) = measured(&book, shop, &format!("{head}{body}"));
        assert_eq!(findings, [], "{head}");
    }
}

#[test]
fn a_reading_outside_the_range_is_told_and_ends_belong_to_it() {
    let book = book();
    let shop = "mic: { range: 0.5 in to 25.4 mm }\nthermometer: { range: [0 degC, 100 degC] }\n";
    for (reading, outside) in [
        ("end_play: { value: 12.7 mm, gauge: mic }", false),
        ("end_play: { value: 1 in, gauge: mic }", false),
        ("end_play: { value: 12.69 mm, gauge: mic }", true),
        ("end_play: { value: 1.0001 in, gauge: mic }", true),
        ("oil: { value: 100 degC, gauge: thermometer }", false),
        ("oil: { value: 212.1 degF, gauge: thermometer }", true),
    ] {
        let (_, findings) = measured(&book, shop, reading);
        assert_eq!(findings.len(), usize::from(outside), "{reading}: {findings:#?}");
        assert!(findings.iter().all(|finding| finding.code == GaugeRange), "{reading}");
    }
}

#[test]
fn what_measures_something_else_is_refused_as_a_gauge() {
    let book = book();
    let shop = "scale: { uncertainty: 2 g }\nplug: { kind: go gauge, uncertainty: 1 um }\n";
    let (readings, findings) = measured(&book, shop, "end_play: { value: 0.05 mm, gauge: scale }");
    let message = "end play: gauge scale measures a mass, and this is a length";
    assert_eq!(told(&findings), [(GaugeDimension, "record.yaml: scale".into(), message.into())]);
    assert!(findings[0].is_error());
    let [reading] = readings.taken(slot(&book, "end_play")) else { panic!() };
    assert_eq!(
        (reading.gauge, &reading.datum),
        (None, &quantity(5, 100_000)),
        "the reading counts, the gauge does not"
    );
    // What is no quantity is let pass by a gauge or not.
    let (readings, findings) = measured(&book, shop, "coated: { value: yes, gauge: plug }");
    assert_eq!(findings, []);
    assert!(readings.taken(slot(&book, "coated"))[0].gauge.is_some());
}

#[test]
fn a_gauge_one_of_whose_figures_cannot_be_read_has_none() {
    let book = book();
    for (entry, code, underlined) in [
        ("{ uncertainty: 2 g, range: 50 to 75 mm }", GaugeDimension, "2 g"),
        ("{ uncertainty: 2 um, resolution: 1 g }", GaugeDimension, "1 g"),
        ("{ uncertainty: two um, resolution: 1 um }", NumberUnreadable, "two um"),
        ("{ uncertainty: -2 um, resolution: 1 um }", NumberUnreadable, "-2 um"),
        ("{ uncertainty: 2 um, resolution: 1 }", UnitMissing, "1"),
        ("{ uncertainty: 2 um, degrees_of_freedom: 0 }", NumberUnreadable, "0"),
        ("{ uncertainty: 2 um, degrees_of_freedom: many }", NumberUnreadable, "many"),
        ("{ uncertainty: 2 um, expansion: 11.5 um/m/K }", ShapeWrong, "11.5 um/m/K"),
        ("{ uncertainty: 2 um, expansion: 11.5 um ± 1 um/m/K }", DimensionWrong, "um"),
        ("{ uncertainty: 2 um, expansion: 11.5 um/m/K ± 1 }", UnitMissing, "11.5 um/m/K ± 1"),
        ("{ uncertainty: 2 um, expansion: -11.5 ± 1 um/m/K }", NumberUnreadable, "-11.5 ± 1 um/m/K"),
        ("{ uncertainty: 2 um, expansion: 11.5 um/m/degC ± 1 um/m/K }", UnitUnknown, "degC"),
    ] {
        let (gauges, findings) = list(&book, &format!("mic: {entry}\n"));
        let [finding] = findings.as_slice() else { panic!("{entry}: {findings:#?}") };
        assert_eq!(finding.code, code, "{entry}");
        assert_eq!(finding.place.as_ref().unwrap().0.text(), underlined, "{entry}");
        let source = Source::new("record.yaml", "generation: twin\nlabel: { value: x, gauge: mic }\n");
        let (sheet, _) = record::read(&source);
        let (readings, findings) = bind_with(&book, &sheet.unwrap(), &source, &gauges);
        assert_eq!(findings, [], "it is listed: {entry}");
        let [gauge] = readings.gauges.as_slice() else { panic!("{entry}") };
        assert_eq!((&gauge.uncertainty, &gauge.resolution, &gauge.expansion), (&None, &None, &None), "{entry}");
        assert_eq!(gauge.degrees_of_freedom, None, "{entry}");
    }
}

#[test]
fn mistakes_of_the_list_itself() {
    let book = book();
    for (text, code, underlined) in [
        ("[mic]", ShapeWrong, "[mic]"),
        ("mic", ShapeWrong, "mic"),
        ("mic: 2 um", ShapeWrong, "2 um"),
        ("mic:", ShapeWrong, "mic"),
        ("mic: []", ShapeWrong, "[]"),
        ("mic: [{ uncertainty: 1 um }, 2 um]", ShapeWrong, "[{ uncertainty: 1 um }, 2 um]"),
        ("mic: [{ calibrated: 2026-01-12 }, { uncertainty: 1 um }]", ShapeWrong, "{ uncertainty: 1 um }"),
        ("gauges: { mic: { uncertainty: 1 um } }", ShapeWrong, "gauges"),
        ("mic: { uncertainy: 1 um }", KeyUnknown, "uncertainy"),
        ("mic: { due: soon }", DateUnreadable, "soon"),
        ("mic: { range: 75 to 50 mm }", ShapeWrong, "75 to 50 mm"),
        ("mic: { calibrated: 2026-03-01, due: 2026-02-01 }", GaugeDates, "2026-03-01"),
    ] {
        let (gauges, findings) = list(&book, text);
        let [finding] = findings.as_slice() else { panic!("{text}: {findings:#?}") };
        assert_eq!(finding.code, code, "{text}");
        assert_eq!(finding.place.as_ref().unwrap().0.text(), underlined, "{text}");
        // Named by a reading it is not unknown besides, however little is left of it.
        let source = Source::new("record.yaml", "generation: twin\nend_play: { value: 0.05 mm, gauge: mic }\n");
        let (sheet, _) = record::read(&source);
        let (_, findings) = bind_with(&book, &sheet.unwrap(), &source, &gauges);
        assert_eq!(findings, [], "{text}");
    }
}

#[test]
fn a_gauge_nobody_lists_is_looked_for_in_both_lists() {
    let book = book();
    let body = "gauges: { height-1: {} }\nend_play: { value: 0.05 mm, gauge: mik }";
    let (_, findings) = measured(&book, "mic: {}\n", body);
    let message = "neither the record nor the shop lists a gauge `mik`, so its uncertainty is not known";
    assert_eq!(told(&findings), [(GaugeUnknown, "record.yaml: mik".into(), message.into())]);
    assert_eq!(findings[0].help.as_deref(), Some("did you mean `mic`?"));
    let (_, findings) =
        measured(&book, "mic: {}\n", "gauges: { height-1: {} }\nend_play: { value: 1 mm, gauge: heigth-1 }");
    assert_eq!(findings[0].help.as_deref(), Some("did you mean `height-1`?"));
}

#[test]
fn what_one_reading_of_a_list_says_stands_even_where_it_cannot_be_read() {
    let book = book();
    let shop = "mic: { uncertainty: 2 um }\n";
    let (readings, findings) = measured(
        &book,
        shop,
        "rotor: { front: { side_clearance: { gauge: mic, at: 25 degC, uncertainty: 4 um, degrees_of_freedom: 7, value: \
         [{ value: 0.1 mm, gauge: gone, at: hot }, 0.1 mm, { value: 0.1 mm, uncertainty: 3 um, at: 20 degC }] } } }",
    );
    assert_eq!(findings.iter().map(|finding| finding.code).collect::<Vec<_>>(), [GaugeUnknown, NumberUnreadable]);
    let [first, second, third] = readings.taken(slot(&book, "rotor.front.side_clearance")) else { panic!() };
    assert_eq!((first.gauge, second.gauge, third.gauge), (None, Some(0), Some(0)));
    let detail = |reading: &Reading| reading.detail.clone().unwrap();
    assert_eq!((detail(first).temperature, detail(first).warmth), (None, None));
    assert_eq!(first.datum, quantity(1, 10_000), "as taken");
    assert!(detail(second).warmth.is_some());
    assert_eq!(detail(second).degrees_of_freedom, Some(Number::from_integer(7)));
    assert_eq!(detail(third).temperature.unwrap().value, value(29_315, 100));
    assert_eq!(detail(third).uncertainty, Some(width(3, 1_000_000)));
    assert_eq!(detail(third).degrees_of_freedom, None, "they go with the uncertainty they stand beside");
}
