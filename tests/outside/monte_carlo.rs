//! Values with everything they follow drawn by its distribution, against the worked examples of JCGM 101:2008, JCGM 102:2011,
//! NIST TN 1900 and a report of the NPL; each is also recomputed here without a draw.

use super::check_values::{Item, items};
use super::weighing::{near, readings, shop, verdict};
use trochoid::judge::uncertainty::{COVERAGE, Simulated, simulate};
use trochoid::statistics::distribution::normal_cdf;
use trochoid::statistics::draw::{Draws, Shape};
use trochoid::statistics::monte_carlo::{self, Drawn, Interval};

fn all(name: &str) -> Vec<Item> {
    let all: Vec<Item> =
        items(include_str!("data/monte-carlo.yaml")).into_iter().filter(|item| item.item == name).collect();
    assert!(!all.is_empty(), "{name}");
    all
}

/// A number of what an item expects.
fn expected(item: &Item, field: &str) -> f64 {
    item.number("expected", field).to_f64()
}

fn within(item: &Item, field: &str) -> f64 {
    item.number("tolerance", field).to_f64()
}

/// A book of plain numbers with a value derived from them, and a record; what the draws of the value say.
fn simulated(declared: &str, formula: &str, record: &str) -> Simulated {
    let book = format!(
        "rulebook \"Drawn\" edition 2026-03-01\nunit mm = 0.001 m\npart thing {{\n{declared}\n    derive y : number = {formula}\n}}\n\
         generation g \"drawn\" {{\n    thing.y limit at most 1000000 {{ from memory }}\n}}\n"
    );
    let shop = shop(&book);
    let readings = readings(&shop, &format!("generation: g\n{record}"));
    let plan = shop.plan(readings.generation.unwrap()).unwrap();
    let rulings = verdict(&shop, &readings).rulings;
    simulate(&shop.book, plan, &readings, &rulings[0]).unwrap()
}

/// Draws of a formula written here.
fn drawn(shapes: &[Shape], formula: impl Fn(&[f64]) -> f64) -> Drawn {
    monte_carlo::run(|draws: &mut Draws| {
        let values: Vec<f64> = shapes.iter().map(|shape| draws.one(*shape)).collect();
        formula(&values)
    })
}

/// Where a rising distribution function reaches a probability.
fn quantile(cdf: impl Fn(f64) -> f64, wanted: f64, (mut low, mut high): (f64, f64)) -> f64 {
    for _ in 0..60 {
        let middle = f64::midpoint(low, high);
        if cdf(middle) < wanted {
            low = middle;
        } else {
            high = middle;
        }
    }
    low
}

/// 9.2: the distribution of the sum, for the rectangular ones the average over the fourth of that of the other three, which is
/// their own average over a grid.
#[test]
fn sums_of_four_are_those_of_the_document() {
    for item in all("jcgm101-additive") {
        let u: Vec<f64> = item.numbers("inputs", "u").iter().map(trochoid::quantity::Number::to_f64).collect();
        let normal = item.text("inputs", "kind").unwrap() == "normal";
        let shape = |u: &f64| if normal { Shape::Normal(*u) } else { Shape::Rectangular(3.0_f64.sqrt() * u) };
        let shapes: Vec<Shape> = u.iter().map(shape).collect();
        let drawn = drawn(&shapes, |values| values.iter().sum());
        let combined = u.iter().map(|u| u * u).sum::<f64>().sqrt();
        let ends = drawn.symmetric(COVERAGE).unwrap();
        let shortest = drawn.shortest(COVERAGE).unwrap();
        near(drawn.mean(), 0.0, 0.03, "the mean");
        near(drawn.deviation(), expected(&item, "u"), within(&item, "u"), "u");
        for (found, field) in [(ends.low, "low"), (ends.high, "high")] {
            near(found, expected(&item, field), within(&item, "ends"), field);
        }
        near(shortest.high - shortest.low, 2.0 * expected(&item, "high"), 2.0 * within(&item, "ends"), "the shortest");
        let half = 1.959_963_985 * combined;
        let first_order = Interval { low: -half, high: half };
        near(first_order.low, expected(&item, "first_order_low"), 0.05, "the first order");
        near(first_order.high, expected(&item, "first_order_high"), 0.05, "the first order");
        let compared = drawn.compare(first_order, COVERAGE, combined, 2).unwrap();
        near(compared.tolerance, expected(&item, "tolerance"), 1e-9, "δ");
        assert_eq!(compared.holds().to_string(), item.text("expected", "holds").unwrap(), "{compared:?}");
        if normal {
            near(half, expected(&item, "high"), 0.005, "the end, without a draw");
        } else {
            let exact = quantile(|y| rectangular_sum(&u, y), 0.975, (0.0, 40.0));
            near(exact, expected(&item, "high"), 0.05, "the end, without a draw");
            near(exact, ends.high, within(&item, "ends"), "the end, drawn and not");
        }
    }
}

/// The probability that a sum of rectangular quantities is at most y: the inclusion and exclusion of the corners of their box.
fn rectangular_sum(u: &[f64], y: f64) -> f64 {
    let half: Vec<f64> = u.iter().map(|u| 3.0_f64.sqrt() * u).collect();
    let (mut sum, count) = (0.0, half.len() as i32);
    for corner in 0..1_u32 << half.len() {
        let at: f64 =
            half.iter().enumerate().map(|(bit, half)| if corner >> bit & 1 == 1 { *half } else { -half }).sum();
        let sign = if corner.count_ones() % 2 == 0 { 1.0 } else { -1.0 };
        sum += sign * (y - at).max(0.0).powi(count);
    }
    let factorial: f64 = (1..=count).map(f64::from).product();
    sum / (factorial * half.iter().map(|half| 2.0 * half).product::<f64>())
}

/// A rectangular reading is one by a gauge of which nothing but the resolution is known; here each has its own.
#[test]
fn the_same_sums_through_a_record() {
    // √3 times as small, so that half the resolution is the half width.
    let declared = "    a : mm, may be negative\n    b : mm, may be negative\n    c : mm, may be negative\n    d : mm, may be negative";
    let record = |steps: [&str; 4]| {
        let mut gauges = "gauges:\n".to_string();
        let mut taken = String::new();
        for (name, step) in ["a", "b", "c", "d"].iter().zip(steps) {
            gauges += &format!("  g{name}: {{ resolution: {step} mm }}\n");
            taken += &format!("{name}: {{ value: 0 mm, gauge: g{name} }}\n");
        }
        gauges + &taken
    };
    let even = simulated(declared, "(a + b + c + d) / (1 mm)", &record(["2", "2", "2", "2"]));
    near(3.0_f64.sqrt() * even.interval.unwrap().high, 3.88, 0.03, "four alike");
    let odd = simulated(declared, "(a + b + c + d) / (1 mm)", &record(["2", "2", "2", "20"]));
    let ends = odd.interval.unwrap();
    near(3.0_f64.sqrt() * ends.high, 17.0, 0.1, "one ten times as wide");
    near(3.0_f64.sqrt() * odd.first_order.unwrap().high, 19.9, 0.05, "its first order");
    assert!(!odd.holds());
    // What is normal, and a sum, is exact at first order: nothing is drawn.
    let shop = shop(
        "rulebook \"Sum\" edition 2026-03-01\npart thing {\n    a : number\n    b : number\n    derive y : number = a - 2 * b\n}\n\
         generation g \"sum\" {\n    thing.y limit at most 9 { from memory }\n}\n",
    );
    let text = "generation: g\na: { value: 4, uncertainty: 0.2 }\nb: { value: 1, uncertainty: 0.1 }\n";
    let readings = readings(&shop, text);
    let rulings = verdict(&shop, &readings).rulings;
    let plan = shop.plan(readings.generation.unwrap()).unwrap();
    assert_eq!(simulate(&shop.book, plan, &readings, &rulings[0]), None);
}

/// 9.3: the mass of a weight, from that of a reference weight, of a small weight, and the densities of the air and of both.
#[test]
fn a_weight_calibrated_in_air_is_that_of_the_document() {
    let item = &all("jcgm101-mass")[0];
    let found = simulated(
        "    reference : number\n    small : number\n    air : mm\n    weight : mm\n    counterweight : mm",
        "(reference + small) * (1 + (air / (1 mm) - 1.2) * (1 mm / weight - 1 mm / counterweight)) - 100000",
        "gauges:\n  air: { resolution: 0.20 mm }\n  weight: { resolution: 2000 mm }\n  counterweight: { resolution: 100 mm }\n\
         reference: { value: 100000, uncertainty: 0.100 }\nsmall: { value: 1.234, uncertainty: 0.040 }\n\
         air: { value: 1.20 mm, gauge: air }\nweight: { value: 8000 mm, gauge: weight }\ncounterweight: { value: 8000 mm, gauge: counterweight }\n",
    );
    let (ends, first_order) = (found.interval.unwrap(), found.first_order.unwrap());
    near(found.mean, expected(item, "mean"), 0.001, "the mean");
    near(found.deviation, expected(item, "u"), within(item, "u"), "u");
    near(ends.low, expected(item, "low"), within(item, "ends"), "low");
    near(ends.high, expected(item, "high"), within(item, "ends"), "high");
    near(first_order.low, expected(item, "first_order_low"), 0.000_5, "first order, low");
    near(first_order.high, expected(item, "first_order_high"), 0.000_5, "first order, high");
    near(
        (first_order.high - first_order.low) / 3.919_927_97,
        expected(item, "first_order_u"),
        0.000_05,
        "first order, u",
    );
    let compared = found.compared.unwrap();
    near(compared.low, expected(item, "apart_low"), within(item, "ends"), "apart, low");
    near(compared.high, expected(item, "apart_high"), within(item, "ends"), "apart, high");
    assert!(!found.holds());
    // Without a draw: what the densities do on a grid, and the two masses normal about it.
    const GRID: i32 = 30;
    let (u, middle) = (0.05_f64.hypot(0.02), 100_001.234);
    let place = |number: i32| (f64::from(number) + 0.5) / f64::from(GRID) * 2.0 - 1.0;
    let mut moved = Vec::new();
    for air in 0..GRID {
        for weight in 0..GRID {
            for standard in 0..GRID {
                let densities = 1.0 / (8000.0 + 1000.0 * place(weight)) - 1.0 / (8000.0 + 50.0 * place(standard));
                moved.push(1.234 + middle * 0.1 * place(air) * densities);
            }
        }
    }
    let cdf = |y: f64| moved.iter().map(|at| normal_cdf((y - at) / u)).sum::<f64>() / moved.len() as f64;
    let printed = (cdf(expected(item, "low")), cdf(expected(item, "high")));
    near(printed.1 - printed.0, 0.95, 0.001, "in the interval of the document");
    near(printed.0, 0.025, 0.002, "below the lower end of the document");
    near(cdf(ends.low), 0.025, 0.001, "below the lower end here");
    near(cdf(ends.high), 0.975, 0.001, "below the upper end here");
}

/// 9.4.3: the same with r = 0.9, by two gauges that state it. Of normal variables the variance of X1² + X2² is
/// 4u⁴(1 + r²) + 4x1²u²; the document prints 67, 121 and 505 millionths (from memory, and so by the formula).
#[test]
fn a_comparison_loss_of_correlated_parts_is_drawn_correlated() {
    const U: f64 = 0.005;
    for (x1, printed) in [(0.0_f64, 67.0), (0.010, 121.0), (0.050, 505.0)] {
        let found = |correlated: &str| {
            simulated(
                "    one : mm, may be negative\n    other : mm, may be negative",
                "(one ^ 2 + other ^ 2) / (1 mm * 1 mm)",
                &format!(
                    "gauges:\n  g1: {{ uncertainty: 0.010 mm{correlated} }}\n  g2: {{ uncertainty: 0.010 mm }}\n\
                     one: {{ value: {x1:.3} mm, gauge: g1 }}\nother: {{ value: 0 mm, gauge: g2 }}\n"
                ),
            )
        };
        let together = found(", correlated: { g2: 0.9 }");
        let deviation = (4.0 * U.powi(4) * (1.0 + 0.81) + 4.0 * (x1 * U).powi(2)).sqrt();
        near(1e6 * deviation, printed, 0.6, "as printed");
        near(1e6 * together.deviation, 1e6 * deviation, 0.005 * 1e6 * deviation, "u");
        near(1e6 * together.mean, 1e6 * (x1 * x1 + 2.0 * U * U), 0.02 * 1e6 * deviation, "the mean");
        let apart = (4.0 * U.powi(4) + 4.0 * (x1 * U).powi(2)).sqrt();
        near(1e6 * found("").deviation, 1e6 * apart, 0.005 * 1e6 * apart, "u without correlation");
        // Few degrees of freedom: the multivariate t has ν/(ν − 2) times the variance in its linear part.
        if x1 > 0.04 {
            let few = found(", degrees_of_freedom: 10, correlated: { g2: 0.9 }");
            near(few.deviation / deviation, (10.0_f64 / 8.0).sqrt(), 0.03, "by 10 degrees of freedom");
        }
    }
}

/// 9.4: comparison loss, a sum of two squares: a distribution with a closed form, non-central chi-squared.
#[test]
fn a_comparison_loss_is_that_of_the_document() {
    const U: f64 = 0.005;
    for item in all("jcgm101-comparison-loss") {
        let x1 = item.number("inputs", "x1").to_f64();
        let found = simulated(
            "    one : number, may be negative\n    other : number, may be negative",
            "one ^ 2 + other ^ 2",
            &format!("one: {{ value: {x1:.3}, uncertainty: 0.010 }}\nother: {{ value: 0, uncertainty: 0.010 }}\n"),
        );
        let million = |value: f64| 1e6 * value;
        near(million(found.mean), expected(&item, "mean"), within(&item, "u"), "the mean");
        near(million(found.deviation), expected(&item, "u"), within(&item, "u"), "u");
        assert!(!found.holds(), "{x1}: {found:?}");
        let first_order = found.first_order.unwrap();
        near(million(first_order.low), expected(&item, "first_order_low"), 0.5, "first order, low");
        near(million(first_order.high), expected(&item, "first_order_high"), 0.5, "first order, high");
        let middle = f64::midpoint(first_order.low, first_order.high);
        near(million(middle), expected(&item, "first_order_mean"), 0.5, "first order");
        let u = (first_order.high - first_order.low) / 3.919_927_97;
        near(million(u), expected(&item, "first_order_u"), 0.5, "first order, u");
        let all = drawn(&[Shape::Normal(U), Shape::Normal(U)], |off| (x1 + off[0]).powi(2) + off[1].powi(2));
        let shortest = all.shortest(COVERAGE).unwrap();
        // The shortest interval is known less well than its length: its ends move together.
        near(million(shortest.low), expected(&item, "low"), 3.0 * within(&item, "ends"), "low");
        near(million(shortest.high), expected(&item, "high"), 3.0 * within(&item, "ends"), "high");
        let length = expected(&item, "high") - expected(&item, "low");
        near(million(shortest.high - shortest.low), length, within(&item, "ends"), "the length");
        // Without a draw: over each value of the first, the second is within the root of what is left.
        let cdf = |y: f64| {
            let (steps, reach) = (2_000, y.sqrt());
            let step = 2.0 * reach / f64::from(steps);
            (0..steps)
                .map(|number| {
                    let at = -reach + (f64::from(number) + 0.5) * step;
                    let density = (-0.5 * ((at - x1) / U).powi(2)).exp() / (U * (2.0 * std::f64::consts::PI).sqrt());
                    density * (2.0 * normal_cdf((y - at * at).sqrt() / U) - 1.0) * step
                })
                .sum::<f64>()
        };
        let printed = (expected(&item, "low") / 1e6, expected(&item, "high") / 1e6);
        near(cdf(printed.1) - cdf(printed.0), 0.95, 0.002, "in the interval of the document");
        let symmetric = found.interval.unwrap();
        near(cdf(symmetric.low), 0.025, 0.002, "below the interval here");
        near(cdf(symmetric.high), 0.975, 0.002, "below its end");
    }
}

/// E3 of TN 1900: times with 10 % and 15 %, one below the line, so that the distribution leans to the right.
#[test]
fn a_falling_ball_viscometer_is_that_of_nist() {
    let item = &all("tn1900-viscometer")[0];
    let found = simulated(
        "    calibration : number\n    here : number\n    there : number\n    ball : number\n    solution : number\n    liquid : number",
        "calibration * (ball - solution) / (ball - liquid) * here / there",
        "calibration: { value: 4.63, uncertainty: 0.0926 }\nhere: { value: 61, uncertainty: 12.2 }\nthere: { value: 36.6, uncertainty: 10.98 }\n\
         ball: { value: 2217, uncertainty: 1.0 }\nsolution: { value: 1180, uncertainty: 1.0 }\nliquid: { value: 810, uncertainty: 1.0 }\n",
    );
    let (ends, first_order) = (found.interval.unwrap(), found.first_order.unwrap());
    near(found.mean, expected(item, "mean"), within(item, "u"), "the mean");
    near(found.deviation, expected(item, "u"), within(item, "u"), "u");
    near(ends.low, expected(item, "low"), within(item, "ends"), "low");
    near(ends.high, expected(item, "high"), within(item, "ends"), "high");
    near(f64::midpoint(first_order.low, first_order.high), expected(item, "first_order"), 0.005, "first order");
    assert!(!found.holds());
    // Without a draw: the quotient of two normal times on a grid, all else as good as exact.
    let scale = 4.63 * (2217.0 - 1180.0) / (2217.0 - 810.0);
    let u_scale = 0.01;
    let cdf = |y: f64| {
        let steps = 800;
        let mut sum = 0.0;
        for number in 0..steps {
            let z = -6.0 + 12.0 * (f64::from(number) + 0.5) / f64::from(steps);
            let weight = (-0.5 * z * z).exp() / (2.0 * std::f64::consts::PI).sqrt() * 12.0 / f64::from(steps);
            // scale · (61 + 6.1 a) (1 + u_scale b) at most y · (36.6 + 5.49 z)
            let bound = y * (36.6 + 5.49 * z) / scale;
            sum += weight * normal_cdf((bound - 61.0) / 6.1_f64.hypot(61.0 * u_scale));
        }
        sum
    };
    near(cdf(expected(item, "low")), 0.025, 0.001, "below the lower end of NIST");
    near(cdf(expected(item, "high")), 0.975, 0.001, "below the upper end of NIST");
}

/// The logarithm of a rectangular quantity, which leans far to the left; its shortest interval ends where x does.
#[test]
fn the_logarithm_of_a_rectangular_quantity_is_that_of_the_npl() {
    let item = &all("npl-logarithm")[0];
    let found = simulated(
        "    x : mm",
        "ln(x / (1 mm))",
        "gauges:\n  scale: { resolution: 1 mm }\nx: { value: 0.6 mm, gauge: scale }\n",
    );
    near(found.mean, expected(item, "mean"), within(item, "u"), "the mean");
    near(found.deviation, expected(item, "u"), within(item, "u"), "u");
    let first_order = found.first_order.unwrap();
    near(f64::midpoint(first_order.low, first_order.high), expected(item, "first_order"), 0.000_6, "first order");
    near(first_order.high, expected(item, "first_order_high"), 0.001_5, "first order, high");
    near(
        (first_order.high - first_order.low) / 3.919_927_97,
        expected(item, "first_order_u"),
        0.000_6,
        "first order, u",
    );
    let shortest = drawn(&[Shape::Rectangular(0.5)], |off| (0.6 + off[0]).ln()).shortest(COVERAGE).unwrap();
    near(shortest.low, expected(item, "low"), within(item, "ends"), "low");
    near(shortest.high, expected(item, "high"), within(item, "ends"), "high");
    assert!(!found.holds());
    // Without a draw: x from 0.1 to 1.1, so that 2.5 % lie below 0.125, and 97.5 % below 1.075.
    let ends = found.interval.unwrap();
    near(ends.low, 0.125_f64.ln(), 0.02, "low, in closed form");
    near(ends.high, 1.075_f64.ln(), 0.003, "high, in closed form");
}

/// JCGM 102, 9.3: the magnitude of a complex quantity near nought has no more a slope than a cone at its tip.
#[test]
fn the_magnitude_of_a_complex_quantity_is_that_of_the_document() {
    let item = &all("jcgm102-magnitude")[0];
    let found = simulated(
        "    real : number, may be negative\n    imaginary : number, may be negative",
        "sqrt(real ^ 2 + imaginary ^ 2)",
        "real: { value: 0.001, uncertainty: 0.020 }\nimaginary: { value: 0, uncertainty: 0.020 }\n",
    );
    near(found.mean, expected(item, "mean"), within(item, "ends"), "the mean");
    near(found.deviation, expected(item, "u"), within(item, "u"), "u");
    let first_order = found.first_order.unwrap();
    near(f64::midpoint(first_order.low, first_order.high), expected(item, "first_order"), 1e-9, "first order");
    near((first_order.high - first_order.low) / 3.919_927_97, expected(item, "first_order_u"), 1e-6, "first order, u");
    assert!(!found.holds());
    // At nought itself there is no slope at all, and the draws are those of Rayleigh: quantiles σ √(−2 ln (1 − p)).
    let at_nought = simulated(
        "    real : number, may be negative\n    imaginary : number, may be negative",
        "sqrt(real ^ 2 + imaginary ^ 2)",
        "real: { value: 0, uncertainty: 2 }\nimaginary: { value: 0, uncertainty: 2 }\n",
    );
    assert_eq!(at_nought.first_order, None);
    let ends = at_nought.interval.unwrap();
    near(ends.low, (-2.0 * 0.975_f64.ln()).sqrt(), 0.01, "Rayleigh, low");
    near(ends.high, (-2.0 * 0.025_f64.ln()).sqrt(), 0.02, "Rayleigh, high");
}

/// NIST TN 1297, Table B.1: the share of Student's t within so many, each of its six columns.
#[test]
fn draws_of_students_t_are_those_of_its_table() {
    for item in items(include_str!("data/degrees-of-freedom.yaml")) {
        if item.item != "tn1297-table-b1" {
            continue;
        }
        let freedom = item.number("inputs", "nu").to_f64();
        let table = item.numbers("expected", "t");
        let mut draws = Draws::of(monte_carlo::SEED);
        let all: Vec<f64> = (0..100_000).map(|_| draws.one(Shape::Student { scale: 1.0, freedom }).abs()).collect();
        for (at, covered) in [0.6827, 0.90, 0.95, 0.9545, 0.99, 0.9973].into_iter().enumerate() {
            let t = table[at].to_f64();
            let share = all.iter().filter(|value| **value <= t).count() as f64 / all.len() as f64;
            // Four standard deviations of a count.
            let within = 4.0 * (covered * (1.0 - covered) / all.len() as f64).sqrt();
            near(share, covered, within, &format!("{freedom} degrees of freedom within {t}"));
        }
    }
}

#[test]
fn draws_are_the_same_every_time() {
    let once = || {
        drawn(&[Shape::Normal(1.0), Shape::Rectangular(2.0), Shape::Student { scale: 1.0, freedom: 4.5 }], |off| {
            off.iter().sum()
        })
    };
    assert_eq!(once(), once());
    assert_ne!(Draws::of(1).one(Shape::Normal(1.0)).to_bits(), Draws::of(2).one(Shape::Normal(1.0)).to_bits());
}
