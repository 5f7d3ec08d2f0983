//! What a record says comes through letter by letter, at its exact place, and no mistake hides another.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::string_slice,
    reason = "a test may stop at the first surprise"
)]

use super::*;

mod floods;
mod mistakes;
mod properties;
mod quick;
mod slips;

fn source(text: &str) -> Source {
    Source::new("engine.yaml", text)
}

/// The sheet of a text there is nothing to say about.
fn clean(text: &str) -> Sheet {
    let (sheet, findings) = read(&source(text));
    assert_eq!(findings, [], "for {text:?}");
    let sheet = sheet.unwrap();
    assert!(sheet.is_whole());
    sheet
}

/// Maps as `{key: value, ...}`, lists as `[...]`, scalars as `<text>`.
fn drawn(node: Node<'_>) -> String {
    match node {
        Node::Map(map) => {
            let entries: Vec<String> =
                map.entries().map(|(key, value)| format!("{}: {}", key.text(), drawn(value))).collect();
            assert_eq!(entries.len(), map.len());
            format!("{{{}}}", entries.join(", "))
        }
        Node::List(list) => {
            let items: Vec<String> = list.items().map(drawn).collect();
            assert_eq!(items.len(), list.len());
            format!("[{}]", items.join(", "))
        }
        Node::Scalar(scalar) => format!("<{}>", scalar.text()),
    }
}

fn drawn_sheet(sheet: &Sheet) -> String {
    sheet.root().map_or_else(String::new, drawn)
}

/// What is underlined for the value at a path of keys and item numbers.
fn underlined(sheet: &Sheet, path: &str) -> String {
    let node = path.split('.').fold(sheet.root().unwrap(), |node, step| match node {
        Node::Map(map) => map.get(step).unwrap_or_else(|| panic!("no {step} in {path}")),
        Node::List(list) => list.items().nth(step.parse().unwrap()).unwrap(),
        Node::Scalar(_) => panic!("a scalar before {step} in {path}"),
    });
    node.place().text().to_owned()
}

const RECORD: &str = "\
build: K-0147
finished: 2026-04-18
gauges:
  mic-50-75: { uncertainty: 2 um, calibrated: 2026-01-12 }
rotor:
  front:
    width: [79.86 mm, 79.87 mm]  # both sides
    land_height: { value: 1.250 in, gauge: depth-1 }
    apex_seal:
      1: { thickness: 1.99 mm }
concessions:
  - row: rotor.front.side_clearance
    because: customer asked for quick turnaround
  - row: other
";

#[test]
fn a_record_comes_through_in_order() {
    let sheet = clean(RECORD);
    assert_eq!(
        drawn_sheet(&sheet),
        "{build: <K-0147>, finished: <2026-04-18>, gauges: {mic-50-75: {uncertainty: <2 um>, calibrated: <2026-01-12>}}, \
         rotor: {front: {width: [<79.86 mm>, <79.87 mm>], land_height: {value: <1.250 in>, gauge: <depth-1>}, \
         apex_seal: {1: {thickness: <1.99 mm>}}}}, concessions: [{row: <rotor.front.side_clearance>, \
         because: <customer asked for quick turnaround>}, {row: <other>}]}"
    );
}

#[test]
fn the_place_of_a_value_is_what_was_written() {
    let sheet = clean(RECORD);
    assert_eq!(underlined(&sheet, "build"), "K-0147");
    assert_eq!(underlined(&sheet, "rotor.front.width"), "[79.86 mm, 79.87 mm]");
    assert_eq!(underlined(&sheet, "rotor.front.width.1"), "79.87 mm");
    assert_eq!(underlined(&sheet, "gauges.mic-50-75"), "{ uncertainty: 2 um, calibrated: 2026-01-12 }");
    assert_eq!(underlined(&sheet, "rotor.front.apex_seal"), "1: { thickness: 1.99 mm }");
    assert_eq!(
        underlined(&sheet, "concessions"),
        "- row: rotor.front.side_clearance\n    because: customer asked for quick turnaround\n  - row: other"
    );
    assert_eq!(underlined(&sheet, "concessions.1"), "row: other");
}

#[test]
fn letters_of_several_bytes_move_no_place() {
    for (before, line_end) in [("", "\n"), ("\u{feff}", "\n"), ("", "\r\n"), ("\u{feff}# µ° ·\r\n", "\r\n")] {
        let lines =
            ["µ°·: 2 µm   # µ", "b:\t3 µm ·\t4 °C \t", "c: \"µ\\tµ\"", "d: { µ: 'it''s', e: [° , ·] }", "f: 5 mm"];
        let text = format!("{before}{}{line_end}", lines.join(line_end));
        let sheet = clean(&text);
        assert_eq!(underlined(&sheet, "µ°·"), "2 µm");
        assert_eq!(underlined(&sheet, "b"), "3 µm ·\t4 °C");
        assert_eq!(underlined(&sheet, "c"), "\"µ\\tµ\"");
        assert_eq!(underlined(&sheet, "d.µ"), "'it''s'");
        assert_eq!(underlined(&sheet, "d.e"), "[° , ·]");
        assert_eq!(underlined(&sheet, "d.e.1"), "·");
        assert_eq!(underlined(&sheet, "f"), "5 mm");
        assert_eq!(
            drawn_sheet(&sheet),
            "{µ°·: <2 µm>, b: <3 µm ·\t4 °C>, c: <µ\tµ>, d: {µ: <it's>, e: [<°>, <·>]}, f: <5 mm>}"
        );
    }
}

#[test]
fn values_are_text_and_never_a_guess_at_a_type() {
    let words = [
        "NO",
        "no",
        "yes",
        "on",
        "Off",
        "y",
        "012",
        "08",
        "0x1F",
        "0b101",
        "0o17",
        "9:1",
        "190:20:30",
        "1_000",
        "1e3",
        "12e8",
        "1e400",
        "~",
        "null",
        "Null",
        ".inf",
        "-.INF",
        ".nan",
        "+.5",
        "1.10",
        "2026-04-18",
        "=",
        "true",
        "TRUE",
        "0.05#mm",
        "-1",
        "1,5",
        "50 %",
        "3°",
    ];
    for word in words {
        let sheet = clean(&format!("a: {word}\n? {word}\n: - {word}\n"));
        assert_eq!(drawn_sheet(&sheet), format!("{{a: <{word}>, {word}: [<{word}>]}}"));
        let value = sheet.root().unwrap().as_map().unwrap().get("a").unwrap().as_scalar().unwrap();
        assert_eq!((value.is_plain(), value.place().text()), (true, word));
    }
}

#[test]
fn an_empty_value_is_the_empty_text_after_its_colon() {
    let sheet = clean("a:\nb:   # nothing\nc: ''\nd: {e: , f: \"\"}\ng:\n  -\n  - 1\nh :\n");
    assert_eq!(drawn_sheet(&sheet), "{a: <>, b: <>, c: <>, d: {e: <>, f: <>}, g: [<>, <1>], h: <>}");
    let map = sheet.root().unwrap().as_map().unwrap();
    let value = map.get("a").unwrap().as_scalar().unwrap();
    assert!(value.is_plain() && value.span().is_empty());
    assert_eq!(&sheet.source.text()[..value.span().start as usize], "a:");
    let quoted = map.get("c").unwrap().as_scalar().unwrap();
    assert_eq!((quoted.is_plain(), quoted.place().text(), quoted.text_span().unwrap().len()), (false, "''", 0));
}

#[test]
fn long_texts_are_unfolded() {
    let sheet = clean("a: |\n  one\n  two\nb: >-\n  one\n  two\nc: one\n  two\nd: \"one\n  two\\\n   three\\u00b5\"\n");
    assert_eq!(drawn_sheet(&sheet), "{a: <one\ntwo\n>, b: <one two>, c: <one two>, d: <one twothreeµ>}");
    assert_eq!(underlined(&sheet, "a"), "one\n  two");
    assert_eq!(underlined(&sheet, "c"), "one\n  two");
    assert_eq!(underlined(&sheet, "d"), "\"one\n  two\\\n   three\\u00b5\"");
}

#[test]
fn json_is_read_by_the_same_reader() {
    let sheet =
        clean("{\"build\": \"K-1\",\r\n\t\"width\":[\"79.86 mm\", 1.5e3, null, true],\"\\u00b5\": {}, \"l\": []}");
    assert_eq!(drawn_sheet(&sheet), "{build: <K-1>, width: [<79.86 mm>, <1.5e3>, <null>, <true>], µ: {}, l: []}");
    assert_eq!(underlined(&sheet, "width.0"), "\"79.86 mm\"");
    let width = sheet.root().unwrap().as_map().unwrap().get("width").unwrap().as_list().unwrap();
    let first = width.items().next().unwrap().as_scalar().unwrap();
    assert_eq!(sheet.source.slice(first.text_span().unwrap()), "79.86 mm");
}

#[test]
fn an_alias_stands_for_the_value_marked_above() {
    let sheet = clean("a: &m 4.31 kg\nb: &l [1, {x: 2}]\nc: *m\nd: [*l, *m]\ne: 3\n");
    assert_eq!(
        drawn_sheet(&sheet),
        "{a: <4.31 kg>, b: [<1>, {x: <2>}], c: <4.31 kg>, d: [[<1>, {x: <2>}], <4.31 kg>], e: <3>}"
    );
    assert_eq!(underlined(&sheet, "c"), "4.31 kg");
    assert_eq!(underlined(&sheet, "d"), "[*l, *m]");
}

#[test]
fn one_document_may_be_marked_as_such() {
    assert_eq!(drawn_sheet(&clean("%YAML 1.2\n---\na: 1\n...\n")), "{a: <1>}");
    assert_eq!(drawn_sheet(&clean("---\n# nothing\n---\na: 1\n")), "{a: <1>}");
}
