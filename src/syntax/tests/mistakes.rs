//! Mistakes people make, each with the code it gets, the text it underlines and the help it offers.

use super::{HEADER, read, rows, underlined};
use crate::finding::Code::{self, *};
use crate::finding::Finding;
use crate::syntax::parse;
use crate::text::Source;

/// One mistake: what is written, the code, the text underlined, and what the help says somewhere (empty: no help).
type Mistake = (&'static str, Code, &'static str, &'static str);

fn check(wrap: (&str, &str), mistakes: &[Mistake]) {
    for (text, code, under, help) in mistakes {
        let (_, findings) = read(&format!("{}{text}{}", wrap.0, wrap.1));
        check_one(text, &findings, *code, under, help);
    }
}

fn check_one(text: &str, findings: &[Finding], code: Code, under: &str, help: &str) {
    let [finding] = findings else { panic!("{text}: {findings:#?}") };
    assert_eq!(finding.code, code, "{text}: {finding:?}");
    assert_eq!(underlined(finding), under, "{text}: {finding:?}");
    match (&finding.help, help) {
        (None, "") => {}
        (Some(said), help) if !help.is_empty() => assert!(said.contains(help), "{text}: {said}"),
        (said, _) => panic!("{text}: {said:?}"),
    }
}

#[test]
fn headers() {
    let mistakes: [Mistake; 8] = [
        ("rulbook \"X\" edition 2026-03-01", WordUnexpected, "rulbook", "'rulebook'"),
        ("rulebook \"X\" editon 2026-03-01", WordUnexpected, "editon", "'edition'"),
        ("rulebook \"X\" edition 2026-02-30", DateWrong, "2026-02-30", "year-month-day"),
        ("rulebook \"X\" edition 1.3.2026", DateWrong, "1.3.2026", "2026-03-01"),
        ("rulebook \"X\" edition 2026/03/01", DateWrong, "2026/03/01", "2026-03-01"),
        ("rulebook \"X edition 2026-03-01", QuoteOpen, "\"X edition 2026-03-01", "write '\"'"),
        ("rulebook “X” edition 2026-03-01", TextUnexpected, "“X”", "straight"),
        ("# nothing yet", HeaderMissing, "", "rulebook \""),
    ];
    for (text, code, under, help) in mistakes {
        let (_, findings) = parse(&Source::new("a", text));
        check_one(text, &findings, code, under, help);
    }
    let (tree, findings) = read("source a \"b\"\nrulebook \"Other\" edition 2026-03-02\n");
    check_one("twice", &findings, WordUnexpected, "rulebook", "one header");
    assert_eq!(&*tree.header.unwrap().title.text, "Test");
}

#[test]
fn declarations() {
    check(
        ("", "\nsource other \"b\"\n"),
        &[
            ("unit mm : 0.001 m", TextUnexpected, ":", "'='"),
            ("unit µm = 0.001 mm", TextUnexpected, "µm", "\"µm\""),
            ("unit x = 1 K zreo at 3 K", WordUnexpected, "zreo", "'zero at'"),
            ("unit x =", TextUnexpected, "=", "after '='"),
            ("unit x = 1 K zero at 27class", TextUnexpected, "27class", ""),
            ("class letter = A, B C", TextUnexpected, "C", "comma between 'B' and 'C'"),
            ("class letter = A, limit, C", NameReserved, "limit", "another name"),
            ("part source at front { }", NameReserved, "source", "another name"),
            ("part rotor at front rear { mass : kg }", TextUnexpected, "rear", "comma between 'front' and 'rear'"),
            ("prat rotor { mass : kg }", WordUnexpected, "prat", "'part'"),
            ("Unit x = 3", WordUnexpected, "Unit", "'unit'"),
            ("foo bar baz", WordUnexpected, "foo", "begin with rulebook"),
            ("tighten a.b standard 3 to 4", WordUnexpected, "tighten", ""),
            ("table x(speed: rpm) : number = 200 rpm, 0.86", TextUnexpected, ",", "write `:`"),
            ("derive x : mm = 3", WordUnexpected, "derive", ""),
            ("use foo.rulebook", TextUnexpected, "foo.rulebook", "\"foo.rulebook\""),
            ("use shiped \"a\"", WordUnexpected, "shiped", "'shipped'"),
            ("formula f(a mm) : mm = a", TextUnexpected, "mm", "`:` between 'a' and 'mm'"),
            ("formula f(a: mm : mm = a", TextUnexpected, ":", "')'"),
            ("extend rotor middle", TextUnexpected, "middle", "`at` between"),
            ("generation third follows second { }", TextUnexpected, "follows", "in words what it is"),
            ("generation third \"x\" folows second { }", WordUnexpected, "folows", "'follows'"),
            ("basys ground \"x\" { a limit at most 1 }", WordUnexpected, "basys", "'basis'"),
            ("basis ground x { }", TextUnexpected, "x", "basis NAME \""),
            ("basis ground { }", TextUnexpected, "{", "basis NAME \""),
            ("basis ground \"x\" folows other { }", WordUnexpected, "folows", "'follows'"),
            ("class basis = A", NameReserved, "basis", "another name"),
            ("source a \"b\\n\"", TextUnexpected, "\\n", "'\\\\'"),
            ("source a \"b\";", TextUnexpected, ";", "take it out"),
            ("}", TextUnexpected, "}", "take the '}' out"),
        ],
    );
}

#[test]
fn members_of_a_part() {
    check(
        ("part engine {\n", "\n  other : mm\n}\n"),
        &[
            ("derrive a : mm = b", WordUnexpected, "derrive", "'derive'"),
            ("mass = kg", TextUnexpected, "=", "':' in place of '='"),
            ("mass : kg optional", TextUnexpected, "optional", "comma between 'kg' and 'optional'"),
            ("mass : kg, optinal", WordUnexpected, "optinal", "'optional'"),
            ("mass : kg, 2 reading", TextUnexpected, "reading", ""),
            ("limit : mm", NameReserved, "limit", "another name"),
            ("derive b : mm a - c", TextUnexpected, "a", "`=` between 'mm' and 'a'"),
            ("derive b : mm = sqrt(a", TextUnexpected, "a", "')'"),
            ("derive b : mm = a -", TextUnexpected, "-", "after '-'"),
            ("derive b : yes/no = a && c", TextUnexpected, "&&", "'and'"),
            ("derive b : yes/no = a = early", TextUnexpected, "=", "'is'"),
            ("duty : choice street race", TextUnexpected, "race", "comma"),
            ("pièce : mm", TextUnexpected, "pièce", "letters a to z"),
            ("mass : kg, 70000 readings or more", NumberTooLong, "70000", "65535"),
            ("mass :\u{a0}kg", TextUnexpected, "\u{a0}", "ordinary space"),
            ("formula f() : mm = 1", WordUnexpected, "formula", ""),
            ("basis : mm", NameReserved, "basis", "another name"),
            ("basis g \"x\" { }", WordUnexpected, "basis", ""),
            ("derive b : mm = 3 basis", TextUnexpected, "basis", ""),
            ("a : basis", TextUnexpected, "basis", ""),
        ],
    );
}

#[test]
fn rows_of_a_generation() {
    check(
        ("generation g \"x\" {\n", "\n  other limit at most 3 mm\n}\n"),
        &[
            ("a.b standart 8 to 9 mm limit at most 3 mm", WordUnexpected, "standart", "'standard'"),
            ("a.b limit at leest 3 mm", WordUnexpected, "leest", "'at least'"),
            ("a.b limit >= 3 mm", TextUnexpected, ">=", "'at least'"),
            ("a.b limit <= 3 mm", TextUnexpected, "<=", "'at most'"),
            ("a.b limit ≤ 3 mm", TextUnexpected, "≤", "'at most'"),
            ("a.b limit < 3 mm", TextUnexpected, "<", "'below'"),
            ("a.b limit > 3 mm", TextUnexpected, ">", "'above'"),
            ("a.b standard 2..3 mm", TextUnexpected, "2..3", "'2 to 3'"),
            ("a.b standard 2 .. 3 mm", TextUnexpected, "..", "'to'"),
            ("a.b standard 2-3 mm", TextUnexpected, "2-3 mm", "'2 to 3 mm'"),
            ("a.b standard 2 – 3 mm", TextUnexpected, "–", "'to'"),
            ("a.b standard 2 too 3 mm", TextUnexpected, "3", "'to' in place of 'too'"),
            ("a.b standard 2 mm too 3 mm", WordUnexpected, "too", "'to'"),
            ("a.b standard 2 +- 1 mm", TextUnexpected, "2 +- 1 mm", "'±' or '+/-'"),
            ("a.b standard 1,5 to 2 mm", TextUnexpected, "1,5", "'1.5'"),
            ("a.b limit at most mm 3", TextUnexpected, "mm 3", "'3 mm'"),
            ("a.b limit 5 mm", TextUnexpected, "5 mm", "'exactly 5 mm'"),
            ("a.b limit 5 mm advisory", TextUnexpected, "advisory", "'at least 5 mm'"),
            ("a.b", RowWithoutRange, "a.b", "'limit'"),
            ("a.b limit at most", TextUnexpected, "most", "after 'most'"),
            ("a.b limit where c is d", TextUnexpected, "where", "0.12 to 0.21 mm"),
            ("a.b limit at most 3 standard 2 to 3", WordUnexpected, "standard", "keep the order"),
            ("a.b where c is early limit at most 3", WordUnexpected, "limit", "keep the order"),
            ("a.b limit at most 3 mm wehre c is d", WordUnexpected, "wehre", "'where'"),
            ("a.b limit 43 H7", TextUnexpected, "43 H7", "write the size with its unit before the tolerance class"),
            ("a.b limit at most 1e3 mm", TextUnexpected, "1e3", "'1000'"),
            ("a.b limit at most 1_000 mm", TextUnexpected, "1_000", "'1000'"),
            ("a.b limit at most 1.2.3 mm", TextUnexpected, "1.2.3", "digits"),
            ("a.b limit at most ３ mm", TextUnexpected, "３", "'3'"),
            ("a.limit limit at most 3 mm", NameReserved, "limit", "another name"),
            ("smalest of a.b limit at most 3", WordUnexpected, "smalest", "'smallest'"),
            ("a.b all teh same across c", WordUnexpected, "teh", "'all the same across'"),
            ("constnat ratio = 3", WordUnexpected, "constnat", "'constant'"),
            ("constant ratio : 3", TextUnexpected, ":", "'=' in place of ':'"),
            ("fitted rotor front", TextUnexpected, "front", "`at` between"),
            ("a.b limit at most 3 * x ^ 12", TextUnexpected, "12", ""),
            ("a.b limit at most 3²", TextUnexpected, "²", "'^ 2'"),
            ("a.b limit at most 3 mm { because “why” from memory }", TextUnexpected, "“why”", "straight"),
            ("a.b limit at most 3 mm { becuase \"why\" from memory }", WordUnexpected, "becuase", "'because'"),
            ("a.b limit at most 3 mm { because \"why from memory }", QuoteOpen, "\"why from memory", "'\"'"),
            ("a.b limit at most 3 mm { because why from memory }", TextUnexpected, "why", "\"why …\""),
            ("a.b limit at most 3 mm { from common practise }", WordUnexpected, "practise", "'common practice'"),
            ("a.b limit at most 3 mm { remedy \"a\" remedy \"b\" }", WordUnexpected, "\"b\"", ""),
            ("a.b limit at most 3 mm { remedy \"a\"", BraceOpen, "{", "'}'"),
        ],
    );
}

#[test]
fn braces_point_to_the_one_that_opens() {
    let cases = [
        ("part engine {\n    mass : kg\n", "engine {"),
        (
            "part engine {\n    part rotor {\n        mass : kg\n    part housing { a : mm }\n}\nsource x \"y\"\n",
            "rotor {",
        ),
        ("part engine {\n    part rotor {\n        mass : kg\n}\n", "rotor {"),
        ("part engine {\n    mass : kg\ngeneration g \"x\" {\n    a limit at most 3\n}\n", "engine {"),
        ("generation g \"x\" {\n    a limit at most 3 {\n        because \"b\"\n    b limit at most 3\n}\n", "3 {"),
    ];
    for (text, opener) in cases {
        let (tree, findings) = read(text);
        let [finding] = &findings[..] else { panic!("{text}: {findings:?}") };
        assert_eq!(finding.code, BraceOpen);
        let brace = HEADER.len() + text.find(opener).unwrap() + opener.len() - 1;
        assert_eq!(finding.place.as_ref().unwrap().0.span.start as usize, brace, "{text}");
        assert!(!tree.items.is_empty(), "{text}");
    }
}

#[test]
fn several_mistakes_are_all_said_in_order_and_the_rest_is_kept() {
    let (tree, findings) = read(
        "unit mm = 0,001 m
unit cm = 0.01 m
part engine {
    mass = kg
    width : mm
    part rotor {
        derrive a : mm = b
        height : mm { becuase \"x\" remedy \"y\" }
    }
}
generation g \"x\" {
    a limt at most 3
    b limit at most 4 mm
    c standard 2 mm too 3 mm
    d limit at most 5 mm { because \"open }
    e limit at most 6 mm
}
sorce handbook \"x\"
source other \"y\"
",
    );
    let under: Vec<String> = findings.iter().map(underlined).collect();
    assert_eq!(under, ["0,001", "=", "derrive", "becuase", "limt", "too", "\"open", "sorce"]);
    assert_eq!(tree.items.len(), 4, "cm, engine, g, other");
    let paths: Vec<String> = rows(&tree).iter().map(|row| super::sketch::path(&row.path)).collect();
    assert_eq!(paths, ["b", "d", "e"]);
}

#[test]
fn mistakes_in_a_block_whose_head_is_lost_are_said_too() {
    let (tree, findings) = read("part rotor at front rear {\n    mass = kg\n    width : mm\n}\nsource a \"b\"\n");
    assert_eq!(findings.iter().map(underlined).collect::<Vec<_>>(), ["rear", "="]);
    assert_eq!(tree.items.len(), 1);
}

#[test]
fn messages_read_as_sentences() {
    let said = |text: &str| {
        let (_, findings) = read(&format!("generation g \"x\" {{\n{text}\n}}\n"));
        findings[0].message.clone()
    };
    assert_eq!(said("a limit where c is d"), "expected a range after 'limit', found 'where'");
    assert_eq!(
        said("a limit at most 3 mm wehre c is d"),
        "expected 'advisory', 'never excused', 'where', 'also' or 'rounded to' after 'mm', found 'wehre'"
    );
    assert_eq!(said("fitted rotor front"), "expected 'at' after 'rotor', found 'front'");
    assert_eq!(said("a limit 5 mm"), "expected 'to' or '±' after 'mm'");
    assert_eq!(said("b limit at most 3\nbasis limit at most 1"), "'basis' goes at the top of a book, not here");
    assert_eq!(said("constant x = { from memory }"), "expected a value after '=', found '{'");
    let (_, findings) = read("part p { a : basis }");
    assert_eq!(findings[0].message, "expected a type such as mm, a class or yes/no after ':', found 'basis'");
}
