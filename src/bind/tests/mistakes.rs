//! Every mistake a record can hold: which finding, what it underlines, what it says and what it offers.

use super::*;
use crate::finding::Code::{self, *};

/// The code, what is underlined, a part of the message and a part of the help; an empty help means there is none.
type Expected = (Code, &'static str, &'static str, &'static str);

/// Bodies of records of the generation `twin`, each with the one thing to be said of it.
const MISTAKES: &[(&str, Expected)] = &[
    // keys and places
    ("end_pla: 1 mm", (KeyUnknown, "end_pla", "`end_pla`", "did you mean `end_play`?")),
    ("rotor: { front: { mas: 4 kg } }", (KeyUnknown, "mas", "rotor front: ", "did you mean `mass`?")),
    ("finnished: 2026-04-18", (KeyUnknown, "finnished", "`finnished`", "did you mean `finished`?")),
    ("double_play: 1 mm", (KeyUnknown, "double_play", "calculated from other readings, not measured", "remove it")),
    ("housing: { rear: { mass: 4 kg } }", (KeyUnknown, "mass", "housing rear: ", "belongs under rotor")),
    (
        "housing: { front: { apex_seal: { 1: { height: 1 mm } } } }",
        (KeyUnknown, "apex_seal", "housing front: ", "`apex_seal` belongs under rotor"),
    ),
    ("apex_seal: { 1: { height: 1 mm } }", (KeyUnknown, "apex_seal", "`apex_seal`", "`apex_seal` belongs under rotor")),
    ("rotor: { rear: { height: 1 mm } }", (KeyUnknown, "height", "rotor rear: ", "belongs under apex_seal")),
    ("rotor: { rear: { end_play: 1 mm } }", (KeyUnknown, "end_play", "rotor rear: ", "at the top of the record")),
    ("end_play: { value: 1 mm, gage: x }", (KeyUnknown, "gage", "end play", "did you mean `gauge`?")),
    (
        "end_play: { value: 1 mm, colour: x }",
        (
            KeyUnknown,
            "colour",
            "end play",
            "value, gauge, at, gauge_at, uncertainty, k, coverage, degrees_of_freedom, confirmed, note and photo",
        ),
    ),
    ("gauges: { a: { uncertainy: 1 um } }", (KeyUnknown, "uncertainy", "a gauge", "did you mean `uncertainty`?")),
    (
        "rotor: { fron: { mass: 4 kg } }",
        (PlaceUnknown, "fron", "rotor has no position `fron`", "did you mean `front`?"),
    ),
    ("rotor: { third: { mass: 4 kg } }", (PlaceUnknown, "third", "`third`", "it has front and rear")),
    ("rotor: { mass: 4 kg }", (PlaceUnknown, "mass", "rotor", "say which rotor: front or rear")),
    (
        "rotor: { front: { apex_seal: { 4: { height: 1 mm } } } }",
        (PlaceUnknown, "4", "apex seal has no position `4`", "1, 2 and 3"),
    ),
    (
        "rotor: { front: { width: { plugside: 1 mm } } }",
        (PlaceUnknown, "plugside", "rotor front: width is not taken at", "did you mean `plug_side`?"),
    ),
    (
        "housing: { middle: { depth: 1 mm } }",
        (NotFitted, "middle", "generation twin has no housing at middle", "front and rear"),
    ),
    // forms
    ("rotor: 4 kg", (ShapeWrong, "4 kg", "rotor", "front and rear")),
    ("rotor: [4 kg]", (ShapeWrong, "[4 kg]", "rotor", "front and rear")),
    ("rotor: { front: 4 kg }", (ShapeWrong, "4 kg", "front", "mass")),
    ("end_play: ~", (ShapeWrong, "~", "end play: nothing is written after the colon", "`unknown`")),
    ("end_play: [\"\"]", (ShapeWrong, "\"\"", "nothing is written after the colon", "`unknown`")),
    ("end_play: { value: ~ }", (ShapeWrong, "~", "nothing is written after the colon", "`unknown`")),
    ("end_play: { value: , gage: mic }", (KeyUnknown, "gage", "a reading has no key `gage`", "`gauge`")),
    ("end_play: \"\"", (ShapeWrong, "\"\"", "nothing is written after the colon", "`unknown`")),
    ("rotor: { front: { width: \"\" } }", (ShapeWrong, "\"\"", "plug_side and coil_side", "plug_side: …")),
    ("rotor: ''", (ShapeWrong, "''", "rotor", "front and rear")),
    ("finished: ' '", (ShapeWrong, "finished", "finished: nothing is written", "remove the line")),
    ("end_play: []", (ShapeWrong, "[]", "the list of readings is empty", "write the readings")),
    ("end_play: [[1 mm]]", (ShapeWrong, "[1 mm]", "not lists", "one list")),
    ("end_play: { note: x }", (ShapeWrong, "{ note: x }", "no `value`", "12.5 mm")),
    ("end_play: { value: { value: 1 mm } }", (ShapeWrong, "{ value: { value: 1 mm } }", "no `value`", "")),
    ("end_play: { value: 1 mm, note: [x] }", (ShapeWrong, "[x]", "`note` is one value", "")),
    ("rotor: { front: { width: 1 mm } }", (ShapeWrong, "1 mm", "plug_side and coil_side", "plug_side: …")),
    ("build: [a]", (ShapeWrong, "[a]", "`build` is one value", "")),
    ("gauges: mic", (ShapeWrong, "mic", "gauges are listed by name", "NAME: {")),
    ("gauges: { a: 1 um }", (ShapeWrong, "1 um", "gauges are listed by name", "NAME: {")),
    ("gauges: { a: { uncertainty: [1 um] } }", (ShapeWrong, "[1 um]", "`uncertainty` is one value", "")),
    ("gauges: { a: { range: 75 to 50 mm } }", (ShapeWrong, "75 to 50 mm", "two ends", "50 to 75 mm")),
    ("gauges: { a: { range: 50 mm to 75 kg } }", (ShapeWrong, "50 mm to 75 kg", "two ends", "50 to 75 mm")),
    ("gauges: { a: { range: [1 mm, 2 mm, 3 mm] } }", (ShapeWrong, "[1 mm, 2 mm, 3 mm]", "two ends", "50 to 75 mm")),
    ("concessions: x", (ShapeWrong, "x", "concessions are a list", "- row:")),
    (
        "concessions: [{ row: end_play, because: a, by: b, until: }]",
        (ShapeWrong, "until", "until: nothing is written", "remove the line"),
    ),
    ("concessions: [x]", (ShapeWrong, "x", "concessions are a list", "- row:")),
    ("concessions: [{ row: [end_play], because: a, by: b }]", (ShapeWrong, "[end_play]", "`row` is one value", "")),
    ("duty: { value: race, uncertainty: 1 mm }", (ShapeWrong, "1 mm", "only a quantity has an uncertainty", "`note`")),
    // numbers
    ("ratio: 1e3", (NumberUnreadable, "1e3", "`1e3` cannot be read", "write `1000`")),
    ("end_play: 5e-2 mm", (NumberUnreadable, "5e-2 mm", "exponent", "write `0.05 mm`")),
    ("ratio: 1_000", (NumberUnreadable, "1_000", "separators", "write `1000`")),
    ("end_play: 1_000mm", (NumberUnreadable, "1_000mm", "separators", "write `1000 mm`")),
    ("ratio: 0x1F", (NumberUnreadable, "0x1F", "written in decimal", "write `31`")),
    ("end_play: ７９．８６ mm", (NumberUnreadable, "７９．８６ mm", "full-width", "write `79.86 mm`")),
    ("end_play: 79,86 mm", (NumberUnreadable, "79,86 mm", "decimal sign is a point", "write `79.86 mm`")),
    ("end_play: \"79,86 mm\"", (NumberUnreadable, "\"79,86 mm\"", "`79,86 mm`", "write `79.86 mm`")),
    ("end_play: 1.2.3 mm", (NumberUnreadable, "1.2.3 mm", "two decimal points", "such as `12.5 mm`")),
    ("ratio: −5", (NumberUnreadable, "−5", "cannot be read", "write `-5`")),
    ("end_play: wide", (NumberUnreadable, "wide", "does not begin with a number", "such as `12.5 mm`")),
    ("end_play: mm 5", (NumberUnreadable, "mm 5", "does not begin with a number", "such as `12.5 mm`")),
    ("end_play: 9:1", (NumberUnreadable, "9:1", "a ratio", "such as `12.5 mm`")),
    ("ratio: 9:0", (NumberUnreadable, "9:0", "a ratio to zero", "")),
    ("ratio: 9:1 mm", (NumberUnreadable, "9:1 mm", "goes on after the ratio", "`9:1`")),
    ("ratio: 9:1_000", (NumberUnreadable, "9:1_000", "separators", "write `9:1000`")),
    ("end_play: 1/2", (NumberUnreadable, "1/2", "has no unit", "after `1/2`")),
    ("end_play: 1 234 mm", (NumberUnreadable, "1 234 mm", "one number", "`1234 mm`")),
    ("end_play: 1 mm 2 mm", (UnitUnknown, "mm 2 mm", "`mm 2 mm`", "several readings go in a list")),
    (
        "end_play: { value: 1 mm, uncertainty: -2 um }",
        (NumberUnreadable, "-2 um", "an uncertainty cannot be negative", "without the minus"),
    ),
    ("gauges: { a: { uncertainty: -2 um } }", (NumberUnreadable, "-2 um", "cannot be negative", "without the minus")),
    // units
    ("end_play: 0.05", (UnitMissing, "0.05", "end play: `0.05` has no unit", "write `0.05 mm`")),
    ("end_play: [0.05 mm, 0.06]", (UnitMissing, "0.06", "`0.06` has no unit", "write `0.06 mm`")),
    ("gauges: { a: { uncertainty: 2 } }", (UnitMissing, "2", "a gauge's uncertainty", "unit")),
    ("end_play: 0.05 Mm", (UnitUnknown, "Mm", "there is no unit called `Mm`", "did you mean `0.05 mm`?")),
    ("end_play: 0.05 furlong", (UnitUnknown, "furlong", "`furlong`", "known length units: ")),
    ("end_play: 0.05 mm (hot)", (UnitUnknown, "mm (hot)", "`mm (hot)`", "write `0.05 mm` alone")),
    ("label: µ\nend_play: 5 µm*degC", (UnitUnknown, "degC", "`degC`", "a scale")),
    ("ratio: 5 %", (UnitUnknown, "%", "`%`", "a number is needed")),
    ("end_play: 4.31 kg", (DimensionWrong, "kg", "`4.31 kg` is a mass, and a length (mm) is needed", "right key")),
    ("ratio: 9 mm", (DimensionWrong, "mm", "is a length, and a plain number", "right key")),
    ("oil: 20 K", (DimensionWrong, "K", "is a temperature difference, and a temperature (", "right key")),
    ("end_play: { value: 1 mm, at: 20 mm }", (DimensionWrong, "mm", "the temperature", "right key")),
    ("end_play: { value: 1 mm, uncertainty: 2 g }", (DimensionWrong, "g", "is a mass", "right key")),
    // words
    ("rotor: { front: { weight_letter: CC } }", (WordUnknown, "CC", "rotor front: weight letter", "A, B, C, D or E")),
    ("rotor: { front: { weight_letter: Z } }", (WordUnknown, "Z", "`Z`", "A, B, C, D or E")),
    ("duty: rase", (WordUnknown, "rase", "`rase`", "did you mean `race`?")),
    ("duty: 5 mm", (WordUnknown, "5 mm", "`5 mm`", "street or race")),
    ("coated: FALSE", (WordUnknown, "FALSE", "yes or no", "write `no`")),
    ("coated: true", (WordUnknown, "true", "yes or no", "write `yes`")),
    ("coated: maybe", (WordUnknown, "maybe", "yes or no", "write `yes` or `no`")),
    // counts
    (
        "end_play: [1 mm, 2 mm]",
        (ReadingsCount, "[1 mm, 2 mm]", "this takes one reading; you wrote 2", "one reading that counts"),
    ),
    (
        "rotor: { rear: { side_clearance: 0.1 mm } }",
        (
            ReadingsCount,
            "0.1 mm",
            "rotor rear: side clearance: this takes 2 readings or more; you wrote 1",
            "as a list",
        ),
    ),
    (
        "rotor: { rear: { bore: [1 mm, 2 mm] } }",
        (ReadingsCount, "[1 mm, 2 mm]", "exactly 3 readings; you wrote 2", "again"),
    ),
    (
        "rotor: { rear: { bore: [1 mm, 2 mm, 3 mm, 4 mm] } }",
        (ReadingsCount, "[1 mm, 2 mm, 3 mm, 4 mm]", "exactly 3 readings; you wrote 4", "leave out"),
    ),
    // the head
    ("finished: 18.4.2026", (DateUnreadable, "18.4.2026", "finished: `18.4.2026`", "as 2026-04-18")),
    ("finished: 2026-02-30", (DateUnreadable, "2026-02-30", "is not a date", "such as 2026-04-18")),
    ("gauges: { a: { due: soon } }", (DateUnreadable, "soon", "due: `soon`", "such as 2026-04-18")),
    ("end_play: { value: 1 mm, gauge: mic }", (GaugeUnknown, "mic", "`mic`", "list it under `gauges`")),
    (
        "gauges: { mic-1: { } }\nend_play: { value: 1 mm, gauge: mic-2 }",
        (GaugeUnknown, "mic-2", "`mic-2`", "did you mean `mic-1`?"),
    ),
    (
        "concessions: [{ row: end_play, because: a }]",
        (ConcessionUnsigned, "{ row: end_play, because: a }", "who signed it (`by`)", "`row`, `because` and `by`"),
    ),
    (
        "concessions: [{ row: end_play, by: '' }]",
        (ConcessionUnsigned, "{ row: end_play, by: '' }", "why (`because`) and who signed it (`by`)", "`until`"),
    ),
    (
        "concessions: [{ row: '', because: a, by: b }]",
        (ConcessionUnsigned, "{ row: '', because: a, by: b }", "which row", "`row`"),
    ),
    (
        "concessions: [{ row: rotor.front.side_clearence, because: a, by: b }]",
        (
            ConcessionUnknown,
            "rotor.front.side_clearence",
            "`rotor.front.side_clearence`",
            "did you mean `rotor.front.side_clearance`?",
        ),
    ),
    (
        "concessions: [{ row: side_clearance, because: a, by: b }]",
        (ConcessionUnknown, "side_clearance", "nothing has that name", "such as `rotor.front.side_clearance`"),
    ),
    (
        "concessions: [{ row: end_play, becuase: a, because: a, by: b }]",
        (KeyUnknown, "becuase", "a concession", "did you mean `because`?"),
    ),
];

fn fits(finding: &Finding, (code, underlined, message, help): Expected) -> Result<(), String> {
    let (place, label) = finding.place.as_ref().ok_or("no place")?;
    let offered = finding.help.as_deref();
    let checks = [
        (finding.code == code, "code"),
        (place.text() == underlined, "underlined"),
        (finding.message.contains(message), "message"),
        (if help.is_empty() { true } else { offered.is_some_and(|offered| offered.contains(help)) }, "help"),
        (finding.message.chars().next().is_some_and(|first| !first.is_uppercase()), "capital"),
        (!label.is_empty() && label.split(' ').count() <= 4, "label"),
    ];
    match checks.iter().find(|(holds, _)| !holds) {
        None => Ok(()),
        Some((_, what)) => {
            Err(format!("{what}: {:?} under {:?} ({label}), help {offered:?}", finding.message, place.text()))
        }
    }
}

#[test]
fn every_mistake_is_told_with_its_place_and_its_mend() {
    let book = book();
    let mut wrong = Vec::new();
    for (body, expected) in MISTAKES {
        let (_, findings) = bound(&book, &format!("generation: twin\n{body}\n"));
        match findings.as_slice() {
            [finding] => {
                if let Err(why) = fits(finding, *expected) {
                    wrong.push(format!("{body}\n    {why}"));
                }
            }
            other => wrong.push(format!("{body}\n    {} findings: {other:#?}", other.len())),
        }
    }
    assert!(wrong.is_empty(), "{} of {}:\n{}", wrong.len(), MISTAKES.len(), wrong.join("\n"));
}

#[test]
fn every_code_of_this_room_has_a_mistake() {
    let said: std::collections::BTreeSet<Code> = MISTAKES.iter().map(|(_, (code, ..))| *code).collect();
    let ours = [
        KeyUnknown,
        PlaceUnknown,
        NotFitted,
        ShapeWrong,
        NumberUnreadable,
        UnitMissing,
        UnitUnknown,
        DimensionWrong,
        WordUnknown,
        ReadingsCount,
        GaugeUnknown,
        DateUnreadable,
        ConcessionUnsigned,
        ConcessionUnknown,
    ];
    assert_eq!(said, ours.into_iter().collect());
}

#[test]
fn the_generation_is_asked_for() {
    let book = book();
    let cases: [(&str, Expected); 7] = [
        ("build: a\n", (GenerationMissing, "", "which generation", "one of twin or other")),
        ("generation:\n", (GenerationMissing, "generation", "which generation", "one of twin or other")),
        ("generation: twinn\n", (GenerationUnknown, "twinn", "`twinn`", "did you mean `twin`?")),
        ("generation: seventh\n", (GenerationUnknown, "seventh", "`seventh`", "twin and other")),
        ("generation: shared\n", (GenerationUnknown, "shared", "in common", "twin or other")),
        ("generation: [twin]\n", (ShapeWrong, "[twin]", "`generation` is one name", "twin or other")),
        ("- a\n", (ShapeWrong, "- a", "a record is a map", "generation: NAME")),
    ];
    for (text, expected) in cases {
        let (readings, findings) = bound(&book, text);
        assert_eq!(readings.generation, None, "{text}");
        let [finding] = findings.as_slice() else { panic!("{text}: {findings:#?}") };
        assert_eq!(fits(finding, expected), Ok(()), "{text}");
    }
}

#[test]
fn no_mistake_hides_another_and_each_place_is_exact() {
    let book = book();
    let text = "\u{feff}generation: twin\r\nlabel: µ°·\r\nend_play: 5 Mm # µ\r\nratio: 1e3\r\nrotor:\r\n  front: { weight_letter: cc, mass: 4 }\r\n  back: { mass: 4 kg }\r\nduty: race\r\n";
    let (readings, findings) = bound(&book, text);
    let told: Vec<(Code, &str, usize)> = findings
        .iter()
        .map(|finding| {
            let (place, _) = finding.place.as_ref().unwrap();
            (finding.code, place.text(), place.line_column().line)
        })
        .collect();
    assert_eq!(
        told,
        [
            (UnitUnknown, "Mm", 3),
            (NumberUnreadable, "1e3", 4),
            (WordUnknown, "cc", 6),
            (UnitMissing, "4", 6),
            (PlaceUnknown, "back", 7),
        ]
    );
    assert_eq!(data(&book, &readings, "duty"), [Datum::Name(1)]);
}
