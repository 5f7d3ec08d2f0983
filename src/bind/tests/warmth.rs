//! Lengths taken warm or cold come to 20 °C exactly, and the derivatives are those of what they come to.

use super::super::warmth::to_reference;
use super::*;
use crate::finding::Code::*;
use proptest::prelude::*;

fn value(numerator: i64, denominator: i64) -> Value {
    Value::from(Number::ratio(numerator, denominator).unwrap())
}

fn temperature(value: Value) -> Temperature {
    Temperature { value, half_width: Value::ZERO, span: Span::default() }
}

/// What is said of the temperature of `end_play`, in kelvin.
fn said(book: &Book, written: &str) -> (Value, Value) {
    let readings = clean(book, &format!("oil: {{ value: 80 degC, at: \"{written}\" }}"));
    let [reading] = readings.taken(slot(book, "oil")) else { panic!() };
    let at = reading.detail.as_ref().unwrap().temperature.clone().unwrap();
    assert_eq!(readings.slice(at.span), format!("\"{written}\""));
    (at.value, at.half_width)
}

#[test]
fn a_temperature_is_as_sure_as_it_is_written() {
    let book = book();
    // 82 °F is (82 + 459.67)/1.8 K: NIST SP 811 (2008), B.8.
    for (written, kelvin, half_width) in [
        ("28 degC", value(30_115, 100), value(1, 2)),
        ("28.0 degC", value(30_115, 100), value(5, 100)),
        ("28.00°C", value(30_115, 100), value(5, 1000)),
        ("-5 degC", value(26_815, 100), value(1, 2)),
        ("28 ± 1 degC", value(30_115, 100), value(1, 1)),
        ("28 +/- 1 degC", value(30_115, 100), value(1, 1)),
        ("28 degC ± 0.2 K", value(30_115, 100), value(2, 10)),
        ("28 degC ± 0.2 degC", value(30_115, 100), value(2, 10)),
        ("28±1degC", value(30_115, 100), value(1, 1)),
        ("28 degC ± 0 K", value(30_115, 100), value(0, 1)),
        ("82 degF", value(54_167, 180), value(5, 18)),
        ("82 degF ± 1 K", value(54_167, 180), value(1, 1)),
        ("82 ± 1.8 degF", value(54_167, 180), value(1, 1)),
        ("82 degF ± 9 degF", value(54_167, 180), value(5, 1)),
    ] {
        assert_eq!(said(&book, written), (kelvin, half_width), "{written}");
    }
}

#[test]
fn a_temperature_that_cannot_be_read_leaves_the_reading_as_taken() {
    let book = book();
    for (written, code, underlined) in [
        ("warm", NumberUnreadable, "warm"),
        ("28", UnitMissing, "28"),
        ("28 K", DimensionWrong, "K"),
        ("28 mm ± 1 K", DimensionWrong, "mm"),
        ("28 degC ± 1 mm", DimensionWrong, "mm"),
        ("28 degC ± 1", UnitMissing, "28 degC ± 1"),
        ("28 ± 1 K", DimensionWrong, "K"),
        ("28 degC ± -1 K", NumberUnreadable, "28 degC ± -1 K"),
        ("28 degX", UnitUnknown, "degX"),
        ("28 degC ± 1 degX", UnitUnknown, "degX"),
        ("-280 degC", NumberUnreadable, "-280 degC"),
    ] {
        let body = format!(
            "generation: twin\nrotor: {{ front: {{ side_clearance: {{ value: [1 mm, 2 mm], at: {written} }} }} }}"
        );
        let (readings, findings) = bound(&book, &body);
        let [finding] = findings.as_slice() else { panic!("{written}: {findings:#?}") };
        assert_eq!(finding.code, code, "{written}");
        assert_eq!(finding.place.as_ref().unwrap().0.text(), underlined, "{written}");
        assert!(finding.notes.iter().any(|note| note.text.starts_with("the reading is judged as taken")), "{written}");
        assert_eq!(data(&book, &readings, "rotor.front.side_clearance"), [quantity(1, 1000), quantity(2, 1000)]);
    }
}

#[test]
fn readings_under_one_temperature_share_it() {
    let book = book();
    let readings = clean(
        &book,
        "gauges: { mic: { expansion: 11.5 um/m/K ± 1 um/m/K } }
rotor:
  front:
    side_clearance: { value: [80 mm, { value: 80 mm, at: 28 degC }], at: 27 degC, gauge: mic }
    bore: { value: [80 mm, 80 mm, 80 mm], at: 27 degC, gauge_at: 20 degC, gauge: mic }
",
    );
    let warmth = |path: &str| -> Vec<Warmth> {
        readings.taken(slot(&book, path)).iter().map(|reading| reading.warmth().unwrap().clone()).collect()
    };
    let text = |at: &Temperature| readings.slice(at.span).to_string();
    let [first, second] = warmth("rotor.front.side_clearance").try_into().unwrap();
    assert_eq!(
        first.part_temperature, first.gauge_temperature,
        "where it is not said, the gauge is as warm as the part"
    );
    assert_eq!((text(&first.part_temperature), text(&second.part_temperature)), ("27 degC".into(), "28 degC".into()));
    let bores = warmth("rotor.front.bore");
    assert!(bores.windows(2).all(|pair| pair[0].part_temperature == pair[1].part_temperature));
    assert_eq!(text(&bores[0].gauge_temperature), "20 degC");
    // By hand: 80 mm × (1 + 11.5 × 7 / 10^6) / (1 + 21.5 × 7 / 10^6); and the gauge at 20 °C.
    let Datum::Quantity(both) = &data(&book, &readings, "rotor.front.side_clearance")[0] else { panic!() };
    assert_eq!(
        *both,
        value(8, 100).multiply(&value(10_000_805, 10_000_000)).divide(&value(10_001_505, 10_000_000)).unwrap()
    );
    let Datum::Quantity(part_only) = &data(&book, &readings, "rotor.front.bore")[0] else { panic!() };
    assert_eq!(*part_only, value(8, 100).divide(&value(10_001_505, 10_000_000)).unwrap());
    let taken = &readings.taken(slot(&book, "rotor.front.bore"))[0];
    assert_eq!(taken.as_taken(), quantity(8, 100));
    assert_eq!(readings.slice(taken.span), "80 mm", "what was written is what is shown");
}

#[test]
fn only_lengths_are_brought_to_20_degrees() {
    let book = book();
    let readings =
        clean(&book, "rotor: { front: { mass: { value: 4 kg, at: 30 degC } } }\noil: { value: 80 degC, at: 30 degC }");
    for (path, datum) in [("rotor.front.mass", quantity(4, 1)), ("oil", quantity(35_315, 100))] {
        let [reading] = readings.taken(slot(&book, path)) else { panic!() };
        assert_eq!(reading.datum, datum, "{path}");
        assert!(reading.warmth().is_none() && reading.detail.as_ref().unwrap().temperature.is_some(), "{path}");
    }
}

#[test]
fn a_part_without_expansion_is_told_once() {
    let book = book();
    let (readings, findings) = bound(
        &book,
        "generation: twin
end_play: { value: 0.05 mm, at: 20 degC }
housing:
  front: { depth: { value: 5 mm, at: 27 degC } }
  rear: { depth: { value: 5 mm, at: 68 degF } }
rotor: { front: { apex_seal: { 1: { height: { value: 8 mm, at: 30 degC } }, 2: { height: { value: 8 mm, at: 31 degC } } } } }
",
    );
    let told: Vec<_> = findings
        .iter()
        .map(|finding| (finding.code, finding.place.as_ref().unwrap().0.text(), &*finding.message))
        .collect();
    // A part's own lengths only: the seal is not of the rotor's metal.
    assert_eq!(
        told,
        [
            (
                ExpansionMissing,
                "27 degC",
                "housing: no book says how it expands, so 1 length measured away from 20 °C is judged as taken"
            ),
            (
                ExpansionMissing,
                "30 degC",
                "apex seal: no book says how it expands, so 2 lengths measured away from 20 °C are judged as taken"
            ),
        ]
    );
    assert_eq!(data(&book, &readings, "housing.front.depth"), [quantity(5, 1000)]);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    /// Central differences in exact arithmetic: what is left of them is the third derivative, which these steps make nothing.
    #[test]
    fn derivatives_are_those_of_the_value(
        micrometres in 1_i64..500_000,
        (part_at, gauge_at) in (-4_000_i64..12_000, -4_000_i64..12_000),
        (part, gauge) in (0_i64..400, 0_i64..400),
    ) {
        let book = book();
        let rotor = book.parts.entries().find(|(_, part)| &*part.name == "rotor").unwrap().0;
        // Length in metres, temperatures in kelvin, expansions in 1/K.
        let inputs = [
            value(micrometres, 1_000_000),
            value(27_315 + part_at, 100),
            value(27_315 + gauge_at, 100),
            value(part, 10_000_000),
            value(gauge, 10_000_000),
        ];
        let of = |inputs: &[Value; 5]| {
            let [length, part_at, gauge_at, part, gauge] = inputs;
            to_reference(length, (rotor, part, &temperature(part_at.clone())), (gauge, &temperature(gauge_at.clone()))).unwrap()
        };
        let (_, warmth) = of(&inputs);
        let derivatives = [
            &warmth.to_reading,
            &warmth.to_part_temperature,
            &warmth.to_gauge_temperature,
            &warmth.to_part_expansion,
            &warmth.to_gauge_expansion,
        ];
        let steps = [1_000_000_000_i64, 1_000_000, 1_000_000, 1_000_000_000_000, 1_000_000_000_000].map(|below| value(1, below));
        for ((input, derivative), step) in (0..).zip(derivatives).zip(&steps) {
            let at = |moved: Value| {
                let mut inputs = inputs.clone();
                inputs[input] = moved;
                of(&inputs).0
            };
            let rise = at(inputs[input].add(step)).subtract(&at(inputs[input].subtract(step)));
            let slope = rise.divide(&step.add(step)).unwrap();
            let off = slope.subtract(derivative).absolute();
            let allowed = derivative.absolute().multiply(&value(1, 1_000_000_000_000_000));
            prop_assert!(off.compare(&allowed).unwrap().is_le(), "input {input}: {slope:?} and {derivative:?}");
        }
    }
}
