//! One characteristic over the builds of a generation, drawn: each build a column from its least value to its largest, the rule's limits
//! and three standard deviations across, figures on both axes. Refuses to work anything out.

use super::frame::said;
use super::index::Charted;
use super::scale::number;
use super::words;
use crate::quantity::{Unit, Value};
use crate::report::trend::Figures;
use crate::trend::Point;
use maud::{Markup, html};
use std::fmt::Write as _;

/// The drawing in its own units; a page gives it what space there is.
const SIZE: (f64, f64) = (480.0, 170.0);
/// The edges of what is plotted: left, right, top, bottom.
const PLOT: (f64, f64, f64, f64) = (56.0, 472.0, 8.0, 148.0);
/// With more builds than this several of them make one column.
const MOST_COLUMNS: usize = 120;
/// With more builds than this only those that do not pass are named on the drawing.
const MOST_NAMED: usize = 40;
/// Of those at most so many.
const MOST_FAILING_NAMED: usize = 20;

/// A chart with its figures beside it.
pub(super) fn figure(charted: &Charted) -> Markup {
    let chart = &charted.chart;
    let figures = Figures::of(chart, &charted.unit);
    let builds = builds(&chart.points);
    let mut ordered: Vec<&Value> = chart.points.iter().map(|point| &point.value).collect();
    ordered.sort_by(|one, other| one.compare(other).unwrap_or(std::cmp::Ordering::Equal));
    let ends = ordered.first().zip(ordered.last());
    let (low, high) = ends.map_or_else(Default::default, |(low, high)| (figures.value(low), figures.value(high)));
    let said_of = words::chart(builds.len(), chart.points.len(), &low, &high, charted.failing.len());
    // Where no value is below nought the spread is not said to reach below it.
    let nought = Value::default();
    let cut = |at: &Value| {
        let below = at.compare(&nought) == Some(std::cmp::Ordering::Less);
        let any = ordered.first().is_some_and(|least| least.compare(&nought) == Some(std::cmp::Ordering::Less));
        if below && !any { nought.clone() } else { at.clone() }
    };
    let spread = chart.limits.as_ref().filter(|limits| limits.scatters());
    let lines = spread.map(|limits| [limits.centre.clone(), cut(&limits.low), cut(&limits.high)]);
    html! {
        figure {
            figcaption { b { (said(&chart.path)) } " " span class="small" { (said(&said_of)) } }
            @if let Some(drawing) = draw(charted, &builds, lines.as_ref()) {
                div class="chart" role="img" aria-label=(said(&format!("{}: {said_of}", chart.path))) { (drawing) }
            }
            @if let Some(limits) = &chart.limits {
                p class="small" {
                    "mean " (said(&figures.value(&limits.centre)))
                    @if let Some([_, low, high]) = &lines { "; between " (said(&figures.between(low, high))) }
                }
            }
        }
    }
}

/// The values of each build, in the order of the days.
fn builds(points: &[Point]) -> Vec<Vec<&Point>> {
    let mut builds: Vec<Vec<&Point>> = Vec::new();
    for point in points {
        match builds.last_mut() {
            Some(build) if build.first().is_some_and(|first| first.file == point.file) => build.push(point),
            _ => builds.push(vec![point]),
        }
    }
    builds
}

fn coordinate(value: &Value, unit: &Unit) -> Option<f64> {
    number(&unit.decimal(value))
}

/// From where to where figures lie, and how they become places of the drawing.
struct Axes {
    low: f64,
    high: f64,
    columns: usize,
}

impl Axes {
    fn y(&self, figure: f64) -> f64 {
        let (.., top, bottom) = PLOT;
        bottom - (figure - self.low) / (self.high - self.low) * (bottom - top)
    }

    fn x(&self, column: usize) -> f64 {
        let (left, right, ..) = PLOT;
        let whole = |count: usize| f64::from(u32::try_from(count).unwrap_or(u32::MAX));
        left + (whole(column) + 0.5) / whole(self.columns.max(1)) * (right - left)
    }
}

/// A place on the drawing, to a tenth of a unit: less than is seen.
fn tenth(at: f64) -> String {
    let text = format!("{at:.1}");
    text.strip_suffix(".0").map_or(text.clone(), str::to_owned)
}

/// The drawing; none where a value cannot be drawn.
fn draw(charted: &Charted, builds: &[Vec<&Point>], lines: Option<&[Value; 3]>) -> Option<Markup> {
    let unit = &charted.unit;
    let lines: Vec<f64> = lines.into_iter().flatten().filter_map(|at| coordinate(at, unit)).collect();
    let limits: Vec<f64> = charted.limit.iter().flatten().filter_map(|end| number(end)).collect();
    let fails = |point: &Point| charted.failing.contains(&(point.file.clone(), point.path.clone()));
    let together = builds.len().div_ceil(MOST_COLUMNS).max(1);
    let columns: Vec<Vec<(f64, bool)>> = builds
        .chunks(together)
        .map(|some| {
            let each = some.iter().flatten();
            each.map(|point| coordinate(&point.value, unit).map(|at| (at, fails(point)))).collect::<Option<Vec<_>>>()
        })
        .collect::<Option<_>>()?;
    let all = || columns.iter().flatten().map(|(at, _)| *at).chain(lines.iter().copied());
    let (low, high) = (all().reduce(f64::min)?, all().reduce(f64::max)?);
    let height = if high > low { high - low } else { high.abs().max(1.0) / 5.0 };
    // A limit far off is left out: it would press the values into a line.
    let near = |end: &f64| *end >= low - height && *end <= high + height;
    let limits: Vec<f64> = limits.into_iter().filter(near).collect();
    let low = limits.iter().copied().fold(low, f64::min) - height * 0.06;
    let high = limits.iter().copied().fold(high, f64::max) + height * 0.06;
    let axes = Axes { low, high, columns: columns.len() };
    let (left, right, top, bottom) = PLOT;
    let days = (charted.chart.points.first()?.finished, charted.chart.points.last()?.finished);
    Some(html! {
        svg viewBox=(format!("0 0 {} {}", SIZE.0, SIZE.1)) aria-hidden="true" focusable="false" {
            path class="axis" d=(format!("M{left} {top}V{bottom}H{right}")) {}
            @for (at, text) in ticks(low, high) {
                path class="tick" d=(format!("M{} {}H{left}", left - 4.0, tenth(axes.y(at)))) {}
                text x=(left - 6.0) y=(tenth(axes.y(at) + 3.5)) text-anchor="end" { (text) }
            }
            text x=(left) y=(SIZE.1 - 6.0) { (days.0.to_string()) }
            text x=(right) y=(SIZE.1 - 6.0) text-anchor="end" { (days.1.to_string()) }
            @for (number, at) in lines.iter().enumerate() {
                path class=(if number == 0 { "mean" } else { "deviation" }) d=(format!("M{left} {}H{right}", tenth(axes.y(*at)))) {}
            }
            @for at in &limits { path class="rule" d=(format!("M{left} {}H{right}", tenth(axes.y(*at)))) {} }
            (series(&axes, &columns))
            (names(&axes, builds, together, &fails))
        }
    })
}

/// All columns as one path, all values as another, all that do not pass as a third.
fn series(axes: &Axes, columns: &[Vec<(f64, bool)>]) -> Markup {
    let (mut spans, mut dots, mut crosses) = (String::new(), String::new(), String::new());
    // With many columns only the outermost values of each are drawn: the others would lie one over the other.
    let few = columns.len() < MOST_COLUMNS / 2;
    for (number, column) in columns.iter().enumerate() {
        let x = tenth(axes.x(number));
        let figures = || column.iter().map(|(at, _)| *at);
        if let Some((low, high)) = figures().reduce(f64::min).zip(figures().reduce(f64::max)) {
            let _ = write!(spans, "M{x} {}V{}", tenth(axes.y(low)), tenth(axes.y(high)));
            if few {
                figures().for_each(|at| {
                    let _ = write!(dots, "M{x} {}h0", tenth(axes.y(at)));
                });
            } else {
                let _ = write!(dots, "M{x} {}h0M{x} {}h0", tenth(axes.y(low)), tenth(axes.y(high)));
            }
        }
        let mut failing: Vec<f64> = column.iter().filter(|(_, fails)| *fails).map(|(at, _)| *at).collect();
        if !few && failing.len() > 2 {
            failing.sort_by(f64::total_cmp);
            failing = failing.first().into_iter().chain(failing.last()).copied().collect();
        }
        for at in failing {
            let (x, y) = (axes.x(number), axes.y(at));
            let _ = write!(crosses, "M{} {}l6 6m0-6l-6 6", tenth(x - 3.0), tenth(y - 3.0));
        }
    }
    html! {
        path class="span" d=(spans) {}
        path class="dots" d=(dots) {}
        @if !crosses.is_empty() { path class="crosses" d=(crosses) {} }
    }
}

/// The names of builds, for a pointer that rests on a column: all of them where there are few, else those that do not pass.
fn names(axes: &Axes, builds: &[Vec<&Point>], together: usize, fails: &dyn Fn(&Point) -> bool) -> Markup {
    let (.., top, bottom) = PLOT;
    let wide = ((axes.x(1) - axes.x(0)).abs()).max(6.0);
    let named = builds.iter().enumerate();
    let named: Vec<(usize, &Point)> = if builds.len() <= MOST_NAMED {
        named.filter_map(|(number, build)| Some((number, *build.first()?))).collect()
    } else {
        let failing = named.filter_map(|(number, build)| Some((number, *build.iter().find(|point| fails(point))?)));
        failing.take(MOST_FAILING_NAMED).collect()
    };
    html! {
        @for (number, point) in named {
            rect class="name" x=(tenth(axes.x(number / together) - wide / 2.0)) y=(top) width=(tenth(wide)) height=(bottom - top) {
                title { (said(&format!("{}, {}", point.build, point.finished))) }
            }
        }
    }
}

/// Round figures for an axis, three to six of them, with as many decimals as their step.
fn ticks(low: f64, high: f64) -> Vec<(f64, String)> {
    const LEAST: f64 = 3.0;
    let mut power = -12;
    let mut step = 0.0;
    'found: for candidate in -12..=12_i32 {
        for factor in [1.0, 2.0, 5.0] {
            let wide = factor * 10.0_f64.powi(candidate);
            if (high - low) / wide < 2.0 * LEAST {
                (power, step) = (candidate, wide);
                break 'found;
            }
        }
    }
    if step <= 0.0 || high <= low {
        return Vec::new();
    }
    let places = usize::try_from(-power).unwrap_or(0);
    let first = (low / step).ceil();
    let figures = (0..8_u8).map(|number| (first + f64::from(number)) * step);
    // Nought is not below nought.
    figures.take_while(|at| *at <= high).map(|at| (at, format!("{:.places$}", at + 0.0))).collect()
}

#[cfg(test)]
mod tests {
    use super::ticks;

    #[test]
    fn an_axis_has_a_few_round_figures() {
        let texts = |low, high| ticks(low, high).into_iter().map(|(_, text)| text).collect::<Vec<_>>().join(" ");
        assert_eq!(texts(0.0, 1.0), "0.0 0.2 0.4 0.6 0.8 1.0");
        assert_eq!(texts(79.842, 79.861), "79.845 79.850 79.855 79.860");
        assert_eq!(texts(-3.0, 12.0), "0 5 10");
        assert_eq!(texts(588.0, 913.0), "600 700 800 900");
        assert_eq!(texts(0.0004, 0.0019), "0.0005 0.0010 0.0015");
        for (low, high) in [(0.0, 1.0), (79.842, 79.861), (588.0, 913.0), (1e-9, 1.1e-9), (0.3, 7e8)] {
            let ticks = ticks(low, high);
            assert!((3..=6).contains(&ticks.len()), "{low} to {high}: {ticks:?}");
            assert!(ticks.iter().all(|(at, _)| (low..=high).contains(at)), "{ticks:?}");
        }
        assert_eq!(texts(1.0, 1.0), "");
    }
}
