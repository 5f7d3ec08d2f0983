//! The guides run: what they show is what the program does.

use trochoid::shop::Shop;

/// The pages for people who use the program, in the order they are read.
const GUIDES: &[&str] = &["README.md", "specs/records.md", "specs/commands.md", "specs/editors.md"];

/// So many commands were run, and their output compared, when the README was the only page.
const FEWEST_COMMANDS: usize = 13;
const FEWEST_OUTPUTS: usize = 13;

fn paper(name: &str) -> String {
    std::fs::read_to_string(std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join(name)).unwrap()
}

/// The text of all guides, one after the other.
fn guides() -> String {
    GUIDES.iter().map(|name| paper(name) + "\n").collect()
}

/// The blocks of a paper fenced as one language.
fn blocks(text: &str, language: &str) -> Vec<String> {
    let fence = format!("```{language}\n");
    text.match_indices(&fence)
        .filter_map(|(at, _)| {
            let rest = &text[at + fence.len()..];
            rest.find("```").map(|end| rest[..end].to_string())
        })
        .collect()
}

/// A folder with the repository's examples and the files the guides write down.
fn bench() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR"));
    for entry in walkdir::WalkDir::new(root.join("examples")) {
        let entry = entry.unwrap();
        let to = folder.path().join(entry.path().strip_prefix(root).unwrap());
        if entry.file_type().is_dir() {
            std::fs::create_dir_all(&to).unwrap();
        } else {
            std::fs::copy(entry.path(), &to).unwrap();
        }
    }
    let guides = guides();
    let record = blocks(&guides, "yaml").into_iter().find(|block| block.starts_with("build: ")).unwrap();
    std::fs::write(folder.path().join("K-0201.yaml"), record).unwrap();
    let part = blocks(&guides, "yaml").into_iter().find(|block| block.starts_with("part: ")).unwrap();
    std::fs::write(folder.path().join("R-101.yaml"), part).unwrap();
    let columns = blocks(&guides, "yaml").into_iter().find(|block| block.starts_with("Engine: ")).unwrap();
    std::fs::write(folder.path().join("columns.yaml"), columns).unwrap();
    let table = |start: &str| blocks(&guides, "csv").into_iter().find(|block| block.starts_with(start)).unwrap();
    std::fs::write(folder.path().join("readings.csv"), table("Engine,")).unwrap();
    std::fs::write(folder.path().join("rotors.csv"), table("tag,")).unwrap();
    folder
}

/// A shop `shop/` beside the guides' record, with their settings, gauges and first house book.
fn shop(folder: &std::path::Path) {
    let guides = guides();
    let books = folder.join("shop/books");
    std::fs::create_dir_all(&books).unwrap();
    let book = blocks(&guides, "rulebook").into_iter().next().unwrap();
    std::fs::write(books.join("kestrel.rulebook"), book).unwrap();
    let yaml = blocks(&guides, "yaml");
    let beginning = |start: &str| yaml.iter().find(|block| block.starts_with(start)).unwrap();
    std::fs::write(folder.join("shop/trochoid.yaml"), beginning("shop: ")).unwrap();
    std::fs::write(folder.join("shop/gauges.yaml"), beginning("mic-75-100:")).unwrap();
}

/// Runs a line of a guide in the bench folder.
fn run(folder: &std::path::Path, line: &str) -> (String, i32) {
    let arguments = line.strip_prefix("trochoid ").or(line.strip_prefix("cargo run --release -- ")).unwrap();
    let mut command = assert_cmd::Command::cargo_bin("trochoid").unwrap();
    let output = command.current_dir(folder).args(arguments.split_whitespace()).output().unwrap();
    (String::from_utf8(output.stdout).unwrap(), output.status.code().unwrap())
}

#[test]
fn every_command_of_the_guides_prints_what_it_shows() {
    let guides = guides();
    let folder = bench();
    let (mut ran, mut compared) = (0, 0);
    for (at, _) in guides.match_indices("```sh\n") {
        let rest = &guides[at + "```sh\n".len()..];
        let line = rest.lines().next().unwrap();
        if line == "cargo test" || line == "cargo install --path . --locked" {
            continue;
        }
        let (said, status) = run(folder.path(), line);
        // The loose part of the guides is a good one.
        let checks = line.contains(" check ") && !line.contains("R-101");
        let shows_failing = checks || line.contains("--ignore-dates");
        let contradicts = line.contains("identify rotor.front.tip_ridge=no") || line.starts_with("trochoid rework");
        assert_eq!(status, i32::from(shows_failing || contradicts), "{line} does not end as the guides say: {said}");
        let after = rest.split_once("```\n").unwrap().1.trim_start();
        if let Some(shown) = after.strip_prefix("```text\n") {
            let shown = shown.split_once("```").unwrap().0;
            // Of a verdict's arithmetic and of a proof the guides show only a part.
            assert!(
                said.contains(shown) && (said.starts_with(shown) || !shows_failing),
                "{line} says\n{said}\nand the guides show\n{shown}"
            );
            compared += 1;
        }
        ran += 1;
    }
    assert!(ran >= FEWEST_COMMANDS, "only {ran} commands were found");
    // Five outputs are compared by the tests below.
    assert!(
        compared + 5 >= FEWEST_OUTPUTS && blocks(&guides, "text").len() == compared + 5,
        "{compared} were compared"
    );
}

/// What the first screen shows before there is anything to type.
#[test]
fn the_match_on_the_first_screen_is_the_one_that_is_found() {
    let readme = paper("README.md");
    let (before, _) = readme.split_once("```text\n").unwrap();
    let line = before.rsplit('`').find(|code| code.starts_with("trochoid match ")).unwrap();
    let shown = &blocks(&readme, "text")[0];
    let (said, status) = run(bench().path(), line);
    assert!(status == 0 && said.starts_with(shown) && shown.lines().count() == 6, "{said}");
}

#[test]
fn every_question_of_an_owner_is_answered_by_its_command() {
    let guides = guides();
    let folder = bench();
    let part = guides.split_once("## What an owner asks later").unwrap().1.split_once("\n## ").unwrap().0;
    let commands: Vec<&str> = part.split('`').filter(|code| code.starts_with("trochoid ")).collect();
    assert!(commands.len() >= 10, "{commands:?}");
    for command in commands {
        let (said, status) = run(folder.path(), command);
        assert!(status < 2 && !said.is_empty(), "{command}: {status}: {said}");
    }
}

#[test]
fn what_the_guides_say_to_look_at_next_is_what_is_said() {
    let guides = guides();
    let shown = blocks(&guides, "text").into_iter().find(|block| block.starts_with("  look next")).unwrap();
    let line = "trochoid identify rotor pocket=machined apex_seal.thickness=2.0mm";
    assert!(guides.contains(line));
    let (said, _) = run(bench().path(), line);
    assert!(said.contains(&shown), "{said}");
}

#[test]
fn the_guides_house_book_judges_as_they_say() {
    let folder = bench();
    shop(folder.path());
    let record = std::fs::read_to_string(folder.path().join("K-0201.yaml")).unwrap();
    let record = record.replace("79.83 mm, 79.84 mm", "79.90 mm, 79.90 mm");
    std::fs::write(folder.path().join("shop/build.yaml"), record).unwrap();
    let (said, _) = run(folder.path(), "trochoid check shop --format plain");
    assert!(
        said.contains("rotor front: side clearance is 0.11 mm, 0.01 mm under its limit of at least 0.12 mm"),
        "{said}"
    );
    assert!(said.contains("because: Two engines scuffed the intermediate iron in spring."), "{said}");
    // Before its first day, the rule is the shipped one.
    let (said, _) = run(folder.path(), "trochoid check shop --format plain --as-of 2026-05-31");
    assert!(!said.contains("at least 0.12 mm"), "{said}");
}

#[test]
fn what_the_guides_leave_unsettled_is_reported_as_they_show() {
    let guides = guides();
    let folder = bench();
    shop(folder.path());
    let decides = blocks(&guides, "rulebook").into_iter().find(|book| book.contains("guard band")).unwrap();
    std::fs::write(folder.path().join("shop/books/decides.rulebook"), decides).unwrap();
    let part = guides.split_once("## How well it was measured").unwrap().1.split_once("\n## ").unwrap().0;
    let taken = blocks(part, "yaml");
    let mut record = std::fs::read_to_string(folder.path().join("K-0201.yaml")).unwrap();
    for (was, taken) in [
        ("    width: [79.83 mm, 79.84 mm]\n", taken[0].clone()),
        (
            "  front: { width: { plug_side: 80.01 mm, b: 80.00 mm, c: 80.00 mm, d: 79.99 mm } }\n",
            format!("  front:\n{}", taken[1]),
        ),
    ] {
        assert!(record.contains(was), "{was} is one of the record's");
        record = record.replace(was, &taken);
    }
    std::fs::write(folder.path().join("shop/K-0201.yaml"), record).unwrap();
    let shown = blocks(part, "text");
    let (said, _) = run(folder.path(), "trochoid check shop --format plain");
    for line in shown[0].replace("\n  ", " ").lines() {
        assert!(said.contains(&line.replacen("row-unsettled", "fault, row-unsettled", 1)), "{line}: {said}");
    }
    let (said, _) = run(folder.path(), "trochoid explain shop/K-0201.yaml rotor.front.side_clearance");
    assert!(said.contains(&shown[1]), "{said}");
}

#[test]
fn the_guides_gauges_are_reported_as_they_say() {
    let guides = guides();
    let folder = bench();
    let yaml = blocks(&guides, "yaml");
    let list = yaml.iter().find(|block| block.starts_with("mic-75-100:")).unwrap();
    let reading = yaml.iter().find(|block| block.contains("gauge: mic-75-100, at:")).unwrap();
    std::fs::write(folder.path().join("gauges.yaml"), list).unwrap();
    let record = std::fs::read_to_string(folder.path().join("K-0201.yaml")).unwrap();
    let measured = record.replace("    width: [79.83 mm, 79.84 mm]\n", reading);
    assert_ne!(record, measured, "the reading is one of the record's");
    std::fs::write(folder.path().join("K-0201.yaml"), measured).unwrap();
    let (said, _) = run(folder.path(), "trochoid check K-0201.yaml --format plain");
    let shown = blocks(&guides, "text").into_iter().find(|block| block.starts_with("warning, gauge-overdue")).unwrap();
    let line = said.lines().find(|line| line.contains(", gauge-overdue: ")).unwrap();
    assert!(line.ends_with(&format!(": {}", shown.trim_end())), "{line}");
    assert!(!said.contains("gauge-unknown") && !said.contains("gauge-range"), "{said}");
    // Every key the tables name is one, and no other.
    for (head, keys) in
        [("| key of a reading |", "the keys of a reading are "), ("| key of a gauge |", "the keys of a gauge are ")]
    {
        let table = guides.split_once(head).unwrap().1.split_once("\n\n").unwrap().0;
        let mut named: Vec<&str> = table
            .lines()
            .skip(2)
            .flat_map(|line| line.split('|').nth(1).unwrap().split('`').skip(1).step_by(2))
            .collect();
        named.sort_unstable();
        let wrong = if head.contains("reading") {
            "spacer_thickness: { value: 8 mm, xxxxxxxx: 1 }"
        } else {
            "gauges: { x: { xxxxxxxx: 1 } }"
        };
        std::fs::write(folder.path().join("wrong.yaml"), format!("generation: light_2mm\n{wrong}\n")).unwrap();
        let (said, _) = run(folder.path(), "trochoid check wrong.yaml --format plain");
        let told =
            said.split_once(keys).unwrap_or_else(|| panic!("{said}")).1.lines().next().unwrap().replace(" and ", ", ");
        let mut told: Vec<&str> = told.split(", ").collect();
        told.sort_unstable();
        assert_eq!(named, told, "{head}");
    }
}

#[test]
fn the_shipped_books_and_example_shops_compile_without_a_word() {
    let shipped = Shop::shipped();
    assert!(shipped.findings().is_empty(), "{:?}", shipped.findings());
    assert!(shipped.book.generations.iter().filter(|generation| !generation.basis).count() >= 4);
    let examples = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("examples");
    let (records, _) = trochoid::disk::records_below(&examples);
    assert!(records.len() >= 10);
    let shops = trochoid::shop::Shops::new(None);
    for record in records {
        let shop = shops.of(&record);
        assert!(shop.findings().is_empty(), "{:?}", shop.findings());
    }
}

#[test]
fn every_row_shipped_says_where_it_comes_from() {
    use trochoid::book::Provenance;
    let shop = Shop::shipped();
    let mut rows = 0;
    for generation in shop.book.generations.iter() {
        for row in &generation.rows {
            rows += 1;
            for (limit, range) in [(false, &row.standard), (true, &row.limit)] {
                if range.is_none() {
                    continue;
                }
                let provenance = row.provenance(limit);
                assert!(provenance.is_some(), "{} in {} has no source", row.path, generation.name);
                // A standard beside a limit makes no build worse than worn; whatever can fail one must not be from memory.
                let fails = limit || row.limit.is_none();
                if fails && matches!(provenance, Some(Provenance::Memory(_))) {
                    assert!(row.advisory, "{} in {} is from memory and must be advisory", row.path, generation.name);
                }
            }
        }
    }
    assert!(rows > 100);
    // `prove` leaves out the sources of a book that another uses; all shipped books together name every one.
    let idle = shop.book.citations.iter().filter(|citation| !citation.named);
    assert_eq!(idle.map(|citation| citation.name.to_string()).collect::<Vec<_>>(), Vec::<String>::new());
    assert!(shop.book.citations.iter().all(|citation| citation.grade.is_some()));
}
