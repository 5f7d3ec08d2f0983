//! Where the uncertainty of a ruling's value comes from, as a table in words. Refuses to work any of it out.

use super::row::slot_path;
use super::taken::{kelvin, per_kelvin};
use super::wording::folded;
use super::{Block, Line};
use crate::bind::{Readings, Temperature};
use crate::book::decision::Rule;
use crate::book::{Book, Datum};
use crate::judge::uncertainty::{BudgetLine, Influence, Together, budget};
use crate::judge::{Ruling, RulingReport};
use crate::plan::Plan;
use crate::quantity::{Dimension, Number, Rounded, Unit, Value, shown_significant};

const COLUMNS: [&str; 6] = ["input", "value", "u", "sensitivity", "contribution", "share"];

/// The budget of a ruling on a quantity with a unit; `unit` is that of what is judged.
pub(super) fn block(
    book: &Book,
    plan: &Plan,
    readings: &Readings,
    (ruling, told, unit): (&Ruling, Option<&RulingReport>, &Unit),
) -> Option<Block> {
    if !matches!(ruling.value, Some(Datum::Quantity(_))) {
        return None;
    }
    let mut block = Block::new("uncertainty", None);
    let found = if readings.are_weighed() { budget(book, plan, readings, ruling) } else { None };
    let Some(budget) = found else {
        // A plain number may be a count, of which there is nothing to say.
        if unit.dimension.is_number() {
            return None;
        }
        block.say("nobody said how well this was measured: no gauge, and no uncertainty of its own", None);
        return Some(block);
    };
    let unit = unit.difference();
    let mut rows = vec![COLUMNS.map(str::to_string)];
    rows.extend(budget.lines.iter().map(|line| cells(book, readings, line, &unit)));
    rows.extend(budget.together.iter().map(|pair| together(readings, pair)));
    block.lines.extend(aligned(&rows));
    let all = &budget.uncertainty;
    let standard = shown_significant(&all.standard(), &unit, 2, Rounded::Up);
    let pairs = if budget.together.is_empty() {
        ""
    } else {
        ", with twice the contributions of each correlated pair times their r (JCGM 100:2008, 5.2.2)"
    };
    block.say(format!("combined: u = {standard}, the root of the sum of the contributions squared{pairs}"), None);
    if let Some(freedom) = &all.degrees_of_freedom {
        let freedom = freedom.floor_number().to_text(0);
        block.say(format!("effective degrees of freedom {freedom} (JCGM 100:2008, G.4.1, rounded down)"), None);
    }
    let expanded = shown_significant(&all.expanded(), &unit, 2, Rounded::Up);
    block.say(format!("U = k u = {expanded}, k = {} (JCGM 100:2008, Table G.2)", all.factor), None);
    if all.incomplete {
        block.say("and more than that: of a reading in it nobody said how well it was taken", None);
    }
    if let Rule::GuardBand(factor) = &book.decision.rule {
        let guard = all.expanded().multiply(&Value::from(factor.clone()));
        let guard = shown_significant(&guard, &unit, 2, Rounded::Up);
        block.say(format!("guard = {factor} U = {guard}, before each end that does not depend on the record"), None);
    }
    if let Some(weighed) = told.and_then(|told| told.uncertainty.as_ref()) {
        for (tier, at) in [("limit", &weighed.limit), ("standard", &weighed.standard)] {
            if let Some(at) = at {
                let (zone, probability) = (at.zone.words(), &at.probability);
                let student = all.freedom_of_factor().map_or_else(String::new, |freedom| {
                    let degrees = if freedom == 1 { "degree" } else { "degrees" };
                    format!("; Student's t with {freedom} {degrees} of freedom, JCGM 100:2008, G.3")
                });
                block.say(
                    format!("{tier}: {zone} by {} (ILAC-G8:09/2019, 4.2.3), inside with a probability of {probability} (JCGM 106:2012, 7{student})", weighed.rule),
                    None,
                );
            }
        }
        if let Some(settled) = &weighed.settled_by {
            block.say(settled.clone(), None);
        }
    }
    Some(block)
}

/// One influence: what it is, its value where it has one, its standard uncertainty, by how much the value follows it, what
/// that brings, and its share of the variance.
fn cells(book: &Book, readings: &Readings, line: &BudgetLine, unit: &Unit) -> [String; 6] {
    let (input, value, own) = words(book, readings, line.influence);
    let own = own.unwrap_or_else(|| unit.clone());
    let freedom = line.degrees_of_freedom.as_ref();
    let freedom = freedom.map(|freedom| format!(" ({} degrees of freedom)", freedom.to_text(3))).unwrap_or_default();
    let share = line.share.as_ref().map_or_else(String::new, percent);
    [
        format!("{input}{freedom}"),
        value,
        shown_significant(&line.standard, &own, 2, Rounded::Up),
        sensitivity(&line.sensitivity, unit, &own),
        shown_significant(&line.contribution, unit, 2, Rounded::Up),
        share,
    ]
}

/// Two correlated calibrations, with what they add to the variance or take from it.
fn together(readings: &Readings, pair: &Together) -> [String; 6] {
    let name = |number: u16| readings.gauges.get(usize::from(number)).map_or("", |gauge| gauge.name.as_str());
    let share = pair.share.as_ref().map_or_else(String::new, percent);
    let words = format!("{} with {}, r = {}", name(pair.gauges.0), name(pair.gauges.1), pair.coefficient);
    [words, String::new(), String::new(), String::new(), String::new(), share]
}

/// A share as a percentage with one decimal.
fn percent(share: &Value) -> String {
    format!("{} %", share.multiply(&Value::from(Number::from_integer(100))).midpoint().to_decimal(1))
}

/// A derivative in the unit of the value for each unit of the input: `-1`, `0.0017 mm/K`.
fn sensitivity(by: &Value, unit: &Unit, own: &Unit) -> String {
    let size = unit.size.divide(&own.size).unwrap_or(Value::ONE);
    let symbol = match (&*unit.symbol, &*own.symbol) {
        (above, below) if above == below => String::new(),
        ("", below) => format!("1/{below}"),
        (above, "") => above.to_string(),
        (above, below) if below.contains('/') => format!("{above}/({below})"),
        (above, below) => format!("{above}/{below}"),
    };
    let ratio = Unit::new(&symbol, Dimension::NUMBER, size);
    let sign = if by.midpoint().signum() < 0 { "-" } else { "" };
    format!("{sign}{}", shown_significant(&by.absolute(), &ratio, 3, Rounded::Nearest))
}

/// Rows as lines of columns, the first to the left, the others to the right.
fn aligned(rows: &[[String; 6]]) -> Vec<Line> {
    let wide = |at: usize| rows.iter().filter_map(|row| row.get(at)).map(|cell| cell.chars().count()).max();
    let widths: Vec<usize> = (0..COLUMNS.len()).map(|at| wide(at).unwrap_or(0)).collect();
    let line = |row: &[String; 6]| {
        let cells = row.iter().zip(&widths).enumerate().map(|(at, (cell, width))| match at {
            0 => format!("{cell:<width$}"),
            _ => format!("{cell:>width$}"),
        });
        let text = cells.collect::<Vec<_>>().join("  ").trim_end().to_string();
        Line { text, place: None, depth: 0 }
    };
    rows.iter().map(line).collect()
}

/// An influence in words, the value it has where it has one, and the unit its uncertainty is shown in; none for the unit of
/// what is judged.
fn words(book: &Book, readings: &Readings, influence: Influence) -> (String, String, Option<Unit>) {
    let gauge = |number: u16| readings.gauges.get(usize::from(number));
    let name = |number: u16| gauge(number).map_or("", |gauge| gauge.name.as_str());
    let unit_of = |slot: u32| {
        let (id, _, _) = book.slot_owner(slot as usize)?;
        book.characteristics.get(id).unit.as_ref().map(Unit::difference)
    };
    let reading = |what: &str, slot: u32, number: u32| {
        let taken = readings.taken(slot as usize);
        let which = if taken.len() > 1 { format!(" (reading {})", number + 1) } else { String::new() };
        let written = taken.get(number as usize).map(|reading| folded(readings.slice(reading.span)));
        let words = format!("{what} {}{which}", slot_path(book, slot as usize));
        (words, written.unwrap_or_default(), unit_of(slot))
    };
    match influence {
        Influence::Calibration(number) => {
            let measures = gauge(number).and_then(|gauge| gauge.dimension);
            let units = book.characteristics.iter().filter_map(|characteristic| characteristic.unit.as_ref());
            let unit = units.map(Unit::difference).find(|unit| Some(unit.dimension) == measures);
            let words = format!("calibration of {}", name(number));
            let certified = gauge(number).and_then(|gauge| gauge.uncertainty.as_ref());
            let Some((certified, written)) = certified.and_then(|it| Some((it, it.written.as_ref()?))) else {
                return (words, String::new(), unit);
            };
            // What it comes to hangs on the reading: the share itself is shown, or U as it is at each reading.
            let counted = if certified.fixed == Value::ZERO {
                Unit::new("%", Dimension::NUMBER, Value::from(Number::ratio(1, 100).unwrap_or_default()))
            } else {
                Unit::new("U", Dimension::NUMBER, Value::ONE)
            };
            (words, written.clone(), Some(counted))
        }
        Influence::Resolution(slot, number) => reading("resolution at", slot, number),
        Influence::Stated(slot, number) => reading("stated at", slot, number),
        Influence::Repeats(slot) => {
            (format!("repeats of {}", slot_path(book, slot as usize)), String::new(), unit_of(slot))
        }
        Influence::Temperature(at) => {
            let written = temperature(readings, at).map(|found| folded(readings.slice(found.span)));
            ("temperature".into(), written.unwrap_or_default(), Some(kelvin()))
        }
        Influence::PartExpansion(part) => {
            let part = book.parts.get(part);
            let value = part.expansion.as_ref().map(|expansion| coefficient(&expansion.coefficient));
            (format!("expansion of {}", part.name.replace('_', " ")), value.unwrap_or_default(), Some(per_kelvin()))
        }
        Influence::GaugeExpansion(number) => {
            let value = gauge(number).and_then(|gauge| gauge.expansion.as_ref()).map(|(value, _)| coefficient(value));
            (format!("expansion of gauge {}", name(number)), value.unwrap_or_default(), Some(per_kelvin()))
        }
    }
}

fn coefficient(value: &Value) -> String {
    super::figure::figure(value, &per_kelvin()).operand()
}

/// The temperature written at a byte of the record.
fn temperature(readings: &Readings, at: u32) -> Option<&Temperature> {
    let warmths = readings.all().filter_map(|reading| reading.warmth());
    warmths.flat_map(|warmth| [&warmth.part_temperature, &warmth.gauge_temperature]).find(|it| it.span.start == at)
}
