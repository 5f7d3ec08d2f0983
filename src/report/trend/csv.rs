//! The values of all charts as comma-separated text after RFC 4180, a line each. Refuses to say how a
//! line is written.

use super::Sheet;
use crate::report::cells;

const COLUMNS: [&str; 19] = [
    "chart",
    "build",
    "file",
    "finished",
    "generation",
    "path",
    "value",
    "unit",
    "group",
    "centre",
    "low",
    "high",
    "range",
    "range_high",
    "tests",
    "jump",
    "group_count",
    "group_mean",
    "group_deviation",
];

/// A heading and a line for each value, in the order of the charts. Numbers are decimals of at most twelve places, in the
/// unit of the line; `tests` are the numbers of the run tests that speak of the value, with blanks between.
/// The last three columns are those of the value's group within its generation: how many values, their mean, their standard deviation.
#[must_use]
pub fn write(sheet: &Sheet<'_>) -> String {
    let mut out = format!("{}{}", cells::MARK, cells::line(&COLUMNS));
    let (unit, difference) = (sheet.unit, sheet.unit.difference());
    for chart in sheet.charts {
        for (at, (point, tests)) in chart.points.iter().zip(chart.tests()).enumerate() {
            let limits = chart.limits.as_ref();
            let range = at.checked_sub(1).and_then(|before| limits?.ranges.get(before));
            let tests: Vec<String> = tests.iter().map(|test| test.number().to_string()).collect();
            let known = |value: Option<String>| value.unwrap_or_default();
            let group = chart.groups.iter().flatten().find_map(|groups| groups.of(point));
            let fields: [String; COLUMNS.len()] = [
                chart.path.clone(),
                point.build.clone(),
                point.file.clone(),
                point.finished.to_string(),
                point.generation.clone(),
                point.path.clone(),
                unit.decimal(&point.value),
                unit.symbol.to_string(),
                known(point.group.as_ref().map(|(_, name)| name.clone())),
                known(limits.map(|limits| unit.decimal(&limits.centre))),
                known(limits.map(|limits| unit.decimal(&limits.low))),
                known(limits.map(|limits| unit.decimal(&limits.high))),
                known(range.map(|range| difference.decimal(range))),
                known(limits.map(|limits| difference.decimal(&limits.range_high))),
                tests.join(" "),
                if chart.jumps.binary_search(&at).is_ok() { "yes" } else { "no" }.to_owned(),
                known(group.map(|group| group.count.to_string())),
                known(group.map(|group| unit.decimal(&group.mean))),
                known(group.and_then(|group| group.deviation.as_ref()).map(|deviation| difference.decimal(deviation))),
            ];
            out.push_str(&cells::line(&fields));
        }
    }
    out
}
