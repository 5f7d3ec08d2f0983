//! Telltales: ranges that tell one generation, or one value of a reading, from another. Refuses to judge by them: a telltale is no rule.

use super::compile::Draft;
use super::expression::{Expression, ExpressionKind, Range, RangeKind, Reach, Selector};
use super::{Characteristic, Generation, Id, Texts, wording};
use crate::syntax::tree;
use crate::text::{Place, Source};
use std::sync::Arc;

/// What a characteristic is on one generation. Of a reading taken several times, or at stations, every value is meant.
#[derive(Clone, Debug)]
pub struct Telltale {
    /// The characteristic, and which positions of its parts.
    pub subject: Reach,
    /// What it is there.
    pub range: Range,
    /// The reading of names that it tells one value of, if it does not tell the generation.
    pub tells: Option<Tells>,
    /// Why, and where it comes from.
    pub texts: Texts,
    /// Its path as the book writes it.
    pub path: Box<str>,
    /// Where the telltale is.
    pub place: Place,
}

/// One value of a reading of names: late, of castings. The part of the reading is the telltale's own or around it.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Tells {
    /// The reading.
    pub characteristic: Id<Characteristic>,
    /// The value, by its number among the names.
    pub value: u16,
}

/// The telltales of a generation being made, each with whether it is inherited.
pub(super) type Telltales = Vec<(Arc<Telltale>, bool)>;

/// The telltales of the generation followed, as its follower has them.
pub(super) fn inherited(generation: Option<&Generation>) -> Telltales {
    generation.map_or_else(Vec::new, |generation| {
        let all = generation.telltales.iter().chain(&generation.value_telltales);
        all.map(|telltale| (telltale.clone(), true)).collect()
    })
}

impl Draft {
    /// Takes one telltale in, beside or in place of those already there.
    pub(super) fn telltale(
        &mut self,
        generation: &Generation,
        telltales: &mut Telltales,
        telltale: &tree::RangeLine,
        source: &Source,
    ) {
        let Some(checked) = self.checked_telltale(telltale, source) else { return };
        let old =
            telltales.iter_mut().find(|(other, _)| other.subject == checked.subject && other.tells == checked.tells);
        let finding = match (telltale.replace, old) {
            (Some(_), Some(old)) => {
                *old = (Arc::new(checked), false);
                return;
            }
            (None, None) => {
                telltales.push((Arc::new(checked), false));
                return;
            }
            (Some(word), None) => wording::telltale_replaces_nothing(&checked, source.place(word)),
            (None, Some((old, true))) => wording::telltale_silent(&checked, &generation.name, old),
            (None, Some((old, false))) => wording::telltale_twice(&checked, old),
        };
        self.say(finding);
    }

    fn checked_telltale(&mut self, telltale: &tree::RangeLine, source: &Source) -> Option<Telltale> {
        let Some(root) = self.book.root() else {
            let finding = wording::no_root(source.place(telltale.span));
            self.say(finding);
            return None;
        };
        let texts = self.texts(&telltale.texts, source);
        let subject = self.checker(source, Some(root), &[]).subject(&telltale.path)?;
        let (part, kind) = {
            let characteristic = self.book.characteristics.get(subject.characteristic);
            (characteristic.part, characteristic.kind)
        };
        let range = self.checker(source, Some(part), &[]).range(&telltale.range, kind, None)?;
        let tells = match &telltale.condition {
            None => None,
            Some(written) => {
                let condition = self.checker(source, Some(part), &[]).condition(written)?;
                let told = self.one_value(&condition, &subject);
                if told.is_none() {
                    self.say(wording::telltale_tells_no_value(source.place(written.span)));
                }
                Some(told?)
            }
        };
        let path = telltale.path.segments.iter().map(|segment| &*segment.text).collect::<Vec<_>>().join(".");
        Some(Telltale { subject, range, tells, texts, path: path.into(), place: source.place(telltale.span) })
    }

    /// The one value of a reading that a condition asks for, if the reading is of the part that a telltale is about or of one
    /// around it.
    fn one_value(&self, condition: &Expression, about: &Reach) -> Option<Tells> {
        let ExpressionKind::Test { subject, negated: false, range } = &condition.kind else { return None };
        let (ExpressionKind::Reach(reach), RangeKind::Names(names)) = (&subject.kind, &range.kind) else { return None };
        let [value] = names[..] else { return None };
        let chain = |id: Id<Characteristic>| &self.book.parts.get(self.book.characteristics.get(id).part).positioned;
        let around = chain(about.characteristic).starts_with(chain(reach.characteristic));
        let same = reach.selectors.iter().all(|selector| matches!(selector, Selector::Same(_)));
        let told = Tells { characteristic: reach.characteristic, value };
        (around && same && reach.station.is_none() && reach.characteristic != about.characteristic).then_some(told)
    }

    /// What can be proved of a generation's telltales without a record: none is empty, every constant they need is
    /// given, and every position they name is fitted.
    pub(super) fn check_telltales(&mut self, generation: &Generation) {
        for telltale in generation.telltales.iter().chain(&generation.value_telltales) {
            let part = self.book.characteristics.get(telltale.subject.characteristic).part;
            let chain = self.book.parts.get(part).positioned.clone();
            for (part, selector) in chain.iter().zip(&telltale.subject.selectors) {
                if let Selector::At(position) = selector
                    && !generation.has(*part, *position)
                {
                    let finding = wording::line_not_fitted(
                        &self.book,
                        (*part, *position),
                        ("telltale", &telltale.path, &telltale.place),
                        generation,
                    );
                    self.say(finding);
                }
            }
            if let RangeKind::Band { .. } = telltale.range.kind
                && let Some(band) = self.known_band(generation, &telltale.place, &telltale.range)
                && band.is_empty()
            {
                let finding = wording::telltale_empty(telltale);
                self.say(finding);
            }
        }
    }
}

#[cfg(test)]
mod tests;
