//! Puts a characteristic over many builds on paper: drawn, as JSON, as a table for spreadsheets. Refuses to work anything
//! out.

mod csv;
mod document;
mod figures;
mod track;
mod wording;

pub use csv::write as csv;
pub use document::write as json;

use super::ink::{Ink, Look, clean, wrapped};
use crate::quantity::Unit;
use crate::statistics::control::Test;
use crate::trend::{Chart, LeftOut};
use figures::Figures;
use std::collections::{BTreeMap, BTreeSet};
use track::Track;

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
    /// How many builds of each generation stand in them.
    pub generations: &'a BTreeMap<String, usize>,
    /// What does not.
    pub left_out: &'a LeftOut,
    /// Whether the table with a line for each build is left out.
    pub short: bool,
    /// The exit status.
    pub status: u8,
}

/// The sheet as text for people, ended by a line end.
#[must_use]
pub fn text(sheet: &Sheet<'_>, look: Look) -> String {
    let mut out = String::new();
    heading(&mut out, sheet, look);
    for chart in sheet.charts {
        out.push('\n');
        draw(&mut out, sheet, chart, look);
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
    let days = sheet.charts.iter().flat_map(|chart| &chart.points).map(|point| point.finished);
    let said = wording::heading(sheet.path, builds, days.clone().min(), days.max());
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
    let flagged = flagged(chart);
    track.glance(out, &flagged);
    line(out, look, &wording::limits(limits, &figures));
    if chart.points.len() < wording::FEW {
        line(out, look, &wording::few(chart));
    }
    if !sheet.short {
        out.push('\n');
        table(out, chart, &figures, &track, &flagged, look);
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
        line(out, look, &wording::grouped(by));
        for row in wording::group_rows(chart, groups, &figures) {
            out.push_str("    ");
            out.push_str(clean(&row).trim_end());
            out.push('\n');
        }
        for said in wording::differences(chart, groups, &figures) {
            wrapped(out, "    - ", 6, &said, look.width);
        }
    }
}

fn line(out: &mut String, look: Look, said: &str) {
    wrapped(out, "  ", 2, said, look.width);
}

/// The values that some test speaks of.
fn flagged(chart: &Chart) -> BTreeSet<usize> {
    let runs = chart.runs.iter().flat_map(|run| run.first..=run.last);
    runs.chain(chart.jumps.iter().copied()).collect()
}

fn table(out: &mut String, chart: &Chart, figures: &Figures, track: &Track, flagged: &BTreeSet<usize>, look: Look) {
    let names: Vec<String> = chart.points.iter().map(|point| wording::name(point, chart.pooled)).collect();
    let values: Vec<String> = chart.points.iter().map(|point| figures.value(&point.value)).collect();
    let [day, name, value, drawn] = wording::columns(chart);
    let widest = |texts: &[String], head: &str| {
        texts.iter().map(|text| super::ink::width(&clean(text))).max().unwrap_or(0).clamp(head.len(), 24)
    };
    let (name_width, value_width) = (widest(&names, name), widest(&values, value));
    // Day, name and value with two columns before each.
    let room = look.width.saturating_sub(2 + 10 + 2 + name_width + 2 + value_width + 2);
    let drawn = if room < track::NARROWEST { "" } else { drawn };
    let head = format!("  {day:10}  {name:name_width$}  {value:value_width$}  {drawn}");
    out.push_str(&look.paint(Ink::Faint, head.trim_end()));
    out.push('\n');
    for (at, ((point, name), value)) in chart.points.iter().zip(&names).zip(&values).enumerate() {
        let pad = |text: &str, width: usize| " ".repeat(width.saturating_sub(super::ink::width(text)));
        let name = clean(name);
        let beyond = chart.runs.iter().any(|run| run.test == Test::Beyond && run.first == at);
        let drawn = track.row(&point.value, room, if beyond { Some(Ink::Mind) } else { None });
        let row = format!(
            "  {}  {name}{}  {}{value}  {drawn}",
            point.finished,
            pad(&name, name_width),
            pad(value, value_width)
        );
        let marked =
            if flagged.contains(&at) && !drawn.is_empty() { wording::numbers(chart, at) } else { String::new() };
        out.push_str(format!("{row}{marked}").trim_end());
        out.push('\n');
    }
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
    if sheet.charts.iter().all(|chart| chart.limits.is_none()) {
        return;
    }
    out.push('\n');
    let mut said = vec![wording::LIMITS];
    if sheet.charts.iter().any(|chart| !chart.runs.is_empty()) {
        said.push(wording::TESTS);
    }
    let pairs = |chart: &Chart| chart.groups.as_ref().is_some_and(|groups| !groups.pairs.is_empty());
    if sheet.charts.iter().any(pairs) {
        said.push(wording::DIFFERENCES);
        if sheet.charts.iter().any(|chart| chart.pooled) {
            said.push(wording::POOLED);
        }
    }
    for said in said {
        wrapped(out, "", 0, said, look.width);
    }
}
