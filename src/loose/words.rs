//! The sentences of the module `loose`.

use super::{Conditional, Waiting};
use crate::book::{Book, Id, Part};
use crate::finding::{Finding, Severity, list};
use crate::judge::Reporter;
use crate::plan::Plan;

/// What some rows wait for: how many, and in words which row for which parts, such as "side clearance for a housing".
#[must_use]
pub fn waiting(book: &Book, plan: &Plan, part: Id<Part>, waiting: &[Waiting]) -> Vec<String> {
    let mut lines: Vec<(String, Vec<String>)> = Vec::new();
    for one in waiting {
        let Some(check) = plan.checks.get(one.check) else { continue };
        let name = book.characteristics.get(check.row.subject.characteristic).name.replace('_', " ");
        let mut parts: Vec<String> = Vec::new();
        if one.another {
            parts.push(format!("another {}", book.parts.get(part).name.replace('_', " ")));
        }
        parts.extend(one.parts.iter().map(|part| with_article(book, *part)));
        let parts = list(parts.iter().map(String::as_str), "and");
        match lines.iter_mut().find(|(known, _)| *known == parts) {
            Some((_, names)) if names.contains(&name) => {}
            Some((_, names)) => names.push(name),
            None => lines.push((parts, vec![name])),
        }
    }
    lines
        .into_iter()
        .map(|(parts, names)| format!("{} for {parts}", list(names.iter().map(String::as_str), "and")))
        .collect()
}

/// "a housing", "an iron"; "the eccentric" where a machine has one.
fn with_article(book: &Book, part: Id<Part>) -> String {
    let name = book.parts.get(part).name.replace('_', " ");
    if book.parts.get(part).instances <= 1 {
        return format!("the {name}");
    }
    let article = if name.starts_with(['a', 'e', 'i', 'o', 'u']) { "an" } else { "a" };
    format!("{article} {name}")
}

/// A row that is not good if it applies, as a finding that fails nothing: nobody knows yet whether it does.
#[must_use]
pub fn conditional(reporter: &Reporter<'_>, one: &Conditional) -> Option<Finding> {
    let mut finding = reporter.finding(&one.ruling)?;
    finding.message = format!("if {}: {}", one.condition, finding.message);
    finding.severity = finding.severity.min(Severity::Warning);
    Some(finding)
}
