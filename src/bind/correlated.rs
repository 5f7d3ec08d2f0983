//! Which gauges are wrong together, as their certificates state it: read, held against each other, and found by number.
//! Refuses to know what follows for a reading.

use super::gauges::Listed;
use super::walk::Binder;
use super::{Correlated, Gauge, Readings, wording_correlated as wording};
use crate::finding::Finding;
use crate::quantity::{Date, Number};
use crate::record::{Node, ScalarNode};
use crate::statistics::correlation::{self, Pair};

/// More gauges than this that hang together are not looked through: nobody states so many coefficients by hand.
const MOST_TOGETHER: usize = 32;

/// Statements that cannot all be true, and the gauges that make them.
struct Fault {
    finding: Finding,
    gauges: Vec<usize>,
}

/// The gauge of a name: where the one that names it is listed, else anywhere.
fn named(gauges: &[&Gauge], by: &Gauge, name: &str) -> Option<usize> {
    let beside = |gauge: &&Gauge| gauge.name == name && gauge.place.source.is_same(&by.place.source);
    gauges.iter().position(beside).or_else(|| gauges.iter().position(|gauge| gauge.name == name))
}

/// What gauges state about each other, each pair once, by the first that states it; and who contradicts that.
fn stated(gauges: &[&Gauge]) -> (Vec<Pair>, Vec<Fault>) {
    let mut pairs: Vec<(Pair, &Correlated)> = Vec::new();
    let mut faults = Vec::new();
    for (one, gauge) in gauges.iter().enumerate() {
        for said in &gauge.correlated {
            let Some(other) = named(gauges, gauge, &said.gauge).filter(|other| *other != one) else { continue };
            let (low, high) = (one.min(other), one.max(other));
            match pairs.iter().find(|((first, second, _), _)| (*first, *second) == (low, high)) {
                Some((_, before)) if before.coefficient != said.coefficient => {
                    let names = (gauge.name.as_str(), said.gauge.as_str());
                    faults
                        .push(Fault { finding: wording::contradiction(names, said, before), gauges: vec![low, high] });
                }
                Some(_) => {}
                None => pairs.push(((low, high, said.coefficient.clone()), said)),
            }
        }
    }
    let pairs = pairs.into_iter().map(|(pair, _)| pair).filter(|(.., coefficient)| coefficient.signum() != 0);
    (pairs.collect(), faults)
}

/// All that is wrong with what gauges state about each other.
fn faults(gauges: &[&Gauge]) -> Vec<Fault> {
    let (pairs, mut faults) = stated(gauges);
    if !faults.is_empty() {
        return faults;
    }
    for group in correlation::groups(&pairs) {
        let members: Vec<&Gauge> = group.iter().filter_map(|at| gauges.get(*at).copied()).collect();
        let finding = if group.len() > MOST_TOGETHER {
            wording::too_many(&members, MOST_TOGETHER)
        } else if correlation::is_possible(correlation::matrix(&group, &pairs)) {
            None
        } else {
            wording::impossible(&members)
        };
        faults.extend(finding.map(|finding| Fault { finding, gauges: group }));
    }
    faults
}

/// What correlations between the gauges of a record come to.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Correlations {
    /// Each pair once, the gauges by their numbers, the lower first.
    pub pairs: Vec<Pair>,
    /// Whether they can hold together. Otherwise the pairs are all there are, each wholly correlated, with no sign known: that is
    /// the most they can come to.
    pub possible: bool,
}

impl Readings {
    /// Which of its gauges are wrong together. Gauges of parts that were taken over are among them, and nobody held those
    /// against each other before.
    #[must_use]
    pub fn correlations(&self) -> Correlations {
        if self.gauges.iter().all(|gauge| gauge.correlated.is_empty()) {
            return Correlations { pairs: Vec::new(), possible: true };
        }
        let gauges: Vec<&Gauge> = self.gauges.iter().collect();
        let (pairs, _) = stated(&gauges);
        if faults(&gauges).is_empty() {
            return Correlations { pairs, possible: true };
        }
        let mut all: Vec<usize> = pairs.iter().flat_map(|(one, other, _)| [*one, *other]).collect();
        all.sort_unstable();
        all.dedup();
        let after =
            |one: usize| all.iter().filter(move |other| one < **other).map(move |other| (one, *other, Number::ONE));
        Correlations { pairs: all.iter().flat_map(|one| after(*one)).collect(), possible: false }
    }
}

impl<'a> Binder<'a> {
    /// `correlated: { mic-25-50: 0.6 }`; `None`, with a finding, if something in it cannot be read.
    pub(super) fn correlated(&mut self, gauge: &str, key: ScalarNode<'a>, value: Node<'a>) -> Option<Vec<Correlated>> {
        let Node::Map(map) = value else {
            let span = if value.span().is_empty() { key.span() } else { value.span() };
            let finding = wording::shape(self.place(span));
            self.say(finding);
            return None;
        };
        let (mut all, mut sound) = (Vec::new(), true);
        for (name, value) in map.entries() {
            if name.text() == gauge {
                let finding = wording::with_itself(gauge, self.place(name.span()));
                self.say(finding);
                sound = false;
                continue;
            }
            let text = value.as_scalar().map(|scalar| scalar.text().trim_ascii());
            let place = self.place(if value.span().is_empty() { name.span() } else { value.span() });
            match text.and_then(|text| Number::parse(text).ok()).filter(|it| it.abs() <= Number::ONE) {
                Some(coefficient) => all.push(Correlated { gauge: name.text().to_string(), coefficient, place }),
                None => {
                    let finding = wording::coefficient(place);
                    self.say(finding);
                    sound = false;
                }
            }
        }
        sound.then_some(all)
    }

    /// Holds what the gauges of a record state about each other against the rest, where the record lists gauges itself: those of
    /// the shop's list alone were held against each other when it was read.
    pub(super) fn correlations_hold(&mut self) {
        let own = |gauge: &&Gauge| gauge.place.source.is_same(self.source);
        if self.readings.gauges.iter().all(|gauge| gauge.correlated.is_empty())
            || !self.readings.gauges.iter().any(|gauge| own(&gauge))
        {
            return;
        }
        let gauges: Vec<&Gauge> = self.readings.gauges.iter().collect();
        let mut findings = Vec::new();
        if self.shop.is_none_or(|shop| !shop.in_part()) {
            let listed = |name: &str| {
                gauges.iter().any(|gauge| gauge.name == name)
                    || self.shop.is_some_and(|shop| shop.names().any(|listed| listed == name))
            };
            let names: Vec<&str> = gauges
                .iter()
                .map(|gauge| &*gauge.name)
                .chain(self.shop.into_iter().flat_map(|it| it.names()))
                .collect();
            for gauge in gauges.iter().filter(|gauge| own(gauge)) {
                let unknown = gauge.correlated.iter().filter(|said| !listed(&said.gauge));
                findings.extend(unknown.map(|said| wording::unknown(&gauge.name, said, &names)));
            }
        }
        let faults = faults(&gauges);
        for fault in faults {
            findings.push(fault.finding);
            for gauge in fault.gauges {
                if let Some(gauge) = self.readings.gauges.get_mut(gauge) {
                    (gauge.uncertainty, gauge.degrees_of_freedom) = (None, None);
                }
            }
        }
        findings.into_iter().for_each(|finding| self.say(finding));
    }

    /// The same for a shop's list, on every day on which something in it changed.
    pub(super) fn listed_correlations_hold(&mut self, listed: &mut [Listed]) {
        let stating = |one: &Listed| one.all().any(|gauge| !gauge.correlated.is_empty());
        if !listed.iter().any(stating) {
            return;
        }
        let names: Vec<String> = listed.iter().map(|one| one.name().to_owned()).collect();
        let names: Vec<&str> = names.iter().map(String::as_str).collect();
        let mut findings = Vec::new();
        let mut concerned: Vec<usize> = Vec::new();
        for (number, one) in listed.iter().enumerate() {
            for said in one.all().flat_map(|gauge| &gauge.correlated) {
                match names.iter().position(|name| *name == said.gauge) {
                    Some(other) => concerned.extend([number, other]),
                    None => findings.push(wording::unknown(one.name(), said, &names)),
                }
            }
        }
        concerned.sort_unstable();
        concerned.dedup();
        let of = |number: &usize| listed.get(*number);
        let mut days: Vec<Option<Date>> =
            concerned.iter().filter_map(of).flat_map(Listed::all).map(|gauge| gauge.calibrated).collect();
        days.push(None);
        days.sort_unstable();
        days.dedup();
        let mut unsound: Vec<usize> = Vec::new();
        for day in days {
            let (numbers, gauges): (Vec<usize>, Vec<&Gauge>) =
                concerned.iter().filter_map(|number| Some((*number, listed.get(*number)?.on(day)?))).unzip();
            for fault in faults(&gauges) {
                unsound.extend(fault.gauges.iter().filter_map(|at| numbers.get(*at)));
                if !findings.contains(&fault.finding) {
                    findings.push(fault.finding);
                }
            }
        }
        for number in unsound {
            listed.get_mut(number).into_iter().for_each(Listed::forget_uncertainty);
        }
        findings.into_iter().for_each(|finding| self.say(finding));
    }
}

#[cfg(test)]
mod tests;
