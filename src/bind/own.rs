//! The uncertainty a reading says for itself, in the forms that a certificate has. Refuses to know about gauges.

use super::certificate::{Written, factor_of, grows};
use super::gauge_entry::is_plausible_factor;
use super::reading::{Says, Shared, Word, as_written};
use super::walk::Binder;
use super::wording_certificate::{CONFIRM_OWN_FACTOR, DOES_NOT_COUNT};
use super::{Certified, Reading, wording, wording_certificate, wording_gauge};
use crate::book::{Characteristic, Datum, Kind};
use crate::quantity::{Number, Unit, Value};
use crate::record::ScalarNode;
use crate::text::Span;
use std::borrow::Cow;

/// What a reading says of its own uncertainty.
#[derive(Clone, Default)]
pub(super) struct Own {
    /// The figure, and its text where it grows with the reading.
    uncertainty: Word<(Written, Option<String>)>,
    k: Word<(Number, Span)>,
    coverage: Word<(Number, Span)>,
    degrees_of_freedom: Word<(Number, Span)>,
}

impl Own {
    /// What it does not say itself, from what is said of all readings of a list. A factor and degrees of freedom go with the
    /// uncertainty they are written beside.
    pub(super) fn or(self, of_all: &Own) -> Own {
        match self.uncertainty {
            Word::Unsaid => Own {
                uncertainty: of_all.uncertainty.clone(),
                k: self.k.or(&of_all.k),
                coverage: self.coverage.or(&of_all.coverage),
                degrees_of_freedom: self.degrees_of_freedom.or(&of_all.degrees_of_freedom),
            },
            _ => self,
        }
    }

    /// How many degrees of freedom the uncertainty has, if that is said.
    pub(super) fn freedom(&self) -> Option<&Number> {
        self.degrees_of_freedom.read().map(|(freedom, _)| freedom)
    }

    /// The uncertainty with its factor; `None` if it is not said, or something about it cannot be read.
    pub(super) fn certified(&self) -> Option<Certified> {
        let (written, text) = self.uncertainty.read()?;
        if matches!((&self.k, &self.coverage), (Word::Unread, _) | (_, Word::Unread)) {
            return None;
        }
        let k = self.k.read().map(|(k, _)| k.clone());
        let coverage = self.coverage.read().map(|(coverage, _)| coverage).filter(|_| k.is_none());
        Some(Certified {
            fixed: written.fixed.clone(),
            share: written.share.clone(),
            factor: factor_of(k, coverage, self.freedom())?,
            coverage: coverage.cloned(),
            written: text.clone(),
        })
    }
}

impl<'a> Binder<'a> {
    /// One thing a reading's map says of its own uncertainty.
    pub(super) fn own_says(
        &mut self,
        characteristic: &'a Characteristic,
        own: &mut Own,
        key: &str,
        scalar: ScalarNode<'a>,
    ) {
        match key {
            "uncertainty" => own.uncertainty = Word::new(self.own_written(characteristic, scalar)),
            "k" => {
                let k = self.coverage_factor(scalar, DOES_NOT_COUNT);
                own.k = Word::new(k.map(|k| (k, as_written(scalar))));
            }
            "coverage" => {
                let coverage = self.coverage(scalar, DOES_NOT_COUNT);
                own.coverage = Word::new(coverage.map(|coverage| (coverage, as_written(scalar))));
            }
            _ => {
                let freedom = self.degrees_of_freedom(scalar);
                own.degrees_of_freedom = Word::new(freedom.map(|freedom| (freedom, as_written(scalar))));
            }
        }
    }

    /// A width in the unit of the reading, a share of it, or both.
    fn own_written(
        &mut self,
        characteristic: &'a Characteristic,
        scalar: ScalarNode<'a>,
    ) -> Option<(Written, Option<String>)> {
        let (span, text) = (as_written(scalar), scalar.text().trim());
        let Kind::Quantity(dimension) = characteristic.kind else {
            // The finding says that only a quantity has one.
            self.like(characteristic, scalar);
            return None;
        };
        if !grows(text) {
            let fixed = self.like(characteristic, scalar)?;
            let dimension = Some(dimension.difference());
            return Some((Written { fixed, share: Value::ZERO, dimension, span }, None));
        }
        let owner = wording::subject(self, characteristic, None);
        let plain = dimension.is_number().then(|| Cow::Owned(Unit::number()));
        let finding = match self.growing(text, plain) {
            Err(fault) => {
                let what = format!("{owner}'s uncertainty");
                wording_certificate::formula((&what, text), &fault, self.place(span), DOES_NOT_COUNT)
            }
            Ok((.., Some(found))) if found != dimension.difference() => {
                let kinds = (found, dimension.difference());
                wording_certificate::own_dimension(&owner, kinds, self.place(span))
            }
            Ok((_, share, _)) if dimension.is_point() && share != Value::ZERO => {
                wording_certificate::own_no_zero(&owner, self.place(span))
            }
            Ok((fixed, share, dimension)) => {
                let written = (share != Value::ZERO).then(|| text.to_owned());
                return Some((Written { fixed, share, dimension, span }, written));
            }
        };
        self.say(finding);
        None
    }

    /// Holds the uncertainty a reading says for itself against what its books say such gauges have. One that cannot be, and
    /// that nobody confirms, is not known.
    pub(super) fn own_uncertainty(
        &mut self,
        (characteristic, station): (&'a Characteristic, Option<usize>),
        reading: &mut Reading,
        says: &Says,
        shared: &mut Shared,
    ) {
        let Kind::Quantity(dimension) = characteristic.kind else { return };
        let own = &says.own;
        let Some((written, text)) = own.uncertainty.read() else {
            if let Word::Unsaid = own.uncertainty {
                self.nothing_to_expand((characteristic, station), own, shared);
            }
            return;
        };
        let Some(certified) = reading.detail.as_ref().and_then(|detail| detail.uncertainty.as_ref()) else { return };
        let Datum::Quantity(value) = &reading.datum else { return };
        let at = certified.at(value);
        let wrong_factor = own.k.read().filter(|(k, _)| !is_plausible_factor(k)).map(|(_, span)| *span);
        // At nothing a share comes to nothing, and no more is said of it.
        let is_nothing = text.is_some() && at == Value::ZERO;
        let declared = self.book.implausible_for_gauges(dimension, &at).filter(|_| !is_nothing);
        if wrong_factor.is_none() && declared.is_none() {
            return;
        }
        let Some(detail) = reading.detail.as_mut() else { return };
        detail.implausible = true;
        if detail.confirmed.is_some() {
            return;
        }
        (detail.uncertainty, detail.degrees_of_freedom) = (None, None);
        let owner = wording::subject(self, characteristic, station);
        let mut findings = Vec::new();
        if let Some(span) = wrong_factor.filter(|span| !shared.own.contains(span)) {
            shared.own.push(span);
            findings.push(wording_certificate::factor_implausible(&owner, self.place(span), CONFIRM_OWN_FACTOR));
        }
        if let Some(declared) = declared.filter(|_| !shared.own.contains(&written.span)) {
            shared.own.push(written.span);
            let place = self.place(written.span);
            findings.push(if text.is_some() {
                let range = (declared.range.clone(), "declared here");
                let read = (&at, characteristic, &*reading);
                wording_certificate::comes_to(self, (&owner, &place, false), read, range.0, range.1)
            } else {
                let finding = wording_gauge::figure_implausible(self, (&owner, "uncertainty"), (&at, place), declared);
                finding.help(wording_gauge::CONFIRM_OWN)
            });
        }
        findings.into_iter().for_each(|finding| self.say(finding));
    }

    /// A factor, a probability or degrees of freedom that belong to no uncertainty of the reading.
    fn nothing_to_expand(
        &mut self,
        (characteristic, station): (&'a Characteristic, Option<usize>),
        own: &Own,
        shared: &mut Shared,
    ) {
        let said = own.k.read().map(|(_, span)| ("k", *span));
        let said = said.or_else(|| own.coverage.read().map(|(_, span)| ("coverage", *span)));
        let said = said.or_else(|| own.degrees_of_freedom.read().map(|(_, span)| ("degrees_of_freedom", *span)));
        let Some((key, span)) = said else { return };
        if !shared.own.contains(&span) {
            shared.own.push(span);
            let owner = wording::subject(self, characteristic, station);
            let finding = wording_certificate::own_nothing_expanded(&owner, key, self.place(span));
            self.say(finding);
        }
    }
}

#[cfg(test)]
mod tests;
