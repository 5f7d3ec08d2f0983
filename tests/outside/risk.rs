//! How often parts that are out pass, and parts within do not, against the ball bearing of JCGM 106:2012, the table of NCSLI RP-19
//! and the figures of Deaver; each also recomputed here by other means.

use super::check_values::{Item, items};
use super::weighing::near;
use trochoid::quantity::Number;
use trochoid::statistics::distribution::{normal_cdf, normal_quantile};
use trochoid::statistics::risk::{Limits, global, global_normal, specific};

fn all(name: &str) -> Vec<Item> {
    let all: Vec<Item> =
        items(include_str!("data/decision-rules.yaml")).into_iter().filter(|item| item.item == name).collect();
    assert!(!all.is_empty(), "{name}");
    all
}

fn float(item: &Item, group: &str, field: &str) -> f64 {
    item.number(group, field).to_f64()
}

fn both(end: f64) -> Limits {
    Limits { low: Some(-end), high: Some(end) }
}

/// The probability that a pair of normal numbers with a correlation lies in a rectangle, by the middle of many stripes: the
/// part's value and the measured one are such a pair.
fn pair(first: (f64, f64), second: (f64, f64), correlation: f64) -> f64 {
    const STRIPES: u32 = 20_000;
    let (from, to) = (first.0.max(-9.0), first.1.min(9.0));
    let wide = (to - from) / f64::from(STRIPES);
    let rest = (1.0 - correlation * correlation).sqrt();
    (0..STRIPES)
        .map(|number| {
            let at = from + (f64::from(number) + 0.5) * wide;
            let within = |end: f64| normal_cdf((end - correlation * at) / rest);
            (-0.5 * at * at).exp() / (2.0 * std::f64::consts::PI).sqrt() * (within(second.1) - within(second.0)) * wide
        })
        .sum()
}

/// 9.5.4: the run-out of ball bearings, gamma distributed, of at most 2 µm, measured with 0.25 µm.
#[test]
fn the_ball_bearing_of_the_document() {
    let bearing = &all("jcgm106-bearing")[0];
    // A gamma distribution of shape 4 and scale 1/4 has the density 4⁴ x³ e^(−4x) / 3!.
    let density = |x: f64| if x > 0.0 { 256.0 * x.powi(3) * (-4.0 * x).exp() / 6.0 } else { 0.0 };
    let u = float(bearing, "inputs", "u_m");
    let limits = Limits { low: None, high: Some(float(bearing, "inputs", "TU")) };
    let simple = global(density, (0.0, 14.0), u, (limits, limits), &[1.0, 4.0]);
    let within = float(bearing, "tolerance", "abs");
    near(simple.out, float(bearing, "expected", "p_nonconforming"), within, "out of limits");
    near(simple.consumer, float(bearing, "expected", "R_C"), within, "consumer's risk");
    near(simple.producer, float(bearing, "expected", "R_P"), within, "producer's risk");
    // In closed form: e^(−8) (1 + 8 + 8²/2 + 8³/6).
    near(simple.out, (-8.0_f64).exp() * (1.0 + 8.0 + 32.0 + 512.0 / 6.0), 1e-9, "out of limits, in closed form");
    // As printed: 0.042, 0.008, and 1.67 µm for a consumer's risk of 0.001.
    near(simple.out, 0.042, 0.000_5, "out of limits, as printed");
    near(simple.consumer, 0.008, 0.000_5, "consumer's risk, as printed");
    let guard = float(bearing, "expected", "guard_band");
    let guarded = global(density, (0.0, 14.0), u, (limits, limits.guarded(guard)), &[1.0, 4.0]);
    near(guarded.consumer, 0.001, within, "consumer's risk, guarded");
    near(guarded.producer, float(bearing, "expected", "R_P_guarded"), within, "producer's risk, guarded");
    let printed = global(density, (0.0, 14.0), u, (limits, Limits { low: None, high: Some(1.67) }), &[1.0, 4.0]);
    near(printed.consumer, 0.001, 0.000_02, "consumer's risk at the 1.67 µm printed");
}

/// NCSLI RP-19: probabilities of false acceptance by how many items are within tolerance, at 4 : 1.
#[test]
fn the_table_of_rp_19() {
    let rows = all("global-risk-rp19");
    assert_eq!(rows.len(), 4);
    for row in rows {
        let within = float(&row, "inputs", "itp");
        let deviation = 1.0 / normal_quantile(f64::midpoint(1.0, within)).unwrap();
        let u = deviation / float(&row, "inputs", "sigma_ratio");
        let (limits, accepted) = (both(float(&row, "inputs", "T")), both(float(&row, "inputs", "A")));
        let risks = global_normal((0.0, deviation), u, limits, accepted);
        near(100.0 * risks.consumer, float(&row, "expected", "PFA_percent"), 2e-6, "false acceptance");
        near(risks.out, 1.0 - within, 1e-9, "out of limits");
        // Of those that pass: all that are within and pass, and all that are out and pass.
        let passing = 1.0 - risks.out - risks.producer + risks.consumer;
        let share = 100.0 * risks.consumer / passing;
        near(share, float(&row, "expected", "conditional_PFA_percent"), 2e-6, "false acceptance of what passes");
        // Without that integration: a pair of normal numbers.
        let measured = deviation.hypot(u);
        let (end, seen, correlation) = (1.0 / deviation, 1.0 / measured, deviation / measured);
        let consumer = pair((end, 9.0), (-seen, seen), correlation) * 2.0;
        near(risks.consumer, consumer, 1e-7, "the pair");
        let producer = 1.0 - risks.out - pair((-end, end), (-seen, seen), correlation);
        near(risks.producer, producer, 1e-7, "the pair, producer's");
    }
}

/// Deaver, *How to maintain your confidence*, 1993, pages 7 and 10; the resistor's inputs are a case of our own, its results
/// recomputed elsewhere.
#[test]
fn the_figures_of_deaver_and_a_resistor() {
    for row in all("global-risk-deaver") {
        let (end, guard) = (float(&row, "inputs", "SL_sigmas"), float(&row, "inputs", "guard_factor"));
        let u = 1.0 / float(&row, "inputs", "sigma_ratio");
        let risks = global_normal((0.0, 1.0), u, both(end), both(end * guard));
        near(risks.consumer, float(&row, "expected", "PFA"), 1e-8, "false acceptance");
        near(risks.producer, float(&row, "expected", "PFR"), 1e-8, "false rejection");
    }
    // As the paper prints them: limits in deviations of the parts, ratio of the deviations, guard, both risks.
    for (end, ratio, guard, accepted, rejected) in [
        (2.0, 4.0, 1.0, 0.008, Some(0.015)),
        (2.5, 4.0, 1.0, 0.0025, None),
        (2.5, 1.0, 1.0, 0.005, None),
        (2.0, 2.0, 0.91, 0.008, Some(0.066)),
    ] {
        let risks = global_normal((0.0, 1.0), 1.0 / ratio, both(end), both(end * guard));
        near(risks.consumer, accepted, if ratio > 1.0 { 0.000_1 } else { 0.001 }, "false acceptance as printed");
        if let Some(rejected) = rejected {
            near(risks.producer, rejected, 0.000_5, "false rejection as printed");
        }
    }
    for row in all("jcgm106-resistor-shape") {
        let (parts, u) = (float(&row, "inputs", "u0"), float(&row, "inputs", "u_m"));
        let (limits, accepted) = (both(float(&row, "inputs", "T")), both(float(&row, "inputs", "A")));
        let risks = global_normal((0.0, parts), u, limits, accepted);
        near(risks.out, float(&row, "expected", "p_nonconforming"), 1e-9, "out of limits");
        near(risks.consumer, float(&row, "expected", "R_C"), 1e-9, "consumer's risk");
        near(risks.producer, float(&row, "expected", "R_P"), 1e-9, "producer's risk");
    }
}

/// One part: with parts that vary far more than the measurement, what is known of it is what was measured, and the risk at the end of
/// an acceptance interval guarded by r · U is that of ILAC-G8:09/2019, Table 1.
#[test]
fn one_part_at_the_end_of_its_acceptance_interval() {
    let mut seen = 0;
    for row in all("ilac-g8-table-w-rU") {
        let (r, k) = (float(&row, "inputs", "r"), float(&row, "inputs", "k"));
        let expected = float(&row, "expected", "specific_PFA_at_acceptance_limit");
        let limits = Limits { low: None, high: Some(10.0) };
        near(specific((0.0, 1e6), 10.0 - r * k * 0.01, 0.01, limits), expected, 1e-7, "at the end");
        seen += 1;
    }
    assert!(seen >= 3);
    // By hand: parts 10 ± 3, measured 16 with 4: known 10 + 6 · 9/25 = 12.16, with 3 · 4 / 5 = 2.4.
    let limits = Limits { low: Some(9.0), high: Some(14.0) };
    let known = normal_cdf((14.0 - 12.16) / 2.4) - normal_cdf((9.0 - 12.16) / 2.4);
    near(specific((10.0, 3.0), 16.0, 4.0, limits), 1.0 - known, 1e-12, "by hand");
    assert!(Number::ONE.to_f64() - specific((10.0, 0.0), 16.0, 0.0, limits) <= 0.0, "out for certain");
}

/// How many parts are out of two limits, by the deviation and the place of the process; restated in sandialabs/suncal,
/// test/test_risk.py, `test_cpk`, from a spreadsheet of its laboratory.
#[test]
fn parts_of_a_process_out_of_its_limits() {
    let limits = Limits { low: Some(9.0), high: Some(11.0) };
    for (mean, out) in [(10.0, 0.012_42), (10.5, 0.105_74), (12.0, 0.993_79)] {
        near(global_normal((mean, 0.4), 0.01, limits, limits).out, out, 0.000_01, "out");
    }
    let low = Limits { low: Some(9.0), high: None };
    let high = Limits { low: None, high: Some(11.0) };
    near(global_normal((10.0, 0.4), 0.01, low, low).out, 0.006_21, 0.000_005, "below");
    near(global_normal((10.5, 0.4), 0.01, high, high).out, 0.105_65, 0.000_005, "above");
    near(global_normal((10.5, 0.4), 0.01, low, low).out, 0.000_09, 0.000_005, "below, moved");
}

/// `trend --risk` over eight invented builds: what it says is the probability of a pair of normal numbers for the mean and the
/// deviation of the values, less what the measurement adds.
#[test]
fn a_shop_is_told_the_risks_of_its_own_spread() {
    let folder = tempfile::tempdir().unwrap();
    let book = "rulebook \"Risk\" edition 2026-03-01\nunit mm = 0.001 m\npart pump { gap : mm }\n\
                generation small \"invented\" { pump.gap limit 9.90 to 10.10 mm { from memory } }\n";
    let measured = [10.05, 9.97, 10.08, 9.94, 10.02, 9.99, 10.085, 9.96];
    for (number, gap) in measured.iter().enumerate() {
        let record = format!(
            "build: P-{number}\nfinished: 2026-05-0{}\ngeneration: small\ngap: {{ value: {gap} mm, uncertainty: 0.04 mm }}\n",
            number + 1
        );
        std::fs::write(folder.path().join(format!("P-{number}.yaml")), record).unwrap();
    }
    let count = measured.len() as f64;
    let mean = measured.iter().sum::<f64>() / count;
    let scatter = measured.iter().map(|gap| (gap - mean).powi(2)).sum::<f64>() / (count - 1.0);
    let (u, parts) = (0.02, (scatter - 0.02 * 0.02).sqrt());
    for (house, guard) in [("", 0.0), ("house \"Few\" { judge by guard band 0.83 U }\n", 0.83 * 0.04)] {
        let rules = folder.path().join("risk.rulebook");
        std::fs::write(&rules, format!("{book}{house}")).unwrap();
        let run = |format: &[&str]| {
            let mut command = assert_cmd::Command::cargo_bin("trochoid").unwrap();
            let output =
                command.current_dir(folder.path()).args(["trend", "gap", ".", "--risk", "--books", "risk.rulebook"]);
            let output = output.args(format).output().unwrap();
            assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
            String::from_utf8(output.stdout).unwrap()
        };
        let document: serde_json::Value = serde_json::from_str(&run(&["--format", "json"])).unwrap();
        let risk = &document["charts"][0]["risk"][0];
        let number = |name: &str| risk[name].as_f64().unwrap();
        let standard = |limit: f64| (limit - mean) / parts;
        let seen = |limit: f64| (limit - mean) / scatter.sqrt();
        let (low, high) = (standard(9.90), standard(10.10));
        let passing = (seen(9.90 + guard), seen(10.10 - guard));
        let correlation = parts / parts.hypot(u);
        near(number("out"), 1.0 - (normal_cdf(high) - normal_cdf(low)), 1e-8, "out of limits");
        let consumer = pair((-9.0, low), passing, correlation) + pair((high, 9.0), passing, correlation);
        near(number("consumer"), consumer, 1e-7, "consumer's risk");
        let within = normal_cdf(high) - normal_cdf(low);
        near(number("producer"), within - pair((low, high), passing, correlation), 1e-7, "producer's risk");
        // The one nearest its end that passes: 10.085 mm by simple acceptance, 10.05 mm guarded.
        let (build, nearest) = if guard > 0.0 { ("P-3", 9.94) } else { ("P-6", 10.085) };
        assert_eq!(risk["least_certain"]["build"], build, "{risk}");
        let known = (mean * u * u + nearest * parts * parts) / (parts * parts + u * u);
        let own = parts * u / parts.hypot(u);
        let inside = normal_cdf((10.10 - known) / own) - normal_cdf((9.90 - known) / own);
        near(risk["least_certain"]["out"].as_f64().unwrap(), 1.0 - inside, 1e-9, "the least certain");
        let text = run(&["--format", "text", "--width", "200"]);
        let rule = if guard > 0.0 { "guard 0.033 mm" } else { "simple acceptance" };
        let heading = format!("risk by limit 9.90 to 10.10 mm, {rule}: 8 values, mean ");
        assert!(text.contains(&heading), "{text}");
        assert!(
            text.contains(&format!(
                "consumer's risk: {:.*} % of all parts are out and pass",
                if consumer < 0.01 { 2 } else { 1 },
                100.0 * consumer
            )),
            "{text}"
        );
    }
}
