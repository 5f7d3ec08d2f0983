//! Lengths taken warm: temperatures and expansions drawn, beside the law of propagation.

use super::SEED;
use super::draws::{Spread, tolerance};
use crate::outside::weighing::{budgets, float, judged, near, readings, shop};
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use rand_distr::{Distribution, StandardNormal};

const BOOK: &str = "rulebook \"Warm\" edition 2026-03-01
unit mm = 0.001 m
unit um = 0.001 mm
unit degC = 1 K zero at 273.15 K
unit \"um/m/K\" = 0.000001 / (1 K)
part machine {
    part block {
        expansion 23.0 um/m/K ± 1.0 um/m/K
        a : mm
        b : mm
    }
    part pin {
        expansion 11.5 um/m/K ± 0.5 um/m/K
        c : mm
    }
    derive gap : mm = block.a - block.b
    derive total : mm = block.a + block.b
    derive fit : mm = block.a - pin.c
    derive ratio : number = block.a / pin.c
}
generation g \"warm\" {
    block.a limit at most 1000 mm
    machine.gap limit at most 1000 mm
    machine.total limit at most 1000 mm
    machine.fit limit at most 1000 mm
    machine.ratio limit at most 1000
}
";

const RECORD: &str = "generation: g
gauges:
  one: { uncertainty: 2 um, resolution: 1 um, expansion: 10 um/m/K ± 0.8 um/m/K }
block:
  a: { value: 100.020 mm, gauge: one, at: 31 ± 1 degC }
  b: { value: 90.010 mm, gauge: one, at: 29 ± 1.5 degC, gauge_at: 22 ± 0.5 degC }
pin:
  c: { value: 99.990 mm, gauge: one, at: 12 ± 2 degC }
";

#[test]
fn lengths_taken_warm_are_as_unsure_as_draws_say() {
    let shop = shop(BOOK);
    let found: Vec<(f64, f64)> = budgets(&shop, &readings(&shop, RECORD))
        .into_iter()
        .map(|(ruling, budget)| (judged(&ruling), float(&budget.unwrap().uncertainty.standard())))
        .collect();
    assert_eq!(found.len(), 5);
    let mut chance = ChaCha8Rng::seed_from_u64(SEED);
    let mut spreads = vec![Spread::default(); found.len()];
    for _ in 0..1_000_000 {
        let mut flat = |middle: f64, half: f64| middle + half * (2.0 * chance.random::<f64>() - 1.0);
        let (block, pin, scale) = (flat(23.0, 1.0) * 1e-6, flat(11.5, 0.5) * 1e-6, flat(10.0, 0.8) * 1e-6);
        let (ta, tb, tbg, tc) = (flat(31.0, 1.0), flat(29.0, 1.5), flat(22.0, 0.5), flat(12.0, 2.0));
        let (ra, rb, rc) = (flat(0.0, 0.5e-6), flat(0.0, 0.5e-6), flat(0.0, 0.5e-6));
        let shared: f64 = StandardNormal.sample(&mut chance);
        let length = |taken: f64, step: f64, part: f64, at: f64, gauge_at: f64| {
            (taken + 1e-6 * shared + step) * (1.0 + scale * (gauge_at - 20.0)) / (1.0 + part * (at - 20.0))
        };
        let a = length(0.100_020, ra, block, ta, ta);
        let b = length(0.090_010, rb, block, tb, tbg);
        let c = length(0.099_990, rc, pin, tc, tc);
        for ((spread, value), (about, _)) in spreads.iter_mut().zip([a, a - b, a + b, a - c, a / c]).zip(&found) {
            spread.add(&[value], *about);
        }
    }
    for (spread, (_, standard)) in spreads.iter().zip(&found) {
        near(spread.deviation(), *standard, tolerance(*standard), "a length taken warm");
    }
}
