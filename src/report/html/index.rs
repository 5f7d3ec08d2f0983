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
const SCRIPT_HASH: &str = "sha256-h0aw+1ojjdebAg09vEu90RqnwlXhhkoVn9s8BcamuxE=";

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
    /// The ends of the rule's limit for the newest of them, as decimals in `unit`.
    pub limit: [Option<String>; 2],
}

/// How many charts stand on the page itself; the others have pages of their own.
const MOST_CHARTS: usize = 20;

/// A page with every chart of one generation.
#[derive(Clone, Debug)]
pub struct ChartPage {
    /// The generation.
    pub generation: String,
    /// The file beside the index.
    pub file: String,
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
    /// The page of each generation's charts, where the index has no room for all.
    pub chart_pages: &'a [ChartPage],
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
                (filters(&builds))
                (table(words::INDEX_CAPTION, &builds))
                p id="pages" class="filter" hidden {
                    button type="button" id="page-before" { (words::PAGE_BEFORE) } " "
                    output id="page-count" {} " "
                    button type="button" id="page-after" { (words::PAGE_AFTER) }
                }
                @if !parts.is_empty() { h3 { (words::INDEX_PARTS) } (table(words::INDEX_PARTS, &parts)) }
            }
            (charts(index))
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

/// What a list can be narrowed by, for where scripts run.
fn filters(builds: &[&Listed]) -> Markup {
    let generations: BTreeSet<&str> = builds.iter().filter_map(|one| one.generation.as_deref()).collect();
    html! {
        div id="filter-box" class="filter" hidden {
            p {
                label for="filter" { (words::FILTER) } " "
                input id="filter" type="search" autocomplete="off" spellcheck="false";
                " " output id="filter-count" for="filter" {}
            }
            p {
                label for="of-grade" { (words::INDEX_COLUMNS[1]) } " "
                select id="of-grade" {
                    option value="" { (words::ANY) }
                    @for grade in Grade::ALL.into_iter().rev() { option { (grade.word()) } }
                    option { (wording::NOT_JUDGED) }
                }
                " " label for="of-generation" { (words::INDEX_COLUMNS[3]) } " "
                select id="of-generation" {
                    option value="" { (words::ANY) }
                    @for generation in generations { option { (said(generation)) } }
                }
                " " label for="from-day" { (words::FROM_DAY) } " " input id="from-day" type="date";
                " " label for="to-day" { (words::TO_DAY) } " " input id="to-day" type="date";
            }
        }
    }
}

/// A row with what its build is known by and what stands out of it; a screen that is narrow names the columns by their style.
fn row(one: &Listed) -> Markup {
    // Beside a build that passes there is room for one sentence.
    let told = one.told.get(..if one.passes { 1 } else { MOST_TOLD }).unwrap_or(&one.told);
    let more = one.more + one.told.len() - told.len();
    html! {
        tr class=(if one.passes { "build" } else { "build fails" }) {
            th scope="row" {
                @match &one.sheet {
                    Some(sheet) => { a href=(link(sheet)) { bdi { (said(&one.build)) } } },
                    None => { bdi { (said(&one.build)) } " " span class="small" { (words::NO_SHEET) } }
                }
                br; span class="small" { bdi { (said(&one.file)) } }
            }
            td class="grade" {
                @if let Some(grade) = one.grade { (bar::mark(grade)) " " }
                span class="word" { (one.grade.map_or(wording::NOT_JUDGED, Grade::word)) }
            }
            td { (one.finished.map_or_else(|| "–".to_string(), |day| day.to_string())) }
            td { (said(one.generation.as_deref().unwrap_or("–"))) }
            td { (said(&one.remarks)) }
            td {
                @match told {
                    [] => "–",
                    [alone] if more == 0 => { (said(alone)) },
                    _ => ul {
                        @for said_of in told { li { (said(said_of)) } }
                        @if more > 0 { li { (format!("and {more} more")) } }
                    },
                }
            }
        }
    }
}

/// The charts that have room on the page: of values that do not pass first, in the order of the books.
fn charts(index: &Index<'_>) -> Markup {
    let mut chosen: Vec<&Charted> = index.charts.iter().filter(|one| !one.failing.is_empty()).collect();
    chosen.extend(index.charts.iter().filter(|one| one.failing.is_empty()));
    chosen.truncate(MOST_CHARTS);
    let of = |generation: &str| index.charts.iter().filter(|one| one.generation == generation).count();
    html! {
        section class="charts" aria-labelledby="over-time" {
            h2 id="over-time" { (words::CHARTS) }
            @if index.charts.is_empty() { p { (words::FEW_CHARTS) } } @else { p class="small" { (words::CHARTS_KEY) } }
            @if !index.chart_pages.is_empty() {
                p { (words::MORE_CHARTS) }
                ul {
                    @for page in index.chart_pages {
                        li {
                            a href=(link(&page.file)) { (said(&page.generation)) } ": "
                            (wording::number_of(of(&page.generation), "chart"))
                        }
                    }
                }
            }
            @for group in chosen.chunk_by(|one, other| one.generation == other.generation) {
                @if let Some(first) = group.first() {
                    h3 class="of" { (said(&first.generation)) }
                    div class="grid" { @for one in group { (chart::figure(one)) } }
                }
            }
        }
    }
}

/// Whether the index has no room for all charts, and each generation has its page.
#[must_use]
pub fn has_chart_pages(charts: &[Charted]) -> bool {
    charts.len() > MOST_CHARTS
}

/// Every chart of one generation; `index` is the file of the page over all builds, beside it.
#[must_use]
pub fn write_charts(generation: &str, charts: &[Charted], index: &str, paper: PaperSize) -> String {
    let title = format!("{} · {generation}", words::CHARTS);
    let own: Vec<&Charted> = charts.iter().filter(|one| one.generation == generation).collect();
    let running = [title.clone(), wording::number_of(own.len(), "chart")];
    Frame { title, running, paper, script: None }.page(&html! {
        header class="head" {
            p class="kind" { (words::CHARTS) }
            h1 { (said(generation)) }
            p { a href=(link(index)) { (words::INDEX) } }
        }
        main {
            p class="small" { (words::CHARTS_KEY) }
            div class="grid" { @for one in own { (chart::figure(one)) } }
        }
    })
}
