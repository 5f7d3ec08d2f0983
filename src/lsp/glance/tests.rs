//! The first word on a large book, beside the whole truth that follows it.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "a test may stop at the first surprise"
)]

use super::*;
use lsp_server::{Notification, Request};
use serde_json::{Value, json};

fn note(desk: &mut Server, method: &str, params: Value) -> Vec<Message> {
    desk.take(Notification { method: method.into(), params }.into())
}

/// The diagnostics of the only message, with the version they are of.
fn diagnostics(messages: &[Message]) -> (i64, Vec<Value>) {
    match messages {
        [Message::Notification(said)] => {
            (said.params["version"].as_i64().unwrap(), said.params["diagnostics"].as_array().unwrap().clone())
        }
        other => panic!("{other:?}"),
    }
}

/// An invented book of so many rows, a name nobody declared in each hundredth.
fn book(rows: usize) -> String {
    let mut text = String::from("rulebook \"Large\" edition 2026-03-01\nunit mm = 0.001 m\npart p { a : mm }\n");
    text.push_str("generation g \"invented\" {\n    constant first = 1 mm\n");
    for row in 0..rows {
        let name = if row % 100 == 50 { "missing".to_string() } else { "a".to_string() };
        text.push_str(&format!(
            "    p.{name} limit at most {} mm where a above {row} mm {{ because \"row {row}\" from memory }}\n",
            row + 2
        ));
    }
    text + "}\n"
}

fn line(text: &str, words: &str) -> usize {
    text.lines().position(|line| line.contains(words)).unwrap()
}

#[test]
fn the_first_word_is_the_last_where_only_lines_move() {
    let folder = tempfile::tempdir().unwrap();
    let uri = format!("file://{}/large.rulebook", folder.path().canonicalize().unwrap().display());
    let text = book(2500);
    assert!(text.len() > LARGE);
    let mut desk = Server::new(None);
    desk.take(Request { id: 1.into(), method: "initialize".into(), params: json!({ "capabilities": {} }) }.into());
    let document = json!({ "uri": uri, "languageId": "rulebook", "version": 1, "text": text });
    note(&mut desk, "textDocument/didOpen", json!({ "textDocument": document }));
    let (_, opened) = diagnostics(&desk.settle());
    assert!(opened.len() >= 25, "{}", opened.len());
    let unknown = opened.iter().filter(|one| one["code"] == "name-unknown").count();
    assert_eq!(unknown, 25);

    // Two more rows above most of the names nobody declared: these move down.
    let at = line(&text, "\"row 120\"");
    let rows = "    p.a limit at most 9 mm where a above 7 m { from memory }\n\n";
    let change = |desk: &mut Server, version: i64, line: usize, column: usize, new: &str| {
        let place = json!({ "line": line, "character": column });
        let changes = json!([{ "range": { "start": place, "end": place }, "text": new }]);
        let document = json!({ "uri": uri, "version": version });
        note(desk, "textDocument/didChange", json!({ "textDocument": document, "contentChanges": changes }))
    };
    assert!(change(&mut desk, 2, at, 0, rows).is_empty());
    let (version, first) = diagnostics(&desk.glance());
    assert_eq!((version, first.len()), (2, opened.len()));
    let moved = |list: &[Value]| -> Vec<i64> {
        list.iter().map(|one| one["range"]["start"]["line"].as_i64().unwrap()).collect()
    };
    let expected: Vec<i64> =
        moved(&opened).into_iter().map(|line| if line >= at as i64 { line + 2 } else { line }).collect();
    assert_eq!(moved(&first), expected);
    // Nothing is left to say: the first word was the whole truth.
    assert_eq!(desk.settle().len(), 0);
    assert_eq!(desk.glance().len(), 0);

    // A mistake is said at once, and the rest after it.
    assert!(change(&mut desk, 3, at + 5, 4, "?? ").is_empty());
    let (version, first) = diagnostics(&desk.glance());
    assert_eq!(version, 3);
    let here = |list: &[Value]| -> Vec<Value> {
        let on = |one: &&Value| one["range"]["start"]["line"] == json!(at + 5);
        list.iter().filter(on).cloned().collect()
    };
    assert_eq!(here(&first).len(), 1, "{:?}", here(&first));
    let last = desk.settle();
    if !last.is_empty() {
        let (version, last) = diagnostics(&last);
        assert_eq!((version, here(&last)), (3, here(&first)));
    }
}
