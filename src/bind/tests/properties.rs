//! Properties that hold for every text.

use proptest::prelude::*;

use super::*;

/// Whatever is written: places are inside the text, and a slot said to be taken holds readings, no other does.
fn check(book: &Book, text: &str) {
    let source = Source::new("any.yaml", text);
    let (Some(sheet), _) = record::read(&source) else { return };
    // The same text as a list of gauges.
    let (gauges, of_list) = super::super::gauges(book, &sheet, &source);
    let (readings, mut findings) = bind_with(book, &sheet, &source, &gauges);
    assert_eq!(readings.count(), bind(book, &sheet, &source).0.count(), "a list of gauges changes no reading");
    let sound = findings.is_empty();
    findings.extend(of_list);
    for finding in &findings {
        let (place, label) = finding.place.as_ref().expect("every finding of this room has a place");
        assert!(text.get(place.span.range()).is_some(), "{finding:?}");
        assert!(label.split(' ').count() <= 4, "{label}");
        assert!(!finding.message.ends_with('.'), "{}", finding.message);
        assert!(finding.message.len() < 600, "{}", finding.message);
    }
    let mut unusable = 0;
    let mut taken = 0;
    for slot in 0..book.slot_count {
        let here = readings.taken(slot);
        assert_eq!(readings.state(slot) == State::Taken, !here.is_empty(), "slot {slot}");
        taken += here.len();
        match readings.state(slot) {
            State::Unusable(span) | State::Unknown(span) => {
                assert!(text.get(span.range()).is_some());
                unusable += usize::from(matches!(readings.state(slot), State::Unusable(_)));
            }
            State::Taken => {
                for reading in here {
                    assert!(!source.slice(reading.span).is_empty());
                    assert!(reading.gauge.is_none_or(|gauge| usize::from(gauge) < readings.gauges.len()));
                    let detail = reading.detail.as_deref();
                    if let Some(at) = detail.and_then(|detail| detail.temperature.as_ref()) {
                        assert!(at.value.compare(&Value::ZERO).is_some_and(std::cmp::Ordering::is_ge), "{text}");
                        assert!(at.half_width.compare(&Value::ZERO).is_some_and(std::cmp::Ordering::is_ge), "{text}");
                    }
                    assert!(reading.warmth().is_none() || matches!(reading.datum, Datum::Quantity(_)));
                }
            }
            State::Absent => {}
            State::SetAside(_) => panic!("only what judges sets readings aside: slot {slot}"),
        }
    }
    assert_eq!(taken, readings.count());
    assert!(unusable == 0 || findings.iter().any(Finding::is_error), "unusable and nothing said: {text:?}");
    assert!(readings.generation.is_some() || !sound);
}

/// Keys and values that lead somewhere more often than chance would.
fn word() -> impl Strategy<Value = String> {
    prop_oneof![
        prop::sample::select(vec![
            "build",
            "finished",
            "generation",
            "gauges",
            "concessions",
            "notes",
            "twin",
            "shared",
            "duty",
            "race",
            "end_play",
            "ratio",
            "coated",
            "label",
            "oil",
            "double_play",
            "rotor",
            "front",
            "rear",
            "middle",
            "mass",
            "weight_letter",
            "width",
            "plug_side",
            "side_clearance",
            "bore",
            "apex_seal",
            "1",
            "2",
            "height",
            "housing",
            "depth",
            "value",
            "gauge",
            "at",
            "uncertainty",
            "note",
            "row",
            "because",
            "by",
            "until",
            "unknown",
            "yes",
            "NO",
            "C",
            "9:1",
            "0.05 mm",
            "1 in",
            "79,86 mm",
            "1e3",
            "0x1F",
            "1_000 mm",
            "21 degC",
            "-2 um",
            "50 to 75 mm",
            "2026-04-18",
            "2026-02-30",
            "rotor.front.side_clearance",
            "''",
            "~",
            "1/2 in",
            "5 mm x",
            "9:0",
            "3:4:5",
            "７９．８６ mm",
            "−5 mm",
            "range",
            "due",
            "resolution",
            "mic",
            "gauge_at",
            "degrees_of_freedom",
            "expansion",
            "calibrated",
            "27 degC",
            "82 ± 1 degF",
            "28 degC ± 1 K",
            "-300 degC",
            "11.5 um/m/K ± 1 um/m/K",
            "11.5 ± 1 um/m/K",
            "9",
            "2 um",
            "2 g",
            "gauge",
        ])
        .prop_map(str::to_owned),
        "[a-z0-9.:_ µ°-]{0,12}",
    ]
}

/// A value of any form, as flow YAML.
fn value() -> impl Strategy<Value = String> {
    word().prop_recursive(5, 40, 5, |inner| {
        prop_oneof![
            prop::collection::vec(inner.clone(), 0..4).prop_map(|items| format!("[{}]", items.join(", "))),
            prop::collection::vec((word(), inner), 0..5).prop_map(|entries| {
                let entries: Vec<String> = entries.iter().map(|(key, value)| format!("{key}: {value}")).collect();
                format!("{{{}}}", entries.join(", "))
            }),
        ]
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn any_sheet_is_bound(entries in prop::collection::vec((word(), value()), 0..8)) {
        let text: String = entries.iter().map(|(key, value)| format!("{key}: {value}\n")).collect();
        check(&book(), &text);
    }

    #[test]
    fn any_text_is_bound(text in "[-a-z0-9:,{}\\[\\]\"' \n#µ.&*~]{0,120}") {
        check(&book(), &text);
    }

    /// Against exact arithmetic of another library: what is written is what is kept.
    #[test]
    fn what_is_written_is_what_is_kept(units in -10_000_000_i64..10_000_000, places in 0_u32..6) {
        let negative = if units < 0 { "-" } else { "" };
        let ten = 10_i64.pow(places);
        let (whole, rest) = (units.abs() / ten, units.abs() % ten);
        let point = if places == 0 { String::new() } else { format!(".{rest:0>width$}", width = places as usize) };
        let book = book();
        let readings = clean(&book, &format!("end_play: {negative}{whole}{point} mm"));
        let values = data(&book, &readings, "end_play");
        let [Datum::Quantity(kept)] = values.as_slice() else { panic!("{values:?}") };
        let oracle = dashu::rational::RBig::from_parts(units.into(), (ten.unsigned_abs() * 1000).into());
        let text = kept.is_exact_rational().unwrap().to_text(60);
        let (sign, digits) = text.strip_prefix('-').map_or((1, text.as_str()), |digits| (-1, digits));
        let (whole, rest) = digits.split_once('.').unwrap_or((digits, ""));
        let above: i64 = format!("{whole}{rest}").parse().unwrap();
        let below = 10_u64.pow(u32::try_from(rest.len()).unwrap());
        prop_assert_eq!(dashu::rational::RBig::from_parts((sign * above).into(), below.into()), oracle);
    }
}

#[test]
fn ten_thousand_digits_and_a_deep_record_are_told_of_in_a_line() {
    let book = book();
    let digits = "7".repeat(10_000);
    // A plain key has 1,024 letters at most: YAML 1.2.2, 7.4.2.
    let key = "7".repeat(1_000);
    let (_, findings) = bound(&book, &format!("generation: twin\nend_play: {digits} mm\nduty: {digits}\n{key}: 1\n"));
    assert_eq!(findings.len(), 3);
    for finding in &findings {
        let said = format!("{}{}", finding.message, finding.help.clone().unwrap_or_default());
        assert!(!said.contains(&"7".repeat(21)) && said.contains(&"7".repeat(20)), "{said}");
    }
    check(&book, &format!("end_play: {}1 mm{}\n", "{value: [".repeat(40), "]}".repeat(40)));
}
