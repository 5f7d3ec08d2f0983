//! Plausible ranges as generations keep them: inherited, replaced, narrowed by a shop, and refused where they say nothing.
#![allow(clippy::unwrap_used, reason = "a test may stop at the first surprise")]

use crate::book::{Book, compile};
use crate::finding::Code;
use crate::syntax::parse;
use crate::text::Source;

fn book(parts: &str, generations: &str) -> (Book, Vec<Code>) {
    let head = "rulebook \"t\" edition 2026-03-01\nunit mm = 0.001 m\nunit um = 0.001 mm\nconstant bore : mm\n";
    let (tree, findings) = parse(&Source::new("t.rulebook", format!("{head}{parts}{generations}")));
    assert!(findings.is_empty(), "{findings:?}");
    let (book, findings) = compile(&[tree]);
    (book, findings.iter().map(|finding| finding.code).collect())
}

const PARTS: &str =
    "part pump { gap : mm part gear at drive, idle { width at a, b : mm, agree within 0.1 mm  mark : text } }\n";

fn codes(generations: &str) -> Vec<Code> {
    book(PARTS, generations).1
}

fn paths(book: &Book, name: &str) -> Vec<(String, String)> {
    let generation = book.generations.get(book.generation(name).unwrap());
    let shown = |place: &crate::text::Place| place.text().to_string();
    generation.plausible.iter().map(|range| (range.path.to_string(), shown(&range.range.place))).collect()
}

#[test]
fn a_follower_has_those_it_follows_and_may_replace_them() {
    let (book, findings) = book(
        PARTS,
        "basis a \"a\" { plausible gear.width bore - 1 mm to bore + 1 mm plausible pump.gap at most 1 mm }\n\
         generation b \"b\" follows a { constant bore = 20 mm replace plausible pump.gap at most 2 mm }\n\
         house \"H\" { for a from 2026-06-01 { narrow gear.drive.width 19.5 to 20.5 mm } }",
    );
    assert_eq!(findings, []);
    let of = |path: &str, range: &str| (path.to_string(), range.to_string());
    assert_eq!(paths(&book, "a"), [of("gear.width", "bore - 1 mm to bore + 1 mm"), of("pump.gap", "at most 1 mm")]);
    let narrowed = of("gear.drive.width", "19.5 to 20.5 mm");
    assert_eq!(
        paths(&book, "b"),
        [of("gear.width", "bore - 1 mm to bore + 1 mm"), of("pump.gap", "at most 2 mm"), narrowed]
    );
}

#[test]
fn what_says_nothing_is_refused() {
    let a = "generation a \"a\" { constant bore = 20 mm ";
    for (generations, code) in [
        ("plausible gear.mark a or b }", Code::KindMismatch),
        ("plausible gear.width 1 to 2 mm plausible gear.width 1 to 3 mm }", Code::RowTwice),
        ("replace plausible gear.width 1 to 2 mm }", Code::ReplaceNothing),
        ("plausible gear.width 2 to 1 mm }", Code::RangeEmpty),
        ("plausible gear.width 1 mm to 2 rad }", Code::DimensionMismatch),
        ("plausible gear.width 1 mm to pump.gap }", Code::KindMismatch),
        (
            "plausible gear.width 1 to 2 mm } generation b \"b\" follows a { plausible gear.width 1 to 3 mm }",
            Code::OverrideSilent,
        ),
        ("fitted gear at drive plausible gear.idle.width 1 to 2 mm }", Code::PositionUnknown),
        ("plausible gear.width 1 to 2 mm } house \"H\" { for a { narrow gear.width 1 to 3 mm } }", Code::NarrowWidens),
        (
            "plausible gear.width 1 to 3 mm } house \"H\" { for a { narrow gear.width 1 to 2 mm narrow gear.width 2 to 3 mm } }",
            Code::OverlayConflict,
        ),
        ("} house \"H\" { for a where gap above 1 mm { narrow gear.width 1 to 2 mm } }", Code::OverlayWord),
        ("} plausible gauges mm : 1 um to 1 mm plausible gauges um : 1 um to 1 mm", Code::RowTwice),
        ("} plausible gauges text : 1 um to 1 mm", Code::KindMismatch),
        ("} plausible gauges mm : 1 mm to 1 um", Code::RangeEmpty),
    ] {
        assert_eq!(codes(&format!("{a}{generations}")), [code], "{generations}");
    }
    for (part, code) in [
        ("a : yes/no, may be negative", Code::KindMismatch),
        ("a at x, y : yes/no, agree within 1 mm", Code::KindMismatch),
        ("a : mm, agree within 1 mm", Code::OneValue),
        ("a : mm, exactly 2 readings, agree within 1 rad", Code::DimensionMismatch),
    ] {
        assert_eq!(book(&format!("part pump {{ {part} }}\n"), "").1, [code], "{part}");
    }
}
