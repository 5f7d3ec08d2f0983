//! The language reference runs: every book it shows compiles, every mistake it shows is told, and no word of the language
//! is left out.

use crate::whole_grammar;
use std::collections::BTreeSet;
use std::path::Path;
use trochoid::shop::Shops;

const REFERENCE: &str = include_str!("../specs/README.md");

/// Every block that does not begin a book of its own is added to this one.
const BASE: &str = "small";

/// The file a block's book is written to.
const BOOK: &str = "block.rulebook";

struct Block {
    heading: String,
    /// What stands behind `rulebook` at the fence.
    says: String,
    text: String,
}

/// The rulebooks of the reference, in its order.
fn blocks() -> Vec<Block> {
    let mut blocks: Vec<Block> = Vec::new();
    let (mut heading, mut inside) = (String::new(), false);
    for line in REFERENCE.lines() {
        match line.strip_prefix("```") {
            Some(_) if inside => inside = false,
            Some(language) => {
                let says = language.strip_prefix("rulebook").unwrap_or_else(|| panic!("a block of {language}"));
                blocks.push(Block { heading: heading.clone(), says: says.trim().into(), text: String::new() });
                inside = true;
            }
            None if inside => {
                let block = blocks.last_mut().unwrap();
                block.text.push_str(line);
                block.text.push('\n');
            }
            None if line.starts_with('#') => heading = line.trim_start_matches(['#', ' ']).to_string(),
            None => {}
        }
    }
    blocks
}

impl Block {
    fn file(&self) -> Option<&str> {
        self.says.strip_prefix("file ")
    }

    fn wrong(&self) -> Option<&str> {
        self.says.strip_prefix("wrong ")
    }

    /// The whole book the block stands for.
    fn book(&self) -> String {
        let whole = self.text.lines().any(|line| line.starts_with("rulebook \""));
        if whole {
            return self.text.clone();
        }
        let base = blocks().into_iter().find(|block| block.file() == Some(BASE)).unwrap();
        base.text + "\n" + &self.text
    }

    /// A folder with the block's book, and beside it those it may use.
    fn folder(&self) -> tempfile::TempDir {
        let folder = tempfile::tempdir().unwrap();
        for block in blocks() {
            if let Some(name) = block.file() {
                std::fs::write(folder.path().join(format!("{name}.rulebook")), &block.text).unwrap();
            }
        }
        std::fs::write(folder.path().join(BOOK), self.book()).unwrap();
        folder
    }

    /// What the program says about the book: each finding's code and sentence.
    fn said(&self) -> Vec<String> {
        let folder = self.folder();
        let shop = Shops::new(Some(folder.path().join(BOOK))).of(Path::new("build.yaml"));
        shop.findings().iter().map(|finding| format!("[{}] {}", finding.code, finding.message)).collect()
    }
}

/// The books of the reference, whole, those with a mistake in their meaning too.
pub(crate) fn books() -> Vec<String> {
    blocks().iter().map(Block::book).collect()
}

/// The whole book of this title.
pub(crate) fn book(title: &str) -> String {
    let begins = format!("rulebook \"{title}\"");
    let block = blocks().into_iter().find(|block| block.text.starts_with(&begins));
    block.unwrap_or_else(|| panic!("no book {title}")).text
}

#[test]
fn every_book_of_the_reference_compiles() {
    let blocks = blocks();
    let sound: Vec<&Block> = blocks.iter().filter(|block| block.wrong().is_none()).collect();
    assert!(sound.len() >= 20, "the blocks were not found");
    let faults: Vec<String> = sound
        .into_iter()
        .filter_map(|block| Some((block, block.said())).filter(|(_, said)| !said.is_empty()))
        .map(|(block, said)| format!("under {}:\n{}\n{}", block.heading, said.join("\n"), block.text))
        .collect();
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

#[test]
fn every_mistake_of_the_reference_is_told() {
    let mut wrong = 0;
    for block in blocks() {
        let Some(code) = block.wrong() else { continue };
        let said = block.said();
        let all = said.iter().all(|finding| finding.starts_with(&format!("[{code}]")));
        assert!(!said.is_empty() && all, "under {}: {code} wanted, {said:?}", block.heading);
        wrong += 1;
    }
    assert!(wrong >= 5, "the mistakes were not found");
}

#[test]
fn every_example_a_book_carries_holds() {
    let tries = |block: &Block| block.text.lines().any(|line| line.starts_with("try "));
    let mut proved = 0;
    for block in blocks().into_iter().filter(tries) {
        let folder = block.folder();
        let mut command = assert_cmd::Command::cargo_bin("trochoid").unwrap();
        let output = command.current_dir(folder.path()).args(["prove", BOOK]).output().unwrap();
        let said = String::from_utf8(output.stdout).unwrap();
        assert!(said.contains("the example holds"), "under {}: {said}", block.heading);
        proved += 1;
    }
    assert!(proved > 0, "the examples were not found");
}

#[test]
fn no_word_of_the_language_is_left_out() {
    let reader = whole_grammar::reader();
    let mut seen: BTreeSet<String> = BTreeSet::new();
    for book in books() {
        seen.extend(whole_grammar::read(&reader, &book).into_iter().map(|(rule, _)| rule));
    }
    let words = whole_grammar::word_rules();
    assert!(words.len() > 70, "the words of the grammar were not found");
    let missing: Vec<&String> = words.iter().filter(|word| !seen.contains(*word)).collect();
    assert!(missing.is_empty(), "no runnable example has {missing:?}");
}
