//! The sheet of a build that its owner gets: what was done, what is worn or let through, what was measured, part by part, in words.
//! Refuses keys, file names, digests and codes: those are on the workshop's sheet.

use super::frame::said;
use super::scale::number;
use super::sheet::{BuildSheet, cautions_and, signed_by};
use super::{bar, words, words_customer};
use crate::handover::{Group, Handover, Line, Ruled, Spot};
use crate::judge::{Grade, RulingReport};
use maud::{Markup, html};

/// Lines of one kind that are told; the rest are counted, so that the sheet stays two pages.
const MOST_TOLD: usize = 12;

/// Everything on the sheet.
pub(super) fn body(sheet: &BuildSheet<'_>, handover: &Handover) -> Markup {
    let all = all(handover);
    let of = |grade: Grade| all.iter().filter(|one| one.told.grade == grade && !one.told.advisory).collect::<Vec<_>>();
    let advice = |one: &&Judged<'_>| one.told.advisory && ![Grade::Good, Grade::Unmeasured].contains(&one.told.grade);
    let advice: Vec<&Judged<'_>> = all.iter().filter(advice).collect();
    html! {
        (bar::shapes())
        header class="head" { (identity(sheet, handover)) }
        main class="customer" {
            (list(words_customer::OUT, &of(Grade::Out)))
            (list(words_customer::UNSETTLED, &of(Grade::Unsettled)))
            (missing(&of(Grade::Unmeasured)))
            (list(words_customer::EXCUSED, &of(Grade::Excused)))
            (list(words_customer::WORN, &of(Grade::Worn)))
            (list(words_customer::ADVICE, &advice))
            (parts(handover))
            (cautions_and(sheet.cautions, words_customer::DEFER))
            (signed_by(&words_customer::SIGNED_BY))
        }
    }
}

/// A ruling with where it stands in words.
struct Judged<'a> {
    part: String,
    line: &'a Line,
    ruled: &'a Ruled,
    told: &'a RulingReport,
}

/// Every ruling, in the order of the parts.
fn all(handover: &Handover) -> Vec<Judged<'_>> {
    let mut all = Vec::new();
    for (group, spot) in handover.groups.iter().flat_map(|group| group.spots.iter().map(move |spot| (group, spot))) {
        for line in &spot.lines {
            let judged = |ruled| Judged { part: place(group, spot), line, ruled, told: &ruled.told };
            all.extend(line.rulings.iter().map(judged));
        }
    }
    all
}

/// A part at its position in words: `Rotor front`.
fn place(group: &Group, spot: &Spot) -> String {
    let part = words::caption(group.name.as_deref());
    spot.name.as_deref().map_or(part.clone(), |position| format!("{part} {position}"))
}

fn identity(sheet: &BuildSheet<'_>, handover: &Handover) -> Markup {
    let checked = sheet.checked;
    let passes = checked.passes();
    let mut facts: Vec<(String, String)> = Vec::new();
    facts.extend(checked.finished.map(|day| (words_customer::FINISHED.to_string(), day.to_string())));
    facts.push((words_customer::MACHINE.to_string(), handover.description.clone()));
    facts.extend(handover.facts.iter().cloned());
    html! {
        p class="kind" { (words::SHEET) @if let Some(shop) = sheet.shop { " · " (said(shop)) } }
        h1 { bdi { (said(&checked.build)) } }
        div class=(if passes { "verdict passes" } else { "verdict fails" }) {
            @if let Some(grade) = checked.grade { (bar::mark(grade)) }
            p { strong { (words_customer::verdict(checked.grade, passes)) } }
            p { (words_customer::measured(measurements(handover))) }
        }
        dl class="facts" {
            @for (name, value) in &facts { div { dt { (said(name)) } dd { bdi { (said(value)) } } } }
        }
    }
}

/// How many values were measured or calculated, and judged.
fn measurements(handover: &Handover) -> usize {
    let lines = handover.groups.iter().flat_map(|group| &group.spots).flat_map(|spot| &spot.lines);
    lines.filter(|line| line.rulings.iter().any(|ruled| ruled.told.value.is_some())).count()
}

/// What it is a ruling on: `Rotor front: apex seal 1 height`.
fn name(one: &Judged<'_>) -> Markup {
    html! {
        b { (said(&one.part)) } ": "
        @if !one.line.inside.is_empty() { (said(&one.line.inside)) " " }
        (said(&one.line.name))
        @if let Some(which) = &one.ruled.which { " (" (said(which)) ")" }
    }
}

/// Rulings of one grade, each a line; nothing where there are none.
fn list((heading, what): (&str, &str), some: &[&Judged<'_>]) -> Markup {
    if some.is_empty() {
        return html! {};
    }
    html! {
        section {
            h2 { (heading) }
            p class="small" { (what) }
            ul class="lines" {
                @for one in some.iter().take(MOST_TOLD) {
                    li {
                        (bar::mark(one.told.grade)) " " (name(one)) " "
                        b { (said(&value(one.told))) }
                        @if let Some(range) = range(one.told) { ", " (said(&range)) }
                        @if let Some(why) = &one.told.concession { ": " (said(why)) }
                    }
                }
                @if some.len() > MOST_TOLD { li { (words_customer::more(some.len() - MOST_TOLD)) } }
            }
        }
    }
}

/// What was to be measured and was not: the places, not every row.
fn missing(some: &[&Judged<'_>]) -> Markup {
    let mut parts: Vec<(&str, usize)> = Vec::new();
    for one in some {
        match parts.iter_mut().find(|(part, _)| *part == one.part) {
            Some((_, count)) => *count += 1,
            None => parts.push((&one.part, 1)),
        }
    }
    html! {
        @if !parts.is_empty() {
            section {
                h2 { (words_customer::UNMEASURED.0) }
                p class="small" { (words_customer::UNMEASURED.1) }
                ul class="lines" {
                    @for (part, count) in parts { li { b { (said(part)) } ": " (words_customer::rows(count)) } }
                }
            }
        }
    }
}

/// Each part: how much was measured on it, and which value is nearest to its limit.
fn parts(handover: &Handover) -> Markup {
    let spots = handover.groups.iter().flat_map(|group| group.spots.iter().map(move |spot| (group, spot)));
    let rows: Vec<(String, usize, Option<Judged<'_>>)> = spots
        .filter(|(group, spot)| spot.name.is_some() || group.spots.len() == 1)
        .filter_map(|(group, spot)| {
            let judged = spot.lines.iter().flat_map(|line| {
                line.rulings.iter().map(move |ruled| Judged { part: String::new(), line, ruled, told: &ruled.told })
            });
            let judged: Vec<Judged<'_>> = judged.filter(|one| one.told.value.is_some()).collect();
            let count =
                spot.lines.iter().filter(|line| line.rulings.iter().any(|one| one.told.value.is_some())).count();
            // An outer limit says nothing where another row judges the value.
            let alone = |one: &Judged<'_>| !one.told.outer || one.line.rulings.len() == 1;
            let passing = judged.into_iter().filter(|one| one.told.grade.passes() && !one.told.advisory && alone(one));
            let nearest = passing
                .filter_map(|one| share_left(one.told).map(|share| (share, one)))
                .min_by(|(one, _), (other, _)| one.total_cmp(other));
            (count > 0).then(|| (place(group, spot), count, nearest.map(|(_, one)| one)))
        })
        .collect();
    let [part, measured, nearest, limit, lies] = words_customer::PART_COLUMNS;
    html! {
        section aria-labelledby="parts" {
            h2 id="parts" { (words_customer::PARTS) }
            table class="plain parts" {
                caption class="unseen" { (words_customer::PARTS) }
                thead { tr { @for column in words_customer::PART_COLUMNS { th scope="col" { (column) } } } }
                tbody {
                    @for (name, count, one) in &rows {
                        tr {
                            th scope="row" data-column=(part) { (said(name)) }
                            td data-column=(measured) { (count) }
                            @if let Some(one) = one {
                                td data-column=(nearest) {
                                    @if !one.line.inside.is_empty() { (said(&one.line.inside)) " " }
                                    (said(&one.line.name)) " "
                                    b { (said(&value(one.told))) }
                                }
                                td data-column=(limit) { (said(&range(one.told).unwrap_or_default())) }
                                td class="drawn" data-column=(lies) { @if let Some(bar) = bar::bar(one.told) { (bar) } }
                            } @else { td data-column=(nearest) { "–" } td {} td {} }
                        }
                    }
                }
            }
        }
    }
}

/// The value as it is said: a name without the marks of a key.
fn value(told: &RulingReport) -> String {
    let value = told.value.clone().unwrap_or_default();
    if told.unit.is_none() { value.replace('_', " ") } else { value }
}

/// How much of the way from one end of its limit to the other, or from nought to its only end, a value has left; `None` where it
/// has no limit in figures.
fn share_left(told: &RulingReport) -> Option<f64> {
    let figure = |text: &Option<String>| text.as_deref().and_then(number);
    let value = figure(&told.figures.rounded).or(figure(&told.figures.value))?;
    let ends = told.figures.limit.each_ref().map(figure);
    let [low, high] = if ends == [None, None] { told.figures.standard.each_ref().map(figure) } else { ends };
    let whole = match (low, high) {
        (Some(low), Some(high)) => (high - low) / 2.0,
        (Some(end), None) | (None, Some(end)) => end.abs(),
        (None, None) => return None,
    };
    let left = low.map_or(f64::INFINITY, |low| value - low).min(high.map_or(f64::INFINITY, |high| high - value));
    (whole > 0.0).then(|| left / whole)
}

/// The range it is held to, by its ends and without a formula: `limit at least 7.0 mm`.
fn range(told: &RulingReport) -> Option<String> {
    let unit = told.unit.as_deref().map_or_else(String::new, |unit| format!(" {unit}"));
    let (tier, ends, words) = match (&told.limit, &told.standard) {
        (Some(words), _) => (words_customer::LIMIT, &told.figures.limit, words),
        (None, Some(words)) => (words_customer::STANDARD, &told.figures.standard, words),
        (None, None) => return None,
    };
    let short = super::measured::short;
    let ends = match ends {
        _ if super::measured::is_plain(words, told.unit.as_deref().unwrap_or_default()) => words.clone(),
        [Some(low), Some(high)] if low == high => format!("exactly {}{unit}", short(low)),
        [Some(low), Some(high)] => format!("{} to {}{unit}", short(low), short(high)),
        [Some(low), None] if words.starts_with("above") => format!("above {}{unit}", short(low)),
        [Some(low), None] => format!("at least {}{unit}", short(low)),
        [None, Some(high)] if words.starts_with("below") => format!("below {}{unit}", short(high)),
        [None, Some(high)] => format!("at most {}{unit}", short(high)),
        [None, None] => words.replace('_', " "),
    };
    Some(format!("{tier} {ends}"))
}
