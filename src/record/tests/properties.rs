//! Properties that hold for every text.

use proptest::prelude::*;

use super::*;

/// Every span is inside the text and inside the span of what holds it; a plain text is what is written at its place.
fn places_are_sound(node: Node<'_>, written_out: bool) {
    let source = &node.sheet().source;
    assert!(source.text().get(node.span().range()).is_some(), "{:?}", node.span());
    let held = |inner: Node<'_>| {
        let (outer, inner) = (node.span(), inner.span());
        assert!(!written_out || (outer.start <= inner.start && inner.end <= outer.end), "{inner:?} not in {outer:?}");
    };
    match node {
        Node::Map(map) => {
            let mut keys = std::collections::BTreeSet::new();
            for (key, value) in map.entries() {
                assert!(keys.insert(key.text()), "{} twice", key.text());
                places_are_sound(Node::Scalar(key), written_out);
                held(Node::Scalar(key));
                held(value);
                places_are_sound(value, written_out);
            }
            assert_eq!(keys.len(), map.len());
        }
        Node::List(list) => {
            assert_eq!(list.items().count(), list.len());
            list.items().for_each(|item| {
                held(item);
                places_are_sound(item, written_out);
            });
        }
        Node::Scalar(scalar) => {
            if let Some(span) = scalar.text_span() {
                assert_eq!(source.slice(span), scalar.text());
                assert!(scalar.span().start <= span.start && source.text().get(span.range()).is_some());
            }
            let written = source.slice(scalar.span());
            if scalar.is_plain() && !written.contains(['\n', '\r']) {
                assert_eq!(written, scalar.text());
            }
        }
    }
}

pub(super) fn check(text: &str) {
    let (sheet, findings) = read(&source(text));
    for finding in &findings {
        for (place, _) in finding.place.iter().chain(&finding.because) {
            assert!(text.get(place.span.range()).is_some(), "{finding:?}");
        }
    }
    match sheet {
        Some(sheet) => {
            assert!(sheet.is_whole() || !findings.is_empty());
            // What is packed comes out again as it was.
            assert_eq!(Sheet::unpacked(&sheet.source, &sheet.packed()).as_ref(), Some(&sheet));
            places_are_sound(sheet.root().unwrap(), !text.contains('*'));
        }
        None => assert!(!findings.is_empty()),
    }
}

/// A record made at random, as a tree.
#[derive(Clone, Debug)]
enum Made {
    Text(String),
    List(Vec<Made>),
    Map(Vec<(String, Made)>),
}

fn made() -> impl Strategy<Value = Made> {
    let text = prop_oneof![
        "[A-Za-zµ°][A-Za-z0-9 µ°·.,/-]{0,11}[a-z0-9]",
        "-?[0-9]{1,3}\\.[0-9]{1,3} (mm|µm|kg|°C)",
        "[ -~µ\n\t]{0,10}",
    ];
    text.prop_map(Made::Text).prop_recursive(4, 40, 5, |inner| {
        prop_oneof![
            prop::collection::vec(inner.clone(), 0..5).prop_map(Made::List),
            prop::collection::vec(("[a-zµ_]{1,6}", inner), 0..5).prop_map(Made::Map),
        ]
    })
}

fn value(made: &Made) -> serde_yaml::Value {
    match made {
        Made::Text(text) => text.as_str().into(),
        Made::List(items) => items.iter().map(value).collect::<Vec<_>>().into(),
        Made::Map(entries) => {
            let mut map = serde_yaml::Mapping::new();
            for (key, made) in entries {
                map.insert(key.as_str().into(), value(made));
            }
            map.into()
        }
    }
}

fn same(node: Node<'_>, other: &serde_yaml::Value) -> bool {
    use serde_yaml::Value;
    match (node, other) {
        (Node::Map(map), Value::Mapping(other)) => {
            map.len() == other.len()
                && map.entries().zip(other).all(|((key, value), (other_key, other))| {
                    Some(key.text()) == other_key.as_str() && same(value, other)
                })
        }
        (Node::List(list), Value::Sequence(other)) => {
            list.len() == other.len() && list.items().zip(other).all(|(item, other)| same(item, other))
        }
        (Node::Scalar(scalar), Value::String(other)) => scalar.text() == other,
        _ => false,
    }
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn no_text_is_too_odd(text in "\\PC{0,60}") {
        check(&text);
    }

    #[test]
    fn no_near_yaml_is_too_odd(text in "(a|b|µ|1|: |:|- |-|\n|\n  |\n    |\r\n|\t| |\\[|\\]|\\{|\\}|, |\"|'|#| #|&x |\\*x|!t |\\||>|\\? |<<|---|\\.\\.\\.|%|~|\\\\|\u{feff}|@|\0){0,40}") {
        check(&text);
    }

    #[test]
    fn a_record_with_a_hole_or_a_letter_too_many_is_read(at in 0usize..500, length in 0usize..6, more in "[\\[\\]{}:,'\"#&*!|>%@`\t\n -]{0,2}") {
        let letters: Vec<char> = RECORD.chars().collect();
        let at = at.min(letters.len());
        let text: String =
            letters[..at].iter().copied().chain(more.chars()).chain(letters.iter().copied().skip(at + length)).collect();
        check(&text);
    }

    #[test]
    fn another_reader_reads_the_same(made in made()) {
        let value = value(&made);
        for text in [serde_yaml::to_string(&value).unwrap(), serde_json::to_string_pretty(&value).unwrap()] {
            let sheet = read(&source(&text)).0;
            match sheet {
                Some(sheet) => {
                    prop_assert!(same(sheet.root().unwrap(), &value), "{text:?} reads {}", drawn_sheet(&sheet));
                    check(&text);
                }
                None => prop_assert!(value.as_str() == Some("") , "{text:?}"),
            }
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    /// What was packed beside another text, or was never packed, is no sheet that reaches outside the text.
    #[test]
    fn what_is_unpacked_stays_inside_the_text(
        steps in prop::collection::vec(prop_oneof![-3_i32..12, any::<i32>()], 0..40),
        stored in "\\PC{0,8}",
        whole: bool,
        text in "\\PC{0,40}",
        junk in prop::collection::vec(any::<u8>(), 0..40),
    ) {
        let packed = postcard::to_allocvec(&(steps, stored, whole)).unwrap();
        for bytes in [&packed, &junk] {
            let Some(sheet) = Sheet::unpacked(&source(&text), bytes) else { continue };
            for token in sheet.tape() {
                let span = match token {
                    Token::Map(branch) | Token::List(branch) => branch.span,
                    Token::Scalar(scalar) => scalar.span,
                };
                prop_assert!(text.get(span.range()).is_some());
            }
            if let Some(root) = sheet.root() {
                // No walk may run for ever or panic; what it finds is nonsense.
                let mut left = vec![root];
                let mut walked = 0;
                while let Some(node) = left.pop() {
                    walked += 1;
                    if walked > 1000 { break; }
                    match node {
                        Node::Map(map) => left.extend(map.entries().take(50).map(|(_, value)| value)),
                        Node::List(list) => left.extend(list.items().take(50)),
                        Node::Scalar(scalar) => drop(scalar.text().to_owned()),
                    }
                }
            }
        }
    }
}
