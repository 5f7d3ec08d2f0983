//! What would put a build or a loose part right, at the bench: the least changes, the plan, what to measure again, what to order.
//! Refuses to plan.

use super::frame::{BenchFrame, BenchShop, Here};
use super::lines::grade;
use super::words;
use crate::finding::Finding;
use crate::judge::source_words;
use crate::report::html::frame::said;
use crate::report::html::sheet;
use crate::report::html::words::capital;
use crate::report::wording_rework as wording;
use crate::rework::{Exchange, Fault, Step, orders};
use crate::shop::Planned;
use maud::{Markup, html};
use std::sync::Arc;

/// Everything on the page.
#[derive(Clone, Copy, Debug)]
pub struct Rework<'a> {
    /// The shop.
    pub shop: BenchShop<'a>,
    /// What the record is called.
    pub name: &'a str,
    /// Whether it is of loose parts.
    pub loose: bool,
    /// What was planned.
    pub planned: &'a [Planned],
    /// Parts that nothing is planned for, as they are scrapped.
    pub scrapped: &'a [String],
    /// What is wrong with the record.
    pub findings: &'a [Finding],
    /// The page of the build or part: its address and its name.
    pub back: (&'a str, &'a str),
    /// What to mind.
    pub cautions: &'a [Box<str>],
}

/// The page, ended by a line end.
#[must_use]
pub fn write(page: &Rework<'_>) -> String {
    let title = format!("{} · {}", page.back.1, words::REWORK);
    let here = if page.loose { Here::Shelf } else { Here::Builds };
    let frame = BenchFrame { shop: page.shop, title: &title, here: Some(here), script: None };
    let (to, name) = page.back;
    frame.page(&html! {
        p class="kind" { (words::REWORK) }
        h1 { bdi { (said(name)) } }
        p { a class="step" href=(to) { (words::BACK_TO) " " (said(name)) } }
        @for one in page.planned { (planned(page.name, one, false)) }
        @for tag in page.scrapped { p { (said(&wording::scrapped(page.name, tag))) } }
        @if !page.findings.is_empty() {
            section aria-labelledby="found" {
                h2 id="found" { (crate::report::html::words::FINDINGS) }
                ul class="findings" { @for one in page.findings { (sheet::finding(one)) } }
            }
        }
        (sheet::cautions(page.cautions))
    })
}

/// One build or loose part, below a heading of its own or that of the page.
pub(super) fn planned(name: &str, planned: &Planned, under_heading: bool) -> Markup {
    let (found, part) = (&planned.found, planned.part.as_ref());
    html! {
        p class="head-line" { b { (said(&wording::head(name, found, part))) } }
        @if !found.faults.is_empty() {
            ul class="faults" {
                @for one in &found.faults {
                    @let would_do: Vec<&Exchange> = planned.exchanges.iter().filter(|exchange| exchange.mends_only_so(one.check)).collect();
                    li { (fault(one, &would_do)) }
                }
            }
        }
        @if !found.steps.is_empty() {
            @if under_heading { h3 class="heading" { (words::PLAN) } } @else { h2 { (words::PLAN) } }
            ol class="plan" {
                @for (number, one) in found.steps.iter().enumerate() {
                    // Why and with what care is said where an operation first stands.
                    @let first = found.steps.iter().position(|other| Arc::ptr_eq(&other.operation, &one.operation));
                    li { (step(planned, one, first.is_none_or(|first| first == number))) }
                }
            }
        }
        @if !found.faults.is_empty() { p { b { (words::AFTER) } " " (said(&wording::would_be(found, part))) } }
        @for exchange in &planned.exchanges {
            p { b { (words::FROM_THE_SHELF) } " " (said(&wording::exchange(exchange))) }
            @for line in wording::beside(exchange) { p class="small" { (said(&line)) } }
        }
        @for order in orders(&planned.book, found) { p { b { (words::ORDER) } " " (said(&wording::order(&order))) } }
        @if found.unmeasured > 0 { p { (said(&capital(&wording::unmeasured(found.unmeasured)))) } }
        @for depends in part.iter().flat_map(|part| &part.conditional) { p { b { (words::DEPENDS) } " " (said(depends)) } }
        @if let Some(waits) = part.and_then(wording::waits).filter(|_| !found.faults.is_empty()) { p { (said(&capital(&waits))) } }
        @if !found.steps.is_empty() { p class="caution" { (wording::PREDICTION) } }
        @else if !planned.exchanges.is_empty() { p class="caution" { (wording::PREDICTION_OF_SHELF) } }
    }
}

fn fault(fault: &Fault, would_do: &[&Exchange]) -> Markup {
    html! {
        p { span class="grade" { (grade(Some(fault.grade))) } " " (said(&wording::fault(fault))) }
        @if let Some(least) = wording::least(&fault.least) { p { (said(&least)) } }
        @for refused in &fault.refused { p { (said(&wording::refused(refused))) } }
        @match wording::after(fault) {
            Some(after) => { p { (words::AFTER_THE_PLAN) " " (after) } },
            None => { p { (said(&wording::not_helped(fault))) } },
        }
        @if let Some(take) = wording::take(would_do) { p { (said(&take)) } }
    }
}

fn step(planned: &Planned, step: &Step, is_first: bool) -> Markup {
    let texts = &step.operation.texts;
    html! {
        p { b { (said(&wording::step(step))) } }
        @if is_first {
            @if let Some(because) = &texts.because { p { (said(because)) } }
            @if let Some(remedy) = &texts.remedy { p { b { (words::REMEDY) } " " (said(remedy)) } }
            @if let Some(caution) = &texts.caution { p class="caution" { b { (words::CAUTION) } " " (said(caution)) } }
        }
        @if !step.measure_again.is_empty() { p { (said(&capital(&wording::measure(&step.measure_again)))) } }
        @if let Some(from) = texts.provenance.as_ref().filter(|_| is_first) {
            p class="small" { (words::SOURCE) " " (said(&source_words(&planned.book, from))) }
        }
    }
}
