//! The rules at the bench: the generations, and the rows of one of them part by part, with what the shop itself changed marked.
//! Refuses to change any.

use super::address;
use super::frame::{BenchFrame, BenchShop, Here};
use super::words;
use crate::blank::ranges;
use crate::book::{Book, Generation, Id, Kind, Part, Row};
use crate::judge::{is_shop, row_history, row_source_words};
use crate::plan::Plan;
use crate::quantity::Days;
use crate::report::html::frame::said;
use crate::report::html::sheet;
use maud::{Markup, html};
use std::sync::Arc;

/// The list of the generations.
#[derive(Clone, Copy, Debug)]
pub struct RuleList<'a> {
    /// The shop.
    pub shop: BenchShop<'a>,
    /// Its books.
    pub book: &'a Book,
}

/// The rules of one generation.
#[derive(Clone, Copy, Debug)]
pub struct Rules<'a> {
    /// The shop.
    pub shop: BenchShop<'a>,
    /// Its books.
    pub book: &'a Book,
    /// The generation, ready to judge by.
    pub plan: &'a Plan,
}

/// The list, ended by a line end.
#[must_use]
pub fn list(page: &RuleList<'_>) -> String {
    let frame = BenchFrame { shop: page.shop, title: words::RULES, here: Some(Here::Rules), script: None };
    let [name, description, rows, own] = words::RULE_LIST_COLUMNS;
    frame.page(&html! {
        h1 { (words::RULES) }
        p { (words::RULES_HOW) }
        table class="plain lines" {
            caption class="unseen" { (words::RULES) }
            thead { tr { @for column in [name, description, rows, own] { th scope="col" { (column) } } } }
            tbody {
                @for generation in page.book.generations.iter().filter(|generation| !generation.basis) {
                    tr {
                        th scope="row" { a class="to" href=(address::rules(&generation.name)) { bdi { (said(&generation.name)) } } }
                        td data-column=(description) { (said(&generation.description)) }
                        td data-column=(rows) { (generation.rows.len()) }
                        td data-column=(own) { (generation.rows.iter().filter(|row| is_own(row)).count()) }
                    }
                }
            }
        }
        (sheet::cautions(&page.book.cautions))
    })
}

/// Whether the shop changed or added a row.
fn is_own(row: &Row) -> bool {
    row.history.iter().any(|change| is_shop(change.kind))
}

/// The rules of a generation, ended by a line end.
#[must_use]
pub fn write(page: &Rules<'_>) -> String {
    let generation = page.book.generations.get(page.plan.generation);
    let title = format!("{} · {}", generation.name, words::RULES);
    let frame = BenchFrame { shop: page.shop, title: &title, here: Some(Here::Rules), script: None };
    let groups = groups(page.book, generation);
    let own = generation.rows.iter().filter(|row| is_own(row)).count();
    frame.page(&html! {
        p class="kind" { (words::RULES) }
        h1 { bdi { (said(&generation.name)) } }
        p { (said(&generation.description)) }
        p class="small" { (words::rows_and_own(generation.rows.len(), own)) }
        nav aria-label=(words::PARTS) class="jump" {
            ul { @for (number, (part, _)) in groups.iter().enumerate() {
                li { a class="step" href=(format!("#part-{number}")) { (said(&heading(page.book, *part))) } }
            } }
        }
        @for (number, (part, rows)) in groups.iter().enumerate() {
            @let id = format!("part-{number}");
            section aria-labelledby=(id) {
                h2 id=(id) { (said(&heading(page.book, *part))) }
                (table(page, *part, rows))
            }
        }
        (sheet::cautions(&page.book.cautions))
    })
}

/// The rows by the part they are about, parts and rows in the order of the books.
fn groups<'a>(book: &Book, generation: &'a Generation) -> Vec<(Id<Part>, Vec<&'a Arc<Row>>)> {
    let part_of = |row: &Row| book.characteristics.get(row.subject.characteristic).part;
    let rows = |part: Id<Part>| generation.rows.iter().filter(|row| part_of(row) == part).collect::<Vec<_>>();
    book.parts.ids().map(|part| (part, rows(part))).filter(|(_, rows)| !rows.is_empty()).collect()
}

fn heading(book: &Book, part: Id<Part>) -> String {
    let path = book.part_path(part, &[], " ").replace('_', " ");
    crate::report::html::words::caption(Some(path.as_str()).filter(|path| !path.is_empty()))
}

fn table(page: &Rules<'_>, part: Id<Part>, rows: &[&Arc<Row>]) -> Markup {
    let [what, standard, limit, applies, why] = words::RULE_COLUMNS;
    html! {
        table class="plain rules" {
            caption class="unseen" { (said(&heading(page.book, part))) }
            thead { tr { @for column in [what, standard, limit, applies, why] { th scope="col" { (column) } } } }
            tbody {
                @for row in rows {
                    @let check = page.plan.checks.iter().find(|check| Arc::ptr_eq(&check.row, row));
                    @let [of_standard, of_limit] = check.map_or_else(|| as_written(row), |check| ranges(page.book, check));
                    tr class=(if is_own(row) { "mind" } else { "" }) data-row=(row.path) {
                        th scope="row" {
                            b { (said(&name(page.book, row))) } br;
                            span class="small" { (said(&row.path)) @if let Some(unit) = unit(page.book, row) { ", " (said(&unit)) } }
                        }
                        td data-column=(standard) { @if let Some(range) = of_standard { (said(&range)) } }
                        td data-column=(limit) {
                            @if let Some(range) = of_limit {
                                @if row.outer { span class="small" { (words::OUTER) " " } }
                                (said(&range))
                            }
                        }
                        td data-column=(applies) { (applies_where(row)) }
                        td data-column=(why) { (reasons(page.book, row)) }
                    }
                }
            }
        }
    }
}

/// The ranges of a row that nothing of this generation is judged by.
fn as_written(row: &Row) -> [Option<String>; 2] {
    let text = |range: &Option<crate::book::Range>| range.as_ref().map(|range| folded(range.place.text()));
    [text(&row.standard), text(&row.limit)]
}

fn folded(text: &str) -> String {
    let code = text.lines().map(|line| line.split_once('#').map_or(line, |(before, _)| before));
    code.flat_map(str::split_whitespace).collect::<Vec<_>>().join(" ")
}

/// What is judged, in words: "smallest of width".
fn name(book: &Book, row: &Row) -> String {
    let name = book.characteristics.get(row.subject.characteristic).name.replace('_', " ");
    match row.word {
        None => name,
        Some(crate::syntax::tree::RowWord::Each) => format!("each {name}"),
        Some(crate::syntax::tree::RowWord::Collect(collector)) => format!("{} of {name}", collector.word()),
    }
}

fn unit(book: &Book, row: &Row) -> Option<String> {
    let characteristic = book.characteristics.get(row.subject.characteristic);
    let symbol = characteristic.unit.as_ref().map(|unit| unit.symbol.to_string()).filter(|symbol| !symbol.is_empty());
    symbol.filter(|_| matches!(characteristic.kind, Kind::Quantity(_)))
}

fn applies_where(row: &Row) -> Markup {
    let mut applies: Vec<String> = Vec::new();
    applies.extend(row.condition.as_ref().map(|condition| format!("{} {}", words::WHERE, condition.words())));
    applies.extend((row.days != Days::ALWAYS).then(|| row.days.to_string()));
    applies.extend(row.never_excused.then(|| words::NEVER_EXCUSED.to_owned()));
    applies
        .extend(row.rounded.as_ref().map(|rounding| format!("{} {}", words::ROUNDED, folded(rounding.place.text()))));
    html! {
        @if row.advisory { b { (words::ADVISORY) } @if !applies.is_empty() { ", " } }
        (said(&applies.join(", ")))
    }
}

/// What a book wrote at a step of a row's history, without its texts: those stand beside the row.
fn written(text: &str) -> String {
    let text = folded(text);
    text.split_once('{').map_or(text.as_str(), |(before, _)| before).trim_end().to_owned()
}

fn reasons(book: &Book, row: &Row) -> Markup {
    let texts = &row.texts;
    let own = is_own(row);
    html! {
        @if let Some(because) = &texts.because { p { (said(because)) } }
        @if let Some(remedy) = &texts.remedy { p { b { (words::REMEDY) } " " (said(remedy)) } }
        @if let Some(caution) = &texts.caution { p class="caution" { b { (words::CAUTION) } " " (said(caution)) } }
        @if let Some(from) = row_source_words(book, row) { p class="small" { (words::SOURCE) " " (said(&from)) } }
        @if own || row.history.len() > 1 {
            ul class=(if own { "history own" } else { "history" }) {
                @for ((step, place), change) in row_history(row).iter().zip(&row.history) {
                    li {
                        @if is_shop(change.kind) { b { (said(step)) } } @else { (said(step)) }
                        @if row.history.len() > 1 { ": " (said(&written(place.text()))) }
                    }
                }
            }
        }
    }
}
