//! The page over many builds: those that fail first, what stands out of each, and how each characteristic goes over time.
//! Refuses to judge.

use super::frame::{Frame, PaperSize, link, said};
use super::{bar, chart, words};
use crate::finding::{Finding, Severity};
use crate::judge::{Counts, Grade};
use crate::quantity::{Date, Unit};
use crate::report::tally::Tally;
use crate::report::{lines, wording, wording_loose};
use crate::shop::Checked;
use crate::trend::Chart;
use maud::{Markup, html};
use std::collections::BTreeSet;

/// Shows the box to filter by and hides the rows without its words. Where scripts are off there is no box.
const SCRIPT: &str = include_str!("filter.js");
/// What lets the script in, and nothing else. A browser says the right one where it refuses.
const SCRIPT_HASH: &str = "sha256-SP5TjyqpSTaCIWoajrhLkXvUhaPScLrZayUXdI8LZfE=";

/// How many findings of a build stand in its row.
const MOST_TOLD: usize = 3;

/// One record in the list.
#[derive(Clone, Debug)]
pub struct Listed {
    build: String,
    /// Whether it is a loose part.
    loose: bool,
    file: String,
    finished: Option<Date>,
    generation: Option<String>,
    grade: Option<Grade>,
    passes: bool,
    remarks: String,
    told: Vec<String>,
    more: usize,
    /// Where its sheet is, from the page's folder.
    sheet: Option<String>,
}

impl Listed {
    /// A record that was looked at; `sheet` is the path of its sheet from the page's folder.
    #[must_use]
    pub fn new(checked: &Checked, sheet: Option<String>) -> Listed {
        // Beside what fails, what is only to be minded would hide it.
        let least =
            checked.findings.iter().map(|one| one.severity).max().unwrap_or(Severity::Note).max(Severity::Warning);
        let worst: Vec<&Finding> = checked.findings.iter().filter(|one| one.severity >= least).collect();
        let told: Vec<String> = worst.iter().take(MOST_TOLD).map(|finding| finding.message.clone()).collect();
        Listed {
            build: checked.build.clone(),
            loose: checked.part.is_some(),
            file: checked.file.clone(),
            finished: checked.finished,
            generation: checked.generation.clone(),
            grade: checked.grade,
            passes: checked.passes(),
            remarks: lines::remarks(checked),
            more: worst.len() - told.len(),
            told,
            sheet,
        }
    }

    /// A record whose rulebooks have errors: it was not even opened.
    #[must_use]
    pub fn unsound(file: String) -> Listed {
        Listed {
            build: file.rsplit('/').next().unwrap_or(&file).to_string(),
            loose: false,
            file,
            finished: None,
            generation: None,
            grade: None,
            passes: false,
            remarks: wording::BOOKS_UNSOUND.to_string(),
            told: Vec::new(),
            more: 0,
            sheet: None,
        }
    }

    /// Those that do not pass first, the worst before the others; else as they were found.
    fn rank(&self) -> (bool, bool, std::cmp::Reverse<Option<Grade>>) {
        (self.passes, self.grade.is_some(), std::cmp::Reverse(self.grade))
    }
}

/// How one characteristic goes over the builds of one generation.
#[derive(Clone, Debug)]
pub struct Charted {
    /// The generation.
    pub generation: String,
    /// What its values are printed in.
    pub unit: Unit,
    /// Its values.
    pub chart: Chart,
    /// The record and the path of each value that does not pass.
    pub failing: BTreeSet<(String, String)>,
}

/// Everything there is to put on the page.
#[derive(Clone, Debug)]
pub struct Index<'a> {
    /// The names of the shops.
    pub shops: &'a [String],
    /// The records, in the order they were found.
    pub listed: &'a [Listed],
    /// The numbers of the run.
    pub tally: &'a Tally,
    /// The charts, by generation.
    pub charts: &'a [Charted],
    /// What is to be said of rulebooks, lists of gauges and paths.
    pub troubles: &'a [Finding],
    /// What to mind.
    pub cautions: &'a [Box<str>],
    /// The paper it is printed on.
    pub paper: PaperSize,
}

/// The page, ended by a line end.
#[must_use]
pub fn write(index: &Index<'_>) -> String {
    let shops = index.shops.join(", ");
    let mut sorted: Vec<&Listed> = index.listed.iter().collect();
    sorted.sort_by_key(|listed| listed.rank());
    let (parts, builds): (Vec<&Listed>, Vec<&Listed>) = sorted.into_iter().partition(|one| one.loose);
    let title = if shops.is_empty() { words::INDEX.to_string() } else { format!("{} · {shops}", words::INDEX) };
    let frame = Frame {
        title: title.clone(),
        running: [title, wording::number_of(index.tally.records, "record")],
        paper: index.paper,
        script: Some((SCRIPT, SCRIPT_HASH)),
    };
    frame.page(&html! {
        (bar::shapes())
        header class="head" {
            @if !shops.is_empty() { p class="kind" { (said(&shops)) } }
            h1 { (words::INDEX) }
            (counts(index.tally))
        }
        main {
            (troubles(index.troubles))
            section aria-labelledby="list" {
                h2 id="list" { (words::INDEX_CAPTION) }
                p id="filter-box" class="filter" hidden {
                    label for="filter" { (words::FILTER) } " "
                    input id="filter" type="search" autocomplete="off" spellcheck="false";
                    " " output id="filter-count" for="filter" {}
                }
                (table(words::INDEX_CAPTION, &builds))
                @if !parts.is_empty() { h3 { (words::INDEX_PARTS) } (table(words::INDEX_PARTS, &parts)) }
            }
            (charts(index.charts))
            (super::sheet::cautions(index.cautions))
        }
    })
}

fn counts(tally: &Tally) -> Markup {
    let passes = tally.failing == 0 && tally.troubles == 0;
    html! {
        div class=(if passes { "verdict passes" } else { "verdict fails" }) {
            p { strong {
                @if tally.failing > 0 { (wording::fails(tally.failing, tally.records)) }
                @else if tally.judged() > 0 { (wording::passes(tally.judged())) }
                @else { (wording::NOTHING_JUDGED) }
            } }
            ul class="counts" {
                @for grade in Grade::ALL.into_iter().rev() {
                    li { (bar::mark(grade)) " " b { (tally.builds.of(grade)) } " " (grade.word()) }
                }
                @if tally.loose > 0 { li { (wording_loose::parts(&tally.parts, tally.parts_judged(), tally.scrapped)) } }
                @if tally.unjudged > 0 { li { b { (tally.unjudged) } " " (wording::NOT_JUDGED) } }
            }
            p class="small" { (rows(&tally.rows, tally.skipped)) }
        }
    }
}

fn rows(counts: &Counts, skipped: usize) -> String {
    let skipped = if skipped > 0 { format!(", {skipped} skipped") } else { String::new() };
    format!("{}: {}{skipped}", wording::number_of(counts.total(), "row"), wording::grades(counts))
}

fn troubles(troubles: &[Finding]) -> Markup {
    if troubles.is_empty() {
        return html! {};
    }
    html! {
        section aria-labelledby="troubles" {
            h2 id="troubles" { (words::TROUBLES) }
            ul class="findings" { @for one in troubles { (super::sheet::finding(one)) } }
        }
    }
}

fn table(caption: &str, listed: &[&Listed]) -> Markup {
    if listed.is_empty() {
        return html! {};
    }
    html! {
        table class="plain builds" {
            caption class="unseen" { (caption) }
            thead { tr { @for column in words::INDEX_COLUMNS { th scope="col" { (column) } } } }
            tbody { @for one in listed { (row(one)) } }
        }
    }
}

fn row(one: &Listed) -> Markup {
    let [_, grade, finished, generation, rows, stands_out] = words::INDEX_COLUMNS;
    html! {
        tr class=(if one.passes { "build" } else { "build fails" }) data-file=(one.file) {
            th scope="row" {
                @match &one.sheet {
                    Some(sheet) => { a href=(link(sheet)) { bdi { (said(&one.build)) } } },
                    None => { bdi { (said(&one.build)) } " " span class="small" { (words::NO_SHEET) } }
                }
                br; span class="small" { bdi { (said(&one.file)) } }
            }
            td class="grade" data-column=(grade) {
                @if let Some(grade) = one.grade { (bar::mark(grade)) " " }
                span class="word" { (one.grade.map_or(wording::NOT_JUDGED, Grade::word)) }
            }
            td data-column=(finished) { (one.finished.map_or_else(|| "–".to_string(), |day| day.to_string())) }
            td data-column=(generation) { (said(one.generation.as_deref().unwrap_or("–"))) }
            td data-column=(rows) { (said(&one.remarks)) }
            td data-column=(stands_out) {
                @if one.told.is_empty() { "–" } @else {
                    ul {
                        @for said_of in &one.told { li { (said(said_of)) } }
                        @if one.more > 0 { li { (format!("and {} more", one.more)) } }
                    }
                }
            }
        }
    }
}

fn charts(charts: &[Charted]) -> Markup {
    let mut generations: Vec<&str> = charts.iter().map(|one| one.generation.as_str()).collect();
    generations.dedup();
    html! {
        section class="charts" aria-labelledby="over-time" {
            h2 id="over-time" { (words::CHARTS) }
            @if charts.is_empty() { p { (words::FEW_CHARTS) } } @else { p class="small" { (words::CHARTS_KEY) } }
            @for (number, generation) in generations.iter().enumerate() {
                @let own: Vec<&Charted> = charts.iter().filter(|one| one.generation == **generation).collect();
                // One generation is open from the beginning; the others at a click, or a key.
                details open[number == 0] {
                    summary { h3 { (said(generation)) } " " span class="small" { (wording::number_of(own.len(), "chart")) } }
                    div class="grid" { @for one in own { (chart::figure(one)) } }
                }
            }
        }
    }
}
