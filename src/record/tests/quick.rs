//! The quick reader puts on the tape what the other does, or refuses.

use super::super::{quick, read_whatever};
use crate::text::Source;
use proptest::prelude::*;
use proptest::sample::select;
use saphyr_parser::{Event, Parser};

/// Pieces a record is made of, and those that break it.
const PIECES: [&str; 48] = [
    "\n",
    "\n",
    "\n",
    "\n  ",
    "\n  ",
    "\n    ",
    "\n      ",
    " ",
    "  ",
    "a",
    "b: ",
    "c:",
    "d : ",
    "rotor:",
    "1: ",
    "front:\n  ",
    "79.86 mm",
    "34 N*m",
    "a-b",
    "x:y",
    ":x",
    "-1",
    "~",
    "<<: ",
    "yes",
    "- ",
    "\n- ",
    "\n  - ",
    "-",
    ", ",
    ",",
    ": ",
    ":",
    "{",
    "{ ",
    "}",
    " }",
    "[",
    "]",
    "\"",
    "\"q\"",
    "'",
    "''",
    "'it''s'",
    "#",
    " # c\n",
    "\n# c",
    "w v",
];

/// A value, written as its depth and the style of what holds it allow.
#[derive(Clone, Debug)]
enum Tree {
    Scalar(&'static str),
    Map(Vec<(u8, Tree)>, bool, &'static str),
    List(Vec<Tree>, bool, &'static str),
}

fn tree() -> impl Strategy<Value = Tree> {
    let scalar =
        select(vec!["79.86 mm", "", "34 N*m", "a b", "'q: #'", "\"z, ]\"", "''", "~", "x#y", "-1", "a:b", "no"]);
    let behind = || select(vec!["", "", "", " # c", "\n", "\n# c", "  "]);
    scalar.prop_map(Tree::Scalar).prop_recursive(5, 40, 6, move |inner| {
        prop_oneof![
            (prop::collection::vec((any::<u8>(), inner.clone()), 0..6), any::<bool>(), behind())
                .prop_map(|(entries, flow, behind)| Tree::Map(entries, flow, behind)),
            (prop::collection::vec(inner, 0..5), any::<bool>(), behind())
                .prop_map(|(items, flow, behind)| Tree::List(items, flow, behind)),
        ]
    })
}

fn written(tree: &Tree, depth: usize, in_flow: bool, text: &mut String) {
    let indent = "  ".repeat(depth);
    match tree {
        Tree::Scalar(scalar) => text.push_str(scalar),
        Tree::Map(entries, flow, _) if *flow || in_flow || entries.is_empty() => {
            text.push_str("{ ");
            for (key, value) in entries {
                text.push_str(&format!("k{key}: "));
                written(value, depth, true, text);
                text.push_str(", ");
            }
            text.push('}');
        }
        Tree::List(items, flow, _) if *flow || in_flow || items.is_empty() => {
            text.push('[');
            for item in items {
                written(item, depth, true, text);
                text.push_str(", ");
            }
            text.push(']');
        }
        Tree::Map(entries, _, behind) => {
            for (key, value) in entries {
                text.push_str(&format!("\n{indent}k{key}: "));
                written(value, depth + 1, false, text);
                text.push_str(behind);
            }
        }
        Tree::List(items, _, behind) => {
            for item in items {
                text.push_str(&format!("\n{indent}- "));
                written(item, depth + 1, false, text);
                text.push_str(behind);
            }
        }
    }
}

/// Whether the quick reader took it; then both have the same.
fn alike(text: &str) -> bool {
    columns_begin_at_lines(text);
    let source = Source::new("record.yaml", text);
    let Some(quick) = quick::read(&source) else { return false };
    let (sheet, findings) = read_whatever(&source);
    assert!(findings.is_empty(), "{text:?}: {findings:?}");
    let sheet = sheet.unwrap();
    let differ = quick.tape.iter().zip(&sheet.tape).find(|(one, other)| one != other);
    assert_eq!(differ, None, "{text:?}");
    assert_eq!(
        (quick.tape.len(), &quick.stored, quick.whole),
        (sheet.tape.len(), &sheet.stored, sheet.whole),
        "{text:?}"
    );
    true
}

/// The quick reader takes it from the library where the line of a value begins.
fn columns_begin_at_lines(text: &str) {
    if !text.bytes().all(|byte| matches!(byte, b' '..=b'~' | b'\n')) {
        return;
    }
    for (event, span) in Parser::new_from_str(text).map_while(Result::ok) {
        let begin = span.start.index();
        // What ends without a bracket, and what is left empty, may stand at the end of the text.
        let looked_at = match event {
            Event::Scalar(..) | Event::MappingStart(..) | Event::SequenceStart(..) => begin < text.len(),
            Event::MappingEnd | Event::SequenceEnd => matches!(text.as_bytes().get(begin), Some(b'}' | b']')),
            _ => false,
        };
        let line = text[..begin].rfind('\n').map_or(0, |at| at + 1);
        assert!(!looked_at || begin.checked_sub(span.start.col()) == Some(line), "{text:?}: {event:?} at {begin}");
    }
}

/// How many cases: `TROCHOID_CASES` for a long run.
fn cases(usual: u32) -> ProptestConfig {
    let cases = std::env::var("TROCHOID_CASES").ok().and_then(|cases| cases.parse().ok()).unwrap_or(usual);
    ProptestConfig { cases, max_shrink_iters: 20_000, ..ProptestConfig::default() }
}

proptest! {
    #![proptest_config(cases(20_000))]

    #[test]
    fn any_pieces_are_taken_alike_or_refused(pieces in prop::collection::vec(select(PIECES.to_vec()), 0..24)) {
        alike(&pieces.concat());
    }

    #[test]
    fn any_tree_is_taken_alike(tree in tree()) {
        let mut text = String::new();
        written(&tree, 0, false, &mut text);
        alike(&text);
    }

    #[test]
    fn a_record_spoilt_is_taken_alike_or_refused(at in any::<prop::sample::Index>(), length in 0_usize..4, piece in select(PIECES.to_vec())) {
        let mut text = super::RECORD.to_owned();
        let begin = at.index(text.len());
        text.replace_range(begin..(begin + length).min(text.len()), piece);
        alike(&text);
    }
}

#[test]
fn what_is_plain_is_taken() {
    let texts = [
        super::RECORD,
        "a: 1\n",
        "{a: [1, 'two', \"three\"], b: {}}",
        "torque: 34 N*m\nnotes: it is 5 N*m\n",
        "a:\n- b\n- c: d\n  e: f\n",
    ];
    let taken: Vec<bool> = texts.iter().map(|text| alike(text)).collect();
    assert_eq!(taken, [true, true, true, true, true]);
    // A key is not longer than 1,024 letters, and may stand as far from its colon.
    for length in [1_000, 1_023, 1_024, 1_025, 1_100, 5_000] {
        let word = "k".repeat(length);
        alike(&format!("{word}: a"));
        alike(&format!("k{}: a", " ".repeat(length)));
        alike(&format!("a: {{ {word}: b }}"));
        alike(&format!("'{word}': b"));
        alike(&format!("{{ '{word}': b, c: d }}"));
        alike(&format!("{{ k{}: b }}", " ".repeat(length)));
        alike(&format!("a: {word}\nb: [{word}, {word}]\n- {word}: b"));
        alike(&format!("- {word}: {word}\n- {word}"));
        alike(&format!("a:{}b", " ".repeat(length)));
        alike(&format!("a: b{}# c\n{}c: d", " ".repeat(length), " ".repeat(length % 3)));
    }
    for deep in [3, 60, 63, 64, 65, 127, 128, 255, 256, 300] {
        alike(&format!("{}a{}", "[".repeat(deep), "]".repeat(deep)));
        alike(&format!("{}a{}", "{ k: ".repeat(deep), " }".repeat(deep)));
        alike(&format!("{}a", "- ".repeat(deep)));
        alike(
            &(0..deep)
                .map(|depth| format!("{}k:\n", " ".repeat(depth)))
                .collect::<String>()
                .replace("k:\n\n", "k: a\n"),
        );
    }
    let refused = [
        "",
        "# nothing",
        "a: 1\na: 2",
        "a:\nb: 1",
        "a: µ",
        "a: \"\\n\"",
        "a: &x 1",
        "a: *x",
        "*x",
        "--- a",
        "a:\tb",
        "a: |\n b",
        "a\r\n",
        "[a: b]",
        "? a",
    ];
    for text in refused {
        assert!(!alike(text), "{text:?}");
    }
}

#[test]
fn most_records_of_the_example_shop_are_plain() {
    let builds = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/kestrel/builds");
    let (mut taken, mut all) = (0, 0);
    for entry in std::fs::read_dir(builds).unwrap() {
        taken += usize::from(alike(&std::fs::read_to_string(entry.unwrap().path()).unwrap()));
        all += 1;
    }
    assert!(all >= 20 && taken * 2 > all, "{taken} of {all}");
}
