//! Writes the names of a book: a line for each, its words wrapped beside it, or one JSON document. Refuses to collect them.
//!
//! As JSON it is one document: `format` (`trochoid list`), `version`, and `generations`, `parts`, `readings`, `rows`, `units`,
//! `gauges` and `books`, each null where it was not asked for.

use super::json as document;
use super::style::{self, Ink, Look, width};
use crate::catalogue::{Catalogue, Generation, ListedGauge, Part, Reading, Row, Title, Unit};
use serde_json::{Value, json};

/// Columns the names take at most; what is said of a longer one begins on the line below.
const MOST_NAME: usize = 44;

/// As text, ended by a line end; the text of a book that was asked for by its name stands alone.
#[must_use]
pub fn text(catalogue: &Catalogue, look: Look) -> String {
    if let Some([Title { text: Some(text), .. }]) = catalogue.books.as_deref() {
        return text.clone();
    }
    let sections = [
        ("generations", catalogue.generations.as_ref().map(|all| all.iter().map(generation).collect::<Vec<_>>())),
        ("parts", catalogue.parts.as_ref().map(|all| all.iter().map(part).collect())),
        ("readings", catalogue.readings.as_ref().map(|all| all.iter().map(reading).collect())),
        ("rows", catalogue.rows.as_ref().map(|all| all.iter().map(row).collect())),
        ("units", catalogue.units.as_ref().map(|all| all.iter().map(unit).collect())),
        ("gauges", catalogue.gauges.as_ref().map(|all| all.iter().map(gauge).collect())),
        ("books", catalogue.books.as_ref().map(|all| all.iter().map(book).collect())),
    ];
    let asked = sections.iter().filter(|(_, lines)| lines.is_some()).count();
    let mut out = String::new();
    for (name, lines) in sections {
        let Some(lines) = lines else { continue };
        if asked > 1 {
            if !out.is_empty() {
                out.push('\n');
            }
            out.push_str(&format!("{}\n", look.paint(Ink::Faint, name)));
        }
        columns(&mut out, &lines, if asked > 1 { 2 } else { 0 }, look);
    }
    out
}

/// Names in one column, what is said of them in the other.
fn columns(out: &mut String, lines: &[(String, String)], indent: usize, look: Look) {
    let most = MOST_NAME.min(look.width / 2);
    let beside = lines.iter().map(|(name, _)| width(name)).filter(|wide| *wide <= most).max().unwrap_or(0);
    let column = indent + beside + 2;
    for (name, said) in lines {
        let name = style::clean(name);
        out.extend(std::iter::repeat_n(' ', indent));
        let head = look.paint(Ink::Aside, &name);
        let wide = width(&name);
        if said.is_empty() {
            out.push_str(&format!("{head}\n"));
        } else if wide <= beside {
            let head = format!("{head}{}", " ".repeat(beside + 2 - wide));
            style::wrapped(out, &head, column, said, look.width);
        } else {
            out.push_str(&format!("{head}\n"));
            style::wrapped(out, &" ".repeat(column), column, said, look.width);
        }
    }
}

fn generation(one: &Generation) -> (String, String) {
    let follows = one.follows.as_ref().map(|name| format!("; follows {name}")).unwrap_or_default();
    let basis = if one.basis { "basis: " } else { "" };
    (one.name.clone(), format!("{basis}{}; {} rows{follows}", one.description, one.rows))
}

fn part(one: &Part) -> (String, String) {
    let positions = (!one.positions.is_empty()).then(|| format!("at {}", one.positions.join(", ")));
    let said: Vec<String> = positions.into_iter().chain(one.measure.clone()).collect();
    (one.path.clone(), said.join(". "))
}

fn reading(one: &Reading) -> (String, String) {
    if let Some(formula) = &one.formula {
        return (one.path.clone(), format!("{}; calculated: {formula}", one.kind));
    }
    let mut said = one.kind.clone();
    if !one.stations.is_empty() {
        said.push_str(&format!(", at {}", one.stations.join(", ")));
    }
    match (one.least, one.most) {
        (1, Some(1)) => {}
        (least, Some(most)) if least == most => said.push_str(&format!(", exactly {least} readings")),
        (least, _) => said.push_str(&format!(", {least} readings or more")),
    }
    if one.optional {
        said.push_str(", optional");
    }
    if let Some(measure) = &one.measure {
        said.push_str(&format!(". {measure}"));
    }
    (one.path.clone(), said)
}

fn row(one: &Row) -> (String, String) {
    let tier = |word: &str, range: &Option<String>| range.as_ref().map(|range| format!("{word} {range}"));
    let ranges = [tier("standard", &one.standard), tier("limit", &one.limit)];
    let mut said = ranges.into_iter().flatten().collect::<Vec<_>>().join(", ");
    if let Some(condition) = &one.condition {
        said.push_str(&format!(" where {condition}"));
    }
    if one.advisory {
        said.push_str(", advisory");
    }
    if let Some(source) = &one.source {
        said.push_str(&format!(". Source: {source}"));
    }
    (one.path.clone(), said)
}

fn unit(one: &Unit) -> (String, String) {
    let also = if one.also.is_empty() { String::new() } else { format!("; also {}", one.also.join(", ")) };
    (one.symbol.clone(), format!("{}{also}", one.size))
}

fn book(one: &Title) -> (String, String) {
    let edition = one.edition.map(|day| format!(", edition {day}")).unwrap_or_default();
    (one.file.clone(), format!("{}{edition}", one.title))
}

fn gauge(one: &ListedGauge) -> (String, String) {
    let said = [
        one.uncertainty.as_ref().map(|it| format!("uncertainty {it}")),
        one.resolution.as_ref().map(|it| format!("resolution {it}")),
        one.error.as_ref().map(|it| format!("error {it}")),
        (!one.correlated.is_empty()).then(|| format!("correlated with {}", one.correlated.join(", "))),
        one.calibrated.map(|day| format!("calibrated {day}")),
        one.due.map(|day| format!("due {day}")),
    ];
    let mut said = vec![said.into_iter().flatten().collect::<Vec<_>>().join(", ")];
    said.extend(one.drifts.iter().cloned());
    (one.name.clone(), said.join(". "))
}

/// As one JSON document, ended by a line end.
#[must_use]
pub fn json(catalogue: &Catalogue) -> String {
    fn all<T>(of: &Option<Vec<T>>, one: impl Fn(&T) -> Value) -> Value {
        of.as_ref().map_or(Value::Null, |all| all.iter().map(one).collect())
    }
    document::document(&json!({
        "format": "trochoid list",
        "version": 1,
        "generations": all(&catalogue.generations, |one| json!({
            "name": one.name, "description": one.description, "basis": one.basis, "follows": one.follows, "rows": one.rows,
        })),
        "parts": all(&catalogue.parts, |one| json!({
            "path": one.path, "positions": one.positions, "measure": one.measure,
        })),
        "readings": all(&catalogue.readings, |one| json!({
            "path": one.path, "kind": one.kind, "stations": one.stations, "least": one.least, "most": one.most,
            "optional": one.optional, "formula": one.formula, "measure": one.measure,
        })),
        "rows": all(&catalogue.rows, |one| json!({
            "path": one.path, "standard": one.standard, "limit": one.limit, "condition": one.condition,
            "advisory": one.advisory, "source": one.source,
        })),
        "units": all(&catalogue.units, |one| json!({ "symbol": one.symbol, "also": one.also, "size": one.size })),
        "gauges": all(&catalogue.gauges, |one| json!({
            "name": one.name, "uncertainty": one.uncertainty, "resolution": one.resolution, "error": one.error,
            "calibrated": one.calibrated.map(|day| day.to_string()), "due": one.due.map(|day| day.to_string()),
            "correlated": one.correlated, "drifts": one.drifts,
        })),
        "books": all(&catalogue.books, |one| json!({
            "file": one.file, "title": one.title, "edition": one.edition.map(|day| day.to_string()), "text": one.text,
        })),
    }))
}
