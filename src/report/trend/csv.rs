//! The values of all charts as comma-separated text after RFC 4180, a line each. Refuses to say how a
//! line is written.

use super::Sheet;
use crate::quantity::{Number, Unit, Value, function};
use crate::report::cells;
use crate::trend::GaugeStudy;

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

/// The columns of a gauge study.
const STUDY: [&str; 9] =
    ["source", "name", "deviation", "share", "sum_of_squares", "degrees_of_freedom", "interaction_p", "value", "unit"];

/// A gauge study: a line for each source of scatter, with its standard deviation, its share of the variance and, where the analysis of
/// variance has them, its sum of squares and degrees of freedom; then the mean of each person, and how many kinds of part can be told
/// apart. Without a study the heading alone.
fn study(sheet: &Sheet<'_>, found: Option<&GaugeStudy>) -> String {
    let mut out = format!("{}{}", cells::MARK, cells::line(&STUDY));
    let Some(found) = found else { return out };
    let (unit, difference) = (sheet.unit, sheet.unit.difference());
    let squared = Unit::new("", difference.dimension, difference.size.squared());
    let of = &found.study;
    let components = &of.components;
    let total = components.total();
    let rows = [
        ("repeatability", components.repeat.clone(), Some(&of.by_repeat)),
        ("person", components.person.clone(), Some(&of.by_person)),
        ("interaction", components.interaction.clone(), Some(&of.interaction)),
        ("reproducibility", components.reproducibility(), None),
        ("measuring", components.measuring(), None),
        ("part", components.part.clone(), Some(&of.by_part)),
        ("total", total.clone(), None),
    ];
    let hundred = Value::from(Number::from_integer(100));
    for (name, variance, source) in rows {
        let share = variance.divide(&total).map(|share| share.multiply(&hundred).midpoint().to_decimal(1));
        let p = of.test.as_ref().filter(|_| name == "interaction").map(|(_, p)| format!("{p:.4}"));
        let fields = [
            name.to_owned(),
            String::new(),
            function::sqrt(&variance).map(|root| difference.decimal(&root)).unwrap_or_default(),
            share.map(|share| format!("{share} %")).unwrap_or_default(),
            source.map(|source| squared.decimal(&source.squares)).unwrap_or_default(),
            source.map(|source| source.freedom.to_string()).unwrap_or_default(),
            p.unwrap_or_default(),
            String::new(),
            unit.symbol.to_string(),
        ];
        out.push_str(&cells::line(&fields));
    }
    let mut single = |source: &str, name: &str, value: String, unit: &str| {
        let fields = [source, name, "", "", "", "", "", &value, unit];
        out.push_str(&cells::line(&fields));
    };
    for (person, mean) in found.people.iter().zip(&of.means) {
        single("mean", person, unit.decimal(mean), &unit.symbol);
    }
    if let Some(categories) = components.categories() {
        single("categories", "", categories.to_string(), "");
    }
    out
}

/// A heading and a line for each value, in the order of the charts. Numbers are decimals of at most twelve places, in the
/// unit of the line; `tests` are the numbers of the run tests that speak of the value, with blanks between.
/// The last three columns are those of the value's group within its generation: how many values, their mean, their standard deviation.
#[must_use]
pub fn write(sheet: &Sheet<'_>) -> String {
    if let Some(found) = sheet.study {
        return study(sheet, found.as_ref().ok());
    }
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
