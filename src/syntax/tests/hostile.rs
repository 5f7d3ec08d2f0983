//! Text no person writes: marks of other systems, endless nesting, endless books.

use super::{HEADER, clean, read, rows, underlined};
use crate::finding::Code;
use crate::syntax::parse;
use crate::text::Source;

#[test]
fn a_byte_order_mark_and_other_line_ends_change_nothing() {
    let body = "part engine {\n\tmass : kg # heavy\n\twidth : µm, optional\n}\nsource a \"b°\"\n";
    for text in [
        format!("\u{feff}{HEADER}{body}"),
        format!("{HEADER}{body}").replace('\n', "\r\n"),
        format!("\u{feff}{HEADER}{body}").replace('\n', "\r"),
    ] {
        let source = Source::new("a", text);
        let (tree, findings) = parse(&source);
        assert!(findings.is_empty(), "{findings:?}");
        assert_eq!(source.slice(tree.header.unwrap().title.span), "\"Test\"");
        let crate::syntax::Item::Source(citation) = &tree.items[1] else { panic!() };
        assert_eq!(source.slice(citation.span), "source a \"b°\"");
    }
}

#[test]
fn places_are_exact_after_letters_of_several_bytes_and_tabs() {
    let (_, findings) = read("# µ°·\r\nunit \"µm\" = 0.001 mm\r\n\tclass ö = A\r\n");
    assert_eq!(findings.len(), 1);
    assert_eq!(underlined(&findings[0]), "ö");
    let at = findings[0].place.as_ref().unwrap().0.line_column();
    assert_eq!((at.line, at.column), (4, 8));
}

#[test]
fn books_with_nothing_in_them_lack_a_header() {
    for text in ["", "\u{feff}", "\n\n", "# only words\n", "   \t"] {
        let (tree, findings) = parse(&Source::new("a", text));
        assert!(tree.header.is_none() && tree.items.is_empty());
        assert_eq!(findings.iter().map(|it| it.code).collect::<Vec<_>>(), [Code::HeaderMissing], "{text:?}");
    }
    let (tree, findings) = parse(&Source::new("a", "source a \"b\"\nclass c = D\n"));
    assert_eq!(findings[0].code, Code::HeaderMissing);
    assert_eq!(tree.items.len(), 2);
}

#[test]
fn a_nul_byte_and_full_width_letters_cost_one_line() {
    let (tree, findings) =
        read("source a \"b\"\nsource \0c \"d\"\nｓource e \"f\"\nsource g \"h\"\nsource i \"a\0b\"\n");
    assert_eq!(findings.iter().map(underlined).collect::<Vec<_>>(), ["\0", "ｓource", "\0"]);
    assert!(findings[1].help.as_ref().unwrap().contains("'source'"));
    assert_eq!(tree.items.len(), 2);
}

/// Runs in a thread with the stack a test gets, so that a deep recursion shows.
fn in_small_stack(work: impl FnOnce() + Send + 'static) {
    let thread = std::thread::Builder::new().stack_size(2 * 1024 * 1024).spawn(work).unwrap();
    thread.join().unwrap();
}

#[test]
fn endless_nesting_is_refused_at_once() {
    in_small_stack(|| {
        let deep = 10_000;
        let books = [
            format!("part p {{ derive x : mm = {}1{} }}", "(".repeat(deep), ")".repeat(deep)),
            format!("part p {{ derive x : mm = {}", "(".repeat(1 << 20)),
            "part a { ".repeat(deep),
            "{".repeat(1 << 20),
            format!("part p {{ derive x : mm = {}1{} }}", "sqrt(".repeat(deep), ")".repeat(deep)),
            format!("part p {{ derive x : mm = {}1 }}", "- ".repeat(deep)),
            format!("part p {{ derive x : mm = {}a }}", "not ".repeat(deep)),
            format!("part p {{ derive x : mm = {}a }}", "a + ".repeat(deep)),
            format!("part p {{ derive x : mm = {}a }}", "a or ".repeat(deep)),
        ];
        for book in books {
            let (_, findings) = read(&book);
            assert_eq!(findings[0].code, Code::NestingTooDeep, "{}", book.get(..60).unwrap_or(&book));
        }
    });
}

#[test]
fn the_deepest_nesting_allowed_fits_the_stack() {
    in_small_stack(|| {
        for inner in ["1", "a is 3 to 4 mm", "not a"] {
            // One brace and 63 parentheses.
            let tree = clean(&format!("part p {{ derive x : mm = {}{inner}{} }}", "(".repeat(63), ")".repeat(63)));
            assert_eq!(tree.items.len(), 1);
        }
        let ranges = format!("part p {{ derive x : yes/no = {}b{} }}", "a is (".repeat(63), ") to 3".repeat(63));
        assert_eq!(clean(&ranges).items.len(), 1);
        let calls = format!("part p {{ derive x : mm = {}b{} }}", "mean of (2 * ".repeat(63), ", c)".repeat(63));
        assert_eq!(clean(&calls).items.len(), 1);
        assert_eq!(clean(&format!("{}{}", "part a { ".repeat(64), "}".repeat(64))).items.len(), 1);
        let (_, findings) = read(&format!("part p {{ derive x : mm = {}1{} }}", "(".repeat(64), ")".repeat(64)));
        assert_eq!(findings[0].code, Code::NestingTooDeep);
    });
}

#[test]
fn parentheses_left_open_in_many_lines_are_each_their_own() {
    let body: String = (0..100).map(|count| format!("formula f{count}(a: mm) : mm = (a\n")).collect();
    let (_, findings) = read(&body);
    assert_eq!(findings.len(), 100);
    assert!(findings.iter().all(|finding| finding.code == Code::TextUnexpected));
}

/// How many findings a book of so many rows has. Reading that is not linear would not end in good time.
fn findings_of(rows: usize, row: impl Fn(usize) -> String) -> usize {
    let body: String = (0..rows).map(row).collect();
    read(&format!("generation g \"x\" {{\n{body}}}\n")).1.len()
}

#[test]
fn books_of_ten_thousand_rows_are_read_to_the_end() {
    let good = |count: usize| format!("  part_{count}.width limit at most {count} mm {{ from memory }}\n");
    let bad = |count: usize| format!("  part_{count}.width limt at most {count} mm {{ from memory }}\n");
    let one_line = |count: usize| format!("p{count}.width limit at most {count} mm ");
    let bad_line = |count: usize| format!("p{count}.width limit {count} mm }} ");
    assert_eq!(findings_of(10_000, good), 0);
    assert_eq!(findings_of(10_000, bad), 10_000);
    assert_eq!(findings_of(10_000, one_line), 0);
    assert!(findings_of(10_000, bad_line) > 0);
}

#[test]
fn rows_after_a_mistake_are_still_read() {
    let (tree, findings) =
        read("generation g \"x\" {\n a limit at most 1 mm\n b limt at most 2 mm\n c limit at most 3 mm\n}");
    assert_eq!(findings.len(), 1);
    assert_eq!(rows(&tree).len(), 2);
}
