//! An empty record to print and to write on: a box for each reading at each of its places, what it may be beside it; what may be
//! left out on a page of its own. Refuses to know where any of it comes from.

use super::blank_grid::{Grid, Row, grids, plain};
use super::frame::{Frame, PaperSize, said};
use super::words;
use crate::blank::Blank;
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
    let grids = grids(&blank.entries);
    let whole = loose.unwrap_or(words::WHOLE);
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
            @for grid in &grids { (required(whole, grid)) }
            (optional(whole, &grids))
            (super::sheet::signatures())
        }
    })
}

/// More places than this stand below the name of their reading, not beside it.
const MOST_BESIDE: usize = 3;

/// A range in more letters has no room on the page of what may be left out; the record that `blank` writes has it.
const LONGEST_OPTIONAL: usize = 24;

/// What must be measured of a part, and what is calculated from it.
fn required(whole: &str, grid: &Grid<'_>) -> Markup {
    let rows: Vec<&Row<'_>> = grid.rows.iter().filter(|row| !row.reading.optional).collect();
    if rows.is_empty() && grid.calculated.iter().all(|(_, range)| range.is_empty()) {
        return html! {};
    }
    html! {
        section class="part" {
            h2 { (said(&name(whole, grid))) }
            @if let Some(measure) = grid.measure { p class="small" { (said(measure)) } }
            @if !rows.is_empty() {
                table class="boxes" {
                    caption class="unseen" { (said(&name(whole, grid))) }
                    tbody { @for row in rows { (line(row)) } }
                }
            }
            @if !grid.calculated.is_empty() {
                p class="small calculated" {
                    b { (words::WORKED_OUT) } " "
                    @for (number, (name, range)) in grid.calculated.iter().enumerate() {
                        @if number > 0 { "; " }
                        (said(name)) ": " (said(range))
                    }
                }
            }
        }
    }
}

fn name(whole: &str, grid: &Grid<'_>) -> String {
    words::capital(if grid.part.is_empty() { whole } else { &grid.part })
}

/// A reading with a box for each of its places.
fn line(row: &Row<'_>) -> Markup {
    let reading = row.reading;
    let ranges = row.ranges();
    html! {
        tr class=(if row.places.len() > MOST_BESIDE { "asked below" } else { "asked" }) data-name=(plain(&reading.name)) {
            th scope="row" {
                b { (said(&plain(&reading.name))) } " " span class="kind-of" { (said(&reading.what)) }
                @if !ranges.is_empty() { " " span class="ranges" { (said(&ranges)) } }
                @if let Some(measure) = &reading.measure { " " span class="how" { (said(measure)) } }
            }
            td class="row" { @for (at, _) in &row.places { div class="box" { span { (said(at)) } } } }
        }
    }
}

/// What may be left out: each reading once, with a box to write where it was taken and what it was.
fn optional(whole: &str, grids: &[Grid<'_>]) -> Markup {
    let parts: Vec<(&Grid<'_>, Vec<&Row<'_>>)> = grids
        .iter()
        .map(|grid| (grid, grid.rows.iter().filter(|row| row.reading.optional).collect::<Vec<_>>()))
        .filter(|(_, rows)| !rows.is_empty())
        .collect();
    if parts.is_empty() {
        return html! {};
    }
    html! {
        section class="optionals" {
            h2 { (words::OPTIONALS) }
            p class="small" { (words::OPTIONALS_HOW) }
            div class="columns" {
                @for (grid, rows) in parts {
                    h3 { (said(&name(whole, grid))) }
                    @for row in rows {
                        div class="optional" data-name=(plain(&row.reading.name)) {
                            p {
                                b { (said(&plain(&row.reading.name))) } " "
                                span class="kind-of" { (said(&row.reading.what)) }
                                @let ranges = row.ranges();
                                @if !ranges.is_empty() && ranges.len() <= LONGEST_OPTIONAL { " " span class="ranges" { (said(&ranges)) } }
                            }
                            div class="box" {}
                        }
                    }
                }
            }
        }
    }
}
