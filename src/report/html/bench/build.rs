//! The page of one record at the bench: a line a reading, its inputs, what it may be, what it comes to. Refuses to know how a
//! value gets into the file.

use super::frame::{BenchFrame, BenchShop, Here};
use super::{address, told, words_build as words};
use crate::judge::{Grade, RulingReport};
use crate::report::address::encoded;
use crate::report::html::frame::said;
use crate::report::html::{bar, words as sheet_words};
use crate::worksheet::{DerivedLine, EntryKind, Field, Line, ReadingLine, Section, Worksheet};
use maud::{Markup, html};
use std::sync::Arc;

/// Choices up to so many are shown beside each other; more are a list to open.
const MOST_BESIDE: usize = 4;

/// A record in the addresses of the pages.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct PageName {
    /// The record's name below the shop's folder.
    pub record: String,
    /// The tag of a loose part.
    pub tag: Option<String>,
}

/// The page of a state of a record.
#[derive(Clone, Copy, Debug)]
pub struct BuildPage<'a> {
    /// The record.
    pub sheet: &'a Worksheet,
    /// Where it is.
    pub name: &'a PageName,
    /// Its text by a number: a page that has another one is told everything.
    pub version: u64,
}

/// The page, ended by a line end.
#[must_use]
pub fn write(page: BuildPage<'_>, shop: BenchShop<'_>) -> String {
    let BuildPage { sheet, name, version } = page;
    let here = if sheet.checked.part.is_some() { Here::Shelf } else { Here::Builds };
    let title = sheet.checked.build.as_str();
    let frame = BenchFrame { shop, title, here: Some(here), script: Some("bench.js") };
    let cautions: Vec<Box<str>> = sheet.cautions.iter().map(|caution| caution.as_str().into()).collect();
    frame.page(&html! {
        div id="record" data-record=(name.record) data-tag=[name.tag.as_deref()] data-version=(version) data-shut[shop.read_only] {
            p class="kind" { (words::kind(sheet)) }
            h1 { bdi { (said(title)) } }
            div id="head" { (head(sheet)) }
            noscript { p class="caution" { (words::NO_SCRIPT) } }
            (tools(sheet, name))
            (about(sheet))
            div id="others" { (told::others(sheet)) }
            @for section in &sheet.sections { (part(section, name)) }
            section id="at-together" aria-labelledby="together-name" {
                h2 id="together-name" { (sheet_words::capital(sheet_words::TOGETHER)) }
                div id="together" { (told::together(sheet)) }
            }
            @if sheet.checked.part.is_none() { (concessions(sheet)) }
            (super::super::sheet::cautions(&cautions))
            (templates(sheet))
        }
    })
}

/// The grade, what stands in the way, how far it is.
pub(super) fn head(sheet: &Worksheet) -> Markup {
    let checked = &sheet.checked;
    let passes = checked.passes();
    html! {
        div class=(if passes { "verdict passes" } else { "verdict fails" }) {
            @if let Some(grade) = checked.grade { (bar::mark(grade)) }
            p { strong { (words::verdict(checked)) } }
            p { (sheet_words::counts(checked)) }
        }
        @let (wrong, more) = wrong(sheet);
        @if !wrong.is_empty() {
            ul class="wrong" {
                @for (key, told) in wrong { li { a href=(format!("#at-{}", encoded(&key))) { (bar::mark(told.grade)) " " (said(told.message.as_deref().unwrap_or_else(|| told.grade.word()))) } } }
                @if more > 0 { li { (words::more_wrong(more)) } }
            }
        }
        p class="progress" {
            b { (words::taken(sheet.taken, sheet.required)) } " "
            progress max=(sheet.required.max(1)) value=(sheet.taken) aria-label=(words::PROGRESS) {}
        }
    }
}

/// So many rows that do not pass stand at the head. Common practice: what one screen of a phone shows.
const MOST_WRONG: usize = 8;

/// The first rows that do not pass for what was measured, each with the place it stands at, and how many more there are.
fn wrong(sheet: &Worksheet) -> (Vec<(String, &Arc<RulingReport>)>, usize) {
    let mut all: Vec<(String, &Arc<RulingReport>)> = Vec::new();
    let fails = |told: &&Arc<RulingReport>| !told.grade.passes() && told.grade != Grade::Unmeasured && !told.advisory;
    for line in sheet.sections.iter().flat_map(|section| &section.lines) {
        match line {
            Line::Reading(line) => {
                for field in &line.fields {
                    all.extend(field.told.iter().filter(fails).map(|told| (field.key.clone(), told)));
                }
                let key = line.fields.first().map_or("", |field| of_all(&field.key));
                all.extend(line.told.iter().filter(fails).map(|told| (key.to_owned(), told)));
            }
            Line::Derived(line) => all.extend(line.told.iter().filter(fails).map(|told| (line.key.clone(), told))),
        }
    }
    all.extend(sheet.together.iter().filter(fails).map(|told| ("together".to_owned(), told)));
    let more = all.len().saturating_sub(MOST_WRONG);
    all.truncate(MOST_WRONG);
    (all, more)
}

fn tools(sheet: &Worksheet, name: &PageName) -> Markup {
    html! {
        div class="tools" {
            button type="button" id="open" class="first" aria-expanded="false" aria-controls="still" { (words::STILL) }
            button type="button" id="undo" disabled { (words::UNDO) }
            @if sheet.checked.part.is_none() { a class="step" href=(address::sheet(&name.record)) { (words::SHEET) } }
            @else { a class="step" href=(address::labels(&name.record)) { (words::LABEL) } }
            @if !sheet.checked.passes() { a class="step" href=(address::rework(&name.record, name.tag.as_deref())) { (words::REWORK) } }
            p id="kept" role="status" { (words::ALL_KEPT) }
        }
        div id="still" hidden { ol {} }
        p id="aloud" class="unseen" role="status" aria-live="polite" {}
    }
}

/// What the record says about itself.
fn about(sheet: &Worksheet) -> Markup {
    html! {
        @if let Some((generation, description)) = &sheet.generation {
            p class="small" { b { (said(generation)) } ": " (said(description)) }
        }
        div class="heads" {
            @for head in sheet.heads.iter().filter(|head| sheet.field(head.key).is_none()) {
                div class="field about" data-head=(head.key) {
                    label for=(format!("head-{}", head.key)) { (words::head(head.key)) }
                    input type="text" id=(format!("head-{}", head.key)) value=(head.text) data-was=(head.text) readonly[head.is_fixed] autocomplete="off";
                    p class="objection" hidden {}
                }
            }
        }
    }
}

fn part(section: &Section, page: &PageName) -> Markup {
    let name = if section.name.is_empty() { sheet_words::WHOLE } else { section.name.as_str() };
    let id = format!("part-{}", section.key);
    html! {
        section class="part" aria-labelledby=(id) {
            h2 id=(id) { (said(&sheet_words::capital(name))) }
            @if let Some(measure) = &section.measure { p class="small" { (said(measure)) } }
            @let (open, folded): (Vec<&Line>, Vec<&Line>) = section.lines.iter().partition(|line| !may_wait(line));
            @for line in open {
                @match line {
                    Line::Reading(reading) => (reading_line(section, reading, page)),
                    Line::Derived(derived) => (derived_line(derived)),
                }
            }
            @if !folded.is_empty() {
                details class="folded" {
                    summary { (words::may_be_left_out(&folded.iter().filter_map(|line| name_of(line)).collect::<Vec<_>>())) }
                    @for line in folded { @if let Line::Reading(reading) = line { (reading_line(section, reading, page)) } }
                }
            }
        }
    }
}

/// Whether a reading may be left out and was, so that it does not stand between those that are asked for.
fn may_wait(line: &Line) -> bool {
    matches!(line, Line::Reading(reading) if reading.optional && reading.fields.iter().all(|field| !field.held.is_written()))
}

fn name_of(line: &Line) -> Option<&str> {
    if let Line::Reading(reading) = line { Some(&reading.name) } else { None }
}

fn reading_line(section: &Section, line: &ReadingLine, page: &PageName) -> Markup {
    let key = line.fields.first().map_or("", |field| field.key.as_str());
    let name = if section.name.is_empty() { line.name.clone() } else { format!("{} {}", section.name, line.name) };
    html! {
        div class=(if line.optional { "line optional" } else { "line" }) role="group" aria-label=(said(&name)) data-least=(line.least) data-most=[line.most] {
            div class="what" {
                h3 { (said(&line.name)) }
                span class="small" { " " (said(&line.what)) @if line.optional { ", " (sheet_words::OPTIONAL) } }
                @if !line.rows.is_empty() { p class="small rows" { (said(&line.rows.join("; "))) } }
                @if let Some(measure) = &line.measure {
                    details { summary { (words::HOW) } p class="small" { (said(measure)) } }
                }
            }
            div class="fields" {
                @for one in &line.fields { (field(line, one, &name, page)) }
                @if line.fields.len() > 1 { div class="told" id=(format!("at-{}", of_all(key))) data-told=(of_all(key)) { (told::rulings(&line.told, &[])) } }
            }
        }
    }
}

/// The way to the reading of a station.
pub(super) fn of_all(key: &str) -> &str {
    key.rsplit_once('.').map_or(key, |(before, _)| before)
}

fn field(line: &ReadingLine, field: &Field, name: &str, page: &PageName) -> Markup {
    let name = field.station.as_ref().map_or_else(|| name.to_owned(), |station| format!("{name} {station}"));
    let boxes = field.held.items.len().max(line.least).max(1);
    html! {
        div class="field" data-key=(field.key) data-entry=(entry_word(line)) {
            @if let Some(station) = &field.station { p class="station" { (said(station)) } }
            @if field.held.is_unusual() { p class="small" { (words::UNUSUAL) } }
            @else {
                @for item in 0..boxes { (value_box(line, (field, item), &name, page)) }
                div class="beside" {
                    @if let EntryKind::Number(units) = &line.entry { (unit_buttons(field, units)) }
                    @if line.most.is_none_or(|most| most > boxes) { button type="button" class="one-more" { (words::ONE_MORE) } }
                    button type="button" class="more" aria-expanded="false" { (words::MORE) }
                }
            }
            div class="told" id=(format!("at-{}", field.key)) data-told=(field.key) { (told::rulings(&field.told, &field.findings)) }
        }
    }
}

fn entry_word(line: &ReadingLine) -> &'static str {
    match &line.entry {
        EntryKind::Number(_) => "number",
        EntryKind::OneOf(_) => "one-of",
        EntryKind::Words => "words",
    }
}

/// One value: its input, what is written beside it, and room for what is wrong.
fn value_box(line: &ReadingLine, (field, item): (&Field, usize), name: &str, page: &PageName) -> Markup {
    let held = field.held.items.get(item);
    let text = held.map_or("", |item| item.text.as_str());
    let says = held.map_or(&[][..], |item| item.says.as_slice());
    let name = if line.most == Some(1) { name.to_owned() } else { format!("{name}, {}", words::value(item + 1)) };
    let says_json = (!says.is_empty()).then(|| serde_json::to_string(says).unwrap_or_default());
    html! {
        div class="value" data-item=(item) data-was=(text) data-says=[says_json] {
            @match &line.entry {
                EntryKind::OneOf(choices) if choices.len() <= MOST_BESIDE => {
                    div class="choices" role="radiogroup" aria-label=(said(&name)) {
                        @for choice in choices.iter().map(String::as_str).chain([words::UNKNOWN]) {
                            label {
                                input type="radio" name=(format!("{}#{item}", field.key)) value=(choice) checked[choice.eq_ignore_ascii_case(text)];
                                span { (said(choice)) }
                            }
                        }
                    }
                },
                EntryKind::OneOf(choices) => {
                    select aria-label=(said(&name)) {
                        option value="" {}
                        @for choice in choices.iter().map(String::as_str).chain([words::UNKNOWN]) {
                            option value=(choice) selected[choice.eq_ignore_ascii_case(text)] { (said(choice)) }
                        }
                    }
                },
                EntryKind::Number(_) => {
                    input type="text" inputmode="decimal" enterkeyhint="next" autocomplete="off" aria-label=(said(&name)) value=(text);
                },
                EntryKind::Words => {
                    input type="text" enterkeyhint="next" autocomplete="off" aria-label=(said(&name)) value=(text);
                },
            }
            p class="says small" { (told::says(says, page)) }
            div class="objection" hidden {}
        }
    }
}

/// The unit of what is typed without one: the unit last used there, else the book's. The others are offered while the field is
/// typed in: buttons for all fields at once would be most of the page.
fn unit_buttons(field: &Field, units: &[String]) -> Markup {
    let used = field.held.items.iter().rev().find_map(|item| {
        let written = item.text.trim_start_matches(|letter: char| !letter.is_alphabetic() && !"°µ%".contains(letter));
        units.iter().position(|unit| *unit == written)
    });
    let lit = used.and_then(|used| units.get(used)).or(units.first());
    html! {
        @if let Some(unit) = lit {
            span class="units" data-unit=(unit) data-units=[(units.len() > 1).then(|| serde_json::to_string(units).unwrap_or_default())] { (said(unit)) }
        }
    }
}

fn derived_line(line: &DerivedLine) -> Markup {
    html! {
        div class="line derived" {
            div class="what" {
                h3 { (said(&line.name)) } span class="small" { " " (sheet_words::WORKED_OUT) }
                details { summary { (words::HOW_CALCULATED) } p class="small formula" { (said(&line.formula)) } p class="small rows" { (said(&line.rows.join("; "))) } }
            }
            div class="told" id=(format!("at-{}", line.key)) data-told=(line.key) { (told::rulings(&line.told, &[])) }
        }
    }
}

fn concessions(sheet: &Worksheet) -> Markup {
    let [row, because, by, until] = words::CONCESSION_FIELDS;
    let input = |name: &str, label: &str, kind: &str| {
        html! {
            div class="field" {
                label for=(format!("concession-{name}")) { (label) }
                input type=(kind) id=(format!("concession-{name}")) name=(name) autocomplete="off";
            }
        }
    };
    html! {
        section aria-labelledby="conceded" {
            h2 id="conceded" { (sheet_words::CONCESSIONS) }
            ul id="concessions" { (told::concessions(sheet)) }
            details id="concede" {
                summary { (words::CONCEDE) }
                form {
                    p class="small" { (words::CONCEDE_HOW) }
                    (input("row", row, "text")) (input("because", because, "text")) (input("by", by, "text")) (input("until", until, "date"))
                    p class="objection" role="alert" hidden {}
                    button class="first" { (words::SIGN) }
                }
            }
        }
    }
}

/// What a field shows when more is to be written beside a value; one for all fields.
fn templates(sheet: &Worksheet) -> Markup {
    html! {
        template id="more" {
            div class="beside-value" {
                @for (key, label) in words::SAYS {
                    label { (label) " "
                        @if key == "gauge" {
                            select data-says=(key) { option value="" {} @for gauge in &sheet.gauges { option value=(gauge) { (said(gauge)) } } }
                        } @else { input type="text" data-says=(key) autocomplete="off"; }
                    }
                }
                label class="photo" { (words::PHOTO) " " input type="file" accept="image/*" capture="environment"; }
                div class="buttons" {
                    button type="button" class="first write" { (words::WRITE_BESIDE) }
                    button type="button" class="unknown" { (words::CANNOT_READ) }
                    button type="button" class="away" { (words::TAKE_AWAY) }
                }
            }
        }
        template id="implausible" {
            p class="why" {}
            div class="buttons" {
                button type="button" class="first again" { (words::MEASURE_AGAIN) }
                label { (words::CONFIRMED_BY) " " input type="text" class="who" autocomplete="name"; }
                button type="button" class="confirm" { (words::CONFIRM) }
                button type="button" class="all-the-same" { (words::ALL_THE_SAME) }
            }
        }
        template id="both" {
            p class="why" {}
            div class="buttons" {
                button type="button" class="first mine" {}
                button type="button" class="theirs" {}
            }
        }
        dl id="words" hidden {
            @for (key, text) in words::FOR_SCRIPT { dt { (key) } dd { (text) } }
        }
    }
}
