//! Every name of the rulebooks in a record, with what it means: parts, positions, readings and stations among its keys, choices and
//! the generation among its values, paths in its concessions. Refuses to judge whether they are as they should be.

use super::keys::{Led, lead_from};
use super::names::{Meaning, Occurrence};
use crate::bind::keys::{BUILD_HEADER, PART_HEADER, PARTS_HEADER};
use crate::bind::{self, part_named};
use crate::book::{Book, Id, Kind, Part, Step};
use crate::record::{MapNode, Node, ScalarNode, Sheet};
use crate::text::{Source, Span};

/// The names of a record, in order; and the places of keys that lead nowhere.
pub(super) fn record_names(book: &Book, sheet: &Sheet, source: &Source) -> (Vec<Occurrence>, Vec<Span>) {
    let mut walk = Walk { book, found: Vec::new(), lost: Vec::new() };
    if let (Some(Node::Map(map)), Some(root)) = (sheet.root(), book.root()) {
        if bind::is_loose(book, sheet) {
            for part in bind::loose_parts(book, sheet, source).0 {
                walk.loose(map, part.part, part.number.map(|_| part.span));
            }
            walk.header(map);
        } else {
            walk.header(map);
            walk.map(map, Led::Part(root, false), true);
        }
    }
    let Walk { mut found, lost, .. } = walk;
    found.sort_by_key(|one| one.span);
    found.dedup_by(|one, other| one.span == other.span);
    (found, lost)
}

/// Whether a key at the top of a record is about the build or the part as a whole.
fn is_about_all(key: &str) -> bool {
    [&BUILD_HEADER[..], &PART_HEADER, &PARTS_HEADER].iter().any(|keys| keys.contains(&key))
}

struct Walk<'a> {
    book: &'a Book,
    found: Vec<Occurrence>,
    lost: Vec<Span>,
}

impl Walk<'_> {
    fn say(&mut self, span: Span, meaning: Meaning) {
        self.found.push(Occurrence { span, meaning, declares: false });
    }

    /// What stands at the top of a record, or of one of its parts, and has names in it.
    fn header(&mut self, map: MapNode<'_>) {
        for (key, value) in map.entries() {
            match (key.text(), value) {
                ("generation", Node::Scalar(scalar)) => self.generation(scalar),
                ("generation", Node::List(list)) => {
                    list.items().filter_map(|item| item.as_scalar()).for_each(|item| self.generation(item));
                }
                ("part", Node::Scalar(scalar)) => self.path(scalar),
                ("concessions", Node::List(list)) => {
                    let rows = list.items().filter_map(|item| item.as_map()?.get("row")?.as_scalar());
                    rows.for_each(|row| self.path(row));
                }
                ("parts", Node::Map(places)) => places.entries().for_each(|(place, _)| self.path(place)),
                ("parts", Node::List(list)) => {
                    list.items().filter_map(|item| item.as_map()).for_each(|item| self.header(item));
                }
                _ => {}
            }
        }
    }

    fn generation(&mut self, scalar: ScalarNode<'_>) {
        if let (Some(id), Some(span)) = (self.book.generation_typed(scalar.text().trim()), scalar.text_span()) {
            self.say(span, Meaning::Generation(self.book.generations.get(id).name.clone()));
        }
    }

    /// A loose part: the whole file, or the entry of a list that stands at a span.
    fn loose(&mut self, root: MapNode<'_>, part: Id<Part>, entry: Option<Span>) {
        let of_list = |span: Span| {
            let mut entries = root.get("parts")?.as_list()?.items().filter_map(|item| item.as_map());
            entries.find(|map| map.span().start >= span.start && map.span().end <= span.end)
        };
        if let Some(map) = entry.map_or(Some(root), of_list) {
            self.map(map, Led::Part(part, false), true);
        }
    }

    /// The keys of a map that hangs below something. Maps nest no deeper than the reader lets them.
    fn map(&mut self, map: MapNode<'_>, at: Led, at_top: bool) {
        for (key, value) in map.entries() {
            let name = key.text();
            let step = match at {
                Led::Part(id, true) => {
                    self.book.parts.get(id).position_by_name.get(name).map(|at| Step::Position(id, *at))
                }
                Led::Part(id, false) => self.book.parts.get(id).member_by_name.get(name).map(|member| match member {
                    crate::book::Member::Part(inner) => Step::Part(*inner),
                    crate::book::Member::Characteristic(inner) => Step::Characteristic(*inner),
                }),
                Led::Reading(id, true) => self.station(id, name),
                Led::Reading(..) | Led::Said(_) => None,
            };
            match (step, at) {
                (Some(step), _) => {
                    key.text_span().into_iter().for_each(|span| self.say(span, Meaning::Step(step)));
                    if let Some(led) = lead_from(self.book, at, [name]) {
                        self.value(value, led);
                    }
                }
                (None, Led::Reading(id, _) | Led::Said(id)) if name == "value" => {
                    self.value(value, Led::Reading(id, true))
                }
                (None, Led::Reading(..) | Led::Said(_)) => {}
                (None, Led::Part(..)) if at_top && is_about_all(name) => {}
                (None, Led::Part(..)) => self.lost.push(key.span()),
            }
        }
    }

    fn station(&self, id: Id<crate::book::Characteristic>, name: &str) -> Option<Step> {
        let at = self.book.characteristics.get(id).stations().iter().position(|station| **station == *name)?;
        Some(Step::Station(id, u16::try_from(at).ok()?))
    }

    fn value(&mut self, value: Node<'_>, at: Led) {
        match value {
            Node::Map(map) => self.map(map, at, false),
            Node::List(list) => list.items().for_each(|item| self.value(item, at)),
            Node::Scalar(scalar) => {
                let Led::Reading(id, _) = at else { return };
                let Kind::Names(set) = self.book.characteristics.get(id).kind else { return };
                let number = self.book.sets.get(set).number_typed(scalar.text().trim());
                if let (Some(number), Some(span)) = (number, scalar.text_span()) {
                    self.say(span, Meaning::Member(set, number));
                }
            }
        }
    }

    /// A path from the whole machine, positions named or not, as a concession or a place for a part of the shelf has it.
    fn path(&mut self, scalar: ScalarNode<'_>) {
        let (Some(span), Some(root)) = (scalar.text_span(), self.book.root()) else { return };
        // The kind of a loose part may be said by its name alone.
        let own = part_named(self.book, scalar.text()).ok().filter(|_| !scalar.text().contains('.'));
        let own = own.filter(|part| *self.book.parts.get(*part).name == *scalar.text());
        if let Some(part) = own {
            self.say(span, Meaning::Step(Step::Part(part)));
            return;
        }
        let mut at = Led::Part(root, false);
        let mut from = span.start as usize;
        for (number, name) in scalar.text().split('.').enumerate() {
            let here = Span::new(from, from + name.len());
            from += name.len() + 1;
            if number == 0 && *self.book.parts.get(root).name == *name {
                self.say(here, Meaning::Step(Step::Part(root)));
                continue;
            }
            if let Led::Part(id, true) = at {
                at = Led::Part(id, false);
                if let Some(position) = self.book.parts.get(id).position_by_name.get(name) {
                    self.say(here, Meaning::Step(Step::Position(id, *position)));
                    continue;
                }
            }
            let step = match at {
                Led::Part(id, _) => match self.book.parts.get(id).member_by_name.get(name) {
                    Some(crate::book::Member::Part(inner)) => Some(Step::Part(*inner)),
                    Some(crate::book::Member::Characteristic(inner)) => Some(Step::Characteristic(*inner)),
                    None => None,
                },
                Led::Reading(id, _) | Led::Said(id) => self.station(id, name),
            };
            let (Some(step), Some(led)) = (step, lead_from(self.book, at, [name])) else {
                self.lost.push(here);
                return;
            };
            self.say(here, Meaning::Step(step));
            at = led;
        }
    }
}
