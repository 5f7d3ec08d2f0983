//! The smallest, largest and spread of readings so close that any of them may be the extreme one: by the documented rule (the
//! larger uncertainty of those closer than their expanded uncertainty), and never below what draws say.

use crate::outside::weighing::{budgets, float, near, only, readings, shop};
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use rand_distr::{Distribution, StandardNormal};
use trochoid::statistics::distribution::normal_cdf;

/// One reading: micrometres over 10 mm, and its gauge.
type Taken = (u32, usize);

/// Expanded uncertainties of the gauges in micrometres: no one more than three times another.
const EXPANDED: [f64; 3] = [4.0, 7.0, 12.0];

/// The standard uncertainty the program finds, in micrometres.
fn found(word: &str, taken: &[Taken]) -> f64 {
    let shop = shop(&format!(
        "rulebook \"Close\" edition 2026-03-01\nunit mm = 0.001 m\nunit um = 0.001 mm\npart fit {{\n    width : mm, 1 reading or more\n    derive value : mm = {word} of width\n}}\ngeneration g \"close\" {{\n    fit.value limit at most 1000 mm\n}}\n"
    ));
    let list: Vec<String> =
        taken.iter().map(|(over, gauge)| format!("{{ value: 10.{over:03} mm, gauge: g{gauge} }}")).collect();
    let gauges: String = EXPANDED
        .iter()
        .enumerate()
        .map(|(number, expanded)| format!("  g{number}: {{ uncertainty: {expanded} um }}\n"))
        .collect();
    let record = format!("generation: g\ngauges:\n{gauges}width: [{}]\n", list.join(", "));
    let (_, budget) = only(&shop, &readings(&shop, &record));
    float(&budget.uncertainty.standard()) * 1e6
}

/// Those that may be the extreme one: closer to it than the expanded uncertainty of the distance, gauges apart.
fn candidates(taken: &[Taken], largest: bool) -> Vec<Taken> {
    let extreme = if largest { taken.iter().max_by_key(|(at, _)| *at) } else { taken.iter().min_by_key(|(at, _)| *at) };
    let extreme = extreme.unwrap();
    let reaches = |one: &Taken| {
        let apart = f64::from(one.0.abs_diff(extreme.0));
        apart <= EXPANDED[one.1].hypot(EXPANDED[extreme.1])
    };
    taken.iter().copied().filter(reaches).collect()
}

/// The standard deviation of the word's value over draws, each gauge with one error a draw.
fn drawn(word: &str, taken: &[Taken], chance: &mut ChaCha8Rng) -> f64 {
    const DRAWS: usize = 10_000;
    let (mut sum, mut squares) = (0.0, 0.0);
    for _ in 0..DRAWS {
        let errors: Vec<f64> = EXPANDED
            .iter()
            .map(|expanded| {
                let draw: f64 = StandardNormal.sample(chance);
                expanded / 2.0 * draw
            })
            .collect();
        let values = taken.iter().map(|(at, gauge)| f64::from(*at) + errors[*gauge]);
        let smallest = values.clone().fold(f64::INFINITY, f64::min);
        let largest = values.fold(f64::NEG_INFINITY, f64::max);
        let value = match word {
            "smallest" => smallest,
            "largest" => largest,
            _ => largest - smallest,
        };
        let off = value - f64::from(taken[0].0);
        sum += off;
        squares += off * off;
    }
    let mean = sum / DRAWS as f64;
    (squares / DRAWS as f64 - mean * mean).sqrt()
}

/// Two to five readings within some 40 µm, no two the same.
fn some(chance: &mut ChaCha8Rng) -> Vec<Taken> {
    let mut taken: Vec<Taken> = Vec::new();
    let wanted = chance.random_range(2..=5);
    while taken.len() < wanted {
        let at = chance.random_range(0..40);
        if taken.iter().all(|(other, _)| *other != at) {
            taken.push((at, chance.random_range(0..EXPANDED.len())));
        }
    }
    taken
}

/// Draws are 10,000, so that a deviation is known to seven thousandths (1/√(2n)); four of those are allowed.
const NOISE: f64 = 1.03;

/// The tail of a reading just out of reach, three times as unsure as the extreme one: with z from where it would have to go
/// beyond two standard deviations, it adds ((1 + 4)·Q(2) − 2·φ(2))·(9 + 1) = 0.058 of the variance, 0.03 of the deviation.
const TAIL: f64 = 1.03;

/// How much members out of reach may add to the deviation all the same: the root of what is expected of the square by which
/// each goes past the extreme one, ((1 + z²)·Q(z) − z·φ(z))·σ² at z = apart/σ, with a doubt σ of the distance.
fn overshoot(taken: &[Taken], largest: bool) -> f64 {
    let near = candidates(taken, largest);
    let extreme = if largest { taken.iter().max() } else { taken.iter().min() }.unwrap();
    let out = taken.iter().filter(|one| !near.contains(one) && one.1 != extreme.1);
    out.map(|one| {
        let sigma = EXPANDED[one.1].hypot(EXPANDED[extreme.1]) / 2.0;
        let z = f64::from(one.0.abs_diff(extreme.0)) / sigma;
        let density = (-z * z / 2.0).exp() / (2.0 * std::f64::consts::PI).sqrt();
        (((1.0 + z * z) * normal_cdf(-z) - z * density) * sigma * sigma).max(0.0).sqrt()
    })
    .sum()
}

#[test]
fn of_close_readings_the_least_sure_counts() {
    let mut chance = ChaCha8Rng::seed_from_u64(super::SEED);
    let mut least_sure = 0;
    for _ in 0..120 {
        let taken = some(&mut chance);
        for (word, largest) in [("smallest", false), ("largest", true)] {
            let expected =
                candidates(&taken, largest).iter().map(|(_, gauge)| EXPANDED[*gauge] / 2.0).fold(0.0, f64::max);
            let standard = found(word, &taken);
            near(standard, expected, 1e-9, &format!("{word} of {taken:?}"));
            let drawn = drawn(word, &taken, &mut chance);
            assert!(drawn <= standard * NOISE * TAIL, "{word} of {taken:?}: {standard}, drawn {drawn}");
            let picked = if largest { taken.iter().max() } else { taken.iter().min() };
            least_sure += usize::from(standard > EXPANDED[picked.unwrap().1] / 2.0 + 1e-9);
        }
    }
    // The rule is met often, or nothing was checked.
    assert!(least_sure > 50, "{least_sure}");
}

#[test]
fn the_spread_of_close_readings_is_never_surer_than_draws_say() {
    // By two gauges, 1 µm apart: each may be the larger. The one that is less sure cannot stand at both ends.
    near(found("spread", &[(0, 2), (1, 0)]), 6_f64.hypot(2.0), 1e-9, "two readings by two gauges");
    // Two by the coarse gauge, one of them the largest, and between them one by another that is the smallest's neighbour.
    near(found("spread", &[(9, 2), (3, 2), (1, 1)]), 6_f64.hypot(3.5), 1e-9, "two of three by one gauge");
    // By one gauge alone: nothing is left of a calibration that both ends share.
    near(found("spread", &[(9, 2), (3, 2)]), 0.0, 1e-9, "both by one gauge");
    let mut chance = ChaCha8Rng::seed_from_u64(super::SEED + 1);
    for _ in 0..120 {
        let taken = some(&mut chance);
        let (standard, drawn) = (found("spread", &taken), drawn("spread", &taken, &mut chance));
        let beyond = overshoot(&taken, false) + overshoot(&taken, true);
        assert!(drawn <= (standard + beyond) * NOISE + 1e-9, "{taken:?}: {standard} and {beyond}, drawn {drawn}");
    }
}

/// The largest less the smallest, in so many words, is as unsure as the spread: within one derivation, over a list, turned
/// round, and over values worked out before.
#[test]
fn a_spread_in_other_words_is_as_unsure() {
    let shop = shop(
        "rulebook \"Taper\" edition 2026-03-01
unit mm = 0.001 m
unit um = 0.001 mm
part fit {
    width : mm, 1 reading or more
    a : mm
    b : mm
    derive spread_of : mm = spread of width
    derive taper : mm = largest of width - smallest of width
    derive turned : mm = smallest of width - largest of width
    derive most : mm = largest of width
    derive least : mm = smallest of width
    derive stepped : mm = most - least
    derive listed : mm = largest of (a, b) - smallest of (a, b)
    derive half : mm = (largest of width - smallest of width) / 2
}
generation g \"taper\" {
    fit.spread_of limit at most 1000 mm
    fit.taper limit at most 1000 mm
    fit.turned limit at most 1000 mm
    fit.stepped limit at most 1000 mm
    fit.listed limit at most 1000 mm
    fit.half limit at most 1000 mm
}
",
    );
    let record = "generation: g
gauges:
  coarse: { uncertainty: 12 um }
  fine: { uncertainty: 4 um }
width: [{ value: 10.000 mm, gauge: coarse }, { value: 10.001 mm, gauge: fine }]
a: { value: 10.000 mm, gauge: coarse }
b: { value: 10.001 mm, gauge: fine }
";
    let found: Vec<f64> = budgets(&shop, &readings(&shop, record))
        .into_iter()
        .map(|(_, budget)| budget.map_or(0.0, |budget| float(&budget.uncertainty.standard()) * 1e6))
        .collect();
    assert_eq!(found.len(), 6);
    let both = 6_f64.hypot(2.0);
    for (found, expected) in found.iter().zip([both, both, both, both, both, both / 2.0]) {
        near(*found, expected, 1e-9, "a spread in other words");
    }
}

/// Near a bend of a table, or near the end of one that holds, the steeper side counts as far as the value may truly be there.
#[test]
fn near_a_bend_of_a_table_the_steeper_side_counts() {
    let shop = shop(
        "rulebook \"Bends\" edition 2026-03-01
unit mm = 0.001 m
unit um = 0.001 mm
table bent(x: mm) : mm = 0 mm: 0 mm, 10 mm: 10 mm, 20 mm: 40 mm, held
part fit {
    place : mm
    derive value : mm = bent(place)
}
generation g \"bends\" {
    fit.value limit at most 1000 mm
}
",
    );
    // The reading has 2 µm standard: what is left of a bend, or right of it, within 4 µm may truly be on the other side.
    let mut chance = ChaCha8Rng::seed_from_u64(super::SEED + 2);
    for (at, slope) in [
        ("9.9950", 1.0),
        ("9.9960", 3.0),
        ("9.9990", 3.0),
        ("10.0000", 3.0),
        ("10.0010", 3.0),
        ("10.0090", 3.0),
        ("19.9000", 3.0),
        ("20.0000", 3.0),
        ("20.0020", 3.0),
        ("20.0040", 3.0),
        ("20.0041", 0.0),
    ] {
        let record = format!("generation: g\nplace: {{ value: {at} mm, uncertainty: 4 um }}\n");
        let (_, budget) = only(&shop, &readings(&shop, &record));
        let standard = float(&budget.uncertainty.standard()) * 1e6;
        near(standard, slope * 2.0, 1e-9, at);
        // Draws never scatter more, but for what lies past two standard deviations on the steeper side, whose 6 µm come to
        // 6·√(5·Q(2) − 2·φ(2)) = 0.456; so few of the draws lie there that it is known to a tenth.
        let (at, mut sum, mut squares): (f64, f64, f64) = (at.parse().unwrap(), 0.0, 0.0);
        let bent = |x: f64| if x < 10.0 { x } else { (3.0 * x - 20.0).min(40.0) };
        const DRAWS: usize = 10_000;
        for _ in 0..DRAWS {
            let draw: f64 = StandardNormal.sample(&mut chance);
            let off = (bent(at + 0.002 * draw) - bent(at)) * 1e3;
            sum += off;
            squares += off * off;
        }
        let drawn = (squares / DRAWS as f64 - (sum / DRAWS as f64).powi(2)).sqrt();
        assert!(drawn <= standard * NOISE + 1.2 * 0.456, "{at}: {standard}, drawn {drawn}");
    }
}

/// Near a tie a rounded value may truly be another step: it is never surer than draws say, and away from ties it is as unsure as
/// the value itself.
#[test]
fn near_a_tie_a_rounded_value_may_be_another_step() {
    const STEP: f64 = 0.1;
    let shop = shop(
        "rulebook \"Steps\" edition 2026-03-01
unit mm = 0.001 m
unit um = 0.001 mm
part fit {
    place : mm
    derive value : mm = round(place, 0.1 mm)
}
generation g \"steps\" {
    fit.value limit at most 1000 mm
}
",
    );
    let mut chance = ChaCha8Rng::seed_from_u64(super::SEED + 3);
    for expanded in [0.002, 0.01, 0.04, 0.08, 0.12, 0.2, 0.6_f64] {
        for hundredths in 0..=20 {
            // From 9.95, a tie, over 10.00 to 10.05, the next.
            let at = 9.95 + f64::from(hundredths) * 0.005;
            let record = format!("generation: g\nplace: {{ value: {at:.3} mm, uncertainty: {expanded} mm }}\n");
            let (_, budget) = only(&shop, &readings(&shop, &record));
            let found = float(&budget.uncertainty.standard()) * 1e3;
            let standard = expanded / 2.0;
            let to_tie = STEP / 2.0 - (at - 10.0).abs();
            if to_tie > expanded + 1e-9 {
                near(found, standard, 1e-9, "far from a tie");
                continue;
            }
            near(found, standard.hypot(STEP / 2.0), 1e-9, &format!("{at} ± {expanded}"));
            let (mut sum, mut squares) = (0.0, 0.0);
            const DRAWS: usize = 4_000;
            for _ in 0..DRAWS {
                let draw: f64 = StandardNormal.sample(&mut chance);
                let off = ((at + standard * draw) / STEP).round() * STEP - at;
                sum += off;
                squares += off * off;
            }
            let drawn = (squares / DRAWS as f64 - (sum / DRAWS as f64).powi(2)).sqrt();
            assert!(drawn <= found * NOISE, "{at} ± {expanded}: {found}, drawn {drawn}");
        }
    }
}
