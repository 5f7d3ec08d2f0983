//! An empty record to print and to write on: a box for each reading, what it may be beside it, a page for each part. Refuses to
//! know where any of it comes from.

use super::frame::{Frame, PaperSize, said};
use super::words;
use crate::blank::{Blank, Derived, Entry, Part, Reading};
use crate::report::blank::Head;
use maud::{Markup, html};

/// The sheet, ended by a line end.
#[must_use]
pub fn write(blank: &Blank, head: &Head<'_>, shop: Option<&str>, paper: PaperSize) -> String {
    let build = head.build.unwrap_or_default();
    let loose = blank.part.as_ref().map(|(_, name)| name.as_str());
    let of_what = [loose, Some(blank.generation.as_str()).filter(|name| !name.is_empty())];
    let of_what = of_what.into_iter().flatten().collect::<Vec<_>>().join(" · ");
    let title = format!("{} · {of_what}", words::BLANK);
    let facts = if loose.is_some() { words::BLANK_FACTS_OF_PART } else { words::BLANK_FACTS };
    let frame = Frame {
        title: title.clone(),
        running: [
            if build.is_empty() { title } else { format!("{title} · {build}") },
            shop.unwrap_or_default().to_string(),
        ],
        paper,
        script: None,
    };
    let own: Vec<&Entry> = blank.entries.iter().filter(|entry| !matches!(entry, Entry::Part(_))).collect();
    frame.page(&html! {
        header class="head" {
            p class="kind" { (words::BLANK) }
            h1 { (said(&of_what)) }
            p { (said(&blank.description)) }
            @match blank.day {
                Some(day) if blank.dated => p class="small" { "The ranges are those in force on " (day.to_string()) "." },
                None if blank.dated => p class="small" { "The ranges are the newest: no day was given." },
                _ => {},
            }
            dl class="write-on" {
                @for (number, name) in facts.into_iter().enumerate() {
                    div {
                        dt { (name) }
                        dd {
                            @if number == 0 { (said(build)) }
                            @if number == 1 { @if let Some(day) = head.finished { (day.to_string()) } }
                        }
                    }
                }
            }
            p class="small" { (words::BLANK_HOW) }
        }
        main class="blank" {
            (super::sheet::cautions(&blank.cautions.iter().map(|caution| caution.as_str().into()).collect::<Vec<Box<str>>>()))
            @if !own.is_empty() {
                section class="part" { (table(loose.unwrap_or(words::WHOLE), None, &[None], &own)) }
            }
            @for (one, new_page) in paged(blank, own.len()) {
                section class=(if new_page { "part new-page" } else { "part" }) { (part(one)) }
            }
            (super::sheet::signatures())
        }
    })
}

/// Lines that a printed page has room for, beside headings.
const LINES_A_PAGE: usize = 26;
/// What cautions and heading take of the first page, in lines.
const HEAD_LINES: usize = 14;

/// The parts, each with whether it begins a page: parts of a few lines share one.
fn paged(blank: &Blank, own: usize) -> Vec<(&Part, bool)> {
    let mut used = HEAD_LINES + own;
    let parts = blank.entries.iter().filter_map(|entry| if let Entry::Part(part) = entry { Some(part) } else { None });
    let mut paged = Vec::new();
    for part in parts {
        const HEADING: usize = 3;
        let lines: usize = if alike(part) {
            HEADING + part.instances.first().map_or(0, |(_, entries)| lines(entries))
        } else {
            part.instances.iter().map(|(_, entries)| HEADING + lines(entries)).sum()
        };
        let new_page = used + lines > LINES_A_PAGE;
        used = if new_page { lines } else { used + lines };
        paged.push((part, new_page));
    }
    paged
}

fn lines(entries: &[Entry]) -> usize {
    let of = |entry: &Entry| match entry {
        Entry::Reading(reading) => reading.stations.len().max(1),
        Entry::Derived(_) => 1,
        Entry::Part(part) => part.instances.iter().map(|(_, entries)| lines(entries)).sum(),
    };
    entries.iter().map(of).sum()
}

/// Whether the same is asked for at all positions of a part.
fn alike(part: &Part) -> bool {
    let first = part.instances.first().map(|(_, entries)| entries);
    part.instances.iter().all(|(_, entries)| Some(entries) == first)
}

/// A part: where the same is asked for at all its positions, one table with a box for each; else a table for each.
fn part(part: &Part) -> Markup {
    let name = plain(&part.name);
    let first = part.instances.first().map(|(_, entries)| entries);
    html! {
        @if let (true, Some(entries)) = (alike(part), first) {
            @let positions: Vec<Option<String>> = part.instances.iter().map(|(name, _)| name.as_deref().map(plain)).collect();
            (table(&name, part.measure.as_deref(), &positions, &entries.iter().collect::<Vec<_>>()))
        } @else {
            @for (number, (position, entries)) in part.instances.iter().enumerate() {
                @let named = position.as_ref().map_or_else(|| name.clone(), |position| format!("{name} {}", plain(position)));
                @let measure = part.measure.as_deref().filter(|_| number == 0);
                (table(&named, measure, &[None], &entries.iter().collect::<Vec<_>>()))
            }
        }
    }
}

fn table(name: &str, measure: Option<&str>, positions: &[Option<String>], entries: &[&Entry]) -> Markup {
    let [what, kind, taken, range] = words::BLANK_COLUMNS;
    html! {
        table class=(match positions.len() { 1 => "boxes one", 2 => "boxes", _ => "boxes many" }) {
            caption {
                h2 { (said(&words::capital(name))) }
                @if let Some(measure) = measure { p class="small" { (said(measure)) } }
            }
            thead {
                tr {
                    th scope="col" { (what) }
                    th scope="col" { (kind) }
                    @for position in positions { th scope="col" { (said(position.as_deref().unwrap_or(taken))) } }
                    th scope="col" { (range) }
                }
            }
            tbody { (rows("", true, positions, entries.iter().copied())) }
        }
    }
}

/// The rows of a table; how a part's readings are measured stands at the first of its positions alone.
fn rows<'a>(
    inside: &str,
    first: bool,
    positions: &[Option<String>],
    entries: impl Iterator<Item = &'a Entry>,
) -> Markup {
    html! {
        @for entry in entries {
            @match entry {
                Entry::Reading(one) => { (reading(inside, first, positions, one)) },
                Entry::Derived(one) => { (derived(inside, positions.len(), one)) },
                Entry::Part(part) => {
                    @if let Some(measure) = part.measure.as_deref().filter(|_| first) {
                        tr class="told" {
                            td colspan=(positions.len() + 3) class="small" { (said(&plain(&part.name))) ": " (said(measure)) }
                        }
                    }
                    @for (number, (position, entries)) in part.instances.iter().enumerate() {
                        @let name = plain(&part.name);
                        @let name = position.as_ref().map_or_else(|| name.clone(), |at| format!("{name} {}", plain(at)));
                        @let inside = if inside.is_empty() { name } else { format!("{inside} {name}") };
                        (rows(&inside, first && number == 0, positions, entries.iter()))
                    }
                },
            }
        }
    }
}

fn reading(inside: &str, first: bool, positions: &[Option<String>], reading: &Reading) -> Markup {
    let line = |name: &str, rows: &[String], measure: Option<&str>| {
        html! {
            tr class=(if reading.optional { "optional" } else { "asked" }) data-name=(name) {
                th scope="row" {
                    (named(inside, name))
                    @if let Some(measure) = measure { p class="small" { (said(measure)) } }
                }
                td class="kind-of" { (said(&reading.what)) @if reading.optional { ", " (words::OPTIONAL) } }
                @for position in positions { td class="box" data-column=[position.as_deref().map(said)] {} }
                td class="ranges" { (said(&rows.join("; "))) }
            }
        }
    };
    let name = plain(&reading.name);
    let measure = reading.measure.as_deref().filter(|_| first);
    html! {
        @if reading.stations.is_empty() { (line(&name, &reading.rows, measure)) }
        @for (number, (station, rows)) in reading.stations.iter().enumerate() {
            @let rows: Vec<String> = if number == 0 { reading.rows.iter().chain(rows).cloned().collect() } else { rows.clone() };
            (line(&format!("{name} {}", plain(station)), &rows, measure.filter(|_| number == 0)))
        }
    }
}

fn derived(inside: &str, boxes: usize, derived: &Derived) -> Markup {
    html! {
        tr class="derived" {
            th scope="row" { (named(inside, &plain(&derived.name))) }
            td colspan=(boxes + 1) { span class="small" { (words::WORKED_OUT) " = " (said(&derived.formula)) } }
            td class="ranges" { (said(&derived.rows.join("; "))) }
        }
    }
}

fn named(inside: &str, name: &str) -> Markup {
    html! { @if !inside.is_empty() { span class="inside" { (said(inside)) } " " } (said(name)) }
}

fn plain(name: &str) -> String {
    name.replace('_', " ")
}
