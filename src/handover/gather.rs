//! Walks the parts of a generation in the order its books declare them, and lays beside each characteristic what was taken
//! and what was ruled. Refuses to leave out a ruling.

use super::rulings::Rulings;
use super::taken::{plain, taken};
use super::{Group, Handover, Line, Measuring, Spot, spelling, used};
use crate::bind::Readings;
use crate::book::{Book, Characteristic, Generation, Id, Kind, Member, Origin, Part};
use crate::judge::{Reporter, Verdict};
use crate::plan::Plan;
use std::collections::BTreeSet;

/// All that is handed over of a build that was judged.
#[must_use]
pub fn handover(book: &Book, plan: &Plan, readings: &Readings, verdict: &Verdict) -> Handover {
    let generation = book.generations.get(plan.generation);
    let reporter = Reporter::new(book, plan, readings);
    let rulings = Rulings::new(book, plan, verdict, &reporter);
    let (facts, measured) = (Vec::new(), BTreeSet::new());
    let mut walk = Walk { book, generation, readings, rulings, positions: Vec::new(), facts, measured };
    let groups = walk.machine();
    let how = walk.how();
    let mut handover = Handover {
        generation: generation.name.to_string(),
        description: generation.description.to_string(),
        judged_on: readings.judged_on,
        facts: walk.facts,
        groups,
        how,
        concessions: used::concessions(book, plan, readings, verdict),
        gauges: used::gauges(book, readings),
        decision: book.decision.rule.words(),
        measured: walk.rulings.measured,
    };
    spelling::spell(&book.units, &mut handover);
    handover
}

struct Walk<'a> {
    book: &'a Book,
    generation: &'a Generation,
    readings: &'a Readings,
    rulings: Rulings,
    /// The positions of the parts the walk is in, outermost first.
    positions: Vec<u16>,
    facts: Vec<(String, String)>,
    /// The readings that were taken somewhere.
    measured: BTreeSet<Id<Characteristic>>,
}

impl<'a> Walk<'a> {
    /// The whole machine's own characteristics, then a group for each part of it.
    fn machine(&mut self) -> Vec<Group> {
        let Some(root) = self.book.root() else { return Vec::new() };
        let mut groups = Vec::new();
        let mut own = Vec::new();
        for (_, member) in &self.book.parts.get(root).members {
            match member {
                Member::Characteristic(id) => own.extend(self.line(*id, "").and_then(|line| self.or_fact(*id, line))),
                Member::Part(id) => groups.push(self.group(*id)),
            }
        }
        if !own.is_empty() {
            groups.insert(0, Group { name: None, spots: vec![Spot { name: None, lines: own }] });
        }
        groups.retain(|group| !group.spots.is_empty());
        groups
    }

    /// What the whole machine says in words that no row judges stands with its name and not among its measurements.
    fn or_fact(&mut self, id: Id<Characteristic>, line: Line) -> Option<Line> {
        let characteristic = self.book.characteristics.get(id);
        if matches!(characteristic.kind, Kind::Quantity(_)) || line.taken.is_empty() {
            return Some(line);
        }
        let said: Vec<String> = line.taken.iter().map(|taken| taken.written.clone()).collect();
        self.facts.push((line.name.clone(), said.join(", ")));
        (!line.rulings.is_empty()).then_some(line)
    }

    fn group(&mut self, id: Id<Part>) -> Group {
        let name = plain(&self.book.parts.get(id).name);
        let names: &'a [Box<str>] = &self.book.parts.get(id).positions;
        let mut spots = Vec::new();
        // Rows that compare positions come first: they are about all of them.
        let mut together = Vec::new();
        if !names.is_empty() {
            self.compared(id, "", &mut together);
        }
        spots.push(Spot { name: None, lines: together });
        if names.is_empty() {
            spots.push(Spot { name: None, lines: self.part(id, "") });
        }
        for position in self.generation.positions(id, names.len()) {
            let Some(name) = names.get(usize::from(position)) else { continue };
            self.positions.push(position);
            spots.push(Spot { name: Some(plain(name)), lines: self.part(id, "") });
            self.positions.pop();
        }
        spots.retain(|spot| !spot.lines.is_empty());
        Group { name: Some(name), spots }
    }

    /// Everything in a part at the positions the walk is at. Parts nest no deeper than the grammar lets them.
    fn part(&mut self, id: Id<Part>, inside: &str) -> Vec<Line> {
        let mut lines = Vec::new();
        for (_, member) in &self.book.parts.get(id).members {
            match member {
                Member::Characteristic(id) => lines.extend(self.line(*id, inside)),
                Member::Part(inner) => {
                    let part = self.book.parts.get(*inner);
                    let inside = joined(inside, &part.name);
                    if part.positions.is_empty() {
                        lines.extend(self.part(*inner, &inside));
                        continue;
                    }
                    self.compared(*inner, &inside, &mut lines);
                    for position in self.generation.positions(*inner, part.positions.len()) {
                        let Some(name) = part.positions.get(usize::from(position)) else { continue };
                        self.positions.push(position);
                        lines.extend(self.part(*inner, &joined(&inside, name)));
                        self.positions.pop();
                    }
                }
            }
        }
        lines
    }

    /// Rows that compare what is inside a part, whatever the position, with the positions the walk is at in common.
    fn compared(&mut self, id: Id<Part>, inside: &str, lines: &mut Vec<Line>) {
        for (_, member) in &self.book.parts.get(id).members {
            match member {
                Member::Characteristic(id) => {
                    let rulings = self.rulings.take(*id, &self.positions);
                    let name = plain(&self.book.characteristics.get(*id).name);
                    if !rulings.is_empty() {
                        let inside = inside.to_string();
                        lines.push(Line { inside, name, derived: true, taken: Vec::new(), rulings });
                    }
                }
                Member::Part(inner) => {
                    let inside = joined(inside, &self.book.parts.get(*inner).name);
                    self.compared(*inner, &inside, lines);
                }
            }
        }
    }

    /// How what was taken is measured, said once for all positions.
    fn how(&self) -> Vec<Measuring> {
        let mut how: Vec<(Id<Part>, Measuring)> = Vec::new();
        for id in &self.measured {
            let characteristic = self.book.characteristics.get(*id);
            let Some(measure) = &characteristic.texts.measure else { continue };
            let reading = (plain(&characteristic.name), measure.to_string());
            let part = characteristic.part;
            match how.iter_mut().find(|(other, _)| *other == part) {
                Some((_, here)) => here.readings.push(reading),
                None => {
                    let name = self.book.part_path(part, &[], " ");
                    let positions = self.book.parts.get(part).measure.as_ref().map(ToString::to_string);
                    let name = Some(plain(&name)).filter(|name| !name.is_empty());
                    how.push((part, Measuring { part: name, positions, readings: vec![reading] }));
                }
            }
        }
        how.into_iter().map(|(_, here)| here).collect()
    }

    fn line(&mut self, id: Id<Characteristic>, inside: &str) -> Option<Line> {
        let characteristic = self.book.characteristics.get(id);
        let derived = matches!(characteristic.origin, Origin::Derived(_));
        let instance = self.book.instance(characteristic.part, &self.positions);
        let taken = if derived { Vec::new() } else { taken(self.readings, characteristic, instance) };
        if !taken.is_empty() {
            self.measured.insert(id);
        }
        let rulings = self.rulings.take(id, &self.positions);
        let line = Line { inside: inside.to_string(), name: plain(&characteristic.name), derived, taken, rulings };
        (!line.taken.is_empty() || !line.rulings.is_empty()).then_some(line)
    }
}

fn joined(inside: &str, name: &str) -> String {
    if inside.is_empty() { plain(name) } else { format!("{inside} {}", plain(name)) }
}
