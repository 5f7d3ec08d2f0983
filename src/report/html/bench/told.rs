//! What a value comes to, as it stands under its inputs: mark, word, bar, and in a sentence what is wrong and what to do. Refuses
//! to decide any of it.

use super::build::PageName;
use super::{address, words_build as words};
use crate::finding::Finding;
use crate::judge::{Grade, RulingReport};
use crate::report::html::frame::said;
use crate::report::html::{bar, sheet};
use crate::worksheet::Worksheet;
use maud::{Markup, html};
use std::sync::Arc;

/// The rulings on a value, then what was found about how it is written.
pub(super) fn rulings(list: &[Arc<RulingReport>], findings: &[Finding]) -> Markup {
    // Rows that lack a reading all say the same.
    let lacking = list.iter().filter(|told| told.grade == Grade::Unmeasured).min_by_key(|told| told.advisory);
    html! {
        @for told in list.iter().filter(|told| told.grade != Grade::Unmeasured) { (ruling(told, false)) }
        @if let Some(told) = lacking { (ruling(told, false)) }
        @if !findings.is_empty() { ul class="findings" { @for one in findings { (sheet::finding(one)) } } }
    }
}

fn ruling(told: &RulingReport, named: bool) -> Markup {
    let fails = !told.grade.passes() && !told.advisory;
    let quiet = told.grade == Grade::Good || told.grade == Grade::Unmeasured;
    html! {
        div class=(if fails && told.grade != Grade::Unmeasured { "ruling fails" } else { "ruling" }) data-path=(told.path) data-grade=(told.grade.word()) {
            @if named { span class="on" { (said(&told.on.0)) " " (said(&told.on.1)) ": " } }
            (bar::mark(told.grade)) " " span class="word" { (told.grade.word()) }
            @if told.advisory { " " span class="advisory" { "advisory" } }
            @if told.outer && told.grade == Grade::Good { " " span class="advisory" { (words::OUTER) } }
            @if let Some(value) = &told.value { " " span class="small" { (said(value)) } }
            @if told.grade != Grade::Unmeasured { @if let Some(bar) = bar::bar(told) { (bar) } }
            @if !quiet {
                @if let Some(message) = &told.message { p class="message" { (said(message)) } }
                @if let Some(slip) = &told.slip { p { b { (words::SLIP) } " " (said(slip)) } }
                @if let Some(remedy) = &told.remedy { p { b { (words::REMEDY) } " " (said(remedy)) } }
                @if let Some(caution) = &told.caution { p class="caution" { (said(caution)) } }
                @if let Some(concession) = &told.concession { p class="small" { (said(concession)) } }
                @if !told.grade.passes() && !told.never_excused {
                    button type="button" class="let-through" data-row=(told.path) { (words::CONCEDE) }
                }
            }
        }
    }
}

/// Rulings on several parts together.
pub(super) fn together(sheet: &Worksheet) -> Markup {
    html! { @for told in &sheet.together { (ruling(told, true)) } }
}

/// What was found that is about no reading.
pub(super) fn others(worksheet: &Worksheet) -> Markup {
    html! {
        @if !worksheet.others.is_empty() {
            ul class="findings" { @for one in &worksheet.others { (sheet::finding(one)) } }
        }
    }
}

/// What is written beside a value.
pub(super) fn says(says: &[(String, String)], name: &PageName) -> Markup {
    html! {
        @for (number, (key, text)) in says.iter().enumerate() {
            @if number > 0 { ", " }
            (words::beside(key)) " "
            @if key == "photo" { a href=(address::photo(&name.record, name.tag.as_deref(), text)) { (said(text)) } }
            @else { (said(text)) }
        }
    }
}

pub(super) fn concessions(sheet: &Worksheet) -> Markup {
    html! {
        @for [row, because, by, until] in &sheet.concessions {
            li { b { (said(row)) } " " (said(because)) ", " (said(by)) @if !until.is_empty() { ", " (words::until(until)) } }
        }
    }
}
