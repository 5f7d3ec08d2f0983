//! Conversations with the real server over its standard input and output, each answer held to the published metamodel.

use super::metamodel::Metamodel;
use super::{BOOK, Papers, record};
use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::io::{BufRead, BufReader, Read, Write};
use std::process::{Child, ChildStdin, ChildStdout, Command, Stdio};

/// One conversation.
pub(super) struct Session {
    child: Child,
    input: Option<ChildStdin>,
    output: BufReader<ChildStdout>,
    asked: BTreeMap<i64, String>,
    /// The last diagnostics of each file, with their version.
    said: BTreeMap<String, Value>,
    model: Metamodel,
    next: i64,
}

impl Session {
    fn bare(papers: &Papers) -> Session {
        let mut child = Command::new(assert_cmd::cargo::cargo_bin("trochoid"))
            .arg("language-server")
            .current_dir(papers.path())
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        let output = BufReader::new(child.stdout.take().unwrap());
        let input = child.stdin.take();
        let (asked, said) = (BTreeMap::new(), BTreeMap::new());
        Session { child, input, output, asked, said, model: Metamodel::new(), next: 0 }
    }

    pub(super) fn new(papers: &Papers, encoding: &str) -> Session {
        Session::with(papers, encoding, Value::Null)
    }

    /// One begun with settings.
    pub(super) fn with(papers: &Papers, encoding: &str, options: Value) -> Session {
        let mut session = Session::bare(papers);
        let capabilities = json!({
            "general": { "positionEncodings": [encoding] },
            "textDocument": {
                "documentSymbol": { "hierarchicalDocumentSymbolSupport": true },
                "codeAction": { "codeActionLiteralSupport": { "codeActionKind": { "valueSet": ["quickfix"] } } },
            },
        });
        let answer =
            session.ask("initialize", json!({ "processId": null, "rootUri": null, "capabilities": capabilities, "initializationOptions": options }));
        assert_eq!(answer["capabilities"]["positionEncoding"], encoding);
        session.tell("initialized", json!({}));
        session
    }

    fn raw(&mut self, text: &str) {
        let frame = format!("Content-Length: {}\r\n\r\n{text}", text.len());
        self.input.as_mut().unwrap().write_all(frame.as_bytes()).unwrap();
    }

    pub(super) fn tell(&mut self, method: &str, params: Value) {
        self.raw(&json!({ "jsonrpc": "2.0", "method": method, "params": params }).to_string());
    }

    fn send(&mut self, method: &str, params: Value) -> i64 {
        self.next += 1;
        self.asked.insert(self.next, method.to_string());
        self.raw(&json!({ "jsonrpc": "2.0", "id": self.next, "method": method, "params": params }).to_string());
        self.next
    }

    /// The next message; what it says is held to the metamodel.
    fn read(&mut self) -> Value {
        let mut length = 0;
        loop {
            let mut line = String::new();
            assert!(self.output.read_line(&mut line).unwrap() > 0, "the server ended");
            if line == "\r\n" {
                break;
            }
            length = line.trim().strip_prefix("Content-Length: ").unwrap().parse().unwrap();
        }
        let mut bytes = vec![0; length];
        self.output.read_exact(&mut bytes).unwrap();
        let message: Value = serde_json::from_slice(&bytes).unwrap();
        assert_eq!(message["jsonrpc"], "2.0");
        let mut faults = Vec::new();
        if let Some(method) = message["method"].as_str() {
            faults = self.model.params(method, &message["params"]);
            if method == "textDocument/publishDiagnostics" {
                let uri = message["params"]["uri"].as_str().unwrap().to_string();
                self.said.insert(uri, message["params"].clone());
            }
        } else if let (Some(result), Some(id)) = (message.get("result"), message["id"].as_i64()) {
            faults = self.model.result(&self.asked[&id], result);
        }
        assert!(faults.is_empty(), "{faults:#?}");
        message
    }

    pub(super) fn whole(&mut self, method: &str, params: Value) -> Value {
        let id = self.send(method, params);
        loop {
            let message = self.read();
            if message["id"] == id && message.get("method").is_none() {
                return message;
            }
        }
    }

    pub(super) fn ask(&mut self, method: &str, params: Value) -> Value {
        let answer = self.whole(method, params);
        assert!(answer.get("error").is_none(), "{answer}");
        answer["result"].clone()
    }

    fn error(&mut self, method: &str, params: Value) -> i64 {
        self.whole(method, params)["error"]["code"].as_i64().unwrap()
    }

    pub(super) fn open(&mut self, uri: &str, text: &str) {
        let language = if uri.ends_with(".rulebook") { "rulebook" } else { "yaml" };
        let item = json!({ "uri": uri, "languageId": language, "version": 1, "text": text });
        self.tell("textDocument/didOpen", json!({ "textDocument": item }));
    }

    pub(super) fn change(&mut self, uri: &str, version: i64, changes: Value) {
        let document = json!({ "uri": uri, "version": version });
        self.tell("textDocument/didChange", json!({ "textDocument": document, "contentChanges": changes }));
    }

    /// The diagnostics of a file once everything sent so far was taken.
    fn diagnostics(&mut self, uri: &str) -> Vec<Value> {
        self.ask("textDocument/hover", at(uri, (0, 0)));
        self.said.get(uri).map_or(vec![], |params| params["diagnostics"].as_array().unwrap().clone())
    }

    fn end(mut self) -> i32 {
        self.input = None;
        self.child.wait().unwrap().code().unwrap()
    }
}

pub(super) fn at(uri: &str, (line, character): (usize, usize)) -> Value {
    json!({ "textDocument": { "uri": uri }, "position": { "line": line, "character": character } })
}

pub(super) fn uri(papers: &Papers, name: &str) -> String {
    format!("file://{}/{name}", papers.path().canonicalize().unwrap().display())
}

/// Line and UTF-16 column where some words begin.
pub(super) fn place(text: &str, words: &str) -> (usize, usize) {
    let offset = text.find(words).unwrap_or_else(|| panic!("{words} in {text}"));
    let before = &text[..offset];
    let column = before.rsplit('\n').next().unwrap().encode_utf16().count();
    (before.matches('\n').count(), column)
}

/// The text of a range of one line, in an encoding.
fn text_at(text: &str, range: &Value, encoding: &str) -> String {
    let number = |end: &str, what: &str| range[end][what].as_u64().unwrap() as usize;
    assert_eq!(number("start", "line"), number("end", "line"), "{range}");
    let line = text.split('\n').nth(number("start", "line")).unwrap();
    let (start, end) = (number("start", "character"), number("end", "character"));
    if encoding == "utf-8" {
        line[start..end].to_string()
    } else {
        let units: Vec<u16> = line.encode_utf16().collect();
        String::from_utf16(&units[start..end]).unwrap()
    }
}

#[test]
fn diagnostics_underline_what_the_check_underlines() {
    for encoding in ["utf-8", "utf-16"] {
        let papers = Papers::new();
        let text = "# µ 🛠 °\r\nbuild: A\r\ngeneration: small\r\nnotes: {µ: \"🛠\"}\r\nvane: 2.00 mm\r\nslott: 2.30 mm\r\nwear: 50 µm # °\r\n";
        papers.put("builds/a.yaml", text);
        let uri = uri(&papers, "builds/a.yaml");
        let mut session = Session::new(&papers, encoding);
        session.open(&uri, text);
        let found = session.diagnostics(&uri);
        let sarif: Value =
            serde_json::from_str(&papers.run(&["check", "builds/a.yaml", "--format", "sarif"]).out).unwrap();
        let results = sarif["runs"][0]["results"].as_array().unwrap();
        let mut told: Vec<(String, String)> = results
            .iter()
            .filter_map(|result| {
                let region = &result["locations"][0]["physicalLocation"]["region"];
                // What is about the record as a whole has no region.
                let snippet = region["snippet"]["text"].as_str()?.to_string();
                Some((result["ruleId"].as_str().unwrap().to_string(), snippet))
            })
            .collect();
        let all = results.len();
        let mut seen: Vec<(String, String)> = found
            .iter()
            .map(|one| (one["code"].as_str().unwrap().to_string(), text_at(text, &one["range"], encoding)))
            .collect();
        told.sort();
        seen.sort();
        assert_eq!(seen.len(), all);
        seen.retain(|one| told.contains(one));
        assert_eq!(seen, told);
        assert!(seen.iter().any(|(_, words)| words == "slott"), "{seen:?}");
        let explained = found.iter().any(|one| {
            let related = one["relatedInformation"].as_array();
            related.is_some_and(|places| {
                places.iter().any(|place| place["location"]["uri"].as_str().unwrap().ends_with("pump.rulebook"))
            })
        });
        assert!(explained, "{found:#?}");
    }
}

#[test]
fn unsaved_text_counts_until_it_is_closed() {
    let papers = Papers::new();
    papers.build("a", 12);
    let text = record("a", 12);
    let (build, book) = (uri(&papers, "builds/a.yaml"), uri(&papers, "books/pump.rulebook"));
    let mut session = Session::new(&papers, "utf-16");
    session.open(&build, &text);
    let code = |found: &[Value]| found.iter().map(|one| one["code"].as_str().unwrap().to_string()).collect::<Vec<_>>();
    assert_eq!(code(&session.diagnostics(&build)), ["row-worn"]);
    // A tighter limit in a book nobody saved: the record is judged again.
    session.open(&book, &BOOK.replace("at most 0.15 mm", "at most 0.11 mm"));
    assert_eq!(code(&session.diagnostics(&build)), ["row-out"]);
    let (line, column) = place(BOOK, "0.15 mm");
    let range =
        json!({ "start": { "line": line, "character": column }, "end": { "line": line, "character": column + 4 } });
    session.change(&book, 2, json!([{ "range": range, "text": "0.20" }]));
    assert_eq!(code(&session.diagnostics(&build)), ["row-worn"]);
    session.change(&book, 3, json!([{ "text": "rulebook oh" }]));
    assert!(!session.diagnostics(&book).is_empty());
    assert_eq!(session.said[&book]["version"], 3);
    session.tell("textDocument/didClose", json!({ "textDocument": { "uri": book } }));
    assert_eq!(code(&session.diagnostics(&build)), ["row-worn"]);
    assert_eq!(session.diagnostics(&book), Vec::<Value>::new());
}

#[test]
fn a_name_is_explained_led_to_and_renamed() {
    let papers = Papers::new();
    let book = uri(&papers, "books/pump.rulebook");
    let mut session = Session::new(&papers, "utf-16");
    session.open(&book, BOOK);
    let use_of = place(BOOK, "slot - vane");
    let hover = session.ask("textDocument/hover", at(&book, use_of));
    assert!(hover["contents"]["value"].as_str().unwrap().contains("reading slot : mm"), "{hover}");
    let row = session.ask("textDocument/hover", at(&book, place(BOOK, "0.05 to 0.10")));
    for words in ["standard 0.05 to 0.10 mm", "A wide gap", "Drain the pump first.", "line 4"] {
        assert!(row["contents"]["value"].as_str().unwrap().contains(words), "{row}");
    }
    let led = session.ask("textDocument/definition", at(&book, use_of));
    assert_eq!(text_at(BOOK, &led[0]["range"], "utf-16"), "slot");
    assert_eq!(led[0]["range"]["start"]["line"], place(BOOK, "slot : mm").0);
    let mut asked = at(&book, use_of);
    asked["context"] = json!({ "includeDeclaration": true });
    assert_eq!(session.ask("textDocument/references", asked).as_array().unwrap().len(), 2);
    let mut asked = at(&book, place(BOOK, "gap   standard"));
    assert_eq!(session.ask("textDocument/prepareRename", asked.clone())["placeholder"], "gap");
    asked["newName"] = "play".into();
    let edits = session.ask("textDocument/rename", asked.clone());
    assert_eq!(edits["changes"][&book].as_array().unwrap().len(), 2, "{edits}");
    for taken in ["slot", "limit", "9a", ""] {
        asked["newName"] = taken.into();
        assert!(session.error("textDocument/rename", asked.clone()) < 0, "{taken}");
    }
    assert!(session.error("textDocument/prepareRename", at(&book, (0, 0))) < 0);
}

#[test]
fn a_reading_shows_its_grade_and_its_row() {
    let papers = Papers::new();
    let text = format!("{}wear: 0.01 mm\n", record("a", 7));
    papers.put("builds/a.yaml", &text);
    let build = uri(&papers, "builds/a.yaml");
    let mut session = Session::new(&papers, "utf-16");
    session.open(&build, &text);
    let whole = json!({ "start": { "line": 0, "character": 0 }, "end": { "line": 99, "character": 0 } });
    let hints = session.ask("textDocument/inlayHint", json!({ "textDocument": { "uri": build }, "range": whole }));
    let labels: Vec<&str> = hints.as_array().unwrap().iter().map(|hint| hint["label"].as_str().unwrap()).collect();
    assert!(labels.iter().any(|label| label.starts_with("good") && label.contains("0.01 mm")), "{labels:?}");
    let on = place(&text, "0.01 mm");
    let hover = session.ask("textDocument/hover", at(&build, on));
    assert!(hover["contents"]["value"].as_str().unwrap().contains("wear: good"), "{hover}");
    let led = session.ask("textDocument/definition", at(&build, on));
    assert_eq!(led[0]["range"]["start"]["line"], place(BOOK, "pump.wear").0, "{led}");
    let led = session.ask("textDocument/definition", at(&build, place(&text, "wear")));
    assert_eq!(led[0]["range"]["start"]["line"], place(BOOK, "wear : mm").0, "{led}");
}

#[test]
fn a_reading_shows_how_it_is_measured_in_a_book_and_in_a_record() {
    const HOW: &str = "Feeler gauge between the vane and its slot.";
    let book = BOOK.replace("wear : mm, optional", &format!("wear : mm, optional {{ measure \"{HOW}\" }}"));
    let papers = Papers::new();
    papers.put("books/pump.rulebook", &book);
    let measured = format!("{}wear: 0.01 mm\n", record("a", 7));
    let still_empty = format!("{}wear:\n", record("b", 7));
    papers.put("builds/a.yaml", &measured);
    papers.put("builds/b.yaml", &still_empty);
    let mut session = Session::new(&papers, "utf-16");
    for (name, text, words, shows) in [
        ("books/pump.rulebook", &book, "wear : mm", true),
        ("books/pump.rulebook", &book, "wear  limit", true),
        ("books/pump.rulebook", &book, "slot - vane", false),
        ("builds/a.yaml", &measured, "wear", true),
        ("builds/a.yaml", &measured, "0.01 mm", true),
        ("builds/a.yaml", &measured, "vane", false),
        ("builds/b.yaml", &still_empty, "wear", true),
    ] {
        let uri = uri(&papers, name);
        session.open(&uri, text);
        let hover = session.ask("textDocument/hover", at(&uri, place(text, words)));
        let said = hover["contents"]["value"].as_str().unwrap_or_default();
        assert_eq!(said.contains(HOW), shows, "{name}, {words}: {hover}");
    }
}

#[test]
fn what_may_stand_next_is_offered_while_the_text_is_broken() {
    let papers = Papers::new();
    papers.build("b", 7);
    let (book, build) = (uri(&papers, "books/pump.rulebook"), uri(&papers, "builds/a.yaml"));
    let mut session = Session::new(&papers, "utf-16");
    let mut offered = |uri: &str, text: &str, words: &str| -> Vec<String> {
        session.open(uri, text);
        let before = &text[..text.find(words).unwrap() + words.len()];
        let column = before.rsplit('\n').next().unwrap().encode_utf16().count();
        let items = session.ask("textDocument/completion", at(uri, (before.matches('\n').count(), column)));
        items.as_array().unwrap().iter().map(|item| item["label"].as_str().unwrap().to_string()).collect()
    };
    let has = |labels: &[String], wanted: &[&str]| {
        for word in wanted {
            assert!(labels.iter().any(|label| label == word), "{word} in {labels:?}");
        }
    };
    has(
        &offered(&book, &BOOK.replace("pump.wear  limit", "pump.wear  lim @"), "pump.wear  lim"),
        &["limit", "standard"],
    );
    has(
        &offered(&book, &BOOK.replace("pump.wear", "pump."), "0.02 mm { from sheet \"line 5\" }\n").to_vec(),
        &["telltale"],
    );
    has(&offered(&book, &BOOK.replace("pump.wear  limit", "pump. limit"), "    pump."), &["vane", "gap"]);
    has(&offered(&build, "build: a\ngeneration: \n", "generation: "), &["small"]);
    // Of a gauge, in lines of its own and in braces, in the record and in the shop's list.
    let list = uri(&papers, "gauges.yaml");
    for (file, text, words, wanted) in [
        (&build, "build: a\ngauges:\n  mic-1:\n    k\n", "    k", &["k", "coverage", "correlated"][..]),
        (&build, "build: a\ngauges:\n  mic-1: { uncertainty: 2 um, \n", "um, ", &["k", "coverage", "correlated"]),
        (&list, "mic-1: { uncertainty: 2 um, \n", "um, ", &["k", "coverage", "correlated", "degrees_of_freedom"]),
        (
            &list,
            "mic-1: { uncertainty: 2 um, correlated: { \nmic-2: { uncertainty: 2 um }\n",
            "correlated: { ",
            &["mic-2"],
        ),
        (&list, "mic-1:\n  - { coverage: \n", "coverage: ", &["95 %"]),
        (&build, "build: a\nvane: { value: 2 mm, \n", "mm, ", &["gauge", "k", "coverage", "uncertainty"]),
    ] {
        let labels = offered(file, text, words);
        has(&labels, wanted);
        let taken = ["mic-1", "value", "generation"];
        assert!(!labels.iter().any(|label| taken.contains(&label.as_str())), "{text}: {labels:?}");
        assert!(!text.contains("uncertainty: 2 um, ") || !labels.contains(&"uncertainty".to_owned()), "{labels:?}");
    }
    has(&offered(&build, "build: a\ngeneration: small\nvane: 2.0 \n", "vane: 2.0 "), &["mm", "µm"]);
    let keys = offered(&build, "build: a\ngeneration: small\nvane: 2.0 mm\ns", "mm\ns");
    has(&keys, &["slot", "wear"]);
    assert!(!keys.iter().any(|key| key == "vane" || key == "gap"), "{keys:?}");
}

#[test]
fn a_mend_an_outline_and_a_layout_are_given() {
    let papers = Papers::new();
    let book = uri(&papers, "books/pump.rulebook");
    let text = BOOK.replace("slot - vane", "slott - vane");
    let mut session = Session::new(&papers, "utf-16");
    session.open(&book, &text);
    let found = session.diagnostics(&book);
    let wrong = found.iter().find(|one| one["severity"] == 1).unwrap();
    let asked = json!({ "textDocument": { "uri": book }, "range": wrong["range"], "context": { "diagnostics": [] } });
    let actions = session.ask("textDocument/codeAction", asked);
    let edit = &actions[0]["edit"]["changes"][&book][0];
    assert_eq!(
        (edit["newText"].as_str().unwrap(), text_at(&text, &edit["range"], "utf-16").as_str()),
        ("slot", "slott")
    );
    session.change(&book, 2, json!([{ "range": edit["range"], "text": edit["newText"] }]));
    assert!(session.diagnostics(&book).iter().all(|one| one["severity"] != 1));
    let outline = session.ask("textDocument/documentSymbol", json!({ "textDocument": { "uri": book } }));
    let pump = outline.as_array().unwrap().iter().find(|symbol| symbol["name"] == "pump").unwrap();
    let inner: Vec<&str> =
        pump["children"].as_array().unwrap().iter().map(|one| one["name"].as_str().unwrap()).collect();
    assert_eq!(inner, ["vane", "slot", "wear", "gap"]);
    let options = json!({ "textDocument": { "uri": book }, "options": { "tabSize": 4, "insertSpaces": true } });
    let edits = session.ask("textDocument/formatting", options.clone());
    papers.put("tidied.rulebook", BOOK);
    assert_eq!(papers.run(&["tidy", "tidied.rulebook"]).status, 0);
    let tidied = std::fs::read_to_string(papers.path().join("tidied.rulebook")).unwrap();
    assert_eq!(edits[0]["newText"].as_str().map_or(BOOK, |text| text), tidied);
    session.change(&book, 3, json!([{ "text": "rulebook {" }]));
    assert_eq!(session.ask("textDocument/formatting", options), Value::Null);
}

#[test]
fn many_changes_say_what_a_fresh_reading_says() {
    let papers = Papers::new();
    let book = uri(&papers, "books/pump.rulebook");
    let mut session = Session::new(&papers, "utf-16");
    session.open(&book, BOOK);
    let mut text = BOOK.to_string();
    let edits = [
        ("0.10 mm", "0.1µ mm"),
        ("slot - vane", "slot 🛠 vane"),
        ("}\n}", "}"),
        ("0.1µ", "0.09"),
        ("🛠", "-"),
        ("unit um", "\tunit\tum"),
    ];
    for (version, (old, new)) in (2..).zip(edits) {
        let (start, end) = (place(&text, old), text.find(old).unwrap() + old.len());
        let after = &text[..end];
        let end = (after.matches('\n').count(), after.rsplit('\n').next().unwrap().encode_utf16().count());
        let point = |(line, character): (usize, usize)| json!({ "line": line, "character": character });
        session.change(&book, version, json!([{ "range": { "start": point(start), "end": point(end) }, "text": new }]));
        text = text.replacen(old, new, 1);
        let mut fresh = Session::new(&papers, "utf-16");
        fresh.open(&book, &text);
        assert_eq!(session.diagnostics(&book), fresh.diagnostics(&book), "{text}");
    }
}

#[test]
fn hostile_messages_are_answered() {
    let papers = Papers::new();
    let book = uri(&papers, "books/pump.rulebook");
    let mut session = Session::bare(&papers);
    assert_eq!(session.error("textDocument/hover", at(&book, (0, 0))), -32002);
    let mut session = Session::new(&papers, "utf-16");
    session.raw("{not json");
    assert_eq!(session.read()["error"]["code"], -32700);
    session.raw("[1, 2]");
    assert_eq!(session.read()["error"]["code"], -32600);
    assert_eq!(session.error("initialize", json!({ "capabilities": {} })), -32600);
    assert_eq!(session.error("textDocument/noSuchThing", json!({})), -32601);
    let negative = json!({ "textDocument": { "uri": book }, "position": { "line": -1, "character": 0 } });
    assert_eq!(session.error("textDocument/hover", negative), -32602);
    session.open(&book, BOOK);
    session.tell("$/setTrace", json!({ "value": "verbose" }));
    session.tell("textDocument/didChange", json!({ "textDocument": 7 }));
    let beyond = u32::MAX >> 1;
    let range = json!({ "start": { "line": beyond, "character": beyond }, "end": { "line": beyond, "character": 0 } });
    session.change(&book, 2, json!([{ "range": range, "text": "# end\n" }]));
    for method in ["hover", "definition", "completion", "prepareRename"] {
        let mut asked = at(&book, (0, 0));
        asked["position"] = json!({ "line": beyond, "character": beyond });
        session.whole(&format!("textDocument/{method}"), asked);
    }
    session.ask("shutdown", Value::Null);
    assert_eq!(session.error("textDocument/hover", at(&book, (0, 0))), -32600);
    session.tell("exit", Value::Null);
    assert_eq!(session.end(), 0);
}

#[test]
fn the_status_says_how_it_ended() {
    let papers = Papers::new();
    assert_eq!(Session::new(&papers, "utf-8").end(), 1, "closed without a word");
    let mut session = Session::new(&papers, "utf-8");
    session.tell("exit", Value::Null);
    assert_eq!(session.end(), 1);
    let mut session = Session::bare(&papers);
    session.input.as_mut().unwrap().write_all(b"Content-Length: many\r\n\r\n").unwrap();
    assert_eq!(session.end(), 2);
    let mut session = Session::bare(&papers);
    session.input.as_mut().unwrap().write_all(b"Content-Length: 99999999999999\r\n\r\n{}").unwrap();
    assert_eq!(session.end(), 1);
}
