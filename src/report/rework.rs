//! Puts on paper what would put a record right: the least changes, the plan, what is measured again, what is ordered. Refuses
//! to plan.
//!
//! As JSON it is one document: `format` (`trochoid rework`), `version`, `records` and `status`, the exit status. A **record**
//! has `name`, `build` (or null), `generation`, `grade` as it is, `faults` (each with `path`, `grade`, `advisory`, `value` or
//! null, `row`: its place, `least`: each with `path`, `more`, `to_limit` and `to_good` or null, `refused`: each with
//! `operation`, `path` and `row`, `would_be` or null, and `open`: whether it waits for a measurement), `unmeasured`, `steps`
//! (each with `operation`, `path`, `action`: `change`, `size` or `new`, `more`, `by`, `would_be`, `size` and `mark` or null,
//! `measure`, `rows`, `because`, `caution` and `source` or null, and `place`), `would_be`, `open`, `fewest`, `tried` and `orders` (each
//! with `part`, `generation`, `size`, `mark`, `count` and `places`).

use super::ink::{self, Ink, Look, clean};
use super::{cells, json, wording_rework as wording};
use crate::book::Book;
use crate::judge::source_words;
use crate::rework::{Action, Fault, Order, Reworked, Step, orders};
use serde_json::{Value, json};

/// How far what belongs to a line stands in.
const INDENT: usize = 12;

/// One record to be put on paper.
#[derive(Clone, Copy, Debug)]
pub struct Planned<'a> {
    /// The record's file.
    pub name: &'a str,
    /// The books it was judged by.
    pub book: &'a Book,
    /// What would put it right.
    pub found: &'a Reworked,
}

/// A record as text, ended by a line end.
#[must_use]
pub fn text(planned: Planned<'_>, look: Look) -> String {
    let Planned { name, book, found } = planned;
    let mut out = format!("{}\n", clean(&wording::head(name, found)));
    for fault in &found.faults {
        one_fault(&mut out, look, fault);
    }
    if !found.steps.is_empty() {
        out.push_str("plan\n");
    }
    for (number, step) in (1..).zip(&found.steps) {
        one_step(&mut out, look, book, number, step);
    }
    if !found.faults.is_empty() {
        let ink = if found.puts_right() { Ink::Good } else { Ink::Fail };
        entry(&mut out, look, ink, "after", &wording::would_be(found));
    }
    for order in orders(book, found) {
        entry(&mut out, look, Ink::Mind, "order", &wording::order(&order));
    }
    if found.unmeasured > 0 {
        entry(&mut out, look, Ink::Aside, "unmeasured", &wording::unmeasured(found.unmeasured));
    }
    if !found.steps.is_empty() {
        ink::wrapped(&mut out, "  ", 2, wording::PREDICTION, look.width);
        for caution in &book.cautions {
            entry(&mut out, look, Ink::Mind, "caution", caution);
        }
    }
    out
}

fn one_fault(out: &mut String, look: Look, fault: &Fault) {
    let ink = if fault.advisory { Ink::Mind } else { Ink::Fail };
    entry(out, look, ink, fault.grade.word(), &wording::fault(fault));
    let mut say = |text: &str| ink::wrapped(out, &" ".repeat(INDENT), INDENT, text, look.width);
    if let Some(least) = wording::least(&fault.least) {
        say(&least);
    }
    for refused in &fault.refused {
        say(&wording::refused(refused));
    }
    match wording::after(fault) {
        Some(after) => say(&format!("after the plan: {after}")),
        None => {
            say(wording::NO_OPERATION);
            if let Some(remedy) = &fault.row.texts.remedy {
                say(&format!("remedy: {remedy}"));
            }
        }
    }
}

fn one_step(out: &mut String, look: Look, book: &Book, number: usize, step: &Step) {
    entry(out, look, Ink::Aside, &number.to_string(), &wording::step(step));
    let texts = &step.operation.texts;
    let said = [("because: ", &texts.because), ("remedy: ", &texts.remedy), ("caution: ", &texts.caution)];
    for (word, text) in said.into_iter().filter_map(|(word, text)| text.as_ref().map(|text| (word, text))) {
        ink::wrapped(out, &format!("{}{word}", " ".repeat(INDENT)), INDENT, text, look.width);
    }
    if !step.measure_again.is_empty() {
        ink::wrapped(out, &" ".repeat(INDENT), INDENT, &wording::measure(&step.measure_again), look.width);
    }
    if let Some(provenance) = &texts.provenance {
        let source = format!("source: {}", source_words(book, provenance));
        ink::wrapped(out, &" ".repeat(INDENT), INDENT, &source, look.width);
    }
}

/// A word, and what belongs to it.
fn entry(out: &mut String, look: Look, ink: Ink, word: &str, text: &str) {
    let blanks = INDENT.saturating_sub(word.len() + 2).max(1);
    let head = format!("  {}{}", look.paint(ink, word), " ".repeat(blanks));
    ink::wrapped(out, &head, INDENT, text, look.width);
}

/// The parts to order as comma-separated text.
#[must_use]
pub fn table(planned: &[Planned<'_>]) -> String {
    let mut out = String::from(cells::MARK);
    out.push_str(&cells::line(&["build", "record", "part", "generation", "size", "mark", "count", "places"]));
    for Planned { name, book, found } in planned {
        for order in orders(book, found) {
            let build = order.build.unwrap_or_default();
            let (size, mark) = (order.size.unwrap_or_default(), order.mark.unwrap_or_default());
            let (count, places) = (order.count.to_string(), order.places.join(" "));
            out.push_str(&cells::line(&[&build, *name, &order.part, &order.generation, &size, &mark, &count, &places]));
        }
    }
    out
}

/// Records as one JSON document, ended by a line end.
#[must_use]
pub fn document(planned: &[Planned<'_>], status: u8) -> String {
    let records: Vec<Value> = planned.iter().map(|planned| record(*planned)).collect();
    json::document(&json!({
        "format": "trochoid rework",
        "version": env!("CARGO_PKG_VERSION"),
        "records": records,
        "status": status,
    }))
}

fn record(planned: Planned<'_>) -> Value {
    let Planned { name, book, found } = planned;
    let faults: Vec<Value> = found.faults.iter().map(fault).collect();
    let steps: Vec<Value> = found.steps.iter().map(|one| step(book, one)).collect();
    let orders: Vec<Value> = orders(book, found).iter().map(order).collect();
    json!({
        "name": name,
        "build": found.build,
        "generation": &*book.generations.get(found.generation).name,
        "grade": found.grade.word(),
        "faults": faults,
        "unmeasured": found.unmeasured,
        "steps": steps,
        "would_be": found.would_be.word(),
        "open": found.open,
        "fewest": found.is_fewest,
        "tried": found.tried,
        "orders": orders,
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
        .map(|one| json!({ "operation": &*one.operation, "path": one.path, "row": one.row }))
        .collect();
    json!({
        "path": fault.path,
        "grade": fault.grade.word(),
        "advisory": fault.advisory,
        "value": fault.value,
        "row": json::place(&fault.row.place),
        "least": least,
        "refused": refused,
        "would_be": fault.would_be.map(crate::judge::Grade::word),
        "open": fault.open,
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
