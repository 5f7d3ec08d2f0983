//! A characteristic over many builds as one JSON document. Refuses to round what is exact within twelve places.
//!
//! The document is an object; every member is always there, and what is not known is `null`. `format` is `"trochoid
//! trend"`, `version` 1. Numbers of the characteristic are texts, decimals of at most twelve places in `unit`; `t`,
//! `degrees_of_freedom` and `p` are plain numbers.
//!
//! Members: `characteristic`, `unit`, `by`, `generations` (each with `name` and `builds`), `charts`, `left_out` (`unreadable`,
//! `unsound`, `errors`, `elsewhere`, `other_generation`, `open_generation`, `no_day`: names; `unmeasured`: each with `build` and `path`) and
//! `status`. A **chart** has `path`, `pooled`, `centre`, `low`, `high`, `deviation`, `mean_range`, `range_high`, `points`
//! (each with `build`, `file`, `finished`, `generation`, `path`, `value`, `group`, `range`: how far from the one before,
//! `tests`: numbers of the run tests that speak of it, `jump`), `runs` (each with `test`, `finds` in words, `first` and
//! `last`: indexes of points from 0, `side`: `above`, `below` or null) and `groups` (null, or `groups` with `name`, `count`,
//! `mean`, `deviation`, `generation`; `pairs` of one `generation` with the names `first` and `second`, `difference` of the second from the first, `error`, `t`,
//! `degrees_of_freedom`, `p`, all null where they cannot be compared; `ungrouped`).

use super::Sheet;
use crate::quantity::Unit;
use crate::report::json::written;
use crate::trend::{Chart, Groups, LeftOut};
use serde_json::{Value as Json, json};
use std::cmp::Ordering;

/// The document, ended by a line end.
#[must_use]
pub fn write(sheet: &Sheet<'_>) -> String {
    let generations = sheet.generations.iter().map(|(name, builds)| json!({ "name": name, "builds": builds }));
    let document = json!({
        "format": "trochoid trend",
        "version": 1,
        "characteristic": sheet.path,
        "unit": &*sheet.unit.symbol,
        "by": sheet.by,
        "generations": generations.collect::<Vec<Json>>(),
        "charts": sheet.charts.iter().map(|chart| draw(chart, sheet.unit)).collect::<Vec<Json>>(),
        "left_out": left_out(sheet.left_out),
        "status": sheet.status,
    });
    format!("{}\n", written(&document))
}

fn draw(chart: &Chart, unit: &Unit) -> Json {
    let limits = chart.limits.as_ref();
    let difference = unit.difference();
    let tests = chart.tests();
    let points = chart.points.iter().zip(&tests).enumerate().map(|(at, (point, tests))| {
        let range = at.checked_sub(1).and_then(|before| limits?.ranges.get(before));
        json!({
            "build": point.build,
            "file": point.file,
            "finished": point.finished.to_string(),
            "generation": point.generation,
            "path": point.path,
            "value": unit.decimal(&point.value),
            "group": point.group.as_ref().map(|(_, name)| name),
            "range": range.map(|range| difference.decimal(range)),
            "tests": tests.iter().map(|test| test.number()).collect::<Vec<u8>>(),
            "jump": chart.jumps.binary_search(&at).is_ok(),
        })
    });
    let runs = chart.runs.iter().map(|run| {
        let side = match run.side {
            Ordering::Less => Some("below"),
            Ordering::Greater => Some("above"),
            Ordering::Equal => None,
        };
        json!({
            "test": run.test.number(), "finds": run.test.words(), "first": run.first, "last": run.last, "side": side,
        })
    });
    json!({
        "path": chart.path,
        "pooled": chart.pooled,
        "centre": limits.map(|limits| unit.decimal(&limits.centre)),
        "low": limits.map(|limits| unit.decimal(&limits.low)),
        "high": limits.map(|limits| unit.decimal(&limits.high)),
        "deviation": limits.map(|limits| difference.decimal(&limits.deviation)),
        "mean_range": limits.map(|limits| difference.decimal(&limits.mean_range)),
        "range_high": limits.map(|limits| difference.decimal(&limits.range_high)),
        "points": points.collect::<Vec<Json>>(),
        "runs": runs.collect::<Vec<Json>>(),
        "groups": chart.groups.as_deref().map(|groups| grouped(groups, unit)),
    })
}

fn grouped(all: &[Groups], unit: &Unit) -> Json {
    let difference = unit.difference();
    let (mut each, mut pairs) = (Vec::new(), Vec::new());
    for groups in all {
        each.extend(groups.groups.iter().map(|group| {
            json!({
                "generation": groups.generation,
                "name": group.name,
                "count": group.count,
                "mean": unit.decimal(&group.mean),
                "deviation": group.deviation.as_ref().map(|deviation| difference.decimal(deviation)),
            })
        }));
        let name = |number: usize| groups.groups.get(number).map(|group| &group.name);
        pairs.extend(groups.pairs.iter().map(|pair| {
            let found = pair.difference.as_ref();
            json!({
                "generation": groups.generation,
                "first": name(pair.first),
                "second": name(pair.second),
                "difference": found.map(|found| difference.decimal(&found.difference)),
                "error": found.map(|found| difference.decimal(&found.error)),
                "t": found.map(|found| found.t.midpoint().to_f64()),
                "degrees_of_freedom": found.map(|found| found.freedom.to_f64()),
                "p": found.map(|found| found.p),
            })
        }));
    }
    let ungrouped: usize = all.iter().map(|groups| groups.ungrouped).sum();
    json!({ "groups": each, "pairs": pairs, "ungrouped": ungrouped })
}

fn left_out(left: &LeftOut) -> Json {
    let unmeasured = left.unmeasured.iter().map(|(build, path)| json!({ "build": build, "path": path }));
    json!({
        "unreadable": left.unreadable,
        "unsound": left.unsound,
        "errors": left.errors,
        "elsewhere": left.elsewhere,
        "other_generation": left.other_generation,
        "open_generation": left.open_generation,
        "no_day": left.no_day,
        "unmeasured": unmeasured.collect::<Vec<Json>>(),
    })
}
