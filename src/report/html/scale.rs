//! Where the figures of a ruling lie on a drawn scale. The one place where they become binary numbers, and for drawing only:
//! refuses to print any of them.

use crate::judge::Told;

/// How many units of the drawing a scale is wide.
pub(super) const WIDTH: f64 = 120.0;

/// Beyond this many widths of its range a value is shown at the edge.
const FURTHEST: f64 = 2.0;
/// Room beside the outermost ends, as a share of their distance.
const MARGIN: f64 = 0.35;

/// The figures of a ruling, ready to be drawn.
#[derive(Clone, PartialEq, Debug)]
pub(super) struct Scale {
    /// The figure at the left edge.
    pub(super) from: f64,
    /// The figure at the right edge.
    pub(super) to: f64,
    pub(super) standard: [Option<f64>; 2],
    pub(super) limit: [Option<f64>; 2],
    pub(super) value: Option<f64>,
    /// How far the value may be off, either way.
    pub(super) spread: Option<f64>,
}

/// Where a value lies.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(super) enum Spot {
    At(f64),
    /// Past the left edge, or past the right one.
    Off(bool),
}

impl Scale {
    /// None where there is no range with an end that is a figure.
    pub(super) fn of(told: &Told) -> Option<Scale> {
        let figure = |text: &Option<String>| text.as_deref().and_then(number);
        let standard = [figure(&told.figures.standard[0]), figure(&told.figures.standard[1])];
        let limit = [figure(&told.figures.limit[0]), figure(&told.figures.limit[1])];
        let value = figure(&told.figures.rounded).or(figure(&told.figures.value));
        let spread = told.uncertainty.as_ref().and_then(|weighed| number(weighed.expanded.split(' ').next()?));
        let ends = || standard.iter().chain(&limit).flatten().copied();
        let (low, high) = (ends().reduce(f64::min)?, ends().reduce(f64::max)?);
        let reach = spread.unwrap_or(0.0);
        let (mut from, mut to) = if high > low {
            let margin = (high - low) * MARGIN;
            (low - margin, high + margin)
        } else {
            // One end alone: the value says how large the drawing must be.
            let far = value.map_or(0.0, |value| (value - low).abs()).max(2.0 * reach).max(low.abs() / 50.0);
            let far = if far > 0.0 { far * (1.0 + MARGIN) } else { 1.0 };
            let nought = low >= 0.0 && value.is_none_or(|value| value >= 0.0);
            (if nought { (low - far).max(0.0 - far / 20.0) } else { low - far }, low + far)
        };
        if let Some(value) = value
            && (low - value).max(value - high) <= FURTHEST * (high - low)
        {
            let margin = (high - low) * MARGIN / 3.0;
            from = from.min(value - reach - margin);
            to = to.max(value + reach + margin);
        }
        (to > from).then_some(Scale { from, to, standard, limit, value, spread })
    }

    /// Where a figure lies, in units of the drawing; past the edges where it does.
    pub(super) fn at(&self, figure: f64) -> f64 {
        (figure - self.from) / (self.to - self.from) * WIDTH
    }

    /// The same, at most as far as the edges.
    pub(super) fn inside(&self, figure: f64) -> f64 {
        self.at(figure).clamp(0.0, WIDTH)
    }

    /// From where to where a range reaches: to the edge on a side where it has no end.
    pub(super) fn band(&self, ends: [Option<f64>; 2]) -> Option<(f64, f64)> {
        let [low, high] = ends;
        if low.is_none() && high.is_none() {
            return None;
        }
        Some((low.map_or(0.0, |end| self.inside(end)), high.map_or(WIDTH, |end| self.inside(end))))
    }

    pub(super) fn spot(&self) -> Option<Spot> {
        let at = self.at(self.value?);
        Some(if at < 0.0 {
            Spot::Off(false)
        } else if at > WIDTH {
            Spot::Off(true)
        } else {
            Spot::At(at)
        })
    }
}

/// A decimal as a number to draw by.
pub(super) fn number(text: &str) -> Option<f64> {
    text.parse::<f64>().ok().filter(|number| number.is_finite())
}
