//! The gauges of the shop with how often each was used, gathered for their page. Refuses to know which of them is overdue.

use super::about;
use crate::bench::{Answer, Workshop};
use crate::bind::{Correlated, Drift, Gauge};
use crate::book::Book;
use crate::finding::Finding;
use crate::quantity::{Rounded, Unit, Value, shown_significant};
use crate::report::html::bench::{self, GaugeLine, Gauges};
use std::collections::BTreeMap;

/// The page.
pub(in crate::bench) fn gauges(workshop: &Workshop) -> Answer {
    let shop = workshop.shop();
    let mut used: BTreeMap<String, usize> = BTreeMap::new();
    for record in workshop.judged().all(workshop) {
        for (name, readings) in &record.gauges {
            *used.entry(name.clone()).or_default() += readings;
        }
    }
    let today = workshop.today();
    let listed: Vec<GaugeLine> = shop
        .gauges_on(today)
        .into_iter()
        .map(|gauge| line(&shop.book, gauge, &shop.gauge_drifts(&gauge.name), used.remove(&gauge.name)))
        .collect();
    let troubles: Vec<Finding> = shop.gauge_findings().to_vec();
    let others: Vec<(String, usize)> = used.into_iter().collect();
    let page = Gauges { shop: about(workshop, &shop), gauges: &listed, others: &others, today, troubles: &troubles };
    Answer::page(bench::gauges(&page))
}

fn line(book: &Book, gauge: &Gauge, drifts: &[Drift], readings: Option<usize>) -> GaugeLine {
    // Its figures are shown in the unit of the first reading that it could take.
    let measures =
        |unit: &Unit| Some(unit.dimension) == gauge.dimension || Some(unit.difference().dimension) == gauge.dimension;
    let unit = book.characteristics.iter().filter_map(|one| one.unit.as_ref()).find(|unit| measures(unit));
    let figure = |value: &Option<Value>, way| {
        Some(shown_significant(value.as_ref()?, &unit.map_or_else(Unit::number, Unit::difference), 2, way))
    };
    GaugeLine {
        name: gauge.name.clone(),
        uncertainty: gauge.uncertainty.as_ref().map(|it| it.words(&unit.map_or_else(Unit::number, Unit::difference))),
        resolution: figure(&gauge.resolution, Rounded::Nearest),
        correlated: gauge.correlated.iter().map(Correlated::words).collect(),
        drifts: drifts
            .iter()
            .map(|drift| (drift.words(&unit.map_or_else(Unit::number, Unit::difference)), drift.is_beyond()))
            .collect(),
        calibrated: gauge.calibrated,
        due: gauge.due,
        readings: readings.unwrap_or(0),
    }
}
