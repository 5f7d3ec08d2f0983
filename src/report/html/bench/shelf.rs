//! The shelf at the bench: the loose parts by kind, how each stands, what it waits for. Refuses to judge.

use super::address;
use super::frame::{BenchFrame, BenchShop, Here};
use super::lines::{PartLine, grade, wrong};
use super::words;
use crate::finding::Finding;
use crate::report::html::frame::said;
use crate::report::html::sheet;
use crate::report::html::words::{SCRAPPED, capital};
use maud::{Markup, html};

/// Everything on the page.
#[derive(Clone, Copy, Debug)]
pub struct Shelf<'a> {
    /// The shop.
    pub shop: BenchShop<'a>,
    /// The kind that is shown; empty for all.
    pub kind: &'a str,
    /// Every loose part, in the order of the files.
    pub parts: &'a [&'a PartLine],
    /// Whether the shop's settings name a shelf, so that its parts can be matched.
    pub has_shelf: bool,
    /// What is wrong with the shelf.
    pub troubles: &'a [Finding],
    /// What to mind.
    pub cautions: &'a [Box<str>],
}

/// The page, ended by a line end.
#[must_use]
pub fn write(page: &Shelf<'_>) -> String {
    let frame = BenchFrame { shop: page.shop, title: words::SHELF, here: Some(Here::Shelf), script: None };
    let mut kinds: Vec<(&str, Vec<&PartLine>)> = Vec::new();
    for part in page.parts {
        match kinds.iter_mut().find(|(kind, _)| *kind == part.part) {
            Some((_, own)) => own.push(part),
            None => kinds.push((&part.part, vec![part])),
        }
    }
    let shown = kinds.iter().filter(|(kind, _)| page.kind.is_empty() || *kind == page.kind);
    frame.page(&html! {
        h1 { (words::SHELF) }
        @if !page.troubles.is_empty() { ul class="findings" { @for one in page.troubles { (sheet::finding(one)) } } }
        @if kinds.is_empty() { p { (words::SHELF_EMPTY) } }
        @else {
            p class="fields" {
                @if page.has_shelf { a class="step" href="/match" { (words::MATCH) } }
                a class="step" href=(address::with_query("/labels", &query(page.kind))) { (words::PRINT_LABELS) }
            }
            (filter(page.kind, &kinds))
        }
        @for (number, (kind, parts)) in shown.enumerate() { (group(number, kind, parts)) }
        (sheet::cautions(page.cautions))
    })
}

fn query(kind: &str) -> Vec<(&'static str, &str)> {
    if kind.is_empty() { Vec::new() } else { vec![("kind", kind)] }
}

pub(super) fn kind_words(kind: &str) -> String {
    kind.replace(['.', '_'], " ")
}

fn filter(chosen: &str, kinds: &[(&str, Vec<&PartLine>)]) -> Markup {
    let all: usize = kinds.iter().map(|(_, own)| own.len()).sum();
    html! {
        nav aria-label=(words::KINDS) class="jump" {
            ul {
                li { a class="step" href="/shelf" aria-current=[chosen.is_empty().then_some("true")] { (words::ALL_KINDS) " " (all) } }
                @for (kind, own) in kinds {
                    li {
                        a class="step" href=(address::with_query("/shelf", &query(kind))) aria-current=[(*kind == chosen).then_some("true")] {
                            (said(&capital(&kind_words(kind)))) " " (own.len())
                        }
                    }
                }
            }
        }
    }
}

fn group(number: usize, kind: &str, parts: &[&PartLine]) -> Markup {
    let id = format!("kind-{number}");
    let heading = capital(&kind_words(kind));
    let [tag, grade_of, generation, measured, stands_out] = words::PART_COLUMNS;
    let mut sorted: Vec<&PartLine> = parts.to_vec();
    // What may be taken first, then by tag; scrapped ones last.
    sorted.sort_by_key(|one| (one.scrapped, one.tag.clone()));
    html! {
        section aria-labelledby=(id) {
            h2 id=(id) { (said(&heading)) " " span class="small" { (parts.len()) } }
            table class="plain builds lines" {
                caption class="unseen" { (said(&heading)) }
                thead { tr { @for column in [tag, grade_of, generation, measured, stands_out] { th scope="col" { (column) } } } }
                tbody {
                    @for one in &sorted {
                        tr class=(if one.passes || one.scrapped { "part" } else { "part fails" }) data-tag=(one.tag) {
                            th scope="row" { a class="to" href=(address::part(&one.record, &one.tag)) { bdi { (said(&one.tag)) } } }
                            td class="grade" data-column=(grade_of) {
                                @if one.scrapped { span class="word" { (SCRAPPED) } } @else { (grade(one.grade)) }
                            }
                            td data-column=(generation) { (said(&words::generations(&one.generations))) }
                            td data-column=(measured) { (one.measured.map_or_else(|| "–".to_owned(), |day| day.to_string())) }
                            td data-column=(stands_out) {
                                @if one.wrong.is_some() { p { (wrong(one.wrong.as_ref(), one.more)) } }
                                @for (word, line) in &one.below { p class="small" { b { (word) } " " (said(line)) } }
                                @if !one.passes && !one.scrapped && one.grade.is_some() {
                                    p { a class="step" href=(address::rework(&one.record, Some(&one.tag))) {
                                        (words::REWORK) span class="unseen" { " " (said(&one.tag)) }
                                    } }
                                }
                            }
                        }
                    }
                }
            }
        }
    }
}
