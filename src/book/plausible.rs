//! Plausible ranges: what a reading can be at all, on any part of a generation however worn, and what a gauge's figures can
//! be. Refuses to say what a good value is.

use super::compile::Draft;
use super::evaluate::{Impossible, evaluate};
use super::expression::{Expression, Kind, Range, RangeKind, Reach, Selector};
use super::{Book, Bound, Generation, Id, Origin, Texts, wording, wording_plausible};
use crate::quantity::{Band, Days, Dimension, End, Side, Unit, Value};
use crate::syntax::tree::{self, Item, Tree};
use crate::text::{Place, Source};
use std::sync::Arc;

/// What a reading can be at all on one generation. Of a reading taken several times, or at stations, every value is meant.
#[derive(Clone, Debug)]
pub struct Plausible {
    /// The reading, and which positions of its parts.
    pub subject: Reach,
    /// The range. Its ends are known without a record.
    pub range: Range,
    /// Whether zero is plausible too: nothing was found, and the least that can be read lies above it.
    pub or_zero: bool,
    /// Why, and where it comes from.
    pub texts: Texts,
    /// Its path as the book writes it.
    pub path: Box<str>,
    /// On which days: a shop may narrow a range from a day on.
    pub days: Days,
    /// The shop that narrowed the range; `None` for a range of the generation itself.
    pub shop: Option<Box<str>>,
    /// Where it is declared.
    pub place: Place,
}

/// What the uncertainty and the resolution of a gauge can be at all.
#[derive(Clone, Debug)]
pub struct PlausibleGauges {
    /// What such gauges measure; of a scale, its differences.
    pub dimension: Dimension,
    /// The unit it is declared in.
    pub unit: Unit,
    /// The range, in base units.
    pub band: Band,
    /// Why, and where it comes from.
    pub texts: Texts,
    /// The range as the book writes it.
    pub range: Place,
    /// Where it is declared.
    pub place: Place,
}

impl Book {
    /// The range of gauges for a dimension, if a figure surely lies outside it. Of a scale, its differences are meant.
    #[must_use]
    pub fn implausible_for_gauges(&self, dimension: Dimension, figure: &Value) -> Option<&PlausibleGauges> {
        let declared = self.plausible_gauges.iter().find(|declared| declared.dimension == dimension.difference())?;
        matches!(declared.band.locate(figure), Side::Below | Side::Above).then_some(declared)
    }
}

/// The plausible ranges of a generation being made, each with whether it is inherited.
pub(super) type Ranges = Vec<(Arc<Plausible>, bool)>;

/// The plausible ranges of the generation followed, as its follower has them.
pub(super) fn inherited(generation: Option<&Generation>) -> Ranges {
    generation
        .map_or_else(Vec::new, |generation| generation.plausible.iter().map(|range| (range.clone(), true)).collect())
}

impl Plausible {
    /// Whether it is about everything that another reach leads to.
    #[must_use]
    pub fn covers(&self, reach: &Reach) -> bool {
        let wider = |(own, other): (&Selector, &Selector)| !matches!(own, Selector::At(_)) || own == other;
        self.subject.characteristic == reach.characteristic
            && (self.subject.station.is_none() || self.subject.station == reach.station)
            && self.subject.selectors.iter().zip(&reach.selectors).all(wider)
    }

    /// Whether it is about a value at some positions and a station.
    #[must_use]
    pub fn is_about(&self, positions: &[u16], station: Option<u16>) -> bool {
        let here = |(selector, position): (&Selector, &u16)| match selector {
            Selector::At(at) => at == position,
            Selector::All | Selector::Same(_) => true,
        };
        (self.subject.station.is_none() || self.subject.station == station)
            && self.subject.selectors.iter().zip(positions).all(here)
    }
}

impl Draft {
    /// Takes one plausible range in, beside or in place of those already there.
    pub(super) fn plausible(
        &mut self,
        generation: &Generation,
        ranges: &mut Ranges,
        line: &tree::RangeLine,
        source: &Source,
    ) {
        let Some(checked) = self.checked_plausible(line, source) else { return };
        let old = ranges.iter_mut().find(|(other, _)| other.subject == checked.subject);
        let finding = match (line.replace, old) {
            (Some(_), Some(old)) => {
                *old = (Arc::new(checked), false);
                return;
            }
            (None, None) => {
                ranges.push((Arc::new(checked), false));
                return;
            }
            (Some(word), None) => wording_plausible::replaces_nothing(&checked, source.place(word)),
            (None, Some((old, true))) => wording_plausible::silent(&checked, &generation.name, old),
            (None, Some((old, false))) => wording_plausible::twice(&checked, old),
        };
        self.say(finding);
    }

    /// A line with its path and its range checked.
    pub(super) fn checked_plausible(&mut self, line: &tree::RangeLine, source: &Source) -> Option<Plausible> {
        let Some(root) = self.book.root() else {
            let finding = wording::no_root(source.place(line.span));
            self.say(finding);
            return None;
        };
        let texts = self.texts(&line.texts, source);
        let subject = self.checker(source, Some(root), &[]).subject(&line.path)?;
        let characteristic = self.book.characteristics.get(subject.characteristic);
        let (part, kind) = (characteristic.part, characteristic.kind);
        let derived = matches!(characteristic.origin, Origin::Derived(_));
        if derived || !matches!(kind, Kind::Quantity(_)) {
            let finding =
                wording_plausible::not_a_measurement(&characteristic.name, derived, source.place(line.path.span));
            self.say(finding);
            return None;
        }
        let range = self.checker(source, Some(part), &[]).range(&line.range, kind, None)?;
        let path = line.path.segments.iter().map(|segment| &*segment.text).collect::<Vec<_>>().join(".");
        let place = source.place(line.span);
        let or_zero = line.or_zero.is_some();
        Some(Plausible { subject, range, or_zero, texts, path: path.into(), days: Days::ALWAYS, shop: None, place })
    }

    /// The band of a range, whose ends must be known without a record; `None` has its finding, or waits for a constant
    /// that a basis leaves to those that follow it.
    pub(super) fn plausible_band(&mut self, generation: &Generation, range: &Plausible) -> Option<Band> {
        let RangeKind::Band { low, high } = &range.range.kind else { return None };
        for bound in [low, high].into_iter().flatten() {
            if matches!(evaluate(&self.book, Some(generation), &bound.value), Err(Impossible::NeedsRecord)) {
                let finding = wording::needs_record(bound.value.place.clone());
                self.say(finding);
                return None;
            }
        }
        self.known_band(generation, &range.place, &range.range)
    }

    /// What can be proved of a generation's plausible ranges without a record: none is empty, every constant they need is
    /// given, and every position they name is fitted.
    pub(super) fn check_plausible(&mut self, generation: &Generation) {
        for range in &generation.plausible {
            let part = self.book.characteristics.get(range.subject.characteristic).part;
            let chain = self.book.parts.get(part).positioned.clone();
            for (part, selector) in chain.iter().zip(&range.subject.selectors) {
                if let Selector::At(position) = selector
                    && !generation.has(*part, *position)
                {
                    let line = ("plausible range", &*range.path, &range.place);
                    let finding = wording::line_not_fitted(&self.book, (*part, *position), line, generation);
                    self.say(finding);
                }
            }
            if self.plausible_band(generation, range).is_some_and(|band| band.is_empty()) {
                let finding = wording_plausible::empty(&range.path, range.range.place.clone());
                self.say(finding);
            }
        }
    }

    /// `narrow` in a house: one more range, which must lie inside those that are there.
    pub(super) fn narrow(
        &mut self,
        id: Id<Generation>,
        line: &tree::RangeLine,
        (source, shop, days): (&Source, &str, Days),
    ) {
        let Some(checked) = self.checked_plausible(line, source) else { return };
        let narrowed = Plausible { shop: Some(shop.into()), days, ..checked };
        let generation = self.book.generations.get(id).clone();
        let Some(band) = self.plausible_band(&generation, &narrowed) else { return };
        if band.is_empty() {
            let finding = wording_plausible::empty(&narrowed.path, narrowed.range.place.clone());
            self.say(finding);
            return;
        }
        for other in generation.plausible.iter().filter(|other| other.covers(&narrowed.subject)) {
            if other.shop.is_some() && other.days.meets(narrowed.days) && other.subject == narrowed.subject {
                let finding = wording_plausible::narrowed_twice(&narrowed, other);
                self.say(finding);
                return;
            }
            let Some(outer) = self.plausible_band(&generation, other).filter(|_| other.shop.is_none()) else {
                continue;
            };
            if outer.holds(&band) != Some(true) {
                let finding = wording_plausible::widens(&narrowed, other);
                self.say(finding);
                return;
            }
        }
        self.book.generations.get_mut(id).plausible.push(Arc::new(narrowed));
    }

    /// `plausible gauges`, one for each dimension.
    pub(super) fn plausible_gauges(&mut self, trees: &[&Tree]) {
        for tree in trees {
            for item in &tree.items {
                let Item::PlausibleGauges(gauges) = item else { continue };
                if let Some(made) = self.gauges_of_kind(gauges, &tree.source) {
                    self.book.plausible_gauges.push(made);
                }
            }
        }
    }

    fn gauges_of_kind(&mut self, gauges: &tree::PlausibleGauges, source: &Source) -> Option<PlausibleGauges> {
        let (dimension, unit) = self.quantity_kind(&gauges.kind, source)?;
        let (dimension, unit) = (dimension.difference(), unit.unwrap_or_else(Unit::number).difference());
        let place = source.place(gauges.span);
        if let Some(first) = self.book.plausible_gauges.iter().find(|other| other.dimension == dimension) {
            let finding = wording_plausible::gauges_twice(&unit.symbol, place, &first.place);
            self.say(finding);
            return None;
        }
        let texts = self.texts(&gauges.texts, source);
        let range = self.checker(source, None, &[]).range(&gauges.range, Kind::Quantity(dimension), None)?;
        let RangeKind::Band { low, high } = &range.kind else { return None };
        let mut end = |bound: &Option<Bound>| match bound {
            None => Some(None),
            Some(bound) => {
                let value = self.constant_value(None, &bound.value)?;
                Some(Some(End { value, closed: bound.closed }))
            }
        };
        let band = Band { low: end(low)?, high: end(high)? };
        if band.is_empty() {
            let finding = wording_plausible::empty("gauges", range.place.clone());
            self.say(finding);
            return None;
        }
        Some(PlausibleGauges { dimension, unit, band, texts, range: range.place, place })
    }

    /// `agree within WIDTH` of a reading, as an expression known without a record.
    pub(super) fn agreement(
        &mut self,
        reading: &tree::ReadingDeclaration,
        (kind, many): (Kind, bool),
        source: &Source,
    ) -> Option<super::Agreement> {
        let written = reading.agree.as_ref()?;
        let place = source.place(written.span);
        let Kind::Quantity(dimension) = kind else {
            let finding = wording_plausible::agree_without_numbers(&reading.name.text, place);
            self.say(finding);
            return None;
        };
        if !many {
            let finding = wording_plausible::agree_alone(&reading.name.text, place);
            self.say(finding);
            return None;
        }
        let within: Expression = self.checker(source, None, &[]).bound(written, None, dimension.difference())?;
        let within = self.constant_value(None, &within)?;
        Some(super::Agreement { within, place })
    }
}

#[cfg(test)]
mod tests;
