//! `check --format junit`: held to its published schema, and read again by another library beside the JSON document.

use super::{Papers, examples, json::document};
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};
use uppsala::{Document, NodeId, XsdValidator};

/// See `tests/outside/schemas/README.md`.
const SCHEMA: &str = include_str!("../outside/schemas/junit-10.xsd");

/// What is wrong with a document by the schema.
fn faults(text: &str) -> Vec<String> {
    let schema = uppsala::parse(SCHEMA).unwrap();
    let document = match uppsala::parse(text) {
        Ok(document) => document,
        Err(error) => return vec![error.to_string()],
    };
    let validator = XsdValidator::from_schema(&schema).unwrap();
    validator.validate(&document).iter().map(ToString::to_string).collect()
}

/// A document that keeps to the schema.
fn valid(text: &str) -> Document<'_> {
    assert_eq!(faults(text), Vec::<String>::new(), "{text}");
    uppsala::parse(text).unwrap()
}

fn children(document: &Document<'_>, of: NodeId, name: &str) -> Vec<NodeId> {
    let named = |id: &NodeId| document.element(*id).is_some_and(|element| element.name.local_name == name);
    document.children(of).into_iter().filter(named).collect()
}

fn attribute(document: &Document<'_>, of: NodeId, name: &str) -> String {
    document.element(of).unwrap().get_attribute(name).unwrap_or_default().to_string()
}

fn suites(document: &Document<'_>) -> Vec<NodeId> {
    document.get_elements_by_tag_name("testsuite")
}

/// The grade of a ruling of the document without the word that says it is advisory.
fn bare_grade(ruling: &Value) -> &str {
    let grade = ruling["grade"].as_str().unwrap();
    grade.strip_prefix("advisory ").unwrap_or(grade)
}

#[test]
fn the_schema_refuses_what_is_no_junit() {
    let good = "<testsuites><testsuite tests=\"1\"><testcase name=\"a\"><failure message=\"b\"/></testcase></testsuite></testsuites>";
    assert_eq!(faults(good), Vec::<String>::new());
    for (what, instead) in [
        ("tests=\"1\"", ""),
        ("name=\"a\"", "nam=\"a\""),
        ("<failure message=\"b\"/>", "<fault/>"),
        ("<failure message=\"b\"/>", "words"),
        ("<testsuite tests", "<testcase name=\"a\"/><testsuite tests"),
        ("<testsuites>", "<testsuites host=\"a\">"),
    ] {
        let bad = good.replace(what, instead);
        assert_ne!(bad, good);
        assert!(!faults(&bad).is_empty(), "{bad}");
    }
}

#[test]
fn every_ruling_is_a_case_with_what_the_document_says() {
    let text = examples("junit");
    let whole: Value = serde_json::from_str(&examples("json")).unwrap();
    let xml = valid(&text);
    let records = whole["records"].as_array().unwrap();
    let suites = suites(&xml);
    assert_eq!(suites.len(), records.len());
    let mut seen: BTreeMap<&str, usize> = BTreeMap::new();
    for (suite, record) in suites.into_iter().zip(records) {
        let rulings = record["rulings"].as_array().unwrap();
        let cases = children(&xml, suite, "testcase");
        let count = |name: &str| attribute(&xml, suite, name).parse::<u64>().unwrap();
        let graded = |grade: &str| record["counts"][grade].as_u64().unwrap();
        assert_eq!(
            attribute(&xml, suite, "name"),
            record["build"].as_str().or_else(|| record["part"]["tag"].as_str()).unwrap()
        );
        assert_eq!(attribute(&xml, suite, "file"), record["file"].as_str().unwrap());
        assert_eq!(count("failures"), graded("out") + graded("unmeasured") + graded("unsettled"));
        assert_eq!(count("errors"), record["record_errors"].as_u64().unwrap());
        assert_eq!(count("tests"), cases.len() as u64);
        assert_eq!(cases.len(), rulings.len() + usize::try_from(count("errors")).unwrap());
        let names: BTreeSet<(String, String)> =
            cases.iter().map(|case| (attribute(&xml, *case, "classname"), attribute(&xml, *case, "name"))).collect();
        assert_eq!(names.len(), cases.len(), "no two cases are taken for one");
        // What findings say, word for word; rows that lack the same reading share one.
        let messages: BTreeSet<&str> = record["findings"]
            .as_array()
            .unwrap()
            .iter()
            .filter(|finding| finding["code"].as_str().unwrap().starts_with("row-"))
            .map(|finding| finding["message"].as_str().unwrap())
            // What only holds of a loose part as another generation has no ruling here.
            .filter(|said| !said.starts_with("as "))
            .collect();
        let mut told = BTreeSet::new();
        for (case, ruling) in cases.iter().zip(rulings) {
            assert_eq!(attribute(&xml, *case, "status"), bare_grade(ruling));
            let line = ruling["reading"]["line"].as_u64().map(|line| line.to_string()).unwrap_or_default();
            assert_eq!(attribute(&xml, *case, "line"), line);
            let inside = xml.children(*case).into_iter().find(|child| xml.element(*child).is_some());
            let element = inside.map(|child| xml.element(child).unwrap().name.local_name.to_string());
            let (grade, advisory) = (bare_grade(ruling), ruling["advisory"].as_bool().unwrap());
            let expected = match grade {
                "good" => None,
                "unmeasured" | "unsettled" if advisory => Some("skipped"),
                "unmeasured" | "unsettled" => Some("failure"),
                "out" if !advisory => Some("failure"),
                _ => Some("system-out"),
            };
            assert_eq!(element.as_deref(), expected, "{ruling}");
            let Some(inside) = inside else { continue };
            *seen.entry(expected.unwrap()).or_default() += 1;
            let text = xml.text_content_deep(inside);
            for member in ["because", "remedy", "caution", "source", "limit", "value", "beyond"] {
                if let Some(words) = ruling[member].as_str() {
                    assert!(
                        text.lines().any(|line| line.ends_with(&format!(": {words}"))),
                        "{member}: {words} in {text}"
                    );
                }
            }
            let at = format!("declared at: {}:{}:", ruling["row"]["file"].as_str().unwrap(), ruling["row"]["line"]);
            assert!(text.contains(&at), "{at} in {text}");
            let message = match expected {
                Some("system-out") => text.lines().next().unwrap().to_string(),
                _ => attribute(&xml, inside, "message"),
            };
            told.insert(message);
        }
        for message in messages {
            // What a loose part would be on some machines is a finding and no case.
            let other = message.contains(" positions") || message.starts_with("if ");
            assert!(told.contains(message) || other, "{message} in {told:#?}");
        }
    }
    assert!(seen["failure"] > 20 && seen["skipped"] > 0 && seen["system-out"] > 20, "{seen:?}");
}

#[test]
fn names_that_are_no_xml_are_shown_as_what_they_are() {
    let papers = Papers::new();
    papers.put(
        "builds/a&<b>.yaml",
        "build: \"\\x1b[31m \\0 ]]> <!-- &amp; \\uFFFE \\u202E \\\" ' \\n µ\"\ngeneration: small\nvane: 2.00 mm\nslot: 2.2 mm\n",
    );
    papers.put("builds/bad.yaml", "build: [\n");
    papers.put("builds/latin.yaml", b"build: \xb5\n");
    papers.put("builds/odd.yaml", "build: </testsuites>\ngeneration: \"\\x07large\"\n");
    let ran = papers.run(&["check", "builds", "go\u{1}ne", "--format", "junit"]);
    assert_eq!((ran.status, ran.err.as_str()), (2, ""));
    let xml = valid(&ran.out);
    let names: Vec<String> = suites(&xml).into_iter().map(|suite| attribute(&xml, suite, "name")).collect();
    assert_eq!(names[0], "␛[31m ␀ ]]> <!-- &amp; \u{fffd} \u{fffd} \" ' ␊ µ");
    assert_eq!(&names[1..], ["bad", "latin", "</testsuites>", "rulebooks, paths and gauges"]);
    assert!(!ran.out.chars().any(|letter| letter.is_control() && letter != '\n'));
    let errors: Vec<String> =
        xml.get_elements_by_tag_name("error").into_iter().map(|id| attribute(&xml, id, "type")).collect();
    assert!(errors.contains(&"not-utf8".to_string()) && errors.contains(&"path-missing".to_string()), "{errors:?}");
    // The same document each time, with any number of threads.
    for threads in ["1", "4"] {
        assert_eq!(
            papers.run(&["check", "builds", "go\u{1}ne", "--format", "junit", "--threads", threads]).out,
            ran.out
        );
    }
}

#[test]
fn what_is_not_judged_does_not_look_as_if_it_passed() {
    let papers = Papers::new();
    papers.build("P-1", 7);
    papers.put("builds/P-2.yaml", "build: P-2\nvane: 2 mm\n");
    papers.put("builds/P-3.yaml", "build: P-3\ngeneration: small\nvane: 2\nslot: 2.07 mm\n");
    papers.put("broken/trochoid.yaml", "books: [none.rulebook]\n");
    papers.put("broken/P-4.yaml", "build: P-4\n");
    let whole = document(&papers.run(&["check", "builds", "broken", "--format", "json"]));
    let ran = papers.run(&["check", "builds", "broken", "--format", "junit"]);
    let xml = valid(&ran.out);
    let failing: BTreeSet<String> = suites(&xml)
        .into_iter()
        .filter(|suite| attribute(&xml, *suite, "failures") != "0" || attribute(&xml, *suite, "errors") != "0")
        .map(|suite| attribute(&xml, suite, "file"))
        .collect();
    let mut expected: BTreeSet<String> = whole["records"]
        .as_array()
        .unwrap()
        .iter()
        .filter(|record| record["passes"] == false)
        .map(|record| record["file"].as_str().unwrap().to_string())
        .collect();
    assert_eq!(expected.len(), 3);
    // And the suite of the rulebooks themselves.
    expected.insert(String::new());
    assert_eq!(failing, expected);
    assert!(ran.out.contains("books-missing"), "{}", ran.out);
}
