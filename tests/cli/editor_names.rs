//! Names in the editor: renamed in every book and record of the shop or not at all, coloured by what they mean, offered where they
//! belong; the outline of a record, and hints that can be turned off.

use super::language_server::{Session, at, place, uri};
use super::{BOOK, Papers, record};
use serde_json::{Value, json};
use std::collections::BTreeMap;

const GEARS: &str = "rulebook \"Gears\" edition 2026-03-01
unit mm  = 0.001 m
unit cun = 33.3 mm
class make = cut, ground
source sheet \"Invented bench sheet, 2026\"
source other \"Another invented sheet, 2026\"
part pump {
    part gear at drive, idle {
        width at hub, rim : mm, 1 reading or more
        made  : make, optional
    }
    derive step : mm = mean of gear.drive.width.hub - mean of gear.idle.width.hub
}
generation small \"20 mm gears\" {
    each of gear.width limit 19.9 to 20.1 mm { from sheet \"line 1\" }
    pump.step  limit at most 0.1 mm where gear.drive.made is cut { from other \"line 2\" }
}
";

const BUILD: &str = "build: P-1
generation: small
gear: # both of them
  drive:
    width:
      hub: 20.00 mm
      rim: { value: 20.30 mm, note: width at the rim }
    made: cut
  idle: { width: { hub: 20.00 mm, rim: 20.05 mm }, made: Ground }
concessions:
  - row: gear.drive.width.rim
    because: the width is agreed
    by: foreman
";

fn gears() -> Papers {
    let papers = Papers::new();
    papers.put("books/pump.rulebook", GEARS);
    papers.put("trochoid.yaml", "shop: Lapwing Pumps\nbooks: [books/]\nshelf: shelf/\n");
    papers.put("builds/P-1.yaml", BUILD);
    papers.put(
        "shelf/G-1.yaml",
        "part: gear\ntag: G-1\ngeneration: small\nwidth: { hub: 20 mm, rim: 20 mm }\nmade: cut\n",
    );
    papers
}

/// A text after the edits of one file.
fn edited(text: &str, edits: &Value) -> String {
    let starts: Vec<usize> = std::iter::once(0).chain(text.match_indices('\n').map(|(at, _)| at + 1)).collect();
    let byte = |at: &Value| {
        let (line, column) = (at["line"].as_u64().unwrap() as usize, at["character"].as_u64().unwrap() as usize);
        starts[line] + column
    };
    let mut edits: Vec<(usize, usize, &str)> = edits
        .as_array()
        .unwrap()
        .iter()
        .map(|edit| {
            let range = &edit["range"];
            (byte(&range["start"]), byte(&range["end"]), edit["newText"].as_str().unwrap())
        })
        .collect();
    edits.sort_unstable();
    let mut text = text.to_owned();
    for (start, end, new) in edits.into_iter().rev() {
        text.replace_range(start..end, new);
    }
    text
}

/// The files of a shop after a renaming, as the editor would leave them; or why it was refused.
fn renamed(
    papers: &Papers,
    session: &mut Session,
    file: &str,
    on: &str,
    new: &str,
) -> Result<BTreeMap<String, String>, String> {
    let text = papers.text(file);
    let mut asked = at(&uri(papers, file), place(&text, on));
    asked["newName"] = new.into();
    let answer = session.whole("textDocument/rename", asked);
    if let Some(message) = answer["error"]["message"].as_str() {
        return Err(message.to_owned());
    }
    let changes = answer["result"]["changes"].as_object().unwrap().iter();
    let folder = uri(papers, "");
    Ok(changes
        .map(|(uri, edits)| {
            let name = uri.strip_prefix(&folder).unwrap();
            (name.to_owned(), edited(&papers.text(name), edits))
        })
        .collect())
}

/// A table without the columns that say where things stand: those move with a longer name.
fn without_places(table: &str) -> String {
    let lines = table.lines().map(|line| line.rsplitn(3, ',').last().unwrap().to_owned());
    lines.collect::<Vec<_>>().join("\n")
}

#[test]
fn a_new_name_reaches_every_record_and_the_shop_judges_as_before() {
    let papers = gears();
    let before = papers.run(&["check", ".", "--format", "csv"]);
    for (on, old, new, files, places) in [
        ("width at hub", "width", "thickness", 3, 8),
        ("hub, rim", "hub", "boss", 3, 6),
        ("drive, idle", "drive", "driving", 2, 5),
        ("gear at", "gear", "wheel", 3, 8),
        ("cut, ground", "cut", "sawn", 3, 4),
        ("small \"", "small", "little", 3, 3),
    ] {
        let papers = gears();
        let mut session = Session::new(&papers, "utf-8");
        let book = uri(&papers, "books/pump.rulebook");
        session.open(&book, GEARS);
        let changed = renamed(&papers, &mut session, "books/pump.rulebook", on, new).unwrap();
        assert_eq!(changed.len(), files, "{old}: {changed:#?}");
        let count = |word: &str| changed.values().map(|text| text.matches(word).count()).sum::<usize>();
        assert_eq!(count(new), places, "{old}: {changed:#?}");
        for (name, text) in &changed {
            papers.put(name, text);
        }
        let after = papers.run(&["check", ".", "--format", "csv"]);
        assert_eq!(after.status, before.status, "{old}: {}", after.out);
        assert_eq!(without_places(&after.out).replace(new, old), without_places(&before.out), "{old}");
    }
}

#[test]
fn a_name_in_a_record_is_renamed_from_there() {
    let papers = gears();
    let mut session = Session::new(&papers, "utf-8");
    let build = uri(&papers, "builds/P-1.yaml");
    session.open(&build, BUILD);
    let from_book = {
        let mut session = Session::new(&papers, "utf-8");
        session.open(&uri(&papers, "books/pump.rulebook"), GEARS);
        renamed(&papers, &mut session, "books/pump.rulebook", "width at hub", "thickness").unwrap()
    };
    assert_eq!(renamed(&papers, &mut session, "builds/P-1.yaml", "width:", "thickness").unwrap(), from_book);
    for nothing in ["P-1", "20.00", "agreed"] {
        assert!(renamed(&papers, &mut session, "builds/P-1.yaml", nothing, "thickness").is_err(), "{nothing}");
    }
    // What was written since and is not saved counts as it stands there.
    let unsaved = BUILD.replace("  idle:", "  # the width\n  idle:");
    session.change(&build, 2, json!([{ "text": unsaved }]));
    let mut asked = at(&build, place(&unsaved, "width:"));
    asked["newName"] = "thickness".into();
    let edits = session.ask("textDocument/rename", asked)["changes"][&build].clone();
    assert_eq!(edited(&unsaved, &edits).matches("thickness").count(), 3);
}

#[test]
fn a_renaming_is_refused_whole_and_says_which_records_it_cannot_answer_for() {
    for (name, text, on, said) in [
        (
            "builds/P-2.yaml",
            "build: P-2\ngear: {drive: {width: [1, ]\n x: }}\n",
            "width at hub",
            "`width` stands in builds/P-2.yaml",
        ),
        ("builds/P-3.yaml", "build: P-3\ngear:\n  width: 20 mm\n", "width at hub", "`width` stands in builds/P-3.yaml"),
        (
            "builds/P-5.yaml",
            "build: P-5\nGear: { drive: { Width: { hub: 20 mm } } }\n",
            "width at hub",
            "`width` stands in builds/P-5.yaml",
        ),
        (
            "builds/P-4.yaml",
            "build: P-4\ngear: { drive: { width: { hub: 0.6 cun } } }\n",
            "cun = ",
            "`cun` stands beside readings in builds/P-4.yaml",
        ),
    ] {
        let papers = gears();
        papers.put(name, text);
        let mut session = Session::new(&papers, "utf-8");
        session.open(&uri(&papers, "books/pump.rulebook"), GEARS);
        let refused = renamed(&papers, &mut session, "books/pump.rulebook", on, "another").unwrap_err();
        assert!(refused.contains(said), "{name}: {refused}");
        // What no record has can be renamed all the same.
        assert!(renamed(&papers, &mut session, "books/pump.rulebook", "sheet \"", "paper").is_ok(), "{name}");
    }
}

#[test]
fn each_name_has_a_colour_by_what_it_means() {
    let papers = gears();
    let mut session = Session::new(&papers, "utf-16");
    let legend: Vec<&str> =
        "namespace type class enum enumMember property variable parameter function".split(' ').collect();
    for (file, text, expected) in [
        (
            "books/pump.rulebook",
            GEARS,
            &[
                ("mm ", "type", 1),
                ("make = ", "enum", 1),
                ("cut, ground", "enumMember", 1),
                ("sheet \"Inv", "variable", 3),
                ("gear at", "namespace", 1),
                ("drive, idle", "enumMember", 1),
                ("rim :", "enumMember", 1),
                ("width at", "property", 1),
                ("gear.drive", "namespace", 0),
                ("small \"", "class", 1),
                ("cut { from", "enumMember", 0),
                ("other \"line", "variable", 2),
            ][..],
        ),
        (
            "builds/P-1.yaml",
            BUILD,
            &[
                ("small", "class", 0),
                ("gear:", "namespace", 0),
                ("drive:", "enumMember", 0),
                ("rim: {", "enumMember", 0),
                ("cut\n", "enumMember", 0),
                ("Ground", "enumMember", 0),
                ("gear.drive", "namespace", 0),
                ("width.rim", "property", 0),
            ][..],
        ),
    ] {
        let file = uri(&papers, file);
        session.open(&file, text);
        let answer = session.ask("textDocument/semanticTokens/full", json!({ "textDocument": { "uri": file } }));
        let numbers: Vec<u64> = answer["data"].as_array().unwrap().iter().map(|one| one.as_u64().unwrap()).collect();
        let (mut line, mut column) = (0, 0);
        let mut found = BTreeMap::new();
        for token in numbers.chunks(5) {
            column = if token[0] == 0 { column + token[1] } else { token[1] };
            line += token[0];
            found.insert((line as usize, column as usize), (legend[token[3] as usize], token[4], token[2]));
        }
        for (words, kind, modifiers) in expected {
            let (found_kind, found_modifiers, length) = found[&place(text, words)];
            assert_eq!((found_kind, found_modifiers), (*kind, *modifiers), "{words}");
            assert!(!words[..length as usize].contains(' ') && length > 0, "{words} {length}");
        }
        // Those of a range are those of the whole in it.
        let lines = text.lines().count() / 2;
        let range = json!({ "start": { "line": 0, "character": 0 }, "end": { "line": lines, "character": 0 } });
        let part = session
            .ask("textDocument/semanticTokens/range", json!({ "textDocument": { "uri": file }, "range": range }));
        let part = part["data"].as_array().unwrap().len() / 5;
        assert_eq!(part, found.keys().filter(|(line, _)| *line < lines).count());
    }
}

/// What is offered behind some words of a text.
fn offered(session: &mut Session, uri: &str, text: &str, words: &str) -> Vec<String> {
    session.open(uri, text);
    let (line, column) = place(text, words);
    let position = match words.rsplit_once('\n') {
        Some((before, last)) => (line + before.matches('\n').count() + 1, last.encode_utf16().count()),
        None => (line, column + words.encode_utf16().count()),
    };
    let items = session.ask("textDocument/completion", at(uri, position));
    items.as_array().unwrap().iter().map(|item| item["label"].as_str().unwrap().to_owned()).collect()
}

#[test]
fn units_sources_and_books_are_offered_where_they_belong() {
    let papers = gears();
    papers.put("books/second.rulebook", "rulebook \"Second\" edition 2026-03-01\n");
    let mut session = Session::new(&papers, "utf-16");
    let book = uri(&papers, "books/pump.rulebook");
    let with = |line: &str| GEARS.replace("    pump.step", &format!("    {line}\n    pump.step"));
    let units = offered(&mut session, &book, &with("pump.step limit 0.05 to 0.10 "), "to 0.10 ");
    assert_eq!(units[..3], ["m", "mm", "cun"], "those of a length first: {units:?}");
    let sources = offered(&mut session, &book, &with("gear.width limit 1 to 2 mm { from "), "2 mm { from ");
    assert_eq!(sources, ["sheet", "other", "common practice", "memory"]);
    let sources = offered(&mut session, &book, &with("gear.width limit 1 to 2 mm { limit from sh"), "limit from sh");
    assert_eq!(sources[..2], ["sheet", "other"]);
    let head = |line: &str| GEARS.replace("unit mm ", &format!("{line}\nunit mm "));
    assert_eq!(offered(&mut session, &book, &head("use "), "use "), ["\"second.rulebook\"", "shipped"]);
    assert_eq!(offered(&mut session, &book, &head("use \"sec"), "use \"sec"), ["second.rulebook"]);
    let shipped = offered(&mut session, &book, &head("use shipped \""), "shipped \"");
    assert!(shipped.contains(&"units.rulebook".to_owned()) && shipped.len() > 10, "{shipped:?}");
    // In words and in remarks nothing is.
    for words in ["because \"A gear ", "# as the gear "] {
        let text = with(&format!("gear.width limit 1 to 2 mm {{ {words}"));
        assert_eq!(offered(&mut session, &book, &text, words), [""; 0], "{words}");
    }
}

#[test]
fn in_a_record_keys_in_braces_over_lines_and_rows_to_let_through_are_offered() {
    let papers = gears();
    let mut session = Session::new(&papers, "utf-16");
    let build = uri(&papers, "builds/P-1.yaml");
    let head = "build: P-1\ngeneration: small\n";
    for (text, words, wanted, not) in [
        ("gear: { drive: { width: { hub: 20 mm,\n   ", "20 mm,\n   ", "rim", "hub"),
        ("gear: { drive: { width: { hub: 20 mm },\n  m", "},\n  m", "made", "width"),
        ("gear:\n  drive: {\n    width: { hub: 20 mm }, # { not this\n    ma", "this\n    ma", "made", "width"),
        ("gear: { drive: { made: ", "made: ", "ground", "rim"),
        ("concessions:\n  - ", "  - ", "row", "gear"),
        ("concessions:\n  - row: gear.drive.width.rim\n    b", "rim\n    b", "because", "row"),
        ("gear: { drive: { width: { hub: 20 mm }\nconcessions:\n  - ro", "\n  - ro", "row", "made"),
    ] {
        let labels = offered(&mut session, &build, &format!("{head}{text}"), words);
        assert!(labels.iter().any(|label| label == wanted), "{text}: {labels:?}");
        assert!(!labels.iter().any(|label| label == not), "{text}: {labels:?}");
    }
    let text = BUILD.replace("gear.drive.width.rim", "");
    let rows = offered(&mut session, &build, &text, "- row: ");
    assert_eq!(rows[0], "gear.drive.width.rim", "what is out comes first: {rows:?}");
    assert_eq!(rows.len(), 5, "{rows:?}");
}

#[test]
fn a_record_has_an_outline() {
    let papers = gears();
    let mut session = Session::new(&papers, "utf-16");
    let build = uri(&papers, "builds/P-1.yaml");
    session.open(&build, BUILD);
    let outline = session.ask("textDocument/documentSymbol", json!({ "textDocument": { "uri": build } }));
    fn written(symbols: &Value, depth: usize, out: &mut String) {
        for symbol in symbols.as_array().unwrap() {
            let detail = symbol["detail"].as_str().map(|detail| format!(" = {detail}")).unwrap_or_default();
            out.push_str(&format!("{}{}{detail}\n", "  ".repeat(depth), symbol["name"].as_str().unwrap()));
            if !symbol["children"].is_null() {
                written(&symbol["children"], depth + 1, out);
            }
        }
    }
    let mut out = String::new();
    written(&outline, 0, &mut out);
    assert_eq!(
        out,
        "build = P-1
generation = small
gear
  drive
    width
      hub = 20.00 mm
      rim = { value: 20.30 mm, note: width at the ri…
    made = cut
  idle
    width
      hub = 20.00 mm
      rim = 20.05 mm
    made = Ground
concessions
  gear.drive.width.rim
    row = gear.drive.width.rim
    because = the width is agreed
    by = foreman
"
    );
}

#[test]
fn hints_stand_at_the_end_of_a_line_and_can_be_turned_off() {
    let papers = Papers::new();
    let text = format!("{}wear: 0.01 mm # twice\n", record("a", 7));
    papers.put("builds/a.yaml", &text);
    let build = uri(&papers, "builds/a.yaml");
    let mut session = Session::new(&papers, "utf-16");
    session.open(&build, &text);
    let whole = json!({ "start": { "line": 0, "character": 0 }, "end": { "line": 99, "character": 0 } });
    let asked = json!({ "textDocument": { "uri": build }, "range": whole });
    let hints = session.ask("textDocument/inlayHint", asked.clone());
    let hints = hints.as_array().unwrap();
    assert!(!hints.is_empty());
    for hint in hints {
        let line = text.lines().nth(hint["position"]["line"].as_u64().unwrap() as usize).unwrap();
        assert_eq!(hint["position"]["character"].as_u64().unwrap() as usize, line.encode_utf16().count(), "{hint}");
    }
    assert!(hints.iter().any(|hint| hint["position"]["line"] == place(&text, "wear").0));
    // One hint a line.
    let mut lines: Vec<u64> = hints.iter().map(|hint| hint["position"]["line"].as_u64().unwrap()).collect();
    lines.dedup();
    assert_eq!(lines.len(), hints.len());
    for (settings, shown) in [
        (json!({ "trochoid": { "hints": false } }), false),
        (json!({ "another": 1 }), false),
        (json!({ "trochoid": { "hints": true } }), true),
        (json!({ "hints": false }), false),
        (Value::Null, false),
    ] {
        session.tell("workspace/didChangeConfiguration", json!({ "settings": settings }));
        let hints = session.ask("textDocument/inlayHint", asked.clone());
        assert_eq!(!hints.as_array().unwrap().is_empty(), shown, "{settings}");
    }
    let mut session = Session::with(&papers, "utf-16", json!({ "hints": false }));
    session.open(&build, BOOK);
    assert_eq!(session.ask("textDocument/inlayHint", asked), json!([]));
}
