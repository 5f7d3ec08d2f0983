//! What readings by one gauge share cancels in a difference and adds up in a sum, and a checker that forgets it is far off.

use super::derivation::Derivation;
use super::draws::{BLOCK, Calibrations, Pool, Spread, tolerance};
use super::{DERIVATIONS, SEED};
use crate::outside::weighing::{float, near, only, readings, shop};
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use rand_distr::{Distribution, StandardNormal};

/// Expanded uncertainty and resolution of the gauge, in millimetres.
const EXPANDED: f64 = 0.010;
const RESOLUTION: f64 = 0.001;

/// The standard uncertainty the program finds for a value of two readings by the gauge, in millimetres.
fn found(value: &str) -> f64 {
    let shop = shop(&format!(
        "rulebook \"Two\" edition 2026-03-01\nunit mm = 0.001 m\npart fit {{\n    a : mm\n    b : mm\n    derive value : mm = {value}\n}}\ngeneration g \"two\" {{\n    fit.value limit at most 1000 mm\n}}\n"
    ));
    let record = "generation: g\ngauges:\n  one: { uncertainty: 0.010 mm, resolution: 0.001 mm }\na: { value: 30.012 mm, gauge: one }\nb: { value: 29.951 mm, gauge: one }\n";
    let (_, budget) = only(&shop, &readings(&shop, record));
    float(&budget.uncertainty.standard()) * 1e3
}

/// The standard deviation of a million draws of the same, the calibration shared or drawn for each reading.
fn drawn(value: impl Fn(f64, f64) -> f64, shared: bool) -> f64 {
    let mut chance = ChaCha8Rng::seed_from_u64(SEED);
    let mut spread = Spread::default();
    let about = value(30.012, 29.951);
    for _ in 0..1_000_000 {
        let first: f64 = StandardNormal.sample(&mut chance);
        let second: f64 = if shared { first } else { StandardNormal.sample(&mut chance) };
        let mut reading =
            |at: f64, calibration: f64| at + EXPANDED / 2.0 * calibration + RESOLUTION * (chance.random::<f64>() - 0.5);
        let (a, b) = (reading(30.012, first), reading(29.951, second));
        spread.add(&[value(a, b)], about);
    }
    spread.deviation()
}

#[test]
fn what_two_readings_share_cancels_in_their_difference() {
    let standard = found("a - b");
    // Two resolutions are left: 1 µm · √(2/12).
    near(standard, RESOLUTION / 6_f64.sqrt(), 1e-12, "the difference");
    near(drawn(|a, b| a - b, true), standard, tolerance(standard), "the difference, drawn");
    // Without correlation it would be √(2 · 5² + 1/6) µm, seventeen times as much.
    let factor = drawn(|a, b| a - b, false) / standard;
    near(factor, 301_f64.sqrt(), 0.1, "how far off a checker without correlation is");
}

#[test]
fn what_two_readings_share_adds_up_in_their_sum() {
    let standard = found("a + b");
    near(standard, (EXPANDED * EXPANDED + RESOLUTION * RESOLUTION / 6.0).sqrt(), 1e-12, "the sum");
    near(drawn(|a, b| a + b, true), standard, tolerance(standard), "the sum, drawn");
    // Without correlation it would be too small by the root of two, nearly.
    let factor = standard / drawn(|a, b| a + b, false);
    near(factor, 2_f64.sqrt(), 0.01, "how far off a checker without correlation is");
}

#[test]
fn a_checker_without_correlation_is_off_in_a_third_of_the_derivations() {
    const FEWER: usize = 40_000;
    let derivations: Vec<Derivation> = (0..DERIVATIONS).map(Derivation::random).collect();
    let mut pool = Pool::new(SEED);
    let mut spreads = vec![Spread::default(); derivations.len()];
    let about: Vec<f64> =
        derivations.iter().map(|derivation| derivation.values(&derivation.nominal()).last().unwrap()[0]).collect();
    for _ in 0..FEWER / BLOCK {
        pool.draw(Calibrations::EachItsOwn);
        for ((derivation, about), spread) in derivations.iter().zip(&about).zip(&mut spreads) {
            let values = derivation.values(&pool.columns(derivation, Calibrations::EachItsOwn));
            spread.add(values.last().unwrap(), *about);
        }
    }
    let off = derivations.iter().zip(&spreads).filter(|(derivation, spread)| {
        let shop = shop(&derivation.book());
        let standard = float(&only(&shop, &readings(&shop, &derivation.record(None))).1.uncertainty.standard());
        // Ten times what so few draws leave unknown, 1/√(2n).
        (spread.deviation() / standard - 1.0).abs() > 0.035
    });
    // In the others one reading outweighs all, or no gauge is named twice.
    assert!(off.count() * 3 >= derivations.len());
}

/// Repeats at several positions: each position's own scatter, as often as it has readings in the mean of all.
#[test]
fn repeats_at_several_positions_scatter_each_by_itself() {
    let shop = shop(
        "rulebook \"Gears\" edition 2026-03-01
unit mm = 0.001 m
part pump {
    part gear at drive, idle {
        width : mm, 2 readings or more
    }
    derive middle : mm = mean of gear.width
}
generation g \"gears\" {
    pump.middle limit at most 1000 mm
}
",
    );
    let record = "generation: g
gear:
  drive: { width: [20.001 mm, 20.003 mm] }
  idle: { width: [19.990 mm, 19.991 mm, 19.995 mm] }
";
    let (_, budget) = only(&shop, &readings(&shop, record));
    // s² is 2 µm² of two, 7 µm² of three; of five readings their means are 2/5 and 3/5.
    let variance = 0.4_f64.powi(2) * 2.0 / 2.0 + 0.6_f64.powi(2) * 7.0 / 3.0;
    near(float(&budget.uncertainty.standard()) * 1e6, variance.sqrt(), 1e-9, "the mean of both");
    // Welch and Satterthwaite with 1 and 2 degrees of freedom.
    let freedom = variance.powi(2) / ((0.16_f64).powi(2) / 1.0 + (0.36 * 7.0 / 3.0_f64).powi(2) / 2.0);
    near(budget.uncertainty.degrees_of_freedom.unwrap().to_f64(), freedom, 1e-9, "its degrees of freedom");
}
