//! Rows: what a characteristic may be, checked against its kind and, where numbers are known, against each other.

use super::check::{Checker, collected_kind};
use super::compile::Draft;
use super::evaluate::{Impossible, evaluate};
use super::expression::{Kind, Range, RangeKind, Selector};
use super::{Bound, Generation, Reach, Rounding, Row, Texts, wording, wording_figures};
use crate::quantity::{Band, Days, End, Unit, Value};
use crate::syntax::tree::{self, RowWord};
use crate::text::{Place, Source};
use std::sync::Arc;

impl Draft {
    /// A row checked by itself; whether it repeats or replaces another is the generation's business.
    ///
    /// `by` is the generation or shop that says it; `ranged` is whether it must say a range.
    pub(super) fn checked_row(&mut self, by: &str, row: &tree::Row, source: &Source, ranged: bool) -> Option<Row> {
        let Some(root) = self.book.root() else {
            let finding = wording::no_root(source.place(row.span));
            self.say(finding);
            return None;
        };
        let texts = self.texts(&row.texts, source);
        let subject = self.checker(source, Some(root), &[]).subject(&row.path)?;
        let characteristic = self.book.characteristics.get(subject.characteristic).clone();
        let place = source.place(row.span);
        let path = path_text(row);
        let all_the_same =
            row.limit.as_ref().is_some_and(|limit| matches!(limit.range.kind, tree::RangeKind::AllTheSame { .. }));
        let many = is_many(&characteristic, &subject);
        let kind = match (row.word, many) {
            (Some((_, word)), false) => {
                let finding = wording::row_word_idle(&path, source.place(word));
                self.say(finding);
                return None;
            }
            (None, true) if !all_the_same => {
                let finding = wording::row_needs_word(&path, source.place(row.path.span), &characteristic.place);
                self.say(finding);
                return None;
            }
            (None, _) | (Some((RowWord::Each, _)), true) => characteristic.kind,
            (Some((RowWord::Collect(collector), word)), true) => {
                let Some(kind) = collected_kind(&self.book, collector, characteristic.kind) else {
                    let finding =
                        wording::collection_impossible(&self.book, collector, characteristic.kind, source.place(word));
                    self.say(finding);
                    return None;
                };
                kind
            }
        };
        if let Some(finding) = Draft::force_contradicted(row, &path, source) {
            self.say(finding);
            return None;
        }
        if ranged && row.standard.is_none() && row.limit.is_none() {
            let finding = wording::row_without_range(&path, place);
            self.say(finding);
            return None;
        }
        // Bounds and conditions are looked up from the part the row is about.
        let mut checker = self.checker(source, Some(characteristic.part), &[]);
        let standard = tier(&mut checker, row.standard.as_ref(), kind);
        let limit = tier(&mut checker, row.limit.as_ref(), kind);
        let condition = row.condition.as_ref().map(|condition| checker.condition(condition));
        let rounded =
            row.rounded.as_ref().map(|step| checker.rounding(step, kind, all_the_same, characteristic.unit.as_ref()));
        let (standard, limit) = (standard?, limit?);
        let rounded = match rounded {
            Some(rounded) => Some(rounded?),
            None => None,
        };
        let condition = match condition {
            Some(condition) => Some(Arc::new(condition?)),
            None => None,
        };
        if let Some(Range { kind: RangeKind::AllTheSame { across }, place, .. }) = &limit {
            let chain = &self.book.parts.get(characteristic.part).positioned;
            if !chain.contains(across) {
                let finding = wording::across_elsewhere(&self.book, *across, &path, place.clone());
                self.say(finding);
                return None;
            }
        }
        Some(Row {
            subject,
            word: row.word.map(|(word, _)| word),
            standard,
            limit,
            rounded,
            outer: row.outer.is_some(),
            advisory: row.advisory.is_some(),
            never_excused: row.never_excused.is_some(),
            condition,
            days: Days::ALWAYS,
            texts: filled(texts, &characteristic.texts),
            path: path.into(),
            place: place.clone(),
            history: vec![super::Change {
                kind: super::ChangeKind::Declared,
                by: by.into(),
                days: Days::ALWAYS,
                binds: false,
                excuses: false,
                place,
            }],
        })
    }

    /// What can be proved of the ranges of some of a generation's rows without a record: none is empty, each standard lies in
    /// its limit, every constant they need is given, and every position they name is fitted.
    pub(super) fn check_ranges(&mut self, generation: &Generation, rows: &[Arc<Row>]) {
        for row in rows {
            let chain = &self.book.parts.get(self.book.characteristics.get(row.subject.characteristic).part).positioned;
            let absent = chain.iter().zip(&row.subject.selectors).filter_map(|(part, selector)| match selector {
                Selector::At(position) if !generation.has(*part, *position) => Some((*part, *position)),
                _ => None,
            });
            let line = ("row", &*row.path, &row.place);
            let absent = absent.map(|absent| wording::line_not_fitted(&self.book, absent, line, generation));
            self.findings.extend(absent);
            let standard = row.standard.as_ref().and_then(|range| self.known_band(generation, &row.place, range));
            let limit = row.limit.as_ref().and_then(|range| self.known_band(generation, &row.place, range));
            for (range, band) in [(&row.standard, &standard), (&row.limit, &limit)] {
                if let (Some(range), Some(band)) = (range, band)
                    && band.is_empty()
                {
                    let finding = wording::range_empty(&row.path, range.place.clone(), generation, row);
                    self.say(finding);
                }
            }
            // What is compared is the rounded value: from here on it is what each range lets through that counts.
            let through = |band: Option<Band>| match &row.rounded {
                Some(rounding) => band.filter(|band| !band.is_empty()).and_then(|band| rounding.accepts(&band)),
                None => band,
            };
            let (standard, limit) = (through(standard), through(limit));
            for (range, band) in [(&row.standard, &standard), (&row.limit, &limit)] {
                if let (Some(range), Some(band), Some(rounding)) = (range, band, &row.rounded)
                    && band.is_empty()
                {
                    let finding = wording_figures::range_between_steps(&row.path, range.place.clone(), rounding);
                    self.say(finding);
                }
            }
            if let (Some(standard), Some(limit), Some(standard_range), Some(limit_range)) =
                (&standard, &limit, &row.standard, &row.limit)
                && !standard.is_empty()
                && !limit.is_empty()
                && limit.holds(standard) != Some(true)
            {
                let unit = self.book.characteristics.get(row.subject.characteristic).unit.clone();
                let finding = wording::standard_outside_limit(
                    row,
                    (&standard_range.place, standard),
                    (&limit_range.place, limit),
                    unit.as_ref(),
                );
                self.say(finding);
            }
            if let (
                Some(Range { kind: RangeKind::Names(standard), place: standard_place, .. }),
                Some(Range { kind: RangeKind::Names(limit), place: limit_place, .. }),
            ) = (&row.standard, &row.limit)
                && !standard.iter().all(|name| limit.contains(name))
            {
                let finding = wording::standard_names_outside_limit(row, standard_place, limit_place);
                self.say(finding);
            }
        }
    }

    /// The band of a range whose bounds need no record.
    pub(super) fn known_band(&mut self, generation: &Generation, place: &Place, range: &Range) -> Option<Band> {
        let RangeKind::Band { low, high } = &range.kind else { return None };
        let low = self.known_end(generation, place, low.as_ref())?;
        let high = self.known_end(generation, place, high.as_ref())?;
        Some(Band { low, high })
    }

    fn known_end(&mut self, generation: &Generation, place: &Place, bound: Option<&Bound>) -> Option<Option<End>> {
        let Some(bound) = bound else { return Some(None) };
        match evaluate(&self.book, Some(generation), &bound.value) {
            Ok(value) => Some(Some(End { value, closed: bound.closed })),
            Err(Impossible::NeedsRecord) => None,
            Err(Impossible::Arithmetic(place)) => {
                let finding = wording::arithmetic_impossible(place);
                self.say(finding);
                None
            }
            Err(Impossible::OutsideTable(outside)) => {
                let finding = wording::outside_table_known(&outside.table, &outside.value, outside.place);
                self.say(finding);
                None
            }
            // What a basis leaves to those that follow it is asked of them.
            Err(Impossible::NoConstant(_)) if generation.basis => None,
            Err(Impossible::NoConstant(id)) => {
                let finding = wording::constant_missing(&self.book, id, Some(&generation.name), place.clone());
                self.say(finding);
                None
            }
        }
    }
}

/// A tier's range: `Some(None)` where the tier is not there, `None` where it did not check.
fn tier(checker: &mut Checker<'_>, tier: Option<&tree::Tier>, kind: Kind) -> Option<Option<Range>> {
    match tier {
        None => Some(None),
        Some(tier) => {
            let range = checker.range(&tier.range, kind, Some(()))?;
            if let Some(also) = &tier.also {
                checker.printed_pair(&tier.range, also, kind);
            }
            Some(Some(range))
        }
    }
}

impl Checker<'_> {
    /// The step of `rounded to`: above zero, and of what the row judges.
    fn rounding(&mut self, step: &tree::Expr, kind: Kind, same: bool, unit: Option<&Unit>) -> Option<Rounding> {
        let place = self.source.place(step.span);
        let (expression, found) = self.quantity(step)?;
        let Kind::Quantity(dimension) = kind else {
            self.say(wording_figures::rounding_of_words(place));
            return None;
        };
        if same {
            self.say(wording_figures::rounding_of_sameness(place));
            return None;
        }
        if found != dimension.difference() {
            self.say(wording_figures::rounding_dimension(found, dimension, place));
            return None;
        }
        let step = evaluate(self.book, None, &expression).ok()?;
        if step.compare(&Value::ZERO) != Some(std::cmp::Ordering::Greater) {
            self.say(wording_figures::rounding_to_nothing(place));
            return None;
        }
        // A spread on a scale is a difference: its zero does not count.
        Some(Rounding::new(step, unit.filter(|unit| unit.dimension == dimension), place))
    }
}

/// Whether one instance of a row's subject can be several values.
pub(super) fn is_many(characteristic: &super::Characteristic, subject: &Reach) -> bool {
    match &characteristic.origin {
        super::Origin::Reading { stations, count, .. } => {
            (!stations.is_empty() && subject.station.is_none()) || *count != super::Count::ONE
        }
        super::Origin::Derived(_) => false,
    }
}

/// The row's subject as a book writes it, word included.
fn path_text(row: &tree::Row) -> String {
    path_words(row.word.map(|(word, _)| word), &row.path)
}

/// A path as a book writes it, after its word.
pub(super) fn path_words(word: Option<RowWord>, path: &tree::Path) -> String {
    let path = path.segments.iter().map(|segment| &*segment.text).collect::<Vec<_>>().join(".");
    match word {
        None => path,
        Some(RowWord::Each) => format!("each of {path}"),
        Some(RowWord::Collect(collector)) => format!("{} of {path}", collector.word()),
    }
}

/// A row's sentences, those of its characteristic where it has none of its own.
pub(super) fn filled(own: Texts, inherited: &Texts) -> Texts {
    Texts {
        because: own.because.or_else(|| inherited.because.clone()),
        remedy: own.remedy.or_else(|| inherited.remedy.clone()),
        caution: own.caution.or_else(|| inherited.caution.clone()),
        measure: own.measure.or_else(|| inherited.measure.clone()),
        standard_from: own
            .standard_from
            .or_else(|| inherited.standard_from.clone().filter(|_| own.provenance.is_none())),
        limit_from: own.limit_from.or_else(|| inherited.limit_from.clone().filter(|_| own.provenance.is_none())),
        provenance: own.provenance.or_else(|| inherited.provenance.clone()),
    }
}
