//! Puts on paper what would put a record right: the least changes, the plan, what is measured again, what is ordered. Refuses
//! to plan.
//!
//! As JSON it is one document: `format` (`trochoid rework`), `version`, `records`, `scrapped` (loose parts nothing is planned
//! for, each with `name` and `tag`) and `status`, the exit status. A **record** has `name`, `build` (or null), `part` (null
//! for a build; else `tag`, `part`, `planned_as`, `waiting`, `waits` and `conditional`), `generation`, `grade` as it is,
//! `faults`, `unmeasured`, `steps`, `would_be`, `open`, `fewest` and `least`: what is proved, `tried`, `exchanges` and
//! `orders`.
//!
//! A **fault** has `path`, `grade`, `advisory`, `value` or null, `row`: its place, `least`: each with `path`, `more`,
//! `to_limit` and `to_good` or null, `needs`: operations that need a reading first, each with `operation` and `path`,
//! `refused`: each with `operation`, `path`, `row`, `value` or null and `would_be`, then its own `would_be` or null, `open`:
//! whether it waits for a new part to be measured, and `changes`: whether the plan changes it by an amount nobody knows.
//!
//! A **step** has `operation`, `path`, `action`: `change`, `size` or `new`, `more`, `by`, `would_be`, `size` and `mark` or
//! null, `measure`, `rows`, `because`, `caution` and `source` or null, and `place`. An **exchange** has `tag`, `place`,
//! `mends`, `instead_of`: the numbers of steps, `worse`, `open` and `waiting`. An **order** has `part`, `generation`, `size`,
//! `mark`, `count` and `places`.

use super::style::{self, Ink, Look, clean};
use super::{cells, json, wording_rework as wording};
use crate::book::Book;
use crate::judge::{Grade, source_words};
use crate::rework::{Action, Exchange, Fault, Order, Step, orders};
use crate::shop;
use serde_json::{Value, json};
use std::sync::Arc;

/// How far what belongs to a line stands in.
const INDENT: usize = 12;

/// One build or loose part to be put on paper.
#[derive(Clone, Copy, Debug)]
pub struct Planned<'a> {
    /// The record's file.
    pub name: &'a str,
    /// What would put it right.
    pub planned: &'a shop::Planned,
}

/// A build or loose part as text, ended by a line end.
#[must_use]
pub fn text(Planned { name, planned }: Planned<'_>, look: Look) -> String {
    let (book, found, part) = (&planned.book, &planned.found, planned.part.as_ref());
    let mut out = format!("{}\n", clean(&wording::head(name, found, part)));
    for fault in &found.faults {
        let would_do = planned.exchanges.iter().filter(|exchange| exchange.mends_only_so(fault.check));
        one_fault(&mut out, look, fault, &would_do.collect::<Vec<_>>());
    }
    if !found.steps.is_empty() {
        out.push_str("plan\n");
    }
    for (number, step) in (1..).zip(&found.steps) {
        // Why and with what care is said where an operation first stands.
        let first = found.steps.iter().position(|other| Arc::ptr_eq(&other.operation, &step.operation));
        one_step(&mut out, look, book, number, step, first.is_none_or(|first| first + 1 == number));
    }
    if !found.faults.is_empty() {
        let ink = if found.puts_right() { Ink::Good } else { Ink::Fail };
        entry(&mut out, look, ink, "after", &wording::would_be(found, part));
    }
    for exchange in &planned.exchanges {
        entry(&mut out, look, Ink::Mind, "shelf", &wording::exchange(exchange));
        for line in wording::beside(exchange) {
            style::wrapped(&mut out, &" ".repeat(INDENT), INDENT, &line, look.width);
        }
    }
    for order in orders(book, found) {
        entry(&mut out, look, Ink::Mind, "order", &wording::order(&order));
    }
    if found.unmeasured > 0 {
        entry(&mut out, look, Ink::Aside, "unmeasured", &wording::unmeasured(found.unmeasured));
    }
    for words in part.iter().flat_map(|part| &part.conditional) {
        entry(&mut out, look, Ink::Mind, "depends", &wording::depends(words));
    }
    if let Some(waits) = part.and_then(wording::waits).filter(|_| !found.faults.is_empty()) {
        entry(&mut out, look, Ink::Aside, "waits", &waits);
    }
    if !found.steps.is_empty() {
        style::wrapped(&mut out, "  ", 2, wording::PREDICTION, look.width);
    } else if !planned.exchanges.is_empty() {
        style::wrapped(&mut out, "  ", 2, wording::PREDICTION_OF_SHELF, look.width);
    }
    out
}

/// The cautions of the books of every plan, each once; nothing if nothing is to be done.
#[must_use]
pub fn cautions(all: &[Planned<'_>], look: Look) -> String {
    let mut said: Vec<&str> = Vec::new();
    for Planned { planned, .. } in all.iter().filter(|one| one.planned.asks_for_work()) {
        let new = planned.book.cautions.iter().map(|caution| &**caution);
        said.extend(new.filter(|caution| !said.contains(caution)).collect::<Vec<_>>());
    }
    let mut out = String::new();
    for caution in said {
        entry(&mut out, look, Ink::Mind, "caution", caution);
    }
    out
}

/// A loose part that nothing is planned for, ended by a line end.
#[must_use]
pub fn scrapped(name: &str, tag: &str) -> String {
    format!("{}\n", clean(&wording::scrapped(name, tag)))
}

fn one_fault(out: &mut String, look: Look, fault: &Fault, would_do: &[&Exchange]) {
    let ink = if fault.advisory { Ink::Mind } else { Ink::Fail };
    entry(out, look, ink, fault.grade.word(), &wording::fault(fault));
    let mut say = |text: &str| style::wrapped(out, &" ".repeat(INDENT), INDENT, text, look.width);
    if let Some(least) = wording::least(&fault.least) {
        say(&least);
    }
    for refused in &fault.refused {
        say(&wording::refused(refused));
    }
    match wording::after(fault) {
        Some(after) => say(&format!("after the plan: {after}")),
        None => say(&wording::not_helped(fault)),
    }
    if let Some(take) = wording::take(would_do) {
        say(&take);
    }
}

fn one_step(out: &mut String, look: Look, book: &Book, number: usize, step: &Step, is_first: bool) {
    entry(out, look, Ink::Aside, &number.to_string(), &wording::step(step));
    let texts = &step.operation.texts;
    let said = [("because: ", &texts.because), ("remedy: ", &texts.remedy), ("caution: ", &texts.caution)];
    for (word, text) in
        said.into_iter().filter(|_| is_first).filter_map(|(word, text)| text.as_ref().map(|text| (word, text)))
    {
        style::wrapped(out, &" ".repeat(INDENT), INDENT, &format!("{word}{text}"), look.width);
    }
    if !step.measure_again.is_empty() {
        style::wrapped(out, &" ".repeat(INDENT), INDENT, &wording::measure(&step.measure_again), look.width);
    }
    if let Some(provenance) = texts.provenance.as_ref().filter(|_| is_first) {
        let source = format!("source: {}", source_words(book, provenance));
        style::wrapped(out, &" ".repeat(INDENT), INDENT, &source, look.width);
    }
}

/// A word, and what belongs to it.
fn entry(out: &mut String, look: Look, ink: Ink, word: &str, text: &str) {
    let blanks = INDENT.saturating_sub(word.len() + 2).max(1);
    let head = format!("  {}{}", look.paint(ink, word), " ".repeat(blanks));
    style::wrapped(out, &head, INDENT, text, look.width);
}

/// The parts to order as comma-separated text. The tag is that of a loose part.
#[must_use]
pub fn table(all: &[Planned<'_>]) -> String {
    let mut out = String::from(cells::MARK);
    out.push_str(&cells::line(&["build", "tag", "record", "part", "generation", "size", "mark", "count", "places"]));
    for Planned { name, planned } in all {
        let tag = planned.part.as_ref().map_or("", |part| &part.tag);
        for order in orders(&planned.book, &planned.found) {
            let build = order.build.filter(|_| planned.part.is_none()).unwrap_or_default();
            let (size, mark) = (order.size.unwrap_or_default(), order.mark.unwrap_or_default());
            let (count, places) = (order.count.to_string(), order.places.join(" "));
            let line = [&*build, tag, name, &order.part, &order.generation, &size, &mark, &count, &places];
            out.push_str(&cells::line(&line));
        }
    }
    out
}

/// Builds and loose parts as one JSON document, ended by a line end. `scrapped` are files and tags.
#[must_use]
pub fn document(all: &[Planned<'_>], scrapped: &[(&str, &str)], status: u8) -> String {
    let records: Vec<Value> = all.iter().map(|planned| record(*planned)).collect();
    let scrapped: Vec<Value> = scrapped.iter().map(|(name, tag)| json!({ "name": name, "tag": tag })).collect();
    json::document(&json!({
        "format": "trochoid rework",
        "version": env!("CARGO_PKG_VERSION"),
        "records": records,
        "scrapped": scrapped,
        "status": status,
    }))
}

pub(super) fn record(Planned { name, planned }: Planned<'_>) -> Value {
    let (book, found) = (&*planned.book, &planned.found);
    let part = planned.part.as_ref().map(|part| {
        json!({
            "tag": part.tag,
            "part": part.part,
            "planned_as": part.planned_as,
            "waiting": part.waiting,
            "waits": part.waits,
            "conditional": part.conditional,
        })
    });
    let faults: Vec<Value> = found.faults.iter().map(fault).collect();
    let steps: Vec<Value> = found.steps.iter().map(|one| step(book, one)).collect();
    let orders: Vec<Value> = orders(book, found).iter().map(order).collect();
    json!({
        "name": name,
        "build": found.build.as_deref().filter(|_| part.is_none()),
        "part": part,
        "generation": &*book.generations.get(found.generation).name,
        "grade": found.grade.word(),
        "faults": faults,
        "unmeasured": found.unmeasured,
        "steps": steps,
        "would_be": found.would_be.word(),
        "open": found.open,
        "fewest": found.is_fewest,
        "least": found.is_least,
        "tried": found.tried,
        "exchanges": planned.exchanges.iter().map(exchange).collect::<Vec<_>>(),
        "orders": orders,
    })
}

fn exchange(one: &Exchange) -> Value {
    let mends: Vec<Value> = one
        .mends
        .iter()
        .map(|it| json!({ "path": it.path, "value": it.value, "would_be": it.would_be.map(Grade::word) }))
        .collect();
    let worse: Vec<Value> =
        one.worse.iter().map(|(path, grade)| json!({ "path": path, "would_be": grade.word() })).collect();
    json!({
        "tag": one.tag,
        "place": one.path,
        "mends": mends,
        "instead_of": one.instead_of,
        "worse": worse,
        "open": one.open,
        "waiting": one.waiting,
    })
}

fn fault(fault: &Fault) -> Value {
    let least: Vec<Value> = fault
        .least
        .iter()
        .map(|one| json!({ "path": one.path, "more": one.more, "to_limit": one.to_limit, "to_good": one.to_good }))
        .collect();
    let refused: Vec<Value> = fault
        .refused
        .iter()
        .map(|one| {
            let (value, would_be) = (&one.value, one.would_be.word());
            json!({ "operation": &*one.operation, "path": one.path, "row": one.row, "value": value, "would_be": would_be })
        })
        .collect();
    json!({
        "path": fault.path,
        "grade": fault.grade.word(),
        "advisory": fault.advisory,
        "value": fault.value,
        "row": json::place(&fault.row.place),
        "least": least,
        "needs": fault.needs.iter().map(|(name, path)| json!({ "operation": &**name, "path": path })).collect::<Vec<_>>(),
        "refused": refused,
        "would_be": fault.would_be.map(Grade::word),
        "open": fault.open,
        "changes": fault.changes,
    })
}

fn step(book: &Book, step: &Step) -> Value {
    let (action, more, by, would_be, size, mark) = match &step.action {
        Action::Change { more, by, to } => {
            let to: Vec<Value> = to.iter().map(|value| json!({ "path": step.path, "value": value })).collect();
            ("change", Some(*more), Some(by), to, None, None)
        }
        Action::Size { size, mark, follows } => {
            let own = (step.path.clone(), size.clone());
            let all = [own].into_iter().chain(follows.iter().cloned());
            let all = all.map(|(path, value)| json!({ "path": path, "value": value })).collect();
            ("size", None, None, all, Some(size), mark.as_ref())
        }
        Action::New => ("new", None, None, Vec::new(), None, None),
    };
    let texts = &step.operation.texts;
    json!({
        "operation": &*step.operation.name,
        "path": step.path,
        "action": action,
        "more": more,
        "by": by,
        "would_be": would_be,
        "size": size,
        "mark": mark,
        "measure": step.measure_again,
        "rows": step.rows,
        "because": texts.because.as_deref(),
        "caution": texts.caution.as_deref(),
        "source": texts.provenance.as_ref().map(|from| source_words(book, from)),
        "place": json::place(&step.operation.place),
    })
}

fn order(order: &Order) -> Value {
    json!({
        "part": order.part,
        "generation": order.generation,
        "size": order.size,
        "mark": order.mark,
        "count": order.count,
        "places": order.places,
    })
}
