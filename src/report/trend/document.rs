//! A characteristic over many builds as one JSON document. Refuses to round what is exact within twelve places.
//!
//! The document is an object; every member is always there, and what is not known is `null`. `format` is `"trochoid
//! trend"`, `version` 1. Numbers of the characteristic are texts, decimals of at most twelve places in `unit`; `t`,
//! `degrees_of_freedom` and `p` are plain numbers.
//!
//! Members: `characteristic`, `unit`, `by`, `generations` (each with `name` and `builds`), `charts`, `study`, `left_out` (`unreadable`,
//! `unsound`, `errors`, `elsewhere`, `other_generation`, `open_generation`, `no_day`: names; `unmeasured`: each with `build` and `path`) and
//! `status`. A **chart** has `path`, `pooled`, `centre`, `low`, `high`, `deviation`, `mean_range`, `range_high`, `points`
//! (each with `build`, `file`, `finished`, `generation`, `path`, `value`, `group`, `range`: how far from the one before,
//! `tests`: numbers of the run tests that speak of it, `jump`), `runs` (each with `test`, `finds` in words, `first` and
//! `last`: indexes of points from 0, `side`: `above`, `below` or null) and `groups` (null, or `groups` with `name`, `count`,
//! `mean`, `deviation`, `generation`; `pairs` of one `generation` with the names `first` and `second`, `difference` of the second from the first, `error`, `t`,
//! `degrees_of_freedom`, `p`, all null where they cannot be compared; `ungrouped`); `autocorrelation`, a plain number; and
//! `risk` (null unless asked for: for each row `generation`, `range`, `values`, `without_uncertainty`, `mean`, and `deviation` of the parts,
//! `standard_uncertainty`, `guard` with their unit; `out`, `consumer`, `producer`: plain numbers; `least_certain`: `build`, `out`) and
//! `subgroups` (null unless asked for: `size`, the constants `A2`, `D3`, `D4`, `d2`, `centre`, `low`, `high`, `mean_range`,
//! `range_low`, `range_high`, `deviation`, all null without a chart; `groups`, `left_out`). A **study** has `unfit`, why the
//! values are none, and else `people`, `parts`, `repeats`, `mean`, the four rows of the analysis of variance, `interaction_f`
//! and `interaction_p`, `pooled`, `deviations` and `categories`.

use super::{Sheet, wording_risk, wording_study};
use crate::quantity::{Number, Unit, Value, function};
use crate::report::json::written;
use crate::statistics::study::Source;
use crate::trend::{Chart, Groups, LeftOut, Risk, Subgrouped, risks};
use serde_json::{Value as Json, json};
use std::cmp::Ordering;

/// The document, ended by a line end.
#[must_use]
pub fn write(sheet: &Sheet<'_>) -> String {
    let generations = sheet.generations.iter().map(|(name, builds)| json!({ "name": name, "builds": builds }));
    let charts = sheet.charts.iter().enumerate().map(|(at, chart)| {
        let mut drawn = draw(chart, sheet.unit);
        let grouped = sheet.subgroups.and_then(|all| all.get(at));
        if let Some(object) = drawn.as_object_mut() {
            let risk = sheet.risk.then(|| risks(chart).iter().map(|one| risk_of(one, sheet.unit)).collect());
            object.insert("risk".into(), risk.map_or(Json::Null, Json::Array));
            object.insert("subgroups".into(), grouped.map_or(Json::Null, |grouped| subgroups(grouped, sheet.unit)));
        }
        drawn
    });
    let document = json!({
        "format": "trochoid trend",
        "version": 1,
        "characteristic": sheet.path,
        "unit": &*sheet.unit.symbol,
        "by": sheet.by,
        "generations": generations.collect::<Vec<Json>>(),
        "charts": charts.collect::<Vec<Json>>(),
        "study": study(sheet),
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
        "autocorrelation": chart.autocorrelation.as_ref().map(|lag| lag.midpoint().to_f64()),
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

/// The groups of a chart: constants as they are printed, means and ranges with their limits.
fn subgroups(grouped: &Subgrouped, unit: &Unit) -> Json {
    let difference = unit.difference();
    let chart = grouped.chart.as_ref();
    let thousandths = |number: i64| Number::ratio(number, 1_000).unwrap_or_default().to_f64();
    let groups = grouped.groups.iter().enumerate().map(|(at, group)| {
        let side = |side: Option<Ordering>| match side {
            Some(Ordering::Less) => Some("below"),
            Some(Ordering::Greater) => Some("above"),
            _ => None,
        };
        json!({
            "build": group.build,
            "finished": group.finished.to_string(),
            "values": group.values.iter().map(|value| unit.decimal(value)).collect::<Vec<String>>(),
            "mean": chart.and_then(|chart| chart.means.get(at)).map(|mean| unit.decimal(mean)),
            "range": chart.and_then(|chart| chart.ranges.get(at)).map(|range| difference.decimal(range)),
            "mean_beyond": side(chart.map(|chart| chart.side_of_mean(at))),
            "range_beyond": side(chart.map(|chart| chart.side_of_range(at))),
        })
    });
    let left_out = grouped.left_out.iter().map(|(build, values)| json!({ "build": build, "values": values }));
    json!({
        "size": chart.map(|chart| chart.constants.size),
        "A2": chart.map(|chart| thousandths(chart.constants.a2)),
        "D3": chart.map(|chart| thousandths(chart.constants.low)),
        "D4": chart.map(|chart| thousandths(chart.constants.high)),
        "d2": chart.map(|chart| thousandths(chart.constants.d2)),
        "centre": chart.map(|chart| unit.decimal(&chart.centre)),
        "low": chart.map(|chart| unit.decimal(&chart.low)),
        "high": chart.map(|chart| unit.decimal(&chart.high)),
        "mean_range": chart.map(|chart| difference.decimal(&chart.mean_range)),
        "range_low": chart.map(|chart| difference.decimal(&chart.range_low)),
        "range_high": chart.map(|chart| difference.decimal(&chart.range_high)),
        "deviation": chart.map(|chart| difference.decimal(&chart.deviation)),
        "groups": groups.collect::<Vec<Json>>(),
        "left_out": left_out.collect::<Vec<Json>>(),
    })
}

/// The gauge study; null where none was asked for, and with `unfit` alone where the values are none.
fn study(sheet: &Sheet<'_>) -> Json {
    let found = match sheet.study {
        None => return Json::Null,
        Some(Err(unfit)) => return json!({ "unfit": wording_study::unfit(unfit) }),
        Some(Ok(found)) => found,
    };
    let (unit, difference) = (sheet.unit, sheet.unit.difference());
    let of = &found.study;
    let squared = Unit::new("", difference.dimension, difference.size.squared());
    let source = |source: &Source| json!({ "sum_of_squares": squared.decimal(&source.squares), "degrees_of_freedom": source.freedom });
    let deviation = |variance: &Value| function::sqrt(variance).map(|root| difference.decimal(&root));
    let components = &of.components;
    let people = found.people.iter().zip(&of.means);
    json!({
        "unfit": null,
        "people": people.map(|(name, mean)| json!({ "name": name, "mean": unit.decimal(mean) })).collect::<Vec<Json>>(),
        "parts": found.parts,
        "repeats": of.repeats,
        "mean": unit.decimal(&of.mean),
        "between_people": source(&of.by_person),
        "between_parts": source(&of.by_part),
        "interaction": source(&of.interaction),
        "between_repeats": source(&of.by_repeat),
        "interaction_f": of.test.as_ref().map(|(ratio, _)| ratio.midpoint().to_f64()),
        "interaction_p": of.test.as_ref().map(|(_, p)| p),
        "pooled": of.pooled,
        "deviations": {
            "repeatability": deviation(&components.repeat),
            "person": deviation(&components.person),
            "interaction": deviation(&components.interaction),
            "reproducibility": deviation(&components.reproducibility()),
            "measuring": deviation(&components.measuring()),
            "part": deviation(&components.part),
            "total": deviation(&components.total()),
        },
        "categories": components.categories(),
    })
}

/// The risks of a row; probabilities are plain numbers.
fn risk_of(risk: &Risk, unit: &Unit) -> Json {
    let figure = |value: f64| wording_risk::figure(value, unit);
    json!({
        "generation": risk.generation,
        "range": risk.written,
        "values": risk.count,
        "without_uncertainty": risk.unknown,
        "mean": unit.decimal(&risk.mean),
        "deviation": risk.deviation.map(figure),
        "standard_uncertainty": figure(risk.u),
        "guard": figure(risk.guard),
        "out": risk.global.map(|global| global.out),
        "consumer": risk.global.map(|global| global.consumer),
        "producer": risk.global.map(|global| global.producer),
        "least_certain": risk.least_certain.as_ref().map(|(build, out)| json!({ "build": build, "out": out })),
    })
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
