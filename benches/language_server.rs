//! How long an editor waits: from a change in a book of ten thousand rows to the first diagnostics of the changed text (what
//! cannot be read in it, and what else was said of it, moved to where it is now), to the last (whole meaning and plans
//! included), and to an answer about it. What is proved of such a book comes later, from a thread of its own,
//! and is not in these figures; nor are the pipes between the two programs.

use super::{best, compile};
use lsp_server::{Message, Notification, Request};
use serde_json::{Value, json};
use std::hint::black_box;
use std::time::{Duration, Instant};
use trochoid::lsp::Server;
use trochoid::shop::Shop;
use trochoid::text::Source;

/// What an editor is to wait for at most, at the median. Common practice: three frames of a screen.
const GOAL: Duration = Duration::from_millis(50);

fn note(method: &str, params: Value) -> Message {
    Notification { method: method.into(), params }.into()
}

fn ask(desk: &mut Server, method: &str, params: Value) -> Vec<Message> {
    desk.take(Request { id: 1.into(), method: method.into(), params }.into())
}

fn median(mut times: Vec<Duration>) -> Duration {
    times.sort_unstable();
    times[times.len() / 2]
}

/// Prints the figures.
pub fn figures(smoke: bool) {
    let (rows, edits) = if smoke { (200, 3) } else { (10_000, 41) };
    let folder = tempfile::tempdir().unwrap();
    let uri = format!("file://{}/generated.rulebook", folder.path().canonicalize().unwrap().display());
    let mut text = compile::book(rows).text().to_string();
    let mut desk = Server::new(None);
    ask(&mut desk, "initialize", json!({ "capabilities": {} }));
    let document = json!({ "uri": uri, "languageId": "rulebook", "version": 1, "text": text });
    desk.take(note("textDocument/didOpen", json!({ "textDocument": document })));
    let start = Instant::now();
    assert!(!desk.settle().is_empty());
    let opened = start.elapsed();

    let row = rows / 4;
    let (mut glanced, mut changed, mut hovered, mut completed) = (Vec::new(), Vec::new(), Vec::new(), Vec::new());
    for version in 0..edits {
        // A digit more, a letter that is a mistake, and both away again, as somebody types them.
        let words = format!("\"row {row}\"");
        let line = text.lines().position(|line| line.contains(&words)).unwrap() - 2;
        let written = text.lines().nth(line).unwrap().to_string();
        let column = written.find(" mm limit").unwrap();
        let typed = [("5", 0), ("q", 0), ("", 1), ("", 1)][version % 4];
        let range = json!({
            "start": { "line": line, "character": column - typed.1 },
            "end": { "line": line, "character": column },
        });
        let offset: usize = text.split_inclusive('\n').take(line).map(str::len).sum::<usize>() + column;
        text.replace_range(offset - typed.1..offset, typed.0);
        let document = json!({ "uri": uri, "version": version + 2 });
        let params = json!({ "textDocument": document, "contentChanges": [{ "range": range, "text": typed.0 }] });
        let start = Instant::now();
        desk.take(note("textDocument/didChange", params));
        let first = desk.glance();
        glanced.push(start.elapsed());
        // Small books have no first word: the whole truth comes as fast.
        assert!(smoke || !first.is_empty(), "the changed text has no first word");
        black_box(desk.settle());
        changed.push(start.elapsed());
        let at = json!({ "textDocument": { "uri": uri }, "position": { "line": line, "character": 6 } });
        let start = Instant::now();
        black_box(ask(&mut desk, "textDocument/hover", at.clone()));
        hovered.push(start.elapsed());
        let start = Instant::now();
        black_box(ask(&mut desk, "textDocument/completion", at));
        completed.push(start.elapsed());
    }
    let source = Source::new("generated.rulebook", text);
    let whole = best(if smoke { 1 } else { 5 }, || {
        black_box(Shop::of_sources(std::slice::from_ref(&source)));
    });
    let (glanced, changed) = (median(glanced), median(changed));
    let (hovered, completed) = (median(hovered), median(completed));
    let milliseconds = |time: Duration| time.as_secs_f64() * 1e3;
    println!("an editor with a book of {rows} rows, medians of {edits} changes:");
    println!("  opened, to its diagnostics           {:7.1} ms", milliseconds(opened));
    println!(
        "  changed, to its first diagnostics    {:7.1} ms   {:.3} of compiling it whole, {:.2} of the goal",
        milliseconds(glanced),
        glanced.as_secs_f64() / whole.as_secs_f64(),
        glanced.as_secs_f64() / GOAL.as_secs_f64()
    );
    println!(
        "  changed, to its last diagnostics     {:7.1} ms   {:.2} of compiling it whole",
        milliseconds(changed),
        changed.as_secs_f64() / whole.as_secs_f64()
    );
    println!("  a hover right after                  {:7.1} ms", milliseconds(hovered));
    println!("  completions right after              {:7.1} ms", milliseconds(completed));
}
