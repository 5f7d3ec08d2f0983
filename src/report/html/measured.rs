//! Every characteristic by part: its reading as it was taken, its ranges, where it lies between them, its grade. Refuses to
//! leave out a ruling.

use super::frame::said;
use super::{bar, words};
use crate::handover::{Group, Handover, Line, Ruled, Spot, Taken};
use crate::judge::{Grade, RulingReport};
use maud::{Markup, html};

pub(super) fn section(handover: &Handover) -> Markup {
    let lines = handover.groups.iter().flat_map(|group| &group.spots).flat_map(|spot| &spot.lines);
    let good = lines.flat_map(|line| &line.rulings).filter(|ruled| ruled.told.grade == Grade::Good).count();
    html! {
        section class="measurements" aria-labelledby="measured" {
            h2 id="measured" { (words::MEASUREMENTS) }
            (key())
            // On a phone the good rows stay folded until they are asked for; everywhere else this box is not there.
            @if good > 0 { input type="checkbox" id="all-rows" class="fold"; label for="all-rows" class="fold" { (words::all_rows(good)) } }
            @for group in &handover.groups { (table(group)) }
        }
    }
}

/// A table with no more rows is not parted by the end of a page.
const MOST_UNCUT: usize = 8;
/// A range in more letters than this is a calculation.
const LONGEST_RANGE: usize = 28;

/// How marks and bars are read.
fn key() -> Markup {
    html! {
        div class="key" {
            ul { @for grade in Grade::ALL { li { (bar::mark(grade)) " " b { (grade.word()) } " " (words::grade_key(grade)) } } }
            p { (words::BAR_KEY) }
        }
    }
}

fn table(group: &Group) -> Markup {
    let positioned = group.spots.iter().any(|spot| spot.name.is_some());
    let mut lines = group.spots.iter().flat_map(|spot| &spot.lines);
    if lines.all(|line| line.rulings.is_empty()) {
        return unjudged(group);
    }
    html! {
        table class=(classes(group)) {
            caption { (said(&words::caption(group.name.as_deref()))) }
            thead { tr { @for column in words::COLUMNS { th scope="col" { (column) } } } }
            @for spot in &group.spots {
                tbody class=[is_good(spot).then_some("all-good")] {
                    @if positioned {
                        tr class="spot" {
                            th scope="rowgroup" colspan="6" {
                                @match &spot.name {
                                    Some(position) => {
                                        (said(&words::caption(group.name.as_deref()))) " " (said(position))
                                    }
                                    None => { (words::TOGETHER) }
                                }
                            }
                        }
                    }
                    @for line in &spot.lines { @for (number, ruled) in line.rulings.iter().enumerate() { (row(line, number, ruled)) } }
                    (others(spot))
                }
            }
        }
    }
}

fn classes(group: &Group) -> String {
    let short = if rows(group) <= MOST_UNCUT { " short" } else { "" };
    let good = if group.spots.iter().all(is_good) { " all-good" } else { "" };
    format!("measured{short}{good}")
}

/// Whether every ruling at a position is good.
fn is_good(spot: &Spot) -> bool {
    spot.lines.iter().flat_map(|line| &line.rulings).all(|ruled| ruled.told.grade == Grade::Good)
}

fn rows(group: &Group) -> usize {
    group.spots.iter().map(|spot| 1 + spot.lines.iter().map(|line| line.rulings.len()).sum::<usize>()).sum()
}

/// A part of which no row judges anything by itself.
fn unjudged(group: &Group) -> Markup {
    html! {
        p class="unjudged" {
            b { (said(&words::caption(group.name.as_deref()))) } " "
            @for (number, spot) in group.spots.iter().enumerate() {
                @if number > 0 { "; " }
                @if let Some(position) = &spot.name { b { (said(position)) } " " }
                (listed(&spot.lines.iter().collect::<Vec<_>>()))
            }
        }
    }
}

/// Lines one after the other: each name with what was taken.
fn listed(lines: &[&Line]) -> Markup {
    html! {
        @for (number, line) in lines.iter().enumerate() {
            @if number > 0 { "; " }
            span class="other" { (name(line)) " " (taken(&line.taken)) }
        }
    }
}

/// What was taken and has no row of its own: one line for all of it.
fn others(spot: &Spot) -> Markup {
    let alone: Vec<&Line> = spot.lines.iter().filter(|line| line.rulings.is_empty()).collect();
    html! {
        @if !alone.is_empty() {
            tr class="others" {
                td colspan="6" {
                    span class="lead" { (words::NOT_JUDGED_ALONE) ": " }
                    (listed(&alone))
                }
            }
        }
    }
}

fn name(line: &Line) -> Markup {
    html! { @if !line.inside.is_empty() { span class="inside" { (said(&line.inside)) } " " } (said(&line.name)) }
}

/// Readings as the record has them.
fn taken(taken: &[Taken]) -> Markup {
    html! {
        @for (number, one) in taken.iter().enumerate() {
            @if number > 0 { ", " }
            @if let Some(station) = &one.station { span class="inside" { (said(station)) } " " }
            b { (said(&one.written)) }
            @if let Some(gauge) = &one.gauge { " " span class="gauge" { "(" (said(gauge)) ")" } }
            @if let Some(note) = &one.note { " " span class="gauge" { (said(note)) } }
        }
    }
}

fn row(line: &Line, number: usize, Ruled { which, told }: &Ruled) -> Markup {
    let fails = !told.grade.passes() && !told.advisory;
    // On paper the other rows on the value say enough.
    let good = if told.outer && number > 0 { "good held" } else { "good" };
    html! {
        tr class=(if fails { "fails" } else if told.grade == Grade::Good { good } else { "mind" })
            data-path=(told.path) data-grade=(told.grade.word()) {
            th scope="row" {
                (name(line))
                @if let Some(which) = which { " " span class="which" { (said(which)) } }
                @if line.derived && told.value.is_some() { " " span class="which" { (words::WORKED_OUT) } }
            }
            td class="value" data-column=(words::COLUMNS[1]) { (value(line, number, told)) }
            // On a phone one of the two has room: the limit if there is one.
            td class=(if told.limit.is_some() { "range aside" } else { "range" }) data-column=(words::COLUMNS[2]) { (range(told.standard.as_deref(), &told.figures.standard, told)) }
            td class=(if told.limit.is_none() { "range aside" } else { "range" }) data-column=(words::COLUMNS[3]) { (range(told.limit.as_deref(), &told.figures.limit, told)) }
            td class="drawn" { @if let Some(bar) = bar::bar(told) { (bar) } }
            td class="grade" data-column=(words::COLUMNS[5]) {
                (bar::mark(told.grade)) " " span class="word" { (told.grade.word()) }
                @if told.advisory { " " span class="advisory" { "advisory" } }
                @if let Some(beyond) = &told.beyond { " " span class="beyond" { (said(beyond)) } }
            }
        }
    }
}

/// The value judged, how far it may be off, and what was taken where that is something else.
fn value(line: &Line, number: usize, told: &RulingReport) -> Markup {
    let judged = told.value.as_deref();
    // Several readings stand with the first row on them; one that is judged by itself is the value itself.
    let shown = |one: &Taken| {
        let is_value =
            |ruled: &&Ruled| ruled.told.value.as_deref().is_some_and(|value| value.starts_with(&one.written));
        let alike = line.taken.iter().filter(|other| other.written == one.written).count();
        one.note.is_none() && line.rulings.iter().filter(is_value).count() >= alike
    };
    let behind = number == 0 && !line.taken.iter().all(shown);
    html! {
        @match judged {
            Some(value) => b { (said(value)) },
            None if told.grade == Grade::Unmeasured => span class="missing" { (said(&unmeasured(told))) },
            None => {},
        }
        @if let Some(weighed) = &told.uncertainty { " " span class="spread" { "± " (said(&weighed.expanded)) } }
        @if let Some(rounded) = &told.rounded { " " span class="small" { "rounded " (said(rounded)) } }
        @if behind { " " span class="small" { (words::AS_TAKEN) " " (taken(&line.taken)) } }
        @else if !told.gauges.is_empty() && !line.derived { " " span class="gauge" { "(" (said(&told.gauges.join(", "))) ")" } }
    }
}

/// What is lacking, where that is not what is judged itself.
fn unmeasured(told: &RulingReport) -> String {
    const MOST_NAMED: usize = 3;
    if told.missing.is_empty() || told.missing.contains(&told.path) {
        return words::NOT_MEASURED.to_string();
    }
    let named: Vec<&str> = told.missing.iter().take(MOST_NAMED).map(String::as_str).collect();
    let more = told.missing.len() - named.len();
    let more = if more > 0 { format!(" and {more} more") } else { String::new() };
    format!("{}: {}{more}", words::NOT_MEASURED, named.join(", "))
}

/// A range as its book writes it and, where its ends are not in those words, what they come to.
fn range(words: Option<&str>, ends: &[Option<String>; 2], told: &RulingReport) -> Markup {
    let Some(words) = words else { return html! { span class="none" { "–" } } };
    let plain = is_plain(words, told.unit.as_deref().unwrap_or_default());
    let unsaid = |end: &String| !plain && !words.contains(short(end).trim_end_matches('…'));
    let unit = told.unit.as_deref().map_or_else(String::new, |unit| format!(" {unit}"));
    let side = |plain: &'static str, open: &'static str| if words.starts_with(open) { open } else { plain };
    let worked = match ends {
        [Some(low), Some(high)] if low == high && unsaid(low) => Some(("exactly ", short(low))),
        [Some(low), Some(high)] if unsaid(low) || unsaid(high) => {
            Some(("", format!("{} to {}", short(low), short(high))))
        }
        [Some(low), None] if unsaid(low) => Some((side("at least ", "above "), short(low))),
        [None, Some(high)] if unsaid(high) => Some((side("at most ", "below "), short(high))),
        _ => None,
    };
    html! {
        @match worked {
            // A calculation is told by what it comes to.
            Some((side, worked)) if words.len() > LONGEST_RANGE => {
                (side) (worked) (said(&unit)) " " span class="formula" { (said(words)) }
            },
            Some((_, worked)) => { (said(words)) " " span class="small" { "(" (worked) (said(&unit)) ")" } },
            None => { (said(words)) },
        }
    }
}

/// Whether a range is figures in one unit, so that its ends can be seen in it.
pub(super) fn is_plain(range: &str, unit: &str) -> bool {
    let known = |word: &str| word == unit || ["to", "at", "least", "most", "exactly", "above", "below"].contains(&word);
    let signs = |letter: char| letter.is_ascii_digit() || ".±+-/".contains(letter);
    range.split_whitespace().all(|word| known(word) || word.chars().all(signs))
}

/// A decimal with four places; what is cut off is seen to be.
pub(super) fn short(decimal: &str) -> String {
    const PLACES: usize = 4;
    match decimal.split_once('.') {
        Some((whole, places)) if places.len() > PLACES => {
            format!("{whole}.{}…", places.chars().take(PLACES).collect::<String>())
        }
        _ => decimal.to_string(),
    }
}
