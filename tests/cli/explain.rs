//! `trochoid explain`, run: a page, the list, and what there is no page for.

use super::Papers;

#[test]
fn a_code_that_was_just_said_is_explained() {
    let papers = Papers::new();
    papers.build("P-1", 20);
    assert!(papers.run(&["check", "builds"]).out.contains("row-out"));
    let asked = papers.run(&["explain", "row-out"]);
    assert_eq!(asked.status, 0);
    for said in ["row-out (fault): ", "\nwhat to do\n", "\nthis says row-out\n", "\nthis does not\n", "rulebook \""] {
        assert!(asked.out.contains(said), "{said} in\n{}", asked.out);
    }
    assert!(!asked.out.contains('\u{1b}') && asked.err.is_empty());
}

#[test]
fn prose_keeps_to_the_width_and_colour_is_on_when_asked_for() {
    let papers = Papers::new();
    let narrow = papers.run(&["explain", "row-unsettled", "--width", "40"]).out;
    let prose = narrow.split("\nin both examples\n").next().unwrap();
    assert!(prose.lines().count() > 8 && prose.lines().all(|line| line.chars().count() <= 40), "{prose}");
    let plain = papers.run(&["explain", "row-unsettled", "--format", "plain", "--colour", "always"]).out;
    assert!(plain.lines().any(|line| line.chars().count() > 120) && !plain.contains('\u{1b}'));
    let coloured = papers.run(&["explain", "row-unsettled", "--colour", "always"]).out;
    assert!(coloured.contains("\u{1b}[1;31mrow-unsettled\u{1b}[0m"), "{coloured}");
}

#[test]
fn the_list_has_every_code_once() {
    let papers = Papers::new();
    let names: Vec<&str> = trochoid::finding::Code::ALL.iter().map(|code| code.name()).collect();
    for flag in ["--list", "--all"] {
        let plain = papers.run(&["explain", flag, "--format", "plain"]);
        let listed: Vec<&str> = plain.out.lines().map(|line| line.split_once(": ").unwrap().0).collect();
        assert_eq!(listed, names);
    }
    let narrow = papers.run(&["explain", "--list", "--width", "40"]).out;
    assert!(narrow.lines().all(|line| line.chars().count() <= 40), "{narrow}");
    let json = papers.run(&["explain", "--list", "--format", "json"]).out;
    let told: serde_json::Value = serde_json::from_str(&json).unwrap();
    assert_eq!(told["codes"].as_array().unwrap().len(), names.len());
    assert_eq!(told["codes"][0]["code"], names[0]);
}

#[test]
fn json_holds_the_papers_as_they_are() {
    let papers = Papers::new();
    let json = papers.run(&["explain", "row-out", "--format", "json"]).out;
    let told: serde_json::Value = serde_json::from_str(&json).unwrap();
    assert_eq!((told["code"].as_str(), told["severity"].as_str()), (Some("row-out"), Some("error")));
    let page = trochoid::explain::code::page(trochoid::finding::Code::RowOut).unwrap();
    assert_eq!(told["wrong"][0]["text"].as_str(), Some(page.wrong[0].text.as_str()));
    assert_eq!(told["both"][0]["name"].as_str(), Some(page.both[0].name.as_str()));
}

#[test]
fn what_is_no_code_is_said_with_the_nearest_one() {
    let papers = Papers::new();
    let asked = papers.run(&["explain", "row-oot"]);
    assert_eq!((asked.status, asked.out.as_str()), (2, ""));
    assert_eq!(asked.err, "trochoid: there is no code `row-oot`; did you mean `row-out`?\n");
    let asked = papers.run(&["explain", "weather"]);
    assert_eq!(asked.status, 2);
    assert!(asked.err.contains("`trochoid explain --list` has every code"), "{}", asked.err);
    for bare in [&["explain"][..], &["explain", "row-out", "--list"]] {
        assert_eq!(papers.run(bare).status, 2, "{bare:?}");
    }
}
