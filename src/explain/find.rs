//! Which checks of a plan a path means. Refuses to know what they come to.

use crate::book::{Book, Characteristic, Id};
use crate::plan::{Check, Plan, Subject, slots_of};
use crate::syntax::tree::Collector;
use std::collections::BTreeSet;

/// One step of the way to what is judged, and whether it may be left unsaid.
struct Step<'a> {
    name: &'a str,
    optional: bool,
    characteristic: bool,
}

/// The checks a path means, by their numbers in the plan: those whose way it is, positions and stations left out meaning all
/// of them.
#[must_use]
pub fn checks(book: &Book, plan: &Plan, asked: &str) -> Vec<usize> {
    let (word, path) = split_word(asked.trim());
    let asked: Vec<&str> = path.split('.').collect();
    let matching = |loosely: bool| -> Vec<usize> {
        plan.checks
            .iter()
            .enumerate()
            .filter(|(_, check)| word.is_none_or(|word| word == word_of(check)))
            .filter(|(_, check)| ways(book, check).iter().any(|way| leads(way, &asked, loosely)))
            .map(|(number, _)| number)
            .collect()
    };
    let strict = matching(false);
    if strict.is_empty() { matching(true) } else { strict }
}

/// Every path there is a check for, in the plan's order, each once.
pub(super) fn paths(book: &Book, plan: &Plan) -> Vec<String> {
    let mut paths: Vec<String> = Vec::new();
    for check in &plan.checks {
        let path = book.path(check.row.subject.characteristic, &check.positions, station(check));
        if paths.last() != Some(&path) {
            paths.push(path);
        }
    }
    let mut plain: Vec<String> = plan.checks.iter().map(|check| check.row.path.to_string()).collect();
    plain.dedup();
    paths.extend(plain);
    paths.sort_unstable();
    paths.dedup();
    paths
}

/// The station of what a check judges.
pub(super) fn station(check: &Check) -> Option<u16> {
    match &check.subject {
        Subject::Slot { station, .. } | Subject::Each { station, .. } => *station,
        Subject::Made(_) | Subject::Group(_) => None,
    }
}

/// The collection word before a path: `spread of rotor.width`, `each of rotor.width`.
fn split_word(asked: &str) -> (Option<&str>, &str) {
    for collector in Collector::ALL {
        if let Some(path) = asked.strip_prefix(collector.word()).and_then(|rest| rest.trim_start().strip_prefix("of "))
        {
            return (Some(collector.word()), path.trim());
        }
    }
    match asked.strip_prefix("each of ") {
        Some(path) => (Some("each"), path.trim()),
        None => (None, asked),
    }
}

fn word_of(check: &Check) -> &'static str {
    match check.row.word {
        Some(crate::syntax::tree::RowWord::Each) => "each",
        Some(crate::syntax::tree::RowWord::Collect(collector)) => collector.word(),
        None => "",
    }
}

/// The ways to what a check judges: one, but for a comparison of positions one for each.
fn ways<'a>(book: &'a Book, check: &Check) -> Vec<Vec<Step<'a>>> {
    match &check.subject {
        Subject::Group(slots) => slots.iter().map(|(_, positions)| way_of(book, check, positions)).collect(),
        _ => vec![way_of(book, check, &check.positions)],
    }
}

fn way_of<'a>(book: &'a Book, check: &Check, positions: &[u16]) -> Vec<Step<'a>> {
    way(book, check.row.subject.characteristic, positions, station(check))
}

/// The characteristics that a path means at some place of a generation, whether or not a row judges them.
pub(super) fn characteristics(book: &Book, plan: &Plan, asked: &str) -> Vec<Id<Characteristic>> {
    let (_, path) = split_word(asked.trim());
    let asked: Vec<&str> = path.split('.').collect();
    let generation = book.generations.get(plan.generation);
    let meant = |id: Id<Characteristic>, loosely: bool| {
        let characteristic = book.characteristics.get(id);
        let stations = characteristic.stations().iter().zip(0_u16..).map(|(_, station)| Some(station));
        let stations: Vec<Option<u16>> = std::iter::once(None).chain(stations).collect();
        let named = asked.contains(&&*characteristic.name);
        named
            && book.instances(characteristic.part, generation).iter().any(|positions| {
                stations.iter().any(|station| leads(&way(book, id, positions, *station), &asked, loosely))
            })
    };
    let all = |loosely| book.characteristics.ids().filter(|id| meant(*id, loosely)).collect::<Vec<_>>();
    let strict = all(false);
    if strict.is_empty() { all(true) } else { strict }
}

fn way<'a>(book: &'a Book, id: Id<Characteristic>, positions: &[u16], station: Option<u16>) -> Vec<Step<'a>> {
    let characteristic = book.characteristics.get(id);
    let mut chain = Vec::new();
    let mut at = Some(characteristic.part);
    while let Some(id) = at {
        chain.push(id);
        at = book.parts.get(id).parent;
    }
    let mut steps = Vec::new();
    let mut positions = positions.iter();
    for id in chain.iter().rev() {
        let part = book.parts.get(*id);
        steps.push(Step { name: &part.name, optional: part.parent.is_none(), characteristic: false });
        if !part.positions.is_empty()
            && let Some(name) = positions.next().and_then(|position| part.positions.get(usize::from(*position)))
        {
            steps.push(Step { name, optional: true, characteristic: false });
        }
    }
    steps.push(Step { name: &characteristic.name, optional: false, characteristic: true });
    if let Some(name) = station.and_then(|station| characteristic.stations().get(usize::from(station))) {
        steps.push(Step { name, optional: true, characteristic: false });
    }
    steps
}

/// Whether a way is the one asked for; loosely, parts may be left out too, as in a rulebook.
fn leads(way: &[Step<'_>], asked: &[&str], loosely: bool) -> bool {
    let mut asked = asked.iter().peekable();
    for step in way {
        if asked.peek().is_some_and(|name| **name == step.name) {
            asked.next();
        } else if step.characteristic || !(step.optional || loosely) {
            return false;
        }
    }
    asked.peek().is_none()
}

/// The derived values that some slots come from, innermost first, and the readings, each by its slot.
pub(super) fn behind(plan: &Plan, slots: &[usize]) -> (Vec<usize>, Vec<usize>) {
    let (mut steps, mut readings, mut open) = (BTreeSet::new(), BTreeSet::new(), slots.to_vec());
    while let Some(slot) = open.pop() {
        match plan.step_of.get(slot).copied().flatten() {
            Some(number) => {
                if steps.insert(number as usize)
                    && let Some(step) = plan.steps.get(number as usize)
                {
                    open.extend(slots_of(&step.program));
                }
            }
            None => {
                readings.insert(slot);
            }
        }
    }
    let derived = steps.into_iter().filter_map(|number| plan.steps.get(number)).map(|step| step.slot).collect();
    (derived, readings.into_iter().collect())
}
