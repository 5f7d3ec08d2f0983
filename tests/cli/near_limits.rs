//! A value near an end is told in the same words by every command and in every format; a yes or no that comes from a
//! comparison says that it is not weighed.

use super::Papers;
use serde_json::Value;

const BOOK: &str = "\
rulebook \"Pump\" edition 2026-03-01
unit mm = 0.001 m
unit in = 25.4 mm
unit um = 0.001 mm
part pump {
    gap   : mm
    slot  : mm
    end   : mm
    shaft : mm
    derive play  : mm     = gap - shaft
    derive loose : yes/no = play above 0.12 mm
    derive slack : yes/no = loose or gap above 1 mm
}
generation small \"an invented pump\" {
    pump.gap   standard at least 0.12 mm limit at least 0.10 mm { from common practice }
    pump.slot  limit at most 0.30 mm { from common practice }
    pump.end   standard at most 0.10 mm limit at most 0.20 mm { from common practice }
    pump.slack limit no { from common practice }
}
house \"Lapwing Pumps\" { judge by guard band }
";

fn shop() -> Papers {
    let papers = Papers(tempfile::tempdir().unwrap());
    papers.put("trochoid.yaml", "shop: Lapwing Pumps\nbooks: [books/]\n");
    papers.put("books/pump.rulebook", BOOK);
    papers.put(
        "builds/P-1.yaml",
        "build: P-1\nfinished: 2026-03-02\ngeneration: small\ngauges:\n  mic: { uncertainty: 3 um }\n\
         gap: { value: 0.121 mm, gauge: mic }\nslot: { value: 0.0118 in, gauge: mic }\nend: { value: 0.0040 in, gauge: mic }\n\
         shaft: { value: 0.0005 mm, gauge: mic }\n",
    );
    papers
}

/// The text of a page or a document, its marks taken out.
fn plain(text: &str) -> String {
    let mut out = String::new();
    let mut inside = false;
    for sign in text.chars() {
        match sign {
            '<' => inside = true,
            '>' => inside = false,
            _ if !inside => out.push(sign),
            _ => {}
        }
    }
    out
}

#[test]
fn a_value_near_an_end_is_told_alike_everywhere() {
    let papers = shop();
    let ran = papers.run(&["check", "builds", "--format", "json"]);
    let document: Value = serde_json::from_str(&ran.out).unwrap();
    let findings = document["records"][0]["findings"].as_array().unwrap();
    let near: Vec<&str> = findings
        .iter()
        .filter_map(|finding| finding["message"].as_str())
        .filter(|message| message.contains("too near an end"))
        .collect();
    assert_eq!(
        near,
        [
            "gap is 0.121 mm ± 0.0030 mm, inside its limit; good or worn: too near an end of its standard range of at least \
             0.12 mm to tell by guard band 1 U",
            "slot is 0.0118 in (0.2997 mm) ± 0.0030 mm, too near an end of its limit of at most 0.30 mm to be settled by guard \
             band 1 U",
            "end is 0.0040 in (0.1016 mm) ± 0.0030 mm, inside its limit; good or worn: too near an end of its standard range of \
             at most 0.10 mm to tell by guard band 1 U",
        ]
    );
    for (arguments, least) in [
        (&["check", "builds", "--format", "plain"][..], 3),
        (&["check", "builds", "--format", "sarif"], 3),
        (&["check", "builds", "--format", "junit"], 1),
        (&["explain", "builds/P-1.yaml", "gap"], 1),
        (&["explain", "builds/P-1.yaml", "slot"], 1),
        (&["explain", "builds/P-1.yaml", "end", "--format", "json"], 1),
    ] {
        let ran = papers.run(arguments);
        let told = near.iter().filter(|message| ran.out.contains(**message)).count();
        assert!(told >= least, "{arguments:?}: {}{}", ran.out, ran.err);
        // Of nothing near an end is anything else said.
        let words = |tier: &str| ran.out.matches(&format!("too near an end of its {tier} of ")).count();
        assert_eq!((words("standard range") + words("limit")) % told.max(1), 0, "{arguments:?}: {}", ran.out);
    }
    papers.run(&["report", "builds", "--to", "out"]);
    let mut pages = std::fs::read_dir(papers.path().join("out")).unwrap().map(|page| page.unwrap().path());
    let of_build = pages.find(|page| page.file_stem().is_some_and(|name| name == "P-1")).unwrap();
    let page = plain(&std::fs::read_to_string(of_build).unwrap());
    for message in near {
        assert!(page.contains(message), "{message}: {page}");
    }
}

#[test]
fn a_yes_or_no_that_compares_says_that_it_is_not_weighed() {
    const NOT_WEIGHED: &str =
        "decided by the values as taken; their uncertainty is not weighed, so near a bound the answer may be the other";
    let papers = shop();
    // The play is half a thousandth over its bound, and known to three thousandths.
    let ran = papers.run(&["check", "builds", "--format", "plain"]);
    assert!(ran.out.contains("slack is yes, and its limit is no"), "{}", ran.out);
    assert_eq!(ran.out.matches(NOT_WEIGHED).count(), 1, "{}", ran.out);
    for row in ["slack", "loose"] {
        let ran = papers.run(&["explain", "builds/P-1.yaml", row]);
        assert!(ran.out.contains(NOT_WEIGHED), "{row}: {}{}", ran.out, ran.err);
    }
    // What compares nothing, or rests on nothing that is weighed, has nothing to say of it.
    let ran = papers.run(&["explain", "builds/P-1.yaml", "play"]);
    assert!(ran.out.contains("play = 0.1205 mm: no row judges it") && !ran.out.contains(NOT_WEIGHED), "{}", ran.out);
    papers.put("builds/P-1.yaml", "build: P-1\ngeneration: small\ngap: 0.121 mm\nshaft: 0.0005 mm\n");
    let ran = papers.run(&["explain", "builds/P-1.yaml", "slack"]);
    assert!(!ran.out.contains(NOT_WEIGHED), "{}", ran.out);
}

#[test]
fn what_is_left_out_unknown_or_in_words_is_explained_too() {
    let papers = shop();
    let book = BOOK.replace("    shaft : mm\n", "    shaft : mm\n    note : text, optional\n    spare : mm, optional\n    width : mm, 2 readings or more\n    gear : choice steel, bronze\n    derive wide : mm = largest of width - spare\n");
    papers.put("books/pump.rulebook", book);
    papers.put(
        "builds/P-1.yaml",
        "build: P-1\ngeneration: small\nnote: seen\nwidth: [1 mm, 2 mm]\ngear: bronze\nshaft: unknown\n",
    );
    for (row, said) in [
        ("note", "note: no row judges it"),
        ("spare", "spare: left out, as it may be"),
        ("width", "width = 2 mm: no row judges it"),
        ("gear", "gear = bronze: no row judges it"),
        ("shaft", "shaft: unknown: it could not be read"),
        ("wide", "wide: nothing to calculate it from; it may be left out"),
        ("play", "play cannot be calculated: something it needs was not measured"),
    ] {
        let ran = papers.run(&["explain", "builds/P-1.yaml", row]);
        assert!(ran.out.contains(said), "{row}: {}{}", ran.out, ran.err);
    }
    let ran = papers.run(&["explain", "builds/P-1.yaml", "shft"]);
    assert_eq!((ran.status, ran.out.as_str()), (2, ""));
}
