//! Monte Carlo after JCGM 101:2008: what readings might have been, drawn by their distributions, and the spread of what comes
//! out. Of the program it uses nothing.

use super::derivation::{By, Columns, Derivation, GAUGES, REPEATS, Reading, SINGLES};
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use rand_distr::{Distribution, StandardNormal};

/// Draws at a time.
pub(super) const BLOCK: usize = 5_000;

/// Draws in all. A million (with `TROCHOID_CASES` set) are as many as JCGM 101:2008, 7.2.2 asks for to have the 95 % interval to two
/// digits. A standard deviation alone is known to one part in the root of twice the draws: 200,000 leave 0.16 % of it.
pub(super) fn draws() -> usize {
    if std::env::var_os("TROCHOID_CASES").is_some() { 1_000_000 } else { 200_000 }
}

/// A hundredth of a micrometre in millimetres.
const HUNDREDTH: f64 = 1e-5;

/// Standard normal and rectangular draws (the latter from −½ to ½), enough for one block of any derivation.
pub(super) struct Pool {
    chance: ChaCha8Rng,
    /// One a gauge, or one a reading where what a gauge's readings share is left out.
    calibrations: Vec<Vec<f64>>,
    stated: Vec<Vec<f64>>,
    steps: Vec<Vec<f64>>,
    scatter: Vec<Vec<f64>>,
}

/// Whether readings by one gauge share its calibration.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Calibrations {
    Shared,
    /// As a checker would have it that forgets the correlation of JCGM 100:2008, 5.2.
    EachItsOwn,
}

/// Readings of one derivation in all.
fn readings() -> usize {
    SINGLES + REPEATS.iter().sum::<usize>()
}

impl Pool {
    pub(super) fn new(seed: u64) -> Pool {
        let columns = |count: usize| vec![vec![0.0; BLOCK]; count];
        Pool {
            chance: ChaCha8Rng::seed_from_u64(seed),
            calibrations: columns(GAUGES + readings()),
            stated: columns(readings()),
            steps: columns(readings()),
            scatter: columns(REPEATS[0] + REPEATS[1]),
        }
    }

    /// Draws the next block.
    pub(super) fn draw(&mut self, calibrations: Calibrations) {
        let (chance, shared) = (&mut self.chance, calibrations == Calibrations::Shared);
        let wanted = if shared { GAUGES } else { self.calibrations.len() };
        let normal = self.calibrations.iter_mut().take(wanted).chain(&mut self.stated).chain(&mut self.scatter);
        for value in normal.flatten() {
            *value = StandardNormal.sample(chance);
        }
        for value in self.steps.iter_mut().flatten() {
            *value = chance.random::<f64>() - 0.5;
        }
    }

    /// What the readings of a derivation might have been.
    pub(super) fn columns(&self, derivation: &Derivation, calibrations: Calibrations) -> Columns {
        let mut number = 0;
        let mut next = |reading: &Reading| {
            let column = self.column(derivation, reading, number, calibrations);
            number += 1;
            column
        };
        let singles = derivation.singles.iter().map(&mut next).collect();
        let repeated: Vec<Vec<Vec<f64>>> =
            derivation.repeated.iter().map(|group| group.iter().map(&mut next).collect()).collect();
        let mut scattered: Vec<Vec<Vec<f64>>> = repeated[..2].to_vec();
        let mut scatter = self.scatter.iter();
        for (group, readings) in scattered.iter_mut().zip(&derivation.repeated) {
            let deviation = deviation(readings);
            for (column, scatter) in group.iter_mut().zip(&mut scatter) {
                for (value, draw) in column.iter_mut().zip(scatter) {
                    *value += deviation * draw;
                }
            }
        }
        Columns { singles, repeated, scattered }
    }

    fn column(
        &self,
        derivation: &Derivation,
        reading: &Reading,
        number: usize,
        calibrations: Calibrations,
    ) -> Vec<f64> {
        let mut column = vec![reading.millimetres(); BLOCK];
        let mut add = |draws: &[f64], by: f64| {
            for (value, draw) in column.iter_mut().zip(draws) {
                *value += by * draw;
            }
        };
        match reading.by {
            By::Nobody => {}
            By::Itself(expanded) => add(&self.stated[number], f64::from(expanded) * HUNDREDTH / 2.0),
            By::Gauge(gauge) => {
                let (own, gauge) = (gauge, &derivation.gauges[gauge]);
                if let Some(expanded) = gauge.uncertainty {
                    let draws = if calibrations == Calibrations::Shared { own } else { GAUGES + number };
                    add(&self.calibrations[draws], f64::from(expanded) * HUNDREDTH / 2.0);
                }
                if let Some(step) = gauge.resolution {
                    add(&self.steps[number], f64::from(step) * HUNDREDTH);
                }
            }
        }
        column
    }
}

/// The sample standard deviation of repeats (JCGM 100:2008, 4.2.2).
pub(super) fn deviation(readings: &[Reading]) -> f64 {
    let count = readings.len() as f64;
    let mean = readings.iter().map(Reading::millimetres).sum::<f64>() / count;
    let squares: f64 = readings.iter().map(|reading| (reading.millimetres() - mean).powi(2)).sum();
    (squares / (count - 1.0)).sqrt()
}

/// A running standard deviation, about a value near the mean so that nothing is lost.
#[derive(Clone, Copy, Default)]
pub(super) struct Spread {
    count: f64,
    sum: f64,
    squares: f64,
}

impl Spread {
    pub(super) fn add(&mut self, column: &[f64], about: f64) {
        for value in column {
            let off = value - about;
            self.sum += off;
            self.squares += off * off;
        }
        self.count += column.len() as f64;
    }

    pub(super) fn deviation(&self) -> f64 {
        let mean = self.sum / self.count;
        ((self.squares - self.count * mean * mean) / (self.count - 1.0)).sqrt()
    }
}

/// The numerical tolerance of a standard uncertainty meant to two significant digits (JCGM 101:2008, 7.9.2): written as
/// c · 10^l with a whole number c of two digits, it is half of 10^l.
pub(super) fn tolerance(standard: f64) -> f64 {
    let mut power = standard.log10().floor() as i32 - 1;
    if (standard / 10_f64.powi(power)).round() >= 100.0 {
        power += 1;
    }
    0.5 * 10_f64.powi(power)
}
