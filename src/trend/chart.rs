//! Values in the order of their days, one chart for each position or one for all. Refuses to know where a value comes from.

use super::Point;
use super::group::{Groups, groups};
use crate::quantity::Value;
use crate::statistics::control::{self, Run};

/// The values of one position, or of all, in the order of their days.
#[derive(Clone, PartialEq, Debug)]
pub struct Chart {
    /// The way to it; of a chart over all positions, as it was asked for.
    pub path: String,
    /// Whether the values of several positions stand in it.
    pub pooled: bool,
    /// The values: by day, then by build, then by position.
    pub points: Vec<Point>,
    /// Centre and limits; none of fewer than two values.
    pub limits: Option<control::Chart>,
    /// What the run tests find.
    pub runs: Vec<Run>,
    /// The values that are further from the one before than chance would have it.
    pub jumps: Vec<usize>,
    /// The values by group, if they are grouped.
    pub groups: Option<Groups>,
}

/// The charts of some values, in the book's order of positions. With `together`, one chart of all of them, under this path.
#[must_use]
pub fn charts(mut points: Vec<Point>, together: Option<&str>, grouped: bool) -> Vec<Chart> {
    points.sort_by(|one, other| {
        (one.finished, &one.build, &one.file, one.order).cmp(&(other.finished, &other.build, &other.file, other.order))
    });
    let mut sorted: Vec<(usize, String, Vec<Point>)> = Vec::new();
    for point in points {
        let path = together.unwrap_or(&point.path);
        match sorted.iter_mut().find(|(_, other, _)| other == path) {
            Some((order, _, points)) => {
                *order = point.order.min(*order);
                points.push(point);
            }
            None => sorted.push((point.order, path.to_owned(), vec![point])),
        }
    }
    sorted.sort_by(|(one, path, _), (other, other_path, _)| (one, path).cmp(&(other, other_path)));
    sorted.into_iter().map(|(_, path, points)| chart(path, points, grouped)).collect()
}

fn chart(path: String, points: Vec<Point>, grouped: bool) -> Chart {
    let values: Vec<Value> = points.iter().map(|point| point.value.clone()).collect();
    let limits = control::chart(&values);
    let runs = limits.as_ref().map(|limits| control::runs(&values, limits)).unwrap_or_default();
    let jumps = limits.as_ref().map(control::Chart::jumps).unwrap_or_default();
    let pooled = points.iter().zip(points.iter().skip(1)).any(|(one, next)| one.path != next.path);
    let groups = grouped.then(|| groups(&points));
    Chart { path, pooled, points, limits, runs, jumps, groups }
}
