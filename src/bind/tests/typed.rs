//! The forms a shop types: each is the plain reading, as written and in the slot of the plain one.

use super::*;

#[test]
fn each_form_is_the_reading_typed_plainly() {
    let book = book();
    for (path, typed, plain) in [
        ("end_play", "3/16 in", "0.1875 in"),
        ("end_play", "1-3/16 in", "1.1875 in"),
        ("end_play", "2 1/2 in", "2.5 in"),
        ("end_play", "½ IN", "0.5 in"),
        ("end_play", "0.05 MM", "0.05 mm"),
        ("end_play", "−0.05 mm", "-0.05 mm"),
        ("end_play", "0.05\u{a0}mm", "0.05 mm"),
        ("end_play", "0.05\u{202f}mm", "0.05 mm"),
        ("end_play", "[1/2 in]", "[0.5 in]"),
        ("end_play", "{ value: 1/2 in, uncertainty: 1/1000 in }", "{ value: 0.5 in, uncertainty: 0.001 in }"),
        ("end_play", "UNKNOWN", "unknown"),
        ("oil", "80 ºC", "80 degC"),
        ("oil", "80 ℃", "80 degC"),
        ("oil", "180 DEGF", "180 degF"),
        ("coated", "No", "no"),
        ("coated", "YES", "yes"),
        ("duty", "Street", "street"),
    ] {
        let (typed, plain) = (clean(&book, &format!("{path}: {typed}")), clean(&book, &format!("{path}: {plain}")));
        assert_eq!(data(&book, &typed, path), data(&book, &plain, path), "{path}");
        let uncertain = |readings: &Readings| {
            readings
                .taken(slot(&book, path))
                .iter()
                .map(|one| one.detail.as_ref().and_then(|more| more.uncertainty.clone()))
                .collect::<Vec<_>>()
        };
        assert_eq!(uncertain(&typed), uncertain(&plain), "{path}");
    }
    let readings = clean(&book, "rotor: { front: { weight_letter: c } }");
    let plain = clean(&book, "rotor: { front: { weight_letter: C } }");
    assert_eq!(data(&book, &readings, "rotor.front.weight_letter"), data(&book, &plain, "rotor.front.weight_letter"));
    let (readings, findings) = bound(&book, "generation: TWIN\n");
    assert_eq!((readings.generation, findings.len()), (book.generation("twin"), 0));
}

#[test]
fn a_message_repeats_the_form_that_was_typed() {
    let book = book();
    let readings = clean(&book, "end_play: 3/16 in");
    let [reading] = readings.taken(slot(&book, "end_play")) else { panic!() };
    assert_eq!(readings.slice(reading.span), "3/16 in");
}
