//! The law of propagation against Monte Carlo and against differences: random derivations written as rulebooks, taken through
//! the compiler, the binder and the budget, beside draws through an evaluator of their own.

mod derivation;
mod draws;

use crate::outside::weighing::{float, judged, near, number, only, readings, shop};
use derivation::{By, Derivation, Reading, Which};
use draws::{BLOCK, Calibrations, DRAWS, Pool, Spread, deviation, tolerance};
use proptest::prelude::*;
use std::collections::BTreeMap;
use trochoid::judge::uncertainty::{Budget, Influence};
use trochoid::quantity::Value;

/// How many derivations are drawn a million times each.
const DERIVATIONS: u64 = 24;

/// What the program makes of a derivation.
fn budget_of(derivation: &Derivation) -> Budget {
    let shop = shop(&derivation.book());
    only(&shop, &readings(&shop, &derivation.record(None))).1
}

#[test]
fn a_million_draws_have_the_standard_uncertainty_of_the_law_of_propagation() {
    let derivations: Vec<Derivation> = (0..DERIVATIONS).map(Derivation::random).collect();
    let nominal: Vec<f64> =
        derivations.iter().map(|derivation| derivation.values(&derivation.nominal()).last().unwrap()[0]).collect();
    let mut pool = Pool::new(20_080_101);
    let mut spreads = vec![Spread::default(); derivations.len()];
    for _ in 0..DRAWS / BLOCK {
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
