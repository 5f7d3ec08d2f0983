//! What is still to be measured before a build can be judged: the readings its rows lack, gathered by part, in the order the books
//! declare them. Refuses to name a derived value, since nobody can measure one.

use super::evaluate::Bench;
use super::reporter::Reporter;
use super::{Found, Grade, GradeSet, Ruling, Verdict, inputs, wording};
use crate::bind::State;
use crate::book::{Book, Characteristic, Generation, Id, Kind, Member, Origin, Part};
use crate::plan::Plan;
use crate::text::Place;
use std::collections::BTreeMap;

/// The readings that rows lack at one part, at one of its positions.
#[derive(Clone, PartialEq, Debug)]
pub struct ToMeasure {
    /// Why they are wanted.
    pub wanted: Wanted,
    /// The part and its position, as a record's keys say it: `rotor.front`; empty for the whole machine.
    pub part: String,
    /// The part in words: `rotor front`; the machine's own word for the whole of it.
    pub on: String,
    /// The readings, in the order the books declare them; at least one.
    pub readings: Vec<MissingReading>,
}

/// One reading that is missing, at one place or at several.
#[derive(Clone, PartialEq, Debug)]
pub struct MissingReading {
    /// What it is inside the part, in words: `apex height`.
    pub name: String,
    /// At how many places it is missing.
    pub missing: usize,
    /// At how many places of the part it is taken.
    pub of: usize,
    /// Both as a list says it: `3 of 6 apex heights`, with the reason where the record gives one.
    pub words: String,
    /// Why it counts as missing though something is written, each reason once.
    pub reasons: Vec<String>,
    /// Where the record says the first `unknown` of them.
    pub place: Option<Place>,
}

/// Why a missing reading is wanted.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Wanted {
    /// A row that binds lacks it, and the record does not have it.
    Missing,
    /// A row that binds lacks it, and the record says `unknown`: it was looked for, and cannot be read.
    Unknown,
    /// Only advisory rows lack it.
    Advice,
}

impl Wanted {
    /// Every reason, the one that weighs most first.
    pub const ALL: [Wanted; 3] = [Wanted::Missing, Wanted::Unknown, Wanted::Advice];

    /// The word in documents.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Wanted::Missing => "missing",
            Wanted::Unknown => "unknown",
            Wanted::Advice => "advice",
        }
    }
}

impl Reporter<'_> {
    /// The readings that the rows of these grades lack, those that bind first. What has an error of its own in the record is not
    /// among them: it was said there.
    #[must_use]
    pub fn to_measure(&self, verdict: &Verdict, grades: GradeSet) -> Vec<ToMeasure> {
        let mut lacking: BTreeMap<usize, Wanted> = BTreeMap::new();
        for ruling in verdict.rulings.iter().filter(|one| grades.shows(one.grade, one.advisory)) {
            for slot in self.slots_lacking(ruling) {
                let wanted = match self.readings.state(slot) {
                    State::Unusable(_) => continue,
                    _ if ruling.advisory => Wanted::Advice,
                    State::Unknown(_) => Wanted::Unknown,
                    _ => Wanted::Missing,
                };
                let before = lacking.entry(slot).or_insert(wanted);
                *before = wanted.min(*before);
            }
        }
        if lacking.is_empty() { Vec::new() } else { List { reporter: self, lacking, lines: Vec::new() }.gather() }
    }

    /// The readings a ruling lacks. Where what decides whether the row applies is missing, what the row is about counts as well: it
    /// is as likely as not to be asked for.
    fn slots_lacking(&self, ruling: &Ruling) -> Vec<usize> {
        let Some(check) = self.plan.checks.get(ruling.check).filter(|_| ruling.grade == Grade::Unmeasured) else {
            return Vec::new();
        };
        let bench: &Bench<'_> = &self.bench;
        let mut slots = match ruling.found {
            Found::Missing | Found::ConditionMissing => inputs::needed(check, Found::Missing),
            _ => return Vec::new(),
        };
        if ruling.found == Found::ConditionMissing {
            slots.extend(inputs::needed(check, ruling.found));
        }
        inputs::lacking(bench, &slots)
    }
}

/// The list as it is made.
struct List<'a> {
    reporter: &'a Reporter<'a>,
    lacking: BTreeMap<usize, Wanted>,
    lines: Vec<ToMeasure>,
}

impl List<'_> {
    fn book(&self) -> &Book {
        self.reporter.book
    }

    fn generation(&self) -> &Generation {
        let plan: &Plan = self.reporter.plan;
        self.book().generations.get(plan.generation)
    }

    /// The whole machine's own readings, then a line for each position of each part of it; each kind by itself.
    fn gather(mut self) -> Vec<ToMeasure> {
        let Some(root) = self.book().root() else { return Vec::new() };
        for wanted in Wanted::ALL {
            let machine = self.book().parts.get(root);
            let own: Vec<Id<Characteristic>> = characteristics(machine).collect();
            let parts: Vec<Id<Part>> = parts(machine).collect();
            let at = self.positions(root, &[Vec::new()]);
            let mut readings = Vec::new();
            for id in own {
                readings.extend(self.reading(id, &at, "", wanted));
            }
            let name = machine.name.replace('_', " ");
            self.line(wanted, String::new(), name, readings);
            for part in parts {
                for at in self.positions(part, &at) {
                    let mut readings = Vec::new();
                    self.part(part, std::slice::from_ref(&at), "", wanted, &mut readings);
                    let named = |between: &str| self.book().part_path(part, &at, between);
                    let (path, words) = (named("."), named(" ").replace('_', " "));
                    self.line(wanted, path, words, readings);
                }
            }
        }
        self.lines
    }

    fn line(&mut self, wanted: Wanted, part: String, on: String, readings: Vec<MissingReading>) {
        if !readings.is_empty() {
            self.lines.push(ToMeasure { wanted, part, on, readings });
        }
    }

    /// The instances of a part inside those of the part around it.
    fn positions(&self, id: Id<Part>, around: &[Vec<u16>]) -> Vec<Vec<u16>> {
        let declared = self.book().parts.get(id).positions.len();
        if declared == 0 {
            return around.to_vec();
        }
        let here = self.generation().positions(id, declared);
        let at = |before: &Vec<u16>| -> Vec<Vec<u16>> {
            here.iter().map(|position| before.iter().copied().chain([*position]).collect()).collect()
        };
        around.iter().flat_map(at).collect()
    }

    /// Everything in a part at some of its positions. Parts nest no deeper than the grammar lets them.
    fn part(&self, id: Id<Part>, at: &[Vec<u16>], inside: &str, wanted: Wanted, readings: &mut Vec<MissingReading>) {
        let part = self.book().parts.get(id);
        for (_, member) in &part.members {
            match member {
                Member::Characteristic(id) => readings.extend(self.reading(*id, at, inside, wanted)),
                Member::Part(inner) => {
                    let name = self.book().parts.get(*inner).name.replace('_', " ");
                    let inside = joined(inside, &name);
                    self.part(*inner, &self.positions(*inner, at), &inside, wanted, readings);
                }
            }
        }
    }

    /// Why a slot counts as not measured, if the record says or what it says cannot be.
    fn reason(&self, slot: usize) -> Option<String> {
        let readings = self.reporter.readings;
        match readings.state(slot) {
            State::SetAside(_) => Some(match readings.aside(slot) {
                [one] => wording::set_aside(readings.slice(one.span)),
                several => wording::several_set_aside(several.len()),
            }),
            _ => readings.unknown_because(slot).map(str::to_owned),
        }
    }

    /// The parts inside a line's part, each with its position: `apex 2`.
    fn inner(&self, part: Id<Part>, positions: &[u16], inside: &str) -> String {
        let chain = &self.book().parts.get(part).positioned;
        let named = chain.iter().zip(positions).skip(1).map(|(id, position)| {
            let part = self.book().parts.get(*id);
            let at = part.positions.get(usize::from(*position)).map_or("", |name| &**name);
            format!("{} {at}", part.name).replace('_', " ")
        });
        let named: Vec<String> = named.collect();
        if named.is_empty() { inside.to_owned() } else { named.join(" ") }
    }

    /// A reading at all these instances, if it is missing at one of them.
    fn reading(&self, id: Id<Characteristic>, at: &[Vec<u16>], inside: &str, wanted: Wanted) -> Option<MissingReading> {
        let characteristic = self.book().characteristics.get(id);
        if !matches!(characteristic.origin, Origin::Reading { .. }) {
            return None;
        }
        let mut missing: Vec<Option<&str>> = Vec::new();
        let mut first: Option<&[u16]> = None;
        let mut reasons: Vec<String> = Vec::new();
        let mut place: Option<Place> = None;
        for positions in at {
            let instance = self.book().instance(characteristic.part, positions);
            for station in 0..characteristic.slots_each() {
                let slot = characteristic.slot(instance, station);
                if self.lacking.get(&slot) != Some(&wanted) {
                    continue;
                }
                first = first.or(Some(positions));
                if let (State::Unknown(span), None) = (self.reporter.readings.state(slot), &place) {
                    place = Some(self.reporter.readings.place(span));
                }
                missing.push(characteristic.stations().get(station).map(|name| &**name));
                let reason = self.reason(slot);
                reasons.extend(reason.filter(|reason| !reasons.contains(reason)));
            }
        }
        if missing.is_empty() {
            return None;
        }
        let own = characteristic.name.replace('_', " ");
        let name = joined(inside, &own);
        let of = at.len() * characteristic.slots_each();
        // One place among several is named, so that nobody has to look for it.
        let named = match (first, missing.as_slice(), at) {
            (Some(positions), [station], [_, _, ..]) => {
                let words = joined(&self.inner(characteristic.part, positions, inside), &own);
                station.map_or(words.clone(), |station| format!("{words} at {station}"))
            }
            _ => name.clone(),
        };
        let stations: Option<Vec<&str>> = if at.len() == 1 { missing.iter().copied().collect() } else { None };
        let countable = characteristic.kind != Kind::YesNo;
        let words = wording::missing_reading(&named, countable, (missing.len(), of), stations.as_deref(), &reasons);
        Some(MissingReading { name, missing: missing.len(), of, words, reasons, place })
    }
}

/// Two steps of a way in words; what the second begins with is not said twice: `side`, `side seal`.
fn joined(inside: &str, name: &str) -> String {
    let last = inside.rsplit(' ').next().unwrap_or_default();
    match name.strip_prefix(last).is_some_and(|rest| rest.starts_with(' ')) {
        _ if inside.is_empty() => name.to_owned(),
        true => format!("{}{name}", inside.strip_suffix(last).unwrap_or_default()),
        false => format!("{inside} {name}"),
    }
}

fn characteristics(part: &Part) -> impl Iterator<Item = Id<Characteristic>> {
    part.members.iter().filter_map(|(_, member)| match member {
        Member::Characteristic(id) => Some(*id),
        Member::Part(_) => None,
    })
}

fn parts(part: &Part) -> impl Iterator<Item = Id<Part>> {
    part.members.iter().filter_map(|(_, member)| match member {
        Member::Part(id) => Some(*id),
        Member::Characteristic(_) => None,
    })
}
