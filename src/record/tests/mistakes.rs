//! One mistake at a time, then several: what is said, what is underlined, and what is still read.

use super::*;

/// What is read of a text, and its findings as `code: underlined`.
fn told(text: &str) -> (String, Vec<String>) {
    let (sheet, findings) = read(&source(text));
    if !findings.is_empty() {
        for finding in &findings {
            let (place, label) = finding.place.as_ref().unwrap();
            assert!(label.split(' ').count() <= 3, "{label}");
            assert!(text.get(place.span.range()).is_some(), "{finding:?}");
            assert!(!finding.message.ends_with('.') && !finding.message.contains("invalid"), "{}", finding.message);
        }
    }
    let drawn = sheet.as_ref().map_or_else(|| "none".to_owned(), drawn_sheet);
    let said = findings.iter().map(|finding| {
        let (place, _) = finding.place.as_ref().unwrap();
        format!("{}: {}", finding.code, place.text())
    });
    (drawn, said.collect())
}

#[track_caller]
fn tells(text: &str, read: &str, said: &[&str]) {
    let (drawn, findings) = told(text);
    assert_eq!(
        (drawn.as_str(), findings),
        (read, said.iter().map(|line| (*line).to_owned()).collect()),
        "for {text:?}"
    );
}

#[track_caller]
fn message(text: &str) -> String {
    read(&source(text)).1.first().unwrap().message.clone()
}

#[test]
fn a_record_with_nothing_in_it_is_said() {
    for text in
        ["", "\n \r\n", "# only this\n", "\u{feff}", "\u{feff}# µ\r\n", "---\n", "---\n...\n", "---\n---\n# x\n"]
    {
        tells(text, "none", &["record-empty: "]);
    }
}

#[test]
fn what_is_no_yaml_is_underlined_and_left_out() {
    for (text, read, said) in [
        ("a: \"µ\nb: 2\n", "{b: <2>}", "\"µ"),
        ("a: 'it's'\nb: 2\n", "{b: <2>}", "s'"),
        ("a: \"x\\qy\"\nb: 2\n", "{b: <2>}", "\"x\\qy\""),
        ("µ: [1, 2\r\nb: 2\r\n", "{b: <2>}", "["),
        ("a: {x: 1\n  y: 2\nb: 2\n", "{b: <2>}", "{"),
        ("a: {b: 1]\nc: 2\n", "{c: <2>}", "{"),
        ("a: [1, 2]]\nb: 2\n", "{b: <2>}", "]"),
        ("a: [1,\n2,\n@]\nb: 2\n", "{b: <2>}", "@]"),
        ("a: µ: c\nd: 2\n", "{d: <2>}", ":"),
        ("a: 1\n  b: 2\nc: 3\n", "{a: <1>, c: <3>}", ":"),
        ("a: 1\nfoo bar # x\nb: 2\n", "{a: <1>, b: <2>}", "foo bar # x"),
        ("a: ·\n- 1\nb: 2\n", "{a: <·>, b: <2>}", "-"),
        ("- 1\na: 2\n", "[<1>]", "a:"),
        ("a: @x\nb: 2\n", "{b: <2>}", "@x"),
        ("a: 5%\nb: %x\n", "{a: <5%>}", "%x"),
        ("µ: a\0b\nb: 2\n", "{b: <2>}", "\0"),
        ("a: 1\n\u{feff}b: 2\n", "{a: <1>}", "\u{feff}"),
        ("a: |x\n  y\nb: 2\n", "{b: <2>}", "|x"),
        ("a: \"x\"#c\nb: 2\n", "{b: <2>}", "#c"),
        ("%FOO bar\na: 1\n", "{a: <1>}", "%FOO bar"),
        ("a: *x\nb: 2\n", "{b: <2>}", "*x"),
        ("a: &\nb: 2\n", "{b: <2>}", "&"),
        ("{\"a\": 1, \"b\": 2 \"c\": 3}", "{a: <1>}", ":"),
        ("{\"a\": 1,\n \"b\": 2 3 \"µ\",\n \"c\": 4, , \"d\": 4\n}\n", "{a: <1>, b: <2 3 \"µ\">}", ","),
        ("[", "none", "["),
        ("'", "none", "'"),
    ] {
        tells(text, read, &[&format!("yaml-unreadable: {said}")]);
        assert!(!super::read(&source(text)).0.is_some_and(|sheet| sheet.is_whole()), "{text:?}");
    }
}

#[test]
fn a_tab_before_a_line_has_its_own_words() {
    let words = "a tab indents this line; YAML takes spaces only";
    for (text, read) in [
        ("a: 1\n\tb: 2\nc: 3\n", "{a: <1>, c: <3>}"),
        ("a:\n\tb: 2\n\tc:\n\t\td: µ\ne: 3\n", "{a: {b: <2>, c: {d: <µ>}}, e: <3>}"),
        ("µ:\r\n\t- 1\r\n\t- 2\r\nb: 1\r\n", "{µ: [<1>, <2>], b: <1>}"),
        ("\ta: 1\n", "{a: <1>}"),
        ("a:\n  \tb: 2\n", "{a: {b: <2>}}"),
        ("a:\n  b: 1\n\tc: 2\nd:\n\te: 1\nf: 2\n", "{a: {b: <1>}, f: <2>}"),
    ] {
        tells(text, read, &["yaml-unreadable: \t"]);
        assert_eq!(message(text), words);
    }
    let help = read(&source("a:\n\tb: 2\n\tc: 3\n")).1.first().unwrap().help.clone().unwrap();
    assert!(help.contains("before this line and 1 more"), "{help}");
    clean("a: 1 mm\t# worn\n# x\n\t# y\nb:\t2\nc: [1,\n\t2]\n");
}

#[test]
fn the_sentence_says_what_to_mend() {
    for (text, words) in [
        ("a: b: c\n", "a second `: ` stands in one line, so the value cannot be told from a key"),
        ("a: [1\nb: 2\n", "the bracket `[` is not closed"),
        ("a: {x: [1}\n", "the bracket `[` is closed by `}`"),
        ("a: `x`\n", "a value cannot begin with a backtick"),
        ("a: \u{7}\n", "the character U+0007 is not allowed in YAML"),
        ("a: *important*\n", "`*important*` repeats a value marked `&important*`, and there is none above"),
    ] {
        assert_eq!(message(text), words);
    }
}

#[test]
fn mistakes_do_not_hide_each_other() {
    tells(
        "rotor:\n  front: \"x\n  rear:\n    w: µ\n    v: [1, 2\n    u: 3\n    u: 4\n  rear: 2\nend: ° 2\nlast: b: c\n",
        "{rotor: {rear: {w: <µ>, u: <3>}}, end: <° 2>}",
        &["yaml-unreadable: \"x", "yaml-unreadable: [", "key-twice: u", "key-twice: rear", "yaml-unreadable: :"],
    );
    // Each mark left open is found, and not paired with the next one.
    tells(
        "a: \"x\ngood: {µ: 1}\nb: 'x\nc: ['y, 2]\nd: \"z\"\n",
        "{good: {µ: <1>}, d: <z>}",
        &["yaml-unreadable: \"x", "yaml-unreadable: 'x", "yaml-unreadable: 'y, 2]"],
    );
    // A key with nothing left of its value says nothing, rather than that it is empty.
    tells("rotor: # worn\n  front: \"x\n\n# y\nend: 2\n", "{end: <2>}", &["yaml-unreadable: \"x"]);
    tells("rotor:\nfront: \"x\nend: 2\n", "{end: <2>}", &["yaml-unreadable: \"x"]);
}

#[test]
fn after_many_mistakes_what_is_whole_is_kept() {
    let mut text = String::from("first: 1\n");
    for number in 0..40 {
        text.push_str(&format!("bad{number}: \"x\ngood{number}: {{a: 1, b: [1, 2]}}\n"));
    }
    let (sheet, findings) = read(&source(&text));
    assert_eq!(findings.len(), MOST_MISTAKES + 1);
    assert!(findings.last().unwrap().notes.iter().any(|note| note.text == wording::REST_LEFT_OUT));
    let sheet = sheet.unwrap();
    let map = sheet.root().unwrap().as_map().unwrap();
    assert_eq!(map.len(), 17);
    assert_eq!(drawn(map.get("good15").unwrap()), "{a: <1>, b: [<1>, <2>]}");
}

#[test]
fn a_list_that_breaks_off_is_not_a_shorter_list() {
    tells("{\"a\": 1,\n \"b\": [1, 2, \"µ\" 3],\n \"c\": 2}", "{a: <1>, c: <2>}", &["yaml-unreadable: 3],"]);
    let bad = "- @\n".repeat(MOST_MISTAKES + 1);
    let (sheet, _) = read(&source(&format!("a: 1\nb:\n- 1\n{bad}- 2\nc: 3\n")));
    assert_eq!(drawn_sheet(&sheet.unwrap()), "{a: <1>}");
}

#[test]
fn a_key_said_twice_keeps_its_first_value() {
    tells(
        "a: 1\nµ: {x: 2, 'x': 3}\na: {y: [4]}\nb: 5\n",
        "{a: <1>, µ: {x: <2>}, b: <5>}",
        &["key-twice: 'x'", "key-twice: a"],
    );
    let (_, findings) = read(&source("µ: 1\nb: 2\n\"\\u00b5\": 3\n"));
    assert_eq!(findings[0].because[0].0.line_column().line, 1);
    assert_eq!(findings[0].place.as_ref().unwrap().0.text(), "\"\\u00b5\"");
    // The same key in another map is another key.
    clean("a: {x: 1}\nb: {x: 1, y: {x: 2}}\nc: [{x: 1}, {x: 1}]\n");
    tells("&k a: 1\nb: 2\n*k : 3\n", "{a: <1>, b: <2>}", &["key-twice: *k"]);
}

#[test]
fn among_100_000_keys_the_one_said_twice_is_found() {
    let mut text = String::new();
    for number in 0..100_000 {
        text.push_str(&format!("k{number}: 1\n"));
    }
    text.push_str("k99999: 2\nk3: 2\n");
    let (sheet, findings) = read(&source(&text));
    let said: Vec<&str> = findings.iter().map(|finding| finding.because[0].0.text()).collect();
    assert_eq!(said, ["k99999", "k3"]);
    assert_eq!(sheet.unwrap().root().unwrap().as_map().unwrap().len(), 100_000);
}

#[test]
fn what_is_nested_too_deep_is_left_out() {
    let nested = |deep: usize| format!("a: {}1{}\nb: 2\n", "[".repeat(deep), "]".repeat(deep));
    let sheet = clean(&nested(MOST_DEEP - 1));
    assert_eq!(sheet.tape().len(), MOST_DEEP + 4);
    let (drawn, said) = told(&nested(MOST_DEEP));
    assert_eq!(said, ["record-too-deep: ["]);
    assert_eq!(drawn, format!("{{a: {}{}, b: <2>}}", "[".repeat(MOST_DEEP - 1), "]".repeat(MOST_DEEP - 1)));
    for opening in ["[", "{a: ", "- ", "? "] {
        let closing = match opening {
            "[" => "]",
            "{a: " => "}",
            _ => "",
        };
        let text = format!("{}x{}\n", opening.repeat(10_000), closing.repeat(10_000));
        let (_, findings) = read(&source(&text));
        let too_deep = findings.iter().any(|finding| finding.code == Code::RecordTooDeep);
        assert!(too_deep || opening == "? ", "{opening:?}: {findings:?}");
        let (_, findings) = read(&source(&opening.repeat(10_000)));
        assert!(!findings.is_empty());
    }
    let (drawn, said) = told(&format!("a: {}\nb: 2\n", "[".repeat(300)));
    assert_eq!((drawn.as_str(), said), ("{b: <2>}", vec!["record-too-deep: [".to_owned()]));
}

#[test]
fn aliases_that_unfold_for_ever_are_stopped() {
    tells("a: &x [1, *x]\nb: 2\n", "{a: [<1>], b: <2>}", &["alias-too-large: *x"]);
    tells("a: &µ {b: {c: *µ}, d: 1}\n", "{a: {b: {}, d: <1>}}", &["alias-too-large: *µ"]);
    let mut bomb = String::from("a0: &a0 [x, x, x, x, x, x, x, x, x]\n");
    for level in 1..30 {
        let items = vec![format!("*a{}", level - 1); 9].join(", ");
        bomb.push_str(&format!("a{level}: &a{level} [{items}]\n"));
    }
    bomb.push_str("end: 1\n");
    let (sheet, findings) = read(&source(&bomb));
    assert_eq!(findings.iter().map(|finding| finding.code).collect::<Vec<_>>(), [Code::AliasTooLarge]);
    let sheet = sheet.unwrap();
    assert!(sheet.tape().len() < MOST_UNFOLDED + 1_000 && !sheet.is_whole());
    assert_eq!(underlined(&sheet, "end"), "1");
    // Aliases in aliases may not nest deeper than what is written out.
    let mut chain = String::from("a0: &a0 [x]\n");
    for level in 1..200 {
        chain.push_str(&format!("a{level}: &a{level} [*a{}]\n", level - 1));
    }
    let (sheet, findings) = read(&source(&chain));
    assert!(findings.iter().any(|finding| finding.code == Code::RecordTooDeep));
    let depth = sheet.unwrap().root().map_or(0, depth);
    assert_eq!(depth, MOST_DEEP);
}

fn depth(node: Node<'_>) -> usize {
    match node {
        Node::Map(map) => 1 + map.entries().map(|(_, value)| depth(value)).max().unwrap_or(0),
        Node::List(list) => 1 + list.items().map(depth).max().unwrap_or(0),
        Node::Scalar(_) => 0,
    }
}

#[test]
fn a_second_document_is_said_and_not_read() {
    tells("a: µ\n---\na: 2\n", "{a: <µ>}", &["documents-many: ---"]);
    tells("a: 1\r\n...\r\nb: 2\r\n", "{a: <1>}", &["documents-many: b:"]);
    tells("--- 1\n--- 2\n", "<1>", &["documents-many: ---"]);
}

#[test]
fn what_a_record_cannot_hold_is_said_and_the_rest_is_read() {
    tells(
        "µ: !!int 5\nb: !foo {c: 1}\nd: ! x\n",
        "{µ: <5>, b: {c: <1>}, d: <x>}",
        &["yaml-unsupported: !!int", "yaml-unsupported: !foo", "yaml-unsupported: !"],
    );
    tells("a: !e!x 1\nb: 2\n", "{b: <2>}", &["yaml-unsupported: !e!x"]);
    tells("? [a, {b: c}]\n: {d: 1}\n? {x: 1}\nb: 2\n", "{b: <2>}", &["yaml-unsupported: [", "yaml-unsupported: {"]);
    tells(
        "m: &m {x: 1}\na: {<<: *m, y: 2}\n*m : 3\n",
        "{m: {x: <1>}, a: {y: <2>}}",
        &["yaml-unsupported: <<", "yaml-unsupported: *m"],
    );
    clean("a: {'<<': 1}\nb: '!x'\n");
}
