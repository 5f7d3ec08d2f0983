//! Files of loose parts in the editor: grades beside readings, what stands under the cursor, what may be written next.

use super::Papers;
use super::language_server::{Session, at, place, uri};
use serde_json::json;

const GEARS: &str = "rulebook \"Gears\" edition 2026-03-01
unit mm = 0.001 m
unit g  = 0.001 kg
part pump {
    part gear at drive, idle {
        width : mm { measure \"Micrometer across the teeth.\" }
        mass  : g
        part tooth at 1, 2 {
            height : mm
            made   : choice cut, ground, optional
        }
        derive lightness : number = 100 g / mass
    }
}
generation small \"20 mm gears\" {
    gear.width     limit 19.9 to 20.1 mm
    gear.lightness limit at most 1
}
";

const ONE: &str = "part: gear\ntag: G-1\ngeneration: small\nwidth: 20.00 mm\nmass: 95 g\n";

const SEVERAL: &str = "part: gear
generation: small
parts:
  - tag: G-1
    width: 20.00 mm
    mass: 101 g
  - tag: G-2
    width: 20.50 mm
    tooth:
      1: { height: 5 mm }
";

fn papers() -> Papers {
    let papers = Papers::new();
    papers.put("books/pump.rulebook", GEARS);
    papers.put("trochoid.yaml", "shop: Lapwing Pumps\nbooks: [books/]\nshelf: shelf/\n");
    papers.put("builds/old.yaml", "build: P-0\ngeneration: small\n");
    papers.put("shelf/one.yaml", ONE);
    papers.put("shelf/several.yaml", SEVERAL.replace("G-1", "G-3"));
    papers
}

#[test]
fn a_reading_of_a_loose_part_shows_its_grade_its_row_and_how_it_is_measured() {
    let papers = papers();
    let mut session = Session::new(&papers, "utf-16");
    for (name, text) in [("shelf/one.yaml", ONE), ("shelf/several.yaml", SEVERAL)] {
        let file = uri(&papers, name);
        session.open(&file, text);
        let whole = json!({ "start": { "line": 0, "character": 0 }, "end": { "line": 99, "character": 0 } });
        let hints = session.ask("textDocument/inlayHint", json!({ "textDocument": { "uri": file }, "range": whole }));
        let hints: Vec<(u64, String)> = hints
            .as_array()
            .unwrap()
            .iter()
            .map(|hint| (hint["position"]["line"].as_u64().unwrap(), hint["label"].as_str().unwrap().to_owned()))
            .collect();
        let line = place(text, "width: 20.00 mm").0 as u64;
        assert!(hints.iter().any(|(at, label)| *at == line && label.starts_with("good, 0.1 mm")), "{hints:?}");
        let hover = session.ask("textDocument/hover", at(&file, place(text, "20.00 mm")));
        let said = hover["contents"]["value"].as_str().unwrap().to_owned();
        assert!(said.contains("gear.width: good") && said.contains("Micrometer across the teeth."), "{said}");
        let led = session.ask("textDocument/definition", at(&file, place(text, "20.00 mm")));
        assert_eq!(led[0]["range"]["start"]["line"], place(GEARS, "gear.width").0, "{led}");
        let led = session.ask("textDocument/definition", at(&file, place(text, "mass")));
        assert_eq!(led[0]["range"]["start"]["line"], place(GEARS, "mass  : g").0, "{led}");
    }
    // What is said of one part is not said of another in the same file.
    let file = uri(&papers, "shelf/several.yaml");
    let hover = session.ask("textDocument/hover", at(&file, place(SEVERAL, "20.50 mm")));
    let said = hover["contents"]["value"].as_str().unwrap();
    assert!(said.contains("gear.width: out") && !said.contains("good"), "{said}");
}

#[test]
fn what_may_be_written_of_a_loose_part_is_offered() {
    let papers = papers();
    let mut session = Session::new(&papers, "utf-16");
    let mut offered = |name: &str, text: &str, words: &str| -> Vec<String> {
        let file = uri(&papers, name);
        session.open(&file, text);
        let before = &text[..text.rfind(words).unwrap() + words.len()];
        let column = before.rsplit('\n').next().unwrap().encode_utf16().count();
        let items = session.ask("textDocument/completion", at(&file, (before.matches('\n').count(), column)));
        items.as_array().unwrap().iter().map(|item| item["label"].as_str().unwrap().to_string()).collect()
    };
    for (name, text, words, wanted, unwanted) in [
        (
            "shelf/new.yaml",
            "part: gear\ntag: G-9\nw\n",
            "w",
            &["width", "mass", "tooth", "measured", "state"][..],
            &["gear", "tag", "build", "lightness"][..],
        ),
        ("shelf/new.yaml", "part: \ntag: G-9\n", "part: ", &["gear", "gear.tooth"], &["pump", "width"]),
        ("shelf/new.yaml", "part: gear\nstate: \n", "state: ", &["in stock", "scrapped"], &["gear"]),
        ("shelf/new.yaml", "part: gear\ngeneration: \n", "generation: ", &["small"], &[]),
        ("shelf/new.yaml", "part: gear\nwidth: 20 \n", "width: 20 ", &["mm", "unknown"], &[]),
        ("shelf/new.yaml", "part: gear\ntooth:\n  1:\n    m\n", "m", &["height", "made"], &["width"]),
        ("shelf/new.yaml", "part: gear\ntooth:\n  \n", "tooth:\n  ", &["1", "2"], &[]),
        (
            "shelf/new.yaml",
            "part: gear\nparts:\n  - tag: G-8\n    width: 20 mm\n  - tag: G-9\n    w\n",
            "w",
            &["width", "mass"],
            &["tag"],
        ),
        (
            "shelf/new.yaml",
            "parts:\n  - part: gear\n    width: 20 mm\n    tooth:\n      1:\n        made: \n",
            "made: ",
            &["cut", "ground"],
            &[],
        ),
        (
            "shelf/new.yaml",
            "part: gear\nparts:\n  - tag: G-8\nme\n",
            "me",
            &["measured", "generation"],
            &["width", "part"],
        ),
        ("builds/new.yaml", "build: P-1\ngeneration: small\np\n", "p", &["parts", "gear"], &[]),
        (
            "builds/new.yaml",
            "build: P-1\ngeneration: small\nparts:\n  \n",
            "parts:\n  ",
            &["gear.drive", "gear.idle"],
            &[],
        ),
        (
            "builds/new.yaml",
            "build: P-1\ngeneration: small\nparts:\n  gear.drive: \n",
            "gear.drive: ",
            &["G-1", "G-2", "G-3"],
            &[],
        ),
    ] {
        let labels = offered(name, text, words);
        for word in wanted {
            assert!(labels.iter().any(|label| label == word), "{text}: {word} in {labels:?}");
        }
        for word in unwanted {
            assert!(!labels.iter().any(|label| label == word), "{text}: {word} not in {labels:?}");
        }
    }
}
