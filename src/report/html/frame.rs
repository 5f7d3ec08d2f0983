//! What every page has around it: head, rules of print, running heads, and a policy that lets nothing in from outside. Refuses
//! to know what a page is about.

use super::words;
use crate::report::address::encoded;
use crate::report::style::clean;
use maud::{DOCTYPE, Markup, PreEscaped, html};
use std::borrow::Cow;

/// What a page of this program says in its head: by this it is known again.
const GENERATOR: &str = "trochoid report";

/// The style of every page.
pub(super) const STYLE: &str = include_str!("style.css");

/// The size of a sheet of paper.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum PaperSize {
    /// ISO 216.
    A4,
    /// ANSI/ASME Y14.1, size A: 8.5 by 11 inches.
    Letter,
}

impl PaperSize {
    fn name(self) -> &'static str {
        match self {
            PaperSize::A4 => "A4",
            PaperSize::Letter => "letter",
        }
    }
}

/// Everything around the body of a page.
pub(super) struct Frame<'a> {
    pub(super) title: String,
    /// What stands at the head of each printed page, left and right.
    pub(super) running: [String; 2],
    pub(super) paper: PaperSize,
    /// A script, and the hash the policy lets it in by.
    pub(super) script: Option<(&'a str, &'a str)>,
}

impl Frame<'_> {
    /// The whole page.
    pub(super) fn page(&self, body: &Markup) -> String {
        let script = self.script.map_or_else(|| "'none'".to_string(), |(_, hash)| format!("'{hash}'"));
        let policy = format!(
            "default-src 'none'; style-src 'unsafe-inline'; script-src {script}; base-uri 'none'; form-action 'none'"
        );
        let page = html! {
            (DOCTYPE)
            html lang="en" {
                head {
                    meta charset="utf-8";
                    meta name="generator" content=(GENERATOR);
                    meta http-equiv="Content-Security-Policy" content=(policy);
                    meta name="viewport" content="width=device-width, initial-scale=1";
                    meta name="referrer" content="no-referrer";
                    meta name="color-scheme" content="light dark";
                    title { (said(&self.title)) }
                    // The style has no text of anybody's in it, and the running heads only letters written as numbers.
                    style { (PreEscaped(STYLE)) (PreEscaped(self.rules_of_paper())) }
                }
                body { (body) @if let Some((script, _)) = self.script { script { (PreEscaped(script)) } } }
            }
        };
        page.into_string() + "\n"
    }

    /// The whole page with its styles in files, for a browser that is let have no others: `rules` is the address of
    /// [`Frame::rules_of_paper`]. What stands before the page is not printed.
    pub(super) fn linked(&self, rules: &str, before: &Markup, body: &Markup) -> String {
        let page = html! {
            (DOCTYPE)
            html lang="en" {
                head { (linked_head(&self.title)) link rel="stylesheet" href=(rules); }
                body { (before) (body) }
            }
        };
        page.into_string() + "\n"
    }

    /// The size of the paper and the heads of each printed page, as a style.
    pub(super) fn rules_of_paper(&self) -> String {
        let [left, right] =
            [0, 1].map(|side| self.running.get(side).map_or_else(String::new, |text| quoted(&said(text))));
        format!(
            "@page{{size:{};@top-left{{content:\"{left}\"}}@top-right{{content:\"{right}\"}}\
             @bottom-left{{content:\"{}\"}}@bottom-right{{content:\"{} \" counter(page) \" {} \" counter(pages)}}}}",
            self.paper.name(),
            quoted(words::FOOT),
            words::PAGE,
            words::OF
        )
    }
}

/// The head of a page with its styles in files.
pub(super) fn linked_head(title: &str) -> Markup {
    html! {
        meta charset="utf-8";
        meta name="viewport" content="width=device-width, initial-scale=1";
        meta name="referrer" content="same-origin";
        meta name="color-scheme" content="light dark";
        title { (said(title)) }
        link rel="icon" href="/file/icon.svg" type="image/svg+xml";
        link rel="stylesheet" href="/file/sheet.css";
        link rel="stylesheet" href="/file/bench.css";
    }
}

/// Whether a text is the beginning of a page that this program wrote.
#[must_use]
pub fn is_ours(text: &str) -> bool {
    let head = html! { (DOCTYPE) html lang="en" { head { meta charset="utf-8"; meta name="generator" content=(GENERATOR); } } };
    text.starts_with(head.into_string().trim_end_matches("</head></html>"))
}

/// A text of somebody's as it is shown: what would turn the direction of a line or not be seen at all has its picture.
pub(super) fn said(text: &str) -> Cow<'_, str> {
    clean(text)
}

/// A text inside a string of a style sheet: every letter but plain ones as its number (CSS Syntax Level 3, 4.3.7), so that none
/// can end the string, or the style.
fn quoted(text: &str) -> String {
    let mut quoted = String::with_capacity(text.len());
    for letter in text.chars() {
        if letter.is_ascii_alphanumeric() || letter == ' ' {
            quoted.push(letter);
        } else {
            quoted.push_str(&format!("\\{:x} ", u32::from(letter)));
        }
    }
    quoted
}

/// A path below the page's folder as a link to it: every letter that means something in an address as its bytes (RFC 3986,
/// 2.1).
pub(super) fn link(path: &str) -> String {
    format!("./{}", encoded(path))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_ends_a_string_or_a_style() {
        assert_eq!(quoted("K-1"), "K\\2d 1");
        let hostile = quoted("\"}</style><script>x\\\n");
        assert!(!hostile.contains(['"', '<', '>', '}', '\n', '/']), "{hostile}");
    }

    #[test]
    fn a_link_stays_in_its_folder() {
        assert_eq!(link("t z/ü?#%.html"), "./t%20z/%C3%BC%3F%23%25.html");
        assert_eq!(link("javascript:x"), "./javascript%3Ax");
    }

    #[test]
    fn a_page_is_known_again() {
        let frame = Frame { title: "<t>".into(), running: ["".into(), "".into()], paper: PaperSize::A4, script: None };
        let page = frame.page(&html! { p { "x" } });
        assert!(is_ours(&page), "{page}");
        assert!(!is_ours("<!DOCTYPE html><html lang=\"en\"><head><meta charset=\"utf-8\"><title>mine</title>"));
        assert!(page.contains("<title>&lt;t&gt;</title>"), "{page}");
    }
}
