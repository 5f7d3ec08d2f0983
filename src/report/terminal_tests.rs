//! Reads drawings as a mechanic does: what stands above the underline is what the finding is about.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::string_slice,
    reason = "a test may stop at the first surprise"
)]

use super::*;
use crate::finding::{Code, NoteKind};
use crate::text::{Place, Source, Span};

const LOOK: Look = Look::PLAIN;

/// The place of the first `wanted` in a source.
fn place(source: &Source, wanted: &str) -> Place {
    let at = source.text().find(wanted).expect("the text has it");
    source.place(Span::new(at, at + wanted.len()))
}

/// What stands above each underline of a drawing, one text an underline, with the number of its line in its file.
fn underlined(drawing: &str) -> Vec<(usize, String)> {
    let mut found = Vec::new();
    let (mut number, mut above) = (0, Vec::new());
    for line in drawing.lines() {
        if let Some(at) = line.strip_prefix("  where    ") {
            number = at.split(':').nth(1).and_then(|line| line.parse().ok()).expect("a place has a line");
        } else if line.contains('━') {
            let cells: &Vec<char> = &above;
            let marked = line.chars().enumerate().filter(|(_, mark)| *mark == '━');
            found.push((number, marked.map(|(column, _)| *cells.get(column).unwrap_or(&'¬')).collect()));
        } else {
            // A letter that takes two columns stands in both, one that takes none in neither.
            above = line.chars().flat_map(|letter| std::iter::repeat_n(letter, style::columns(letter))).collect();
        }
    }
    found
}

fn drawn(text: &str, wanted: &str) -> (String, Vec<(usize, String)>) {
    let source = Source::new("k-0147.yaml", text);
    let finding =
        Finding::new(Code::RowOut, "seal 1: bow is over its limit").at(place(&source, wanted), "measured here");
    let drawing = draw(&finding, LOOK);
    let marks = underlined(&drawing);
    (drawing, marks)
}

#[test]
fn record_and_rulebook_are_both_underlined() {
    let record = Source::new("k-0147.yaml", "build: K-0147\nrotor:\n  front:\n    width: 79.87 mm\n    mass: 4 kg\n");
    let book = Source::new(
        "third.rulebook",
        "a\nb\n  rotor.side_clearance  standard 0.12 to 0.21 mm  limit at least 0.10 mm\n",
    );
    let finding = Finding::new(
        Code::RowOut,
        "rotor front: side clearance is 0.09 mm, 0.01 mm under its limit of 0.10 mm, and the message goes on",
    )
    .at(place(&record, "79.87 mm"), "measured here")
    .since(place(&book, "at least 0.10 mm"), "declared here")
    .note(NoteKind::Because, "Too little and the rotor's sides scuff the irons when hot; too much and gas passes.")
    .note(NoteKind::Source, "from memory")
    .help("surface the rotor lands");
    let drawing = draw(&finding, LOOK);
    assert_eq!(underlined(&drawing), [(4, "79.87 mm".to_string()), (3, "at least 0.10 mm".to_string())], "{drawing}");
    // Read from the top: what was measured, why it matters, what to do, and only then where it stands.
    let mut rest = drawing.as_str();
    for said in [
        "  fault    rotor front: side clearance is 0.09 mm",
        "\n  because  Too little",
        "\n  to do    surface the rotor lands\n",
        "\n  source   from memory\n",
        "\n  code     row-out\n",
        "\n  where    k-0147.yaml:4:12: measured here\n",
        "\n  where    third.rulebook:3:57: declared here\n",
    ] {
        let at = rest.find(said).unwrap_or_else(|| panic!("{said} comes next in\n{drawing}"));
        rest = &rest[at + said.len() - 1..];
    }
    assert!(drawing.lines().all(|line| style::width(line) <= 80), "{drawing}");
}

#[test]
fn no_letter_moves_the_underline() {
    for (text, wanted) in [
        ("note: µµµ°C·Ω\nbow: { at: 20 °C, value: 70 µm }\n", "70 µm"),
        ("\tbow:\t70 µm\t# after\n", "70 µm"),
        ("a: 1\r\nbow: 70 µm\r\nb: 2\r\n", "70 µm"),
        ("\u{feff}bow: 70 µm\n", "70 µm"),
        ("\u{feff}bow: 70 µm\r\nb: 2", "bow"),
        ("note: 寸法 bow: 70 µm", "70 µm"),
        ("note: e\u{301}e\u{301} bow: 70 µm", "70 µm"),
        ("bow: 70 µm", "70 µm"),
        ("\"\u{1b}[31m\u{7}\": bow 70 µm\n", "70 µm"),
        ("\"\u{202e}\u{200b}\": bow 70 µm\n", "70 µm"),
        ("x: \u{85} \u{2028} 70 µm\n", "70 µm"),
    ] {
        let (drawing, marks) = drawn(text, wanted);
        assert_eq!(marks.len(), 1, "{text:?}\n{drawing}");
        assert_eq!(marks[0].1, wanted, "{text:?}\n{drawing}");
        assert!(!drawing.chars().any(|letter| letter != '\n' && style::is_hidden(letter)), "{drawing:?}");
    }
}

#[test]
fn the_place_printed_is_the_place_in_the_file() {
    let (drawing, _) = drawn("\u{feff}one: µ\r\n\tbow:\t70 µm\r\n", "70 µm");
    assert!(drawing.contains(" k-0147.yaml:2:7: "), "{drawing}");
}

#[test]
fn a_long_line_is_shown_around_its_place() {
    let many = "reading: 1 mm, ".repeat(2000);
    for text in [
        format!("{{ {many} bow: 70 µm, {many} }}"),
        format!("{{ {many} bow: 70 µm }}"),
        format!("bow: 70 µm, {many}"),
        format!("{}70 µm", "\t".repeat(500)),
        format!("{} 70 µm {many}", "寸".repeat(500)),
    ] {
        let (drawing, marks) = drawn(&text, "70 µm");
        assert_eq!(marks, [(1, "70 µm".to_string())], "{drawing}");
        assert!(drawing.lines().all(|line| style::width(line) <= 80), "{drawing}");
        assert!(drawing.contains('…'), "{drawing}");
    }
}

#[test]
fn a_place_over_several_lines_shows_its_beginning() {
    let (drawing, marks) = drawn("part rotor {\n  mass : kg\n}\n", "rotor {\n  mass : kg\n}");
    assert_eq!(marks, [(1, "rotor {".to_string())], "{drawing}");
}

#[test]
fn every_place_has_its_own_line_in_the_order_given() {
    let text: String = (1..=40).map(|line| format!("line {line} here\n")).collect();
    let source = Source::new("a.rulebook", text);
    let finding = Finding::new(Code::NameTaken, "mass is declared twice")
        .at(place(&source, "30 here"), "again")
        .since(place(&source, "line 30"), "overlaps")
        .since(place(&source, "28"), "near")
        .since(place(&source, "line 2 "), "far");
    let marks = underlined(&draw(&finding, LOOK));
    let texts: Vec<&str> = marks.iter().map(|(_, text)| text.as_str()).collect();
    assert_eq!(texts, ["30 here", "line 30", "28", "line 2 "]);
    assert_eq!(marks.iter().map(|(line, _)| *line).collect::<Vec<_>>(), [30, 30, 28, 2]);
}

#[test]
fn an_end_without_text_is_still_pointed_at() {
    for text in ["", "a\n", "a\n\n", "a", "\r\n", "\u{feff}"] {
        let source = Source::new("a.rulebook", text);
        let finding = Finding::new(Code::HeaderMissing, "the book does not begin with `rulebook`")
            .at(source.place(Span::new(text.len(), text.len())), "nothing here")
            .since(source.place(Span::new(900, 950)), "past the end");
        let drawing = draw(&finding, LOOK);
        assert_eq!(drawing.matches('↑').count(), 2, "{text:?}\n{drawing}");
        assert!(drawing.contains("nothing here"), "{drawing}");
    }
}

#[test]
fn colours_are_the_only_escapes_and_only_when_asked_for() {
    let record = Source::new("k\u{1b}[0m.yaml", "bow\u{1b}[5m: 70 µm\u{9b}5m\n");
    let finding = Finding::new(Code::RowOut, "seal\u{1b}]0;title\u{7}: out")
        .at(place(&record, "70 µm"), "here\u{1b}[2J")
        .note(NoteKind::Remedy, "fit\u{1b}[2Janother")
        .help("measure\u{1b}c");
    assert!(!draw(&finding, LOOK).contains('\u{1b}'));
    let coloured = draw(&finding, Look { colour: true, ..LOOK });
    for escape in coloured.split('\u{1b}').skip(1) {
        let end = escape.find('m').expect("a colour ends in m");
        assert!(
            escape.starts_with('[') && escape[1..end].chars().all(|c| c.is_ascii_digit() || c == ';'),
            "{escape:?}"
        );
    }
    let escapes = coloured.matches('\u{1b}').count();
    assert!(escapes > 4 && !coloured.contains("\u{1b}[5m") && !coloured.contains("\u{1b}[2J"), "{coloured:?}");
}

#[test]
fn ascii_is_enough() {
    let record = Source::new("k.yaml", "bow\u{1b}: 70 um\n");
    let finding = Finding::new(Code::RowWorn, "seal 1: bow is 70 um").at(place(&record, "70 um"), "measured here");
    let drawing = draw(&finding, Look { unicode: false, ..LOOK });
    assert!(drawing.is_ascii(), "{drawing}");
    assert!(drawing.starts_with("  warning  seal 1"), "{drawing}");
    assert!(drawing.ends_with("measured here\n           bow?: 70 um\n                 =====\n"), "{drawing}");
}

mod anything {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(300))]
        #[test]
        fn any_finding_on_any_text_is_drawn(
            text in "[a\t\r\n µ寸\u{1b}\u{feff}\u{301}\u{202e}]{0,200}",
            places in proptest::collection::vec((0usize..250, 0usize..20), 1..5),
            width in 40usize..100,
        ) {
            let source = Source::new("a.yaml", text);
            let mut finding = Finding::new(Code::RowOut, "a message");
            for (number, (start, length)) in places.iter().enumerate() {
                let place = source.place(Span::new(*start, start + length));
                finding = if number == 0 { finding.at(place, "first") } else { finding.since(place, "then") };
            }
            let drawing = draw(&finding, Look { width, ..LOOK });
            prop_assert_eq!(drawing.matches("first").count(), 1, "{}", drawing);
            prop_assert_eq!(drawing.matches("then").count(), places.len() - 1, "{}", drawing);
            prop_assert!(!drawing.chars().any(|letter| letter != '\n' && style::is_hidden(letter)));
        }
    }
}
