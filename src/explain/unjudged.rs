//! Values that no row judges, written out like those that one does. Refuses to grade them.

use super::row::{derived_block, slots_behind, taken_block};
use super::working::{Working, result_of};
use super::{Block, Explanation, MonteCarlo, Verdict, budget, find, measured, wording};
use crate::bind::Readings;
use crate::book::{Book, Characteristic, Datum, Id, Kind, Reach, Row, Selector, Texts};
use crate::finding::Finding;
use crate::judge::{self, Reporter, Ruling};
use crate::plan::{Check, Plan};
use crate::quantity::{Days, Unit};
use crate::syntax::tree::RowWord;
use std::sync::Arc;

/// Writes out every value that a path means and no row judges.
///
/// # Errors
/// A finding where the path means nothing that the generation has.
pub(super) fn explain(
    (book, plan, readings): (&Book, &Plan, &Readings),
    asked: &str,
    draws: bool,
) -> Result<Explanation, Box<Finding>> {
    let generation = book.generations.get(plan.generation);
    let nothing = || Box::new(wording::nothing_judges(book, generation, asked, &find::paths(book, plan)));
    let meant = find::characteristics(book, plan, asked);
    if meant.is_empty() {
        return Err(nothing());
    }
    // With a row on it that asks for nothing, a value is calculated and weighed as any other is.
    let mut open = book.clone();
    let rows = meant.iter().map(|id| Arc::new(asking_nothing(book, *id)));
    open.generations.get_mut(plan.generation).rows.extend(rows);
    let (plan, _) = Plan::new(&open, plan.generation);
    let verdict = judge::judge(&open, &plan, readings);
    let reporter = Reporter::new(&open, &plan, readings);
    let mut working = Working::new(&open, &plan, readings).drawing(draws);
    let mut verdicts = Vec::new();
    for number in find::checks(&open, &plan, asked) {
        let Some(check) = plan.checks.get(number).filter(|check| asks_nothing(&check.row)) else { continue };
        let rulings: Vec<&Ruling> = verdict.rulings.iter().filter(|ruling| ruling.check == number).collect();
        if rulings.is_empty() {
            verdicts.push(written(&mut working, &reporter, (number, check), None));
        }
        for ruling in rulings {
            verdicts.push(written(&mut working, &reporter, (number, check), Some(ruling)));
        }
    }
    if verdicts.is_empty() {
        return Err(nothing());
    }
    Ok(Explanation {
        record: readings.source().name().to_string(),
        build: readings.build.clone(),
        part: None,
        generation: (generation.name.to_string(), generation.description.to_string()),
        verdicts,
    })
}

/// A row that any value meets.
fn asking_nothing(book: &Book, id: Id<Characteristic>) -> Row {
    let characteristic = book.characteristics.get(id);
    let selectors = vec![Selector::All; book.parts.get(characteristic.part).positioned.len()];
    Row {
        subject: Reach { characteristic: id, selectors, station: None },
        word: characteristic.is_many().then_some(RowWord::Each),
        standard: None,
        limit: None,
        rounded: None,
        outer: false,
        advisory: true,
        never_excused: false,
        condition: None,
        days: Days::ALWAYS,
        texts: Texts::default(),
        path: book.path(id, &[], None).into(),
        place: characteristic.place.clone(),
        history: Vec::new(),
    }
}

fn asks_nothing(row: &Row) -> bool {
    row.standard.is_none() && row.limit.is_none()
}

fn written(
    working: &mut Working<'_>,
    reporter: &Reporter<'_>,
    (number, check): (usize, &Check),
    ruling: Option<&Ruling>,
) -> Verdict {
    working.afresh();
    let book = working.book;
    let characteristic = book.characteristics.get(check.row.subject.characteristic);
    let (derived, taken) = find::behind(working.plan, &slots_behind(check));
    let mut blocks = vec![taken_block(working, &taken, check)];
    blocks.extend(measured::block(book, &taken));
    for slot in derived {
        blocks.extend(derived_block(working, slot));
    }
    let mut monte_carlo = None;
    if let Some(ruling) = ruling {
        let unit = characteristic.unit.clone().unwrap_or_else(Unit::number);
        let told = reporter.tell(ruling);
        let mut budget = budget::block(book, working.plan, working.readings, (ruling, told.as_ref(), &unit));
        if let Some(budget) = &mut budget {
            // There is no end to be guarded.
            budget.lines.retain(|line| !line.text.starts_with("guard = "));
        }
        blocks.extend(budget);
        monte_carlo = super::simulated::of(working, ruling, &unit);
        blocks.extend(monte_carlo.as_ref().map(MonteCarlo::block));
    }
    let path = working.path_of(check);
    let datum = ruling.and_then(|ruling| ruling.value.clone());
    let value = match (&datum, characteristic.kind) {
        (Some(Datum::Words) | None, _) | (_, Kind::Text) => String::new(),
        (Some(datum), kind) => {
            format!(" {}", result_of(&working.term(datum, kind, characteristic.unit.as_ref())))
        }
    };
    blocks.push(Block::new(format!("{path}{value}: no row judges it"), Some(characteristic.place.clone())));
    Verdict {
        path,
        taken_as: None,
        check: number,
        reading: ruling.and_then(|ruling| ruling.reading),
        grade: None,
        worked_grade: None,
        worked: datum,
        monte_carlo,
        blocks,
    }
}
