//! The law of propagation against Monte Carlo and against differences: random derivations written as rulebooks, taken through
//! the compiler, the binder and the budget, beside draws through an evaluator of their own.

mod advice;
mod derivation;
mod draws;
mod kinds;
mod picked;
mod shared;
mod warm;

use crate::outside::weighing::{budgets, float, judged, near, only, readings, shop, verdict};
use derivation::{By, Derivation, REPEATS, Reading, SINGLES, Which};
use draws::{BLOCK, Calibrations, Pool, Spread, deviation, draws, tolerance};
use proptest::prelude::*;
use std::collections::BTreeMap;
use trochoid::judge::uncertainty::Influence;
use trochoid::quantity::Value;

/// How many derivations are drawn a million times each.
const DERIVATIONS: u64 = 32;

/// The first of their numbers.
const FIRST: u64 = 1;

/// What occurs in them, each at least twice.
const EVERYTHING: [&str; 21] = [
    " + ",
    " - ",
    " * ",
    " / ",
    "(-(",
    " ^ ",
    "sqrt(abs(",
    "(abs(",
    "sin((",
    "cos((",
    "tan(0.2",
    " asin(",
    "acos(",
    "atan((",
    "around(",
    "exp(0.05",
    "ln(1 + abs(",
    "bent(",
    "mean of",
    "spread of",
    "smallest of",
];

/// Every run draws the same.
const SEED: u64 = 20_080_101;

#[test]
fn as_many_draws_have_the_standard_uncertainty_of_the_law_of_propagation() {
    let derivations: Vec<Derivation> = (FIRST..FIRST + DERIVATIONS).map(Derivation::random).collect();
    let books: String = derivations.iter().map(Derivation::book).collect();
    let derived: String = books.lines().filter(|line| line.contains("derive")).collect();
    for word in EVERYTHING {
        assert!(derived.matches(word).count() >= 2, "{word} is missing");
    }
    let nominal: Vec<f64> =
        derivations.iter().map(|derivation| derivation.values(&derivation.nominal()).last().unwrap()[0]).collect();
    let mut pool = Pool::new(SEED);
    let mut spreads = vec![Spread::default(); derivations.len()];
    for _ in 0..draws() / BLOCK {
        pool.draw(Calibrations::Shared);
        for ((derivation, about), spread) in derivations.iter().zip(&nominal).zip(&mut spreads) {
            let values = derivation.values(&pool.columns(derivation, Calibrations::Shared));
            spread.add(values.last().unwrap(), *about);
        }
    }
    for ((derivation, about), spread) in derivations.iter().zip(&nominal).zip(&spreads) {
        let shop = shop(&derivation.book());
        let (ruling, budget) = only(&shop, &readings(&shop, &derivation.record(None)));
        near(judged(&ruling), *about, 1e-9 * about.abs().max(1.0), &derivation.book());
        let standard = float(&budget.uncertainty.standard());
        near(spread.deviation(), standard, tolerance(standard), &derivation.book());
    }
}

/// The slots of what is measured come first.
const MEASURED: u32 = (SINGLES + REPEATS.len()) as u32;

/// What is in a slot: the repeats of a group, or a single reading.
fn owner(shop: &trochoid::shop::Shop, slot: u32) -> (bool, usize) {
    let (characteristic, ..) = shop.book.slot_owner(slot as usize).unwrap();
    let name = &shop.book.characteristics.get(characteristic).name;
    (name.starts_with('r'), name[1..].parse().unwrap())
}

/// The derivative by each reading of each of its influences: the value worked out by the program with one reading a little
/// more and a little less, and how far the difference of the two values may lie from that quotient to either side. A value made by
/// a root or an angle is known to some 40 places, and the quotient to as many less those of the step.
fn differences(shop: &trochoid::shop::Shop, derivation: &Derivation) -> BTreeMap<Which, (f64, f64)> {
    const STEP: i64 = 1_000;
    let value = |which: Which, by: i64| {
        let readings = readings(shop, &derivation.record(Some((which, by))));
        let verdict = verdict(shop, &readings);
        match &verdict.rulings[0].value {
            Some(trochoid::book::Datum::Quantity(value)) => value.clone(),
            other => panic!("no quantity: {other:?}"),
        }
    };
    let slope = |which: Which| {
        let rise = value(which, STEP).subtract(&value(which, -STEP));
        // 1,000 of the 15th place to either side, of the reading's own unit, in metres.
        let run = 2e-12 * derivation.reading(which).unit() * 1e-3;
        let enclosure = rise.enclosure();
        let width = float(&Value::from(enclosure.high).subtract(&Value::from(enclosure.low)));
        let slope = float(&rise) / run;
        // The quotient itself is a binary number, good to its last places.
        (slope, width.abs() / run + 4.0 * f64::EPSILON * slope.abs())
    };
    derivation.all().into_iter().map(|which| (which, slope(which))).collect()
}

/// A hundredth of a micrometre in metres.
const HUNDREDTH: f64 = 1e-8;

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn every_sensitivity_is_what_differences_of_the_exact_value_say(seed in any::<u64>()) {
        sensitivities_are_differences(seed);
    }
}

/// Readings of one gauge cancel altogether, and the quotients of some 760 each cancel to 1e-13, the last places of binary numbers.
#[test]
fn a_sensitivity_of_nothing_is_within_what_the_differences_can_tell() {
    sensitivities_are_differences(14_754_729_204_740_961_810);
}

fn sensitivities_are_differences(seed: u64) {
    let derivation = Derivation::random(seed);
    let shop = shop(&derivation.book());
    let slopes = differences(&shop, &derivation);
    // By influence: the derivative, how far it may lie from that, and the standard uncertainty as the record says it.
    let mut expected: BTreeMap<Influence, (f64, f64, f64)> = BTreeMap::new();
    let budget = budgets(&shop, &readings(&shop, &derivation.record(None))).remove(0).1;
    let slots: BTreeMap<(bool, usize), u32> = (0..MEASURED).map(|slot| (owner(&shop, slot), slot)).collect();
    for (which, (slope, apart)) in &slopes {
        let reading = derivation.reading(*which);
        let (slot, nth) = match which {
            (None, single) => (slots[&(false, *single)], 0),
            (Some(group), number) => (slots[&(true, *group)], *number as u32),
        };
        let mut add = |influence: Influence, standard: f64| {
            let entry = expected.entry(influence).or_insert((0.0, 0.0, standard));
            entry.0 += slope;
            entry.1 += apart;
        };
        match reading.by {
            By::Nobody => {}
            By::Itself(own) => add(Influence::Stated(slot, nth), f64::from(own) * HUNDREDTH / 2.0),
            By::Gauge(number) => {
                let gauge = &derivation.gauges[number];
                if let Some(width) = gauge.uncertainty {
                    add(Influence::Calibration(number as u16), f64::from(width) * HUNDREDTH / 2.0);
                }
                if let Some(step) = gauge.resolution {
                    add(Influence::Resolution(slot, nth), f64::from(step) * HUNDREDTH / 12_f64.sqrt());
                }
            }
        }
        if let (Some(group @ 0..2), _) = which {
            let readings: &[Reading] = &derivation.repeated[*group];
            // Of the mean; a mean's derivative is the sum of those by its readings.
            add(Influence::Repeats(slot), deviation(readings) * 1e-3 / (readings.len() as f64).sqrt());
        }
    }
    // Of what cancels altogether, the last places of binary numbers are left over.
    let scale = slopes.values().map(|(slope, _)| slope.abs()).fold(1e-20, f64::max);
    let (mut variance, mut variance_apart) = (0.0, 0.0);
    let lines: BTreeMap<Influence, _> =
        budget.iter().flat_map(|budget| &budget.lines).map(|line| (line.influence, line)).collect();
    for (influence, (slope, apart, standard)) in &expected {
        variance += (slope * standard).powi(2);
        variance_apart += (2.0 * slope.abs() + apart) * apart * standard.powi(2);
        let near_slope = 1e-9 * scale + apart;
        let Some(line) = lines.get(influence) else {
            assert!(slope.abs() <= near_slope, "{influence:?} of {slope} is missing\n{}", derivation.book());
            continue;
        };
        near(float(&line.sensitivity), *slope, near_slope, &format!("{influence:?}\n{}", derivation.book()));
        near(float(&line.standard), *standard, 1e-9 * standard, &format!("{influence:?}"));
        near(float(&line.contribution), (slope * standard).abs(), near_slope * standard, &format!("{influence:?}"));
    }
    for influence in lines.keys() {
        assert!(expected.contains_key(influence), "{influence:?} has no part in it\n{}", derivation.book());
    }
    let found = budget.map_or(0.0, |budget| float(&budget.uncertainty.variance));
    near(found, variance, 1e-9 * variance + variance_apart + 1e-50, &derivation.book());
}
