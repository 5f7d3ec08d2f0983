//! Every book of the repository: shipped, of the examples, and those of the reference.

use crate::parser;
use std::path::Path;

const REFERENCE: &str = include_str!("../../../specs/README.md");

/// What the reference says at the fence of the book that its other blocks are added to.
const BASE: &str = "file small";

pub(crate) fn root() -> &'static Path {
    Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/../.."))
}

/// The blocks of the reference with what stands at their fences, each as a whole book.
fn of_the_reference() -> Vec<String> {
    let mut blocks: Vec<(String, String)> = Vec::new();
    let mut inside = false;
    for line in REFERENCE.lines() {
        match line.strip_prefix("```") {
            Some(_) if inside => inside = false,
            Some(language) => {
                let says = language.strip_prefix("rulebook").unwrap_or_else(|| panic!("a block of {language}"));
                blocks.push((says.trim().into(), String::new()));
                inside = true;
            }
            None if inside => {
                let (_, text) = blocks.last_mut().unwrap();
                text.push_str(line);
                text.push('\n');
            }
            None => {}
        }
    }
    let (_, base) = blocks.iter().find(|(says, _)| says == BASE).unwrap().clone();
    let whole = |text: &str| text.lines().any(|line| line.starts_with("rulebook \""));
    blocks.into_iter().map(|(_, text)| if whole(&text) { text } else { format!("{base}\n{text}") }).collect()
}

/// Every book with its name.
pub(crate) fn books() -> Vec<(String, String)> {
    let mut books = Vec::new();
    for folder in ["specs", "examples"] {
        for entry in walkdir::WalkDir::new(root().join(folder)).sort_by_file_name() {
            let path = entry.unwrap().into_path();
            if path.extension().is_some_and(|ending| ending == "rulebook") {
                books.push((path.display().to_string(), std::fs::read_to_string(&path).unwrap()));
            }
        }
    }
    assert!(books.len() >= 20, "the books were not found");
    let files = books.len();
    for (number, book) in of_the_reference().into_iter().enumerate() {
        books.push((format!("block {number} of the reference"), book));
    }
    assert!(books.len() >= files + 20, "the blocks of the reference were not found");
    books
}

/// The line of a place.
pub(crate) fn line_of(text: &str, at: usize) -> String {
    let number = text[..at].matches('\n').count() + 1;
    format!("line {number}: {}", text.lines().nth(number - 1).unwrap_or_default())
}

#[test]
fn every_book_is_read_without_a_mistake() {
    let mut parser = parser();
    let mut faults = Vec::new();
    for (name, text) in books() {
        let tree = parser.parse(&text, None).unwrap();
        let mut cursor = tree.walk();
        'nodes: while tree.root_node().has_error() {
            let node = cursor.node();
            if node.is_error() || node.is_missing() {
                faults.push(format!("{name}: {} {}", node.to_sexp(), line_of(&text, node.start_byte())));
                break;
            }
            if cursor.goto_first_child() {
                continue;
            }
            while !cursor.goto_next_sibling() {
                if !cursor.goto_parent() {
                    break 'nodes;
                }
            }
        }
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}
