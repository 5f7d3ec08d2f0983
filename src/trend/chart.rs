//! Values in the order of their days, one chart for each position or one for all. Refuses to know where a value comes from.

use super::Point;
use super::group::{Groups, groups};
use crate::quantity::Value;
use crate::statistics::control::{self, Run, Test};
use crate::statistics::sample;
use std::cmp::Ordering;
use std::iter::Peekable;
use std::str::Chars;

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
    /// The lag-1 autocorrelation coefficient of the values; none where they do not differ.
    pub autocorrelation: Option<Value>,
    /// The values of each generation by group, if they are grouped.
    pub groups: Option<Vec<Groups>>,
}

/// The charts of some values, in the book's order of positions. With `together`, one chart of all of them, under this path.
#[must_use]
pub fn charts(mut points: Vec<Point>, together: Option<&str>, grouped: bool) -> Vec<Chart> {
    points.sort_by(|one, other| {
        let by_day = one.finished.cmp(&other.finished);
        let by_build = by_day.then_with(|| counted(&one.build, &other.build));
        by_build.then_with(|| (&one.file, one.order).cmp(&(&other.file, other.order)))
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

impl Chart {
    /// For each value the tests that speak of it, each once, in the order of their numbers.
    #[must_use]
    pub fn tests(&self) -> Vec<Vec<Test>> {
        let mut tests: Vec<Vec<Test>> = vec![Vec::new(); self.points.len()];
        for run in &self.runs {
            let values = tests.iter_mut().skip(run.first).take(run.last - run.first + 1);
            for said in values.filter(|said| said.last() != Some(&run.test)) {
                said.push(run.test);
            }
        }
        tests
    }
}

/// The order of two names in which numbers are counted: `P-9` before `P-10`.
fn counted(one: &str, other: &str) -> Ordering {
    let digit = |letter: &char| letter.is_ascii_digit();
    let (mut left, mut right) = (one.chars().peekable(), other.chars().peekable());
    loop {
        match (left.peek().copied(), right.peek().copied()) {
            (Some(first), Some(second)) if digit(&first) && digit(&second) => {
                let run = |letters: &mut Peekable<Chars<'_>>| {
                    let mut run = String::new();
                    while let Some(next) = letters.next_if(digit) {
                        run.push(next);
                    }
                    run.trim_start_matches('0').to_owned()
                };
                let (first, second) = (run(&mut left), run(&mut right));
                // Without zeros before them, the longer one is the larger one.
                let order = first.len().cmp(&second.len()).then_with(|| first.cmp(&second));
                if order.is_ne() {
                    return order;
                }
            }
            (Some(first), Some(second)) if first == second => {
                left.next();
                right.next();
            }
            // What is alike but for zeros still has an order of its own.
            (None, None) => return one.cmp(other),
            (first, second) => return first.cmp(&second),
        }
    }
}

fn chart(path: String, points: Vec<Point>, grouped: bool) -> Chart {
    let values: Vec<Value> = points.iter().map(|point| point.value.clone()).collect();
    let limits = control::chart(&values);
    let runs = limits.as_ref().map(|limits| control::runs(&values, limits)).unwrap_or_default();
    let jumps = limits.as_ref().map(control::Chart::jumps).unwrap_or_default();
    let pooled = points.iter().zip(points.iter().skip(1)).any(|(one, next)| one.path != next.path);
    let groups = grouped.then(|| groups(&points));
    let autocorrelation = sample::lag1_autocorrelation(&values);
    Chart { path, pooled, points, limits, runs, jumps, autocorrelation, groups }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_stand_in_the_order_a_person_counts_in() {
        let sorted = ["K", "K-1", "K-2", "K-09", "K-9", "K-10", "K-10a", "K-10b", "K-0100", "L", "é"];
        let mut names = sorted;
        names.reverse();
        names.sort_by(|one, other| counted(one, other));
        assert_eq!(names, sorted);
        assert_eq!(counted("7", "7"), Ordering::Equal);
    }
}
