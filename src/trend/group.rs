//! The values of a chart by group, and how the groups' means differ. Refuses to say why they do.

use super::Point;
use crate::quantity::Value;
use crate::statistics::{sample, welch};
use std::collections::BTreeMap;

/// The values of one generation in a chart by group. Generations differ whatever the groups do, so their values are never compared.
#[derive(Clone, PartialEq, Debug)]
pub struct Groups {
    /// The generation.
    pub generation: String,
    /// The groups, in the order their names are declared.
    pub groups: Vec<Group>,
    /// Each group beside each of those before it.
    pub pairs: Vec<Pair>,
    /// How many values belong to no group, because their record does not say.
    pub ungrouped: usize,
}

/// The values of one group.
#[derive(Clone, PartialEq, Debug)]
pub struct Group {
    /// Its name.
    pub name: String,
    /// How many values.
    pub count: usize,
    /// Their mean.
    pub mean: Value,
    /// Their standard deviation; none of one value.
    pub deviation: Option<Value>,
}

/// Two groups side by side.
#[derive(Clone, PartialEq, Debug)]
pub struct Pair {
    /// The number of the first group.
    pub first: usize,
    /// The number of the second.
    pub second: usize,
    /// The second against the first; none where one has fewer than two values, or none of either differs from the others.
    pub difference: Option<welch::Difference>,
}

impl Groups {
    /// The group of a value.
    #[must_use]
    pub fn of(&self, point: &Point) -> Option<&Group> {
        let (_, name) = point.group.as_ref().filter(|_| point.generation == self.generation)?;
        self.groups.iter().find(|group| group.name == *name)
    }
}

/// The groups of each generation, by the names of the generations.
pub(super) fn groups(points: &[Point]) -> Vec<Groups> {
    let mut by_generation: BTreeMap<&str, Vec<&Point>> = BTreeMap::new();
    for point in points {
        by_generation.entry(&point.generation).or_default().push(point);
    }
    by_generation.into_iter().map(|(generation, points)| of_generation(generation, &points)).collect()
}

fn of_generation(generation: &str, points: &[&Point]) -> Groups {
    let mut by_name: BTreeMap<&(u16, String), Vec<Value>> = BTreeMap::new();
    let mut ungrouped = 0;
    for point in points {
        match &point.group {
            Some(group) => by_name.entry(group).or_default().push(point.value.clone()),
            None => ungrouped += 1,
        }
    }
    let groups = by_name
        .iter()
        .filter_map(|((_, name), values)| {
            Some(Group {
                name: name.clone(),
                count: values.len(),
                mean: sample::mean(values)?,
                deviation: sample::deviation(values),
            })
        })
        .collect();
    let values: Vec<&Vec<Value>> = by_name.values().collect();
    let mut pairs = Vec::new();
    for (first, one) in values.iter().enumerate() {
        for (second, other) in values.iter().enumerate().skip(first + 1) {
            pairs.push(Pair { first, second, difference: welch::compare(one, other) });
        }
    }
    Groups { generation: generation.to_owned(), groups, pairs, ungrouped }
}
