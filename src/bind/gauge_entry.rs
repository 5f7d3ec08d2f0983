//! What one calibration of a gauge says: its figures, their dimension, its days.

use super::certificate::{Written, factor_of};
use super::gauges::{About, Calibration, Growing};
use super::walk::Binder;
use super::wording_gauge::NOTHING_KNOWN;
use super::{Certified, Gauge, wording_certificate, wording_correlated, wording_gauge};
use crate::quantity::{Dimension, Number, Value};
use crate::record::{MapNode, Node, ScalarNode};
use crate::text::{Place, Span};
use std::cmp::Ordering;

/// The keys a gauge's entry may have.
pub(crate) const GAUGE_KEYS: [&str; 14] = [
    "uncertainty",
    "k",
    "coverage",
    "error",
    "resolution",
    "range",
    "expansion",
    "degrees_of_freedom",
    "correlated",
    "calibrated",
    "due",
    "confirmed",
    "kind",
    "note",
];

/// An uncertainty below this part of the resolution cannot be: a tenth of a division is the least that anybody reads between
/// two lines (common practice).
const FINEST_READ: i64 = 10;

/// The factor of 95.45 % with one degree of freedom is 13.97 (JCGM 100:2008, Table G.2): more is a slip.
const LARGEST_FACTOR: i64 = 14;

/// Whether a certificate has such a coverage factor.
pub(super) fn is_plausible_factor(k: &Number) -> bool {
    *k >= Number::ONE && *k <= Number::from_integer(LARGEST_FACTOR)
}

/// Whether an uncertainty is finer than anybody reads with so coarse a resolution.
pub(super) fn is_too_fine(uncertainty: &Value, resolution: &Value) -> bool {
    let finest = uncertainty.multiply(&Value::from(Number::from_integer(FINEST_READ)));
    finest.compare(resolution) == Some(Ordering::Less)
}

/// A gauge of which nothing is known but its name.
pub(super) fn nothing_known(name: &str, place: Place) -> Gauge {
    Gauge {
        name: name.to_string(),
        dimension: None,
        uncertainty: None,
        error: None,
        degrees_of_freedom: None,
        correlated: Vec::new(),
        expansion: None,
        resolution: None,
        range: None,
        implausible: false,
        calibrated: None,
        due: None,
        place,
    }
}

/// A figure of a gauge, with what it measures and where it is written.
struct Figure<T> {
    value: T,
    dimension: Dimension,
    span: Span,
}

/// A gauge's entry as it is read.
struct Entry {
    gauge: Gauge,
    about: About,
    uncertainty: Option<Written>,
    /// The factor it was expanded by, if that is said, and where.
    k: Option<(Number, Span)>,
    /// The coverage probability, if that is said, and where.
    coverage: Option<(Number, Span)>,
    /// Where it says how many degrees of freedom its uncertainty has.
    freedom: Option<Span>,
    resolution: Option<Figure<Value>>,
    /// How much it shows too much.
    error: Option<Figure<Value>>,
    range: Option<Figure<(Value, Value)>>,
    /// Where it says who confirms its figures.
    confirmed: Option<Span>,
    /// Where it says which gauges it is correlated with.
    correlated: Option<Span>,
}

impl<'a> Binder<'a> {
    /// What one calibration of a gauge says.
    pub(super) fn calibration(&mut self, name: ScalarNode<'a>, map: MapNode<'a>, span: Span) -> Calibration {
        let mut entry = Entry {
            gauge: nothing_known(name.text(), self.place(span)),
            about: About::default(),
            uncertainty: None,
            k: None,
            coverage: None,
            freedom: None,
            resolution: None,
            error: None,
            range: None,
            confirmed: None,
            correlated: None,
        };
        for (key, value) in map.entries() {
            self.of_gauge(&mut entry, key, value);
        }
        self.figures_agree(&mut entry);
        self.figures_plausible(&mut entry);
        let certified = self.certificate(&mut entry);
        let Entry { mut gauge, mut about, resolution, error, range, .. } = entry;
        if about.unsound {
            gauge.degrees_of_freedom = None;
            gauge.expansion = None;
        } else if gauge.implausible {
            gauge.degrees_of_freedom = None;
        } else {
            gauge.uncertainty = certified;
            gauge.resolution = resolution.map(|figure| figure.value);
            gauge.error = error.map(|figure| figure.value);
        }
        if let Some(range) = range {
            about.range = Some((range.dimension, self.place(range.span)));
            gauge.range = Some(range.value);
        }
        if let (Some(calibrated), Some(due), Some(at)) = (gauge.calibrated, gauge.due, &about.calibrated)
            && calibrated > due
        {
            let finding = wording_gauge::calibrated_after_due(&gauge.name, (calibrated, at), (due, about.due.as_ref()));
            self.say(finding);
        }
        Calibration { gauge, about }
    }

    /// One thing a gauge's entry says.
    fn of_gauge(&mut self, entry: &mut Entry, key: ScalarNode<'a>, value: Node<'a>) {
        match key.text() {
            "uncertainty" => {
                let scalar = self.one_value(key, value);
                entry.uncertainty = scalar.and_then(|scalar| self.certified("a gauge's uncertainty", scalar));
                entry.about.unsound |= entry.uncertainty.is_none();
            }
            "k" => {
                let scalar = self.one_value(key, value);
                entry.k = scalar.and_then(|scalar| Some((self.coverage_factor(scalar, NOTHING_KNOWN)?, scalar.span())));
                entry.about.unsound |= entry.k.is_none();
            }
            "coverage" => {
                let scalar = self.one_value(key, value);
                entry.coverage = scalar.and_then(|scalar| Some((self.coverage(scalar, NOTHING_KNOWN)?, scalar.span())));
                entry.about.unsound |= entry.coverage.is_none();
            }
            "resolution" => {
                entry.resolution = self.gauge_width("a gauge's resolution", key, value);
                entry.about.unsound |= entry.resolution.is_none();
            }
            "error" => {
                let scalar = self.one_value(key, value);
                entry.error = scalar.and_then(|scalar| {
                    let (value, dimension) = self.any_width("a gauge's error", scalar)?;
                    Some(Figure { value, dimension, span: scalar.span() })
                });
                entry.about.unsound |= entry.error.is_none();
            }
            "degrees_of_freedom" => {
                let scalar = self.one_value(key, value);
                entry.gauge.degrees_of_freedom = scalar.and_then(|scalar| self.degrees_of_freedom(scalar));
                entry.freedom = scalar.map(|scalar| scalar.span());
                entry.about.unsound |= entry.gauge.degrees_of_freedom.is_none();
            }
            "expansion" => {
                let expansion = self.one_value(key, value).and_then(|scalar| self.expansion(scalar));
                entry.about.unsound |= expansion.is_none();
                entry.gauge.expansion = expansion;
            }
            "range" => {
                let span = if value.span().is_empty() { key.span() } else { value.span() };
                match self.gauge_range(value) {
                    Some((range, dimension)) => entry.range = Some(Figure { value: range, dimension, span }),
                    None => {
                        let finding = wording_gauge::range_shape(self.place(span));
                        self.say(finding);
                    }
                }
            }
            "calibrated" => {
                entry.gauge.calibrated = self.date(key, value);
                entry.about.calibrated = Some(self.place(value.span()));
            }
            "due" => {
                entry.gauge.due = self.date(key, value);
                entry.about.due = Some(self.place(value.span()));
            }
            "confirmed" => {
                let who = value.as_scalar().filter(|who| !who.text().trim().is_empty());
                entry.confirmed = who.map(|who| who.text_span().unwrap_or_else(|| who.span()));
            }
            "correlated" => {
                let correlated = self.correlated(&entry.gauge.name, key, value);
                entry.about.unsound |= correlated.is_none();
                entry.gauge.correlated = correlated.unwrap_or_default();
                entry.correlated = Some(key.span());
            }
            "kind" | "note" => {}
            other => {
                let finding = wording_gauge::gauge_key(other, self.place(key.span()));
                self.say(finding);
            }
        }
    }

    /// All figures of a gauge measure one thing: what its range measures, or the first of the others.
    fn figures_agree(&mut self, entry: &mut Entry) {
        let range = entry.range.as_ref().map(|range| ("range", range.dimension.difference(), range.span));
        // A share of the reading measures whatever is read.
        let uncertainty = entry.uncertainty.as_ref().and_then(|it| Some(("uncertainty", it.dimension?, it.span)));
        let resolution = entry.resolution.as_ref().map(|it| ("resolution", it.dimension, it.span));
        let error = entry.error.as_ref().map(|it| ("error", it.dimension, it.span));
        let figures: Vec<(&str, Dimension, Span)> =
            [range, uncertainty, resolution, error].into_iter().flatten().collect();
        let Some((first, rest)) = figures.split_first() else { return };
        entry.gauge.dimension = Some(first.1);
        for figure in rest.iter().filter(|figure| figure.1 != first.1) {
            entry.about.unsound = true;
            let finding = wording_gauge::figures_differ(
                &entry.gauge.name,
                (figure.0, figure.1, self.place(figure.2)),
                (first.0, first.1, self.place(first.2)),
            );
            self.say(finding);
        }
    }

    /// The uncertainty and the resolution of a gauge, held against what its books say such gauges have. Where one of them
    /// cannot be, neither counts: a slip that makes a gauge finer than it is would let parts through.
    fn figures_plausible(&mut self, entry: &mut Entry) {
        if entry.about.unsound {
            return;
        }
        let uncertainty = entry.uncertainty.as_ref().filter(|it| it.share == Value::ZERO);
        let uncertainty = uncertainty.and_then(|it| Some(("uncertainty", it.dimension?, &it.fixed, it.span)));
        let resolution = entry.resolution.as_ref().map(|it| ("resolution", it.dimension, &it.value, it.span));
        let mut findings = Vec::new();
        for (what, dimension, value, span) in [uncertainty, resolution].into_iter().flatten() {
            if let Some(declared) = self.book.implausible_for_gauges(dimension, value) {
                let (owner, place) = ((&*entry.gauge.name, what), self.place(span));
                let finding = wording_gauge::figure_implausible(self, owner, (value, place), declared);
                findings.push(finding.help(wording_gauge::confirm_figure(what)));
            }
        }
        if let Some((k, span)) = &entry.k
            && !is_plausible_factor(k)
        {
            let help = wording_certificate::CONFIRM_FACTOR;
            findings.push(wording_certificate::factor_implausible(&entry.gauge.name, self.place(*span), help));
        }
        if let ([], Some((_, dimension, value, span)), Some(resolution)) =
            (&findings[..], uncertainty, &entry.resolution)
            && dimension == resolution.dimension
            && is_too_fine(value, &resolution.value)
        {
            let places = (self.place(span), self.place(resolution.span));
            findings.push(wording_gauge::finer_than_resolution(&entry.gauge.name, places));
        }
        if let Some(growing) = entry.uncertainty.as_ref().filter(|it| it.share != Value::ZERO) {
            // What it comes to is seen at each reading.
            entry.about.growing = Some(Growing {
                uncertainty: self.place(growing.span),
                resolution: entry.resolution.as_ref().map(|it| self.place(it.span)),
                confirmed: entry.confirmed.is_some(),
            });
            if findings.is_empty() {
                return;
            }
        }
        match entry.confirmed {
            Some(_) if !findings.is_empty() => return,
            Some(who) => findings.push(wording_gauge::confirmation_idle(&entry.gauge.name, self.place(who))),
            None => entry.gauge.implausible = !findings.is_empty(),
        }
        findings.into_iter().for_each(|finding| self.say(finding));
    }

    /// The uncertainty with the factor it was expanded by.
    fn certificate(&mut self, entry: &mut Entry) -> Option<Certified> {
        let said = entry.k.as_ref().map(|(_, span)| ("k", *span));
        let said = said.or_else(|| entry.coverage.as_ref().map(|(_, span)| ("coverage", *span)));
        let said = said.or_else(|| entry.freedom.map(|span| ("degrees_of_freedom", span)));
        let Some(written) = &entry.uncertainty else {
            if let (Some((key, span)), false) = (said, entry.about.unsound) {
                let finding = wording_certificate::nothing_expanded(&entry.gauge.name, key, self.place(span));
                self.say(finding);
            }
            if let (Some(span), None, false) = (entry.correlated, said, entry.about.unsound) {
                let finding = wording_correlated::nothing_correlated(&entry.gauge.name, self.place(span));
                self.say(finding);
            }
            return None;
        };
        let k = entry.k.as_ref().map(|(k, _)| k.clone());
        let coverage = entry.coverage.as_ref().map(|(coverage, _)| coverage).filter(|_| k.is_none());
        let factor = factor_of(k, coverage, entry.gauge.degrees_of_freedom.as_ref())?;
        let growing = written.share != Value::ZERO;
        Some(Certified {
            fixed: written.fixed.clone(),
            share: written.share.clone(),
            factor,
            coverage: coverage.cloned(),
            written: growing.then(|| self.place(written.span).text().trim().to_string()),
        })
    }

    fn gauge_width(&mut self, what: &str, key: ScalarNode<'a>, value: Node<'a>) -> Option<Figure<Value>> {
        let scalar = self.one_value(key, value)?;
        let (value, dimension) = self.any_width(what, scalar)?;
        Some(Figure { value: self.width(what, value, scalar)?, dimension, span: scalar.span() })
    }

    /// `50 to 75 mm`, or a list of the two ends.
    fn gauge_range(&mut self, value: Node<'a>) -> Option<((Value, Value), Dimension)> {
        match value {
            Node::Scalar(scalar) => self.two_ends(scalar.text()),
            Node::List(list) => {
                let mut items = list.items();
                let (low, high) = (items.next()?.as_scalar()?, items.next()?.as_scalar()?);
                if items.next().is_some() {
                    return None;
                }
                self.ends(low.text(), high.text())
            }
            Node::Map(_) => None,
        }
    }

    /// How many degrees of freedom an uncertainty has; none, with a finding, where it is no number above zero.
    pub(super) fn degrees_of_freedom(&mut self, scalar: ScalarNode<'a>) -> Option<Number> {
        let number = Number::parse(scalar.text().trim_ascii()).ok().filter(|number| number.signum() > 0);
        if number.is_none() {
            let finding = wording_gauge::degrees_of_freedom(scalar.text(), self.place(scalar.span()));
            self.say(finding);
        }
        number
    }
}
