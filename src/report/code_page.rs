//! The page of a code, and the list of all codes, on paper. Refuses to know what they mean.
//!
//! As JSON a page is an object with `format` (`"trochoid explain code"`), `version` (`1`), `code`, `severity` (`error`,
//! `warning`, `note`), `summary`, `meaning` and `mend` (lists of paragraphs), and `both`, `wrong` and `right`: lists of
//! papers, each with `language` (`rulebook`, `yaml`, `shell`, `text`), `name` (a file; `null` for a command line or
//! words) and `text`. `both` are the papers that belong to both examples. The list is an object with `format`
//! (`"trochoid explain list"`), `version` (`1`) and `codes`: objects with `code`, `severity` and `summary`.

use super::style::{self, Ink, Look};
use super::{Format, json, wording};
use crate::explain::code::{Page, Paper};
use crate::finding::Severity;
use serde_json::{Value, json};

/// Columns that text and papers stand in from the left.
const INDENT: usize = 2;

/// Writes one page.
#[must_use]
pub fn write(page: &Page, format: Format, look: Look) -> String {
    match format {
        Format::Graphic => drawn(page, look),
        Format::Plain => drawn(page, unwrapped(look)),
        Format::Json => json::document(&page_value(page)),
    }
}

/// Writes a line for each page.
#[must_use]
pub fn list(pages: &[Page], format: Format, look: Look) -> String {
    match format {
        Format::Graphic => listed(pages, look),
        Format::Plain => pages.iter().map(|page| format!("{}: {}\n", page.code, page.summary)).collect(),
        Format::Json => {
            let codes: Vec<Value> = pages.iter().map(head_value).collect();
            json::document(&json!({ "format": "trochoid explain list", "version": 1, "codes": codes }))
        }
    }
}

/// Plain lines are for `grep`: no colour, and a sentence stands on one line.
fn unwrapped(look: Look) -> Look {
    Look { width: usize::MAX, colour: false, ..look }
}

fn listed(pages: &[Page], look: Look) -> String {
    let widest = pages.iter().map(|page| page.code.name().len()).max().unwrap_or(0);
    // Where the names leave too little room beside them, the sentences stand below.
    let beside = look.width >= widest + INDENT + 30;
    let mut out = String::new();
    for page in pages {
        let name = page.code.name();
        let inked = look.paint(ink_of(page), name);
        if beside {
            let head = format!("{inked}{}", " ".repeat(widest + INDENT - name.len()));
            style::wrapped(&mut out, &head, widest + INDENT, &page.summary, look.width);
        } else {
            out.push_str(&inked);
            out.push('\n');
            indented(&mut out, &page.summary, look);
        }
    }
    out
}

fn drawn(page: &Page, look: Look) -> String {
    let name = page.code.name();
    let head = format!("{} ({}): ", look.paint(ink_of(page), name), wording::severity(page.code.severity()));
    let plain_head = name.len() + wording::severity(page.code.severity()).len() + 5;
    let mut out = String::new();
    if look.width >= plain_head + 30 {
        style::wrapped(&mut out, &head, plain_head, &page.summary, look.width);
    } else {
        out.push_str(head.trim_end());
        out.push('\n');
        indented(&mut out, &page.summary, look);
    }
    for paragraph in &page.meaning {
        out.push('\n');
        indented(&mut out, paragraph, look);
    }
    section(&mut out, Ink::Aside, wording::WHAT_TO_DO, look);
    for (at, paragraph) in page.mend.iter().enumerate() {
        if at > 0 {
            out.push('\n');
        }
        indented(&mut out, paragraph, look);
    }
    if !page.both.is_empty() {
        section(&mut out, Ink::Aside, wording::IN_BOTH, look);
        papers(&mut out, &page.both, look);
    }
    section(&mut out, ink_of(page), &wording::says(name), look);
    papers(&mut out, &page.wrong, look);
    section(&mut out, Ink::Good, wording::SAYS_NOT, look);
    papers(&mut out, &page.right, look);
    out
}

fn ink_of(page: &Page) -> Ink {
    match page.code.severity() {
        Severity::Error => Ink::Fail,
        Severity::Warning => Ink::Mind,
        Severity::Note => Ink::Aside,
    }
}

fn section(out: &mut String, ink: Ink, words: &str, look: Look) {
    out.push('\n');
    out.push_str(&look.paint(ink, words));
    out.push('\n');
}

fn indented(out: &mut String, text: &str, look: Look) {
    style::wrapped(out, &" ".repeat(INDENT), INDENT, text, look.width);
}

/// Papers stand as they are: a line of a rulebook is never broken.
fn papers(out: &mut String, papers: &[Paper], look: Look) {
    for (at, paper) in papers.iter().enumerate() {
        if at > 0 {
            out.push('\n');
        }
        if paper.is_file() {
            out.push_str(&" ".repeat(INDENT));
            out.push_str(&look.paint(Ink::Faint, &paper.name));
            out.push('\n');
        }
        for line in paper.text.lines() {
            if !line.is_empty() {
                let prompt = if paper.language == "shell" { "$ " } else { "" };
                let inner = if paper.is_file() { INDENT * 2 } else { INDENT };
                out.push_str(&" ".repeat(inner));
                out.push_str(prompt);
                out.push_str(&style::clean(line));
            }
            out.push('\n');
        }
    }
}

fn head_value(page: &Page) -> Value {
    json!({
        "code": page.code.name(),
        "severity": wording::level(page.code.severity()),
        "summary": page.summary,
    })
}

fn page_value(page: &Page) -> Value {
    let papers = |papers: &[Paper]| -> Vec<Value> {
        let value = |paper: &Paper| {
            json!({
                "language": paper.language,
                "name": paper.is_file().then_some(&paper.name),
                "text": paper.text,
            })
        };
        papers.iter().map(value).collect()
    };
    json!({
        "format": "trochoid explain code",
        "version": 1,
        "code": page.code.name(),
        "severity": wording::level(page.code.severity()),
        "summary": page.summary,
        "meaning": page.meaning,
        "mend": page.mend,
        "both": papers(&page.both),
        "wrong": papers(&page.wrong),
        "right": papers(&page.right),
    })
}
