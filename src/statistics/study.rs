//! Where the scatter of a gauge study comes from: several people measuring the same parts several times. Refuses a study in
//! which anybody measured a part less often than another.
//!
//! Two-way analysis of variance with interaction, people and parts both drawn at random: D. C. Montgomery, *Design and
//! Analysis of Experiments*, the chapter on random factors; Automotive Industry Action Group, *Measurement Systems Analysis*,
//! 4th edition 2010, chapter III section B (both from memory, unverified). Sums of squares and components are exact.

use super::sample::{count, mean};
use crate::quantity::{Value, function};
use statrs::distribution::{ContinuousCDF, FisherSnedecor};
use std::cmp::Ordering;

/// An interaction that chance gives more often than this is counted with the repeats (AIAG, as above: from memory).
pub const POOLED_ABOVE: f64 = 0.25;

/// One row of an analysis of variance.
#[derive(Clone, PartialEq, Debug)]
pub struct Source {
    /// The sum of squares.
    pub squares: Value,
    /// Its degrees of freedom, above zero.
    pub freedom: usize,
}

impl Source {
    /// The sum of squares over its degrees of freedom.
    #[must_use]
    pub fn mean_square(&self) -> Value {
        self.squares.divide(&count(self.freedom)).unwrap_or_default()
    }
}

/// What a study finds.
#[derive(Clone, PartialEq, Debug)]
pub struct Study {
    /// People, parts, and how often each measured each.
    pub people: usize,
    /// How many parts.
    pub parts: usize,
    /// How often each person measured each part.
    pub repeats: usize,
    /// The mean of all readings.
    pub mean: Value,
    /// The mean of each person's.
    pub means: Vec<Value>,
    /// Between people.
    pub by_person: Source,
    /// Between parts.
    pub by_part: Source,
    /// What is left between people and parts together.
    pub interaction: Source,
    /// Between repeats.
    pub by_repeat: Source,
    /// The interaction against the repeats: the ratio of their mean squares, and how often chance gives one as large. None
    /// where repeats do not differ at all.
    pub test: Option<(Value, f64)>,
    /// Whether the interaction is counted with the repeats.
    pub pooled: bool,
    /// The components of the variance.
    pub components: Components,
}

/// Variances, none below nothing: what comes out below is nothing.
#[derive(Clone, PartialEq, Debug)]
pub struct Components {
    /// One person, one part, again: repeatability.
    pub repeat: Value,
    /// One person and another.
    pub person: Value,
    /// Some people with some parts; nothing where it is counted with the repeats.
    pub interaction: Value,
    /// One part and another.
    pub part: Value,
}

impl Components {
    /// Between people in all: reproducibility.
    #[must_use]
    pub fn reproducibility(&self) -> Value {
        self.person.add(&self.interaction)
    }

    /// All that is measuring: repeatability and reproducibility.
    #[must_use]
    pub fn measuring(&self) -> Value {
        self.repeat.add(&self.reproducibility())
    }

    /// Everything.
    #[must_use]
    pub fn total(&self) -> Value {
        self.measuring().add(&self.part)
    }

    /// How many kinds of part can be told apart: 1.41 times the deviation of parts over that of measuring, cut off, and at
    /// least one (AIAG, as above, chapter II section D: from memory). `None` where measuring does not scatter.
    #[must_use]
    pub fn categories(&self) -> Option<u64> {
        let parts = function::sqrt(&self.part)?.midpoint().to_f64();
        let measuring = function::sqrt(&self.measuring())?.midpoint().to_f64();
        let ratio = 1.41 * parts / measuring;
        (measuring > 0.0 && ratio < 1e9).then(|| (ratio.floor() as u64).max(1))
    }
}

/// The readings of each person, of each part, again and again; `None` unless two people at least measured two parts at least
/// twice each, all as often.
#[must_use]
pub fn study(readings: &[Vec<Vec<Value>>]) -> Option<Study> {
    let (people, parts) = (readings.len(), readings.first()?.len());
    let repeats = readings.first()?.first()?.len();
    let even = readings.iter().all(|one| one.len() == parts && one.iter().all(|cell| cell.len() == repeats));
    if people < 2 || parts < 2 || repeats < 2 || !even {
        return None;
    }
    let cells: Vec<Vec<Value>> = readings
        .iter()
        .map(|one| one.iter().map(|cell| mean(cell)).collect::<Option<Vec<Value>>>())
        .collect::<Option<_>>()?;
    let means: Vec<Value> = cells.iter().map(|cells| mean(cells)).collect::<Option<_>>()?;
    let of_parts: Vec<Value> = (0..parts)
        .map(|part| mean(&cells.iter().filter_map(|cells| cells.get(part).cloned()).collect::<Vec<Value>>()))
        .collect::<Option<_>>()?;
    let middle = mean(&means)?;
    let around = |values: &[Value], centre: &Value| {
        values.iter().fold(Value::ZERO, |sum, value| sum.add(&value.subtract(centre).squared()))
    };
    let between = around(&means, &middle).multiply(&count(parts * repeats));
    let of_part = around(&of_parts, &middle).multiply(&count(people * repeats));
    let of_cells = cells.iter().fold(Value::ZERO, |sum, cells| sum.add(&around(cells, &middle)));
    let left = of_cells.multiply(&count(repeats)).subtract(&between).subtract(&of_part);
    let within = readings.iter().zip(&cells).flat_map(|(one, cells)| one.iter().zip(cells));
    let within = within.fold(Value::ZERO, |sum, (cell, mean)| sum.add(&around(cell, mean)));
    let by_person = Source { squares: between, freedom: people - 1 };
    let by_part = Source { squares: of_part, freedom: parts - 1 };
    let interaction = Source { squares: left, freedom: (people - 1) * (parts - 1) };
    let by_repeat = Source { squares: within, freedom: people * parts * (repeats - 1) };
    let test = against(&interaction, &by_repeat);
    let pooled = test.as_ref().is_some_and(|(_, p)| *p > POOLED_ABOVE);
    let components = components(&by_person, &by_part, &interaction, &by_repeat, pooled, (people, parts, repeats));
    Some(Study {
        people,
        parts,
        repeats,
        mean: middle,
        means,
        by_person,
        by_part,
        interaction,
        by_repeat,
        test,
        pooled,
        components,
    })
}

/// The ratio of two mean squares, and how often chance gives one as large.
fn against(above: &Source, below: &Source) -> Option<(Value, f64)> {
    let ratio = above.mean_square().divide(&below.mean_square())?;
    let fisher = FisherSnedecor::new(above.freedom as f64, below.freedom as f64).ok()?;
    let p = fisher.sf(ratio.midpoint().to_f64());
    Some((ratio, p))
}

fn components(
    by_person: &Source,
    by_part: &Source,
    interaction: &Source,
    by_repeat: &Source,
    pooled: bool,
    (people, parts, repeats): (usize, usize, usize),
) -> Components {
    let over = |above: &Value, below: &Value, times: usize| {
        let difference = above.subtract(below);
        match difference.compare(&Value::ZERO) {
            Some(Ordering::Greater) => difference.divide(&count(times)).unwrap_or_default(),
            _ => Value::ZERO,
        }
    };
    let (repeat, shared, interaction) = if pooled {
        let both = interaction.squares.add(&by_repeat.squares);
        let repeat = both.divide(&count(interaction.freedom + by_repeat.freedom)).unwrap_or_default();
        (repeat.clone(), repeat, Value::ZERO)
    } else {
        let (repeat, shared) = (by_repeat.mean_square(), interaction.mean_square());
        let interaction = over(&shared, &repeat, repeats);
        (repeat, shared, interaction)
    };
    Components {
        person: over(&by_person.mean_square(), &shared, parts * repeats),
        part: over(&by_part.mean_square(), &shared, people * repeats),
        repeat,
        interaction,
    }
}
