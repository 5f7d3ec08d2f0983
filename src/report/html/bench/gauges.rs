//! The gauges of the shop at the bench: those that are overdue first, then those that soon are. Refuses to know which day it is.

use super::frame::{BenchFrame, BenchShop, Here};
use super::words;
use crate::finding::Finding;
use crate::quantity::Date;
use crate::report::html::frame::said;
use crate::report::html::sheet;
use maud::{Markup, html};

/// Days before its day on which a gauge is marked. Common practice: a calibration takes up to four weeks.
const SOON: i64 = 30;

/// A gauge of the shop's list.
#[derive(Clone, PartialEq, Debug)]
pub struct GaugeLine {
    /// Its name.
    pub name: String,
    /// Its expanded uncertainty, with k where that is not 2.
    pub uncertainty: Option<String>,
    /// One step of its scale.
    pub resolution: Option<String>,
    /// Which gauges it is wrong together with, each with the correlation coefficient.
    pub correlated: Vec<String>,
    /// What changed from one calibration to the next, in words, and whether that is more than its uncertainty.
    pub drifts: Vec<(String, bool)>,
    /// The day it was calibrated.
    pub calibrated: Option<Date>,
    /// The day it is due again.
    pub due: Option<Date>,
    /// How many readings name it.
    pub readings: usize,
}

/// Everything on the page.
#[derive(Clone, Copy, Debug)]
pub struct Gauges<'a> {
    /// The shop.
    pub shop: BenchShop<'a>,
    /// The gauges it lists.
    pub gauges: &'a [GaugeLine],
    /// Gauges that readings name and the list does not have, each with how many readings.
    pub others: &'a [(String, usize)],
    /// The day it is.
    pub today: Option<Date>,
    /// What is wrong with the list.
    pub troubles: &'a [Finding],
}

/// How a gauge stands on a day.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Due {
    Overdue,
    Soon,
    Later,
    Unknown,
}

impl Due {
    fn of(gauge: &GaugeLine, today: Option<Date>) -> (Due, i64) {
        let Some((due, today)) = gauge.due.zip(today) else { return (Due::Unknown, 0) };
        match due.days_since(today) {
            left if left < 0 => (Due::Overdue, left),
            left if left <= SOON => (Due::Soon, left),
            left => (Due::Later, left),
        }
    }
}

/// The page, ended by a line end.
#[must_use]
pub fn write(page: &Gauges<'_>) -> String {
    let frame = BenchFrame { shop: page.shop, title: words::GAUGES, here: Some(Here::Gauges), script: None };
    let mut gauges: Vec<((Due, i64), &GaugeLine)> =
        page.gauges.iter().map(|gauge| (Due::of(gauge, page.today), gauge)).collect();
    gauges.sort_by(|(one, first), (other, second)| one.cmp(other).then_with(|| first.name.cmp(&second.name)));
    frame.page(&html! {
        h1 { (words::GAUGES) }
        @if let Some(today) = page.today { p class="small" { (words::as_of(today)) } }
        @if !page.troubles.is_empty() { ul class="findings" { @for one in page.troubles { (sheet::finding(one)) } } }
        @if gauges.is_empty() { p { (words::NO_GAUGES) } }
        @else { (table(&gauges)) }
        @if !page.others.is_empty() { (others(page.others)) }
    })
}

fn table(gauges: &[((Due, i64), &GaugeLine)]) -> Markup {
    let [_, due, uncertainty, resolution, calibrated, readings] = words::GAUGE_COLUMNS;
    let or_not = |text: &Option<String>| text.clone().unwrap_or_else(|| words::NOT_STATED.to_owned());
    html! {
        table class="plain lines" {
            caption class="unseen" { (words::GAUGES) }
            thead { tr { @for column in words::GAUGE_COLUMNS { th scope="col" { (column) } } } }
            tbody {
                @for ((state, left), gauge) in gauges {
                    tr class=(match state { Due::Overdue => "fails", Due::Soon => "mind", _ => "" }) {
                        th scope="row" { span class="to" { bdi { (said(&gauge.name)) } } }
                        td data-column=(due) class="due" {
                            @match state {
                                Due::Overdue => { b class="word" { (words::overdue(-left)) } br; },
                                Due::Soon => { b class="word" { (words::due_in(*left)) } br; },
                                Due::Later | Due::Unknown => {},
                            }
                            (gauge.due.map_or_else(|| words::NOT_STATED.to_owned(), |day| day.to_string()))
                        }
                        td data-column=(uncertainty) {
                            (said(&or_not(&gauge.uncertainty)))
                            @if !gauge.correlated.is_empty() {
                                br; span class="small" { (words::correlated_with(&gauge.correlated)) }
                            }
                        }
                        td data-column=(resolution) { (said(&or_not(&gauge.resolution))) }
                        td data-column=(calibrated) {
                            (gauge.calibrated.map_or_else(|| words::NOT_STATED.to_owned(), |day| day.to_string()))
                            @for (drift, beyond) in &gauge.drifts {
                                br;
                                @if *beyond { b class="small" { (said(drift)) } }
                                @else { span class="small" { (said(drift)) } }
                            }
                        }
                        td data-column=(readings) { (gauge.readings) }
                    }
                }
            }
        }
    }
}

fn others(others: &[(String, usize)]) -> Markup {
    let [gauge, .., readings] = words::GAUGE_COLUMNS;
    html! {
        section aria-labelledby="others" {
            h2 id="others" { (words::OTHER_GAUGES) }
            p class="small" { (words::OTHER_GAUGES_HOW) }
            table class="plain lines" {
                caption class="unseen" { (words::OTHER_GAUGES) }
                thead { tr { th scope="col" { (gauge) } th scope="col" { (readings) } } }
                tbody {
                    @for (name, count) in others {
                        tr {
                            th scope="row" { span class="to" { bdi { (said(name)) } } }
                            td data-column=(readings) { (count) }
                        }
                    }
                }
            }
        }
    }
}
