//! Correlated calibrations as they are drawn: jointly normal (JCGM 101:2008, 6.4.8), or by the multivariate t-distribution of the
//! fewest degrees of freedom among them (JCGM 102:2011, 5.3.2).

use super::super::{Influence, Weighing};
use crate::bind::Certified;
use crate::quantity::Value;
use crate::statistics::correlation;
use crate::statistics::draw::{Draws, Shape};
use rustc_hash::FxHashMap;

/// Influences that are drawn together.
pub(super) struct Joint {
    /// Each by its number, with its standard uncertainty and its row of the triangular root of the correlation matrix.
    members: Vec<(usize, f64, Vec<f64>)>,
    freedom: Option<f64>,
    drawn: Vec<f64>,
}

impl Joint {
    /// Those of some influences that are correlated; `None` if none are.
    pub(super) fn of(weighing: &Weighing<'_>, numbers: &FxHashMap<Influence, usize>) -> Option<Joint> {
        let gauge = |number: usize| {
            let influence = Influence::Calibration(u16::try_from(number).ok()?);
            numbers.get(&influence).map(|at| (influence, *at))
        };
        let correlations = weighing.correlations();
        let known = |(one, other, _): &&correlation::Pair| gauge(*one).is_some() && gauge(*other).is_some();
        let pairs: Vec<correlation::Pair> = correlations.pairs.iter().filter(known).cloned().collect();
        let group: Vec<usize> = correlation::groups(&pairs).concat();
        if group.is_empty() {
            return None;
        }
        let matrix: Vec<Vec<f64>> = correlation::matrix(&group, &pairs)
            .iter()
            .map(|row| row.iter().map(crate::quantity::Number::to_f64).collect())
            .collect();
        let standard = |number: usize| {
            let certified = weighing.bench.readings.gauges.get(number).and_then(|gauge| gauge.uncertainty.as_ref());
            certified.map_or(Value::ZERO, Certified::standard).midpoint().to_f64()
        };
        let mut members: Vec<(usize, f64, Vec<f64>)> = Vec::new();
        let mut freedom: Option<f64> = None;
        for (number, row) in group.iter().zip(root(&matrix)) {
            let (influence, at) = gauge(*number)?;
            if let Some(few) = weighing.freedom_of(influence).map(|few| few.to_f64()) {
                freedom = Some(freedom.map_or(few, |least| least.min(few)));
            }
            members.push((at, standard(*number), row));
        }
        Some(Joint { drawn: Vec::with_capacity(members.len()), members, freedom })
    }

    /// Draws all of them, in place of what was drawn of each alone.
    pub(super) fn once(&mut self, draws: &mut Draws, off: &mut [f64]) {
        self.drawn.clear();
        let mut squares = 0.0;
        for number in 0..self.members.len() {
            let drawn = match self.freedom {
                None => draws.one(Shape::Normal(1.0)),
                // Each by its distribution where those before it are known: that of the whole is then the multivariate t.
                Some(freedom) => {
                    let more = freedom + number as f64;
                    draws.one(Shape::Student { scale: ((freedom + squares) / more).sqrt(), freedom: more })
                }
            };
            squares += drawn * drawn;
            self.drawn.push(drawn);
        }
        for (at, standard, row) in &self.members {
            let sum: f64 = row.iter().zip(&self.drawn).map(|(by, drawn)| by * drawn).sum();
            off.get_mut(*at).into_iter().for_each(|off| *off = standard * sum);
        }
    }
}

/// The triangular root of a matrix, row by row (Cholesky). Where a pivot is nothing, as in a matrix that is just possible, what is
/// below it is nothing too.
fn root(matrix: &[Vec<f64>]) -> Vec<Vec<f64>> {
    let mut rows: Vec<Vec<f64>> = Vec::new();
    for (at, line) in matrix.iter().enumerate() {
        let mut row: Vec<f64> = Vec::new();
        for (above, wanted) in rows.iter().zip(line) {
            let before: f64 = row.iter().zip(above).map(|(one, other)| one * other).sum();
            let pivot = above.last().copied().unwrap_or(0.0);
            row.push(if pivot > 1e-9 { (wanted - before) / pivot } else { 0.0 });
        }
        let before: f64 = row.iter().map(|by| by * by).sum();
        row.push((line.get(at).copied().unwrap_or(1.0) - before).max(0.0).sqrt());
        rows.push(row);
    }
    rows
}
