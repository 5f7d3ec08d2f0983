//! What a gauge ratio of 4 : 1 is worth, by integration, and where the program says that a gauge is too coarse.
//!
//! Sources: the false acceptance of a normal process measured with a normal error, of which NCSLI RP-19 (draft table) and
//! D. Deaver, How to Maintain Your Confidence, print values (`data/decision-rules.yaml`); the 2 % of ANSI/NCSL Z540.3. The
//! integration here is the check's own, and is held against those first.

use super::check_values::{Item, items};
use super::weighing::{checked, near, shop};
use trochoid::finding::Code;
use trochoid::statistics::distribution::{normal_cdf, normal_quantile};

fn all(name: &str) -> Vec<Item> {
    items(include_str!("data/decision-rules.yaml")).into_iter().filter(|item| item.item == name).collect()
}

/// The integral of a function by Simpson's rule.
fn integral(from: f64, to: f64, of: impl Fn(f64) -> f64) -> f64 {
    const STEPS: u32 = 4_000;
    let step = (to - from) / f64::from(STEPS);
    let sum: f64 = (0..=STEPS)
        .map(|number| {
            let weight = match number {
                0 | STEPS => 1.0,
                odd if odd % 2 == 1 => 4.0,
                _ => 2.0,
            };
            weight * of(from + f64::from(number) * step)
        })
        .sum();
    sum * step / 3.0
}

/// A process of a standard deviation about the middle of a range of ± 1, measured with a standard uncertainty, and accepted
/// within ± `accepted`.
struct Measured {
    process: f64,
    standard: f64,
    accepted: f64,
}

impl Measured {
    fn density(&self, x: f64) -> f64 {
        (-(x / self.process).powi(2) / 2.0).exp() / (self.process * (2.0 * std::f64::consts::PI).sqrt())
    }

    /// The probability that a part of this size is accepted.
    fn accepts(&self, x: f64) -> f64 {
        normal_cdf((self.accepted - x) / self.standard) - normal_cdf((-self.accepted - x) / self.standard)
    }

    /// The probability that a part is outside and accepted.
    fn falsely_accepted(&self) -> f64 {
        let far = 1.0 + 10.0 * self.standard.max(0.1 * self.process);
        2.0 * integral(1.0, far, |x| self.density(x) * self.accepts(x))
    }

    /// The probability that a part is inside and refused.
    fn falsely_refused(&self) -> f64 {
        integral(-1.0, 1.0, |x| self.density(x) * (1.0 - self.accepts(x)))
    }

    /// The probability that a part is accepted: its measured size is normal too.
    fn accepted(&self) -> f64 {
        let both = self.process.hypot(self.standard);
        2.0 * normal_cdf(self.accepted / both) - 1.0
    }
}

/// The worst false acceptance over all processes, the gauge's expanded uncertainty (k = 2) being so much of half the width.
fn worst(expanded: f64) -> f64 {
    (20..400)
        .map(|hundredths| {
            Measured { process: f64::from(hundredths) / 100.0, standard: expanded / 2.0, accepted: 1.0 }
                .falsely_accepted()
        })
        .fold(0.0, f64::max)
}

#[test]
fn the_integration_gives_what_is_printed() {
    let rows = all("global-risk-rp19");
    assert_eq!(rows.len(), 4);
    for row in rows {
        let inside = row.number("inputs", "itp").to_f64();
        let process = 1.0 / normal_quantile(f64::midpoint(1.0, inside)).unwrap();
        let standard = process / row.number("inputs", "sigma_ratio").to_f64();
        let measured = Measured { process, standard, accepted: 1.0 };
        let (all, of_accepted) =
            (measured.falsely_accepted() * 100.0, measured.falsely_accepted() / measured.accepted() * 100.0);
        near(all, row.number("expected", "PFA_percent").to_f64(), 2e-6, "false acceptance");
        near(of_accepted, row.number("expected", "conditional_PFA_percent").to_f64(), 2e-6, "of the accepted");
        let printed = row.numbers("expected", "printed");
        near(all, printed[0].to_f64(), 2e-6, "as printed");
        near(of_accepted, printed[1].to_f64(), 2e-6, "as printed, of the accepted");
    }
    let rows = all("global-risk-deaver");
    assert_eq!(rows.len(), 2);
    for row in rows {
        let process = 1.0 / row.number("inputs", "SL_sigmas").to_f64();
        let standard = process / row.number("inputs", "sigma_ratio").to_f64();
        let accepted = row.number("inputs", "guard_factor").to_f64();
        let measured = Measured { process, standard, accepted };
        near(measured.falsely_accepted(), row.number("expected", "PFA").to_f64(), 1e-8, "false acceptance");
        near(measured.falsely_refused(), row.number("expected", "PFR").to_f64(), 1e-8, "false refusal");
        let printed = row.numbers("expected", "printed");
        near(measured.falsely_accepted(), printed[0].to_f64(), 0.0005, "as printed");
        near(measured.falsely_refused(), printed[1].to_f64(), 0.0005, "as printed");
    }
}

#[test]
fn four_to_one_does_not_keep_false_acceptance_under_two_per_cent() {
    // The width over the uncertainty to both sides, 2 U, as the program counts it.
    near(worst(1.0 / 4.0), 0.0224, 0.000_05, "at 4 : 1");
    assert!(worst(1.0 / 4.6) < 0.02, "at 4.6 : 1: {}", worst(1.0 / 4.6));
    assert!(worst(1.0 / 4.5) > 0.02, "at 4.5 : 1: {}", worst(1.0 / 4.5));
    // The width over U alone: the same 4 : 1 means half as fine a gauge, and twice the risk.
    near(worst(2.0 / 4.0), 0.042, 0.000_5, "at 4 : 1 of the other definition");
}

/// What is said of a gauge of ± 5 µm in a range of so many micrometres.
fn coarse(width: &str, house: &str) -> Option<(String, String)> {
    let shop = shop(&format!(
        "rulebook \"Coarse\" edition 2026-03-01
unit mm = 0.001 m
unit um = 0.001 mm
part fit {{
    gap : mm
}}
generation g \"coarse\" {{
    fit.gap limit 0.1 mm to 0.1 mm + {width} um
}}
{house}"
    ));
    let record = "generation: g\ngauges:\n  one: { uncertainty: 5 um }\ngap: { value: 0.110 mm, gauge: one }\n";
    let mut found = checked(&shop, record).findings.into_iter().filter(|finding| finding.code == Code::GaugeCoarse);
    let first = found.next().map(|finding| (finding.message, finding.help.unwrap_or_default()));
    assert!(found.next().is_none(), "told once");
    first
}

#[test]
fn a_gauge_is_too_coarse_just_under_the_ratio_and_not_at_it() {
    // 4 : 1 of ± 5 µm is 40 µm.
    assert_eq!(coarse("40", ""), None);
    assert_eq!(coarse("40.000000001", ""), None);
    let (message, help) = coarse("39.999999999", "").unwrap();
    // Rounded down, so that it does not print as the 4 : 1 it misses.
    assert!(message.contains("3.9 : 1") && message.contains("4 : 1 is required"), "{message}");
    assert!(help.contains("0.0049 mm"), "{help}");
    // 20 µm would be 4 : 1 by the other definition, and is 2 : 1.
    let (message, _) = coarse("20", "").unwrap();
    assert!(message.contains("2 : 1"), "{message}");
    // The house's own ratio: 46 µm.
    let house = "house \"Finer\" {\n    gauges at least 4.6 : 1\n}\n";
    assert_eq!(coarse("46", house), None);
    let (message, _) = coarse("45.999999999", house).unwrap();
    assert!(message.contains("4.5 : 1") && message.contains("4.6 : 1 is required"), "{message}");
    assert!(coarse("40", house).is_some());
    let house = "house \"Coarser\" {\n    gauges at least 2 : 1\n}\n";
    assert_eq!(coarse("20", house), None);
    assert!(coarse("19.999999999", house).is_some());
}
