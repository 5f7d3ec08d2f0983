//! Every sentence about a characteristic over many builds. Refuses to know when it is said.

use super::super::wording::number_of;
use super::figures::Figures;
use crate::finding::list;
use crate::quantity::Date;
use crate::statistics::control::{self, Run, Test};
use crate::trend::{Chart, Groups, LeftOut, Point};
use std::cmp::Ordering;
use std::collections::BTreeMap;

/// Limits of fewer values move much with each new one (common practice).
pub(super) const FEW: usize = 20;

/// Of fewer values it is not said how each resembles the one before (common practice). Chance gives up to 2/√n to either
/// side (NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.3.1, with 1.96 there).
const FEWEST_RESEMBLING: usize = 8;

/// Of one test so many sentences are told, the latest; the table shows all.
const MOST_TOLD: usize = 5;

/// More names than this are counted.
const MOST_NAMED: usize = 6;

pub(super) const STANDS_OUT: &str = "what stands out:";
pub(super) const NOTHING: &str = "nothing stands out";
pub(super) const LEFT_OUT: &str = "left out:";
pub(super) const LIMITS: &str = "The limits show how much this shop's own work varies: three standard deviations from the centre, \
    calculated from the steps between one value and the next (NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.2). They \
    are not a tolerance: a value beyond them may still be good, and a value within them may be out. `trochoid check` judges.";
pub(super) const TESTS: &str = "The tests are numbered as in ISO 7870-2 (from memory, unverified). What they find may be \
    chance; look at what was changed at that time.";
pub(super) const DIFFERENCES: &str = "Groups of one generation are compared by Welch's t-test, which lets each have its own scatter. Even a \
    difference that is hardly chance may have another cause: the groups may differ in something else as well.";

pub(super) const POOLED: &str = "With all positions together, one build gives several values, and each counts as if it came \
    from a separate build: the difference looks more certain than it is.";

/// `noun` is what was counted: builds, parts, or records of both.
pub(super) fn heading(path: &str, (count, noun): (usize, &str), first: Option<Date>, last: Option<Date>) -> String {
    let builds = number_of(count, noun);
    match (first, last) {
        (Some(first), Some(last)) if first != last => format!("{path} over {builds}, {first} to {last}"),
        (Some(day), _) => format!("{path} over {builds}, {day}"),
        _ => format!("{path}: no build to put on a chart"),
    }
}

pub(super) fn generations(generations: &BTreeMap<String, usize>) -> String {
    let all: Vec<String> = generations.iter().map(|(name, count)| format!("{name} ({count})")).collect();
    match all.as_slice() {
        [] | [_] => format!("generation {}", generations.keys().next().map_or("", String::as_str)),
        _ => format!(
            "{} generations in one chart: {}; `--generation NAME` shows one",
            all.len(),
            list(all.iter().map(String::as_str), "and")
        ),
    }
}

/// What some values are of: builds, loose parts, or records of both.
pub(super) fn counted<'a>(points: impl IntoIterator<Item = &'a Point>) -> &'static str {
    let (mut loose, mut built) = (false, false);
    for point in points {
        loose |= point.loose;
        built |= !point.loose;
    }
    match (loose, built) {
        (true, false) => "part",
        (true, true) => "record",
        (false, _) => "build",
    }
}

/// What one value of a chart is: a build, a part, or one position of it.
fn noun(chart: &Chart) -> &'static str {
    if chart.pooled { "value" } else { counted(&chart.points) }
}

pub(super) fn chart(chart: &Chart) -> String {
    let together = if chart.pooled { ", all positions together" } else { "" };
    format!("{}{together}: {}", chart.path, number_of(chart.points.len(), noun(chart)))
}

pub(super) fn name(point: &Point, pooled: bool) -> String {
    if pooled { format!("{} {}", point.build, point.position) } else { point.build.clone() }
}

pub(super) fn lone(point: &Point, figures: &Figures) -> String {
    format!("{}  {}  {}: one value is too few for limits", point.finished, point.build, figures.value(&point.value))
}

pub(super) fn limits(limits: &control::Chart, figures: &Figures) -> String {
    if !limits.scatters() {
        return format!("all are {}", figures.value(&limits.centre));
    }
    format!(
        "centre {}, limits {}, steps at most {}",
        figures.value(&limits.centre),
        figures.between(&limits.low, &limits.high),
        figures.distance(&limits.range_high)
    )
}

/// How much each value resembles the one before it, and whether that is more than chance gives; nothing of so few values that
/// chance gives almost anything.
pub(super) fn resemblance(chart: &Chart) -> Option<String> {
    let lag = chart.autocorrelation.as_ref().filter(|_| chart.points.len() >= FEWEST_RESEMBLING)?;
    let lag = lag.midpoint().to_f64();
    // No minus before what prints as nothing.
    let lag = if lag.abs() < 0.005 { 0.0 } else { lag };
    // Between 8 and a number of builds.
    let chance = 2.0 / (chart.points.len() as f64).sqrt();
    let about = format!("lag-1 autocorrelation {lag:.2}");
    Some(if lag > chance {
        format!(
            "{about}, more than the {chance:.2} that chance gives: each value resembles the one before, so the limits are too \
             narrow and the runs mean less"
        )
    } else if lag < -chance {
        format!(
            "{about}, further below nothing than the {chance:.2} that chance gives: high and low take turns, so the limits are \
             too wide; do two gauges or two batches alternate?"
        )
    } else {
        format!("{about}: within the {chance:.2} to either side that chance gives")
    })
}

pub(super) fn few(chart: &Chart) -> String {
    format!("fewer than {FEW} {}s: the limits are a first guess and still move with each new one", noun(chart))
}

/// The heads of the columns of the table: day, name, value, and what is drawn.
pub(super) fn columns(chart: &Chart) -> [&'static str; 4] {
    let name = match counted(&chart.points) {
        "part" => "part",
        _ if chart.pooled => "build, place",
        noun => noun,
    };
    let day = if name == "part" { "measured" } else { "finished" };
    [day, name, "value", "between its limits"]
}

/// The tests that speak of a value, as they stand behind its line.
pub(super) fn numbers(tests: &[Test], jump: bool) -> String {
    let numbers: Vec<String> = tests.iter().map(|test| test.number().to_string()).collect();
    let test = if numbers.is_empty() { None } else { Some(format!("  test {}", numbers.join(", "))) };
    let jump = jump.then(|| "jump".to_owned());
    match (test, jump) {
        (Some(test), Some(jump)) => format!("{test}, {jump}"),
        (None, Some(jump)) => format!("  {jump}"),
        (test, None) => test.unwrap_or_default(),
    }
}

/// A sentence for everything that stands out, in the order of the tests; of many of one kind, the latest.
pub(super) fn stands_out(chart: &Chart, limits: &control::Chart, figures: &Figures) -> Vec<String> {
    let mut said = Vec::new();
    for test in Test::ALL {
        let runs: Vec<&Run> = chart.runs.iter().filter(|run| run.test == test).collect();
        let earlier = runs.len().saturating_sub(MOST_TOLD);
        said.extend(runs.iter().skip(earlier).filter_map(|run| sentence(chart, limits, figures, run)));
        if earlier > 0 {
            said.push(format!("and {earlier} times earlier (test {})", test.number()));
        }
    }
    let earlier = chart.jumps.len().saturating_sub(MOST_TOLD);
    for at in chart.jumps.iter().skip(earlier) {
        let range = at.checked_sub(1).and_then(|before| limits.ranges.get(before));
        let (Some(point), Some(range)) = (chart.points.get(*at), range) else { continue };
        let (range, most) = figures.distance_beside(range, &limits.range_high);
        said.push(format!("{} is {range} from the one before, more than {most}", name(point, chart.pooled)));
    }
    if earlier > 0 {
        said.push(format!("and {earlier} such steps earlier"));
    }
    said
}

fn sentence(chart: &Chart, limits: &control::Chart, figures: &Figures, run: &Run) -> Option<String> {
    let (first, last) = (chart.points.get(run.first)?, chart.points.get(run.last)?);
    let span = format!("{} to {}", name(first, chart.pooled), name(last, chart.pooled));
    let count = run.last - run.first + 1;
    let in_a_row = format!("{count} {}s in a row", noun(chart));
    let (side, limit) = if run.side == Ordering::Less { ("below", "lower") } else { ("above", "upper") };
    let said = match run.test {
        Test::Beyond => {
            let bound = if run.side == Ordering::Less { &limits.low } else { &limits.high };
            let (value, bound) = figures.beside(&first.value, bound);
            format!(
                "{}, finished {}: {value} is {side} the {limit} limit of {bound}",
                name(first, chart.pooled),
                first.finished
            )
        }
        Test::OneSide => format!("{span}: {in_a_row} {side} the centre"),
        Test::Steady => {
            let way = if run.side == Ordering::Less { "lower" } else { "higher" };
            format!("{span}: {in_a_row}, each {way} than the one before")
        }
        Test::UpAndDown => {
            format!("{span}: {in_a_row}, alternating up and down; do two gauges or two batches alternate?")
        }
        Test::TwoOfThree => format!("{span}: two of three neighbours are close to the {limit} limit or beyond it"),
        Test::FourOfFive => {
            format!("{span}: four of five neighbours are more than a third of the way to the {limit} limit")
        }
        Test::Close => {
            format!("{span}: {in_a_row} closer to the centre than chance would put them; was each one really measured?")
        }
        Test::NoneClose => {
            format!("{span}: {in_a_row}, on both sides and none near the centre; are two kinds of part mixed here?")
        }
    };
    Some(format!("{said} (test {})", run.test.number()))
}

pub(super) fn grouped(by: &str, several: bool) -> String {
    if several { format!("by {by}, each generation by itself:") } else { format!("by {by}:") }
}

/// What is to be said after the groups of all generations: of those with one group, and of comparing often.
pub(super) fn of_all_groups(groups: &[Groups], compared: u32) -> Vec<String> {
    let mut said = Vec::new();
    let alone: Vec<String> = groups
        .iter()
        .filter(|groups| groups.groups.len() < 2)
        .map(|groups| match groups.groups.first() {
            Some(group) => format!("{} ({} {})", groups.generation, group.count, group.name),
            None => groups.generation.clone(),
        })
        .collect();
    if groups.len() > 1 && !alone.is_empty() {
        said.push(format!("only one group, so there is nothing to compare: {}", alone.join(", ")));
    }
    if compared > 1 {
        said.push(format!(
            "{compared} pairs are compared, and any of them may look different by chance: trust those with p below {:.3} \
             (0.05 divided by the number of pairs, after Bonferroni)",
            0.05 / f64::from(compared)
        ));
    }
    said
}

/// A row for each group, in columns.
pub(super) fn group_rows(chart: &Chart, groups: &Groups, figures: &Figures) -> Vec<String> {
    let rows: Vec<[String; 4]> = groups
        .groups
        .iter()
        .map(|group| {
            let deviation = group.deviation.as_ref().map(|deviation| figures.distance(deviation));
            [
                group.name.clone(),
                number_of(group.count, noun(chart)),
                format!("mean {}", figures.value(&group.mean)),
                deviation.map(|deviation| format!("deviation {deviation}")).unwrap_or_default(),
            ]
        })
        .collect();
    let widest = |column: usize| {
        rows.iter().filter_map(|row| row.get(column)).map(|cell| super::super::style::width(cell)).max()
    };
    rows.iter()
        .map(|row| {
            let cells = row.iter().enumerate().map(|(column, cell)| {
                let pad = widest(column).unwrap_or(0).saturating_sub(super::super::style::width(cell));
                format!("{cell}{}", " ".repeat(pad))
            });
            cells.collect::<Vec<String>>().join("  ")
        })
        .collect()
}

/// A sentence for each pair of groups, and for what cannot be compared.
/// Beside them the number of pairs that could be compared.
pub(super) fn differences(chart: &Chart, groups: &Groups, figures: &Figures) -> (Vec<String>, u32) {
    let mut said = Vec::new();
    if groups.groups.len() == 1 {
        said.push("there is only one group: nothing to compare it with".to_owned());
    }
    for group in groups.groups.iter().filter(|group| group.count < 2 && groups.groups.len() > 1) {
        said.push(format!("{}: one {} is too few to compare", group.name, noun(chart)));
    }
    let mut compared = 0;
    for pair in &groups.pairs {
        let (Some(first), Some(second)) = (groups.groups.get(pair.first), groups.groups.get(pair.second)) else {
            continue;
        };
        let Some(difference) = &pair.difference else {
            if first.count >= 2 && second.count >= 2 {
                said.push(format!(
                    "{} and {}: neither has any scatter, so they cannot be tested",
                    first.name, second.name
                ));
            }
            continue;
        };
        compared += 1;
        let more = if difference.difference.midpoint().signum() < 0 { "less" } else { "more" };
        said.push(format!(
            "{} is {} {more} than {}: t = {:.2} with {:.1} degrees of freedom, p = {}; {}",
            second.name,
            figures.distance(&difference.difference.absolute()),
            first.name,
            difference.t.midpoint().to_f64(),
            difference.freedom.to_f64(),
            probability(difference.p),
            by_chance(difference.p)
        ));
    }
    if groups.ungrouped > 0 {
        said.push(format!(
            "in no group, because their records do not say: {}",
            number_of(groups.ungrouped, noun(chart))
        ));
    }
    (said, compared)
}

fn probability(p: f64) -> String {
    if p < 0.001 { "less than 0.001".to_owned() } else { format!("{p:.3}") }
}

fn by_chance(p: f64) -> String {
    let chance = "chance alone gives a difference this large about";
    if p >= 0.1 {
        format!("{chance} {:.0} times in 100", p * 100.0)
    } else if p >= 0.0015 {
        format!("{chance} {:.0} times in 1000", p * 1000.0)
    } else {
        format!("{chance} once in 1000 times, or less often")
    }
}

/// A sentence for each reason something stands in no chart.
/// Names beyond the first few are counted.
pub(super) fn left_out(left: &LeftOut) -> Vec<String> {
    // That these are left out was asked for: their number is enough.
    let others = left.other_generation.len();
    let others = match others {
        0 => None,
        1 => Some("1 of another generation".to_owned()),
        _ => Some(format!("{others} of other generations")),
    };
    let unmeasured: Vec<String> = left.unmeasured.iter().map(|(build, path)| format!("{build} {path}")).collect();
    [
        (&left.unreadable, "file that cannot be read", "files that cannot be read"),
        (&left.unsound, "record whose rulebooks have errors", "records whose rulebooks have errors"),
        (
            &left.errors,
            "record with errors, which `trochoid check` shows",
            "records with errors, which `trochoid check` shows",
        ),
        (
            &left.elsewhere,
            "build whose rulebooks have no such characteristic",
            "builds whose rulebooks have no such characteristic",
        ),
        (
            &left.no_day,
            "record without its day, `finished` or `measured`",
            "records without their day, `finished` or `measured`",
        ),
        (
            &left.open_generation,
            "loose part whose generation is not known",
            "loose parts whose generation is not known",
        ),
        (&unmeasured, "value not measured", "values not measured"),
    ]
    .into_iter()
    .filter(|(names, ..)| !names.is_empty())
    .map(|(names, one, several)| {
        let mut named: Vec<String> = names.iter().take(MOST_NAMED).cloned().collect();
        if names.len() > MOST_NAMED {
            named.push(format!("{} more", names.len() - MOST_NAMED));
        }
        let words = if names.len() == 1 { one } else { several };
        format!("{} {words}: {}", names.len(), named.join(", "))
    })
    .chain(others)
    .collect()
}
