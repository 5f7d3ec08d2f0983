//! What draws say of a value whose straight-line budget is not good enough, in words and figures. Refuses to calculate any of it.

use super::Block;
use super::working::Working;
use crate::judge::Ruling;
use crate::judge::uncertainty::{COVERAGE, DIGITS, Simulated, simulate};
use crate::quantity::{Number, Unit, Value, shown};
use crate::statistics::monte_carlo::{self, Interval};

/// The title of its block.
pub(super) const TITLE: &str = "uncertainty by Monte Carlo";

/// What the draws of a value say where its straight-line budget is not good enough (JCGM 101:2008, 8), each figure as it is shown.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct MonteCarlo {
    /// The ends of the straight line's interval; `None` where it has none.
    pub straight_line: Option<(String, String)>,
    /// The ends of the interval of the draws; `None` where some have no answer.
    pub interval: Option<(String, String)>,
    /// How far the lower and the upper ends lie apart, and how far they may; `None` where an interval is lacking.
    pub apart: Option<(String, String, String)>,
    /// The mean of the draws.
    pub mean: String,
    /// Their standard deviation: the standard uncertainty.
    pub standard: String,
    /// How many draws had no answer.
    pub without_answer: usize,
}

/// What the draws of a ruling's value say where its straight-line budget is not good enough.
pub(super) fn of(working: &Working<'_>, ruling: &Ruling, unit: &Unit) -> Option<MonteCarlo> {
    let readings = working.readings;
    if !working.draws || !readings.are_weighed() {
        return None;
    }
    MonteCarlo::of(&simulate(working.book, working.plan, readings, ruling)?, unit)
}

impl MonteCarlo {
    /// How many draws there are.
    pub const DRAWS: usize = monte_carlo::DRAWS;
    /// What they start from.
    pub const SEED: u64 = monte_carlo::SEED;
    /// The probability of the intervals.
    pub const COVERAGE: f64 = COVERAGE;

    /// The draws of a value in words; `None` where its straight-line budget is good enough.
    pub(super) fn of(simulated: &Simulated, unit: &Unit) -> Option<MonteCarlo> {
        if simulated.holds() {
            return None;
        }
        let difference = unit.difference();
        let size = difference.size.midpoint().to_f64();
        // To the last of the digits that count in the standard uncertainty.
        let places = |standard: f64| {
            let first = (standard / size).log10().floor() as i32;
            u32::try_from((DIGITS - 1).saturating_sub(first)).unwrap_or(0).min(MOST_PLACES)
        };
        let digits = places(simulated.deviation);
        let figure = |value: f64, unit: &Unit, places: u32| shown(&exact(value), unit, places);
        let ends = |interval: Interval| (figure(interval.low, unit, digits), figure(interval.high, unit, digits));
        Some(MonteCarlo {
            straight_line: simulated.first_order.map(ends),
            interval: simulated.interval.map(ends),
            apart: simulated.compared.map(|compared| {
                let all = |value: f64| figure(value, &difference, digits.saturating_add(1).min(MOST_PLACES));
                let finest = figure(compared.tolerance, &difference, places(compared.tolerance));
                (all(compared.low), all(compared.high), finest)
            }),
            mean: figure(simulated.mean, unit, digits),
            standard: figure(simulated.deviation, &difference, digits),
            without_answer: simulated.without_answer,
        })
    }

    /// The same as lines.
    pub(super) fn block(&self) -> Block {
        let mut block = Block::new(TITLE, None);
        let percent = format!("{:.0} %", 100.0 * COVERAGE);
        block.say(
            "the budget above counts the value as a straight line and the errors in it as normal; to two digits that is not good \
             enough here (JCGM 101:2008, 8)",
            None,
        );
        match &self.straight_line {
            Some((low, high)) => {
                block.say(format!("straight line: {low} to {high} with a probability of {percent}"), None)
            }
            None => block.say("straight line: no interval, since the value has no slope here", None),
        }
        match &self.interval {
            Some((low, high)) => block.say(
                format!(
                    "Monte Carlo: {low} to {high} with a probability of {percent}; mean {}, u = {}",
                    self.mean, self.standard
                ),
                None,
            ),
            None => {
                let share = 100.0 * self.without_answer as f64 / Self::DRAWS as f64;
                block.say(
                    format!("Monte Carlo: no interval, since {share:.2} % of the draws have no answer (such as the root of a negative number)"),
                    None,
                );
            }
        }
        if let Some((low, high, allowed)) = &self.apart {
            block.say(
                format!("the lower ends are {low} apart and the upper ends {high}; up to {allowed} would do"),
                None,
            );
        }
        block.say("200,000 draws, the same every time; no grade depends on them", None);
        block
    }
}

/// More places than any gauge shows.
const MOST_PLACES: u32 = 15;

/// A binary number as it is held, to 30 places.
fn exact(value: f64) -> Value {
    Value::from(Number::parse(&format!("{value:.30}")).unwrap_or_default())
}
