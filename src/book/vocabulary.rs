//! Parts, readings and derived values: the vocabulary that records are written in.

use super::compile::Draft;
use super::scope::{self, Lead};
use super::{Characteristic, Count, Id, Kind, Member, Origin, Part, Texts, wording, wording_plausible};
use crate::finding::Code;
use crate::syntax::tree::{self, Item, PartDeclaration, PartMember, PositionName, Tree};
use crate::text::{Place, Source};
use std::collections::BTreeMap;

/// A part with more positions than this is a slip of the pen.
const MOST_POSITIONS: usize = 1000;

impl Draft {
    pub(super) fn parts(&mut self, trees: &[&Tree]) {
        let mut first: Option<Place> = None;
        for tree in trees {
            for item in &tree.items {
                let Item::Part(part) = item else { continue };
                let place = tree.source.place(part.name.span);
                if let Some(first) = &first {
                    let finding = wording::second_root(&part.name.text, place, first);
                    self.say(finding);
                    continue;
                }
                if let Some(position) = part.positions.first() {
                    let finding = wording::root_with_positions(&part.name.text, tree.source.place(span_of(position)));
                    self.say(finding);
                }
                first = Some(place);
                self.part(part, None, &tree.source);
            }
        }
        for tree in trees {
            for item in &tree.items {
                if let Item::Extend(extend) = item {
                    self.extend(extend, &tree.source);
                }
            }
        }
        self.count_instances();
    }

    fn part(&mut self, part: &PartDeclaration, parent: Option<Id<Part>>, source: &Source) -> Id<Part> {
        let positions = if parent.is_some() { self.positions(&part.positions, &[], source) } else { Vec::new() };
        let position_by_name = numbered(&positions);
        let id = self.book.parts.push(Part {
            name: part.name.text.clone(),
            parent,
            positions,
            members: Vec::new(),
            member_by_name: rustc_hash::FxHashMap::default(),
            position_by_name,
            positioned: Vec::new(),
            expansion: None,
            measure: part.measure.as_ref().map(|measure| measure.words.text.clone()),
            instances: 1,
            place: source.place(part.name.span),
        });
        let mut taken: BTreeMap<&str, Place> = BTreeMap::new();
        for member in &part.members {
            let name = match member {
                PartMember::Reading(reading) => &reading.name,
                PartMember::Derive(derive) => &derive.name,
                PartMember::Part(inner) => &inner.name,
                PartMember::Expansion(expansion) => {
                    self.expansions.push((id, expansion.clone(), source.clone()));
                    continue;
                }
            };
            let place = source.place(name.span);
            if let Some(first) = taken.get(&*name.text) {
                let finding = wording::name_taken(&name.text, place, first);
                self.say(finding);
                continue;
            }
            let made = match member {
                PartMember::Reading(reading) => self.reading(reading, id, source).map(Member::Characteristic),
                PartMember::Derive(derive) => self.derived(derive, id, source).map(Member::Characteristic),
                PartMember::Part(inner) => Some(Member::Part(self.part(inner, Some(id), source))),
                PartMember::Expansion(_) => None,
            };
            if let Some(made) = made {
                let here = self.book.parts.get_mut(id);
                here.members.push((name.text.clone(), made));
                here.member_by_name.insert(name.text.clone(), made);
            }
            taken.insert(&name.text, place);
        }
        id
    }

    /// The names of positions, runs unfolded, added to those already there.
    fn positions(&mut self, names: &[PositionName], before: &[Box<str>], source: &Source) -> Vec<Box<str>> {
        let mut positions = before.to_vec();
        for name in names {
            let (unfolded, span): (Vec<Box<str>>, _) = match name {
                PositionName::One(name) => (vec![name.text.clone()], name.span),
                PositionName::Run { first, last, span } => {
                    let count = usize::from(last.saturating_sub(*first)) + 1;
                    if first > last || count > MOST_POSITIONS {
                        let finding = wording::position_run(*first, *last, source.place(*span));
                        self.say(finding);
                        continue;
                    }
                    ((*first..=*last).map(|number| number.to_string().into_boxed_str()).collect(), *span)
                }
            };
            for position in unfolded {
                if positions.contains(&position) {
                    let finding = wording::position_twice(&position, source.place(span));
                    self.say(finding);
                } else {
                    positions.push(position);
                }
            }
        }
        positions
    }

    fn reading(
        &mut self,
        reading: &tree::ReadingDeclaration,
        part: Id<Part>,
        source: &Source,
    ) -> Option<Id<Characteristic>> {
        let Some((kind, unit)) = self.kind(&reading.kind, source) else {
            self.spoilt.insert((Code::NameUnknown, reading.name.text.to_string()));
            return None;
        };
        let stations =
            self.positions(&reading.stations.iter().cloned().map(PositionName::One).collect::<Vec<_>>(), &[], source);
        let count = match reading.count {
            None => Count::ONE,
            Some(count) if count.readings == 0 => {
                let finding = wording::no_readings(source.place(count.span));
                self.say(finding);
                return None;
            }
            Some(count) => Count { least: count.readings, most: (!count.or_more).then_some(count.readings) },
        };
        let agree = self.agreement(reading, (kind, !stations.is_empty() || count != Count::ONE), source);
        if let (Some(word), false) = (reading.negative, matches!(kind, Kind::Quantity(_))) {
            let finding = wording_plausible::negative_without_numbers(&reading.name.text, source.place(word));
            self.say(finding);
        }
        let texts = self.texts(&reading.texts, source);
        let (optional, may_be_negative) = (reading.optional, reading.negative.is_some());
        Some(self.book.characteristics.push(Characteristic {
            name: reading.name.text.clone(),
            part,
            kind,
            unit,
            origin: Origin::Reading { stations, optional, count, may_be_negative, agree },
            texts,
            place: source.place(reading.name.span),
            first_slot: 0,
        }))
    }

    fn derived(
        &mut self,
        derive: &tree::DeriveDeclaration,
        part: Id<Part>,
        source: &Source,
    ) -> Option<Id<Characteristic>> {
        let Some((kind, unit)) = self.kind(&derive.kind, source) else {
            self.spoilt.insert((Code::NameUnknown, derive.name.text.to_string()));
            return None;
        };
        let texts = self.texts(&derive.texts, source);
        let id = self.book.characteristics.push(Characteristic {
            name: derive.name.text.clone(),
            part,
            kind,
            unit,
            origin: Origin::Derived(None),
            texts,
            place: source.place(derive.name.span),
            first_slot: 0,
        });
        self.derivations.push((id, derive.clone(), source.clone()));
        Some(id)
    }

    /// Sentences, with the source they name looked up.
    pub(super) fn texts(&mut self, texts: &tree::Texts, source: &Source) -> Texts {
        let words = |words: &Option<tree::Words>| words.as_ref().map(|words| words.text.clone());
        let provenance = self.provenance(texts.from.as_ref(), source);
        let standard_from = self.provenance(texts.standard_from.as_ref(), source);
        let limit_from = self.provenance(texts.limit_from.as_ref(), source);
        Texts {
            because: words(&texts.because),
            remedy: words(&texts.remedy),
            caution: words(&texts.caution),
            measure: words(&texts.measure),
            provenance,
            standard_from,
            limit_from,
        }
    }

    fn extend(&mut self, extend: &tree::Extend, source: &Source) {
        let Some(root) = self.book.root() else {
            let finding = wording::no_root(source.place(extend.span));
            self.say(finding);
            return;
        };
        let part = match scope::look_up(&self.book, root, &extend.part) {
            Lead::Part(part) => part,
            lead => {
                let finding = match lead {
                    Lead::Reach(..) => wording::not_a_part(&extend.part, source),
                    lead => wording::lost(&self.book, Some(root), &extend.part, lead, source),
                };
                self.say(finding);
                return;
            }
        };
        let before = self.book.parts.get(part).positions.clone();
        if before.is_empty() {
            let finding = wording::extend_single(&self.book.parts.get(part).name, source.place(extend.part.span));
            self.say(finding);
            return;
        }
        let positions = self.positions(&extend.positions, &before, source);
        let part = self.book.parts.get_mut(part);
        part.position_by_name = numbered(&positions);
        part.positions = positions;
    }

    fn count_instances(&mut self) {
        // A part always comes after the one it belongs to, so one pass from the front is enough.
        for id in self.book.parts.ids() {
            let (mut positioned, mut instances) = match self.book.parts.get(id).parent {
                Some(parent) => {
                    let parent = self.book.parts.get(parent);
                    (parent.positioned.clone(), parent.instances)
                }
                None => (Vec::new(), 1),
            };
            let part = self.book.parts.get_mut(id);
            if !part.positions.is_empty() {
                positioned.push(id);
                instances = instances.saturating_mul(part.positions.len());
            }
            part.positioned = positioned;
            part.instances = instances;
        }
    }
}

fn span_of(position: &PositionName) -> crate::text::Span {
    match position {
        PositionName::One(name) => name.span,
        PositionName::Run { span, .. } => *span,
    }
}

fn numbered(positions: &[Box<str>]) -> rustc_hash::FxHashMap<Box<str>, u16> {
    positions.iter().zip(0..=u16::MAX).map(|(name, number)| (name.clone(), number)).collect()
}
