//! The codes of findings as the rules of a SARIF run, each with its page. Refuses to know where one was used.

use super::message;
use crate::explain::code;
use crate::finding::Code;
use crate::report::wording;
use serde_json::{Map, Value, json};

/// A rule: the code's name, its page in short and in full, what to do, and how bad it usually is.
pub(super) fn rule(code: Code) -> Value {
    let mut rule = Map::new();
    rule.insert("id".into(), code.name().into());
    // A code without its page would not have passed the tests; its name still says what it is.
    if let Ok(page) = code::page(code) {
        rule.insert("shortDescription".into(), text(&[page.summary]));
        rule.insert("fullDescription".into(), text(&page.meaning));
        rule.insert("help".into(), text(&page.mend));
    }
    rule.insert("defaultConfiguration".into(), json!({ "level": wording::level(code.severity()) }));
    Value::Object(rule)
}

/// Paragraphs as a text, and as Markdown: the pages are written in it.
fn text(paragraphs: &[String]) -> Value {
    let text = message(&paragraphs.join("\n\n"));
    let plain = text.replace('`', "");
    if plain == text { json!({ "text": text }) } else { json!({ "text": plain, "markdown": text }) }
}
