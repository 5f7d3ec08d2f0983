//! The eight tests of a chart for what does not look like chance; refuses to say what caused it.
//!
//! Numbers and counts as in the eight tests of ISO 8258:1991, taken on by ISO 7870-2:2013 (from memory, unverified; they
//! agree with L. S. Nelson, 'The Shewhart control chart: tests for special causes', *Journal of Quality Technology* 16
//! (1984), also from memory). The words are ours.

use super::Chart;
use crate::quantity::{Number, Value};
use std::cmp::Ordering;

/// One of the eight tests.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Test {
    /// 1: a value beyond a limit.
    Beyond,
    /// 2: nine in a row on one side of the centre.
    OneSide,
    /// 3: six in a row, each above the one before, or each below.
    Steady,
    /// 4: fourteen in a row, up and down in turn.
    UpAndDown,
    /// 5: two of three more than two deviations out, on one side.
    TwoOfThree,
    /// 6: four of five more than one deviation out, on one side.
    FourOfFive,
    /// 7: fifteen in a row within one deviation of the centre.
    Close,
    /// 8: eight in a row on both sides of the centre, none within one deviation of it.
    NoneClose,
}

impl Test {
    /// All of them, in the order of their numbers.
    pub const ALL: [Test; 8] = [
        Test::Beyond,
        Test::OneSide,
        Test::Steady,
        Test::UpAndDown,
        Test::TwoOfThree,
        Test::FourOfFive,
        Test::Close,
        Test::NoneClose,
    ];

    /// Its number, 1 to 8.
    #[must_use]
    pub fn number(self) -> u8 {
        match self {
            Test::Beyond => 1,
            Test::OneSide => 2,
            Test::Steady => 3,
            Test::UpAndDown => 4,
            Test::TwoOfThree => 5,
            Test::FourOfFive => 6,
            Test::Close => 7,
            Test::NoneClose => 8,
        }
    }

    /// What it finds, in plain words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Test::Beyond => "beyond a limit",
            Test::OneSide => "nine or more in a row on one side of the centre",
            Test::Steady => "six or more in a row, each further the same way",
            Test::UpAndDown => "fourteen or more in a row, up and down in turn",
            Test::TwoOfThree => "two of three far out on the same side",
            Test::FourOfFive => "four of five well off the centre on the same side",
            Test::Close => "fifteen or more in a row close to the centre",
            Test::NoneClose => "eight or more in a row on both sides, none close to the centre",
        }
    }

    /// How many values it looks at together.
    fn window(self) -> usize {
        match self {
            Test::Beyond => 1,
            Test::OneSide => 9,
            Test::Steady => 6,
            Test::UpAndDown => 14,
            Test::TwoOfThree => 3,
            Test::FourOfFive => 5,
            Test::Close => 15,
            Test::NoneClose => 8,
        }
    }
}

/// Where a test found something.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Run {
    /// Which test.
    pub test: Test,
    /// The first value of it.
    pub first: usize,
    /// The last value of it.
    pub last: usize,
    /// Above or below the centre, rising (`Greater`) or falling (`Less`); `Equal` where the test knows no direction.
    pub side: Ordering,
}

/// One value as the tests see it.
struct Spot {
    /// How many whole deviations it is more than, at most three; zero within one of them.
    zone: u8,
    /// Above or below the centre.
    side: Ordering,
    /// Above or below the value before; `Equal` for the first.
    step: Ordering,
}

/// Everything the eight tests find, by test and then by place; stretches of one test that share values are told as one.
/// Nothing is found where no value differs from the one before: there is no deviation to go by.
#[must_use]
pub fn runs(values: &[Value], chart: &Chart) -> Vec<Run> {
    if !chart.scatters() {
        return Vec::new();
    }
    let spots = spots(values, chart);
    let mut found: Vec<Run> = Vec::new();
    for test in Test::ALL {
        for (first, window) in spots.windows(test.window()).enumerate() {
            let Some((skip, side)) = shows(test, window) else { continue };
            let run = Run { test, first: first + skip, last: first + window.len() - 1, side };
            match found.last_mut() {
                Some(before)
                    if before.test == test
                        && before.side == side
                        && test != Test::Beyond
                        && run.first <= before.last =>
                {
                    before.last = run.last;
                }
                _ => found.push(run),
            }
        }
    }
    found
}

fn spots(values: &[Value], chart: &Chart) -> Vec<Spot> {
    let limits: Vec<Value> =
        (1..=3).map(|zone| chart.deviation.multiply(&Value::from(Number::from_integer(zone)))).collect();
    let order = |one: &Value, other: &Value| one.compare(other).unwrap_or(Ordering::Equal);
    let mut before: Option<&Value> = None;
    let mut spots = Vec::with_capacity(values.len());
    for value in values {
        let distance = value.subtract(&chart.centre).absolute();
        let zone = limits.iter().filter(|limit| order(&distance, limit) == Ordering::Greater).count();
        spots.push(Spot {
            zone: u8::try_from(zone).unwrap_or(u8::MAX),
            side: order(value, &chart.centre),
            step: before.map_or(Ordering::Equal, |before| order(value, before)),
        });
        before = Some(value);
    }
    spots
}

/// Whether the test shows in a window of its own length that ends here: how many values at its start do not belong to it,
/// and the direction.
fn shows(test: Test, window: &[Spot]) -> Option<(usize, Ordering)> {
    let steps = window.get(1..)?;
    let last = window.last()?;
    let several = |least: usize, zone: u8| {
        // The last value belongs to it, or an earlier window has told it already.
        let belongs = |spot: &Spot| spot.zone >= zone && spot.side == last.side;
        let found = belongs(last) && window.iter().filter(|spot| belongs(spot)).count() >= least;
        found.then(|| (window.iter().take_while(|spot| !belongs(spot)).count(), last.side))
    };
    match test {
        Test::Beyond => (last.zone >= 3).then_some((0, last.side)),
        Test::OneSide => {
            (last.side != Ordering::Equal && window.iter().all(|spot| spot.side == last.side)).then_some((0, last.side))
        }
        Test::Steady => {
            (last.step != Ordering::Equal && steps.iter().all(|spot| spot.step == last.step)).then_some((0, last.step))
        }
        Test::UpAndDown => {
            let turns = |pair: &[Spot]| match pair {
                [one, next] => one.step != Ordering::Equal && one.step == next.step.reverse(),
                _ => false,
            };
            steps.windows(2).all(turns).then_some((0, Ordering::Equal))
        }
        Test::TwoOfThree => several(2, 2),
        Test::FourOfFive => several(4, 1),
        Test::Close => window.iter().all(|spot| spot.zone == 0).then_some((0, Ordering::Equal)),
        Test::NoneClose => (window.iter().all(|spot| spot.zone >= 1)
            && window.iter().any(|spot| spot.side != last.side))
        .then_some((0, Ordering::Equal)),
    }
}
