//! Lays the blank of a record beside what is written in it and what it came to. Refuses to judge.

use super::written::Held;
use super::{DerivedLine, EntryKind, Field, Head, Line, ReadingLine, Section, Worksheet};
use crate::bind;
use crate::blank::{self, Blank, Entry, blank, blank_part};
use crate::book::{Book, Characteristic, Id, Kind, Origin};
use crate::finding::Finding;
use crate::judge::{GradeSet, ReportedBefore, RulingReport};
use crate::quantity::{Date, Unit};
use crate::record::edit::Step;
use crate::record::{Node, Record};
use crate::shop::{Ask, Checked, Shop};
use rustc_hash::FxHashMap;
use std::collections::BTreeMap;
use std::sync::Arc;

/// So many units are offered beside the book's own. Common practice: more do not fit beside an input on a phone.
const MOST_UNITS: usize = 3;

/// And none that is more than a hundred times as large or small, in powers of ten. Common practice.
const FARTHEST: f64 = 2.0;

/// What a record says about itself at its top, for builds and for loose parts.
const HEADS: [&str; 3] = ["finished", "serial", "notes"];
const PART_HEADS: [&str; 4] = ["measured", "serial", "state", "notes"];

/// A record on the bench: a build, or the loose part with a tag; `None` if there is no such part, or nothing that asks for
/// anything since its generation is not known. `before` is another state of the same record, of the same shop: what did not
/// change is taken from there.
#[must_use]
pub fn worksheet(
    shop: &Shop,
    record: &Record,
    tag: Option<&str>,
    today: Option<Date>,
    before: Option<&Worksheet>,
) -> Option<Worksheet> {
    let (mut checked, rulings, told) = if shop.is_loose(record) {
        let ask = Ask { tell: GradeSet::NONE, rulings: true, as_of: None };
        let mut all = shop.check_all(record, &ask, &[]);
        let number = match tag {
            Some(tag) => all.iter().position(|one| one.build == tag)?,
            None => 0,
        };
        let mut checked = (number < all.len()).then(|| all.swap_remove(number))?;
        let rulings = checked.rulings.drain(..).map(|told| Arc::new(RulingReport { place: None, ..told })).collect();
        (checked, rulings, None)
    } else {
        let (checked, told) = shop.check_again(record, before.and_then(|before| before.told.as_ref()));
        if tag.is_some_and(|tag| tag != checked.build) {
            return None;
        }
        let rulings: Vec<Arc<RulingReport>> = told.iter().flat_map(ReportedBefore::told).cloned().collect();
        (checked, rulings, told)
    };
    checked.hold_against(today);
    let (asked_for, at) = asked(shop, record, &checked, before)?;
    let mut gathering = Gathering::new((&shop.book, &asked_for), record, &at, rulings);
    gathering.findings = std::mem::take(&mut checked.findings);
    gathering.before = checked.part.as_ref().map_or_else(String::new, |part| format!("{}.", part.part));
    Some(Worksheet { told, ..gathering.whole(shop, asked_for.clone(), at.clone(), checked) })
}

/// What is asked for, and the way to it in the file.
fn asked(
    shop: &Shop,
    record: &Record,
    checked: &Checked,
    before: Option<&Worksheet>,
) -> Option<(Arc<AskedFor>, Vec<Step>)> {
    let book = &shop.book;
    let generation = checked.generation.as_deref().and_then(|name| book.generation(name));
    let Some(part) = &checked.part else {
        let asks_the_same = |before: &&Worksheet| {
            before.checked.part.is_none()
                && (&before.checked.generation, before.checked.finished) == (&checked.generation, checked.finished)
        };
        if let Some(before) = before.filter(asks_the_same) {
            return Some((before.asked_for.clone(), Vec::new()));
        }
        let plan = shop.plan(generation?)?;
        let blank = blank(book, plan, checked.finished, &[]);
        return Some((Arc::new(AskedFor::new(book, blank)), Vec::new()));
    };
    let (parts, _) = bind::loose_parts(book, record.sheet.as_ref()?, &record.source);
    let loose = parts.iter().find(|one| Shop::part_name(record, one) == checked.build)?;
    let one = (part.alternatives.len() <= 1).then_some(generation).flatten();
    let blank = blank_part(book, loose.part, checked.finished, &shop.places_of(loose.part, one));
    let at = loose.number.map_or_else(Vec::new, |number| vec![Step::from("parts"), Step::Item(number)]);
    Some((Arc::new(AskedFor::new(book, blank)), at))
}

/// What a record is asked for, the same for every state of it.
#[derive(Debug)]
pub(super) struct AskedFor {
    blank: Blank,
    /// How each reading is entered.
    entries: FxHashMap<Id<Characteristic>, EntryKind>,
}

impl AskedFor {
    fn new(book: &Book, blank: Blank) -> AskedFor {
        let mut entries = FxHashMap::default();
        entry_kinds(book, &blank.entries, &mut entries);
        AskedFor { blank, entries }
    }
}

/// Adds how each reading is entered.
fn entry_kinds(book: &Book, entries: &[Entry], all: &mut FxHashMap<Id<Characteristic>, EntryKind>) {
    for entry in entries {
        match entry {
            Entry::Reading(reading) => {
                all.entry(reading.id).or_insert_with(|| entry_kind(book, book.characteristics.get(reading.id)));
            }
            Entry::Part(part) => part.instances.iter().for_each(|(_, inner)| entry_kinds(book, inner, all)),
            Entry::Derived(_) => {}
        }
    }
}

struct Gathering<'a> {
    book: &'a Book,
    asked_for: &'a AskedFor,
    record: &'a Record,
    at: &'a [Step],
    /// The rulings that stand on no line yet, by their ways.
    told: BTreeMap<String, Vec<Arc<RulingReport>>>,
    findings: Vec<Finding>,
    /// The way to the part a loose part's record is about, which its rulings have and its keys do not.
    before: String,
    /// Parts of the shelf: the way to each, and its tag.
    from_shelf: Vec<(String, String)>,
    sections: Vec<Section>,
    required: usize,
    taken: usize,
}

impl<'a> Gathering<'a> {
    fn new(
        (book, asked_for): (&'a Book, &'a AskedFor),
        record: &'a Record,
        at: &'a [Step],
        rulings: Vec<Arc<RulingReport>>,
    ) -> Gathering<'a> {
        let mut told: BTreeMap<String, Vec<Arc<RulingReport>>> = BTreeMap::new();
        for one in rulings {
            match told.get_mut(&one.path) {
                Some(list) => list.push(one),
                None => drop(told.insert(one.path.clone(), vec![one])),
            }
        }
        Gathering {
            book,
            asked_for,
            record,
            at,
            told,
            findings: Vec::new(),
            before: String::new(),
            from_shelf: Vec::new(),
            sections: Vec::new(),
            required: 0,
            taken: 0,
        }
    }

    fn root(&self) -> Option<Node<'a>> {
        self.record.sheet.as_ref().and_then(|sheet| sheet.root())
    }

    fn whole(mut self, shop: &Shop, asked_for: Arc<AskedFor>, at: Vec<Step>, checked: Checked) -> Worksheet {
        if checked.part.is_none()
            && let Some(parts) = self.root().and_then(|root| root.as_map()?.get("parts")?.as_map())
        {
            let texts = parts.entries().filter_map(|(key, value)| Some((key, value.as_scalar()?)));
            self.from_shelf = texts.map(|(key, value)| (format!("{}.", key.text()), value.text().to_owned())).collect();
        }
        let blank = &asked_for.blank;
        self.entries(String::new(), String::new(), None, &blank.entries, &[]);
        let heads = if checked.part.is_some() { &PART_HEADS[..] } else { &HEADS[..] };
        let heads = heads.iter().map(|key| self.head(key)).collect();
        // A ruling on one part of a loose part's kind has its way from the whole machine.
        let mut together: Vec<Arc<RulingReport>> = std::mem::take(&mut self.told).into_values().flatten().collect();
        together.sort_by_key(|one| (one.row.span.start, one.path.clone()));
        let own = self.record.source.name().to_owned();
        let generation = (!blank.generation.is_empty()).then(|| (blank.generation.clone(), blank.description.clone()));
        Worksheet {
            generation,
            heads,
            sections: self.sections,
            together,
            others: self.findings,
            required: self.required,
            taken: self.taken,
            gauges: gauges(shop, self.record),
            concessions: concessions(self.record),
            at,
            cautions: blank.cautions.clone(),
            asked_for: asked_for.clone(),
            told: None,
            checked: Checked { file: own, ..checked },
        }
    }

    fn head(&self, key: &'static str) -> Head {
        let path: Vec<Step> = self.at.iter().cloned().chain([Step::from(key)]).collect();
        let held = Held::at(self.root(), &path);
        let texts =
            held.items.iter().map(|item| item.text.as_str()).chain(held.beside.iter().map(|(name, _)| name.as_str()));
        Head { key, text: texts.collect::<Vec<_>>().join("; "), is_fixed: !held.is_plain() }
    }

    /// The lines of a part and of the parts inside it.
    fn entries(&mut self, key: String, name: String, measure: Option<&str>, entries: &[Entry], within: &[Step]) {
        let lines: Vec<Line> = entries
            .iter()
            .filter_map(|entry| match entry {
                Entry::Reading(reading) => Some(Line::Reading(self.reading(&key, reading, within))),
                Entry::Derived(derived) => Some(Line::Derived(self.derived(&key, derived))),
                Entry::Part(_) => None,
            })
            .collect();
        if !lines.is_empty() {
            self.sections.push(Section {
                key: key.clone(),
                name: name.clone(),
                measure: measure.map(str::to_owned),
                lines,
            });
        }
        for entry in entries {
            let Entry::Part(part) = entry else { continue };
            for (number, (position, inner)) in part.instances.iter().enumerate() {
                let steps = [Some(part.name.as_str()), position.as_deref()];
                let mut within = within.to_vec();
                let (mut key, mut name) = (key.clone(), name.clone());
                for step in steps.into_iter().flatten() {
                    within.push(Step::from(step));
                    key = if key.is_empty() { step.to_owned() } else { format!("{key}.{step}") };
                    let words = step.replace('_', " ");
                    name = if name.is_empty() { words } else { format!("{name} {words}") };
                }
                let measure = part.measure.as_deref().filter(|_| number == 0);
                self.entries(key, name, measure, inner, &within);
            }
        }
    }

    fn take(&mut self, key: &str) -> Vec<Arc<RulingReport>> {
        self.told.remove(&format!("{}{key}", self.before)).unwrap_or_default()
    }

    fn reading(&mut self, key: &str, reading: &blank::Reading, within: &[Step]) -> ReadingLine {
        let characteristic = self.book.characteristics.get(reading.id);
        let key = if key.is_empty() { reading.name.clone() } else { format!("{key}.{}", reading.name) };
        let mut path: Vec<Step> = self.at.iter().chain(within).cloned().collect();
        path.push(Step::from(reading.name.as_str()));
        let told = if reading.stations.is_empty() { Vec::new() } else { self.take(&key) };
        let mut rows = reading.rows.clone();
        let fields = if reading.stations.is_empty() {
            vec![self.field(key, None, path, reading.optional)]
        } else {
            let mut fields = Vec::new();
            for (station, of_station) in &reading.stations {
                let words = station.replace('_', " ");
                rows.extend(of_station.iter().map(|row| format!("{words}: {row}")));
                let path: Vec<Step> = path.iter().cloned().chain([Step::from(station.as_str())]).collect();
                fields.push(self.field(format!("{key}.{station}"), Some(words), path, reading.optional));
            }
            fields
        };
        let (least, most) = match &characteristic.origin {
            Origin::Reading { count, .. } => (usize::from(count.least), count.most.map(usize::from)),
            Origin::Derived(_) => (1, Some(1)),
        };
        ReadingLine {
            name: reading.name.replace('_', " "),
            optional: reading.optional,
            what: reading.what.clone(),
            measure: reading.measure.clone(),
            rows,
            entry: self.asked_for.entries.get(&reading.id).cloned().unwrap_or(EntryKind::Words),
            least,
            most,
            fields,
            told,
        }
    }

    fn field(&mut self, key: String, station: Option<String>, path: Vec<Step>, optional: bool) -> Field {
        let held = Held::at(self.root(), &path);
        let told = self.take(&key);
        let mut findings = Vec::new();
        if let Some(span) = held.span {
            let source = &self.record.source;
            let here = |finding: &mut Finding| {
                finding.place.as_ref().is_some_and(|(place, _)| {
                    let inside = place.span.start >= span.start && place.span.end <= span.end;
                    inside && place.source.name() == source.name()
                })
            };
            findings = self.findings.extract_if(.., here).collect();
        }
        if !optional {
            self.required += 1;
            let shelved = self.from_shelf.iter().any(|(part, _)| key.starts_with(part));
            self.taken += usize::from(held.is_written() || shelved);
        }
        Field { key, station, path, held, told, findings }
    }

    fn derived(&mut self, key: &str, derived: &blank::Derived) -> DerivedLine {
        let key = if key.is_empty() { derived.name.clone() } else { format!("{key}.{}", derived.name) };
        DerivedLine {
            told: self.take(&key),
            name: derived.name.replace('_', " "),
            formula: derived.formula.clone(),
            rows: derived.rows.clone(),
            key,
        }
    }
}

/// How a reading is entered.
fn entry_kind(book: &Book, characteristic: &Characteristic) -> EntryKind {
    match characteristic.kind {
        Kind::YesNo => EntryKind::OneOf(vec!["yes".into(), "no".into()]),
        Kind::Text => EntryKind::Words,
        Kind::Names(set) => EntryKind::OneOf(book.sets.get(set).names.iter().map(|name| name.to_string()).collect()),
        Kind::Quantity(dimension) => {
            let own = characteristic.unit.as_ref().filter(|unit| !unit.symbol.is_empty());
            let Some(own) = own else { return EntryKind::Number(Vec::new()) };
            // Units of about its size: nobody writes the width of a part in kilometres.
            let size = |unit: &&Unit| own.decimal(&unit.size).parse::<f64>().ok().map(|size| size.log10().abs());
            let mut others: Vec<(f64, String)> = book
                .units
                .of_dimension(dimension)
                .filter(|unit| unit.zero.is_some() == own.zero.is_some())
                .filter_map(|unit| Some((size(&unit)?, unit.symbol.to_string())))
                .filter(|(size, name)| *size <= FARTHEST && !name.is_empty() && *name != *own.symbol)
                .collect();
            others.sort_by(|(one, _), (other, _)| one.total_cmp(other));
            let mut names = vec![own.symbol.to_string()];
            names.extend(others.into_iter().map(|(_, name)| name).take(MOST_UNITS));
            EntryKind::Number(names)
        }
    }
}

/// The gauges a record may name: its own, then its shop's.
fn gauges(shop: &Shop, record: &Record) -> Vec<String> {
    let root = record.sheet.as_ref().and_then(|sheet| sheet.root());
    let own = root.and_then(|root| root.as_map()?.get("gauges")?.as_map());
    let mut names: Vec<String> =
        own.iter().flat_map(|map| map.entries()).map(|(key, _)| key.text().to_owned()).collect();
    for name in shop.gauge_names() {
        if !names.contains(&name) {
            names.push(name);
        }
    }
    names
}

fn concessions(record: &Record) -> Vec<[String; 4]> {
    let root = record.sheet.as_ref().and_then(|sheet| sheet.root());
    let list = root.and_then(|root| root.as_map()?.get("concessions")?.as_list());
    let text = |item: Node<'_>, key: &str| {
        let scalar = item.as_map().and_then(|map| map.get(key)?.as_scalar().map(|scalar| scalar.text().to_owned()));
        scalar.unwrap_or_default()
    };
    let items = list.iter().flat_map(|list| list.items());
    items.map(|item| ["row", "because", "by", "until"].map(|key| text(item, key))).collect()
}
