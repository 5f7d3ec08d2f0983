//! Labels to tie on loose parts: tag, kind, generation, grade, what is wrong, what waits. Refuses to judge.

use super::frame::{Frame, PaperSize, said};
use super::{bar, words};
use crate::bind::PartState;
use crate::finding::{Finding, Severity};
use crate::judge::Grade;
use crate::report::{wording, wording_loose};
use crate::shop::{Checked, CheckedPart};
use maud::{Markup, html};

/// Findings that stand on a label: more would be too small to read on it.
const MOST_TOLD: usize = 2;

/// Everything for a sheet of labels.
#[derive(Clone, Copy, Debug)]
pub struct Labels<'a> {
    /// What the sheet is called: the file the parts are in.
    pub name: &'a str,
    /// The parts; what is no loose part has no label.
    pub parts: &'a [&'a Checked],
    /// The shop.
    pub shop: Option<&'a str>,
    /// What to mind.
    pub cautions: &'a [Box<str>],
    /// The paper it is printed on.
    pub paper: PaperSize,
}

/// The sheet, ended by a line end.
#[must_use]
pub fn write(labels: &Labels<'_>) -> String {
    frame(labels).page(&body(labels))
}

/// The sheet as a page at the bench: its styles are files, that of its paper at the address `rules`; `back` leads from it.
#[must_use]
pub fn linked(labels: &Labels<'_>, rules: &str, back: (&str, &str)) -> String {
    frame(labels).linked(rules, &super::sheet::way_back(back), &body(labels))
}

/// The style of its paper.
#[must_use]
pub fn rules_of_paper(labels: &Labels<'_>) -> String {
    frame(labels).rules_of_paper()
}

fn frame(labels: &Labels<'_>) -> Frame<'static> {
    let title = format!("{} · {}", words::LABELS, labels.name);
    Frame {
        title: title.clone(),
        running: [title, labels.shop.unwrap_or_default().to_owned()],
        paper: labels.paper,
        script: None,
    }
}

fn body(labels: &Labels<'_>) -> Markup {
    html! {
        (bar::shapes())
        header class="head unprinted" {
            p class="kind" { (said(labels.shop.unwrap_or_default())) }
            h1 { (words::LABELS) }
            p class="small" { (words::LABELS_HOW) }
        }
        main class="labels" {
            @for checked in labels.parts {
                @if let Some(part) = &checked.part { (label(checked, part, labels.shop)) }
            }
        }
        footer class="unprinted" { (super::sheet::cautions(labels.cautions)) }
    }
}

fn label(checked: &Checked, part: &CheckedPart, shop: Option<&str>) -> Markup {
    let told: Vec<&Finding> = worst(checked);
    let scrapped = matches!(part.state, PartState::Scrapped { .. });
    html! {
        section class=(if scrapped || !checked.passes() { "label fails" } else { "label" }) {
            p class="kind" { (said(&wording_loose::kind(part))) }
            h2 { bdi { (said(&checked.build)) } }
            p class="grade" {
                @if scrapped { strong { (words::SCRAPPED) } } @else {
                    @if let Some(grade) = checked.grade { (bar::mark(grade)) " " }
                    strong { (checked.grade.map_or(wording::NOT_JUDGED, Grade::word)) }
                    @if checked.record_errors > 0 { " " "· " (wording::record_errors(checked.record_errors)) }
                }
            }
            ul {
                @for one in told.iter().take(MOST_TOLD) { li { (said(&one.message)) } }
                @if told.len() > MOST_TOLD { li { (format!("and {} more", told.len() - MOST_TOLD)) } }
            }
            @for (word, line) in wording_loose::below(part) { p class="small" { b { (word) } " " (said(&line)) } }
            p class="small foot" {
                @if let Some(day) = checked.finished { (words::MEASURED_ON) " " (day.to_string()) }
                @if let Some(shop) = shop { " · " (said(shop)) }
            }
        }
    }
}

/// The errors, or if there are none the warnings.
fn worst(checked: &Checked) -> Vec<&Finding> {
    let least = checked.findings.iter().map(|one| one.severity).max().unwrap_or(Severity::Note).max(Severity::Warning);
    checked.findings.iter().filter(|one| one.severity >= least).collect()
}
