//! Derivations that each use the one before twice: sixty deep there are more ways down than could ever be walked.

use super::Papers;
use assert_cmd::Command;
use serde_json::{Value, json};
use std::time::Duration;

const DEEP: usize = 60;

/// So long a run may take before it is taken to be walking every way; each takes a moment.
const PATIENCE: Duration = Duration::from_secs(60);

fn shop() -> Papers {
    let mut book = "rulebook \"Pump\" edition 2026-03-01\nunit mm = 0.001 m\nunit um = 0.001 mm\npart pump {\n    d0 : mm\n    y0 : yes/no\n".to_owned();
    for at in 1..=DEEP {
        let before = at - 1;
        let both = match at % 3 {
            0 => format!("largest of (d{before}, d{before})"),
            1 => format!("d{before} + d{before}"),
            _ => format!("d{before} - d{before} / 2"),
        };
        book.push_str(&format!(
            "    derive d{at} : mm = {both}\n    derive y{at} : yes/no = y{before} and not (y{before} and no)\n"
        ));
    }
    book.push_str("}\ngeneration small \"an invented pump\" {\n");
    book.push_str(&format!("    pump.d{DEEP} standard 1 to 2 mm limit at most 3 mm {{ from common practice }}\n"));
    book.push_str(&format!("    pump.d{} limit at most 3 mm where y{DEEP} {{ from common practice }}\n", DEEP - 1));
    book.push_str(&format!("    telltale pump.d{DEEP} at least 1 mm {{ from common practice }}\n}}\n"));
    book.push_str(
        "generation large \"another\" follows small {\n    telltale pump.d1 at most 1 mm { from common practice }\n}\n",
    );
    let papers = Papers::new();
    papers.put("books/pump.rulebook", book);
    papers.put("builds/P-1.yaml", "build: P-1\ngeneration: small\nd0: { value: 79.85 mm, gauge: mic }\ny0: yes\n");
    papers.put("builds/P-2.yaml", "build: P-2\ngeneration: small\n");
    papers.put("gauges.yaml", "mic: { uncertainty: 2 um, resolution: 1 um }\n");
    papers.put("table.csv", "build,generation,d0,y0\nP-3,small,1.02 mm,yes\n");
    papers
}

#[test]
fn every_command_answers() {
    let papers = shop();
    let deepest = format!("pump.d{DEEP}");
    for arguments in [
        &["check", "builds", "--format", "plain"][..],
        &["check", "builds", "--format", "json"],
        &["check", "builds", "--within", "10%", "--conversions", "--count"],
        &["prove", "books"],
        &["explain", "builds/P-1.yaml", &deepest],
        &["report", "builds", "--to", "out"],
        &["audit", "builds", "--before", "books"],
        &["blank", "small"],
        &["trend", &deepest, "builds"],
        &["identify", "builds/P-1.yaml"],
        &["import", "table.csv"],
        &["tidy", "--check", "books"],
    ] {
        let mut command = Command::cargo_bin("trochoid").unwrap();
        let output = command.current_dir(papers.path()).args(arguments).timeout(PATIENCE).output().unwrap();
        let status = output.status.code();
        assert!(status.is_some(), "{arguments:?} has not answered");
        let (out, err) = (String::from_utf8_lossy(&output.stdout), String::from_utf8_lossy(&output.stderr));
        assert!(!err.contains("panicked") && !err.contains("error: "), "{arguments:?}: {err}");
        if arguments[0] == "check" {
            assert_eq!(status, Some(1), "{out}{err}");
        }
    }
}

#[test]
fn an_editor_is_answered() {
    let papers = shop();
    let uri = |name: &str| format!("file://{}/{name}", papers.path().canonicalize().unwrap().display());
    let text = |name: &str| std::fs::read_to_string(papers.path().join(name)).unwrap();
    let open = |name: &str, language: &str| {
        let document = json!({ "uri": uri(name), "languageId": language, "version": 1, "text": text(name) });
        json!({ "jsonrpc": "2.0", "method": "textDocument/didOpen", "params": { "textDocument": document } })
    };
    let at = |id: u32, method: &str, name: &str, line: usize, character: usize| {
        let params = json!({
            "textDocument": { "uri": uri(name) }, "position": { "line": line, "character": character },
        });
        json!({ "jsonrpc": "2.0", "id": id, "method": method, "params": params })
    };
    let (book, record) = ("books/pump.rulebook", "builds/P-1.yaml");
    let deepest = text(book).lines().position(|line| line.contains(&format!("derive d{DEEP} "))).unwrap();
    let messages = [
        json!({ "jsonrpc": "2.0", "id": 1, "method": "initialize", "params": { "processId": null, "rootUri": null, "capabilities": {} } }),
        json!({ "jsonrpc": "2.0", "method": "initialized", "params": {} }),
        open(record, "yaml"),
        open(book, "rulebook"),
        at(2, "textDocument/hover", record, 2, 1),
        at(3, "textDocument/hover", book, deepest, 13),
        at(4, "textDocument/completion", book, deepest, 24),
        at(5, "textDocument/definition", book, deepest, 29),
        json!({ "jsonrpc": "2.0", "id": 6, "method": "shutdown" }),
        json!({ "jsonrpc": "2.0", "method": "exit" }),
    ];
    let frame = |message: &Value| {
        let text = message.to_string();
        format!("Content-Length: {}\r\n\r\n{text}", text.len())
    };
    let said: String = messages.iter().map(frame).collect();
    let mut command = Command::cargo_bin("trochoid").unwrap();
    command.current_dir(papers.path()).arg("language-server").write_stdin(said).timeout(PATIENCE);
    let output = command.output().unwrap();
    assert_eq!(output.status.code(), Some(0), "the editor waits still");
    let out = String::from_utf8(output.stdout).unwrap();
    for id in 1..=6 {
        assert!(
            out.contains(&format!("\"id\":{id},\"result\"")) || out.contains(&format!("\"result\":null,\"id\":{id}")),
            "{id}: {out}"
        );
    }
    assert!(out.contains(&format!("d{DEEP}")), "{out}");
}
