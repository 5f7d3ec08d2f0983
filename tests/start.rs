//! What makes the program start fast changes nothing: books had from their packed trees are the books as read, and a plan that is
//! not written out at once is one of which nothing would be said.

use super::mutations::Dice;
use std::fs;
use std::path::{Path, PathBuf};
use trochoid::book;
use trochoid::finding::Finding;
use trochoid::plan::{self, Plan};
use trochoid::shop::{Shop, Shops, shipped};
use trochoid::syntax::{self, Tree};
use trochoid::text::Source;

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// Every book of the project, those of the tests and their mistakes included.
fn books() -> Vec<Source> {
    let files = ["specs", "examples", "tests"].iter().flat_map(|folder| {
        walkdir::WalkDir::new(root().join(folder))
            .sort_by_file_name()
            .into_iter()
            .map(|entry| entry.unwrap().into_path())
    });
    let books: Vec<PathBuf> = files.filter(|path| path.extension().is_some_and(|end| end == "rulebook")).collect();
    books.iter().filter_map(|path| Some(Source::new("a book", fs::read_to_string(path).ok()?))).collect()
}

fn shown(tree: &Tree) -> String {
    format!("{tree:#?}")
}

/// The tree of every shipped book lies packed in `specs/packed`. Where a book was changed, or how books are read,
/// `TROCHOID_BLESS=1 cargo test every_shipped_book_lies_packed` packs them again.
#[test]
fn every_shipped_book_lies_packed_as_it_is_read() {
    let folder = root().join("specs/packed");
    let bless = std::env::var_os("TROCHOID_BLESS").is_some();
    let mut wanted = Vec::new();
    for name in shipped::names() {
        let source = shipped::book(name).unwrap();
        let (tree, findings) = syntax::parse(&source);
        assert!(findings.is_empty(), "{name}: {findings:?}");
        let file = folder.join(name).with_extension("tree");
        let bytes = syntax::pack(&tree).unwrap();
        if bless {
            fs::create_dir_all(&folder).unwrap();
            fs::write(&file, &bytes).unwrap();
        }
        let packed = fs::read(&file).unwrap_or_default();
        let again = "TROCHOID_BLESS=1 cargo test every_shipped_book_lies_packed";
        assert!(packed == bytes, "{name} is not packed as it is read now; pack it again with\n{again}");
        assert_eq!(shown(&syntax::unpack(&packed, &source).unwrap()), shown(&tree), "{name}");
        wanted.push(file);
    }
    assert!(wanted.len() >= 15, "{wanted:?}");
    let mut there: Vec<PathBuf> = fs::read_dir(&folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    there.sort();
    wanted.sort();
    assert_eq!(there, wanted, "a packed tree of no book");
}

#[test]
fn every_book_is_unpacked_as_it_was_packed() {
    let mut dice = Dice(0x5eed);
    let mut packed = 0;
    for source in books() {
        let (tree, _) = syntax::parse(&source);
        let Some(bytes) = syntax::pack(&tree) else { continue };
        packed += 1;
        assert_eq!(shown(&syntax::unpack(&bytes, &source).unwrap()), shown(&tree), "{}", source.text());
        // Of another text it says nothing.
        let text = source.text();
        for other in [format!("{text} "), format!(" {text}"), text.replacen('1', "2", 1), text.replacen('e', "E", 1)] {
            if other != text {
                assert!(syntax::unpack(&bytes, &Source::new("other", other)).is_none());
            }
        }
        // Whatever became of the bytes, unpacking ends, and gives a tree or none.
        for _ in 0..40 {
            let mut spoilt = bytes.clone();
            let at = 9 + dice.below(spoilt.len().saturating_sub(9).max(1));
            match dice.below(3) {
                0 => spoilt.truncate(at),
                1 => spoilt.insert(at.min(spoilt.len()), dice.below(256) as u8),
                _ => spoilt.iter_mut().skip(at).take(1).for_each(|byte| *byte ^= 1 << dice.below(8)),
            }
            let _ = syntax::unpack(&spoilt, &source);
        }
    }
    assert!(packed >= 300, "only {packed} books");
}

/// The books of some shops, each after those it uses.
fn shops() -> Vec<Vec<Source>> {
    let opened = Shops::new(None);
    let mut all: Vec<Vec<Source>> = Vec::new();
    let examples = fs::read_dir(root().join("examples")).unwrap().map(|entry| entry.unwrap().path());
    for folder in examples.chain([root().join("specs")]) {
        let shop = opened.of(&folder.join("record.yaml"));
        let sources: Vec<Source> = shop.trees().iter().map(|tree| tree.source.clone()).collect();
        let names = |sources: &[Source]| sources.iter().map(|source| source.name().to_owned()).collect::<Vec<_>>();
        if !all.iter().any(|other| names(other) == names(&sources)) {
            all.push(sources);
        }
    }
    all
}

/// How many generations lack something by a first look, and of how many plans something is said. What is said of none that lacks
/// nothing is what is to be shown.
fn lacking(sources: &[Source]) -> (usize, usize) {
    let trees: Vec<Tree> = sources.iter().map(|source| syntax::parse(source).0).collect();
    let (book, mut all) = book::compile(&trees);
    let sound = !all.iter().any(Finding::is_error);
    let complete = plan::complete(&book);
    assert_eq!(complete.len(), book.generations.len());
    let (mut unsure, mut said) = (0, 0);
    for (id, complete) in book.generations.ids().zip(complete) {
        let generation = book.generations.get(id);
        if generation.basis {
            continue;
        }
        let (_, findings) = Plan::new(&book, id);
        assert!(!complete || findings.is_empty(), "{}: {findings:?}", generation.name);
        unsure += usize::from(!complete);
        said += usize::from(!findings.is_empty());
        all.extend(findings);
    }
    // The shop says what is to be said of all plans, in their order, before anybody asks for one.
    if sound {
        let told = |findings: &[Finding]| findings.iter().map(|finding| format!("{finding:?}")).collect::<Vec<_>>();
        assert_eq!(told(Shop::of_sources(sources).findings()), told(&all));
    }
    (unsure, said)
}

#[test]
fn nothing_is_said_of_a_plan_that_may_wait() {
    for sources in shops() {
        let names: Vec<&str> = sources.iter().map(Source::name).collect();
        assert_eq!(lacking(&sources), (0, 0), "{names:?}: every plan of these may wait");
    }
    // The same books with a constant or a position less, one at a time.
    let mut dice = Dice(0x9057_ba11);
    let (mut unsure, mut said) = (0, 0);
    for sources in shops() {
        let lines: Vec<(usize, usize)> = sources
            .iter()
            .enumerate()
            .flat_map(|(book, source)| {
                let gives = |line: &str| {
                    let line = line.trim();
                    (line.starts_with("constant ") && line.contains('=')) || line.starts_with("fitted ")
                };
                source.text().lines().enumerate().filter(move |(_, line)| gives(line)).map(move |(at, _)| (book, at))
            })
            .collect();
        for _ in 0..8 {
            let (book, at) = lines[dice.below(lines.len())];
            let mut spoilt = sources.clone();
            let changed = sources[book].text().lines().enumerate().map(|(number, line)| match number == at {
                false => line.to_owned(),
                true if line.trim().starts_with("fitted ") => {
                    line.rsplit_once(',').map_or("", |(kept, _)| kept).to_owned()
                }
                true => String::new(),
            });
            let text = changed.collect::<Vec<_>>().join("\n");
            spoilt[book] = Source::new(sources[book].name(), text);
            let (more_unsure, more_said) = lacking(&spoilt);
            unsure += more_unsure;
            said += more_said;
        }
    }
    // It tells those that lack something apart from all others, or the first look would be worth nothing.
    assert!(said >= 10 && unsure >= said, "{unsure} {said}");
}
