//! The sheet of one build that a shop hands over and files. Refuses to judge.

use super::frame::{Frame, PaperSize, said};
use super::{bar, customer, measured, words};
use crate::audit::Digested;
use crate::finding::{Code, Finding, NoteKind, Severity};
use crate::handover::{Handover, Measuring, one_spelling};
use crate::judge::{Grade, ToMeasure};
use crate::quantity::{Date, UnitTable};
use crate::record::Record;
use crate::report::{to_measure, wording};
use crate::shop::{Checked, Shop};
use maud::{Markup, html};

/// Everything there is to put on the sheet.
#[derive(Clone, Debug)]
pub struct BuildSheet<'a> {
    /// The record, judged.
    pub checked: &'a Checked,
    /// What is handed over; none where it could not be judged.
    pub handover: Option<&'a Handover>,
    /// The shop's name.
    pub shop: Option<&'a str>,
    /// What to mind.
    pub cautions: &'a [Box<str>],
    /// The record's digest, then those of the books with title and edition, and of the list of gauges.
    pub files: &'a [(Digested, String)],
    /// The units of the books, each with its one spelling.
    pub units: &'a UnitTable,
    /// The paper it is printed on.
    pub paper: PaperSize,
    /// Who it is for.
    pub reader: Reader,
}

/// Who a sheet is for.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum Reader {
    /// The workshop: every reading, every rule and every digest, to work by and to file.
    #[default]
    Workshop,
    /// The customer: what is to be known of the engine, on two pages.
    Customer,
}

/// The sheet as a page, ended by a line end.
#[must_use]
pub fn write(sheet: &BuildSheet<'_>) -> String {
    frame(sheet).page(&body(sheet))
}

/// The sheet as a page at the bench: its styles are files, that of its paper at the address `rules`; `back` leads from it.
#[must_use]
pub fn linked(sheet: &BuildSheet<'_>, rules: &str, back: (&str, &str)) -> String {
    frame(sheet).linked(rules, &way_back(back), &body(sheet))
}

/// The style of its paper.
#[must_use]
pub fn rules_of_paper(sheet: &BuildSheet<'_>) -> String {
    frame(sheet).rules_of_paper()
}

/// The way back from a page that is made to be printed.
pub(super) fn way_back((to, name): (&str, &str)) -> Markup {
    html! { nav class="unprinted" { p { a class="step" href=(to) { (said(name)) } } } }
}

/// The files that a verdict rests on: the record, the books with title and edition, the list of gauges, the files of the shelf
/// its parts are in.
#[must_use]
pub fn files(shop: &Shop, record: &Record) -> Vec<(Digested, String)> {
    let parts = shop.sources_of_parts(record);
    let mut files = vec![(Digested::new(&record.source), words::THE_RECORD.to_string())];
    for title in &shop.book.titles {
        let edition = title.edition.map_or_else(String::new, |day| format!(" ({day})"));
        files.push((Digested::new(&title.source), format!("{}{edition}", title.title)));
    }
    files.extend(shop.gauges_source().map(|list| (Digested::new(list), words::THE_GAUGES.to_string())));
    files.extend(parts.into_iter().map(|part| (Digested::new(part), words::THE_PART.to_string())));
    files
}

fn frame(sheet: &BuildSheet<'_>) -> Frame<'static> {
    let BuildSheet { checked, .. } = sheet;
    let grade = checked.grade.map_or(wording::NOT_JUDGED, Grade::word);
    let mut running = vec![format!("{} {}", words::SHEET, checked.build)];
    running.extend(checked.finished.map(|day| day.to_string()));
    Frame {
        title: format!("{} · {} · {grade}", checked.build, words::SHEET),
        running: [
            running.join(" · "),
            sheet.shop.map_or_else(|| grade.to_string(), |shop| format!("{shop} · {grade}")),
        ],
        paper: sheet.paper,
        script: None,
    }
}

fn body(sheet: &BuildSheet<'_>) -> Markup {
    let BuildSheet { checked, .. } = sheet;
    if let (Reader::Customer, Some(handover)) = (sheet.reader, sheet.handover) {
        return customer::body(sheet, handover);
    }
    html! {
        (bar::shapes())
        header class="head" { (identity(sheet)) }
        main {
            (still_to_measure(&checked.to_measure))
            @if checked.to_measure.is_empty() || !checked.findings.is_empty() { (findings(&checked.findings, sheet.units)) }
            @if let Some(handover) = sheet.handover {
                (concessions(handover))
                (measured::section(handover))
                (gauges(handover))
                (how(&handover.how))
            }
            (rests_on(sheet))
            (cautions(sheet.cautions))
            (signatures())
        }
    }
}

fn identity(sheet: &BuildSheet<'_>) -> Markup {
    let checked = sheet.checked;
    let passes = checked.passes();
    let mut facts: Vec<(String, String)> = Vec::new();
    let fact = |facts: &mut Vec<(String, String)>, name: &str, value: String| facts.push((name.to_string(), value));
    if let Some(shop) = sheet.shop {
        fact(&mut facts, "shop", shop.to_string());
    }
    fact(&mut facts, "finished", checked.finished.map_or_else(|| "no day said".to_string(), |day| day.to_string()));
    if let Some(handover) = sheet.handover {
        fact(&mut facts, "generation", format!("{}: {}", handover.generation, handover.description));
        facts.extend(handover.facts.iter().cloned());
        if handover.judged_on != checked.finished {
            fact(&mut facts, "judged by rows of", handover.judged_on.map_or_else(String::new, |day| day.to_string()));
        }
        fact(&mut facts, "decided by", handover.decision.clone());
    }
    fact(&mut facts, "record", checked.file.clone());
    html! {
        p class="kind" { (words::SHEET) }
        h1 { bdi { (said(&checked.build)) } }
        div class=(if passes { "verdict passes" } else { "verdict fails" }) {
            @if let Some(grade) = checked.grade { (bar::mark(grade)) }
            p { strong { (words::verdict(checked.grade, passes)) } }
            p { (words::counts(checked)) }
        }
        dl class="facts" {
            @for (name, value) in &facts { div { dt { (said(name)) } dd { bdi { (said(value)) } } } }
        }
    }
}

/// What is missing, a line a part; nothing where nothing is.
fn still_to_measure(list: &[ToMeasure]) -> Markup {
    if list.is_empty() {
        return html! {};
    }
    html! {
        section aria-labelledby="missing" {
            h2 id="missing" { (words::TO_MEASURE) }
            @for (wanted, lines) in to_measure::kinds(list) {
                p { b { (words::to_measure(wanted, to_measure::readings(&lines))) } }
                dl class="facts" {
                    @for line in lines { div { dt { (said(&line.on)) } dd { (said(&to_measure::words(line))) } } }
                }
            }
        }
    }
}

/// What was found: errors first, then what a concession lets through, which somebody has put a name to.
fn findings(findings: &[Finding], units: &UnitTable) -> Markup {
    let spelt = |one: &Finding| {
        let mut one = one.clone();
        // What a book or a source says stands as it is written.
        let slips = one.notes.iter_mut().filter(|note| note.kind == NoteKind::Slip);
        let texts = slips.map(|note| &mut note.text).chain([&mut one.message]);
        texts.for_each(|text| *text = one_spelling(units, text).into_owned());
        one
    };
    let mut sorted: Vec<Finding> = findings.iter().map(spelt).collect();
    let rank = |one: &Finding| (one.severity == Severity::Error, one.code == Code::RowExcused, one.severity);
    sorted.sort_by_key(|one| std::cmp::Reverse(rank(one)));
    html! {
        section aria-labelledby="found" {
            h2 id="found" { (words::FINDINGS) }
            @if sorted.is_empty() { p { (words::NOTHING_FOUND) } }
            @else { ul class="findings" { @for one in &sorted { (finding(one)) } } }
        }
    }
}

pub(super) fn finding(finding: &Finding) -> Markup {
    let severity = match finding.severity {
        Severity::Error => "finding error",
        Severity::Warning => "finding warning",
        Severity::Note => "finding note",
    };
    let kind = |kind: NoteKind| if kind == NoteKind::Caution { "caution" } else { "said" };
    html! {
        li class=(severity) data-code=(finding.code.name()) {
            p class="message" {
                span class="severity" { (wording::severity(finding.severity)) } " "
                strong { (said(&finding.message)) }
            }
            @for note in &finding.notes {
                p class=(kind(note.kind)) { b { (note.kind.word()) } " " (said(&note.text)) }
            }
            @if let Some(help) = &finding.help { p class="said" { b { (wording::HELP) } " " (said(help)) } }
            p class="where" {
                @if let Some((place, _)) = &finding.place { (said(&place.to_string())) " · " }
                (finding.code.name())
            }
        }
    }
}

fn concessions(handover: &Handover) -> Markup {
    if handover.concessions.is_empty() {
        return html! {};
    }
    html! {
        section aria-labelledby="conceded" {
            h2 id="conceded" { (words::CONCESSIONS) }
            (table("plain conceded", words::CONCESSIONS, &words::CONCESSION_COLUMNS, handover.concessions.iter().map(|one| {
                [
                    one.row.clone(),
                    if one.excuses.is_empty() { "nothing now".to_string() } else { one.excuses.join(", ") },
                    one.because.clone(),
                    one.by.clone(),
                    one.until.map_or_else(|| "no end said".to_string(), |day| day.to_string()),
                ]
            })))
        }
    }
}

fn gauges(handover: &Handover) -> Markup {
    let day = |day: Option<Date>| day.map_or_else(|| "not said".to_string(), |day| day.to_string());
    let figure = |figure: &Option<String>| figure.clone().unwrap_or_else(|| "not said".to_string());
    html! {
        section aria-labelledby="gauges" {
            h2 id="gauges" { (words::GAUGES) }
            @if handover.gauges.is_empty() { p { (words::NO_GAUGES) } }
            @else {
                (table("plain", words::GAUGES, &words::GAUGE_COLUMNS, handover.gauges.iter().map(|one| {
                    [
                        one.name.clone(),
                        figure(&one.uncertainty),
                        figure(&one.resolution),
                        day(one.calibrated),
                        day(one.due),
                        one.readings.to_string(),
                        one.listed_in.clone(),
                    ]
                })))
            }
        }
    }
}

/// How the readings are measured, folded away.
fn how(how: &[Measuring]) -> Markup {
    if how.is_empty() {
        return html! {};
    }
    html! {
        section class="how" {
            details {
                summary { (words::HOW) }
                @for part in how {
                    h3 { (said(&words::caption(part.part.as_deref()))) }
                    @if let Some(positions) = &part.positions { p class="small" { (said(positions)) } }
                    dl class="small" {
                        @for (reading, measure) in &part.readings { dt { (said(reading)) } dd { (said(measure)) } }
                    }
                }
            }
        }
    }
}

fn rests_on(sheet: &BuildSheet<'_>) -> Markup {
    html! {
        section aria-labelledby="rests" {
            h2 id="rests" { (words::RESTS_ON) }
            (table("plain digests", words::RESTS_ON, &words::FILE_COLUMNS, sheet.files.iter().map(|(digested, what)| {
                [digested.file.clone(), what.clone(), digested.sha256.clone()]
            })))
            p class="small" { (words::DIGESTS) " trochoid " (env!("CARGO_PKG_VERSION")) "." }
        }
    }
}

/// What to mind, with who comes first.
pub(super) fn cautions(cautions: &[Box<str>]) -> Markup {
    cautions_and(cautions, words::DEFER)
}

/// What to mind, and in a sentence who comes first.
pub(super) fn cautions_and(cautions: &[Box<str>], defer: &str) -> Markup {
    html! {
        section class="cautions" aria-labelledby="mind" {
            h2 id="mind" { (words::CAUTIONS) }
            ul {
                @for caution in cautions { li { (said(caution)) } }
                li { (defer) }
            }
        }
    }
}

/// Lines to sign on.
pub(super) fn signatures() -> Markup {
    signed_by(&words::SIGNED_BY)
}

/// Lines for some to sign on.
pub(super) fn signed_by(who: &[&str]) -> Markup {
    let [name, signature, day] = words::SIGN_COLUMNS;
    html! {
        section class="signatures" aria-labelledby="signed" {
            h2 id="signed" { (words::SIGNATURES) }
            dl {
                @for who in who {
                    div { dt { (who) } dd { span { (name) } span { (signature) } span { (day) } } }
                }
            }
        }
    }
}

/// A table of texts; the first column names the row. On a narrow screen each cell stands behind the name of its column.
pub(super) fn table<const COLUMNS: usize>(
    class: &str,
    caption: &str,
    columns: &[&str; COLUMNS],
    rows: impl Iterator<Item = [String; COLUMNS]>,
) -> Markup {
    html! {
        table class=(class) {
            caption class="unseen" { (caption) }
            thead { tr { @for column in columns { th scope="col" { (column) } } } }
            tbody {
                @for row in rows {
                    tr {
                        @for (number, (cell, column)) in row.iter().zip(columns).enumerate() {
                            @if number == 0 { th scope="row" { bdi { (said(cell)) } } }
                            @else { td data-column=(column) { (said(cell)) } }
                        }
                    }
                }
            }
        }
    }
}
