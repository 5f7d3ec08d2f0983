//! Where the uncertainty of a ruling's value comes from, as a table in words. Refuses to work any of it out.

use super::Block;
use crate::bind::Readings;
use crate::book::Book;
use crate::judge::uncertainty::{Influence, budget};
use crate::judge::{Ruling, Told};
use crate::plan::Plan;
use crate::quantity::{Number, Rounded, Unit, Value, shown_significant};

/// The budget of a ruling; none where nobody said how well anything in it was measured.
pub(super) fn block(
    book: &Book,
    plan: &Plan,
    readings: &Readings,
    (ruling, told, unit): (&Ruling, Option<&Told>, &Unit),
) -> Option<Block> {
    if !readings.are_weighed() {
        return None;
    }
    let budget = budget(book, plan, readings, ruling)?;
    let unit = unit.difference();
    let mut block = Block::new("uncertainty budget", None);
    let mut rows = vec![["input", "value", "u", "sensitivity", "contribution", "share"].map(str::to_string)];
    for line in &budget.lines {
        let (input, value, own) = words(book, readings, line.influence, &unit);
        let ratio = own.size.divide(&unit.size).unwrap_or(Value::ONE);
        let percent = Value::from(Number::from_integer(100));
        let share = line
            .share
            .as_ref()
            .map_or_else(String::new, |share| format!("{} %", share.multiply(&percent).midpoint().to_decimal(1)));
        rows.push([
            input,
            value,
            shown_significant(&line.standard, &own, 2, Rounded::Up),
            line.sensitivity.multiply(&ratio).midpoint().to_decimal(4),
            shown_significant(&line.contribution, &unit, 2, Rounded::Up),
            share,
        ]);
    }
    let wide =
        |at: usize| rows.iter().filter_map(|row| row.get(at)).map(|cell| cell.chars().count()).max().unwrap_or(0);
    let widths: Vec<usize> = (0..6).map(wide).collect();
    for row in &rows {
        let cells = row
            .iter()
            .zip(&widths)
            .enumerate()
            .map(|(at, (cell, width))| if at == 0 { format!("{cell:<width$}") } else { format!("{cell:>width$}") });
        block.say(cells.collect::<Vec<_>>().join("  ").trim_end().to_string(), None);
    }
    let all = &budget.uncertainty;
    block.say(format!("u = {}", shown_significant(&all.standard(), &unit, 2, Rounded::Up)), None);
    if let Some(freedom) = &all.degrees_of_freedom {
        block.say(format!("{} effective degrees of freedom", freedom.floor_number()), None);
    }
    let expanded = shown_significant(&all.expanded(), &unit, 2, Rounded::Up);
    block.say(format!("U = k u = {expanded}, k = {} (JCGM 100:2008, Table G.2)", all.factor), None);
    if let Some(weighed) = told.and_then(|told| told.uncertainty.as_ref()) {
        for (tier, at) in [("limit", &weighed.limit), ("standard", &weighed.standard)] {
            if let Some(at) = at {
                let (zone, probability) = (at.zone.words(), &at.probability);
                block
                    .say(format!("{tier}: {zone}, inside with a probability of {probability}; {}", weighed.rule), None);
            }
        }
        if let Some(settled) = &weighed.settled_by {
            block.say(settled.clone(), None);
        }
    }
    Some(block)
}

/// An influence in words, the value it has where it has one, and the unit its uncertainty is shown in.
fn words(book: &Book, readings: &Readings, influence: Influence, unit: &Unit) -> (String, String, Unit) {
    let gauge = |number: u16| readings.gauges.get(usize::from(number)).map_or("", |gauge| gauge.name.as_str());
    let path = |slot: u32| super::row::slot_path(book, slot as usize);
    let written = |slot: u32, number: u32| {
        let reading = readings.taken(slot as usize).get(number as usize);
        reading.map_or_else(String::new, |reading| readings.source().slice(reading.span).trim().to_string())
    };
    let kelvin = || Unit::new("K", crate::quantity::Dimension::TEMPERATURE, Value::ONE);
    let per_kelvin = || Unit::new("1/K", crate::quantity::Dimension::NUMBER, Value::ONE);
    match influence {
        Influence::Calibration(number) => (format!("calibration of {}", gauge(number)), String::new(), unit.clone()),
        Influence::Resolution(slot, number) => {
            (format!("resolution at {}", path(slot)), written(slot, number), unit.clone())
        }
        Influence::Stated(slot, number) => (format!("stated at {}", path(slot)), written(slot, number), unit.clone()),
        Influence::Repeats(slot) => (format!("repeats of {}", path(slot)), String::new(), unit.clone()),
        Influence::Temperature(_) => ("temperature".into(), String::new(), kelvin()),
        Influence::PartExpansion(part) => {
            (format!("expansion of {}", book.parts.get(part).name), String::new(), per_kelvin())
        }
        Influence::GaugeExpansion(number) => {
            (format!("expansion of gauge {}", gauge(number)), String::new(), per_kelvin())
        }
    }
}
