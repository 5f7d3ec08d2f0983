//! Draws the arithmetic of verdicts as text for paper and as JSON. Refuses to work anything out.

use super::json as document;
use super::style::clean;
use crate::explain::{Block, Explanation, MonteCarlo};
use crate::text::Place;
use serde_json::{Value, json};

/// As text: a block for each thing worked out, its place behind it.
#[must_use]
pub fn text(explanation: &Explanation) -> String {
    let mut out = String::new();
    let build = explanation.build.as_deref().unwrap_or("(no name)");
    let (generation, description) = &explanation.generation;
    line(&mut out, 0, &format!("{build}, generation {generation}: {description}"), None);
    for verdict in &explanation.verdicts {
        out.push('\n');
        let reading = verdict.reading.map(|at| format!(" (reading {})", at + 1)).unwrap_or_default();
        let taken_as = verdict.taken_as.as_ref().map(|words| format!(", as {words}")).unwrap_or_default();
        line(&mut out, 0, &format!("{}{reading}{taken_as}", verdict.path), None);
        for Block { title, place, lines } in &verdict.blocks {
            line(&mut out, 2, title, place.as_ref());
            for inner in lines {
                line(&mut out, 6 + 2 * usize::from(inner.depth.min(20)), &inner.text, inner.place.as_ref());
            }
        }
    }
    out
}

fn line(out: &mut String, indent: usize, text: &str, place: Option<&Place>) {
    out.extend(std::iter::repeat_n(' ', indent));
    out.push_str(&clean(text));
    if let Some(place) = place {
        out.push_str(&format!("   [{}]", at(place)));
    }
    out.push('\n');
}

fn at(place: &Place) -> String {
    clean(&format!("{}:{}", place.source.name(), place.line_column().line)).into_owned()
}

/// As one JSON document, ended by a line end.
#[must_use]
pub fn json(explanation: &Explanation) -> String {
    let place = |place: &Option<Place>| place.as_ref().map(document::place);
    let verdicts: Vec<Value> = explanation
        .verdicts
        .iter()
        .map(|verdict| {
            let blocks: Vec<Value> = verdict
                .blocks
                .iter()
                .map(|block| {
                    let lines: Vec<Value> = block
                        .lines
                        .iter()
                        .map(|line| json!({ "text": line.text, "depth": line.depth, "place": place(&line.place) }))
                        .collect();
                    json!({ "title": block.title, "place": place(&block.place), "lines": lines })
                })
                .collect();
            json!({
                "path": verdict.path,
                "as": verdict.taken_as,
                "reading": verdict.reading.map(|at| at + 1),
                "grade": verdict.grade.map(crate::judge::Grade::word),
                "monte_carlo": verdict.monte_carlo.as_ref().map(monte_carlo),
                "blocks": blocks,
            })
        })
        .collect();
    document::document(&json!({
        "format": "trochoid explain",
        "version": 1,
        "record": explanation.record,
        "build": explanation.build.as_ref().filter(|_| explanation.part.is_none()),
        "part": explanation.part.as_ref().map(|part| json!({ "part": part, "tag": explanation.build })),
        "generation": explanation.generation.0,
        "verdicts": verdicts,
    }))
}

/// What draws say of an uncertainty.
fn monte_carlo(found: &MonteCarlo) -> Value {
    let ends = |(low, high): &(String, String)| json!({ "low": low, "high": high });
    json!({
        "coverage": MonteCarlo::COVERAGE,
        "straight_line": found.straight_line.as_ref().map(ends),
        "interval": found.interval.as_ref().map(ends),
        "apart": found.apart.as_ref().map(|(low, high, allowed)| json!({ "low": low, "high": high, "allowed": allowed })),
        "mean": found.mean,
        "standard_uncertainty": found.standard,
        "draws": MonteCarlo::DRAWS,
        "without_answer": found.without_answer,
        "seed": MonteCarlo::SEED,
    })
}
