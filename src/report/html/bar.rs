//! The bar of a ruling: its ranges, its value and how far that may be off, told by shape and pattern and not by colour. Refuses
//! to say anything in words: the row beside it does.

use super::scale::{Scale, Spot, WIDTH};
use crate::judge::{Grade, RulingReport};
use maud::{Markup, html};

/// Units of the drawing from top to bottom.
const HEIGHT: f64 = 18.0;
const MIDDLE: f64 = HEIGHT / 2.0;

/// What every bar of a page refers to, drawn once and not seen: the hatching of the standard range, a mark for each grade.
pub(super) fn shapes() -> Markup {
    html! {
        svg class="shapes" width="0" height="0" aria-hidden="true" focusable="false" {
            defs {
                pattern id="hatch" width="4" height="4" patternUnits="userSpaceOnUse" patternTransform="rotate(45)" {
                    path class="hatch" d="M1 0V4" {}
                }
                g id="mark-good" { circle class="full" r="4.2" {} }
                g id="mark-worn" { path class="full" d="M0-5.2L5.2 0L0 5.2L-5.2 0Z" {} }
                g id="mark-excused" { path class="hollow" d="M0-5L5 0L0 5L-5 0Z" {} path class="stroke" d="M-2 0H2" {} }
                g id="mark-unsettled" { circle class="hollow" r="4.4" {} path class="full" d="M0-4.4A4.4 4.4 0 0 1 0 4.4Z" {} }
                g id="mark-unmeasured" { rect class="dashed" x="-4.4" y="-4.4" width="8.8" height="8.8" {} }
                g id="mark-out" { path class="halo" d="M-4.4-4.4L4.4 4.4M4.4-4.4L-4.4 4.4" {} path class="cross" d="M-4.4-4.4L4.4 4.4M4.4-4.4L-4.4 4.4" {} }
                g id="mark-off" { path class="full" d="M-5-5.5L5 0L-5 5.5Z" {} }
            }
        }
    }
}

/// The mark of a grade, for beside its word.
pub(super) fn mark(grade: Grade) -> Markup {
    html! {
        svg class="mark" viewBox="-6 -6 12 12" aria-hidden="true" focusable="false" { use href=(reference(grade)) {} }
    }
}

fn reference(grade: Grade) -> String {
    format!("#mark-{}", grade.word())
}

/// A coordinate, to a thousandth of a unit.
fn place(at: f64) -> String {
    let text = format!("{at:.3}");
    text.trim_end_matches('0').trim_end_matches('.').to_string()
}

/// The bar of a ruling; nothing where its ranges have no ends.
pub(super) fn bar(told: &RulingReport) -> Option<Markup> {
    let scale = Scale::of(told)?;
    Some(html! {
        svg class="bar" viewBox=(format!("0 0 {WIDTH} {HEIGHT}")) aria-hidden="true" focusable="false"
            data-from=(scale.from) data-to=(scale.to) {
            path class="axis" d=(format!("M0 {MIDDLE}H{WIDTH}")) {}
            // An axis that begins at nought says so.
            @if scale.from == 0.0 { path class="axis" d=(format!("M0 2V{}", HEIGHT - 2.0)) {} }
            @if let Some((left, right)) = scale.band(scale.limit) {
                rect class="limit" x=(place(left)) y="4" width=(place(right - left)) height="10" {}
            }
            @if let Some((left, right)) = scale.band(scale.standard) {
                rect class="standard" x=(place(left)) y="4" width=(place(right - left)) height="10" {}
                rect class="hatched" x=(place(left)) y="4" width=(place(right - left)) height="10" {}
            }
            @for end in scale.standard.iter().flatten() { (end_mark("standard-end", &scale, *end, 4.0)) }
            @for end in scale.limit.iter().flatten() { (end_mark("limit-end", &scale, *end, 0.0)) }
            (value(&scale, told.grade))
        }
    })
}

/// The end of a range, where it lies on the drawing at all.
fn end_mark(class: &str, scale: &Scale, end: f64, top: f64) -> Markup {
    let at = place(scale.at(end));
    html! { line class=(class) x1=(at) x2=(at) y1=(top) y2=(HEIGHT - top) {} }
}

fn value(scale: &Scale, grade: Grade) -> Markup {
    let Some(spot) = scale.spot() else { return html! {} };
    let spread = scale
        .value
        .zip(scale.spread)
        .map(|(value, spread)| (scale.inside(value - spread), scale.inside(value + spread)));
    html! {
        @if let Spot::At(at) = spot {
            @if let Some((left, right)) = spread {
                path class="spread-halo" d=(format!("M{} {MIDDLE}H{}", place(left), place(right))) {}
                path class="spread" data-left=(place(left)) data-right=(place(right)) d=(whisker(left, right)) {}
            }
            use class="reading" href=(reference(grade)) x=(place(at)) y=(MIDDLE) {}
        } @else if spot == Spot::Off(true) {
            use class="reading off" href="#mark-off" x=(place(WIDTH - 6.0)) y=(MIDDLE) {}
        } @else {
            use class="reading off" href="#mark-off" transform=(format!("translate(6 {MIDDLE}) scale(-1 1)")) {}
        }
    }
}

fn whisker(left: f64, right: f64) -> String {
    let (left, right) = (place(left), place(right));
    format!("M{left} {MIDDLE}H{right}M{left} 5V13M{right} 5V13")
}
