//! Gauges: who lists them, which calibration was in force, and what is to be said of those that were used.
//! Refuses to know what a reading may be.

use super::drift::Drift;
use super::gauge_entry::is_too_fine;
use super::gauge_entry::nothing_known;
use super::walk::Binder;
use super::{Gauge, Reading, Readings, wording_certificate, wording_gauge};
use crate::book::{Book, Characteristic, Datum, Kind};
use crate::finding::Finding;
use crate::quantity::{Date, Dimension, Value};
use crate::record::{MapNode, Node, ScalarNode, Sheet};
use crate::text::{Place, Source, Span, named_alike};
use rustc_hash::FxHashMap;
use std::collections::BTreeSet;

/// The gauges of a shop, read once for all its records.
#[derive(Debug, Default)]
pub struct Gauges {
    listed: Vec<Listed>,
    by_name: FxHashMap<String, usize>,
    /// Whether something in the list could not be read: a gauge that seems missing may stand there.
    in_part: bool,
}

/// One gauge with all its calibrations.
#[derive(Debug)]
pub(super) struct Listed {
    name: String,
    /// At least one.
    calibrations: Vec<Calibration>,
}

/// A gauge as one calibration left it.
#[derive(Clone, Debug)]
pub(super) struct Calibration {
    pub(super) gauge: Gauge,
    pub(super) about: About,
}

/// What is needed of a gauge only to say something about it.
#[derive(Clone, Debug, Default)]
pub(super) struct About {
    /// The dimension its range is written in, points told from differences, and where.
    pub(super) range: Option<(Dimension, Place)>,
    pub(super) calibrated: Option<Place>,
    pub(super) due: Option<Place>,
    /// Whether a figure could not be read: then none of them counts.
    pub(super) unsound: bool,
    /// Its uncertainty, where that grows with the reading.
    pub(super) growing: Option<Growing>,
    /// Where the temperature of a reading is that for that reason was not brought to 20 °C.
    pub(super) left_warm: Option<Span>,
    /// How many readings were taken with it, and where the first is.
    uses: usize,
    first: Option<Span>,
}

/// An uncertainty that grows with the reading: what it comes to is seen only there.
#[derive(Clone, Debug)]
pub(super) struct Growing {
    pub(super) uncertainty: Place,
    pub(super) resolution: Option<Place>,
    pub(super) confirmed: bool,
}

/// Reads a shop's list of gauges: a map of names, as a record has it under `gauges`.
#[must_use]
pub fn gauges(book: &Book, sheet: &Sheet, source: &Source) -> (Gauges, Vec<Finding>) {
    let mut binder = Binder::new(book, source, 0, None);
    binder.shops_list = true;
    let listed = match sheet.root() {
        Some(Node::Map(map)) => {
            let mut listed = binder.gauge_list(map);
            binder.listed_correlations_hold(&mut listed);
            listed
        }
        Some(other) => {
            let finding = wording_gauge::gauges_shape(true, source.place(other.span()));
            binder.say(finding);
            Vec::new()
        }
        None => Vec::new(),
    };
    let by_name = listed.iter().enumerate().map(|(number, gauge)| (gauge.name.clone(), number)).collect();
    let findings = binder.said.into_findings();
    let in_part = !sheet.is_whole() || listed.is_empty() && !findings.is_empty();
    (Gauges { listed, by_name, in_part }, findings)
}

impl Gauges {
    /// A list nothing could be read of.
    #[must_use]
    pub fn unread() -> Gauges {
        Gauges { in_part: true, ..Gauges::default() }
    }

    /// The names on the list, in the order written.
    pub fn names(&self) -> impl Iterator<Item = &str> {
        self.listed.iter().map(|gauge| &*gauge.name)
    }

    /// Each gauge as its calibration in force on a day left it, in the order written; if no day is known, the last one.
    pub fn on(&self, day: Option<Date>) -> impl Iterator<Item = &Gauge> {
        self.listed.iter().filter_map(move |listed| listed.in_force(day)).map(|one| &one.gauge)
    }

    /// What changed from one dated calibration of a gauge to the next, in the order of their days.
    #[must_use]
    pub fn drifts(&self, name: &str) -> Vec<Drift> {
        let calibrations = self.by_name.get(name).and_then(|number| self.listed.get(*number));
        let mut dated: Vec<&Gauge> =
            calibrations.into_iter().flat_map(|listed| &listed.calibrations).map(|one| &one.gauge).collect();
        dated.sort_by_key(|gauge| gauge.calibrated);
        dated.iter().zip(dated.iter().skip(1)).filter_map(|(one, next)| Drift::between(one, next)).collect()
    }

    /// Whether something in the list could not be read.
    pub(super) fn in_part(&self) -> bool {
        self.in_part
    }

    fn in_force(&self, name: &str, finished: Option<Date>) -> Option<&Calibration> {
        self.listed.get(*self.by_name.get(name)?)?.in_force(finished)
    }
}

impl Listed {
    pub(super) fn name(&self) -> &str {
        &self.name
    }

    /// It as each calibration left it.
    pub(super) fn all(&self) -> impl Iterator<Item = &Gauge> {
        self.calibrations.iter().map(|one| &one.gauge)
    }

    /// It as the calibration in force on a day left it.
    pub(super) fn on(&self, day: Option<Date>) -> Option<&Gauge> {
        self.in_force(day).map(|one| &one.gauge)
    }

    /// Its uncertainty counts as not known.
    pub(super) fn forget_uncertainty(&mut self) {
        for one in &mut self.calibrations {
            (one.gauge.uncertainty, one.gauge.degrees_of_freedom) = (None, None);
        }
    }

    /// The last calibration on or before a day, or the first of all; where no day is known, the last of all.
    fn in_force(&self, finished: Option<Date>) -> Option<&Calibration> {
        let before = |one: &&Calibration| match (one.gauge.calibrated, finished) {
            (Some(calibrated), Some(finished)) => calibrated <= finished,
            _ => true,
        };
        let last = self.calibrations.iter().filter(before).max_by_key(|one| one.gauge.calibrated);
        last.or_else(|| self.calibrations.iter().min_by_key(|one| one.gauge.calibrated))
    }
}

impl<'a> Binder<'a> {
    /// The gauges a record lists itself.
    pub(super) fn own_gauges(&mut self, node: Node<'a>) {
        let Node::Map(map) = node else {
            let finding = wording_gauge::gauges_shape(false, self.place(node.span()));
            self.say(finding);
            return;
        };
        for listed in self.gauge_list(map) {
            if let Some(calibration) = listed.in_force(self.readings.finished) {
                self.readings.gauges.push(calibration.gauge.clone());
                self.about_gauges.push(calibration.about.clone());
            }
        }
    }

    /// A map of names, each with what one calibration says, or a list of several.
    fn gauge_list(&mut self, map: MapNode<'a>) -> Vec<Listed> {
        let mut all = Vec::new();
        for (name, value) in map.entries() {
            // The list of a shop written as it stands in a record: said once, and read.
            if self.shops_list
                && name.text() == "gauges"
                && let Node::Map(inner) = value
                && inner.entries().any(|(_, value)| !matches!(value, Node::Scalar(_)))
            {
                let finding = wording_gauge::names_at_the_top(self.place(name.span()));
                self.say(finding);
                all.extend(self.gauge_list_below(inner));
                continue;
            }
            all.push(self.listed(name, value));
        }
        all
    }

    fn gauge_list_below(&mut self, map: MapNode<'a>) -> Vec<Listed> {
        map.entries().map(|(name, value)| self.listed(name, value)).collect()
    }

    fn listed(&mut self, name: ScalarNode<'a>, value: Node<'a>) -> Listed {
        let calibrations = match value {
            Node::Map(map) => vec![self.calibration(name, map, name.span().to(value.span()))],
            Node::List(list) if !list.is_empty() && list.items().all(|item| item.as_map().is_some()) => {
                let maps: Vec<MapNode<'a>> = list.items().filter_map(|item| item.as_map()).collect();
                let many = maps.len() > 1;
                let mut calibrations = Vec::new();
                for map in maps {
                    if many && map.get("calibrated").is_none() {
                        let finding = wording_gauge::calibration_undated(name.text(), self.place(map.span()));
                        self.say(finding);
                    }
                    calibrations.push(self.calibration(name, map, map.span()));
                }
                calibrations
            }
            other => {
                let span = if other.span().is_empty() { name.span() } else { other.span() };
                let finding = wording_gauge::gauges_shape(self.shops_list, self.place(span));
                self.say(finding);
                let gauge = nothing_known(name.text(), self.place(name.span()));
                vec![Calibration { gauge, about: About { unsound: true, ..About::default() } }]
            }
        };
        Listed { name: name.text().to_string(), calibrations }
    }

    /// The one gauge with a name in other capitals; `None` if one has it as it is written.
    fn gauge_alike(&self, name: &str) -> Option<String> {
        if self.shop.is_some_and(|shop| shop.by_name.contains_key(name)) {
            return None;
        }
        let own = self.readings.gauges.iter().map(|gauge| &*gauge.name);
        let all: BTreeSet<&str> = own.chain(self.shop.into_iter().flat_map(|shop| shop.names())).collect();
        named_alike(all.iter().copied(), name, |name| name).map(str::to_owned)
    }

    /// The gauge a reading names, by its number; none, with a finding, where nobody lists it or it measures something
    /// else.
    pub(super) fn gauge_named(&mut self, characteristic: &'a Characteristic, scalar: ScalarNode<'a>) -> Option<u16> {
        let name = scalar.text();
        let own = self.readings.gauges.iter().position(|gauge| gauge.name == name);
        let alike = if own.is_some() { None } else { self.gauge_alike(name) };
        let name = alike.as_deref().unwrap_or(name);
        let own = own.or_else(|| self.readings.gauges.iter().position(|gauge| gauge.name == name));
        let number = match own {
            Some(number) => number,
            None => match self.shop.and_then(|shop| shop.in_force(name, self.readings.finished)) {
                Some(calibration) => {
                    self.readings.gauges.push(calibration.gauge.clone());
                    self.about_gauges.push(calibration.about.clone());
                    self.readings.gauges.len() - 1
                }
                None => {
                    if self.shop.is_none_or(|shop| !shop.in_part) {
                        let finding = wording_gauge::gauge_unknown(self, name, self.place(scalar.span()));
                        self.say(finding);
                    }
                    return None;
                }
            },
        };
        let gauge = self.readings.gauges.get(number)?;
        // What is no quantity is looked at, or tried with a gauge that lets it pass or not.
        if let (Kind::Quantity(of_reading), Some(of_gauge)) = (characteristic.kind, gauge.dimension)
            && of_reading.difference() != of_gauge
        {
            let finding = wording_gauge::measures_else(self, characteristic, gauge, self.place(scalar.span()));
            self.say(finding);
            return None;
        }
        if let (Kind::Quantity(of_reading), Some(certified)) = (characteristic.kind, &gauge.uncertainty)
            && of_reading.is_point()
            && !certified.is_fixed()
        {
            let finding = wording_certificate::no_zero(self, characteristic, gauge, self.place(scalar.span()));
            self.say(finding);
            return None;
        }
        u16::try_from(number).ok()
    }

    /// Counts a reading as taken with a gauge, and says where the gauge does not reach so far.
    pub(super) fn taken_with(
        &mut self,
        gauge: u16,
        (characteristic, station): (&Characteristic, Option<usize>),
        reading: &Reading,
    ) {
        let Some(about) = self.about_gauges.get_mut(usize::from(gauge)) else { return };
        about.uses += 1;
        about.first.get_or_insert(reading.span);
        self.growing_plausible(gauge, characteristic, reading);
        let Some(about) = self.about_gauges.get(usize::from(gauge)) else { return };
        let (Datum::Quantity(value), Some(gauge)) = (&reading.datum, self.readings.gauges.get(usize::from(gauge)))
        else {
            return;
        };
        let (Some((low, high)), Some((dimension, at))) = (&gauge.range, &about.range) else { return };
        if characteristic.kind != Kind::Quantity(*dimension) {
            return;
        }
        let outside = value.compare(low).is_some_and(std::cmp::Ordering::is_lt)
            || value.compare(high).is_some_and(std::cmp::Ordering::is_gt);
        if outside {
            let (name, at) = (gauge.name.clone(), at.clone());
            let finding = wording_gauge::outside_range(self, (characteristic, station), reading, (&name, at));
            self.say(finding);
        }
    }

    /// What an uncertainty that grows with the reading comes to at one, held against what the books say such gauges have and
    /// against its resolution. Where it cannot be, no figure of the gauge counts.
    fn growing_plausible(&mut self, number: u16, characteristic: &Characteristic, reading: &Reading) {
        let number = usize::from(number);
        let (Some(gauge), Some(about)) = (self.readings.gauges.get(number), self.about_gauges.get(number)) else {
            return;
        };
        let (Some(growing), Some(certified), Kind::Quantity(dimension)) =
            (&about.growing, &gauge.uncertainty, characteristic.kind)
        else {
            return;
        };
        let (Datum::Quantity(value), false) = (&reading.datum, growing.confirmed) else { return };
        let own = reading.detail.as_ref().is_some_and(|detail| detail.uncertainty.is_some());
        let at = certified.at(value);
        // At nothing a share comes to nothing, and no more is said of it.
        if own || at == Value::ZERO {
            return;
        }
        let written = (&*gauge.name, &growing.uncertainty, true);
        let read = (&at, characteristic, reading);
        let too_fine = gauge.resolution.as_ref().filter(|resolution| is_too_fine(&at, resolution));
        let finding = match (self.book.implausible_for_gauges(dimension, &at), too_fine) {
            (Some(declared), _) => {
                wording_certificate::comes_to(self, written, read, declared.range.clone(), "declared here")
            }
            (None, Some(_)) => match &growing.resolution {
                Some(resolution) => {
                    wording_certificate::comes_to(self, written, read, resolution.clone(), "its resolution")
                }
                None => return,
            },
            (None, None) => return,
        };
        self.say(finding);
        if let Some(gauge) = self.readings.gauges.get_mut(number) {
            (gauge.implausible, gauge.uncertainty, gauge.resolution) = (true, None, None);
            gauge.degrees_of_freedom = None;
        }
    }

    /// Says of each gauge that was used whether its calibration held on the day the build was finished.
    pub(super) fn calibrations_held(&mut self) {
        let Some(finished) = self.readings.finished else { return };
        let mut findings = Vec::new();
        for (gauge, about) in self.readings.gauges.iter().zip(&self.about_gauges) {
            let Some(first) = about.first else { continue };
            let first = self.source.place(first);
            if let (Some(calibrated), Some(at)) = (gauge.calibrated.filter(|day| *day > finished), &about.calibrated) {
                findings.push(wording_gauge::used_before(&gauge.name, (about.uses, first), (calibrated, at), finished));
                continue;
            }
            let believable = |due: &Date| gauge.calibrated.is_none_or(|calibrated| calibrated <= *due);
            if let (Some(due), Some(at)) = (gauge.due.filter(believable).filter(|day| *day < finished), &about.due) {
                findings.push(wording_gauge::overdue(&gauge.name, (about.uses, first), (due, at), finished));
            }
        }
        for finding in findings {
            self.say(finding);
        }
    }
}

impl Readings {
    /// The gauge a reading was taken with.
    #[must_use]
    pub fn gauge_of(&self, reading: &Reading) -> Option<&Gauge> {
        self.gauges.get(usize::from(reading.gauge?))
    }
}
