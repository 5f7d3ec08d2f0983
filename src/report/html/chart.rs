//! One characteristic over the builds of a generation, drawn. Refuses to work anything out, and to write a figure: those stand
//! beside the drawing, as they are printed everywhere.

use super::frame::said;
use super::index::Charted;
use super::scale::number;
use super::words;
use crate::quantity::{Unit, Value};
use crate::report::trend::Figures;
use crate::trend::Point;
use maud::{Markup, PreEscaped, html};
use plotters::prelude::*;

/// The drawing in its own units; a page gives it what room there is.
const SIZE: (u32, u32) = (480, 150);

/// A chart with its figures beside it.
pub(super) fn figure(charted: &Charted) -> Markup {
    let chart = &charted.chart;
    let figures = Figures::of(chart, &charted.unit);
    let columns = columns(&chart.points);
    let days = (chart.points.first(), chart.points.last());
    let mut ordered: Vec<&Value> = chart.points.iter().map(|point| &point.value).collect();
    ordered.sort_by(|one, other| one.compare(other).unwrap_or(std::cmp::Ordering::Equal));
    let ends = ordered.first().zip(ordered.last());
    let (low, high) = ends.map_or_else(Default::default, |(low, high)| (figures.value(low), figures.value(high)));
    let said_of = words::chart(columns.len(), chart.points.len(), &low, &high, charted.failing.len());
    html! {
        figure {
            figcaption { b { (said(&chart.path)) } " " span class="small" { (said(&said_of)) } }
            @if let Some(drawing) = draw(charted, &columns) {
                div class="chart" role="img" aria-label=(said(&format!("{}: {said_of}", chart.path))) { (PreEscaped(drawing)) }
                @if let (Some(first), Some(last)) = days {
                    p class="days small" { span { (first.finished.to_string()) } span { (last.finished.to_string()) } }
                }
            }
            @if let Some(limits) = &chart.limits {
                p class="small" {
                    "mean " (said(&figures.value(&limits.centre)))
                    @if limits.scatters() { "; between " (said(&figures.between(&limits.low, &limits.high))) }
                }
            }
        }
    }
}

/// The values of each build, in the order of the days.
fn columns(points: &[Point]) -> Vec<Vec<&Point>> {
    let mut columns: Vec<Vec<&Point>> = Vec::new();
    for point in points {
        match columns.last_mut() {
            Some(column) if column.first().is_some_and(|first| first.file == point.file) => column.push(point),
            _ => columns.push(vec![point]),
        }
    }
    columns
}

fn coordinate(value: &Value, unit: &Unit) -> Option<f64> {
    number(&unit.decimal(value))
}

/// The drawing; none where a value cannot be drawn.
fn draw(charted: &Charted, columns: &[Vec<&Point>]) -> Option<String> {
    let unit = &charted.unit;
    let limits = charted.chart.limits.as_ref().filter(|limits| limits.scatters());
    let lines: Vec<f64> = limits
        .map(|limits| {
            [&limits.centre, &limits.low, &limits.high].into_iter().filter_map(|at| coordinate(at, unit)).collect()
        })
        .unwrap_or_default();
    let values: Option<Vec<Vec<(f64, bool)>>> = columns
        .iter()
        .map(|column| {
            let one = |point: &&Point| {
                let fails = charted.failing.contains(&(point.file.clone(), point.path.clone()));
                coordinate(&point.value, unit).map(|at| (at, fails))
            };
            column.iter().map(one).collect()
        })
        .collect();
    let values = values?;
    let all = || values.iter().flatten().map(|(at, _)| *at).chain(lines.iter().copied());
    let (low, high) = (all().reduce(f64::min)?, all().reduce(f64::max)?);
    let margin = if high > low { (high - low) * 0.08 } else { high.abs().max(1.0) * 0.1 };
    let width = f64::from(u32::try_from(columns.len()).ok()?);
    let mut drawing = String::new();
    drawn(&mut drawing, (-0.6, width - 0.4), (low - margin, high + margin), &lines, &values).ok()?;
    Some(drawing)
}

fn drawn(
    drawing: &mut String,
    across: (f64, f64),
    up: (f64, f64),
    lines: &[f64],
    values: &[Vec<(f64, bool)>],
) -> Result<(), Box<dyn std::error::Error>> {
    let area = SVGBackend::with_string(drawing, SIZE).into_drawing_area();
    let mut chart = ChartBuilder::on(&area).margin(3).build_cartesian_2d(across.0..across.1, up.0..up.1)?;
    for (number, at) in lines.iter().enumerate() {
        let ends = [(across.0, *at), (across.1, *at)];
        if number == 0 {
            chart.draw_series(LineSeries::new(ends, BLACK.stroke_width(1)))?;
        } else {
            chart.draw_series(DashedLineSeries::new(ends, 6, 5, BLACK.stroke_width(1)))?;
        }
    }
    for (number, column) in (0_u32..).zip(values) {
        let at = f64::from(number);
        let figures = || column.iter().map(|(value, _)| *value);
        if let Some((low, high)) = figures().reduce(f64::min).zip(figures().reduce(f64::max))
            && high > low
        {
            chart.draw_series([PathElement::new([(at, low), (at, high)], BLACK.stroke_width(1))])?;
        }
        for (value, fails) in column {
            if *fails {
                chart.draw_series([Cross::new((at, *value), 5, BLACK.stroke_width(2))])?;
            } else {
                chart.draw_series([Circle::new((at, *value), 2, BLACK.filled())])?;
            }
        }
    }
    area.present()?;
    drop(chart);
    Ok(())
}
