//! The customer's sheet: in words, without what only the workshop needs, and with everything that is not good.

use super::{all, root, run, text};
use scraper::Html;
use serde_json::Value;

/// The builds of the example shops.
fn builds() -> Vec<String> {
    let mut builds: Vec<String> = walkdir::WalkDir::new(root().join("examples"))
        .sort_by_file_name()
        .into_iter()
        .filter_map(Result::ok)
        .filter(|entry| entry.path().parent().is_some_and(|folder| folder.ends_with("builds")))
        .map(|entry| entry.path().strip_prefix(root()).unwrap().to_string_lossy().into_owned())
        .collect();
    builds.retain(|build| build.ends_with(".yaml"));
    builds
}

#[test]
fn a_customer_reads_words_and_no_keys_paths_digests_or_codes() {
    let builds = builds();
    assert!(builds.len() > 25, "{}", builds.len());
    for build in builds {
        let (status, page, err) = run(&["report", &build, "--for", "customer"]);
        let workshop = run(&["report", &build]).0;
        assert_eq!(status, workshop, "{build}: {err}");
        let page = Html::parse_document(&page);
        let body = text(all(&page, "body")[0]);
        for gone in [".yaml", ".rulebook", "SHA-256", "row-", "examples/", "digest", "error", "warning"] {
            assert!(!body.contains(gone), "{build}: `{gone}` in {body}");
        }
        // What a shop writes of its engine stands as it wrote it.
        let main = text(all(&page, "main")[0]);
        let key = main.split(' ').find(|word| word.contains('_') && !word.starts_with("http"));
        assert_eq!(key, None, "{build}");
        let formula = body.split(' ').find(|word| word.contains("permissible") || word.ends_with('('));
        assert_eq!(formula, None, "{build}");
        assert!(all(&page, ".signatures dt").iter().any(|who| text(*who) == "Customer"), "{build}");
        assert!(body.contains("maker's service documents"), "{build}");
    }
}

#[test]
fn what_is_not_good_stands_before_what_was_measured_and_nothing_of_it_is_left_out() {
    let mut told = [0; 3];
    for build in builds() {
        let page = Html::parse_document(&run(&["report", &build, "--for", "customer"]).1);
        let json: Value = serde_json::from_str(&run(&["check", &build, "--format", "json"]).1).unwrap();
        let rulings = json["records"][0]["rulings"].as_array().cloned().unwrap_or_default();
        let headings: Vec<String> = all(&page, "h2").into_iter().map(text).collect();
        let mut last = None;
        for (number, (grade, heading)) in [
            ("out", "Outside its limit"),
            ("excused", "Let through, signed for"),
            ("worn", "Worn, and inside its limit"),
        ]
        .into_iter()
        .enumerate()
        {
            let of = |one: &&Value| one["grade"] == grade && one["advisory"] == false;
            let wanted = rulings.iter().filter(of).count();
            let at = headings.iter().position(|one| one == heading);
            assert_eq!(at.is_some(), wanted > 0, "{build}: {headings:?}");
            let Some(at) = at else { continue };
            assert!(last < Some(at), "{build}: {headings:?}");
            last = Some(at);
            let section = all(&page, "section").into_iter().find(|one| text(*one).starts_with(heading)).unwrap();
            let lines = super::inside(section, "li").into_iter().map(text).collect::<Vec<_>>();
            let more =
                lines.last().and_then(|line| line.strip_prefix("and ")?.split(' ').next()?.parse::<usize>().ok());
            let shown = lines.len() - usize::from(more.is_some()) + more.unwrap_or(0);
            assert_eq!(shown, wanted, "{build}: {lines:?}");
            told[number] += wanted;
        }
        assert!(headings.iter().position(|one| one == "What was measured") > last, "{build}: {headings:?}");
    }
    assert!(told.iter().all(|count| *count > 0), "{told:?}");
}

#[test]
fn a_concession_is_given_with_its_reason_and_a_limit_without_its_formula() {
    let (_, page, _) = run(&["report", "examples/kestrel/builds/K-0146.yaml", "--for", "customer"]);
    let body = text(all(&Html::parse_document(&page), "body")[0]);
    assert!(body.contains("Released by the workshop, with exceptions signed for"), "{body}");
    assert!(
        body.contains(
            "Rotor front: side clearance 0.08 mm, limit at least 0.10 mm: excused by shop foreman, until 2026-12-31: \
             gentle running in agreed, engine comes back at 500 km to be measured again"
        ),
        "{body}"
    );
    let (_, page, _) = run(&["report", "examples/kestrel/builds/K-0163.yaml", "--for", "customer"]);
    let body = text(all(&Html::parse_document(&page), "body")[0]);
    assert!(body.contains("Balance: residual 280 g·mm, limit at most 218.1823… g·mm"), "{body}");
}

#[test]
fn a_unit_is_spelt_one_way_on_a_sheet() {
    let shop = trochoid::shop::Shop::shipped();
    let spelt = |text: &str| trochoid::handover::one_spelling(&shop.book.units, text).into_owned();
    for (written, one) in [
        ("132 N*m", "132 N·m"),
        ("132 Nm", "132 N·m"),
        (
            "hub bolt is 132 N*m, 168 N·m under its limit of 300 to 340 N*m",
            "hub bolt is 132 N·m, 168 N·m under its limit of 300 to 340 N·m",
        ),
        ("0.0044 ± 2 um", "0.0044 ± 2 µm"),
        // A word like a unit that does not follow a number, and a number that is none.
        ("put in the N*m", "put in the N*m"),
        ("K-0144 in the shop", "K-0144 in the shop"),
        ("8.40 mm, 8.41 mm", "8.40 mm, 8.41 mm"),
    ] {
        assert_eq!(spelt(written), one);
    }
    let (_, page, _) = run(&["report", "examples/kestrel/builds/K-0144.yaml"]);
    let page = Html::parse_document(&page);
    let body = text(all(&page, "body")[0]);
    assert!(body.contains("132 N·m, 168 N·m under its limit of 300 to 340 N·m"));
    assert!(!body.contains("N*m"));
}

#[test]
fn what_was_done_stands_at_the_top_in_the_shops_own_words() {
    let page = Html::parse_document(&run(&["report", "examples/kestrel/builds/K-0154.yaml", "--for", "customer"]).1);
    let facts: Vec<String> = all(&page, "header .facts div").into_iter().map(text).collect();
    let done = facts.iter().find(|fact| fact.starts_with("work done"));
    assert!(
        done.is_some_and(|fact| fact.contains("new carbon apex seals and oil seals; housings cleaned")),
        "{facts:?}"
    );
}
