//! The papers run: what the guides show is what the program does.

use trochoid::shop::Shop;
use trochoid::text::Source;

fn paper(name: &str) -> String {
    std::fs::read_to_string(std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join(name)).unwrap()
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

#[test]
fn every_rulebook_in_the_guide_compiles() {
    let blocks = blocks(&paper("DEVELOPERS.md"), "rulebook");
    assert!(!blocks.is_empty());
    for block in blocks {
        let shop = Shop::of_sources(&[Source::new("DEVELOPERS.md", block)]);
        let said: Vec<String> = shop
            .findings()
            .iter()
            .map(|finding| format!("{:?} {}", finding.place.as_ref().map(|p| p.0.to_string()), finding.message))
            .collect();
        assert!(said.is_empty(), "{}", said.join("\n"));
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
            let provenance = row.texts.provenance.as_ref();
            assert!(provenance.is_some(), "{} in {} has no source", row.path, generation.name);
            if matches!(provenance, Some(Provenance::Memory(_))) {
                assert!(row.advisory, "{} in {} is from memory and must be advisory", row.path, generation.name);
            }
        }
    }
    assert!(rows > 100);
}
