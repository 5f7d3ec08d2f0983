//! Puts a characteristic over many builds on paper: drawn, as JSON, as a table for spreadsheets. Refuses to work anything
//! out.

mod csv;
mod document;
mod figures;
mod study;
mod subgroups;
mod track;
mod wording;
mod wording_risk;
mod wording_study;

pub use csv::write as csv;
pub use document::write as json;

use super::style::{Ink, Look, clean, width, wrapped};
use crate::quantity::Unit;
use crate::statistics::control::Test;
use crate::trend::{Chart, GaugeStudy, Groups, LeftOut, Subgrouped, Unfit, risks};
pub(super) use figures::Figures;
use std::collections::BTreeMap;
use track::Track;

/// Columns a name may take in a table, where there is little room and where there is much.
const NARROWEST_NAME: usize = 8;
const WIDEST_NAME: usize = 24;

/// Everything there is to put on paper.
#[derive(Clone, Copy, Debug)]
pub struct Sheet<'a> {
    /// What was asked for.
    pub path: &'a str,
    /// What its values are printed in.
    pub unit: &'a Unit,
    /// What builds are grouped by.
    pub by: Option<&'a str>,
    /// The charts.
    pub charts: &'a [Chart],
    /// In their place, the values of each record as a small group, chart by chart.
    pub subgroups: Option<&'a [Subgrouped]>,
    /// In their place, the values as a gauge study, or why they are none.
    pub study: Option<&'a Result<GaugeStudy, Unfit>>,
    /// Whether the risks of the rows are wanted.
    pub risk: bool,
    /// How many builds of each generation stand in them.
    pub generations: &'a BTreeMap<String, usize>,
    /// What does not.
    pub left_out: &'a LeftOut,
    /// Whether the table with a line for each build is left out.
    pub short: bool,
    /// The exit status.
    pub status: u8,
}

/// Why the values are no gauge study, if one was asked for and they are none.
#[must_use]
pub fn unfit(sheet: &Sheet<'_>) -> Option<String> {
    sheet.study?.as_ref().err().map(wording_study::unfit)
}

/// The sheet as text for people, ended by a line end.
#[must_use]
pub fn text(sheet: &Sheet<'_>, look: Look) -> String {
    let mut out = String::new();
    heading(&mut out, sheet, look);
    if let Some(study) = sheet.study {
        out.push('\n');
        study::draw(&mut out, sheet, study, look);
    } else if let Some(all) = sheet.subgroups {
        for (chart, grouped) in sheet.charts.iter().zip(all) {
            out.push('\n');
            subgroups::draw(&mut out, sheet, (chart, grouped), look);
        }
    } else {
        for chart in sheet.charts {
            out.push('\n');
            draw(&mut out, sheet, chart, look);
        }
    }
    let left = left_out(sheet.left_out, look);
    if !left.is_empty() {
        out.push('\n');
        out.push_str(&left);
    }
    footer(&mut out, sheet, look);
    out
}

fn heading(out: &mut String, sheet: &Sheet<'_>, look: Look) {
    let builds: usize = sheet.generations.values().sum();
    let noun = match sheet.study {
        Some(_) => "record",
        None => wording::counted(sheet.charts.iter().flat_map(|chart| &chart.points)),
    };
    let days = sheet.charts.iter().flat_map(|chart| &chart.points).map(|point| point.finished);
    let said = wording::heading(sheet.path, (builds, noun), days.clone().min(), days.max());
    wrapped(out, "", 0, &said, look.width);
    if !sheet.generations.is_empty() {
        wrapped(out, "", 0, &wording::generations(sheet.generations), look.width);
    }
}

/// One chart: its values at a glance, a line for each, what stands out, groups.
fn draw(out: &mut String, sheet: &Sheet<'_>, chart: &Chart, look: Look) {
    let figures = Figures::of(chart, sheet.unit);
    wrapped(out, "", 0, &wording::chart(chart), look.width);
    let Some(limits) = &chart.limits else {
        for point in &chart.points {
            line(out, look, &wording::lone(point, &figures));
        }
        return;
    };
    let track = Track::new(chart, limits, look);
    out.push('\n');
    let tests = chart.tests();
    let flagged =
        |at: usize| tests.get(at).is_some_and(|tests| !tests.is_empty()) || chart.jumps.binary_search(&at).is_ok();
    track.glance(out, flagged);
    line(out, look, &wording::limits(limits, &figures));
    if let Some(said) = wording::resemblance(chart) {
        line(out, look, &said);
    }
    if chart.points.len() < wording::FEW {
        line(out, look, &wording::few(chart));
    }
    if !sheet.short {
        out.push('\n');
        table(out, chart, &figures, &track, &tests, look);
    }
    out.push('\n');
    let said = wording::stands_out(chart, limits, &figures);
    if said.is_empty() {
        out.push_str(&format!("  {}\n", look.paint(Ink::Good, wording::NOTHING)));
    } else {
        line(out, look, wording::STANDS_OUT);
        for said in said {
            wrapped(out, "    - ", 6, &said, look.width);
        }
    }
    if let (Some(groups), Some(by)) = (&chart.groups, sheet.by) {
        out.push('\n');
        by_group(out, chart, (by, groups), &figures, look);
    }
    if sheet.risk {
        out.push('\n');
        by_row(out, chart, &figures, sheet.unit, look);
    }
}

/// The risks of each row that judges the values.
fn by_row(out: &mut String, chart: &Chart, figures: &Figures, unit: &Unit, look: Look) {
    let all = risks(chart);
    if all.is_empty() {
        line(out, look, wording_risk::NONE);
    }
    for risk in &all {
        line(out, look, &wording_risk::heading(risk, all.len() > 1, figures, unit));
        for said in wording_risk::lines(risk) {
            wrapped(out, "    - ", 6, &said, look.width);
        }
    }
}

/// The groups of each generation beside each other. Of several generations only those with something to compare get lines.
fn by_group(out: &mut String, chart: &Chart, (by, groups): (&str, &[Groups]), figures: &Figures, look: Look) {
    let several = groups.len() > 1;
    line(out, look, &wording::grouped(by, several));
    let mut compared = 0;
    for groups in groups.iter().filter(|groups| !several || groups.groups.len() > 1) {
        if several {
            wrapped(out, "    ", 4, &format!("{}:", groups.generation), look.width);
        }
        for row in wording::group_rows(chart, groups, figures) {
            let row = format!("{}{}", if several { "      " } else { "    " }, clean(&row));
            out.push_str(row.trim_end());
            out.push('\n');
        }
        let (said, pairs) = wording::differences(chart, groups, figures);
        compared += pairs;
        for said in said {
            if several {
                wrapped(out, "      - ", 8, &said, look.width);
            } else {
                wrapped(out, "    - ", 6, &said, look.width);
            }
        }
    }
    for said in wording::of_all_groups(groups, compared) {
        wrapped(out, "    - ", 6, &said, look.width);
    }
}

fn line(out: &mut String, look: Look, said: &str) {
    wrapped(out, "  ", 2, said, look.width);
}

/// A line for each value: its day, its build, the value, where it stands between the limits, the tests that speak of it.
fn table(out: &mut String, chart: &Chart, figures: &Figures, track: &Track, tests: &[Vec<Test>], look: Look) {
    let [day, name, value, drawn] = wording::columns(chart);
    let widest =
        |texts: &[String], head: &str| texts.iter().map(|text| width(text)).max().unwrap_or(0).max(width(head));
    let values: Vec<String> = chart.points.iter().map(|point| figures.value(&point.value)).collect();
    let value_width = widest(&values, value);
    // Day, name and value with two columns before each.
    let besides = 2 + 10 + 2 + 2 + value_width;
    let most = look.width.saturating_sub(besides).clamp(NARROWEST_NAME, WIDEST_NAME);
    let names: Vec<String> =
        chart.points.iter().map(|point| cut(&wording::name(point, chart.pooled), most, look)).collect();
    let name_width = widest(&names, name);
    let used = besides + name_width;
    let mark = |(at, tests): (usize, &Vec<Test>)| wording::numbers(tests, chart.jumps.binary_search(&at).is_ok());
    let marks: Vec<String> = tests.iter().enumerate().map(mark).collect();
    let room = look.width.saturating_sub(used + 2 + widest(&marks, ""));
    let is_drawn = room >= track::NARROWEST;
    let head = format!("  {day:10}  {name:name_width$}  {value:value_width$}  {}", if is_drawn { drawn } else { "" });
    out.push_str(&look.paint(Ink::Faint, head.trim_end()));
    out.push('\n');
    let rows = chart.points.iter().zip(&names).zip(&values).zip(tests).zip(&marks);
    for ((((point, name), value), tests), mark) in rows {
        let pad = |text: &str, most: usize| " ".repeat(most.saturating_sub(width(text)));
        let beyond = tests.contains(&Test::Beyond).then_some(Ink::Mind);
        let drawn = if is_drawn { format!("  {}", track.row(&point.value, room, beyond)) } else { String::new() };
        // What does not fit is said below.
        let mark = if is_drawn || used + width(mark) <= look.width { mark } else { "" };
        let (name_pad, value_pad) = (pad(name, name_width), pad(value, value_width));
        let row = format!("  {}  {name}{name_pad}  {value_pad}{value}{drawn}{mark}", point.finished);
        out.push_str(row.trim_end());
        out.push('\n');
    }
}

/// A name in at most so many columns.
fn cut(name: &str, most: usize, look: Look) -> String {
    let name = clean(name);
    if width(&name) <= most {
        return name.into_owned();
    }
    let mut cut = String::new();
    for letter in name.chars() {
        cut.push(letter);
        if width(&cut) + width(look.ellipsis()) > most {
            cut.pop();
            break;
        }
    }
    cut + look.ellipsis()
}

/// What stands in no chart and why, a line each; nothing where nothing is left out.
#[must_use]
pub fn left_out(left: &LeftOut, look: Look) -> String {
    let said = wording::left_out(left);
    let mut out = String::new();
    if !said.is_empty() {
        out.push_str(wording::LEFT_OUT);
        out.push('\n');
    }
    for said in said {
        wrapped(&mut out, "  - ", 4, &said, look.width);
    }
    out
}

fn footer(out: &mut String, sheet: &Sheet<'_>, look: Look) {
    if sheet.study.is_some() || sheet.charts.iter().all(|chart| chart.limits.is_none()) {
        return;
    }
    if let Some(all) = sheet.subgroups {
        if all.iter().any(|grouped| grouped.chart.is_some()) {
            out.push('\n');
            wrapped(out, "", 0, wording_study::SUBGROUPS, look.width);
        }
        return;
    }
    out.push('\n');
    let mut said = vec![wording::LIMITS];
    if sheet.charts.iter().any(|chart| !chart.runs.is_empty()) {
        said.push(wording::TESTS);
    }
    let pairs = |chart: &Chart| chart.groups.iter().flatten().any(|groups| !groups.pairs.is_empty());
    if sheet.charts.iter().any(pairs) {
        said.push(wording::DIFFERENCES);
        if sheet.charts.iter().any(|chart| chart.pooled) {
            said.push(wording::POOLED);
        }
    }
    if sheet.risk {
        said.push(wording_risk::FOOT);
    }
    for said in said {
        wrapped(out, "", 0, said, look.width);
    }
}
