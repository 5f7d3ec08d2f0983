//! Where the figures of a ruling lie on a drawn scale. The one place where they become binary numbers, and for drawing only:
//! refuses to print any of them.

use crate::judge::RulingReport;

/// How many units of the drawing a scale is wide.
pub(super) const WIDTH: f64 = 120.0;

/// Space beside the outermost ends of a range with two ends, as a share of their distance.
const MARGIN: f64 = 0.35;
/// How far past its outermost end the drawing of a range with only upper ends reaches, in sizes of that end.
const PAST_HIGH: f64 = 1.5;
/// Where the drawing of a range with only lower ends begins and ends, in sizes of its innermost and its outermost end.
const ABOUT_LOW: (f64, f64) = (0.4, 1.6);

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
    pub(super) fn of(told: &RulingReport) -> Option<Scale> {
        let figure = |text: &Option<String>| text.as_deref().and_then(number);
        let standard = [figure(&told.figures.standard[0]), figure(&told.figures.standard[1])];
        let limit = [figure(&told.figures.limit[0]), figure(&told.figures.limit[1])];
        let value = figure(&told.figures.rounded).or(figure(&told.figures.value));
        let spread = told.uncertainty.as_ref().and_then(|weighed| number(weighed.expanded.split(' ').next()?));
        let (from, to) = edges([standard[0], limit[0]], [standard[1], limit[1]])?;
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

/// From where to where the drawing of a row reaches. By its ends alone and never by the value: two builds of one shop are then
/// drawn alike, and a value at half its limit does not look like one at its limit. None where no end is a figure.
fn edges(low: [Option<f64>; 2], high: [Option<f64>; 2]) -> Option<(f64, f64)> {
    let least = |ends: [Option<f64>; 2]| ends.into_iter().flatten().reduce(f64::min);
    let most = |ends: [Option<f64>; 2]| ends.into_iter().flatten().reduce(f64::max);
    match (least(low).zip(most(low)), least(high).zip(most(high))) {
        (None, None) => None,
        // What may be at most so much mostly cannot be less than nothing.
        (None, Some((least, most))) if least > 0.0 => Some((0.0, most * PAST_HIGH)),
        (Some((least, most)), None) if least > 0.0 => Some((least * ABOUT_LOW.0, most * ABOUT_LOW.1)),
        (Some((least, most)), None) | (None, Some((least, most))) => {
            let size = least.abs().max(most.abs());
            let size = if size > 0.0 { size } else { 1.0 };
            Some((least - size, most + size))
        }
        (Some((low, innermost)), Some((other, high))) => {
            let (low, high) = (low.min(other), high.max(innermost));
            let size = match (high > low, low.abs() / 50.0) {
                (true, _) => high - low,
                (false, share) if share > 0.0 => share,
                (false, _) => 1.0,
            };
            let from = low - size * MARGIN;
            Some((if low >= 0.0 { from.max(0.0) } else { from }, high + size * MARGIN))
        }
    }
}

/// A decimal as a number to draw by.
pub(super) fn number(text: &str) -> Option<f64> {
    text.parse::<f64>().ok().filter(|number| number.is_finite())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::CheckRange;
    use crate::quantity::Unit;
    use crate::shop::Shop;

    /// Where a figure is drawn, at the edge if it is past it.
    fn drawn(figure: f64, (from, to): (f64, f64)) -> f64 {
        ((figure - from) / (to - from) * WIDTH).clamp(0.0, WIDTH)
    }

    #[test]
    fn half_of_a_limit_and_nearly_all_of_it_are_drawn_apart_on_every_shipped_row() {
        let shop = Shop::shipped();
        let (mut at_most, mut at_least, mut both) = (0, 0, 0);
        for plan in shop.book.generations.ids().filter_map(|id| shop.plan(id)) {
            for check in &plan.checks {
                let characteristic = shop.book.characteristics.get(check.row.subject.characteristic);
                let unit = characteristic.unit.clone().unwrap_or_else(Unit::number);
                let ends = |range: &Option<CheckRange>| match range {
                    Some(CheckRange::Known(band)) => [&band.low, &band.high]
                        .map(|end| end.as_ref().and_then(|end| number(&unit.decimal(&end.value)))),
                    _ => [None, None],
                };
                let (standard, limit) = (ends(&check.standard), ends(&check.limit));
                let Some(edges) = edges([standard[0], limit[0]], [standard[1], limit[1]]) else { continue };
                let path = shop.book.path(check.row.subject.characteristic, &check.positions, None);
                let apart = |one: f64, other: f64| {
                    let (one, other) = (drawn(one, edges), drawn(other, edges));
                    assert!((one - other).abs() > 3.0, "{path}: drawn at {one} and {other}, from {edges:?}");
                };
                let lows: Vec<f64> = [standard[0], limit[0]].into_iter().flatten().collect();
                let highs: Vec<f64> = [standard[1], limit[1]].into_iter().flatten().collect();
                for end in lows.iter().chain(&highs).copied() {
                    match (lows.is_empty(), highs.is_empty()) {
                        (true, _) => at_most += 1,
                        (_, true) => at_least += 1,
                        _ => {
                            both += 1;
                            continue;
                        }
                    }
                    if end > 0.0 {
                        apart(end * 0.5, end * 0.97);
                        apart(end * 0.5, end);
                    }
                }
                if let (Some(low), Some(high)) = (lows.first(), highs.first())
                    && high > low
                {
                    apart(low + (high - low) * 0.5, low + (high - low) * 0.97);
                }
                assert!(
                    lows.iter().chain(&highs).all(|end| (edges.0..=edges.1).contains(end)),
                    "{path}: an end is not on the drawing"
                );
            }
        }
        assert!(at_most > 300 && at_least > 300 && both > 300, "{at_most} {at_least} {both}");
    }

    #[test]
    fn what_may_be_at_most_so_much_is_drawn_from_nought() {
        let limit = edges([None, None], [None, Some(0.04)]);
        assert!(limit.is_some_and(|(from, _)| from == 0.0), "{limit:?}");
        let limit = limit.unwrap_or_default();
        // Half, nine tenths and all but a little of 0.04 mm stand in three places.
        let places = [0.020, 0.036, 0.039].map(|value| drawn(value, limit));
        assert!(places[0] + 20.0 < places[1] && places[1] + 3.0 < places[2], "{places:?}");
    }
}
