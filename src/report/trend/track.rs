//! Draws the values of a chart by columns: at a glance, and one on a line between its limits. Refuses to know what they are
//! values of.

use super::super::style::{Ink, Look};
use crate::quantity::Value;
use crate::statistics::control;
use crate::trend::Chart;

/// A line is drawn in at least, and at most, so many columns.
pub(super) const NARROWEST: usize = 15;
const WIDEST: usize = 41;

/// Heights at a glance, low to high; digits where letters beyond ASCII cannot be shown.
const HEIGHTS: [char; 8] = ['▁', '▂', '▃', '▄', '▅', '▆', '▇', '█'];
const PLAIN_HEIGHTS: [char; 8] = ['1', '2', '3', '4', '5', '6', '7', '8'];

/// The scale of a chart.
pub(super) struct Track {
    look: Look,
    low: f64,
    high: f64,
    /// The lower limit, the centre and the upper limit.
    marks: [f64; 3],
    values: Vec<f64>,
}

fn drawn(value: &Value) -> f64 {
    value.midpoint().to_f64()
}

impl Track {
    /// From the lowest to the highest of values and limits.
    pub(super) fn new(chart: &Chart, limits: &control::Chart, look: Look) -> Track {
        let values: Vec<f64> = chart.points.iter().map(|point| drawn(&point.value)).collect();
        let marks = [drawn(&limits.low), drawn(&limits.centre), drawn(&limits.high)];
        let all = || values.iter().chain(&marks).copied();
        Track {
            look,
            low: all().fold(f64::INFINITY, f64::min),
            high: all().fold(f64::NEG_INFINITY, f64::max),
            marks,
            values,
        }
    }

    /// Where a value stands, from 0 to `steps`; in the middle where all are the same.
    fn step(&self, value: f64, steps: usize) -> usize {
        let share = (value - self.low) / (self.high - self.low);
        let share = if share.is_finite() { share.clamp(0.0, 1.0) } else { 0.5 };
        // Between 0 and a number of columns.
        (share * steps as f64).round() as usize
    }

    /// All values, a letter each, with a mark under those that some test speaks of.
    pub(super) fn glance(&self, out: &mut String, flagged: impl Fn(usize) -> bool) {
        let heights = if self.look.unicode { HEIGHTS } else { PLAIN_HEIGHTS };
        let columns = self.look.width.saturating_sub(4).max(10);
        for (row, values) in self.values.chunks(columns).enumerate() {
            let height = |value: &f64| heights.get(self.step(*value, heights.len() - 1)).copied().unwrap_or(' ');
            out.push_str("  ");
            out.extend(values.iter().map(height));
            out.push('\n');
            let mark = |at: usize| if flagged(row * columns + at) { '^' } else { ' ' };
            let marks: String = (0..values.len()).map(mark).collect();
            if !marks.trim().is_empty() {
                out.push_str("  ");
                out.push_str(marks.trim_end());
                out.push('\n');
            }
        }
    }

    /// One value between the limits; nothing where there is no room for it.
    pub(super) fn row(&self, value: &Value, room: usize, ink: Option<Ink>) -> String {
        if room < NARROWEST {
            return String::new();
        }
        let steps = room.min(WIDEST) - 1;
        let (limit, centre, dot, beyond) =
            if self.look.unicode { ("│", "·", "●", "◆") } else { ("|", ".", "o", "X") };
        let [low, middle, high] = self.marks.map(|mark| self.step(mark, steps));
        let at = self.step(drawn(value), steps);
        let mut row = String::new();
        for column in 0..=steps {
            if column == at {
                let mark = if ink.is_some() { beyond } else { dot };
                row.push_str(&ink.map_or_else(|| mark.to_owned(), |ink| self.look.paint(ink, mark)));
            } else if column == low || column == high {
                row.push_str(limit);
            } else if column == middle {
                row.push_str(centre);
            } else {
                row.push(' ');
            }
        }
        row
    }
}
