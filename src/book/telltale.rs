//! Telltales: ranges that tell one generation from another. Refuses to judge by them: a telltale is no rule.

use super::compile::Draft;
use super::expression::{Range, RangeKind, Reach, Selector};
use super::{Generation, Texts, wording};
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
    /// Why, and where it comes from.
    pub texts: Texts,
    /// Its path as the book writes it.
    pub path: Box<str>,
    /// Where the telltale is.
    pub place: Place,
}

/// The telltales of a generation being made, each with whether it is inherited.
pub(super) type Telltales = Vec<(Arc<Telltale>, bool)>;

/// The telltales of the generation followed, as its follower has them.
pub(super) fn inherited(generation: Option<&Generation>) -> Telltales {
    generation.map_or_else(Vec::new, |generation| {
        generation.telltales.iter().map(|telltale| (telltale.clone(), true)).collect()
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
        let old = telltales.iter_mut().find(|(other, _)| other.subject == checked.subject);
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
        let path = telltale.path.segments.iter().map(|segment| &*segment.text).collect::<Vec<_>>().join(".");
        Some(Telltale { subject, range, texts, path: path.into(), place: source.place(telltale.span) })
    }

    /// What can be proved of a generation's telltales without a record: none is empty, every constant they need is
    /// given, and every position they name is fitted.
    pub(super) fn check_telltales(&mut self, generation: &Generation) {
        for telltale in &generation.telltales {
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
