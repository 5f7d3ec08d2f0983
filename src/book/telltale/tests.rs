//! Telltales as generations keep them: inherited, replaced, and refused where a row would be.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "a test may stop at the first surprise"
)]

use crate::book::{Book, Provenance, RangeKind, Selector, compile};
use crate::finding::{Code, Finding};
use crate::syntax::parse;
use crate::text::Source;

fn book(generations: &str) -> (Book, Vec<Finding>) {
    let head = "rulebook \"t\" edition 2026-03-01\nunit mm = 0.001 m\nchoice making = cast, machined\n\
                constant bore : mm\n\
                part pump { part gear at drive, idle { pocket : making  tooth at a, b : mm, 2 readings or more } }\n";
    let (tree, findings) = parse(&Source::new("t.rulebook", format!("{head}{generations}")));
    assert!(findings.is_empty(), "{findings:?}");
    compile(&[tree])
}

fn codes(generations: &str) -> Vec<Code> {
    book(generations).1.iter().map(|finding| finding.code).collect()
}

#[test]
fn a_follower_has_those_it_follows_and_may_replace_them() {
    let (book, findings) = book(
        "generation a \"a\" { telltale gear.tooth 1.9 to 2.1 mm { from memory } telltale gear.pocket cast { from common practice } }\n\
         generation b \"b\" follows a { replace telltale gear.pocket machined { from memory } }",
    );
    assert!(findings.is_empty(), "{findings:?}");
    let of = |name: &str| &book.generations.get(book.generation(name).unwrap()).telltales;
    let paths = |name: &str| of(name).iter().map(|telltale| telltale.path.to_string()).collect::<Vec<_>>();
    assert_eq!(paths("a"), ["gear.tooth", "gear.pocket"]);
    assert_eq!(paths("b"), ["gear.tooth", "gear.pocket"]);
    assert!(matches!(&of("a")[1].range.kind, RangeKind::Names(names) if names[..] == [0]));
    assert!(matches!(&of("b")[1].range.kind, RangeKind::Names(names) if names[..] == [1]));
    assert!(matches!(of("a")[1].texts.provenance, Some(Provenance::CommonPractice(None))));
    assert!(matches!(of("b")[1].texts.provenance, Some(Provenance::Memory(None))));
    // Every position and every station is meant.
    assert_eq!((&of("b")[0].subject.selectors[..], of("b")[0].subject.station), (&[Selector::All][..], None));
    assert!(book.generations.iter().all(|generation| generation.rows.is_empty()), "a telltale is no row");
}

#[test]
fn saying_one_again_is_refused_as_for_rows() {
    let first = "generation a \"a\" { telltale gear.pocket cast }";
    assert_eq!(
        codes(&format!("{first}\ngeneration b \"b\" follows a {{ telltale gear.pocket machined }}")),
        [Code::OverrideSilent]
    );
    assert_eq!(
        codes("generation a \"a\" { telltale gear.pocket cast telltale gear.pocket machined }"),
        [Code::RowTwice]
    );
    assert_eq!(codes("generation a \"a\" { replace telltale gear.pocket cast }"), [Code::ReplaceNothing]);
    // At one position it is another subject.
    assert!(codes("generation a \"a\" { telltale gear.pocket cast telltale gear.idle.pocket cast }").is_empty());
}

#[test]
fn its_range_is_checked_as_a_row_s_is() {
    let code = |telltale: &str| codes(&format!("generation a \"a\" {{ {telltale} }}"));
    assert_eq!(code("telltale gear.tooth at least 2 rad"), [Code::DimensionMismatch]);
    assert_eq!(code("telltale gear.pocket at least 2 mm"), [Code::KindMismatch]);
    assert_eq!(code("telltale gear.pocket molded"), [Code::NameUnknown]);
    assert_eq!(code("telltale gear.teeth at least 2 mm"), [Code::NameUnknown]);
    assert_eq!(code("telltale gear.tooth 3 to 2 mm"), [Code::RangeEmpty]);
    assert_eq!(code("telltale gear.tooth at least bore"), [Code::ConstantMissing]);
    assert_eq!(code("fitted gear at drive telltale gear.idle.pocket cast"), [Code::PositionUnknown]);
}

#[test]
fn with_a_condition_it_tells_one_value_of_a_reading() {
    let (book, findings) = book(
        "generation a \"a\" { telltale gear.tooth at least 2 mm where pocket is cast { from memory } \
         telltale gear.tooth at most 2 mm where pocket is machined { from memory } \
         telltale gear.tooth 1 to 3 mm { from memory } }\n\
         generation b \"b\" follows a { replace telltale gear.tooth at least 1.9 mm where pocket is cast { from memory } }",
    );
    assert!(findings.is_empty(), "{findings:?}");
    let of = |name: &str| book.generations.get(book.generation(name).unwrap());
    assert_eq!(of("a").telltales.len(), 1, "one tells the generation");
    let told = |name: &str| of(name).value_telltales.iter().map(|one| one.tells.unwrap().value).collect::<Vec<_>>();
    assert_eq!((told("a"), told("b")), (vec![0, 1], vec![0, 1]));
    assert_ne!(of("a").value_telltales[0].place, of("b").value_telltales[0].place, "the follower's own");
    assert_eq!(of("a").value_telltales[1].place, of("b").value_telltales[1].place, "taken over");
}

#[test]
fn its_condition_names_one_value_of_a_reading_on_or_around_its_part() {
    let code = |condition: &str| {
        codes(&format!(
            "generation a \"a\" {{ telltale gear.tooth at least 2 mm where {condition} {{ from memory }} }}"
        ))
    };
    for wrong in ["pocket is cast or machined", "not pocket is cast", "pocket is not cast", "bore above 2 mm"] {
        assert_eq!(code(wrong), [Code::KindMismatch], "{wrong}");
    }
    assert_eq!(code("pocket is cast"), []);
    let twice = "telltale gear.tooth at least 2 mm where pocket is cast { from memory }";
    assert_eq!(codes(&format!("generation a \"a\" {{ {twice} {twice} }}")), [Code::RowTwice]);
}
