//! The values of each record of a chart as one small group. Refuses groups of different sizes in one chart.

use super::Chart;
use crate::quantity::{Date, Value};
use crate::statistics::control::{Subgroups, subgroups};
use std::collections::BTreeMap;

/// The group of one record.
#[derive(Clone, PartialEq, Debug)]
pub struct Subgroup {
    /// The build, or the part.
    pub build: String,
    /// Its day.
    pub finished: Date,
    /// Its values, in the order they were taken, position after position.
    pub values: Vec<Value>,
}

/// A chart of the means and ranges of groups.
#[derive(Clone, PartialEq, Debug)]
pub struct Subgrouped {
    /// The groups of the size that most have, in the order of their days.
    pub groups: Vec<Subgroup>,
    /// Their chart; none of fewer than two, and of sizes other than 2 to 10.
    pub chart: Option<Subgroups>,
    /// Groups of other sizes: the build and how many values.
    pub left_out: Vec<(String, usize)>,
}

/// The groups of a chart, one for each record.
#[must_use]
pub fn subgrouped(chart: &Chart) -> Subgrouped {
    let mut groups: Vec<(&str, Subgroup)> = Vec::new();
    for point in &chart.points {
        match groups.last_mut().filter(|(file, group)| *file == point.file && group.build == point.build) {
            Some((_, group)) => group.values.extend(point.repeats.iter().cloned()),
            None => {
                let (build, values) = (point.build.clone(), point.repeats.clone());
                groups.push((&point.file, Subgroup { build, finished: point.finished, values }));
            }
        }
    }
    let mut sizes: BTreeMap<usize, usize> = BTreeMap::new();
    for (_, group) in &groups {
        *sizes.entry(group.values.len()).or_default() += 1;
    }
    // Of sizes that are as frequent, the larger one: it says more.
    let size = sizes.into_iter().max_by_key(|(size, often)| (*often, *size)).map_or(0, |(size, _)| size);
    let (groups, others): (Vec<Subgroup>, Vec<Subgroup>) =
        groups.into_iter().map(|(_, group)| group).partition(|group| group.values.len() == size);
    let values: Vec<Vec<Value>> = groups.iter().map(|group| group.values.clone()).collect();
    let left_out = others.into_iter().map(|group| (group.build, group.values.len())).collect();
    Subgrouped { chart: subgroups(&values), groups, left_out }
}
